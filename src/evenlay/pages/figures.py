"""Pictures of a plan: axes in, axes out; nothing is computed here but positions on paper."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any, Final

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter

from evenlay.job.answer_parts import MarkRecord, Number
from evenlay.job.plan_record import PlanRecord
from evenlay.quantities.units import format_ratio

INK: Final = "#1A1A1A"
PALE: Final = "#D4D4D4"
MIDDLE: Final = "#8C8C8C"
LINE_STYLE: Final = {"measured": "-", "fitted": "-", "handbook": (0, (5, 3)), "guess": (0, (1, 2)), "asked": "-"}
"""How a curve is drawn by how it is known: never by colour."""

MARKERS: Final = ("o", "s", "^", "v", "D", "P", "X", "<", ">", "*")
GLYPHS: Final = {"o": "●", "s": "■", "^": "▲", "v": "▼", "D": "◆", "P": "✚", "X": "✖", "<": "◀", ">": "▶", "*": "★"}
"""How a marker is written in a title."""

MM: Final = 1e3
UM: Final = 1e6

STYLE: Final[dict[str, Any]] = {
    "svg.fonttype": "path",
    "svg.hashsalt": "evenlay",
    "font.size": 9,
    "axes.edgecolor": INK,
    "axes.linewidth": 0.7,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "figure.facecolor": "white",
    "savefig.dpi": 150,
}


def ruler_across(plan: PlanRecord, figure: Figure) -> list[Axes]:
    """
    One millimetre ruler across the grain: passes, footprint, stock removed, last cut, light, line visibility.

    Parameters
    ----------
    plan : PlanRecord
    figure : matplotlib.figure.Figure
        Empty; gets six axes that share the ruler.

    Returns
    -------
    list of Axes
        From top to bottom.
    """
    heights = [0.9 + 0.32 * plan.settings.rounds, 0.9, 1.5, 0.5, 1.1, 2.0]
    axes: list[Axes] = list(figure.subplots(6, 1, sharex=True, gridspec_kw={"height_ratios": heights, "hspace": 0.42}))
    figure.subplots_adjust(left=0.1, right=0.97, top=0.92, bottom=0.07)
    ruler = plan.ruler
    x = [MM * value for value in ruler.position]
    passes_row(plan, axes[0])
    axes[1].fill_between([MM * v for v in ruler.footprint_position], ruler.footprint, color=PALE)
    axes[1].plot([MM * v for v in ruler.footprint_position], ruler.footprint, color=INK, lw=1.0, ls=LINE_STYLE[plan.contact.ramp.known])
    axes[1].set_ylim(0, 1.15)
    width, ramp = MM * plan.contact.half_depth_width.value, MM * plan.contact.ramp.value
    _title(
        axes[1],
        f"footprint of one pass: {width:.1f} mm wide at half depth, full ramp {ramp:.1f} mm, {plan.contact.ramp.known}",
        "share of peak",
    )
    axes[2].fill_between(x, [UM * v for v in ruler.removal_low], [UM * v for v in ruler.removal_high], color=PALE, lw=0)
    axes[2].plot(x, [UM * v for v in ruler.removal], color=INK, lw=1.2, ls=LINE_STYLE[plan.removal.total.known])
    axes[2].set_ylim(bottom=0)
    axes[2].invert_yaxis()
    _title(axes[2], f"stock removed, {plan.removal.total.known}, with its band (path error in it; force taken back at free edges)", "µm")
    last_cut_row(plan, axes[3])
    axes[4].plot(x, [100.0 * v for v in ruler.luminance], color=INK, lw=1.0)
    axes[4].axhline(0.0, color=MIDDLE, lw=0.6)
    _title(axes[4], "light from the face against its mean, at the worst tilt: seams only, belt lines left out", "%")
    places = {"overlap": _changes(ruler.last_cut, ruler.position)}
    visibility_row([mark for mark in plan.marks if mark.direction == "across"], places, axes[5], plan)
    axes[-1].set_xlabel("across the grain [mm]")
    axes[-1].set_xlim(x[0], x[-1])
    for axis in axes:
        for place in places["overlap"]:
            axis.axvline(MM * place, color=MIDDLE, lw=0.5, ls=(0, (1, 3)), zorder=0)
    return axes


def passes_row(plan: PlanRecord, axis: Axes) -> Axes:
    """Draw the passes as they lie, a row a round, every second pass a little lower so that overlaps are seen."""
    rounds = plan.settings.rounds
    in_round = dict.fromkeys(range(rounds), 0)
    for number, centre, left, right in plan.ruler.passes:
        lower = 0.16 * (in_round[number] % 2)
        in_round[number] += 1
        row = number + 1 - lower
        axis.barh(row, MM * (right - left), left=MM * left, height=0.5, color=PALE, alpha=0.55, edgecolor=INK, lw=0.7)
        axis.plot(MM * centre, row, marker="|", color=INK, ms=5, clip_on=True)
    axis.set_yticks(range(1, rounds + 1))
    axis.set_ylim(0.4, rounds + 0.5)
    step = MM * plan.settings.step_over
    return _title(axis, f"passes as they lie, every second drawn lower; step-over {step:.1f} mm, the last round on top", "round")


def last_cut_row(plan: PlanRecord, axis: Axes) -> Axes:
    """Draw which pass cut each place last: grey changes at every change of pass and means nothing else."""
    ruler = plan.ruler
    edges = [ruler.position[0], *_changes(ruler.last_cut, ruler.position), ruler.position[-1]]
    for index, (start, stop) in enumerate(pairwise(edges)):
        axis.axvspan(MM * start, MM * stop, color=PALE if index % 2 else MIDDLE, lw=0)
        axis.axvline(MM * start, color=INK, lw=0.8)
    axis.set_yticks([])
    return _title(axis, "last cut: grey changes where the last pass changes", "")


def _changes(owner: tuple[int, ...], position: tuple[float, ...]) -> list[float]:
    return [position[index] for index in range(1, len(owner)) if owner[index] != owner[index - 1]]


def marker_of(plan: PlanRecord, key: str) -> str:
    """Return the marker of a cause: the same in every picture, whatever its rank."""
    return MARKERS[sorted(mark.key for mark in plan.marks).index(key) % len(MARKERS)]


def visibility_row(marks: list[MarkRecord], places: Mapping[str, list[float]], axis: Axes, plan: PlanRecord) -> Axes:
    """
    Draw how much each line shows where it lies: a stem at each place, a hatched stretch where it may lie anywhere.

    Parameters
    ----------
    marks : list of MarkRecord
        Causes of one direction.
    places : mapping of str to list of float
        Where the lines of a cause lie, by its key. [m]
    axis : Axes
        Shares the ruler; its height is logarithmic.
    plan : PlanRecord

    Returns
    -------
    Axes
    """
    unknown = [mark.label for mark in marks if not isinstance(mark.strength, Number)]
    top = max([2.0] + [mark.strength.high for mark in marks if isinstance(mark.strength, Number)])
    axis.axhline(1.0, color=INK, lw=0.9, ls=(0, (1, 2)))
    words = []
    for mark in marks:
        if not isinstance(mark.strength, Number):
            continue
        number, marker = mark.strength, marker_of(plan, mark.key)
        height = max(number.value, LOWEST)
        if mark.key in places:
            x = [MM * place for place in places[mark.key]]
            axis.vlines(
                x, [max(number.low, LOWEST)] * len(x), [max(number.high, LOWEST)] * len(x), color=INK, lw=1.0, ls=LINE_STYLE[number.known]
            )
            axis.plot(x, [height] * len(x), marker=marker, color=INK, ms=4.5, ls="none")
        else:
            axis.axhspan(max(number.low, LOWEST), max(number.high, LOWEST), fill=False, hatch="////", ec=MIDDLE, lw=0.0)
            axis.axhline(height, color=INK, lw=1.0, ls=LINE_STYLE[number.known])
        glyph = GLYPHS[marker] if mark.key in places else "▨"
        words.append(
            f"{glyph} {mark.label} {format_ratio(number.value)} ({format_ratio(number.low)} to {format_ratio(number.high)}, {number.known})"
        )
    _log(axis.yaxis, axis.set_yscale)
    axis.set_ylim(LOWEST, 1.5 * top)
    said = "; ".join(words) + (f"; strength unknown: {', '.join(unknown)}" if unknown else "")
    title = f"times just-visible at {plan.distance.value:.2g} m, where each line lies; 1 is seen by half of observers"
    _title(axis, title + "\n" + textwrap.fill(said, 118), "")
    return axis


LOWEST: Final = 0.05
"""Lowest visibility in the rows of a ruler."""


def ruler_along(plan: PlanRecord, figure: Figure) -> list[Axes]:
    """
    The same along the grain: the patch at true scale, what joint, wheel and the rest print, and how much it shows.

    Parameters
    ----------
    plan : PlanRecord
    figure : matplotlib.figure.Figure
        Empty.

    Returns
    -------
    list of Axes
        From top to bottom, on one ruler.
    """
    marks = [mark for mark in plan.marks if mark.direction == "along"]
    curves = plan.along.curves
    heights = [0.5, *[1.0] * len(curves), 2.0]
    axes: list[Axes] = list(figure.subplots(len(heights), 1, sharex=True, gridspec_kw={"height_ratios": heights, "hspace": 0.6}))
    figure.subplots_adjust(left=0.1, right=0.97, top=0.9, bottom=0.08)
    x = [MM * value for value in plan.along.position]
    axes[0].axvspan(0.0, MM * plan.along.patch_length, color=MIDDLE, lw=0)
    axes[0].set_yticks([])
    patch = f"{MM * plan.along.patch_length:.1f} mm long, {plan.contact.patch_length.known}"
    _title(axes[0], f"patch of the wheel in the last round at true scale, {patch}", "")
    for axis, (label, curve) in zip(axes[1:], curves, strict=False):
        axis.plot(x, [100.0 * v for v in curve], color=INK, lw=1.0)
        axis.axhline(0.0, color=MIDDLE, lw=0.6)
        _title(axis, f"{label}: light against its mean at the worst tilt, first harmonic", "%")
    places: dict[str, list[float]] = {}
    for mark in marks:
        if mark.pitches and isinstance(mark.strength, Number):
            pitch = mark.pitches[0][1].value
            places[mark.key] = [pitch * index for index in range(int(plan.along.position[-1] / pitch) + 1)]
    visibility_row(marks, places, axes[-1], plan)
    axes[-1].set_xlabel("along the grain [mm]")
    axes[-1].set_xlim(x[0], x[-1])
    return axes


def pitch_chart(plan: PlanRecord, axis: Axes) -> Axes:
    """
    Pitch against times just-visible, causes as labelled marks, the visible band shaded for the distance.

    Parameters
    ----------
    plan : PlanRecord
    axis : Axes

    Returns
    -------
    Axes
    """
    band = plan.eye_band
    axis.axvspan(MM * band.low, MM * band.high, color=PALE, lw=0)
    axis.axhline(1.0, color=INK, lw=0.8, ls=(0, (1, 2)))
    unknown = 0
    for mark in plan.marks:
        marker = marker_of(plan, mark.key)
        if isinstance(mark.strength, Number) and mark.pitches:
            number, pitch = mark.strength, mark.pitches[0][1]
            height = max(number.value, FLOOR)
            ends = [max(number.low, FLOOR), max(number.high, FLOOR)]
            axis.plot([MM * pitch.value] * 2, ends, color=INK, lw=1.0, ls=LINE_STYLE[number.known])
            words = f"{mark.label}, {format_ratio(number.value)}, {number.known}"
            axis.plot(MM * pitch.value, height, marker=marker, color=INK, ms=7, ls="none", label=words)
        elif isinstance(mark.strength, Number):
            low, high = max(mark.strength.low, FLOOR), max(mark.strength.high, FLOOR)
            axis.axhspan(low, high, fill=False, hatch="////", ec=MIDDLE, lw=0.0)
            axis.axhline(max(mark.strength.value, FLOOR), color=INK, lw=1.0, ls=LINE_STYLE[mark.strength.known])
            axis.plot(
                [],
                [],
                color=INK,
                lw=1.0,
                ls=LINE_STYLE[mark.strength.known],
                label=f"{mark.label}, {format_ratio(mark.strength.value)}: any spacing",
            )
        else:
            spacing = f"at {MM * mark.pitches[0][1].value:.1f} mm" if mark.pitches else "spacing not known"
            text = f"{mark.label}: strength unknown, {spacing}"
            axis.annotate(text, (0.01, 0.02 + 0.05 * unknown), xycoords="axes fraction", fontsize=7.5)
            if mark.pitches:
                axis.plot(MM * mark.pitches[0][1].value, FLOOR * 1.2, marker=marker, mfc="white", mec=INK, ms=7, ls="none")
            unknown += 1
    axis.legend(loc="upper right", fontsize=8, framealpha=0.9, edgecolor="none")
    _log(axis.xaxis, axis.set_xscale)
    _log(axis.yaxis, axis.set_yscale)
    spacings = [MM * mark.pitches[0][1].value for mark in plan.marks if mark.pitches]
    axis.set_xlim(min([0.3, *(0.7 * each for each in spacings)]), max([300.0, *(1.4 * each for each in spacings)]))
    axis.set_ylim(FLOOR, max(60.0, 6.0 * plan.worst.high))
    axis.set_xlabel("spacing of the lines [mm]")
    axis.set_ylabel("times just-visible")
    level = "order firm, level not" if not plan.calibrated else "calibrated by a limit sample"
    return _title(
        axis,
        f"shaded: spacings the eye sees best at {plan.distance.value:.2g} m. 1 = seen by half of observers; {level}",
        "times just-visible",
    )


FLOOR: Final = 0.02
"""Lowest visibility that is drawn."""


def _log(axis: Axis, scale: Callable[[str], None]) -> None:
    scale("log")
    axis.set_major_formatter(lambda value, _: f"{value:g}")
    axis.set_minor_formatter(NullFormatter())


def _title(axis: Axes, text: str, unit: str, pad: float = 3.0) -> Axes:
    axis.set_title(text, loc="left", fontsize=8.5, pad=pad)
    if unit:
        axis.set_ylabel(unit, fontsize=8)
    axis.tick_params(labelsize=7.5)
    return axis


LETTERS_PER_INCH: Final = 16.0
"""Letters of a heading that fit on an inch of paper. [1/in]"""


def plan_figures(plan: PlanRecord) -> dict[str, Figure]:
    """
    The three pictures of a plan, by file stem.

    Parameters
    ----------
    plan : PlanRecord

    Returns
    -------
    dict of str to Figure
        ``across``, ``along`` and ``pitches``.
    """
    with mpl.rc_context(STYLE):
        made: dict[str, Figure] = {}
        for name, size, draw in FIGURES:
            figure = Figure(figsize=size)
            draw(plan, figure)
            words = textwrap.fill(f"{plan.job}, face {plan.face}, step {plan.step}. {plan.rests_on}", int(LETTERS_PER_INCH * size[0]))
            figure.suptitle(words, fontsize=8.5, x=0.02, ha="left", y=0.99)
            made[name] = figure
        return made


FIGURES: Final[tuple[tuple[str, tuple[float, float], Callable[[PlanRecord, Figure], object]], ...]] = (
    ("across", (9.0, 10.5), ruler_across),
    ("along", (9.0, 7.5), ruler_along),
    ("pitches", (8.0, 5.0), lambda plan, figure: pitch_chart(plan, figure.subplots())),
)


def plan_pictures(plan: PlanRecord) -> dict[str, bytes]:
    """
    The pictures of a plan as PNG and SVG, the same bytes for the same plan.

    Parameters
    ----------
    plan : PlanRecord

    Returns
    -------
    dict of str to bytes
        File name to content.
    """
    made: dict[str, bytes] = {}
    with mpl.rc_context(STYLE):
        for name, figure in plan_figures(plan).items():
            for kind, metadata in (("png", {"Software": None}), ("svg", {"Date": None})):
                buffer = io.BytesIO()
                figure.savefig(buffer, format=kind, metadata=metadata)
                made[f"{name}.{kind}"] = buffer.getvalue()
    return made
