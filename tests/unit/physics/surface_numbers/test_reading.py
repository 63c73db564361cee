"""A whole surface by one door: direction, setting, numbers, bands, spacings, remarks."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers import Surface, rows_across, surface_numbers, trace
from evenlay.physics.surface_numbers.numbers import UNITS

RNG = np.random.default_rng


def brushed(*, along="y", ny=40, nx=6000, spacing_x=2e-6, spacing_y=200e-6, seed=1, line=0.0):
    """Grooves along y, heights of rms 0.5 um, a line of 2.5 mm across."""
    row = np.convolve(RNG(seed).normal(size=nx + 40), np.hanning(20), "same")[20:-20]
    each = np.stack([np.convolve(noise, np.hanning(20), "same") for noise in RNG(seed + 1).normal(size=(ny, nx))])
    z = 0.35e-6 * row / row.std() + 0.35e-6 * each / each.std() + line * np.sin(2 * np.pi * np.arange(nx) * spacing_x / 2.5e-3)
    if along == "x":
        return Surface(np.ascontiguousarray(z.T), spacing_x=spacing_y, spacing_y=spacing_x, along="x")
    return Surface(z, spacing_x=spacing_x, spacing_y=spacing_y, along=along)


def codes(found):
    return [remark.code for remark in found.remarks]


def test_the_map_and_its_turned_twin_read_the_same_across_the_grain():
    one, two = surface_numbers(brushed()), surface_numbers(brushed(along="x"))
    assert one.direction == "across the grain, which runs along y"
    assert two.direction == "across the grain, which runs along x"
    for symbol in UNITS:
        if symbol != "Std":
            assert two.number(symbol).reason == one.number(symbol).reason, symbol
            if one.number(symbol).value is not None:
                assert two.number(symbol).value == pytest.approx(one.number(symbol).value, rel=1e-6), symbol
    assert [each.symbol for each in one.numbers] == list(UNITS)


def test_the_direction_is_found_by_its_look_and_told():
    blind = surface_numbers(brushed(along=""))
    assert blind.direction == "across the grain, which runs along y by its look"
    assert codes(blind) == ["cutoff-by-reading", "points-coarse", "grain-by-look"]
    turned = Surface(np.ascontiguousarray(brushed().height.T), spacing_x=200e-6, spacing_y=2e-6)
    assert rows_across(turned).direction == "across the grain, which runs along x by its look"
    holed = Surface([[0.0, 1.0, 0.0], [np.nan, np.nan, np.nan]], spacing_x=1.0, spacing_y=1.0)
    assert rows_across(holed).direction.endswith("along y by its look")


def test_a_line_that_persists_is_named_with_its_pitch_and_stands_in_its_band():
    found = surface_numbers(brushed(line=0.2e-6, nx=15_000))
    assert [round(each.pitch * 1e3, 1) for each in found.pitches_across] == [2.5]
    assert found.pitches_across[0].amplitude == pytest.approx(0.2e-6, rel=0.1)
    assert found.pitches_along == ()
    assert found.persistent_bands[2].rms == pytest.approx(0.2e-6 / np.sqrt(2), rel=0.1)
    assert found.bands[2].rms >= found.persistent_bands[2].rms
    assert [each is not None for each in found.bands] == [True, True, True, True, False]


def test_marks_along_the_grain_are_named_too():
    y = np.arange(400) * 50e-6
    surface = brushed(ny=400, spacing_y=50e-6, nx=3000)
    marked = Surface(surface.height + 1e-6 * np.sin(2 * np.pi * y / 4e-3)[:, None], spacing_x=2e-6, spacing_y=50e-6, along="y")
    assert [round(each.pitch * 1e3, 1) for each in surface_numbers(marked).pitches_along] == [4.0]


def test_slopes_for_the_light_are_those_of_a_trace_across_and_a_trace_along():
    x = np.arange(10_000) * 0.5e-6
    z = 1e-7 * np.sin(2 * np.pi * x / 40e-6)
    expected = np.sqrt(2) * np.pi * 1e-7 / 40e-6
    across = surface_numbers(trace(z, spacing=0.5e-6, along="y"))
    assert across.number("slope_across").value == pytest.approx(expected, rel=1e-3)
    along = surface_numbers(trace(z, spacing=0.5e-6, along="x"))
    assert along.number("slope_along").value == pytest.approx(expected, rel=1e-3)
    assert all(each.symbol != "slope_across" for each in along.numbers)
    assert (along.pitches_across, along.spectrum_across, along.bands) == ((), None, (None,) * 5)
    assert along.spectrum_along is not None


def test_a_trace_has_no_areal_numbers():
    found = surface_numbers(trace(RNG(2).normal(size=10_000) * 1e-7, spacing=0.5e-6, along="y"))
    assert not any(each.symbol.startswith("S") for each in found.numbers)
    assert found.spectrum_along is None
    assert found.persistent_bands == (None,) * 5
    with pytest.raises(KeyError, match="Sa"):
        found.number("Sa")


def test_what_the_light_needs_is_refused_in_plain_words():
    coarse = surface_numbers(trace(RNG(3).normal(size=2000) * 1e-7, spacing=10e-6, along="y"))
    assert coarse.number("slope_across").reason == "points 10 µm apart are too far for a slope: 8 µm at most"
    short = surface_numbers(trace(RNG(3).normal(size=700) * 1e-7, spacing=1e-6, along="y"))
    assert short.number("slope_across").reason == "0.7 mm are too short for waves up to 80 µm: 0.8 mm at least"
    tiny = surface_numbers(trace(RNG(3).normal(size=10) * 1e-7, spacing=1e-6, along="y"))
    assert tiny.number("slope_across").reason == "too few points in a row for a spectrum"
    assert (tiny.spectrum_across, tiny.pitches_across, tiny.profiles) == (None, (), 0)


def test_the_limit_or_an_agreed_cutoff_goes_before_the_reading():
    fine = trace(0.05e-6 * np.sin(2 * np.pi * np.arange(30_000) * 0.5e-6 / 50e-6), spacing=0.5e-6, along="y")
    assert surface_numbers(fine).setting.cutoff == 0.25e-3
    limited = surface_numbers(fine, upper_limit=0.8e-6)
    assert limited.setting.cutoff == 0.8e-3
    assert "cutoff-by-reading" not in codes(limited)
    agreed = surface_numbers(fine, upper_limit=0.8e-6, cutoff=2.5e-3)
    assert agreed.setting.cutoff == 2.5e-3
    old = surface_numbers(fine, edition="ISO 4288:1996")
    assert (old.setting.edition, old.setting.cutoff, codes(old)) == ("ISO 4288:1996", 0.25e-3, [])
    with pytest.raises(ValueError, match="a cut-off must be one of"):
        surface_numbers(fine, cutoff=1e-3)


def test_periodic_profiles_may_be_read_by_their_width():
    wave = trace(1e-6 * np.sin(2 * np.pi * np.arange(40_000) * 0.5e-6 / 0.6e-3), spacing=0.5e-6, along="y")
    assert surface_numbers(wave, edition="ISO 4288:1996", periodic=True).setting.cutoff == 2.5e-3


def test_where_no_cutoff_fits_the_usual_one_is_taken_and_told():
    rough = trace(30e-6 * np.sin(2 * np.pi * np.arange(6000) * 0.5e-6 / 100e-6), spacing=0.5e-6, along="y")
    found = surface_numbers(rough)
    assert found.setting.cutoff == 0.8e-3
    assert codes(found) == ["cutoff-not-found", "trace-short"]
    assert found.remarks[0].message == (
        "No cut-off of ISO 21920-3:2021 fits what it reads; 0.8 mm is taken. Give the cut-off, or a longer trace."
    )
    assert found.remarks[1].message == (
        "2 of 5 sections of 0.8 mm fit: Ra and Rz scatter more than the standard means them to. Take 4.8 mm or more."
    )


@pytest.mark.parametrize(("along", "where"), [("x", "along the grain"), ("", "in a direction that is not known")])
def test_a_trace_that_is_not_across_is_told(along, where):
    found = surface_numbers(trace(RNG(4).normal(size=10_000) * 1e-7, spacing=0.5e-6, along=along), cutoff=0.8e-3)
    assert [remark.message for remark in found.remarks] == [
        f"The trace runs {where}; roughness numbers mean across the grain. Measure across it."
    ]


@pytest.mark.parametrize(("missing", "level"), [(10, "note"), (600, "caution")])
def test_missing_points_are_counted(missing, level):
    z = RNG(5).normal(size=10_000) * 1e-7
    z[5000 : 5000 + missing] = np.nan
    found = surface_numbers(trace(z, spacing=0.5e-6, along="y"), cutoff=0.8e-3)
    (remark,) = found.remarks
    assert (remark.code, remark.level) == ("points-missing", level)
    assert remark.message.startswith(f"{missing} points ({missing / 10_000:.1%}) were not measured.")
    assert found.number("Ra").value is not None


def test_a_surface_of_holes_is_refused():
    z = np.full((4, 100), np.nan)
    z[:, ::2] = 0.0
    with pytest.raises(ValueError, match="every row misses more than a tenth of its points"):
        surface_numbers(Surface(z, spacing_x=1e-6, spacing_y=1e-6, along="y"))


def test_the_same_surface_reads_the_same_twice():
    one, two = surface_numbers(brushed()), surface_numbers(brushed())
    assert one.numbers == two.numbers
    assert one.bands == two.bands
    assert one.pitches_across == two.pitches_across
