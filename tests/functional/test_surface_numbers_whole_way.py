"""Second way, from the file to the number: a surface as an instrument saves it, read here and by another library with the same settings."""

import warnings

import numpy as np
import pytest

from evenlay.files.surfaces import open_surface, write_surface
from evenlay.physics.surface_numbers import Surface, surface_numbers, trace

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it warns at import that a parallel library is not there
    import surfalize

CUTOFF = 0.8e-3
STEP = 4e-6


def grooves(seed, *, rows, points, spacing):
    """Grooves of rms 0.4 um, partly the same all along, under a wave of 2.5 mm and a tilt of a thousandth; lower halves are deepened."""
    drawn = np.random.default_rng(seed)
    bell = np.hanning(round(84e-6 / spacing))
    shared = np.convolve(drawn.normal(size=points + 2 * bell.size), bell, "same")[bell.size : -bell.size]
    single = np.stack([np.convolve(row, bell, "same") for row in drawn.normal(size=(rows, points))])
    along = np.exp(-((np.fft.rfftfreq(rows) * 20.0) ** 2))[:, None]
    single = np.fft.irfft(np.fft.rfft(single, axis=0) * along, rows, axis=0)
    z = 0.3e-6 * shared / shared.std() + 0.3e-6 * single / single.std()
    z = np.where(z < 0.0, 1.3 * z, z)
    x = np.arange(points) * spacing
    return z + 0.5e-6 * np.sin(2.0 * np.pi * x / 2.5e-3) + 1e-3 * x


@pytest.fixture(scope="module", params=[(3, ".x3p"), (4, ".sdf")], ids=["x3p", "sdf"])
def both(request, tmp_path_factory):
    """The S-L surface and its numbers, ours and theirs, off one file."""
    seed, ending = request.param
    path = tmp_path_factory.mktemp("map") / f"map{ending}"
    write_surface(path, Surface(grooves(seed, rows=700, points=1000, spacing=STEP), STEP, STEP, along="y"))
    ours = surface_numbers(open_surface(path), cutoff=CUTOFF)
    theirs = surfalize.Surface.load(path).level().filter("highpass", CUTOFF * 1e6)
    edge = round(0.5 * CUTOFF / STEP)
    return ours, surfalize.Surface(theirs.data[edge:-edge, edge:-edge], STEP * 1e6, STEP * 1e6)


MOMENTS = {
    "Sa": (1, lambda z: np.mean(np.abs(z))),
    "Sq": (1, lambda z: np.sqrt(np.mean(z**2))),
    "Ssk": (3, lambda z: np.mean(z**3) / np.mean(z**2) ** 1.5),
    "Sku": (4, lambda z: np.mean(z**4) / np.mean(z**2) ** 2),
}
"""
Heights count from the filter's mean surface, as the standard has it. The library counts them from the mean of the part that is left, which
here lies 2 % of Sq away; on equal heights its own calls agree with ours to rounding (test_against_libraries).
"""


@pytest.mark.parametrize("symbol", MOMENTS)
def test_moments_of_the_heights_are_those_of_the_surface_that_the_library_filters(both, symbol):
    ours, theirs = both
    scale = 1e6 if symbol in ("Sa", "Sq") else 1.0
    order, moment = MOMENTS[symbol]
    # Its filter mirrors the map at its edges where ours rescales its weights: heights differ by 3 nm on the rim that is kept, by less than
    # 0.1 nm further in (Ssk then agrees to 1e-5). That is 5e-4 of Sq all over, and counts as often as a height is multiplied.
    assert ours.number(symbol).value * scale == pytest.approx(moment(theirs.data), rel=5e-4 * order, abs=5e-4 * order)


LENGTHS = {"Sz": 1e-3, "Sk": 1e-3, "Spk": 5e-3, "Svk": 5e-3, "Sal": 5e-3}
"""Symbol to relative tolerance. Its material ratio curve has 10 000 classes; its decay is read between whole points. [-]"""


@pytest.mark.parametrize("symbol", LENGTHS)
def test_areal_heights_of_a_file_are_those_of_the_library(both, symbol):
    ours, theirs = both
    assert ours.number(symbol).value * 1e6 == pytest.approx(getattr(theirs, symbol)(), rel=LENGTHS[symbol])


def test_areal_material_ratios_of_a_file_are_those_of_the_library(both):
    ours, theirs = both
    assert ours.number("Smrk1").value == pytest.approx(theirs.Smrk1() / 100, abs=5e-4)
    assert ours.number("Smrk2").value == pytest.approx(theirs.Smrk2() / 100, abs=5e-4)


def test_areal_slopes_of_a_file_exceed_those_of_differences_by_less_than_one_per_cent(both):
    ours, theirs = both
    # differences over two points keep sinc of the wave: grooves of 84 um at 4 um spacing lose about half a per cent of the slope
    assert 1.0 < ours.number("Sdq").value / theirs.Sdq() < 1.01
    assert 1.0 < ours.number("Sdr").value * 100 / theirs.Sdr() < 1.02


@pytest.fixture(scope="module")
def profiles(tmp_path_factory):
    """One evaluation length with the filter's run-in at its ends, as a text file of a stylus, and the other library's profile of it."""
    spacing = 0.5e-6
    z = grooves(7, rows=1, points=9601, spacing=spacing)[0]
    path = tmp_path_factory.mktemp("trace") / "trace.csv"
    write_surface(path, trace(z, spacing=spacing, along="y"))
    theirs = surfalize.Profile(z * 1e6, spacing * 1e6).level().filter("bandpass", 2.5, CUTOFF * 1e6)
    return path, surfalize.Profile(theirs.data[800:8800], spacing * 1e6)


PROFILE = {"Ra": 1e-3, "Rq": 1e-3, "Rz": 2e-3, "Rp": 1e-2, "Rv": 1e-2, "Rt": 2e-3, "Rk": 5e-3, "Rpk": 2e-2, "Rvk": 2e-2}
"""Symbol to relative tolerance; ends as above. Rp and Rv count from another zero; Rpk and Rvk from classes. [-]"""


@pytest.mark.parametrize("symbol", PROFILE)
def test_profile_heights_of_a_file_are_those_of_the_library(profiles, symbol):
    path, theirs = profiles
    ours = surface_numbers(open_surface(path), cutoff=CUTOFF)
    assert ours.profiles == 1
    assert ours.number(symbol).value * 1e6 == pytest.approx(getattr(theirs, symbol)(), rel=PROFILE[symbol])


def test_the_older_edition_reads_five_times_and_takes_the_mean(profiles):
    path, theirs = profiles
    ours = surface_numbers(open_surface(path), cutoff=CUTOFF, edition="ISO 4288:1996")
    fifths = [surfalize.Profile(part, 0.5) for part in np.split(theirs.data, 5)]
    sections = [float(np.sqrt(np.mean(part.data**2))) for part in fifths]
    assert ours.number("Rq").value * 1e6 == pytest.approx(np.mean(sections), rel=2e-3)
    new = surface_numbers(open_surface(path), cutoff=CUTOFF)
    assert new.number("Rq").value * 1e6 == pytest.approx(np.sqrt(np.mean(np.square(sections))), rel=2e-3)
    assert new.number("Rq").value > ours.number("Rq").value
