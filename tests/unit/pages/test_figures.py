"""Pictures of a plan: axes in, axes out, and every drawn number that of the answer."""

import colorsys
import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from evenlay.job.answer_parts import NotKnown, Number
from evenlay.pages import figures
from evenlay.pages.figures import (
    FLOOR,
    LINE_STYLE,
    LOWEST,
    last_cut_row,
    passes_row,
    pitch_chart,
    plan_figures,
    plan_pictures,
    ruler_across,
    ruler_along,
    visibility_row,
)
from evenlay.quantities.known import KNOWN_ORDER


@pytest.fixture
def axis():
    return Figure(figsize=(9.0, 4.0)).subplots()


@pytest.fixture(scope="module")
def pictures(lid_plan):
    return plan_pictures(lid_plan)


def words_of(axis):
    return " ".join([axis.get_title(loc="left"), *(text.get_text() for text in axis.texts), *_legend(axis)])


def _legend(axis):
    legend = axis.get_legend()
    return [] if legend is None else [text.get_text() for text in legend.get_texts()]


def line_with(axis, size):
    return next(line for line in axis.lines if np.size(line.get_xdata()) == size)


@pytest.mark.parametrize("draw", [passes_row, last_cut_row, pitch_chart])
def test_an_axis_that_goes_in_comes_out(lid_plan, axis, draw):
    assert draw(lid_plan, axis) is axis


def test_a_ruler_gives_back_its_axes_from_top_to_bottom_on_one_scale(lid_plan):
    for ruler, count in ((ruler_across, 6), (ruler_along, 2 + len(lid_plan.along.curves))):
        axes = ruler(lid_plan, Figure(figsize=(9.0, 10.0)))
        assert len(axes) == count
        assert all(isinstance(axis, Axes) for axis in axes)
        assert len({axis.get_xlim() for axis in axes}) == 1
        tops = [axis.get_position().y0 for axis in axes]
        assert tops == sorted(tops, reverse=True)


def test_the_passes_drawn_are_those_of_the_plan(lid_plan, axis):
    passes_row(lid_plan, axis)
    assert len(axis.patches) == len(lid_plan.ruler.passes)
    for bar, (number, centre, left, right) in zip(axis.patches, lid_plan.ruler.passes, strict=True):
        assert bar.get_x() == pytest.approx(1e3 * left)
        assert bar.get_width() == pytest.approx(1e3 * (right - left))
        assert number + 0.5 < bar.get_y() + 0.5 * bar.get_height() <= number + 1
        assert left < centre < right
    assert f"{1e3 * lid_plan.settings.step_over:.1f} mm" in words_of(axis)
    assert len(axis.get_yticks()) == lid_plan.settings.rounds


def test_the_last_cut_changes_where_the_plan_says(lid_plan, axis):
    last_cut_row(lid_plan, axis)
    owner, position = lid_plan.ruler.last_cut, lid_plan.ruler.position
    changes = [1e3 * position[index] for index in range(1, len(owner)) if owner[index] != owner[index - 1]]
    starts = sorted(line.get_xdata()[0] for line in axis.lines)
    assert starts[1:] == pytest.approx(changes)
    shades = [patch.get_facecolor() for patch in axis.patches]
    assert all(one != other for one, other in pairwise(shades))


def test_the_curves_across_are_those_of_the_plan(lid_plan):
    axes = ruler_across(lid_plan, Figure(figsize=(9.0, 10.0)))
    ruler = lid_plan.ruler
    for axis, curve, scale in ((axes[2], ruler.removal, 1e6), (axes[4], ruler.luminance, 100.0)):
        line = line_with(axis, len(ruler.position))
        assert line.get_xdata() == pytest.approx(1e3 * np.array(ruler.position))
        assert line.get_ydata() == pytest.approx(scale * np.array(curve))
    foot = line_with(axes[1], len(ruler.footprint_position))
    assert foot.get_ydata() == pytest.approx(np.array(ruler.footprint))
    assert max(foot.get_ydata()) == pytest.approx(1.0)
    band = axes[2].collections[0].get_paths()[0].vertices[:, 1]
    assert band.max() == pytest.approx(1e6 * max(ruler.removal_high))
    assert f"{1e3 * lid_plan.contact.ramp.value:.1f} mm" in words_of(axes[1])


def test_a_plumb_line_from_every_change_of_the_last_cut_runs_through_every_axis(lid_plan):
    axes = ruler_across(lid_plan, Figure(figsize=(9.0, 10.0)))
    owner, position = lid_plan.ruler.last_cut, lid_plan.ruler.position
    changes = {round(1e3 * position[index], 6) for index in range(1, len(owner)) if owner[index] != owner[index - 1]}
    for axis in axes:
        upright = {round(float(line.get_xdata()[0]), 6) for line in axis.lines if tuple(line.get_ydata()) == (0, 1)}
        assert changes <= upright


def test_the_curves_along_are_those_of_the_plan_and_the_patch_is_at_true_scale(lid_plan):
    axes = ruler_along(lid_plan, Figure(figsize=(9.0, 7.0)))
    patch = axes[0].patches[0]
    assert patch.get_width() == pytest.approx(1e3 * lid_plan.along.patch_length)
    for axis, (label, curve) in zip(axes[1:-1], lid_plan.along.curves, strict=True):
        assert line_with(axis, len(lid_plan.along.position)).get_ydata() == pytest.approx(100.0 * np.array(curve))
        assert label in words_of(axis)


def stems(axis):
    return [collection for collection in axis.collections if hasattr(collection, "get_segments")]


def test_stems_stand_where_the_lines_lie_and_are_as_high_as_their_band(lid_plan):
    axes = ruler_along(lid_plan, Figure(figsize=(9.0, 7.0)))
    known = [mark for mark in lid_plan.marks if mark.direction == "along" and isinstance(mark.strength, Number)]
    drawn = stems(axes[-1])
    assert len(drawn) == len(known)
    for collection, mark in zip(drawn, known, strict=True):
        segments = collection.get_segments()
        pitch = 1e3 * mark.pitches[0][1].value
        assert [segment[0][0] for segment in segments] == pytest.approx([pitch * index for index in range(len(segments))])
        for segment in segments:
            assert segment[:, 1] == pytest.approx([max(mark.strength.low, LOWEST), max(mark.strength.high, LOWEST)])
    for mark in known:
        assert f"{mark.label} {mark.strength.value:.2g}" in words_of(axes[-1]).replace("\n", " ")


def test_stems_across_stand_at_the_edges_of_the_last_cut(lid_plan):
    axes = ruler_across(lid_plan, Figure(figsize=(9.0, 10.0)))
    owner, position = lid_plan.ruler.last_cut, lid_plan.ruler.position
    changes = [1e3 * position[index] for index in range(1, len(owner)) if owner[index] != owner[index - 1]]
    (overlap,) = stems(axes[5])
    assert [segment[0][0] for segment in overlap.get_segments()] == pytest.approx(changes)
    # Belt lines may lie anywhere: a hatched stretch over their band.
    assert any(patch.get_hatch() for patch in axes[5].patches)


def test_a_cause_of_unknown_strength_is_named_and_has_no_stem(lid_plan):
    unknown = [mark.label for mark in lid_plan.marks if isinstance(mark.strength, NotKnown)]
    assert unknown
    bottom = ruler_along(lid_plan, Figure(figsize=(9.0, 7.0)))[-1]
    chart = pitch_chart(lid_plan, Figure().subplots())
    for label in unknown:
        assert label in words_of(bottom).replace("\n", " ").split("strength unknown")[1]
        assert f"{label}: strength unknown" in words_of(chart)


def test_with_nothing_known_a_row_still_names_every_cause(lid_plan, axis):
    marks = [mark.model_copy(update={"strength": NotKnown(measure="it")}) for mark in lid_plan.marks]
    visibility_row(marks, {}, axis, lid_plan)
    for mark in marks:
        assert mark.label in words_of(axis).replace("\n", " ")


def test_the_chart_has_a_mark_for_every_spacing_of_known_strength_with_its_band(lid_plan, axis):
    pitch_chart(lid_plan, axis)
    points = {tuple(np.ravel(line.get_xydata())) for line in axis.lines if line.get_marker() not in ("", "None", None)}
    bars = [line.get_xydata() for line in axis.lines if np.shape(line.get_xydata()) == (2, 2)]
    for mark in lid_plan.marks:
        if not isinstance(mark.strength, Number) or not mark.pitches:
            continue
        x, y = 1e3 * mark.pitches[0][1].value, max(mark.strength.value, FLOOR)
        assert any(point == pytest.approx((x, y)) for point in points if len(point) == 2), mark.key
        ends = [max(mark.strength.low, FLOOR), max(mark.strength.high, FLOOR)]
        assert any(bar[:, 0] == pytest.approx([x, x]) and bar[:, 1] == pytest.approx(ends) for bar in bars), mark.key
        assert mark.label in words_of(axis)
        low, high = axis.get_xlim()
        assert low <= x <= high, mark.key
        assert axis.get_ylim()[0] <= y <= axis.get_ylim()[1], mark.key


def test_the_chart_shades_what_the_eye_sees_best_at_the_distance(lid_plan, axis):
    pitch_chart(lid_plan, axis)
    shade = axis.patches[0]
    assert shade.get_x() == pytest.approx(1e3 * lid_plan.eye_band.low)
    assert shade.get_x() + shade.get_width() == pytest.approx(1e3 * lid_plan.eye_band.high)
    assert f"{lid_plan.distance.value:.2g} m" in words_of(axis)
    assert "order firm, level not" in words_of(axis)
    assert "calibrated" in words_of(pitch_chart(lid_plan.model_copy(update={"calibrated": True}), Figure().subplots()))


@pytest.mark.parametrize("factor", [0.02, 20.0])
def test_spacings_far_finer_or_wider_than_usual_stay_on_the_chart(lid_plan, axis, factor):
    marks = []
    for mark in lid_plan.marks:
        pitches = tuple((name, number.model_copy(update={"value": factor * number.value})) for name, number in mark.pitches)
        marks.append(mark.model_copy(update={"pitches": pitches}))
    pitch_chart(lid_plan.model_copy(update={"marks": tuple(marks)}), axis)
    low, high = axis.get_xlim()
    for mark in marks:
        for _, number in mark.pitches[:1]:
            assert low <= 1e3 * number.value <= high, mark.key


def test_every_picture_says_on_what_the_plan_rests(lid_plan):
    made = plan_figures(lid_plan)
    assert set(made) == {"across", "along", "pitches"}
    for figure in made.values():
        title = " ".join(figure.get_suptitle().split())
        assert lid_plan.rests_on in title
        assert lid_plan.job in title


def test_the_way_of_knowing_is_drawn_by_dashes():
    assert set(LINE_STYLE) == set(KNOWN_ORDER)
    assert LINE_STYLE["guess"] != LINE_STYLE["handbook"] != LINE_STYLE["measured"]


def colours_in(svg):
    text = svg.decode()
    return {match.lower() for match in re.findall(r"#[0-9a-fA-F]{6}\b", text)} - set(re.findall(r'"#([^"]+)"', text))


def test_nothing_is_told_by_colour_so_all_is_readable_in_grey(pictures):
    for name, content in pictures.items():
        if not name.endswith(".svg"):
            continue
        for colour in colours_in(content):
            _, _, saturation = colorsys.rgb_to_hls(*to_rgb(colour))
            assert saturation < 0.02, (name, colour)


def test_the_greys_used_can_be_told_apart():
    shades = sorted(colorsys.rgb_to_hls(*to_rgb(colour))[1] for colour in (figures.INK, figures.MIDDLE, figures.PALE, "white"))
    assert min(b - a for a, b in pairwise(shades)) > 0.15


def test_the_pictures_are_png_and_svg_by_name(pictures):
    assert set(pictures) == {f"{name}.{kind}" for name in ("across", "along", "pitches") for kind in ("png", "svg")}
    for name, content in pictures.items():
        if name.endswith(".png"):
            assert content.startswith(b"\x89PNG")
        else:
            assert ElementTree.fromstring(content).tag.endswith("svg")


def test_the_same_plan_gives_the_same_bytes_twice(lid_plan, pictures):
    assert plan_pictures(lid_plan) == pictures


def test_drawing_leaves_the_styles_of_others_alone(lid_plan):
    before = dict(mpl.rcParams)
    plan_figures(lid_plan)
    assert dict(mpl.rcParams) == before
