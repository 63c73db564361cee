"""The answer of ``evenlay why``."""

from __future__ import annotations

from typing import Literal

from evenlay.job.answer_parts import Number, Stamp
from evenlay.job.closed import Closed


class SuspectRecord(Closed):
    """
    A cause that could have printed the spacing.

    ``spacing`` is what it would print, None when it has none of its own; ``share`` its probability among the suspects.
    """

    key: str
    label: str
    mark: str
    spacing: float | None
    share: float
    off_by: float | None


class WhyRecord(Closed):
    """
    Suspects ranked; whether the best can be told from the second; the check that separates them.

    ``check`` is a sentence with a pair of braces for each of ``check_lengths``, in SI.
    """

    stamp: Stamp
    job: str
    direction: Literal["across", "along"]
    spacing: Number
    suspects: tuple[SuspectRecord, ...]
    told_apart: bool
    check: str
    check_lengths: tuple[float, ...]
