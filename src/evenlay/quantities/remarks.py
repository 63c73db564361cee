"""Things the program says: values, not prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Level = Literal["note", "caution", "gap", "withheld", "stop"]

LEVELS: Final[tuple[Level, ...]] = ("note", "caution", "gap", "withheld", "stop")
"""From mildest to gravest. ``gap``: something not asked or not known that changes the answer. ``withheld``: a safety
question without an answer, nothing may be handed out. ``stop``: a known breach, nothing is handed out at all."""


@dataclass(frozen=True)
class Remark:
    """
    One thing the program says, with its page in the docs.

    Parameters
    ----------
    code : str
        Short kebab-case name; ``docs/reference/remarks.md`` has a section of that name.
    level : str
        One of `LEVELS`.
    message : str
        What, with values and limits, and what to do. One or two sentences.
    source : str
        Where the rule comes from ("common practice, no source" is a source).
    where : str
        Dotted job-file key or place it speaks of; empty for the whole job.
    """

    code: str
    level: Level
    message: str
    source: str
    where: str = ""
