"""Causes as an answer shows them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.numbers import known_of, number_of_draws, seen_word
from evenlay.decisions.causes import REGISTER, Cause, Strength, Unmeasured
from evenlay.decisions.evaluate import Evaluation
from evenlay.decisions.situation import Settings, Setup
from evenlay.decisions.spacing import CLOCK_TOLERANCE
from evenlay.job.answer_parts import LinkRecord, MarkRecord, NotKnown, Number
from evenlay.physics.viewing import VisibleBand
from evenlay.quantities.known import BAND_SCORE, Value

Array = NDArray[np.float64]


def pitch_records(cause: Cause, setup: Setup, settings: Settings, patch_length: Array) -> tuple[tuple[str, Number], ...]:
    """Spacings of a cause; they come from clocks and lengths, so they are as good as the settings are kept."""
    return tuple((pitch.name, _spacing(float(pitch.value[0]))) for pitch in cause.pitches(setup, settings, patch_length))


def _spacing(value: float) -> Number:
    off = BAND_SCORE * CLOCK_TOLERANCE
    source = f"feed, speed and lengths as set, each kept to {100.0 * CLOCK_TOLERANCE:.0f} % (guess)"
    return Number(value=value, low=value * (1.0 - off), high=value * (1.0 + off), kind="length", known="guess", source=source)


def mark_record(
    cause: Cause,
    *,
    pitches: tuple[tuple[str, Number], ...],
    band: VisibleBand,
    strength: Strength | Unmeasured | None = None,
    values: Mapping[str, Value] | None = None,
    eye: Array | None = None,
    weights: Array | None = None,
) -> MarkRecord:
    """
    One cause as a record.

    Parameters
    ----------
    cause : Cause
    pitches : tuple
        From `pitch_records`.
    band : VisibleBand
        What the eye sees best at the distance.
    strength : Strength, Unmeasured or None
        None where only pitches were asked for.
    values, eye, weights
        Needed with a `Strength`: how the unknowns are known, the eye's factor over the draws, weights of the draws.

    Returns
    -------
    MarkRecord
    """
    first = pitches[0][1].value if pitches else float("nan")
    unmeasured = isinstance(strength, Unmeasured)
    seen = "spacing unknown" if unmeasured and not pitches else seen_word(first, band.shortest, band.longest)
    shown: Number | NotKnown | None = None
    with_eye: Number | None = None
    chain: tuple[LinkRecord, ...] = ()
    control: float | None = None
    claim = (1.0, 1.0)
    if isinstance(strength, Unmeasured):
        shown = NotKnown(measure=strength.measure)
    elif isinstance(strength, Strength) and values is not None and eye is not None and weights is not None:
        chain = tuple(
            LinkRecord(name=link.name, number=number_of_draws(link.number, link.unit, known_of(values, link.rests_on), weights))
            for link in strength.chain
        )
        known = known_of(values, strength.chain[-1].rests_on)
        shown = number_of_draws(strength.visibility, "ratio", known, weights)
        with_eye = number_of_draws(strength.visibility * eye, "ratio", known_of(values, (*strength.chain[-1].rests_on, "eye")), weights)
        control, claim = strength.control, strength.claim
    return MarkRecord(
        key=cause.key,
        label=cause.label,
        direction=cause.direction,
        memory=cause.memory,
        place=cause.place,
        pitches=pitches,
        seen=seen,
        strength=shown,
        strength_with_eye=with_eye,
        control=control,
        claim=claim,
        chain=chain,
        remedy=cause.remedy,
        remedy_cost=cause.remedy_cost,
    )


def evaluated_marks(
    evaluation: Evaluation, *, values: Mapping[str, Value], band: VisibleBand, weights: Array, calibrated: bool
) -> tuple[MarkRecord, ...]:
    """Every cause of an evaluation, strongest first, unknown strengths last; a calibrated eye is in the strengths already."""
    state = evaluation.state
    made = [
        mark_record(
            cause,
            pitches=pitch_records(cause, state.setup, state.settings, state.last.patch_length),
            band=band,
            strength=evaluation.strengths[cause.key],
            values=values,
            eye=np.ones_like(state.unknowns.eye) if calibrated else state.unknowns.eye,
            weights=weights,
        )
        for cause in REGISTER
        if cause.applies(state.setup)
    ]

    def order(mark: MarkRecord) -> tuple[bool, float]:
        return (not isinstance(mark.strength, Number), -mark.strength.value if isinstance(mark.strength, Number) else 0.0)

    return tuple(sorted(made, key=order))
