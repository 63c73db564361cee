"""Parts of the drawn sample: options as text, light on a map, words of caution."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.answers.sample_options import asked, placed, variants
from evenlay.answers.sample_pictures import Mapped, drawn_luminance, measured_map
from evenlay.physics.surface_numbers.surface import Surface, trace
from evenlay.physics.viewing.facets import FacetFinish, Lighting
from evenlay.quantities.errors import InputProblems

FINISH = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05, reference_slope=0.1)


def waves(rows=40, length=8e-3, *, samples=4e-6, spacing=4e-4):
    """Fine grooves whose slope is twice as large in the middle third across."""
    place = np.arange(round(length / samples)) * samples
    third = np.where(np.abs(place / length - 0.5) < 1.0 / 6.0, 0.2, 0.1)
    row = third * np.sqrt(2.0) * 40e-6 / (2.0 * np.pi) * np.sin(2.0 * np.pi * place / 40e-6)
    return Mapped(np.tile(row, (rows, 1)), samples, spacing)


def test_a_drawn_map_has_its_size_in_dots_and_its_bands_in_their_place() -> None:
    mapped = waves()
    for dpi in (150, 300, 600):
        light, pixel = drawn_luminance(mapped, light=Lighting(0.3), finish=FINISH, dpi=dpi)
        assert pixel == pytest.approx(0.0254 / dpi)
        assert light.shape[0] * pixel == pytest.approx(8e-3, abs=2.0 * max(pixel, 80e-6))
        assert light.shape[1] * pixel == pytest.approx(16e-3, abs=2.0 * max(pixel, 4e-4))
        profile = np.mean(light, axis=1)
        bright = np.flatnonzero(profile > 0.5 * (profile.min() + profile.max())) * pixel
        assert bright[0] == pytest.approx(8e-3 / 3.0, abs=3e-4) and bright[-1] == pytest.approx(16e-3 / 3.0, abs=3e-4)


def test_between_rows_the_light_runs_straight() -> None:
    mapped = waves(rows=3)
    rough = mapped.height.copy()
    rough[1] *= 2.0
    light, pixel = drawn_luminance(Mapped(rough, 4e-6, 4e-4), light=Lighting(0.3), finish=FINISH, dpi=600)
    along = np.mean(light, axis=0)
    middle = round(6e-4 / pixel)
    assert np.all(np.diff(along[round(2e-4 / pixel) : middle - 1]) > 0.0) and np.all(
        np.diff(along[middle + 1 : round(1e-3 / pixel) - 1]) < 0.0
    )


def test_a_measured_map_is_turned_levelled_and_bridged() -> None:
    mapped = waves()
    tilted = mapped.height + 1e-4 * np.linspace(0.0, 1.0, mapped.height.shape[0])[:, None]
    holed = tilted.copy()
    holed[5, 100:104] = np.nan
    for surface in (
        Surface(holed, spacing_x=4e-6, spacing_y=4e-4, along="y"),
        Surface(holed.T, spacing_x=4e-4, spacing_y=4e-6, along="x"),
    ):
        found, reason = measured_map(surface, dpi=300)
        assert reason == "" and (found.samples, found.rows) == (4e-6, 4e-4)
        assert np.max(np.abs(found.height[6] - mapped.height[6])) < 3e-7
        assert np.all(np.isfinite(found.height))


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        (trace(np.sin(np.arange(2000.0)) * 1e-6, spacing=1e-6, along="y"), "a trace"),
        (Surface(np.zeros((50, 300)), spacing_x=20e-6, spacing_y=1e-4, along="y"), "20 µm apart"),
        (Surface(np.zeros((50, 300)), spacing_x=1e-6, spacing_y=1e-6, along="y"), "too small"),
    ],
)
def test_what_cannot_be_drawn_honestly_is_not_drawn_and_says_why(surface, words) -> None:
    found, reason = measured_map(surface, dpi=300)
    assert found is None and words in reason


def test_variants_share_a_unit_and_take_words_too() -> None:
    assert [one.changes for one in variants("feed=60, 120,240 mm/s")] == [{"feed": f"{each} mm/s"} for each in (60, 120, 240)]
    assert [one.changes for one in variants("belt.grit=P120,P180")] == [{"belt.grit": "P120"}, {"belt.grit": "P180"}]
    assert [one.changes for one in variants("rounds=1,2")] == [{"rounds": "1"}, {"rounds": "2"}]
    assert [one.changes for one in variants("step_over=10 mm,0.5in")] == [{"step_over": "10 mm"}, {"step_over": "0.5 in"}]
    assert [one.changes for one in variants("")] == [{}]
    with pytest.raises(InputProblems, match="two to 6"):
        variants("feed=1,2,3,4,5,6,7mm/s")


def test_a_piece_lies_in_the_middle_unless_told_and_never_over_the_edge() -> None:
    ask = asked(size="100 mm x 50 mm")
    assert placed(ask, along=0.42, across=0.3) == pytest.approx((0.16, 0.125))
    assert placed(asked(size="100 mm x 50 mm", at="10 mm, 0 mm"), along=0.42, across=0.3) == pytest.approx((0.01, 0.0))
    whole = asked(size="420 mm x 300 mm")
    assert placed(whole, along=0.42, across=0.3) == (0.0, 0.0)
    with pytest.raises(InputProblems, match="hang over the edge"):
        placed(asked(size="100 mm x 50 mm", at="-1 mm, 0 mm"), along=0.42, across=0.3)
    with pytest.raises(InputProblems, match="first"):
        placed(asked(size="50 mm x 400 mm"), along=0.42, across=0.3)
