"""Exit codes, and how problems become sentences."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What a command leaves behind for scripts."""

    ANSWER = 0
    INPUT_PROBLEMS = 2
    NO_PLAN = 3
    STOP = 4
