"""Pictures of measured surfaces: map, one row, spectrum with its spacings named; axes in, axes out."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from evenlay.pages.figures import INK, MIDDLE, MM, PALE, STYLE, UM
from evenlay.quantities.units import format_quantity

if TYPE_CHECKING:
    from evenlay.answers.surface_numbers import SurfaceAnswer
    from evenlay.answers.surface_picture import Curve, SurfaceView

SHOWN: Final = ("Ra", "Rq", "Rz", "Rsk", "RSm", "Rk", "Sa", "Sq", "Sal", "Str", "Sdq", "slope_across")
"""Numbers beside a picture, where the surface has them."""

MISSING: Final = "#FFFFFF"


def map_axis(view: SurfaceView, axis: Axes) -> Axes:
    """Draw a map in grey, dark low and bright high, missing points white; of a trace only the words that there is none."""
    if view.map is None:
        axis.set_axis_off()
        axis.text(0.5, 0.5, "a trace: there is no map", ha="center", va="center", color=MIDDLE, transform=axis.transAxes)
        return axis
    grey = mpl.colormaps["gray"].with_extremes(bad=MISSING)
    low, high = np.nanpercentile(UM * view.map, [1.0, 99.0])
    extent = (0.0, MM * view.size[0], MM * view.size[1], 0.0)
    shown = axis.imshow(UM * view.map, cmap=grey, vmin=low, vmax=high if high > low else low + 1e-9, extent=extent, aspect="auto")
    figure = axis.get_figure()
    bar = None if figure is None else figure.colorbar(shown, ax=axis, pad=0.02, fraction=0.05)
    if bar is not None:
        bar.ax.set_title("µm", fontsize=8)
        bar.ax.tick_params(labelsize=7)
        bar.outline.set_visible(False)
    axis.set_xlabel("x [mm]")
    axis.set_ylabel("y [mm]")
    axis.set_title("map, levelled; axes not to one scale", loc="left", fontsize=8)
    return axis


def row_axis(view: SurfaceView, axis: Axes) -> Axes:
    """Draw one row and the long waves that the cut-off takes out of it."""
    axis.plot(MM * view.row.x, UM * view.row.y, color=INK, lw=0.6)
    axis.plot(MM * view.mean_line.x, UM * view.mean_line.y, color=MIDDLE, lw=1.6, ls=(0, (4, 2)))
    axis.set_xlabel("along the row [mm]")
    axis.set_ylabel("height [µm]")
    words = f"{view.words}; dashed: the long waves that the cut-off takes out"
    axis.set_title(textwrap.fill(words, 72), loc="left", fontsize=8)
    return axis


def spectrum_axis(view: SurfaceView, axis: Axes) -> Axes:
    """Draw how much height each spacing carries, across and along the grain; what stands out is named."""
    for curve, name, style, marker in ((view.across, "across", "-", "o"), (view.along, "along", (0, (2, 1)), "s")):
        if curve is not None:
            axis.plot(MM * curve.x, UM * np.maximum(curve.y, 1e-15), color=INK, lw=0.9, ls=style, label=name)
            _named(curve, axis, marker)
    if axis.lines:
        axis.set_xscale("log")
        axis.set_yscale("log")
        top = max(float(np.max(np.asarray(line.get_ydata()))) for line in axis.lines)
        axis.set_ylim(top * 1e-5, top * 6.0)
        axis.legend(frameon=False, fontsize=7, loc="lower right", title=view.unnamed or None, title_fontsize=7)
    axis.set_xlabel("spacing [mm]")
    axis.set_ylabel("height (rms) [µm]")
    axis.set_title("height of the waves of each spacing (steps of a tenth)", loc="left", fontsize=8)
    return axis


def _named(curve: Curve, axis: Axes, marker: str) -> None:
    """Name the spacings, those that lie close on steps of their own."""
    for number, (pitch, level, words) in enumerate(curve.marks):
        axis.plot([MM * pitch], [UM * level], marker=marker, ms=4, color=INK, ls="none")
        lift = 8 + 9 * (number % 3)
        axis.annotate(words, (MM * pitch, UM * level), xytext=(0, lift), textcoords="offset points", ha="center", fontsize=7)


def words_beside(answer: SurfaceAnswer) -> str:
    """Numbers in a column, each with its scatter, and what the surface cannot say."""
    record = answer.record
    lines = [f"{record.setting.edition}", f"cut-off {format_quantity(record.setting.cutoff, 'length')}"]
    silent = []
    for each in record.numbers:
        if each.symbol not in SHOWN:
            continue
        name = each.symbol.replace("_", " ")
        if each.value is None:
            silent.append(name)
            continue
        value = format_quantity(each.value, "length") if each.unit == "m" else f"{each.value:.3g}"
        lines.append(f"{name}  {value}")
    if silent:
        lines.append(textwrap.fill("cannot be said: " + ", ".join(silent), 20))
    return "\n".join(lines)


def surface_row(answer: SurfaceAnswer, axes: Sequence[Axes]) -> list[Axes]:
    """
    One surface: map, row, spectrum and its numbers.

    Parameters
    ----------
    answer : SurfaceAnswer
    axes : sequence of matplotlib.axes.Axes
        Four.

    Returns
    -------
    list of Axes
        The same four.
    """
    map_axis(answer.view, axes[0])
    row_axis(answer.view, axes[1])
    spectrum_axis(answer.view, axes[2])
    axes[3].set_axis_off()
    axes[3].text(0.0, 1.0, words_beside(answer), va="top", ha="left", fontsize=8, linespacing=1.4, transform=axes[3].transAxes)
    return list(axes)


def surface_figure(answer: SurfaceAnswer) -> Figure:
    """Figure of one surface: map and spectrum above, row below, numbers at the side."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(10.0, 6.4))
        upright = {"hspace": 0.42, "top": 0.9, "bottom": 0.09}
        grid = figure.add_gridspec(2, 2, wspace=0.36, left=0.07, right=0.82, **upright)
        beside = figure.add_gridspec(1, 1, left=0.85, right=0.99, **upright)
        spots = (grid[0, 0], grid[1, :], grid[0, 1], beside[0, 0])
        surface_row(answer, [figure.add_subplot(spot) for spot in spots])
        figure.suptitle(textwrap.shorten(f"{answer.record.read.file}: {answer.view.title}", 110), x=0.07, ha="left", fontsize=10)
    return figure


def surfaces_figure(named: Mapping[str, SurfaceAnswer]) -> Figure:
    """Figure of several surfaces, one below the other, each under its words."""
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(14.0, 3.5 * len(named) + 0.3))
        parts = figure.subfigures(len(named), 1, squeeze=False)[:, 0]
        for part, (words, answer) in zip(parts, named.items(), strict=True):
            axes = part.subplots(1, 4, gridspec_kw={"width_ratios": [1.0, 1.25, 1.0, 0.5]})
            part.subplots_adjust(left=0.05, right=0.99, top=0.8, bottom=0.16, wspace=0.36)
            surface_row(answer, list(axes))
            part.suptitle(words, x=0.05, ha="left", fontsize=10)
            part.patch.set_facecolor("white")
            part.patch.set_edgecolor(PALE)
    return figure


def png(figure: Figure) -> bytes:
    """PNG of a figure; the same figure gives the same bytes."""
    stream = io.BytesIO()
    figure.savefig(stream, format="png", dpi=150, metadata={"Software": None})
    return stream.getvalue()


def surface_pictures(answer: SurfaceAnswer) -> Mapping[str, bytes]:
    """
    Picture of one surface as a file.

    Parameters
    ----------
    answer : SurfaceAnswer

    Returns
    -------
    mapping
        ``surface.png`` to its bytes.
    """
    return {"surface.png": png(surface_figure(answer))}
