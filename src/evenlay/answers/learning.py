"""Which unknown moves the answer, and what to measure next."""

from __future__ import annotations

from dataclasses import fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import Case
from evenlay.decisions.evaluate import Evaluation
from evenlay.decisions.sensitivity import band, variance_explained
from evenlay.decisions.situation import TRADE_NAMES, Draws
from evenlay.decisions.trials import rank_trials
from evenlay.job.plan_record import MeasureRecord, RankRecord

Array = NDArray[np.float64]

SHOWN: Final = 6
"""Unknowns that are ranked on screen and in the file."""

WORTH_IT: Final = 0.95
"""Width of the band after over before, in the logarithm, above which a measurement is not worth naming: chance alone reaches it."""

LEAST: Final = 1e-9
"""Visibility below which nothing is told apart."""


def ranking(evaluation: Evaluation, draws: Draws, *, calibrated: bool) -> tuple[RankRecord, ...]:
    """
    Unknowns by the share of the variance of the worst line that they explain, the eye's own threshold included.

    Parameters
    ----------
    evaluation : Evaluation
    draws : Draws
    calibrated : bool
        Whether the eye is in the strengths already.

    Returns
    -------
    tuple of RankRecord
        The `SHOWN` largest, falling.
    """
    eye = np.ones_like(draws.unknowns.eye) if calibrated else draws.unknowns.eye
    answer = np.log(np.maximum(evaluation.worst * eye, LEAST))[1:]
    if not draws.active or float(np.ptp(answer)) == 0.0:
        return ()
    shares = variance_explained(draws.scores, answer, draws.weights).shares
    order = np.argsort(-shares, kind="stable")[:SHOWN]
    return tuple(
        RankRecord(name=draws.active[index], label=TRADE_NAMES[draws.active[index]], share=float(shares[index])) for index in order
    )


def observables(evaluation: Evaluation, draws: Draws) -> dict[str, Array]:
    """What instruments could read, over the draws without the central row. [SI]"""
    unknowns = draws.unknowns
    found = {field.name: np.asarray(getattr(unknowns, field.name))[1:] for field in fields(unknowns)}
    contact = evaluation.state.contacts[0]
    found["patch_length"] = contact.patch_length[1:]
    found["ramp"] = contact.profile.ramp[1:]
    return found


def measure_next(evaluation: Evaluation, draws: Draws, case: Case) -> tuple[MeasureRecord, ...]:
    """
    Measurements that would sharpen three answers most: whether a line shows, how strong the worst is for one and the same eye,
    and the stock removed.

    Parameters
    ----------
    evaluation : Evaluation
    draws : Draws
    case : Case

    Returns
    -------
    tuple of MeasureRecord
        Most narrowing first for each answer. Bands as a factor from low to high, now and after.
    """
    readable = observables(evaluation, draws)
    worst = np.maximum(evaluation.worst, LEAST)[1:]
    made: list[MeasureRecord] = []
    seen = worst if case.bounds.eye_counts else worst * draws.unknowns.eye[1:]
    for words, answer, count in (
        ("whether a line shows", seen, 1),
        ("the worst line, same eye", worst, 2),
        ("the stock removed", evaluation.state.removal[1:], 1),
    ):
        low, high = band(answer, draws.weights)
        trials = rank_trials(answer=answer, quantities=readable, weights=draws.weights, seed=case.job.job.seed)
        worth = sorted((each for each in trials if each.ratio < WORTH_IT), key=lambda each: (each.ratio, each.measurement.minutes))
        for trial in worth[:count]:
            made.append(
                MeasureRecord(
                    name=trial.measurement.name,
                    label=trial.measurement.title,
                    how=trial.measurement.how,
                    minutes=trial.measurement.minutes,
                    answer=words,
                    band_now=high / max(low, LEAST),
                    band_after=trial.high / max(trial.low, LEAST),
                )
            )
    return tuple(made)
