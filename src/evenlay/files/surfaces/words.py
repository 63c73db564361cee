"""What a file says beside its heights, as one line of plain ASCII each: grain direction and source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from evenlay.physics.surface_numbers.surface import GRAINS, Grain, Surface

GRAIN: Final = "GrainAlong"
SOURCE: Final = "Source"


_ESCAPE: Final = re.compile(r"\\(?:x([0-9a-f]{2})|u([0-9a-f]{4})|U(00[01][0-9a-f]{5})|([nrt\\]))")


def escaped(text: str) -> str:
    """Any text as one line of plain ASCII without spaces at its ends, and back by `unescaped`."""
    return re.sub(r"^ | $", r"\\x20", text.encode("unicode_escape").decode("ascii"))


def unescaped(text: str) -> str:
    """Text of an escaped line; what is no escape in it stays as it is."""

    def character(match: re.Match[str]) -> str:
        number = match.group(1) or match.group(2) or match.group(3)
        if not number:
            return {"n": "\n", "r": "\r", "t": "\t"}.get(match.group(4), match.group(4))
        code = int(number, 16)
        return match.group(0) if 0xD800 <= code < 0xE000 or code > 0x10FFFF else chr(code)

    return _ESCAPE.sub(character, text)


def lines_of(surface: Surface) -> list[str]:
    """Lines ``name = value`` of what a surface knows of itself; none if it knows nothing."""
    known = ((GRAIN, surface.along), (SOURCE, escaped(surface.source)))
    return [f"{name} = {value}" for name, value in known if value]


def fields_of(lines: list[str]) -> dict[str, str]:
    """Lines ``name = value`` by name in lower case, the first of each; other lines are left out."""
    fields: dict[str, str] = {}
    for line in lines:
        name, found, value = line.partition("=")
        if found:
            fields.setdefault(name.strip().lower(), value.strip())
    return fields


def own_words(fields: Mapping[str, str]) -> tuple[Grain, str]:
    """Grain direction and source of such fields; empty where they are not there."""
    written = fields.get(GRAIN.lower(), "")
    along: Grain = written if written in GRAINS else ""
    return along, unescaped(fields.get(SOURCE.lower(), ""))
