"""Pictures of a plan: axes in, axes out; nothing is computed here but positions on paper."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any, Final

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from evenlay.job.answer_parts import MarkRecord, NotKnown, Number
from evenlay.job.plan_record import PlanRecord

INK: Final = "#1A1A1A"
PALE: Final = "#D4D4D4"
MIDDLE: Final = "#8C8C8C"
LINE_STYLE: Final = {"measured": "-", "fitted": "-", "handbook": (0, (5, 3)), "guess": (0, (1, 2)), "asked": "-"}
"""How a curve is drawn by how it is known: never by colour."""

MARKERS: Final = ("o", "s", "^", "v", "D", "P", "X", "<", ">", "*")
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
    One millimetre ruler across the grain: passes, footprint, stock removed, last cut, line visibility.

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
    rows = figure.subplots(6, 1, sharex=True, gridspec_kw={"height_ratios": [2.2, 1.0, 1.6, 0.7, 1.2, 1.8], "hspace": 0.28})
    axes: list[Axes] = list(rows)
    ruler = plan.ruler
    x = [MM * value for value in ruler.position]
    passes_row(plan, axes[0])
    axes[1].fill_between([MM * v for v in ruler.footprint_position], ruler.footprint, color=PALE, step=None)
    axes[1].plot([MM * v for v in ruler.footprint_position], ruler.footprint, color=INK, lw=1.0)
    axes[1].set_ylim(0, None)
    _title(axes[1], "footprint of one pass", "share of peak")
    axes[2].fill_between(x, [UM * v for v in ruler.removal_low], [UM * v for v in ruler.removal_high], color=PALE, lw=0, label="band")
    axes[2].plot(x, [UM * v for v in ruler.removal], color=INK, lw=1.0, ls=LINE_STYLE[plan.removal.total.known])
    axes[2].set_ylim(bottom=0)
    axes[2].invert_yaxis()
    _title(axes[2], f"stock removed, {plan.removal.total.known}, with its band", "µm")
    last_cut_row(plan, axes[3])
    axes[4].plot(x, [100.0 * v for v in ruler.luminance], color=INK, lw=1.0)
    axes[4].axhline(0.0, color=MIDDLE, lw=0.6)
    _title(axes[4], "light from the face against its mean, at the worst tilt: seams only, belt lines left out", "%")
    visibility_row([mark for mark in plan.marks if mark.direction == "across"], axes[5])
    axes[-1].set_xlabel("across the grain [mm]")
    axes[-1].set_xlim(x[0], x[-1])
    for axis in axes:
        for _, centre, _, _ in plan.ruler.passes:
            if plan.ruler.position[0] <= centre <= plan.ruler.position[-1]:
                axis.axvline(MM * centre, color=PALE, lw=0.5, zorder=0)
    return axes


def passes_row(plan: PlanRecord, axis: Axes) -> Axes:
    """Draw the passes as they lie, one line of bars a round, the last round on top."""
    rounds = plan.settings.rounds
    for number, centre, left, right in plan.ruler.passes:
        shade = PALE if number < rounds - 1 else MIDDLE
        axis.barh(number + 1, MM * (right - left), left=MM * left, height=0.62, color=shade, edgecolor=INK, lw=0.6)
        axis.plot(MM * centre, number + 1, marker="|", color=INK, ms=5, clip_on=True)
    axis.set_yticks(range(1, rounds + 1))
    axis.set_ylim(0.4, rounds + 0.6)
    return _title(axis, f"passes as they lie, step-over {MM * plan.settings.step_over:.1f} mm", "round")


def last_cut_row(plan: PlanRecord, axis: Axes) -> Axes:
    """Draw which pass cut each place last: grey changes at every change of pass and means nothing else."""
    ruler = plan.ruler
    start = 0
    for index in range(1, len(ruler.last_cut) + 1):
        if index == len(ruler.last_cut) or ruler.last_cut[index] != ruler.last_cut[start]:
            stop = min(index, len(ruler.position) - 1)
            shade = PALE if ruler.last_cut[start] % 2 else MIDDLE
            axis.axvspan(MM * ruler.position[start], MM * ruler.position[stop], color=shade, lw=0)
            axis.axvline(MM * ruler.position[start], color=INK, lw=0.8)
            start = index
    axis.set_yticks([])
    return _title(axis, "last cut: grey changes where the last pass changes", "")


def visibility_row(marks: list[MarkRecord], axis: Axes) -> Axes:
    """Draw each cause's visibility as a bar with its band; 1 is just visible."""
    known = [mark for mark in marks if isinstance(mark.strength, Number)]
    axis.set_yticks(range(len(marks)), [mark.label for mark in marks])
    # The ruler is shared, so visibility gets its own scale along the top.
    scale = axis.twiny()
    for row, mark in enumerate(marks):
        if isinstance(mark.strength, Number):
            number = mark.strength
            scale.plot([max(number.low, 0.01), max(number.high, 0.01)], [row, row], color=INK, lw=1.4, ls=LINE_STYLE[number.known])
            scale.plot(max(number.value, 0.01), row, marker=MARKERS[row % len(MARKERS)], color=INK, ms=6)
            scale.annotate(
                f"{number.value:.2g} {number.known}", (max(number.high, 0.01), row), xytext=(5, -3), textcoords="offset points", fontsize=8
            )
        else:
            scale.annotate("strength unknown: " + _measure(mark), (0.12, row), fontsize=7.5, va="center")
    scale.axvline(1.0, color=INK, lw=0.8, ls=(0, (1, 2)))
    top = max([2.0] + [mark.strength.high for mark in known if isinstance(mark.strength, Number)])
    scale.set_xscale("log")
    scale.set_xlim(0.1, 3.0 * top)
    scale.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
    scale.tick_params(axis="x", labelsize=7, pad=0)
    scale.spines["top"].set_visible(True)
    axis.set_ylim(len(marks) - 0.4, -0.6)
    return _title(axis, "how much each line shows: times just-visible (upper scale), with band", "", pad=18)


def _measure(mark: MarkRecord) -> str:
    return mark.strength.measure if isinstance(mark.strength, NotKnown) else "not asked"


def ruler_along(plan: PlanRecord, figure: Figure) -> list[Axes]:
    """
    The same along the grain: the patch at true scale, then what joint, wheel and the rest print.

    Parameters
    ----------
    plan : PlanRecord
    figure : matplotlib.figure.Figure
        Empty.

    Returns
    -------
    list of Axes
        From top to bottom.
    """
    marks = [mark for mark in plan.marks if mark.direction == "along"]
    rows = 2 + len(plan.along.curves)
    drawn = figure.subplots(rows, 1, gridspec_kw={"height_ratios": [0.6, *[1.0] * len(plan.along.curves), 2.2], "hspace": 0.65})
    axes: list[Axes] = list(drawn)
    x = [MM * value for value in plan.along.position]
    axes[0].axvspan(0.0, MM * plan.along.patch_length, color=MIDDLE, lw=0)
    axes[0].set_yticks([])
    _title(axes[0], f"patch length {MM * plan.along.patch_length:.1f} mm, {plan.contact.patch_length.known}", "")
    for axis, (label, curve) in zip(axes[1:], plan.along.curves, strict=False):
        axis.plot(x, [100.0 * v for v in curve], color=INK, lw=1.0)
        _title(axis, label, "light, %")
    for axis in axes[:-1]:
        axis.set_xlim(x[0], x[-1])
    axes[-2].set_xlabel("along the grain [mm]")
    axes[-1].set_xticks([])
    visibility_row(marks, axes[-1])
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
    labelled = 0
    for index, mark in enumerate(plan.marks):
        marker = MARKERS[index % len(MARKERS)]
        if isinstance(mark.strength, Number) and mark.pitches:
            number, pitch = mark.strength, mark.pitches[0][1]
            height = max(number.value, FLOOR)
            axis.plot([MM * pitch.value] * 2, [max(number.low, FLOOR), max(number.high, FLOOR)], color=INK, lw=1.0)
            axis.plot(MM * pitch.value, height, marker=marker, color=INK, ms=7, ls="none")
            axis.annotate(
                mark.label, (MM * pitch.value, height), xytext=(7, 4 if index % 2 else -11), textcoords="offset points", fontsize=8
            )
        elif isinstance(mark.strength, Number):
            axis.axhspan(
                max(mark.strength.low, FLOOR),
                max(mark.strength.high, FLOOR),
                xmin=0.0,
                xmax=1.0,
                fill=False,
                hatch="///",
                ec=MIDDLE,
                lw=0.5,
            )
            axis.annotate(
                f"{mark.label}: any spacing", (0.32, max(mark.strength.value, FLOOR)), fontsize=8, va="center", backgroundcolor="white"
            )
        else:
            for _, pitch in mark.pitches[:1]:
                axis.plot(MM * pitch.value, FLOOR * 1.15, marker=marker, mfc="white", mec=INK, ms=7, ls="none")
                text = f"{mark.label}: strength unknown"
                axis.annotate(
                    text, (MM * pitch.value, FLOOR * 1.15), xytext=(7, 4 + 11 * labelled), textcoords="offset points", fontsize=7.5
                )
                labelled += 1
    axis.set_xscale("log")
    axis.set_yscale("log")
    axis.set_xlim(0.3, 300.0)
    axis.set_ylim(FLOOR, max(20.0, 2.0 * plan.worst.high))
    axis.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
    axis.yaxis.set_major_formatter(lambda value, _: f"{value:g}")
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


def _title(axis: Axes, text: str, unit: str, pad: float = 3.0) -> Axes:
    axis.set_title(text, loc="left", fontsize=8.5, pad=pad)
    if unit:
        axis.set_ylabel(unit, fontsize=8)
    axis.tick_params(labelsize=7.5)
    return axis


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
            figure.suptitle(f"{plan.job}, face {plan.face}, step {plan.step}. {plan.rests_on}", fontsize=8, x=0.02, ha="left", y=0.995)
            made[name] = figure
        return made


FIGURES: Final[tuple[tuple[str, tuple[float, float], Callable[[PlanRecord, Figure], object]], ...]] = (
    ("across", (9.0, 9.6), ruler_across),
    ("along", (9.0, 8.0), ruler_along),
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
