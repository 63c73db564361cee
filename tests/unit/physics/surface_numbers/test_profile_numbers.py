"""R numbers from rows: filtered sines in closed form, both editions, and what short or coarse rows cannot support."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.profile_numbers import chosen_rows, consistent_setting, pieces, profile_numbers
from evenlay.physics.surface_numbers.settings import setting

OLD, NEW = "ISO 4288:1996", "ISO 21920-3:2021"


def sine(wavelength, *, amplitude=1e-6, length=4.8e-3, spacing=0.5e-6):
    x = np.arange(round(length / spacing) + 1) * spacing
    return amplitude * np.sin(2 * np.pi * x / wavelength)[None, :]


def mean_of(found):
    return {symbol: float(np.mean(values)) for symbol, values in found.values.items()}


@pytest.mark.parametrize("edition", [OLD, NEW])
@pytest.mark.parametrize("wavelength", [0.1e-3, 0.2e-3, 0.4e-3])
def test_a_filtered_sine_has_its_closed_forms(edition, wavelength):
    # whole waves in every section, so that both editions agree; transmissions of both limits are exact
    long, short = 0.8e-3, 2.5e-6
    kept = (1 - 2 ** -((long / wavelength) ** 2)) * 2 ** -((short / wavelength) ** 2)
    got = mean_of(profile_numbers(sine(wavelength), spacing=0.5e-6, used=setting(long, edition=edition)))
    # at half a cut-off from the end 0.4 % of the weights are missing, of which the waves make little
    near = {"rel": 3e-3}
    assert got["Ra"] == pytest.approx(kept * 2e-6 / np.pi, **near)
    assert got["Rq"] == pytest.approx(kept * 1e-6 / np.sqrt(2), **near)
    assert got["Rz"] == pytest.approx(kept * 2e-6, **near)
    assert got["Rt"] == pytest.approx(kept * 2e-6, rel=1e-2)
    assert got["Rdq"] == pytest.approx(kept * np.sqrt(2) * np.pi * 1e-6 / wavelength, **near)
    assert got["RSm"] == pytest.approx(wavelength, rel=1e-3)
    assert got["Rsk"] == pytest.approx(0.0, abs=0.01)
    assert got["Rku"] == pytest.approx(1.5, **near)


def test_a_wave_as_long_as_the_cutoff_keeps_half():
    got = mean_of(profile_numbers(sine(0.8e-3, length=12e-3), spacing=0.5e-6, used=setting(0.8e-3)))
    assert got["Ra"] == pytest.approx(1e-6 / np.pi, rel=3e-3)


def test_soft_gauge_data_of_two_waves_read_as_their_closed_form():
    # geometry of the soft gauges: 22401 points 0.25 um apart, 5.6 mm, cut-off 0.8 mm
    x = np.arange(22_401) * 0.25e-6
    heights = {0.1e-3: 1e-6, 1.6e-3: 2e-6}
    z = sum(a * np.sin(2 * np.pi * x / wave + wave * 1e4) for wave, a in heights.items())[None, :]
    got = mean_of(profile_numbers(z, spacing=0.25e-6, used=setting(0.8e-3)))
    kept = [a * (1 - 2 ** -((0.8e-3 / wave) ** 2)) * 2 ** -((2.5e-6 / wave) ** 2) for wave, a in heights.items()]
    # 4 mm hold 2.5 of the longer waves: their mean square differs from the half by up to 1/(5 pi)
    assert got["Rq"] == pytest.approx(np.sqrt(sum(a * a for a in kept) / 2), rel=5e-3)


def test_the_editions_part_where_sections_differ():
    rng = np.random.default_rng(1)
    rough = rng.normal(size=9600) * np.repeat([1.0, 1.0, 3.0, 0.5, 2.0, 0.2, 1.0], [800, *[1600] * 5, 800]) * 1e-6
    old, new = (mean_of(profile_numbers(rough[None, :], spacing=0.5e-6, used=setting(0.8e-3, edition=each))) for each in (OLD, NEW))
    assert old["Ra"] == pytest.approx(new["Ra"], rel=1e-12)  # a mean of means over equal sections
    assert old["Rq"] < 0.9 * new["Rq"]
    assert old["Rku"] < 0.7 * new["Rku"]
    assert old["Rz"] == new["Rz"]


def test_more_than_one_evaluation_length_is_read_and_their_scatter_told():
    z = np.random.default_rng(2).normal(size=(3, 26_000)) * 1e-6
    found = profile_numbers(z, spacing=0.5e-6, used=setting(0.8e-3))
    assert found.values["Ra"].shape == (9,)
    assert found.values["Rk"].shape == (9,)


@pytest.mark.parametrize("edition", [OLD, NEW])
def test_of_one_evaluation_length_the_sections_are_compared(edition):
    z = np.random.default_rng(3).normal(size=(1, 9601)) * 1e-6
    found = profile_numbers(z, spacing=0.5e-6, used=setting(0.8e-3, edition=edition))
    assert found.values["Rz"].shape == (5,)
    assert found.values["Ra"].shape == ((5,) if edition == OLD else (1,))
    assert found.values["Rt"].shape == (1,)


def test_a_millimetre_holds_no_skewness_and_less_than_two_cutoffs_hold_nothing():
    short = profile_numbers(sine(0.1e-3, length=2.5e-3), spacing=0.5e-6, used=setting(0.8e-3))
    assert set(short.values) == {"Ra", "Rq", "Rp", "Rv", "Rz", "RSm", "Rdq"}
    assert short.reasons["Rsk"] == ("2 of 5 sections are there: the evaluation length of 4 mm and half a cut-off at either end need 4.8 mm")
    none = profile_numbers(sine(0.1e-3, length=1e-3), spacing=0.5e-6, used=setting(0.8e-3))
    assert none.values == {}
    assert none.reasons["Ra"] == "1 mm are too short: one section of 0.8 mm and as much for the filter need 1.6 mm"
    assert len(none.reasons) == 15


def test_points_too_far_apart_have_no_slope_and_too_few_elements_no_width():
    found = profile_numbers(sine(0.7e-3, spacing=10e-6, length=4.8e-3), spacing=10e-6, used=setting(0.25e-3))
    assert found.reasons["Rdq"] == "points 10 µm apart are too far for a slope: 8 µm at most"
    few = profile_numbers(sine(0.6e-3, length=2.5e-3), spacing=0.5e-6, used=setting(0.8e-3))
    assert few.reasons["RSm"] == "1.5 whole profile elements are too few for a mean width: 5 at least"


def test_a_flat_has_heights_of_nought_and_no_shape():
    found = profile_numbers(np.zeros((1, 9601)), spacing=0.5e-6, used=setting(0.8e-3))
    assert float(np.mean(found.values["Ra"])) == 0.0
    assert found.reasons["Rsk"] == "all heights are zero: their distribution has no shape"
    assert found.reasons["RSm"].startswith("0 whole profile elements")


def test_few_points_in_an_evaluation_length_make_no_material_ratio_curve():
    found = profile_numbers(np.random.default_rng(4).normal(size=(1, 31)), spacing=50e-6, used=setting(0.25e-3))
    assert found.reasons["Rk"] == "25 heights are too few for a material ratio curve: 100 at least"


def test_the_core_takes_the_filter_of_its_edition():
    z = np.random.default_rng(5).normal(size=(1, 9601)) * 0.2e-6
    z[0, ::160] -= 5e-6
    z[0, 1::160] -= 5e-6
    old, new = (mean_of(profile_numbers(z, spacing=0.5e-6, used=setting(0.8e-3, edition=each))) for each in (OLD, NEW))
    assert old["Rvk"] != new["Rvk"]
    assert old["Rk"] == pytest.approx(new["Rk"], rel=0.1)


def test_pieces_leave_half_a_cutoff_at_either_end():
    z = np.zeros((1, 9600))
    z[0, :800] = z[0, -800:] = 1.0
    cut = pieces(z, spacing=0.5e-6, used=setting(0.8e-3))
    assert cut.shape == (1, 5, 1600)
    assert pieces(z, spacing=0.5e-6, used=setting(8e-3)).shape[0] == 0
    assert pieces(np.zeros((1, 30)), spacing=1e-3, used=setting(0.08e-3)).shape == (0, 1, 1)


def test_rows_are_levelled_bridged_and_thinned_evenly():
    z = np.tile(np.linspace(0, 1, 50), (300, 1)) + np.arange(300)[:, None]
    z[:, 7] = np.nan
    found = chosen_rows(z)
    assert found.shape == (64, 50)
    assert np.abs(found).max() < 1e-10
    with pytest.raises(ValueError, match="every row misses more than a tenth"):
        chosen_rows(np.full((2, 20), np.nan))


@pytest.mark.parametrize(("Ra", "cutoff"), [(0.05e-6, 0.25e-3), (0.5e-6, 0.8e-3), (4e-6, 2.5e-3)])
@pytest.mark.parametrize("edition", [OLD, NEW])
def test_the_cutoff_is_the_one_whose_class_holds_what_it_reads(Ra, cutoff, edition):
    z = sine(0.05e-3, amplitude=Ra * np.pi / 2, length=16e-3, spacing=1e-6)
    assert consistent_setting(z, spacing=1e-6, edition=edition).cutoff == cutoff


def test_of_two_cutoffs_that_fit_the_older_edition_takes_the_shorter():
    # a bow of 6 mm reads 18 um at 8 mm and 3 um at 2.5 mm, each in the class of its cut-off
    x = np.arange(30_000) * 1e-6
    z = (0.15e-6 * np.sin(2 * np.pi * x / 0.05e-3) + 40e-6 * np.sin(2 * np.pi * x / 6e-3))[None, :]
    assert consistent_setting(z, spacing=1e-6, edition=OLD).cutoff == 2.5e-3
    assert consistent_setting(z, spacing=1e-6, edition=NEW).cutoff == 8e-3


def test_periodic_profiles_go_by_their_width_in_the_older_edition_only():
    z = sine(0.6e-3, amplitude=1e-6, length=16e-3, spacing=1e-6)
    assert consistent_setting(z, spacing=1e-6, edition=OLD, periodic=True).cutoff == 2.5e-3
    assert consistent_setting(z, spacing=1e-6, edition=NEW, periodic=True).cutoff == 0.8e-3


def test_no_cutoff_fits_a_rough_face_on_a_short_trace_nor_a_flat():
    assert consistent_setting(sine(0.1e-3, amplitude=20e-6, length=3e-3), spacing=0.5e-6, edition=NEW) is None
    assert consistent_setting(np.zeros((1, 9000)), spacing=0.5e-6, edition=OLD) is None
    assert consistent_setting(np.zeros((1, 9000)), spacing=0.5e-6, edition=OLD, periodic=True) is None
