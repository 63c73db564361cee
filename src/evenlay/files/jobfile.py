"""The job file: TOML with units as text; comments survive every write."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any, Final

from evenlay.files.bounded import problem, read_text
from evenlay.files.whole import write_whole
from evenlay.job.reading import dotted, parse_job
from evenlay.job.records import Job
from evenlay.job.starting import NewJob, job_text
from evenlay.quantities.errors import InputProblem, InputProblems

FILE_NAME: Final = "job.toml"
"""Name of the file in a job folder."""

LARGEST: Final = 500_000
"""Bytes a job file may have. [-]"""

TOML_WORDS: Final = {
    "Cannot overwrite a value": "a key stands twice",
    "Cannot declare": "a section stands twice",
    "Illegal character '\\n'": "a text in quotes is not closed",
    "Unterminated string": "a text in quotes is not closed",
    "Expected '=' after a key": "a key without =",
    "Invalid value": "a value that is neither text in quotes, a number, true, false nor a list",
    "Expected newline or end of document": "something stands behind the value",
    "Invalid statement": "a line that is neither a section nor a key",
}
"""What the reader of TOML says, in plain words."""

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*([A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*([A-Za-z0-9_.-]+))?\s*=""")
_LONG_KEY = re.compile(r"""(?:(?:[\w-]{1,60}|"[^"\n]{0,60}"|'[^'\n]{0,60}')[ \t]*\.[ \t]*){31}""")
"""Reading such a key takes the square of its length: nobody writes one by hand."""

_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def job_path(path: Path) -> Path:
    """Job file of a folder; a file is taken as it is."""
    return path / FILE_NAME if path.is_dir() else path


def read_job(path: Path) -> Job:
    """
    Read and check a job.

    Parameters
    ----------
    path : Path
        The job folder, or the file itself.

    Returns
    -------
    Job
        Closed and frozen.

    Raises
    ------
    InputProblems
        With every problem at once: file and line, dotted key, what was found, what is allowed, the nearest known key.
    """
    file = job_path(path)
    if not path.exists():
        raise problem(path, "there is no such job", "give the folder of a job, or make one with evenlay start")
    if path.is_dir() and not file.exists():
        raise problem(path, f"there is no {FILE_NAME} in this folder", "make a job with evenlay start")
    return job_from_text(read_text(file, largest=LARGEST, what="a job file"), file)


def job_from_text(text: str, file: Path) -> Job:
    """
    Check the text of a job file.

    Parameters
    ----------
    text : str
        TOML.
    file : Path
        Name shown in problems.

    Returns
    -------
    Job
        Closed and frozen.
    """
    lines = _line_numbers(text)

    def place(key: tuple[str | int, ...]) -> str:
        line = next((lines[key[:size]] for size in range(len(key), 0, -1) if key[:size] in lines), 0)
        return f"{file.name} line {line}" if line else file.name

    return parse_job(_tables(text, file), place)


def _tables(text: str, file: Path) -> dict[str, Any]:
    if long := _LONG_KEY.search(text):
        line = text.count("\n", 0, long.start()) + 1
        raise InputProblems(
            (InputProblem(f"{file.name} line {line}", "", "a key of more than 30 parts", 'write key = "value" under a [section]'),)
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        at = _AT.search(said)
        line = at.group(1) if at else None
        where = f"{file.name} line {line}" if line else f"{file.name}, its end" if at else file.name
        reason = _AT.sub("", said)
        reason = next((plain for sign, plain in TOML_WORDS.items() if reason.startswith(sign)), reason)
        raise InputProblems((InputProblem(where, "", f"this is not TOML ({reason})", 'write key = "value" under a [section]'),)) from None
    except (ValueError, RecursionError):
        raise InputProblems(
            (InputProblem(file.name, "", "this is not TOML (too deep, or a number too long)", 'write key = "value" under a [section]'),)
        ) from None


def _line_numbers(text: str) -> dict[tuple[str | int, ...], int]:
    """Line of every section and key, as well as a line-by-line look can tell."""
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[str, int] = {}
    at: tuple[str | int, ...] = ()
    for number, line in enumerate(text.split("\n"), start=1):
        if header := _HEADER.match(line):
            at = _section_key(header.group(2), header.group(1) == "[[", counts)
            lines.setdefault(at, number)
        elif key := _KEY.match(line):
            name = (key.group(1).strip("\"'"), *(key.group(2) or "").split(".")) if key.group(2) else (key.group(1).strip("\"'"),)
            lines.setdefault((*at, *name), number)
    return lines


def _section_key(name: str, one_of_many: bool, counts: dict[str, int]) -> tuple[str | int, ...]:
    parts = [part.strip().strip("\"'") for part in name.split(".")]
    key: list[str | int] = []
    for index, part in enumerate(parts):
        key.append(part)
        so_far = ".".join(parts[: index + 1])
        last = index == len(parts) - 1
        if last and one_of_many:
            counts[so_far] = counts.get(so_far, -1) + 1
        if so_far in counts:
            key.append(counts[so_far])
    return tuple(key)


def write_job(folder: Path, new: NewJob) -> Path:
    """
    Make a job folder with its complete, commented file.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    new : NewJob
        What is known of the job.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    InputProblems
        If what is known is wrong, or the folder holds a job already.
    """
    file = folder / FILE_NAME
    if file.exists():
        raise problem(file, "there is a job in this folder already", "choose another folder, or remove it first")
    if folder.exists() and not folder.is_dir():
        raise problem(folder, "this is a file", "give the name of a folder")
    text = job_text(new)
    job_from_text(text, file)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(file, text.encode("utf-8"))
    except OSError as error:
        raise problem(folder, f"it cannot be written ({error.strerror})", "give a folder you may write to") from None
    return file


def changed_job(path: Path, changes: dict[str, str]) -> Job:
    """
    The job as it would be with some values changed; nothing is written.

    Parameters
    ----------
    path : Path
        Folder or file.
    changes : dict
        Key (see `set_value`) to text.

    Returns
    -------
    Job
        Checked like any other.
    """
    file = job_path(path)
    read_job(path)
    text = read_text(file, largest=LARGEST, what="a job file")
    for key, value in changes.items():
        text = _edited(text, key, value, file)
    return job_from_text(text, file)


def set_value(path: Path, key: str, text: str) -> Job:
    """
    Change one value of a job file; comments and order stay.

    Parameters
    ----------
    path : Path
        Folder or file.
    key : str
        Dotted key: ``settings.feed``, ``step.settings.feed``, ``step[2].wheel.inflation``, ``step.finish.belt.grit``, or the
        last part alone if only one section has it.
    text : str
        A quantity or word, or a TOML value (list, table, number).

    Returns
    -------
    Job
        The changed job, already written.

    Raises
    ------
    InputProblems
        If the key is unknown or the changed file would be wrong; then nothing is written.
    """
    file = job_path(path)
    read_job(path)
    changed = _edited(read_text(file, largest=LARGEST, what="a job file"), key, text, file)
    job = job_from_text(changed, file)
    write_whole(file, changed.encode("utf-8"))
    return job


def _edited(text: str, key: str, value: str, file: Path) -> str:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    from evenlay.files.keys import resolve_key

    document = tomlkit.parse(text)
    keys = resolve_key(document, key, file)
    inside: Any = document
    for part in keys[:-1]:
        if isinstance(part, str) and part not in inside:
            inside[part] = tomlkit.table()
        inside = inside[part]
    item: Any = value
    # An alloy's number is its name; other digits are a count.
    if value.startswith(("[", "{")) or value in ("true", "false") or (keys[-1] != "alloy" and re.fullmatch(r"[+-]?\d+", value)):
        try:
            item = tomlkit.value(value)
        except TOMLKitError:
            raise InputProblems(
                (InputProblem(file.name, dotted(tuple(keys)), f'"{value}" is not a TOML value', "write a quantity as 35 N"),)
            ) from None
    old = inside.get(keys[-1])
    fresh = tomlkit.item(item)
    if old is not None:
        fresh.trivia.comment_ws, fresh.trivia.comment = old.trivia.comment_ws, old.trivia.comment
    inside[keys[-1]] = fresh
    return tomlkit.dumps(document)
