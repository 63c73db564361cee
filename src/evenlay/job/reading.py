"""From the tables of a job file to a `Job`, or to every problem in it at once."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Any, Final

from pydantic import ValidationError

from evenlay.job.amounts import FieldError, nearest_word, one_line, shown
from evenlay.job.records import SCHEMA, SECTIONS, Job
from evenlay.job.rules import contradictions
from evenlay.quantities.errors import InputProblem, InputProblems

Place = Callable[[tuple[str | int, ...]], str]
"""From the keys of a place to the file and line shown."""

MIGRATIONS: Final[Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]]] = {}
"""From a schema to the function that turns its tables into the next schema's; schema 1 is the first."""

MOST_SHOWN: Final = 60
"""Problems listed at once; beyond it the file is not a job file."""


def dotted(key: tuple[str | int, ...]) -> str:
    """
    Keys as text; places in lists count from 1.

    Examples
    --------
    >>> dotted(("step", 0, "wheel", "diameter"))
    'step[1].wheel.diameter'
    """
    text = ""
    for part in key:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{one_line(part)}" if text else one_line(part)
    return text


def parse_job(tables: Mapping[str, Any], place: Place) -> Job:
    """
    Check the tables of a job file and make the record.

    Parameters
    ----------
    tables : mapping
        As read from TOML.
    place : callable
        Gives the file and line of a key.

    Returns
    -------
    Job
        Closed and frozen.

    Raises
    ------
    InputProblems
        With all problems: wrong fields and contradictions together.
    """
    data = _migrated(dict(tables), place)
    try:
        job = Job.model_validate(data)
    except ValidationError as error:
        problems, keys = _translated(error, data, place)
        raise InputProblems(tuple((problems + _rules_on_rest(data, keys, place))[:MOST_SHOWN])) from None
    found = [InputProblem(place(item.key), dotted(item.key), item.found, item.allowed, item.nearest) for item in contradictions(job)]
    if found:
        raise InputProblems(tuple(found))
    return job


def _migrated(data: dict[str, Any], place: Place) -> dict[str, Any]:
    """Data at the present schema, without the schema key."""
    version = data.pop("schema", None)
    allowed = f"write schema = {SCHEMA} on the first line"
    if version is None:
        raise InputProblems((InputProblem(place(()), "schema", "the file has no schema", allowed),))
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise InputProblems((InputProblem(place(("schema",)), "schema", f"{shown(version)} is not a schema number", allowed),))
    if version > SCHEMA:
        allowed = f"this version of evenlay reads schemas up to {SCHEMA}; use the version that wrote the file, or a later one"
        raise InputProblems((InputProblem(place(("schema",)), "schema", f"schema {version} is newer than this program", allowed),))
    while version < SCHEMA:
        data = MIGRATIONS[version](data)
        version += 1
    return data


def _translated(error: ValidationError, data: dict[str, Any], place: Place) -> tuple[list[InputProblem], list[tuple[str | int, ...]]]:
    """Every error as a problem, and the keys to leave out to look at the rest."""
    problems: list[InputProblem] = []
    keys: list[tuple[str | int, ...]] = []
    for item in error.errors(include_url=False):
        key = tuple(item["loc"])
        keys.append(key)
        cause = item.get("ctx", {}).get("error")
        if isinstance(cause, FieldError):
            for wrong in cause.wrongs:
                inner = (*key, wrong.inside) if wrong.inside else key
                problems.append(InputProblem(place(key), dotted(inner), wrong.found, wrong.allowed, wrong.nearest))
        else:
            problems.append(_structural(item["type"], key, item.get("input"), place))
    return problems, keys


def _structural(kind: str, key: tuple[str | int, ...], found: Any, place: Place) -> InputProblem:
    """Problem of structure: a key too many, one missing, a table that is not one."""
    section = ".".join(str(part) for part in key[:-1] if isinstance(part, str))
    name = str(key[-1]) if key else ""
    if kind == "extra_forbidden":
        known = list(SECTIONS[section].model_fields if section else Job.model_fields)
        where = f"[{section}]" if section else "a job file"
        if isinstance(found, dict) or (isinstance(found, list) and found and isinstance(found[0], dict)):
            what = f"unknown section {one_line(name)}"
        else:
            what = f"unknown key {one_line(name)}"
        return InputProblem(place(key), dotted(key), what, f"{where} has {', '.join(known)}", nearest_word(name, known))
    if kind == "missing":
        full = f"{section}.{name}" if section else name
        if full in ("face", "step"):
            return InputProblem(place(key[:-1]), dotted(key), "missing", f"write at least one [[{full}]]")
        if full in SECTIONS:
            return InputProblem(place(key[:-1]), dotted(key), "missing", f"write a section [{full}]")
        return InputProblem(place(key[:-1]), dotted(key), "missing", _allowed(full))
    if kind == "tuple_type":
        return InputProblem(
            place(key), dotted(key), f"{shown(found)} where a list of tables belongs", f"write [[{name}]] with two brackets"
        )
    full = ".".join(str(part) for part in key if isinstance(part, str))
    return InputProblem(place(key), dotted(key), f"{shown(found)} where a table belongs", f"write a section [{full}]")


def _allowed(full: str) -> str:
    from evenlay.job.records import key_register

    return key_register()[full].allowed()


def _rules_on_rest(data: dict[str, Any], keys: list[tuple[str | int, ...]], place: Place) -> list[InputProblem]:
    """Contradictions among the fields that are right by themselves."""
    rest = copy.deepcopy(data)
    for key in keys:
        inside: Any = rest
        try:
            for part in key[:-1]:
                inside = inside[part]
            del inside[key[-1]]
        except (KeyError, IndexError, TypeError):
            return []
    try:
        job = Job.model_validate(rest)
    except ValidationError:
        return []
    return [InputProblem(place(item.key), dotted(item.key), item.found, item.allowed, item.nearest) for item in contradictions(job)]
