"""Types of the job file's other fields: each reads what stands there, checks it, and says all that is wrong."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from evenlay.job.amounts import CHOOSE, STATED, Amount, FieldError, FieldType, Quantity, Wrong, nearest_word, shown
from evenlay.quantities.grit import Grit, parse_grit
from evenlay.quantities.known import Value
from evenlay.quantities.units import UnitError, parse_quantity, parse_size


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
        near = f'"{near}"' if near and not isinstance(found, str) else near
        quoted = "" if isinstance(found, str) else ", in quotes"
        raise FieldError(Wrong("", f"{shown(found)} is not one of the known words", self.allowed() + quoted, near))


@dataclass(frozen=True)
class Words(FieldType):
    """A list of known words, each at most once."""

    words: tuple[str, ...]
    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "write a list of " + ", ".join(f'"{word}"' for word in self.words)

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
        return f"write text in quotes, {'' if self.empty else 'not empty, '}at most {self.longest} characters"

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
        return "write 1 to 60 letters, digits, spaces, hyphens or underscores"

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
        return 'write a list of ids, for example ["finish"]'

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
        return f"write a whole number from {self.lowest} to {self.highest}" + "".join(f', or "{word}"' for word in self.words)

    def read(self, found: Any) -> int | str:
        """The number."""
        if isinstance(found, str) and found.strip() in self.words:
            return found.strip()
        text = found.strip() if isinstance(found, str) else ""
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else found
        if isinstance(number, bool) or not isinstance(number, int) or not self.lowest <= number <= self.highest:
            near = nearest_word(text, self.words) if text else ""
            raise FieldError(Wrong("", f"{shown(found)} is not such a number", self.allowed(), near))
        return number


@dataclass(frozen=True)
class Switch(FieldType):
    """True or false."""

    meaning: str

    def allowed(self) -> str:
        """What may stand there, in words."""
        return "write true or false, without quotes"

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
        return "write a date as 2025-01-31"

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
        return 'write a grit with its scale, "P180" or "US 180"'

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
        return 'write "even", "none", "choose", or a list of one length per round, for example ["0 mm", "9 mm"]'

    def read(self, found: Any) -> str | tuple[Quantity, ...]:
        """A word, or lengths."""
        if isinstance(found, str) and found.strip() in ("even", "none", CHOOSE):
            return found.strip()
        if not isinstance(found, list | tuple) or not found or len(found) > 50:
            near = nearest_word(found, ("even", "none", CHOOSE)) if isinstance(found, str) else ""
            raise FieldError(Wrong("", f"{shown(found)} is not a set of offsets", self.allowed(), near))
        one = Amount("length", "-3 m", "3 m", "offset")
        read: list[Quantity] = []
        wrongs: list[Wrong] = []
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
