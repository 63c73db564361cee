"""The sheet of drawn samples: picture elements as they are, at true scale, with a ruler and a caption and nothing else."""

from __future__ import annotations

import io
import re
import textwrap
from dataclasses import dataclass
from typing import Final

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from evenlay.answers.sample import Sampled
from evenlay.answers.sample_pictures import INCH, Pictured
from evenlay.job.sample_record import SampleRecord
from evenlay.physics.viewing.screen import screen_picture, screen_white
from evenlay.quantities.units import format_quantity, format_ratio

Codes = NDArray[np.uint8]

NAME: Final = "sample.png"
MM: Final = 1e3
INK: Final = "#3A3A3A"
EDGE: Final = 6.0
GAP: Final = 7.0
RULER: Final = 6.0
LINE: Final = 3.0
NARROWEST: Final = 80.0
WIDEST: Final = 200.0
"""Margin, gap between samples, height of the ruler, line of text, least and usual most width of a sheet. [mm]"""
TEXT: Final = 6.0
"""Size of the text. [points]"""
LETTERS: Final = 0.93
"""Letters of that text on a millimetre. [1/mm]"""

STYLE: Final = {"font.size": TEXT, "text.color": INK, "figure.facecolor": "white"}


@dataclass(frozen=True)
class _Cell:
    """One sample on the sheet: its picture, the words over it, and its size. [mm]"""

    codes: Codes
    title: str
    width: float
    height: float


def sample_pictures(sampled: Sampled) -> dict[str, bytes]:
    """
    Picture of a sheet as PNG, the same bytes for the same sheet.

    Parameters
    ----------
    sampled : Sampled
        With pictures.

    Returns
    -------
    dict of str to bytes
        File name to content; its size in millimetres stands in the file, so a print at 100 % is true to scale.
    """
    sheet = sampled.sheet
    if sheet is None:
        return {}
    buffer = io.BytesIO()
    with mpl.rc_context(STYLE):
        figure = sample_figure(
            sampled.pictures, [sample_title(record, beside=len(sampled.pictures) > 1) for record in sheet.samples], dpi=sheet.dpi
        )
        figure.savefig(buffer, format="png", dpi=sheet.dpi, metadata={"Software": None, "Title": "drawn sample"})
    return {NAME: buffer.getvalue()}


def sample_title(record: SampleRecord, *, beside: bool) -> str:
    """What stands over a sample among others: what was changed, Ra, how much its lines show; nothing over one alone."""
    if not beside:
        return ""
    what = record.title.replace("_", "-") or "drawn"
    ra = "" if record.roughness is None else f", Ra {format_quantity(record.roughness, 'length')}"
    lines = f", lines {format_ratio(record.lines.simulated)} x just-visible" if record.lines.turns else ""
    return f"{what}{ra}{lines}"


def sample_figure(pictures: tuple[Pictured, ...], titles: list[str], *, dpi: int) -> Figure:
    """
    Sheet of samples, at true scale.

    Parameters
    ----------
    pictures : tuple of Pictured
        One exposure for all.
    titles : list of str
        Over the first ones; others keep their own.
    dpi : int
        Dots per inch.

    Returns
    -------
    matplotlib.figure.Figure
        Saved at the same dots per inch, each picture element is one dot.
    """
    white = max(screen_white(each.luminance) for each in pictures)
    cells = [
        _Cell(
            screen_picture(each.luminance, white=white).codes,
            (titles[index] if index < len(titles) else "") or each.title,
            each.luminance.shape[1] * each.pixel * MM,
            each.luminance.shape[0] * each.pixel * MM,
        )
        for index, each in enumerate(pictures)
    ]
    rows = _rows(cells)
    wide = max(max(sum(cell.width + GAP for cell in row) - GAP for row in rows) + 2.0 * EDGE, NARROWEST)
    letters = max(int((wide - 2.0 * EDGE) * LETTERS), 20)
    caption = textwrap.wrap(_held(pictures[0].caption), letters)
    heads = [max(len(_title(cell)) for cell in row) for row in rows]
    high = EDGE * 2.0 + RULER + LINE * (len(caption) + 1)
    high += sum(max(cell.height for cell in row) + head * LINE + GAP for row, head in zip(rows, heads, strict=True)) - GAP
    dot = INCH * MM / dpi
    figure = Figure(figsize=(round(wide / dot) / dpi, round(high / dot) / dpi), dpi=dpi)
    left_over = round(high / dot)
    top = high - EDGE
    for row, head in zip(rows, heads, strict=True):
        place = EDGE
        for cell in row:
            for number, line in enumerate(_title(cell)):
                figure.text(place / wide, (top - (number + 0.8) * LINE) / high, line)
            x, y = round(place / dot), left_over - round((high - top + head * LINE) / dot) - cell.codes.shape[0]
            figure.figimage(np.repeat(cell.codes[:, :, None], 3, axis=2), xo=x, yo=y, origin="upper")
            place += cell.width + GAP
        top -= head * LINE + max(cell.height for cell in row) + GAP
    top += GAP
    _ruler(figure, wide=wide, high=high, top=top - 1.0, length=wide - 2.0 * EDGE)
    for number, line in enumerate(caption):
        figure.text(EDGE / wide, (top - RULER - 1.0 - (number + 1) * LINE) / high, line)
    return figure


def _held(words: str) -> str:
    """Words in which no line ends between a number and its unit."""
    return re.sub(r"(?<=\d) (?=[a-zA-Zµ%°])", "\N{NO-BREAK SPACE}", words)


def _title(cell: _Cell) -> list[str]:
    return textwrap.wrap(_held(cell.title), max(int(cell.width * LETTERS), 12))


def _rows(cells: list[_Cell]) -> list[list[_Cell]]:
    """Cells side by side as far as a sheet is wide."""
    rows: list[list[_Cell]] = []
    for cell in cells:
        used = sum(each.width + GAP for each in rows[-1]) if rows else WIDEST
        if rows and used + cell.width + 2.0 * EDGE <= WIDEST:
            rows[-1].append(cell)
        else:
            rows.append([cell])
    return rows


def _ruler(figure: Figure, *, wide: float, high: float, top: float, length: float) -> None:
    """Millimetre ruler under the samples: a whole number of centimetres."""
    whole = int(length // 10.0) * 10
    axes = figure.add_axes((EDGE / wide, (top - RULER) / high, whole / wide, RULER / high))
    axes.set_xlim(0.0, whole)
    axes.set_ylim(RULER, 0.0)
    axes.axis("off")
    for mark in range(whole + 1):
        reach = 2.4 if mark % 10 == 0 else (1.8 if mark % 5 == 0 else 1.1)
        axes.plot([mark, mark], [0.0, reach], color=INK, lw=0.35, solid_capstyle="butt", clip_on=False)
        if mark % 10 == 0:
            axes.text(mark, 2.8, f"{mark}" + (" mm" if mark == whole else ""), ha="center", va="top", fontsize=TEXT - 1.0)
