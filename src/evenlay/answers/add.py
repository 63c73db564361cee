"""Evidence added to a job, and taken back."""

from __future__ import annotations

import datetime
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeVar

from evenlay.answers.case import Case, case_of
from evenlay.answers.check import starting_settings
from evenlay.answers.numbers import number_of_value
from evenlay.answers.plausible import impossible
from evenlay.answers.why import option
from evenlay.files.evidence_log import add_entry, undo
from evenlay.files.jobfile import job_path
from evenlay.files.tables import DEPTHS, WEIGHINGS, Table, read_profile, read_table
from evenlay.job.answer_parts import Number
from evenlay.job.effective import kind_of
from evenlay.job.evidence_record import Depth, Entry, Footprint, Retract, Weight, fingerprint
from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import UnitError, parse_quantity

About = Mapping[str, str | None]
Payload = TypeVar("Payload", Weight, Depth)


@dataclass(frozen=True)
class Learnt:
    """A quantity before and after, by dotted key."""

    key: str
    before: Number
    after: Number


@dataclass(frozen=True)
class Added:
    """Entries written, what they changed, what a new profile says of its two edges, and their doubts."""

    folder: Path
    entries: tuple[Entry, ...]
    learnt: tuple[Learnt, ...]
    width: Number | None
    ramps: tuple[tuple[str, Number], ...]
    remarks: tuple[Remark, ...]


def add_footprint_to(
    folder: Path, *, file: Path | None, lengths: Sequence[str], widths: Sequence[str], made: Mapping[str, str | None], about: About
) -> Added:
    """
    Add a footprint: lengths and widths with a ruler, a profile across the pass, or both.

    Parameters
    ----------
    folder : Path
    file : Path or None
        CSV of depth or darkness.
    lengths, widths : sequence of str
        With units.
    made : mapping
        ``force`` and ``inflation`` of the print, else those of the job; ``on_face`` when it was made on the curved face.
    about : mapping
        ``step``, ``who``, ``note``, ``belt_metres``.

    Returns
    -------
    Added

    Raises
    ------
    InputProblems
        If nothing was given, or something cannot be read; then nothing is written.
    """
    case = case_of(folder, step_id=about.get("step"))
    if file is None and not lengths:
        raise _nothing("footprint", 'give --length "15 mm" --width "52 mm", or --file with a CSV across the pass, or both')
    force, inflation = made.get("force"), made.get("inflation")
    position: tuple[float, ...] = ()
    depths: tuple[tuple[float, ...], ...] = ()
    darkness = False
    if file is not None:
        position, depths, darkness = read_profile(file)
    payload = Footprint(
        force=option("--force", force, "force") if force else starting_settings(case).force,
        inflation=option("--inflation", inflation, "pressure") if inflation else _own_inflation(case),
        curvature_along=case.setup.curvature_along if made.get("on_face") else 0.0,
        curvature_across=case.setup.curvature_across if made.get("on_face") else 0.0,
        lengths=tuple(option("--length", text, "length") for text in lengths),
        widths=tuple(option("--width", text, "length") for text in widths),
        position=position,
        depths=depths,
        from_darkness=darkness,
    )
    return _written(case, [payload], file, about)


def _own_inflation(case: Case) -> float | None:
    """Inflation that the job states now, so that a later change of it is seen; None where it rests on a shipped guess."""
    key = "wheel.inflation"
    stated = case.step.wheel.kind == "pneumatic" and key in case.file_only and key not in case.file_only.assumed
    return case.file_only[key].number if stated else None


def add_weight_to(  # noqa: PLR0913 - one argument per group of options
    folder: Path,
    *,
    file: Path | None,
    before: Sequence[str],
    after: Sequence[str],
    passes: int | None,
    repeats: int,
    cut: Mapping[str, str | None],
    about: About,
) -> Added:
    """
    Add one weighing, or a file of them.

    Parameters
    ----------
    folder : Path
    file : Path or None
        CSV, one coupon a row.
    before, after : sequence of str
        Readings with units.
    passes : int or None
    repeats : int
        Readings behind each number.
    cut : mapping
        ``length``, ``force``, ``speed``, ``feed``, ``resolution`` as text; force, speed and feed else those of the job.
    about : mapping

    Returns
    -------
    Added

    Raises
    ------
    InputProblems
        With everything that is missing or wrong; then nothing is written.
    """
    case = case_of(folder, step_id=about.get("step"))
    if file is None and not (before and after and passes is not None and cut.get("length") and cut.get("resolution")):
        raise _nothing("weight", "give --before, --after, --passes, --length and --resolution, or --file with a CSV and --resolution")
    if not cut.get("resolution"):
        raise _nothing("weight", '--resolution is needed: one division of the scale, as "0.1 g"')
    resolution = option("--resolution", cut["resolution"] or "", "mass")
    run = _run_of(case, cut)
    if file is not None:
        payloads = [
            _weight({**row, "resolution": resolution, "repeats": repeats}, file.name)
            for row in _weighing_rows(read_table(file, WEIGHINGS, what="a table of weighings"))
        ]
    else:
        readings = {
            "before": tuple(option("--before", text, "mass") for text in before),
            "after": tuple(option("--after", text, "mass") for text in after),
        }
        given = {**readings, **run, "passes": passes, "length": option("--length", cut["length"] or "", "length")}
        payloads = [_weight({**given, "resolution": resolution, "repeats": repeats}, "evenlay add weight")]
    return _written(case, payloads, file, about)


def add_depth_to(folder: Path, *, file: Path | None, passes: int, cut: Mapping[str, str | None], about: About) -> Added:
    """
    Add one removed depth, or a file of them.

    Parameters
    ----------
    folder : Path
    file : Path or None
        CSV, one run a row.
    passes : int
    cut : mapping
        ``depth``, ``width``, ``force``, ``speed``, ``feed``, ``roughness``, ``name`` as text.
    about : mapping

    Returns
    -------
    Added

    Raises
    ------
    InputProblems
        With everything that is missing or wrong; then nothing is written.
    """
    case = case_of(folder, step_id=about.get("step"))
    if file is None and not cut.get("depth"):
        raise _nothing("depth", '--depth is needed, as "12 µm", or --file with a CSV')
    if file is not None:
        payloads = [_depth(row, file.name) for row in _depth_rows(read_table(file, DEPTHS, what="a table of depths"))]
    else:
        width = cut.get("width")
        given = {
            **_run_of(case, cut),
            "name": cut.get("name") or "",
            "depth": option("--depth", cut["depth"] or "", "length"),
            "width": option("--width", width, "length") if width else case.setup.contact_width,
            "roughness": option("--ra", cut["roughness"] or "", "length") if cut.get("roughness") else None,
            "passes": passes,
        }
        payloads = [_depth(given, "evenlay add depth")]
    return _written(case, payloads, file, about)


def undo_last(folder: Path, *, reason: str) -> tuple[Entry, Entry]:
    """
    Take the last addition back.

    Returns
    -------
    tuple of Entry
        What was taken back, and the entry that says so.

    Raises
    ------
    InputProblems
        If there is nothing to take back.
    """
    # Only the folder is needed: evidence that cannot be used any more can still be taken back.
    return undo(job_path(folder).parent, when=now(), reason=reason)


def now() -> str:
    """Local time as ISO text, to the second."""
    return datetime.datetime.now().astimezone().isoformat(timespec="seconds")


def _run_of(case: Case, cut: Mapping[str, str | None]) -> dict[str, float]:
    start = starting_settings(case)
    found = {}
    for name, kind in (("force", "force"), ("speed", "speed"), ("feed", "speed")):
        text = cut.get(name)
        if not text:
            found[name] = float(getattr(start, name))
        elif name == "speed":
            found[name] = belt_speed(text, case.setup.wheel_diameter)
        else:
            found[name] = option(f"--{name}", text, kind)
    return found


def belt_speed(text: str, diameter: float) -> float:
    """
    Belt speed from text: a speed, or a rotation of the wheel.

    Raises
    ------
    InputProblems
        If it is neither.
    """
    try:
        rotation = parse_quantity(text, "rotation")
    except UnitError:
        return option("--speed", text, "speed")
    return math.pi * diameter * rotation


def _weighing_rows(table: Table) -> list[dict[str, object]]:
    return [
        {
            "before": tuple(column[index] for column in table.numbers["before"]),
            "after": tuple(column[index] for column in table.numbers["after"]),
            "passes": int(table.one("passes")[index]),
            **{name: table.one(name)[index] for name in ("length", "force", "speed", "feed")},
        }
        for index in range(len(table.lines))
    ]


def _depth_rows(table: Table) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for index in range(len(table.lines)):
        row: dict[str, object] = {name: table.one(name)[index] for name in ("depth", "width", "force", "speed", "feed")}
        if "passes" in table.numbers:
            row["passes"] = int(table.one("passes")[index])
        if "roughness" in table.numbers:
            row["roughness"] = table.one("roughness")[index]
        if "name" in table.texts:
            row["name"] = table.texts["name"][index]
        rows.append(row)
    return rows


def _weight(given: Mapping[str, object], place: str) -> Weight:
    return _checked(Weight, given, place)


def _depth(given: Mapping[str, object], place: str) -> Depth:
    return _checked(Depth, given, place)


def _checked(record: type[Payload], given: Mapping[str, object], place: str) -> Payload:
    from pydantic import ValidationError

    try:
        return record.model_validate(dict(given))
    except ValidationError as error:
        raise InputProblems(
            tuple(
                InputProblem(
                    place,
                    ".".join(str(part) for part in item["loc"]),
                    _in_words(item["type"], item.get("ctx") or {}, item["input"]) or item["msg"].removeprefix("Value error, "),
                    "see evenlay add JOB --help",
                )
                for item in error.errors(include_url=False)
            )
        ) from None


BOUNDS: Final = {
    "greater_than_equal": ("ge", "below the least,"),
    "greater_than": ("gt", "not above"),
    "less_than_equal": ("le", "above the most,"),
    "less_than": ("lt", "not below"),
}
"""Types of the record library's findings that name a bound, and how they are said."""


def _in_words(kind: str, context: Mapping[str, object], found: object) -> str:
    if kind not in BOUNDS:
        return ""
    name, words = BOUNDS[kind]
    return f"{found} is {words} {context[name]}"


def _nothing(kind: str, allowed: str) -> InputProblems:
    return InputProblems((InputProblem(f"evenlay add {kind}", "", "something is missing", allowed),))


def _checked_before_keeping(case: Case, entries: Sequence[Entry], file: Path | None) -> None:
    """
    Refuse what cannot be, or could not be used, while nothing has been written: evidence is never edited afterwards.

    Raises
    ------
    InputProblems
        Saying what cannot be, and what to check.
    """
    for entry in entries:
        payload = entry.payload
        if isinstance(payload, Retract):
            continue
        place = file.name if file is not None else f"evenlay add {payload.kind}"
        try:
            wrong = impossible(case, payload)
        except ValueError as error:
            wrong = str(error), "give a profile from outside one edge to outside the other"
        if wrong is not None:
            raise InputProblems((InputProblem(place, "", *wrong),))
    try:
        case_of(case.folder, step_id=case.step.id, beside=entries)
    except (ValueError, ArithmeticError) as error:
        place = file.name if file is not None else f"evenlay add {entries[0].kind}"
        raise InputProblems((InputProblem(place, "", f"this cannot be learnt from ({error})", "check units and settings"),)) from None


def _written(case: Case, payloads: Sequence[Footprint | Weight | Depth], file: Path | None, about: About) -> Added:
    setup = fingerprint(case.job, case.step.id, case.file_only)
    tried = [
        Entry(id=f"{9000 + number}", step=case.step.id, when="", setup=setup, payload=payload) for number, payload in enumerate(payloads)
    ]
    _checked_before_keeping(case, tried, file)
    metres = about.get("belt_metres")
    said = {
        "step": case.step.id,
        "who": about.get("who") or "",
        "note": about.get("note") or "",
        "belt_metres": option("--belt-metres", metres, "length") if metres else None,
    }
    entries = tuple(add_entry(case.folder, payload, when=now(), setup=setup, raw=file, about=dict(said)) for payload in payloads)
    after = case_of(case.folder, step_id=about.get("step"))
    keys = [key for key in after.effective if after.effective[key] != case.effective[key]]
    learnt = tuple(
        Learnt(key, number_of_value(case.effective[key], kind_of(key)), number_of_value(after.effective[key], kind_of(key))) for key in keys
    )
    width = number_of_value(after.width, "length") if after.width is not None and after.width != case.width else None
    # Counted, not looked up: the same doubt about a second reading is new.
    new = tuple((Counter(after.remarks) - Counter(case.remarks)).elements())
    return Added(case.folder, entries, learnt, width, _ramps(case, after), new)


def _ramps(before: Case, after: Case) -> tuple[tuple[str, Number], ...]:
    """What the newest profile says of the two edges, where there is a new one."""
    if len(after.fits) == len(before.fits):
        return ()
    fit = after.fits[-1]
    rows = (("left ramp", fit.ramp_left, "length"), ("right ramp", fit.ramp_right, "length"), ("asymmetry", fit.asymmetry, "share"))
    return tuple((name, number_of_value(value, kind)) for name, value, kind in rows)
