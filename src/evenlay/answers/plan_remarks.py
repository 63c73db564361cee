"""What a plan has to say beside its numbers."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import Case
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.evaluate import Evaluation, Margin
from evenlay.decisions.recipe import Choice
from evenlay.decisions.situation import Settings, Setup
from evenlay.physics.marks import coincidences
from evenlay.quantities.remarks import Remark

Array = NDArray[np.float64]


def plan_remarks(case: Case, evaluation: Evaluation, choice: Choice, level: float, risks: tuple[Margin, ...]) -> tuple[Remark, ...]:
    """
    Remarks on level, limits, coincidences, motion and the range of the models.

    Parameters
    ----------
    case : Case
    evaluation : Evaluation
    choice : Choice
    level : float
        Visibility kept with the asked probability.
    risks : tuple of Margin
        Limits that only the band reaches.

    Returns
    -------
    tuple of Remark
    """
    state = evaluation.state
    return (
        *_level(case, level),
        *_limits(choice),
        *_risks(case, risks),
        *pitch_coincidences(state.setup, state.settings, state.last.patch_length),
        *_motion(case, evaluation),
        *gaps(case),
    )


def _level(case: Case, level: float) -> tuple[Remark, ...]:
    found: list[Remark] = []
    if not case.bounds.eye_counts:
        found.append(
            Remark(
                "level-not-calibrated",
                "note",
                "Order firm, level not: until one limit sample has been judged, every strength may be 2.8 times higher or 1.5 times lower "
                "with the eye, for all lines alike. The plan ranks and compares; it does not pass or fail.",
                "derived: efficiency of the observer 0.17 to 0.6; no human data on brushed metal exist",
                "viewing.eye",
            )
        )
    if level > case.bounds.target:
        found.append(
            Remark(
                "target-not-met",
                "caution",
                f"No setting tried keeps every line under {case.bounds.target:.2g} with {100 * case.bounds.probability:.0f} % certainty; "
                f"this one keeps them under {level:.2g}. See what moves the answer, and the front.",
                "asked: job.target and job.probability",
                "job.target",
            )
        )
    return tuple(found)


def _limits(choice: Choice) -> tuple[Remark, ...]:
    return tuple(
        Remark(
            "limit-broken",
            "caution",
            f"{name[:1].upper()}{name[1:]} is {100.0 * excess:.0f} % over its limit with the settings of the job file.",
            "asked: [limits] and [step.drive]",
            "limits",
        )
        for name, excess in choice.limits
    )


def _risks(case: Case, risks: tuple[Margin, ...]) -> tuple[Remark, ...]:
    return tuple(
        Remark(
            "limit-at-risk",
            "caution",
            f"{each.name[:1].upper()}{each.name[1:]} keeps its limit at the central values, but the band reaches "
            f"{100.0 * (each.likely / each.limit - 1.0):.0f} % beyond it: measure before promising.",
            "asked: [limits] and [step.drive]",
            "limits",
        )
        for each in risks
    )


def pitch_coincidences(setup: Setup, settings: Settings, patch: Array) -> tuple[Remark, ...]:
    """Marks along the grain that stand in a whole-number ratio, and so add up."""
    rows = [
        (cause.label, float(pitches[0].value[0]))
        for cause in REGISTER
        if cause.direction == "along" and (pitches := cause.pitches(setup, settings, patch))
    ]
    return tuple(
        Remark(
            "marks-coincide",
            "note",
            f"{pair.first} and {pair.second} stand in the ratio {pair.ratio[0]} to {pair.ratio[1]}: their marks add up. "
            "A change of belt speed or feed by a few per cent does not part marks that both follow the belt; another belt length does.",
            "published grinding practice: whole-number ratios add up, awkward ones wash out",
            "settings.speed",
        )
        for pair in coincidences(rows)
    )


def _motion(case: Case, evaluation: Evaluation) -> tuple[Remark, ...]:
    state, found = evaluation.state, []
    if case.setup.dither > 0.0 and not bool(evaluation.eye.dither_slow[0]):
        found.append(
            Remark(
                "dither-too-fast",
                "note",
                "The side-to-side motion moves more than a groove width during one contact: "
                "no more than half of what it promises is counted.",
                "fitted from simulation",
                "settings.dither",
            )
        )
    if state.setup.face_along < 2.0 * state.repeat_length:
        found.append(
            Remark(
                "face-shorter-than-two-turns",
                "note",
                f"The face is shorter than two turns of the belt ({2e3 * state.repeat_length:.0f} mm): "
                "no belt line can be told from chance on it.",
                "derived",
                "belt.length",
            )
        )
    rounds_off = float(state.round_removal[0, -1]) / float(state.takeover_depth[0])
    if state.settings.rounds > 1 and rounds_off > 3.0:
        found.append(
            Remark(
                "last-round-owns-the-texture",
                "note",
                f"The last round takes {rounds_off:.1f} times what renews the texture, so earlier rounds no longer show: "
                "lighter last rounds (taper) would let their shifts work.",
                "fitted from simulation: three times the take-over depth hides an earlier texture",
                "settings.taper",
            )
        )
    return tuple(found)


def gaps(case: Case) -> tuple[Remark, ...]:
    """What the customer has not said and the answer depends on."""
    taken = set(case.effective.assumed)
    asked = {
        "viewing.distance": "No viewing distance was given: {value:.2g} m is taken. It decides which lines matter; ask.",
    }
    found = [
        Remark(
            "gap-in-what-was-asked",
            "gap",
            words.format(value=case.effective[key].number),
            "common practice: distance, light and limit samples belong in the order",
            key,
        )
        for key, words in asked.items()
        if key in taken or case.effective[key].known == "guess"
    ]
    if not case.job.job.asked:
        found.append(
            Remark(
                "gap-in-what-was-asked",
                "gap",
                "The customer's own sentence is not in the job: keep it word for word.",
                "design",
                "job.asked",
            )
        )
    if math.isinf(case.bounds.roughness):
        found.append(
            Remark(
                "gap-in-what-was-asked",
                "gap",
                "No roughness limit was given: a finish name alone spreads over a factor of seven in Ra.",
                "published cross tables of finish names",
                "limits.ra_max",
            )
        )
    return tuple(found)
