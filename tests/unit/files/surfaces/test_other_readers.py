"""What is written here is read by libraries that others wrote, with the same heights."""

import warnings

import numpy as np
import pytest

from evenlay.files.surfaces import write_surface
from evenlay.physics.surface_numbers.surface import Surface, trace

HEIGHT = np.random.default_rng(7).normal(size=(12, 9)) * 1e-6
HEIGHT[3:5, 6] = np.nan


def surface_topography():
    """Its reader; importing it warns of a package that it can do without."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from SurfaceTopography import open_topography
    return open_topography


@pytest.fixture(params=["y", ""])
def surface(request):
    return Surface(HEIGHT, 4e-6, 4e-6, along=request.param, source="drawn sample" if request.param else "")


def test_x3pio_reads_the_same(surface, tmp_path):
    import x3pio

    write_surface(tmp_path / "a.x3p", surface)
    theirs = x3pio.read(tmp_path / "a.x3p")
    assert theirs.revision.value == "ISO5436 - 2000"
    assert np.array_equal(theirs.layers[0].z, HEIGHT, equal_nan=True)
    assert (theirs.header.x.increment, theirs.header.y.increment) == (4e-6, 4e-6)


def test_x3pio_takes_a_trace_for_a_profile(tmp_path):
    import x3pio

    write_surface(tmp_path / "a.x3p", trace(HEIGHT[3], spacing=2e-6, along="y"))
    theirs = x3pio.read(tmp_path / "a.x3p")
    assert isinstance(theirs, x3pio.Profile)
    assert np.array_equal(theirs.layers[0].z, HEIGHT[3], equal_nan=True)


def test_sdfio_reads_the_same(surface, tmp_path):
    import sdfio

    write_surface(tmp_path / "a.sdf", surface)
    theirs = sdfio.read(tmp_path / "a.sdf")
    assert (str(theirs.header.revision), theirs.header.x_scale, theirs.header.y_scale) == ("ISO-1.0", 4e-6, 4e-6)
    assert np.array_equal(theirs.data, HEIGHT, equal_nan=True)


def test_surface_topography_reads_the_same_x3p(surface, tmp_path):
    open_topography = surface_topography()
    write_surface(tmp_path / "a.x3p", surface)
    theirs = open_topography(str(tmp_path / "a.x3p")).topography()
    assert np.array_equal(np.ma.filled(theirs.heights().T, np.nan), HEIGHT, equal_nan=True)
    # It counts the size over points, not over the gaps between them.
    assert theirs.physical_sizes == pytest.approx((9 * 4e-6, 12 * 4e-6), rel=1e-12)


def test_surface_topography_reads_the_same_sdf_where_nothing_is_missing(tmp_path):
    open_topography = surface_topography()
    # Its reader takes the standard's mark of a missing point for a height, so the surface here has none.
    write_surface(tmp_path / "a.sdf", Surface(HEIGHT[:3], 4e-6, 4e-6))
    theirs = open_topography(str(tmp_path / "a.sdf")).topography()
    # It works in µm.
    assert theirs.unit == "µm"
    assert np.asarray(theirs.heights().T) * 1e-6 == pytest.approx(HEIGHT[:3], rel=1e-12, abs=0)


@pytest.mark.parametrize("ending", [".x3p", ".sdf"])
def test_surfalize_reads_the_same(ending, surface, tmp_path):
    import surfalize

    write_surface(tmp_path / f"a{ending}", surface)
    theirs = surfalize.Surface.load(tmp_path / f"a{ending}")
    # It keeps heights and steps in µm.
    assert theirs.data * 1e-6 == pytest.approx(HEIGHT, rel=1e-12, abs=0, nan_ok=True)
    assert (theirs.step_x, theirs.step_y) == pytest.approx((4.0, 4.0), rel=1e-12)
