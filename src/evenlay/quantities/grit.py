"""Grit: a number that always carries its scale."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from evenlay.quantities.units import UnitError

Scale = Literal["P", "US"]

SCALES: Final[tuple[Scale, ...]] = ("P", "US")
"""``P``: FEPA and ISO 6344. ``US``: the older American scale, written without a P on the belt."""

_WRITTEN = re.compile(r"(P|US|CAMI|ANSI|grit|#)?\s*-?\s*(\d{1,4})\s*(grit)?", re.IGNORECASE)


@dataclass(frozen=True)
class Grit:
    """
    A grit designation.

    Parameters
    ----------
    scale : str
        ``P`` or ``US``.
    number : int
        The printed number; larger is finer. [-]

    Examples
    --------
    >>> str(Grit("P", 180)), str(Grit("US", 180))
    ('P180', 'US 180')
    """

    scale: Scale
    number: int

    def __str__(self) -> str:  # noqa: D105
        return f"P{self.number}" if self.scale == "P" else f"US {self.number}"


def parse_grit(text: str) -> Grit:
    """
    Read a grit with its scale.

    Parameters
    ----------
    text : str
        ``"P180"`` or ``"US 180"``.

    Returns
    -------
    Grit
        Scale and number; whether the scale has that number is for the grade table.

    Raises
    ------
    UnitError
        For a number without a scale (both readings are shown), or for anything else.

    Examples
    --------
    >>> parse_grit("P 180"), parse_grit("US 180")
    (Grit(scale='P', number=180), Grit(scale='US', number=180))
    """
    match = _WRITTEN.fullmatch(text.strip())
    shown = '"' + "".join(c if c.isprintable() else "?" for c in text[:40]) + '"'
    if match is None:
        raise UnitError(f"{shown} is not a grit", 'write "P180" or "US 180"')
    scale, number = (match.group(1) or "").upper(), int(match.group(2))
    if scale == "P":
        return Grit("P", number)
    if scale in ("US", "CAMI", "ANSI"):
        return Grit("US", number)
    raise UnitError(
        f"{shown} does not say its scale",
        f'write "P{number}" (FEPA, ISO 6344) or "US {number}" (older American scale); above 220 they differ',
    )
