"""Problems in what a user gave: all of them at once, each in one sentence."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class InputProblem:
    """
    One thing that is wrong in an input.

    Parameters
    ----------
    place : str
        File, and line where known; or the command-line option.
    key : str
        Dotted key in the file; empty for the file as a whole.
    found : str
        What stands there, as text.
    allowed : str
        What may stand there, and what to type.
    nearest : str
        Nearest known key or word; empty if none is near.
    """

    place: str
    key: str
    found: str
    allowed: str
    nearest: str = ""

    def __str__(self) -> str:  # noqa: D105
        at = f"{self.place}: {self.key}: " if self.key else f"{self.place}: "
        hint = f" Did you mean {self.nearest}?" if self.nearest else ""
        return f"{at}{self.found}; {self.allowed}.{hint}"


class InputProblems(Exception):  # noqa: N818 - it holds several problems, none of them a program error
    """
    All problems of one input together.

    Parameters
    ----------
    problems : tuple of InputProblem
        At least one.
    """

    def __init__(self, problems: tuple[InputProblem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))
