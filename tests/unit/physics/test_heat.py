import math

import numpy as np
import pytest

from evenlay.physics import heat as h

STEEL = {"conductivity": 16.2, "diffusivity": 4.05e-6}


def finite_difference(flux, time, thickness, conductivity, diffusivity, nodes=80):
    """Second way: explicit cells through an insulated sheet, flux on the front."""
    dx = thickness / nodes
    steps = max(200, int(np.ceil(time / (0.4 * dx**2 / diffusivity))))
    dt = time / steps
    rise = np.zeros(nodes)
    for _ in range(steps):
        flow = np.concatenate([[flux], conductivity * (rise[:-1] - rise[1:]) / dx, [0.0]])
        rise += (flow[:-1] - flow[1:]) * dt * diffusivity / (conductivity * dx)
    return rise[0] + flux * dx / (2.0 * conductivity), float(np.mean(rise))


@pytest.mark.parametrize("time", [0.02, 0.1, 0.5, 2.0])
def test_a_sheet_heats_as_cells_through_it_do(time):
    by_cells, mean = finite_difference(5e5, time, 0.0015, 16.2, 4.05e-6)
    assert float(h.sheet_flux_rise(heat_flux=5e5, time=time, thickness=0.0015, **STEEL)) == pytest.approx(by_cells, rel=2e-3)
    assert mean == pytest.approx(5e5 * time / (4e6 * 0.0015), rel=1e-9)


def test_short_and_long_formula_of_the_sheet_meet():
    edge = h.SHORT_TIME * 0.0015**2 / 4.05e-6
    below, above = h.sheet_flux_rise(heat_flux=1e6, time=edge * np.array([1.0 - 1e-9, 1.0 + 1e-9]), thickness=0.0015, **STEEL)
    assert below == pytest.approx(above, rel=1e-5)


def test_a_thick_sheet_is_a_thick_part_and_a_thin_one_heats_through():
    time = np.array([0.01, 0.1])
    thick = h.sheet_flux_rise(heat_flux=1e6, time=time, thickness=0.05, **STEEL)
    assert thick == pytest.approx(h.steady_flux_rise(heat_flux=1e6, time=time, **STEEL), rel=1e-9)
    thin = h.sheet_flux_rise(heat_flux=1e6, time=time, thickness=1e-5, **STEEL)
    assert thin == pytest.approx(1e6 * time / (4e6 * 1e-5), rel=1e-3)


def test_no_time_and_no_heat_give_no_rise():
    assert h.sheet_flux_rise(heat_flux=1e6, time=0.0, thickness=0.001, **STEEL) == 0.0
    assert h.steady_flux_rise(heat_flux=0.0, time=1.0, **STEEL) == 0.0


def test_energy_of_a_pass_is_in_the_sheet_after_it():
    heat, feed, width, length = 200.0, 0.2, 0.03, 0.4
    rise = h.bulk_rise(heat=heat, feed=feed, width=width, heat_capacity=4e6, thickness=0.0015)
    assert rise * 4e6 * 0.0015 * width * length == pytest.approx(heat * length / feed)


def test_passes_add_up_as_a_loop_of_heating_and_cooling_does():
    rise, decay = 0.0, math.exp(-30.0 / 200.0)
    for _ in range(7):
        rise = rise * decay + 5.0
    assert h.repeated_rise(rise=5.0, interval=30.0, cooling=200.0, passes=7) == pytest.approx(rise)


def test_without_cooling_passes_add_up_and_with_long_pauses_they_do_not():
    assert h.repeated_rise(rise=5.0, interval=30.0, cooling=np.inf, passes=7) == pytest.approx(35.0)
    assert h.repeated_rise(rise=5.0, interval=1e6, cooling=200.0, passes=7) == pytest.approx(5.0)


def test_a_pass_is_made_of_its_parts():
    sheet = h.Sheet(conductivity=16.2, heat_capacity=4e6, thickness=0.0015)
    one = h.pass_heat(sheet=sheet, heat=np.array([100.0, 200.0]), patch_length=0.012, width=0.03, feed=0.2)
    assert one.flux == pytest.approx(np.array([100.0, 200.0]) / (0.012 * 0.03))
    assert one.flash == pytest.approx(h.sheet_flux_rise(heat_flux=one.flux, time=0.06, thickness=0.0015, **STEEL))
    assert one.bulk[1] == pytest.approx(2.0 * one.bulk[0])
    assert np.all(one.flash > one.bulk)


def test_cooling_time_follows_thickness():
    assert h.cooling_time(heat_capacity=4e6, thickness=0.003, air=15.0) == pytest.approx(400.0)


def test_a_better_conductor_takes_more_of_the_heat_itself():
    shares = h.share_into_part(effusivity=np.array([8050.0, 13654.0, 20100.0]), grain_radius=15e-6, speed=20.0)
    assert np.all(np.diff(shares) > 0.0)
    assert np.all((shares > 0.0) & (shares < 1.0))


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: h.steady_flux_rise(heat_flux=-1.0, time=1.0, **STEEL), "heat_flux"),
        (lambda: h.steady_flux_rise(heat_flux=1.0, time=math.nan, **STEEL), "time"),
        (lambda: h.sheet_flux_rise(heat_flux=1.0, time=1.0, thickness=0.0, **STEEL), "thickness"),
        (lambda: h.bulk_rise(heat=1.0, feed=0.1, width=math.inf, heat_capacity=1.0, thickness=1.0), "width"),
        (lambda: h.cooling_time(heat_capacity=1.0, thickness=1.0, air=0.0), "air"),
        (lambda: h.repeated_rise(rise=1.0, interval=1.0, cooling=1.0, passes=0), "one pass"),
        (lambda: h.repeated_rise(rise=1.0, interval=1.0, cooling=math.nan, passes=1), "cooling time"),
        (lambda: h.share_into_part(effusivity=1.0, grain_radius=math.nan, speed=1.0), "grain_radius"),
        (lambda: h.pass_heat(sheet=h.Sheet(1.0, 1.0, 1.0), heat=1.0, patch_length=0.0, width=1.0, feed=1.0), "patch_length"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(function, message):
    with pytest.raises(ValueError, match=message):
        function()
