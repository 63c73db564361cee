"""Sample files that others wrote, in every revision, read the same as with the packages they come with, or are refused."""

from pathlib import Path

import numpy as np
import pytest

from evenlay.files.surfaces import open_surface
from evenlay.quantities.errors import InputProblems

CACHE = Path(__file__).resolve().parents[4] / ".cache" / "real-inputs"

PAGE = Path(__file__).resolve().parents[4] / "docs" / "reference" / "surface-files.md"

SDF = 39
X3P = 39
"""How many sample files each archive holds. [-]"""

REFUSED = {
    "point_cloud": "it is a cloud of points without rows and columns",
    "ISO5436-sample2": "it is a cloud of points without rows and columns",
    "layers": "it holds 3 layers on top of each other",
    "irregular": "positions along x are not in even steps",
}
"""Part of a name to the reason, first that fits."""


def samples(ending):
    return sorted(CACHE.glob(f"*/tests/*samples/**/*{ending}"))


def named(path):
    return f"{path.parent.name}/{path.name}"


needed = pytest.mark.skipif(not samples(".sdf"), reason="sample files are not there: make real-inputs brings them")


@needed
def test_every_sample_file_is_looked_at():
    assert (len(samples(".sdf")), len(samples(".x3p"))) == (SDF, X3P)


@needed
def test_the_page_says_how_many_are_read_and_refused():
    refused = [next((part for part in REFUSED if part in path.name), "") for path in samples(".x3p")]
    clouds = refused.count("point_cloud") + refused.count("ISO5436-sample2")
    layers, uneven = refused.count("layers"), refused.count("irregular")
    page = PAGE.read_text(encoding="utf-8")
    assert f"All {SDF} SDF files read the same" in page
    assert f"Of {X3P} X3P files {X3P - clouds - layers - uneven} read the same; {clouds + layers + uneven} are refused" in page
    assert f"{clouds} clouds of points, {layers} with several layers, {uneven} on uneven grids" in page


@needed
@pytest.mark.parametrize("path", samples(".sdf"), ids=named)
def test_an_sdf_sample_reads_as_with_its_package(path):
    import sdfio

    theirs, ours = sdfio.read(path), open_surface(path)
    assert np.array_equal(ours.height, theirs.data, equal_nan=True)
    assert ours.spacing_x == theirs.header.x_scale
    assert ours.is_trace or ours.spacing_y == theirs.header.y_scale


@needed
@pytest.mark.parametrize("path", samples(".x3p"), ids=named)
def test_an_x3p_sample_reads_as_with_its_package_or_is_refused_with_the_reason(path):
    import x3pio

    reason = next((reason for part, reason in REFUSED.items() if part in path.name), "")
    if reason:
        with pytest.raises(InputProblems, match=reason):
            open_surface(path)
        return
    theirs, ours = x3pio.read(path), open_surface(path)
    (layer,) = theirs.layers
    assert np.array_equal(ours.height, np.atleast_2d(layer.z), equal_nan=True)
    for axis, spacing in ((theirs.header.x, ours.spacing_x), (theirs.header.y, ours.spacing_y)):
        # An absolute axis stores each position as rounded numbers: the mean step is right to their rounding.
        wanted = axis.increment if axis.is_incremental else spacing_of(layer, axis is theirs.header.y)
        assert spacing == pytest.approx(wanted, rel=1e-12 if axis.is_incremental else 1e-6) or ours.is_trace


def spacing_of(layer, along_y):
    positions = np.asarray(layer.y if along_y else layer.x)
    steps = np.diff(positions, axis=0 if along_y else 1)
    return float(np.nanmedian(steps))
