"""Finding the place a short key means in a job file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from evenlay.job.amounts import nearest_word
from evenlay.job.reading import dotted
from evenlay.job.records import key_register
from evenlay.quantities.errors import InputProblem, InputProblems

_LISTS = ("face", "step")


def resolve_key(document: Mapping[str, Any], key: str, file: Path) -> tuple[str | int, ...]:
    """
    Keys of the place that a short key means.

    Parameters
    ----------
    document : mapping
        The job file's tables.
    key : str
        ``feed``, ``settings.feed``, ``step.settings.feed``, ``step[1].settings.feed`` or ``step.finish.settings.feed``.
    file : Path
        Name shown in problems.

    Returns
    -------
    tuple of str and int
        Path into the tables.

    Raises
    ------
    InputProblems
        If no key, or more than one, is meant.

    Examples
    --------
    >>> resolve_key({"step": [{"id": "finish"}]}, "feed", Path("job.toml"))
    ('step', 0, 'settings', 'feed')
    """
    parts = [part for part in re.split(r"\.|(?=\[)", key.strip()) if part]
    wanted, chosen = _split(document, parts)
    known = list(key_register())
    matches = (
        [name for name in known if name == wanted]
        or [name for name in known if name.endswith(f".{wanted}")]
        or [name for name in known if _inside(wanted.split("."), name.split("."))]
    )
    if not matches:
        last = wanted.split(".")[-1]
        near = nearest_word(last, sorted({name.split(".")[-1] for name in known})) or nearest_word(wanted, known)
        raise InputProblems((InputProblem(file.name, key, "there is no such key", "give a key of the job file", near),))
    if len(matches) > 1:
        raise InputProblems((InputProblem(file.name, key, f"this could be {', '.join(matches)}", "write more of the key"),))
    path = matches[0].split(".")
    if path[0] not in _LISTS:
        return tuple(path)
    entries = document.get(path[0], [])
    if chosen is None and len(entries) > 1:
        allowed = ", ".join(dotted((path[0], index, *path[1:])) for index in range(len(entries)))
        raise InputProblems(
            (InputProblem(file.name, key, f"there are {len(entries)} entries of [[{path[0]}]]", f"write one of {allowed}"),)
        )
    index = chosen or 0
    if not 0 <= index < len(entries):
        raise InputProblems((InputProblem(file.name, key, f"there is no {path[0]}[{index + 1}]", f"there are {len(entries)}"),))
    return (path[0], index, *path[1:])


def _inside(wanted: list[str], name: list[str]) -> bool:
    """Whether the wanted parts stand in the name in order, the last one last."""
    rest = iter(name)
    return wanted[-1] == name[-1] and all(part in rest for part in wanted)


def _split(document: Mapping[str, Any], parts: list[str]) -> tuple[str, int | None]:
    """Key without the choice of a list's entry, and that choice."""
    chosen: int | None = None
    kept = []
    for index, part in enumerate(parts):
        if re.fullmatch(r"\[\d{1,4}\]", part):
            chosen = int(part[1:-1]) - 1
            continue
        previous = parts[index - 1] if index else ""
        if previous in _LISTS and index < len(parts) - 1:
            ids = [entry.get("id") for entry in document.get(previous, [])]
            if part in ids:
                chosen = ids.index(part)
                continue
        kept.append(part)
    return ".".join(kept), chosen
