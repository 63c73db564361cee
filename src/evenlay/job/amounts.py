"""Quantities of the job file: text with a unit, a band if wanted; and all that is wrong with one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from evenlay.quantities.known import KNOWN_ORDER, Known, Value
from evenlay.quantities.units import KINDS, UnitError, format_quantity, parse_quantity, units_in_words

CHOOSE: Final = "choose"
"""What a setting says when the program is to choose it."""

STATED: Final = "job file, stated without a band"
"""Source of a value written as bare text."""

SHIPPED: Final = "shipped table: "
"""How the source of a shipped value begins."""

INLINE_KEYS: Final = ("value", "low", "high", "known", "source", "for")
"""Keys of a value written as an inline table."""


@dataclass(frozen=True)
class Wrong:
    """One thing wrong in a field: where inside it, what was found, what is allowed, the nearest word."""

    inside: str
    found: str
    allowed: str
    nearest: str = ""


class FieldError(ValueError):
    """Everything that is wrong in one field."""

    def __init__(self, *wrongs: Wrong) -> None:
        self.wrongs = wrongs
        super().__init__("; ".join(wrong.found for wrong in wrongs))


@dataclass(frozen=True)
class Quantity:
    """
    A value of the job file.

    Parameters
    ----------
    value : Value
        Number, band, how known, source. [SI]
    kind : str
        Kind of quantity.
    text : str
        As written: the central value with its unit.
    holds_for : str
        What the value belongs to, as a grit, an alloy or a wheel kind; empty if it holds whatever stands beside it.
    bare : bool
        Whether it was written as text alone, without a band.
    """

    value: Value
    kind: str
    text: str
    holds_for: str = ""
    bare: bool = True

    @property
    def number(self) -> float:
        """Central number. [SI]"""
        return self.value.number

    @property
    def shipped(self) -> bool:
        """Whether it came from the shipped tables and was never the user's own."""
        return self.value.source.startswith(SHIPPED)


def nearest_word(word: str, words: tuple[str, ...] | list[str]) -> str:
    """
    Nearest of the known words; empty if none is near.

    Examples
    --------
    >>> nearest_word("pnuematic", ["solid", "pneumatic"])
    'pneumatic'
    """
    from difflib import get_close_matches

    lower = {known.lower(): known for known in words}
    near = get_close_matches(word.lower(), list(lower), n=1, cutoff=0.6)
    return lower[near[0]] if near else ""


def one_line(text: str) -> str:
    """Text of a stranger, short and on one line."""
    short = text if len(text) <= 60 else text[:57] + "..."
    return "".join(c if c.isprintable() else "?" for c in short)


def shown(found: object) -> str:
    """Anything found in a file, short, on one line, in quotes where it is text."""
    if isinstance(found, str):
        return f'"{one_line(found)}"'
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list):
        return "a list"
    text = str(found)
    return text if len(text) <= 40 else text[:37] + "..."


class FieldType:
    """Base of the field types: hooks `read` into the record framework."""

    meaning: str

    def read(self, found: Any) -> Any:
        """Turn what stands in the file into a value, or raise `FieldError`."""
        raise NotImplementedError

    def allowed(self) -> str:
        """What may stand there, in words."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:  # noqa: D105
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True)
class Amount(FieldType):
    """
    A quantity with its unit, a band if wanted, or one of a few words.

    Parameters
    ----------
    kind : str
        Kind of quantity.
    lowest, highest : str
        Range, as text with units, ends included.
    meaning : str
        One line for the reader.
    words : tuple of str
        Words accepted in its place, as ``choose``.
    known : str
        How a value written as bare text is known: ``asked`` for settings, limits and sizes, ``handbook`` for properties.
    """

    kind: str
    lowest: str
    highest: str
    meaning: str
    words: tuple[str, ...] = ()
    known: Known = "asked"
    limits: tuple[float, float] = field(init=False, compare=False)

    def __post_init__(self) -> None:  # noqa: D105
        object.__setattr__(self, "limits", (parse_quantity(self.lowest, self.kind), parse_quantity(self.highest, self.kind)))

    def allowed(self) -> str:
        """What may stand there, in words."""
        words = "".join(f', or "{word}"' for word in self.words)
        return f"{units_in_words(self.kind)}, from {self.lowest} to {self.highest}{words}"

    def number(self, found: object, inside: str) -> float:
        """Central value or an end of the band. [SI]"""
        if isinstance(found, bool) or not isinstance(found, str | int | float):
            raise FieldError(Wrong(inside, f"{shown(found)} is not a quantity", self.allowed()))
        if not isinstance(found, str):
            if not KINDS[self.kind].bare:
                raise FieldError(Wrong(inside, f"{shown(found)} is a bare number", self.allowed()))
            if isinstance(found, float) and not math.isfinite(found):
                raise FieldError(Wrong(inside, f"{shown(found)} is not a finite number", self.allowed()))
            found = str(found)
        try:
            number = parse_quantity(found, self.kind)
        except UnitError as problem:
            words = "".join(f', or "{word}"' for word in self.words) if problem.allowed == units_in_words(self.kind) else ""
            near = problem.nearest or nearest_word(found, self.words)
            raise FieldError(Wrong(inside, problem.found, problem.allowed + words, near)) from None
        low, high = self.limits
        slack = 1e-12 * max(abs(low), abs(high))
        if not low - slack <= number <= high + slack:
            side = f"below {self.lowest}" if number < low else f"above {self.highest}"
            raise FieldError(Wrong(inside, f"{shown(found)} is {side}", f"allowed is {self.lowest} to {self.highest}"))
        return number

    def read(self, found: Any) -> Quantity | str:
        """Text, number (ratios only), word, or inline table."""
        if isinstance(found, Quantity):
            return found
        if isinstance(found, str) and found.strip() in self.words:
            return found.strip()
        if isinstance(found, dict):
            return self.banded(found)
        number = self.number(found, "")
        return Quantity(Value.exact(number, self.known, STATED), self.kind, str(found).strip())

    def banded(self, found: Mapping[str, Any]) -> Quantity:
        """Inline table with value, low, high, known, source."""
        wrongs: list[Wrong] = []
        for key in found:
            if key not in INLINE_KEYS:
                wrongs.append(
                    Wrong(
                        one_line(key),
                        f"unknown key {one_line(key)}",
                        f"a value has the keys {', '.join(INLINE_KEYS)}",
                        nearest_word(key, INLINE_KEYS),
                    )
                )
        if "value" not in found:
            wrongs.append(Wrong("", "a table without value", f'write {{ value = "{KINDS[self.kind].example}", low = ..., high = ... }}'))
        numbers: dict[str, float] = {}
        for key in ("value", "low", "high"):
            if key in found:
                try:
                    numbers[key] = self.number(found[key], key)
                except FieldError as problem:
                    wrongs.extend(problem.wrongs)
        known = found.get("known", self.known)
        if known not in KNOWN_ORDER:
            near = nearest_word(known, KNOWN_ORDER) if isinstance(known, str) else ""
            wrongs.append(Wrong("known", f"{shown(known)} is not a way of knowing", f"allowed are {', '.join(KNOWN_ORDER)}", near))
        for key in ("source", "for"):
            if not isinstance(found.get(key, ""), str):
                wrongs.append(Wrong(key, f"{shown(found[key])} is not text", "write text in quotes"))
        wrongs.extend(band_wrongs(found, numbers))
        if wrongs:
            raise FieldError(*wrongs)
        number = numbers["value"]
        value = Value(number, numbers.get("low", number), numbers.get("high", number), known, found.get("source", STATED))
        return Quantity(value, self.kind, str(found["value"]).strip(), found.get("for", ""), bare=False)


def band_wrongs(found: Mapping[str, Any], numbers: Mapping[str, float]) -> list[Wrong]:
    """Band ends on the wrong side of the value or of each other."""
    wrongs = []
    low, number, high = numbers.get("low"), numbers.get("value"), numbers.get("high")
    if low is not None and high is not None and low > high:
        return [Wrong("low", f"low {shown(found['low'])} is above high {shown(found['high'])}", "low must not be above high")]
    if low is not None and number is not None and low > number:
        wrongs.append(
            Wrong("low", f"low {shown(found['low'])} is above the value {shown(found['value'])}", "low must not be above the value")
        )
    if high is not None and number is not None and high < number:
        wrongs.append(
            Wrong("high", f"high {shown(found['high'])} is below the value {shown(found['value'])}", "high must not be below the value")
        )
    return wrongs


def written(value: Value, kind: str, digits: int | None = 4) -> dict[str, str]:
    """
    A value as the inline table of the job file.

    Examples
    --------
    >>> written(Value(0.005, 0.002, 0.012, "guess", "day zero"), "length")
    {'value': '5 mm', 'low': '2 mm', 'high': '12 mm', 'known': 'guess', 'source': 'day zero'}
    """
    central = format_quantity(value.number, kind, digits=digits)
    unit = central.partition(" ")[2] if value.number != 0.0 else None
    texts = {"value": central}
    if not value.low == value.number == value.high:
        texts |= {
            end: format_quantity(number, kind, digits=digits, unit=unit) for end, number in (("low", value.low), ("high", value.high))
        }
    return {**texts, "known": value.known, "source": value.source}
