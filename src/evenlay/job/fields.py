"""Types of the job file's fields: each reads text, checks it, and says all that is wrong."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from evenlay.quantities.grit import Grit, parse_grit
from evenlay.quantities.known import KNOWN_ORDER, Known, Value
from evenlay.quantities.units import KINDS, UnitError, format_quantity, parse_quantity, parse_size, units_in_words

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


@dataclass(frozen=True)
class Size:
    """Two lengths of a face, as written. [m]"""

    first: float
    second: float
    text: str


@dataclass(frozen=True)
class Grain:
    """Grain direction: along the side of this length. [m]"""

    side: float
    across: bool
    text: str


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


def shown(found: object) -> str:
    """Anything found in a file, short, on one line, in quotes where it is text."""
    if isinstance(found, str):
        text = found if len(found) <= 60 else found[:57] + "..."
        return '"' + "".join(c if c.isprintable() else "?" for c in text) + '"'
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
            words = "".join(f', or "{word}"' for word in self.words)
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
                    Wrong(key, f"unknown key {key}", f"a value has the keys {', '.join(INLINE_KEYS)}", nearest_word(key, INLINE_KEYS))
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


@dataclass(frozen=True)
class Word(FieldType):
    """One of a few words."""

    words: tuple[str, ...]
    meaning: str
    hints: Mapping[str, str] = field(default_factory=dict)

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "allowed are " + ", ".join(f'"{word}"' for word in self.words)

    def read(self, found: Any) -> str:
        """The word itself."""
        if isinstance(found, str) and found.strip() in self.words:
            return found.strip()
        near = self.hints.get(str(found).strip(), "") or nearest_word(str(found), self.words)
        quoted = "" if isinstance(found, str) else ", in quotes"
        raise FieldError(Wrong("", f"{shown(found)} is not one of the known words", self.allowed() + quoted, near))


@dataclass(frozen=True)
class Words(FieldType):
    """A list of known words, each at most once."""

    words: tuple[str, ...]
    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "a list of " + ", ".join(f'"{word}"' for word in self.words)

    def read(self, found: Any) -> tuple[str, ...]:
        """The words in the order written."""
        if not isinstance(found, list | tuple):
            raise FieldError(Wrong("", f"{shown(found)} is not a list", self.allowed()))
        wrongs = [
            Wrong("", f"{shown(item)} is not one of the known words", self.allowed(), nearest_word(str(item), self.words))
            for item in found
            if not (isinstance(item, str) and item in self.words)
        ]
        if not wrongs and len(set(found)) < len(found):
            wrongs.append(Wrong("", "a word stands twice", self.allowed()))
        if wrongs:
            raise FieldError(*wrongs)
        return tuple(found)


@dataclass(frozen=True)
class Text(FieldType):
    """Free text, kept as written."""

    meaning: str
    longest: int = 20_000
    empty: bool = True

    def allowed(self) -> str:
        """What may stand there, in words."""
        return f"text in quotes, {'' if self.empty else 'not empty, '}at most {self.longest} characters"

    def read(self, found: Any) -> str:
        """The text."""
        if not isinstance(found, str):
            raise FieldError(Wrong("", f"{shown(found)} is not text", self.allowed()))
        if len(found) > self.longest or (not self.empty and not found.strip()):
            raise FieldError(Wrong("", f"{shown(found)} has {len(found)} characters", self.allowed()))
        return found


@dataclass(frozen=True)
class Name(FieldType):
    """A short name, usable as an id."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "a name of 1 to 60 letters, digits, spaces, hyphens or underscores"

    def read(self, found: Any) -> str:
        """The name."""
        good = isinstance(found, str) and 0 < len(found.strip()) <= 60 and all(c.isalnum() or c in " -_" for c in found)
        if not good:
            raise FieldError(Wrong("", f"{shown(found)} is not a name", self.allowed()))
        return str(found).strip()


@dataclass(frozen=True)
class Names(FieldType):
    """A list of ids."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return 'a list of ids, for example ["finish"]'

    def read(self, found: Any) -> tuple[str, ...]:
        """The ids."""
        if not isinstance(found, list | tuple) or not found or not all(isinstance(item, str) for item in found):
            raise FieldError(Wrong("", f"{shown(found)} is not a list of ids", self.allowed()))
        return tuple(found)


@dataclass(frozen=True)
class Whole(FieldType):
    """A whole number in a range, or a word."""

    lowest: int
    highest: int
    meaning: str
    words: tuple[str, ...] = ()

    def allowed(self) -> str:
        """What may stand there, in words."""
        return f"a whole number from {self.lowest} to {self.highest}" + "".join(f', or "{word}"' for word in self.words)

    def read(self, found: Any) -> int | str:
        """The number."""
        if isinstance(found, str) and found.strip() in self.words:
            return found.strip()
        text = found.strip() if isinstance(found, str) else ""
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else found
        if isinstance(number, bool) or not isinstance(number, int) or not self.lowest <= number <= self.highest:
            near = nearest_word(text, self.words) if text else ""
            raise FieldError(Wrong("", f"{shown(found)} is not {self.allowed().split(',')[0]}", self.allowed(), near))
        return number


@dataclass(frozen=True)
class Switch(FieldType):
    """True or false."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "true or false, without quotes"

    def read(self, found: Any) -> bool:
        """The switch."""
        if not isinstance(found, bool):
            raise FieldError(Wrong("", f"{shown(found)} is not true or false", self.allowed()))
        return found


@dataclass(frozen=True)
class Day(FieldType):
    """A date."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "a date as 2025-01-31"

    def read(self, found: Any) -> datetime.date:
        """The date."""
        if isinstance(found, datetime.date) and not isinstance(found, datetime.datetime):
            return found
        try:
            return datetime.date.fromisoformat(found)
        except (TypeError, ValueError):
            raise FieldError(Wrong("", f"{shown(found)} is not a date", self.allowed())) from None


@dataclass(frozen=True)
class Sides(FieldType):
    """Size of a face: two lengths."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return 'write a size as "420 mm x 300 mm", each side from 1 mm to 50 m'

    def read(self, found: Any) -> Size:
        """The two sides."""
        if isinstance(found, Size):
            return found
        if not isinstance(found, str):
            raise FieldError(Wrong("", f"{shown(found)} is not a size", self.allowed()))
        try:
            first, second = parse_size(found)
        except UnitError as problem:
            raise FieldError(Wrong("", problem.found, problem.allowed, problem.nearest)) from None
        if not all(1e-3 <= side <= 50.0 for side in (first, second)):
            raise FieldError(Wrong("", f"{shown(found)} is out of range", self.allowed()))
        return Size(first, second, found.strip())


@dataclass(frozen=True)
class Direction(FieldType):
    """Grain direction by the side it runs along."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return 'write the grain as "along 420 mm", naming the side it runs along'

    def read(self, found: Any) -> Grain:
        """The side."""
        if isinstance(found, Grain):
            return found
        word, _, side = found.strip().partition(" ") if isinstance(found, str) else ("", "", "")
        if word not in ("along", "across") or not side:
            raise FieldError(Wrong("", f"{shown(found)} is not a grain direction", self.allowed()))
        try:
            return Grain(parse_quantity(side, "length"), word == "across", found.strip())
        except UnitError as problem:
            raise FieldError(Wrong("", problem.found, problem.allowed, problem.nearest)) from None


@dataclass(frozen=True)
class GritType(FieldType):
    """A grit with its scale."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return 'a grit with its scale, "P180" or "US 180"'

    def read(self, found: Any) -> Grit:
        """The grit, if the scale has that grade."""
        if isinstance(found, Grit):
            return found
        from evenlay.data import load

        try:
            grit = parse_grit(str(found) if not isinstance(found, bool) else "")
        except UnitError as problem:
            raise FieldError(Wrong("", problem.found, problem.allowed)) from None
        grades = load("grades")[grit.scale]
        if str(grit.number) not in grades:
            near = min((int(number) for number in grades), key=lambda number: abs(number - grit.number))
            raise FieldError(
                Wrong("", f"{shown(found)} is not a grade of its scale", "grades are " + ", ".join(grades), str(Grit(grit.scale, near)))
            )
        return grit


@dataclass(frozen=True)
class Offsets(FieldType):
    """Sideways offsets of the rounds: a word or one length per round."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return '"even", "none", "choose", or a list of one length per round, for example ["0 mm", "9 mm"]'

    def read(self, found: Any) -> str | tuple[Quantity, ...]:
        """A word, or lengths."""
        if isinstance(found, str) and found.strip() in ("even", "none", CHOOSE):
            return found.strip()
        if not isinstance(found, list | tuple) or not found or len(found) > 50:
            near = nearest_word(found, ("even", "none", CHOOSE)) if isinstance(found, str) else ""
            raise FieldError(Wrong("", f"{shown(found)} is not a set of offsets", self.allowed(), near))
        one = Amount("length", "-3 m", "3 m", "offset")
        read, wrongs = [], []
        for item in found:
            try:
                read.append(
                    item
                    if isinstance(item, Quantity)
                    else Quantity(Value.exact(one.number(item, ""), "asked", STATED), "length", str(item))
                )
            except FieldError as problem:
                wrongs.extend(problem.wrongs)
        if wrongs:
            raise FieldError(*wrongs)
        return tuple(read)


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
