import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import k0, k0e, k1e

from evenlay.physics import moving_band as b


def test_bessel_functions_are_those_of_another_library():
    x = np.geomspace(1e-9, 1e5, 57)
    zeroth, first = b._scaled_bessel(x)
    assert zeroth == pytest.approx(k0e(x), rel=1e-10)
    assert first == pytest.approx(k1e(x), rel=1e-10)


@pytest.mark.parametrize("peclet", [0.1, 1.0, 12.0])
@pytest.mark.parametrize("place", [-1.6, -1.0, -0.4, 0.0, 0.7, 1.0, 1.3])
def test_the_closed_form_is_the_integral(peclet, place):
    low, high = peclet * (place - 1.0), peclet * (place + 1.0)
    break_at = [0.0] if low < 0.0 < high else None
    by_quadrature = quad(lambda u: math.exp(-u) * k0(abs(u)), low, high, points=break_at, limit=200)[0]
    assert float(b.band_rise(place=place, peclet=peclet)) == pytest.approx(by_quadrature, rel=1e-7)


def test_the_peak_is_the_highest_of_a_fine_grid_and_the_mean_its_average():
    for peclet in (0.1, 1.0, 10.0, 200.0):
        place = np.cos(np.linspace(0.0, np.pi, 4001))[::-1]
        rise = b.band_rise(place=place, peclet=peclet)
        found = b.band_heat(peclet)
        assert float(found.peak) == pytest.approx(rise.max(), rel=1e-5)
        assert float(found.mean) == pytest.approx(np.trapezoid(rise, place) / 2.0, rel=1e-4)
        assert place[np.argmax(rise)] == pytest.approx(float(found.place), abs=2e-3)


def test_a_fast_band_tends_to_steady_flux_from_below():
    number = np.array([1.0, 10.0, 100.0, 1000.0, 1e4])
    share = b.band_heat(number).peak / (2.0 * np.sqrt(np.pi * number))
    assert np.all(np.diff(share) > 0.0)
    assert np.all(share < 1.0)
    assert share[-1] == pytest.approx(1.0, abs=1e-3)
    assert b.band_heat(1e4).mean / b.band_heat(1e4).peak == pytest.approx(2.0 / 3.0, abs=2e-3)


def test_heat_and_its_rise_are_proportional():
    usual = {"half_length": 0.006, "feed": 0.2, "conductivity": 16.2, "diffusivity": 4.05e-6}
    assert b.band_flash(heat_flux=0.0, **usual) == 0.0
    assert b.band_flash(heat_flux=2e6, **usual) == pytest.approx(2.0 * b.band_flash(heat_flux=1e6, **usual))


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: b.peclet_number(feed=0.0, half_length=1.0, diffusivity=1.0), "feed"),
        (lambda: b.band_heat(math.nan), "peclet"),
        (lambda: b.band_rise(place=math.nan, peclet=1.0), "place"),
        (lambda: b.band_flash(heat_flux=-1.0, half_length=1.0, feed=1.0, conductivity=1.0, diffusivity=1.0), "heat_flux"),
        (lambda: b.band_flash(heat_flux=1.0, half_length=1.0, feed=1.0, conductivity=math.nan, diffusivity=1.0), "conductivity"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(function, message):
    with pytest.raises(ValueError, match=message):
        function()
