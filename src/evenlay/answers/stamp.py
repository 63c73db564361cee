"""What made an answer."""

from __future__ import annotations

from evenlay import __version__
from evenlay.answers.case import Case
from evenlay.job.answer_parts import Stamp
from evenlay.quantities.draws import COUNT


def stamp(case: Case, *, engine: str) -> Stamp:
    """
    Stamp of an answer: version, seed, draws and hash of all inputs.

    Parameters
    ----------
    case : Case
    engine : str
        Which way of computing made it.
    """
    return Stamp(version=__version__, engine=engine, seed=case.job.job.seed, draws=COUNT, inputs_sha256=case.inputs_sha256)
