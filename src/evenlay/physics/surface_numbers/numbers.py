"""Records of what is read off a surface; a number that the surface cannot support is absent, with the reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers.pitches import Pitch
from evenlay.physics.surface_numbers.settings import Edition, Setting
from evenlay.physics.surface_numbers.spectrum import BandAmplitude, Spectrum
from evenlay.quantities.remarks import Remark

UNITS: Final = {
    **dict.fromkeys(("Ra", "Rq", "Rp", "Rv", "Rz", "Rt", "RSm", "Rk", "Rpk", "Rvk"), "m"),
    **dict.fromkeys(("Rsk", "Rku", "Rdq", "Rmrk1", "Rmrk2"), "-"),
    **dict.fromkeys(("Sa", "Sq", "Sp", "Sv", "Sz", "Sk", "Spk", "Svk", "Sal"), "m"),
    **dict.fromkeys(("Ssk", "Sku", "Smrk1", "Smrk2", "Str", "Sdq", "Sdr"), "-"),
    "Std": "rad",
    "slope_across": "-",
    "slope_along": "-",
}
"""Every number, in the order in which it is shown, with its unit."""

CLAUSES_4287: Final = {
    "Ra": "4.2.1",
    "Rq": "4.2.2",
    "Rsk": "4.2.3",
    "Rku": "4.2.4",
    "Rp": "4.1.1",
    "Rv": "4.1.2",
    "Rz": "4.1.3",
    "Rt": "4.1.5",
    "RSm": "4.3.1",
    "Rdq": "4.4.1",
}
"""Clauses of ISO 4287:1997 (from memory)."""

CLAUSES_13565: Final = {"Rk": "3.1.2", "Rmrk1": "3.1.3", "Rmrk2": "3.1.4", "Rpk": "3.1.5", "Rvk": "3.1.6"}
"""Clauses of ISO 13565-2:1996 (from memory)."""

CLAUSES_21920: Final = {
    "Ra": "4.2.2",
    "Rq": "4.2.3",
    "Rsk": "4.2.4",
    "Rku": "4.2.5",
    "Rt": "4.2.6",
    "Rdq": "4.4.2",
    **dict.fromkeys(("Rk", "Rpk", "Rvk", "Rmrk1", "Rmrk2"), "4.5.3"),
    "Rp": "5.1.3",
    "Rv": "5.1.5",
    "Rz": "5.1.6",
    "RSm": "5.2",
}
"""Clauses of ISO 21920-2:2021 (its table of contents, read as quoted; Rz and RSm from memory)."""

CLAUSES_25178: Final = {
    "Sq": "4.2.2",
    "Ssk": "4.2.3",
    "Sku": "4.2.4",
    "Sp": "4.2.5",
    "Sv": "4.2.6",
    "Sz": "4.2.7",
    "Sa": "4.2.8",
    "Sal": "4.3.2",
    "Str": "4.3.3",
    "Std": "4.3.5",
    "Sdq": "4.4.2",
    "Sdr": "4.4.3",
    **dict.fromkeys(("Sk", "Spk", "Svk", "Smrk1", "Smrk2"), "4.5.4"),
}
"""Clauses of ISO 25178-2:2021 (its table of contents, read as quoted); the edition of 2012 counts differently."""

OLDER: Final = {"Rmrk1": "Mr1", "Rmrk2": "Mr2"}
"""How ISO 13565-2 writes a number that has another name since."""


def clause(symbol: str, *, edition: Edition) -> str:
    """
    Where a number is defined.

    Parameters
    ----------
    symbol : str
        As the standard writes it.
    edition : str
        By which profiles are read.

    Returns
    -------
    str
        Standard with its year, and the clause where it is known.

    Raises
    ------
    ValueError
        If there is no such number.

    Examples
    --------
    >>> clause("Ra", edition="ISO 4288:1996"), clause("Ra", edition="ISO 21920-3:2021")
    ('ISO 4287:1997, 4.2.1', 'ISO 21920-2:2021, 4.2.2')
    """
    if symbol not in UNITS:
        raise ValueError(f"there is no number {symbol}")
    if symbol.startswith("slope"):
        return "waves of 16 to 80 µm, no standard"
    if symbol.startswith("S"):
        return f"ISO 25178-2:2021, {CLAUSES_25178[symbol]}"
    if edition == "ISO 21920-3:2021":
        return f"ISO 21920-2:2021, {CLAUSES_21920[symbol]}"
    return f"ISO 4287:1997, {CLAUSES_4287[symbol]}" if symbol in CLAUSES_4287 else f"ISO 13565-2:1996, {CLAUSES_13565[symbol]}"


@dataclass(frozen=True)
class SurfaceNumber:
    """
    One number of a surface.

    Parameters
    ----------
    symbol : str
        As the standard writes it.
    value : float or None
        None where the surface cannot support it. [unit]
    unit : str
        ``"m"``, ``"rad"`` or ``"-"``.
    clause : str
        Where it is defined.
    scatter : float or None
        Standard deviation between the evaluation lengths (or, of one, between its sections); None where there is nothing to compare.
        [unit]
    reason : str
        Why it is absent, in one sentence; empty where it is there.
    """

    symbol: str
    value: float | None
    unit: str
    clause: str
    scatter: float | None = None
    reason: str = ""


@dataclass(frozen=True, eq=False)
class SurfaceNumbers:
    """
    All that is read off one surface.

    Parameters
    ----------
    setting : Setting
        By which the profile was filtered and cut.
    direction : str
        In which profiles were taken, in words.
    profiles : int
        Evaluation lengths that were read.
    sections : int
        Sections that each held: fewer than the setting asks where rows are too short for a whole evaluation length, 0 where none fits.
    numbers : tuple of SurfaceNumber
        One for each of `UNITS`, in that order.
    bands : tuple of (BandAmplitude or None)
        Across the grain, of single rows.
    persistent_bands : tuple of (BandAmplitude or None)
        Across the grain, of the mean of the rows: what goes on along the whole map; all None for a trace.
    pitches_across, pitches_along : tuple of Pitch
        Spacings that stand out; across the grain of the mean of the rows.
    no_pitches_across, no_pitches_along : str
        Why none could be looked for; empty where it was done, and for the direction that a trace does not have.
    spectrum_across, spectrum_along : Spectrum or None
        Of single rows, averaged; None where there are too few points.
    remarks : tuple of Remark
        What to know before comparing.
    """

    setting: Setting
    direction: str
    profiles: int
    sections: int
    numbers: tuple[SurfaceNumber, ...]
    bands: tuple[BandAmplitude | None, ...]
    persistent_bands: tuple[BandAmplitude | None, ...]
    pitches_across: tuple[Pitch, ...]
    pitches_along: tuple[Pitch, ...]
    no_pitches_across: str
    no_pitches_along: str
    spectrum_across: Spectrum | None
    spectrum_along: Spectrum | None
    remarks: tuple[Remark, ...]

    def number(self, symbol: str) -> SurfaceNumber:
        """
        One of the numbers, by its name in the edition or by that in force.

        Raises
        ------
        KeyError
            If there is no such number.
        """
        for each in self.numbers:
            if each.symbol in (symbol, OLDER.get(symbol)):
                return each
        raise KeyError(symbol)


@dataclass(frozen=True)
class Found:
    """
    Values of numbers before they are told: each with the values of its pieces, or with the reason why there is none.

    Parameters
    ----------
    values : dict
        Symbol to one value for each piece, shape ``(k,)``, k at least 1. [unit]
    reasons : dict
        Symbol to a sentence.
    """

    values: dict[str, NDArray[np.float64]]
    reasons: dict[str, str]


def told(found: Found, *, edition: Edition) -> tuple[SurfaceNumber, ...]:
    """
    Records of the numbers found, in the order of `UNITS`.

    Parameters
    ----------
    found : Found
    edition : str
        By which profiles are read.

    Returns
    -------
    tuple of SurfaceNumber
        Of the pieces the mean, and their standard deviation where there are several.

    Examples
    --------
    >>> both = told(Found({"Ra": np.array([1.0, 3.0])}, {"Rq": "too short"}), edition="ISO 4288:1996")
    >>> [(each.symbol, each.value, each.scatter and round(each.scatter, 3), each.reason) for each in both]
    [('Ra', 2.0, 1.414, ''), ('Rq', None, None, 'too short')]
    """
    records = []
    for symbol, unit in UNITS.items():
        where = clause(symbol, edition=edition)
        name = OLDER.get(symbol, symbol) if edition == "ISO 4288:1996" else symbol
        if symbol in found.values:
            pieces = found.values[symbol]
            scatter = float(np.std(pieces, ddof=1)) if pieces.size > 1 else None
            records.append(SurfaceNumber(name, float(np.mean(pieces)), unit, where, scatter))
        elif symbol in found.reasons:
            records.append(SurfaceNumber(name, None, unit, where, None, found.reasons[symbol]))
    return tuple(records)
