"""Tables that people measured: CSV with units in the header."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenlay.files.bounded import problem, read_text
from evenlay.job.amounts import nearest_word, one_line
from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.units import KINDS, OFFSETS, kind_of_unit, plain_unit

LARGEST: Final = 5_000_000
"""Bytes of a table. [-]"""

MOST_ROWS: Final = 200_000
"""Rows of a table. [-]"""

MOST_SHOWN: Final = 10
"""Wrong cells listed at once. [-]"""

_HEAD = re.compile(r"\s*(?P<name>[^\[\](]*?)\s*(?:[\[(]\s*(?P<unit>.*?)\s*[\])])?\s*$")


@dataclass(frozen=True)
class Column:
    """
    A column that a table may have.

    Parameters
    ----------
    kind : str
        Kind of quantity; ``text`` for names.
    needed : bool
        Whether the table must have it.
    many : bool
        Whether several columns may bear the name, with a number behind it.
    names : tuple of str
        Other names it goes by.
    """

    kind: str
    needed: bool = True
    many: bool = False
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """
    What was read.

    Parameters
    ----------
    numbers : mapping of str to tuple of tuple of float
        Column name to its columns (one unless ``many``), each as long as the table. [SI]
    texts : mapping of str to tuple of str
        Text columns.
    lines : tuple of int
        Line of each row in the file.
    """

    numbers: Mapping[str, tuple[tuple[float, ...], ...]]
    texts: Mapping[str, tuple[str, ...]]
    lines: tuple[int, ...]

    def one(self, name: str) -> tuple[float, ...]:
        """The only column of that name. [SI]"""
        return self.numbers[name][0]


PROFILE: Final[Mapping[str, Column]] = {
    "y": Column("length", names=("position", "x", "across")),
    "depth": Column("length", needed=False, many=True, names=("removed", "stock removed")),
    "darkness": Column("share", needed=False, many=True, names=("ink", "grey", "gray")),
}
"""Across a pass: position, and depth or darkness, one column per print."""

WEIGHINGS: Final[Mapping[str, Column]] = {
    "before": Column("mass", many=True),
    "after": Column("mass", many=True),
    "passes": Column("count"),
    "length": Column("length"),
    "force": Column("force"),
    "speed": Column("speed", names=("belt speed",)),
    "feed": Column("speed"),
    "name": Column("text", needed=False, names=("coupon", "run")),
}
"""One coupon a row."""

DEPTHS: Final[Mapping[str, Column]] = {
    "name": Column("text", needed=False, names=("run",)),
    "depth": Column("length", names=("removed",)),
    "width": Column("length"),
    "force": Column("force"),
    "speed": Column("speed", names=("belt speed",)),
    "feed": Column("speed"),
    "passes": Column("count", needed=False),
    "roughness": Column("length", needed=False, names=("Ra",)),
}
"""One run a row."""


def read_profile(path: Path) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...], bool]:
    """
    Read a profile across a pass.

    Parameters
    ----------
    path : Path
        CSV with a header as ``y [mm],depth [um]`` or ``y [mm],darkness``.

    Returns
    -------
    tuple
        Positions [m]; depth columns [m] or darkness columns [-]; whether it was darkness.

    Raises
    ------
    InputProblems
        With everything that is wrong in the file.
    """
    table = read_table(path, PROFILE, what="a profile across the pass")
    columns = table.numbers.get("depth", ()), table.numbers.get("darkness", ())
    if bool(columns[0]) == bool(columns[1]):
        found = "there is no column depth or darkness" if not columns[0] else "there are both depth and darkness"
        raise problem(path, found, 'write a header as "y [mm],depth [um]" or "y [mm],darkness"')
    return table.one("y"), columns[0] or columns[1], bool(columns[1])


def read_table(path: Path, columns: Mapping[str, Column], *, what: str) -> Table:
    """
    Read a table.

    Parameters
    ----------
    path : Path
        CSV in UTF-8 or UTF-16, with comma, semicolon or tab between cells; decimal commas are read where semicolons or
        tabs part the cells. Lines that begin with ``#`` are remarks.
    columns : mapping of str to Column
        What it may hold.
    what : str
        What it should be, in words.

    Returns
    -------
    Table
        In SI.

    Raises
    ------
    InputProblems
        With everything that is wrong in the file: the file as a whole, its header, or its cells by line.
    """
    text = read_text(path, largest=LARGEST, what=f"{what} as CSV")
    rows = _rows(path, text)
    line, head = rows[0]
    found = _header(path, line, head, columns)
    body = rows[1:]
    if not body:
        raise problem(path, "there is a header and no row", f"give {what} with at least one row")
    comma = _separator(text) != ","
    problems: list[InputProblem] = []
    cells: list[list[float | str]] = [[] for _ in found]
    for line, row in body:
        if len(row) != len(head):
            problems.append(
                InputProblem(_at(path, line), "", f"{len(row)} cells where the header has {len(head)}", "give every row as many cells")
            )
        else:
            for index, (name, factor, offset) in enumerate(found):
                try:
                    cells[index].append(row[index].strip() if factor is None else _number(row[index], comma) * factor + offset)
                except ValueError as error:
                    problems.append(InputProblem(_at(path, line), name, str(error), "write a number"))
        if len(problems) >= MOST_SHOWN:
            break
    if problems:
        raise InputProblems(tuple(problems[:MOST_SHOWN]))
    return _table(found, cells, tuple(line for line, _ in body))


def _at(path: Path, line: int) -> str:
    return f"{path.name} line {line}"


def _separator(text: str) -> str:
    head = next((line for line in text.split("\n") if line.strip() and not line.startswith("#")), "")
    return ";" if ";" in head else "\t" if "\t" in head else ","


def _rows(path: Path, text: str) -> list[tuple[int, list[str]]]:
    """Rows that are neither empty nor remarks, with their line."""
    reader = csv.reader(io.StringIO(text), delimiter=_separator(text), strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if row and not row[0].lstrip().startswith("#") and any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
            if len(rows) > MOST_ROWS + 1:
                raise problem(path, f"it has more than {MOST_ROWS} rows", f"a table has at most {MOST_ROWS} rows; thin it out")
    except csv.Error as error:
        raise InputProblems((InputProblem(_at(path, reader.line_num), "", f"this is not CSV ({error})", "check the quotes"),)) from None
    if not rows:
        raise problem(path, "there is nothing but remarks", "give a header and rows")
    return rows


def _header(path: Path, line: int, head: list[str], columns: Mapping[str, Column]) -> list[tuple[str, float | None, float]]:
    """Name, factor to SI (None for text) and offset of each column."""
    known = {other.lower(): name for name, column in columns.items() for other in (name, *column.names)}
    problems: list[InputProblem] = []
    found: list[tuple[str, float | None, float]] = []
    for cell in head:
        match = _HEAD.match(cell.replace("\n", " "))
        written = (match.group("name") if match else cell).strip()
        unit = plain_unit(match.group("unit") or "") if match else ""
        name = known.get(written.lower()) or known.get(re.sub(r"[ _]*\d+$", "", written.lower()), "")
        if not name or (written.lower() not in known and not columns[name].many):
            first = ", ".join(columns)
            problems.append(
                InputProblem(
                    _at(path, line), one_line(written), "unknown column", f"columns are {first}", nearest_word(written, list(known))
                )
            )
            continue
        kind = columns[name].kind
        if kind == "text":
            found.append((name, None, 0.0))
        elif unit in KINDS[kind].units:
            found.append((name, KINDS[kind].units[unit], OFFSETS.get(unit, 0.0)))
        else:
            problems.append(_unit_problem(_at(path, line), written, unit, kind))
    for name, column in columns.items():
        count = sum(name == one for one, _, _ in found)
        if count == 0 and column.needed and not problems:
            problems.append(InputProblem(_at(path, line), name, "this column is missing", f"the header needs {_example(name, column)}"))
        if count > 1 and not column.many:
            problems.append(InputProblem(_at(path, line), name, "this column stands twice", "leave one out"))
    if problems:
        raise InputProblems(tuple(problems[:MOST_SHOWN]))
    return found


def _unit_problem(place: str, name: str, unit: str, kind: str) -> InputProblem:
    other = kind_of_unit(unit)
    units = ", ".join(one for one in KINDS[kind].units if one) or "no unit"
    what = "no unit" if not unit else f"the unit {unit} of {KINDS[other].word}" if other else f"the unknown unit {one_line(unit)}"
    return InputProblem(
        place,
        name,
        f"this column has {what}",
        f'write the unit in the header, as "{one_line(name)} [{units.split(", ")[0]}]"; units are {units}',
    )


def _example(name: str, column: Column) -> str:
    unit = next((one for one in KINDS[column.kind].units if one), "") if column.kind != "text" else ""
    return f'"{name} [{unit}]"' if unit else f'"{name}"'


def _number(cell: str, comma: bool) -> float:
    text = cell.strip()
    if not text:
        raise ValueError("an empty cell")
    if comma and "," in text and "." not in text:
        text = text.replace(",", ".", 1)
    shown = '"' + "".join(c if c.isprintable() else "?" for c in text[:40]) + '"'
    try:
        if "_" in text:
            raise ValueError
        number = float(text)
    except ValueError:
        raise ValueError(f"{shown} is not a number") from None
    if not math.isfinite(number) or abs(number) > 1e15:
        raise ValueError(f"{shown} is not a usable number")
    return number


def _table(found: list[tuple[str, float | None, float]], cells: list[list[float | str]], lines: tuple[int, ...]) -> Table:
    numbers: dict[str, list[tuple[float, ...]]] = {}
    texts: dict[str, tuple[str, ...]] = {}
    for (name, factor, _), column in zip(found, cells, strict=True):
        if factor is None:
            texts[name] = tuple(str(cell) for cell in column)
        else:
            numbers.setdefault(name, []).append(tuple(float(cell) for cell in column))
    return Table({name: tuple(columns) for name, columns in numbers.items()}, texts, lines)
