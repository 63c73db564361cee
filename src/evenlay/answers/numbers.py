"""From draws and values to the numbers an answer shows: centre, band, how known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.sensitivity import weighted_quantile
from evenlay.job.amounts import SHIPPED
from evenlay.job.answer_parts import Number, RemarkRecord
from evenlay.quantities.known import KNOWN_ORDER, Known, Value, weakest
from evenlay.quantities.remarks import LEVELS, Remark

Array = NDArray[np.float64]

EDGES: Final = (0.05, 0.95)

PLURAL: Final[Mapping[str, str]] = {
    "guess": "guesses",
    "handbook": "handbook values",
    "fitted": "fitted values",
    "measured": "measured values",
}


def number_of_draws(draws: Array, kind: str, known: Known, weights: Array, source: str = "") -> Number:
    """
    Number from draws: row 0 is central, the rest give the band.

    Parameters
    ----------
    draws : numpy.ndarray
        Shape ``(n,)``. [SI]
    kind : str
        Kind of quantity.
    known : str
        How the weakest part is known.
    weights : numpy.ndarray
        Of rows 1 and on, ``(n - 1,)``.
    source : str

    Returns
    -------
    Number
        The band contains the centre.
    """
    centre = float(draws[0])
    low, high = (float(edge) for edge in weighted_quantile(draws[1:], EDGES, weights))
    value, low, high = _without_rounding((centre, min(low, centre), max(high, centre)), kind)
    return Number(value=value, low=low, high=high, kind=kind, known=known, source=source)


ROUNDING: Final = 1e-9
"""Share of the largest of a number and its band below which one of them is rounding of the arithmetic. [-]"""

NOTHING_OF_ALL: Final = 1e-6
"""A share or a ratio below this is nothing. [-]"""


def _without_rounding(numbers: tuple[float, float, float], kind: str) -> tuple[float, float, float]:
    least = ROUNDING * max(abs(each) for each in numbers)
    if kind in ("share", "ratio"):
        least = max(least, NOTHING_OF_ALL)
    value, low, high = (0.0 if abs(each) < least else each for each in numbers)
    return value, low, high


def number_of_value(value: Value, kind: str) -> Number:
    """Number from a value as it stands."""
    number, low, high = _without_rounding((value.number, value.low, value.high), kind)
    return Number(value=number, low=low, high=high, kind=kind, known=value.known, source=value.source)


def exact_number(number: float, kind: str, known: Known, source: str = "") -> Number:
    """Number without a band of its own."""
    return Number(value=number, low=number, high=number, kind=kind, known=known, source=source)


def known_of(values: Mapping[str, Value], names: Sequence[str]) -> Known:
    """
    How the weakest of some unknowns is known; those without a band and at zero do not count.

    Parameters
    ----------
    values : mapping of str to Value
    names : sequence of str

    Returns
    -------
    str
        ``asked`` when nothing uncertain takes part.
    """
    taking_part = tuple(values[name].known for name in names if values[name].high > values[name].low)
    return weakest(taking_part) if taking_part else "asked"


def rests_on(values: Mapping[str, Value]) -> str:
    """
    First line of every answer: on what it rests.

    Examples
    --------
    >>> rests_on({"a": Value(1.0, 0.5, 2.0, "guess", ""), "b": Value(1.0, 0.9, 1.1, "measured", "")})
    'Rests on 1 guess and 1 measured value.'
    >>> rests_on({"a": Value(1.0, 0.5, 2.0, "guess", "")})
    'Rests on guesses alone (1): nothing of this job has been measured.'
    """
    uncertain = [value.known for value in values.values() if value.high > value.low]
    counts = {known: uncertain.count(known) for known in KNOWN_ORDER if known in uncertain and known != "asked"}
    if set(counts) == {"guess"}:
        return f"Rests on guesses alone ({counts['guess']}): nothing of this job has been measured."
    parts = [f"{count} {PLURAL[known] if count > 1 else _single(known)}" for known, count in counts.items()]
    listed = " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
    own = any(value.known in ("measured", "fitted") and not value.source.startswith(SHIPPED) for value in values.values())
    tail = "" if own else "; nothing of this job has been measured"
    return f"Rests on {listed}{tail}." if parts else "Rests on what was asked alone."


def _single(known: str) -> str:
    return "guess" if known == "guess" else f"{known} value"


def remark_records(remarks: Sequence[Remark]) -> tuple[RemarkRecord, ...]:
    """Remarks as records, gravest first, each once."""
    unique = list(dict.fromkeys(remarks))
    ordered = sorted(unique, key=lambda remark: -LEVELS.index(remark.level))
    return tuple(
        RemarkRecord(code=remark.code, level=remark.level, message=remark.message, source=remark.source, where=remark.where)
        for remark in ordered
    )


def seen_word(pitch: float, shortest: float, longest: float) -> str:
    """
    Where a spacing lies against what the eye sees best.

    Examples
    --------
    >>> seen_word(0.003, 0.0015, 0.009), seen_word(0.0002, 0.0015, 0.009), seen_word(float("nan"), 0.0015, 0.009)
    ('seen best', 'too fine', 'any spacing')
    """
    if math.isnan(pitch):
        return "any spacing"
    if pitch < shortest:
        return "too fine"
    return "too wide" if pitch > longest else "seen best"
