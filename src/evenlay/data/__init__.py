"""Shipped tables: each value with how it is known and its source."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final

TABLES: Final = ("dayzero", "alloys", "grades", "belts", "wheels", "tint")
"""Names that `load` knows."""


@cache
def load(name: str) -> Mapping[str, Any]:
    """
    Read one shipped table.

    Parameters
    ----------
    name : str
        One of `TABLES`.

    Returns
    -------
    mapping
        As written in the file; quantities are text with their unit.

    Examples
    --------
    >>> load("grades")["P"]["180"]
    82.0
    """
    import tomllib

    if name not in TABLES:
        raise ValueError(f"no shipped table is called {name}: there are {', '.join(TABLES)}")
    text = resources.files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


@cache
def sources() -> Mapping[str, Mapping[str, Any]]:
    """
    Every published source the program cites, by key.

    Returns
    -------
    mapping
        Key to title, author, year, status (``read``, ``from memory`` or ``derived``) and note.

    Examples
    --------
    >>> sources()["iso-6344"]["status"]
    'read'
    """
    import tomllib

    merged: dict[str, Mapping[str, Any]] = {}
    for entry in sorted(resources.files(__name__).joinpath("sources").iterdir(), key=lambda item: item.name):
        if entry.name.endswith(".toml"):
            merged.update(tomllib.loads(entry.read_text(encoding="utf-8")))
    return MappingProxyType(merged)
