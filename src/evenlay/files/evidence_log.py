"""The evidence of a job: an append-only folder, one file per addition."""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
from pathlib import Path
from typing import Final

from pydantic import ValidationError

from evenlay.files.bounded import problem, read_text
from evenlay.files.whole import alone, write_new
from evenlay.job.amounts import one_line
from evenlay.job.evidence_record import Depth, Entry, EvidenceLog, Fingerprint, Footprint, RawFile, Retract, Weight
from evenlay.quantities.errors import InputProblem, InputProblems

FOLDER: Final = "evidence"
RAW: Final = "raw"

LARGEST: Final = 40_000_000
"""Bytes of one entry (a profile of 200,000 points is about 8 MB). [-]"""

LARGEST_RAW: Final = 50_000_000
"""Bytes of a raw file that is kept. [-]"""

MOST: Final = 9999
"""Entries of one log. [-]"""

_ENTRY = re.compile(r"(\d{4,6})-(footprint|weight|depth|retract)\.json")


def entry_files(job_folder: Path) -> list[Path]:
    """Files of the log, in order; other files in the folder are not touched."""
    folder = job_folder / FOLDER
    if not folder.is_dir():
        return []
    return sorted((path for path in folder.iterdir() if _ENTRY.fullmatch(path.name)), key=lambda path: int(path.name.split("-")[0]))


def read_log(job_folder: Path) -> EvidenceLog:
    """
    Read the evidence of a job.

    Parameters
    ----------
    job_folder : Path
        Folder of the job.

    Returns
    -------
    EvidenceLog
        Every entry, those that live, and those whose raw file has changed.

    Raises
    ------
    InputProblems
        With every file that cannot be used.
    """
    entries: list[Entry] = []
    problems: list[InputProblem] = []
    for path in entry_files(job_folder):
        try:
            entries.append(_read_entry(path))
        except InputProblems as error:
            problems.extend(error.problems)
    ids = [entry.id for entry in entries]
    problems += [
        InputProblem(f"{FOLDER}/{one}", "id", "this number stands twice", "remove the copy")
        for one in sorted(set(ids))
        if ids.count(one) > 1
    ]
    if problems:
        raise InputProblems(tuple(problems))
    taken = taken_back(entries)
    live = tuple(entry for entry in entries if entry.kind != "retract" and entry.id not in taken)
    changed = tuple(entry.id for entry in entries if entry.raw is not None and not _raw_holds(job_folder, entry.raw))
    return EvidenceLog(entries=tuple(entries), live=live, raw_changed=changed)


def taken_back(entries: list[Entry]) -> set[str]:
    """Ids that a later entry takes back; taking back a taking-back lets the first live again."""
    taken: set[str] = set()
    for entry in reversed(entries):
        if isinstance(entry.payload, Retract) and entry.id not in taken:
            taken.add(entry.payload.entry)
    return taken


def _read_entry(path: Path) -> Entry:
    text = read_text(path, largest=LARGEST, what="an entry of evidence")
    place = f"{FOLDER}/{path.name}"
    try:
        entry = Entry.model_validate(json.loads(text))
    except ValidationError as error:
        raise InputProblems(
            tuple(
                InputProblem(
                    place,
                    ".".join(one_line(str(part)) for part in item["loc"]),
                    item["msg"].removeprefix("Value error, ")[:1].lower() + item["msg"].removeprefix("Value error, ")[1:],
                    "entries are written by evenlay add and never edited; restore the file, or take it back with evenlay undo",
                )
                for item in error.errors(include_url=False)[:10]
            )
        ) from None
    except (ValueError, RecursionError):
        raise InputProblems((InputProblem(place, "", "this is not JSON", "restore the file; entries are never edited"),)) from None
    if entry.id != path.name.split("-")[0] or entry.kind != path.stem.split("-")[1]:
        raise InputProblems((InputProblem(place, "id", f"it holds entry {entry.id}-{entry.kind}", "the file was renamed; rename it back"),))
    return entry


def _raw_holds(job_folder: Path, raw: RawFile) -> bool:
    path = job_folder / FOLDER / RAW / raw.name
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == raw.sha256


def add_entry(
    job_folder: Path,
    payload: Footprint | Weight | Depth | Retract,
    *,
    when: str,
    setup: Fingerprint,
    raw: Path | None = None,
    about: dict[str, str | float | None] | None = None,
) -> Entry:
    """
    Append one entry.

    Parameters
    ----------
    job_folder : Path
        Folder of the job.
    payload : record
        What was measured.
    when : str
        ISO date and time.
    setup : Fingerprint
        Set-up it was measured on.
    raw : Path or None
        File it was read from; a copy is kept.
    about : dict or None
        ``step``, ``who``, ``note``, ``belt_metres`` [m].

    Returns
    -------
    Entry
        As written. Two writers at once get two numbers; neither overwrites the other.

    Raises
    ------
    InputProblems
        If the raw file cannot be kept, or the log is full.
    """
    folder = job_folder / FOLDER
    try:
        folder.mkdir(exist_ok=True)
        kept = None if raw is None else _keep_raw(folder, raw)
        with alone(folder):
            files = entry_files(job_folder)
            number = int(files[-1].name.split("-")[0]) + 1 if files else 1
            if number > MOST:
                raise problem(folder, f"the log is full ({MOST} entries)", "start a new job")
            fields = {"id": f"{number:04d}", "when": when, "setup": setup, "raw": kept, "payload": payload}
            entry = Entry.model_validate({**fields, **(about or {})})
            text = json.dumps(entry.model_dump(mode="json"), indent=1, ensure_ascii=False, allow_nan=False)
            write_new(folder / f"{entry.id}-{entry.kind}.json", (text + "\n").encode("utf-8"))
            return entry
    except OSError as error:
        raise problem(folder, f"it cannot be written ({error.strerror})", "give a folder you may write to") from None


def _keep_raw(folder: Path, source: Path) -> RawFile:
    """Copy a raw file under the name of its content; the same content is kept once."""
    if not source.is_file():
        raise problem(source, "there is no such file", "give the file that was read")
    with source.open("rb") as file:
        content = file.read(LARGEST_RAW + 1)
    if len(content) > LARGEST_RAW:
        raise problem(source, f"it is larger than {LARGEST_RAW / 1e6:g} MB", "give a smaller file")
    digest = hashlib.sha256(content).hexdigest()
    suffix = source.suffix if re.fullmatch(r"\.[A-Za-z0-9]{1,8}", source.suffix) else ".bin"
    name = f"{digest[:16]}{suffix}"
    (folder / RAW).mkdir(exist_ok=True)
    target = folder / RAW / name
    if not target.exists():
        with contextlib.suppress(FileExistsError):
            write_new(target, content)
    return RawFile(name=name, original=source.name[:2000], sha256=digest)


def undo(job_folder: Path, *, when: str, about: dict[str, str | float | None] | None = None, reason: str = "") -> tuple[Entry, Entry]:
    """
    Take the last live entry back.

    Parameters
    ----------
    job_folder : Path
        Folder of the job.
    when : str
        ISO date and time.
    about : dict or None
        As in `add_entry`.
    reason : str
        Why.

    Returns
    -------
    tuple of Entry
        The entry taken back, and the entry that says so.

    Raises
    ------
    InputProblems
        If there is nothing to take back.
    """
    log = read_log(job_folder)
    if not log.live:
        raise problem(job_folder / FOLDER, "there is no evidence to take back", "add some with evenlay add")
    last = log.live[-1]
    said = add_entry(
        job_folder, Retract(entry=last.id, reason=reason), when=when, setup=last.setup, about={"step": last.step, **(about or {})}
    )
    return last, said
