"""Heights as text: a table of heights, a trace in columns, or points in columns; every unit stands in the file."""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Final

import numpy as np

from evenlay.files.bounded import decoded, problem
from evenlay.files.surfaces.columns import gridded
from evenlay.files.surfaces.grid import LARGEST_TEXT, MOST_POINTS, Floats, content_of, counted, even_spacing, surface_of
from evenlay.files.surfaces.words import escaped, own_words
from evenlay.files.whole import write_whole
from evenlay.job.amounts import nearest_word, one_line
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.units import KINDS, plain_unit

WHAT: Final = "heights as text"

ALLOWED: Final = (
    'write "# spacing x = 4 µm", "# spacing y = 0.5 mm", "# height unit = µm" above rows of heights, or columns "x [mm],height [µm]"'
)

LONGEST_LINE: Final = 4_000_000
"""Characters of a line. [-]"""

MOST_REMARKS: Final = 200
"""Lines in which a remark is looked for. [-]"""

FURTHEST: Final = 0.1
"""How far a written position may lie from an even grid: positions are often written short. [spacings]"""

MISSING: Final = ("", "nan", "bad", "-", "--", "---", "*", "***", "n/a", "null")
"""What stands for a point that was not measured, in lower case."""

NAMES: Final[Mapping[str, str]] = {"x": "x", "position": "x", "distance": "x", "y": "y", "height": "height", "z": "height"}
"""Names of columns."""

BRIGHTNESS: Final = ("intensity", "brightness", "grey", "gray", "amplitude", "reflectance", "luminance", "darkness")
"""Columns that look like a surface and carry no height."""

POWERS: Final[Mapping[str, int]] = {"m": 0, "cm": -2, "mm": -3, "µm": -6, "nm": -9}
"""Units whose factor is a power of ten: a decimal is moved by it exactly, not multiplied."""

_HEAD: Final = re.compile(r"\s*(?P<name>[^\[\](]*?)\s*(?:[\[(]\s*(?P<unit>.*?)\s*[\])])?\s*$")
_LINE: Final = re.compile(r"[^\n]+")
_NUMBER: Final = re.compile(r"\s*([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))(?:[eE]([-+]?[0-9]{1,4}))?\s*$")


@dataclass(frozen=True)
class Layout:
    """
    How the rows are written.

    Parameters
    ----------
    separator : str
        Between cells; empty for blanks.
    begin : int
        Where in the text the rows begin. [characters]
    line : int
        Line of the file there.
    columns : tuple of (str, str)
        Name and unit of each column; empty for a table of heights.
    """

    separator: str
    begin: int
    line: int
    columns: tuple[tuple[str, str], ...]


def read_surface_text(path: Path) -> Surface:
    """
    Read heights from text.

    Parameters
    ----------
    path : Path
        UTF-8 or UTF-16, at most `LARGEST_TEXT` bytes. Remarks begin with ``#`` and may say ``spacing x``, ``spacing y``,
        ``height unit``, ``grain along`` and ``source``. Then either rows of heights, the first row at y = 0; or a header
        and columns: ``x`` and ``height`` for a trace, ``x``, ``y`` and ``height`` for a map in any order, ``height``
        alone with ``spacing x`` in a remark. Decimal commas are read where semicolons or tabs part the cells.

    Returns
    -------
    Surface
        Empty cells and words as NaN or BAD are points not measured. [m]

    Raises
    ------
    InputProblems
        With what is missing or wrong, by line where there is one.
    """
    text = decoded(path, content_of(path, LARGEST_TEXT, WHAT), WHAT)
    remarks, layout = _layout(path, text)
    along, source = own_words(remarks)
    spacing_x, spacing_y, unit = _remarked(path, remarks, layout)
    if not layout.columns:
        height = _table(path, text, layout, unit)
        if height.shape[1] == 1 and "spacingy" not in remarks:
            height = np.ascontiguousarray(height.T)
        if height.shape[0] > 1 and not spacing_y:
            raise problem(
                path, f"there are {height.shape[0]} rows and no spacing between them", 'write "# spacing y = 0.5 mm" above the rows'
            )
        return surface_of(path, height, (spacing_x, spacing_y), along=along, source=source)
    values = _table(path, text, layout, "")
    column = {name: values[:, index] for index, (name, _) in enumerate(layout.columns)}
    if "y" in column:
        height, spacing = gridded(path, column["x"], column["y"], column["height"], within=FURTHEST)
        return surface_of(path, height, spacing, along=along, source=source)
    if "x" in column:
        counted(path, len(values), 1)
        steps = even_spacing(path, column["x"], "x", within=FURTHEST)
        if spacing_x and abs(spacing_x - steps) * (len(values) - 1) > FURTHEST * steps:
            raise problem(path, f"its remark says spacing x = {spacing_x:g} m, its positions {steps:g} m", "give one of them")
        spacing_x = spacing_x or steps
    return surface_of(path, column["height"][None, :].copy(), (spacing_x, 0.0), along=along, source=source)


def _lines(text: str, begin: int = 0) -> Iterator[tuple[int, str]]:
    """Lines that are not empty, with their place; no list of them is made."""
    for match in _LINE.finditer(text, begin):
        yield match.start(), match.group()


def _layout(path: Path, text: str) -> tuple[dict[str, str], Layout]:
    remarks: dict[str, str] = {}
    for number, (place, line) in enumerate(_lines(text)):
        if len(line) > LONGEST_LINE:
            raise problem(path, f"a line has more than {LONGEST_LINE // 10**6} million characters", ALLOWED)
        if line.lstrip().startswith("#"):
            name, found, value = line[:2000].lstrip(" \t#").partition("=")
            if found and number < MOST_REMARKS:
                remarks.setdefault(re.sub(r"[ _]", "", name).lower(), value.strip())
        elif line.strip():
            separator = next((one for one in (";", "\t", ",") if one in line), "")
            at = text.count("\n", 0, place) + 1
            cells = line.split(separator) if separator else re.split(r"\s+(?![\[(])", line.strip())
            if all(_is_value(cell, separator) for cell in cells):
                return remarks, Layout(separator, place, at, ())
            return remarks, Layout(separator, place + len(line), at, _columns(path, at, cells))
    raise problem(path, "there is nothing but remarks", ALLOWED)


def _is_value(cell: str, separator: str) -> bool:
    text = cell.replace(",", ".") if separator in (";", "\t") else cell
    return text.strip().lower() in MISSING or _NUMBER.match(text) is not None


def _columns(path: Path, line: int, cells: list[str]) -> tuple[tuple[str, str], ...]:
    """Name and unit of each column of a header."""
    place = f"{path.name} line {line}"
    problems: list[InputProblem] = []
    found: list[tuple[str, str]] = []
    for cell in cells[:20]:
        match = _HEAD.match(cell[:200])
        written = (match.group("name") if match else cell).strip()
        unit = plain_unit(match.group("unit") or "") if match else ""
        name = NAMES.get(written.lower(), "")
        if any(word in written.lower() for word in BRIGHTNESS):
            problems.append(InputProblem(place, one_line(written), "this is brightness, not height", "give a surface with heights"))
        elif not name:
            near = nearest_word(written[:60], list(NAMES))
            problems.append(InputProblem(place, one_line(written), "unknown column", "columns are x, y and height", near))
        elif unit not in KINDS["length"].units:
            what = f"the unit {one_line(unit)}" if unit else "no unit"
            problems.append(InputProblem(place, name, f"this column has {what}", f'write the unit in the header, as "{name} [µm]"'))
        elif name in [one for one, _ in found]:
            problems.append(InputProblem(place, name, "this column stands twice", "leave one out"))
        else:
            found.append((name, unit))
    names = [name for name, _ in found]
    if not problems and ("height" not in names or ("y" in names and "x" not in names)):
        lacking = "height" if "height" not in names else "x"
        problems.append(InputProblem(place, lacking, "this column is missing", f'the header needs "{lacking} [µm]"'))
    if problems:
        raise InputProblems(tuple(problems[:10]))
    return tuple(found)


def _remarked(path: Path, remarks: Mapping[str, str], layout: Layout) -> tuple[float, float, str]:
    """Spacings (0 if not given) and the unit of a table of heights, or all that is wrong with them."""
    names = [name for name, _ in layout.columns]
    problems: list[InputProblem] = []
    lengths = {"spacing x": 0.0, "spacing y": 0.0}
    for name in lengths:
        text = remarks.get(name.replace(" ", ""))
        if text is not None:
            lengths[name] = _length(text)
            if not 0.0 < lengths[name] < math.inf:
                problems.append(InputProblem(str(path), name, f'"{one_line(text)}" is no spacing', f'write as "# {name} = 4 µm"'))
        elif name == "spacing x" and "x" not in names:
            problems.append(
                InputProblem(str(path), name, "the distance between columns is not given", 'write "# spacing x = 4 µm" above the heights')
            )
    unit = plain_unit(remarks.get("heightunit", ""))
    if not names and unit not in KINDS["length"].units:
        what = f"the unit of the heights is {one_line(unit)}" if unit else "the unit of the heights is not given"
        problems.append(InputProblem(str(path), "height unit", what, 'write "# height unit = µm" above the heights'))
    if problems:
        raise InputProblems(tuple(problems))
    return lengths["spacing x"], lengths["spacing y"], unit


def _length(text: str) -> float:
    match = re.match(r"([-+0-9.eE]{1,60}?)\s*([^-+0-9.\s]\D*)$", text.strip())
    unit = plain_unit(match.group(2)) if match else ""
    if match is None or unit not in KINDS["length"].units:
        return math.nan
    try:
        return _value(match.group(1), unit)
    except ValueError:
        return math.nan


def _value(cell: str, unit: str) -> float:
    """A cell in metres; the decimal is moved by a power of ten where the unit is one, so that nothing is rounded twice."""
    if cell.strip().lower() in MISSING:
        return math.nan
    match = _NUMBER.match(cell)
    if match is None:
        raise ValueError
    power = int(match.group(2) or 0) + POWERS.get(unit, 0)
    number = float(f"{match.group(1)}e{power}")
    return number if unit in POWERS else number * KINDS["length"].units[unit]


def _values(cells: list[str], units: tuple[str, ...]) -> list[float]:
    """Cells of a row in metres; one unit for all, or one each."""
    suffixes = [f"e{POWERS[unit]}" for unit in units if unit in POWERS]
    if len(suffixes) == len(units):
        try:
            if len(units) == 1:
                suffix = suffixes[0]
                return [float(cell + suffix) for cell in cells]
            return [float(cell + suffix) for cell, suffix in zip(cells, suffixes, strict=True)]
        except ValueError:
            pass
    return [_value(cell, unit) for cell, unit in zip(cells, units * len(cells) if len(units) == 1 else units, strict=True)]


def _table(path: Path, text: str, layout: Layout, unit: str) -> Floats:
    """All rows in metres, shape ``(rows, cells)``."""
    units = tuple(one for _, one in layout.columns) or (unit,)
    values = array("d")
    wide, rows = len(layout.columns), 0
    comma = layout.separator in (";", "\t")
    for place, line in _lines(text, layout.begin):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if len(line) > LONGEST_LINE:
            raise problem(path, f"a line has more than {LONGEST_LINE // 10**6} million characters", ALLOWED)
        row = line.replace(",", ".") if comma else line
        cells = row.split(layout.separator) if layout.separator else row.split()
        wide, rows = wide or len(cells), rows + 1
        try:
            if len(cells) != wide:
                raise _row_problem(path, text, place, f"{len(cells)} cells where the others have {wide}", "give every row as many cells")
            if "_" in row:
                raise ValueError
            values.extend(_values(cells, units))
        except ValueError:
            raise _row_problem(
                path, text, place, "a cell is not a number", "write numbers; leave a cell empty where nothing was measured"
            ) from None
        if len(values) > 3 * MOST_POINTS or (not layout.columns and len(values) > MOST_POINTS):
            raise problem(path, f"it has more than {MOST_POINTS // 10**6} million heights", "cut out a part")
    if not rows:
        raise problem(path, "there is a header and no row", ALLOWED)
    return np.array(values).reshape(rows, wide)


def _row_problem(path: Path, text: str, place: int, found: str, allowed: str) -> InputProblems:
    line = text.count("\n", 0, place) + 1
    return InputProblems((InputProblem(f"{path.name} line {line}", "", found, allowed),))


def write_surface_text(path: Path, surface: Surface) -> None:
    """
    Write a surface as text.

    Parameters
    ----------
    path : Path
        Where; written whole or not at all.
    surface : Surface
        A map becomes rows of heights, a trace the columns x and height.

    Notes
    -----
    Heights in µm and lengths in mm, with as many digits as give the same numbers when read; a point not measured is an
    empty cell.
    """
    write_whole(path, "".join(_written(surface)).encode("utf-8"))


def _written(surface: Surface) -> Iterator[str]:
    yield "# heights of a surface\n"
    yield f"# spacing x = {_moved(surface.spacing_x, 3)} mm\n"
    if not surface.is_trace:
        yield f"# spacing y = {_moved(surface.spacing_y, 3)} mm\n# height unit = µm\n"
    if surface.along:
        yield f"# grain along = {surface.along}\n"
    if surface.source:
        yield f"# source = {escaped(surface.source)}\n"
    if surface.is_trace:
        yield "x [mm],height [µm]\n"
        for index, height in enumerate(surface.height[0].tolist()):
            yield f"{index * surface.spacing_x * 1e3:.9g},{_moved(height, 6)}\n"
        return
    for row in surface.height:
        yield ",".join(_moved(height, 6) for height in row.tolist()) + "\n"


def _moved(value: float, places: int) -> str:
    """A number with its decimal point moved, exactly; empty for a point not measured."""
    return "" if math.isnan(value) else str(Decimal(repr(value)).scaleb(places))
