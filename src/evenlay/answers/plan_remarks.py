"""What a plan has to say beside its numbers."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import Case
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.evaluate import Evaluation, Margin
from evenlay.decisions.recipe import Choice
from evenlay.decisions.situation import Settings, Setup
from evenlay.physics.marks import coincidences
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import format_quantity, format_ratio

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
        *_level(case, level, chosen=choice.tried > 1),
        *_limits(choice),
        *_risks(case, risks),
        *_bare_stripes(evaluation),
        *_at_the_end(case, choice, level),
        *pitch_coincidences(state.setup, state.settings, state.last.patch_length),
        *_motion(case, evaluation),
        *gaps(case),
    )


def _level(case: Case, level: float, *, chosen: bool) -> tuple[Remark, ...]:
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
        who = ("No setting tried keeps", "this one keeps", ", and the front") if chosen else ("These settings do not keep", "they keep", "")
        found.append(
            Remark(
                "target-not-met",
                "caution",
                f"{who[0]} every line under {format_ratio(case.bounds.target)} with {100 * case.bounds.probability:.0f} % certainty; "
                f"{who[1]} them under {format_ratio(level)}. See what moves the answer{who[2]}.",
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
            f"{name[:1].upper()}{name[1:]} reaches {1.0 + excess:.3g} times its limit with these settings.",
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
            f"{each.name[:1].upper()}{each.name[1:]}: with these settings the central value keeps the limit, but the band reaches "
            f"{each.likely / each.limit:.3g} times it: measure before promising.",
            "asked: [limits] and [step.drive]",
            "limits",
        )
        for each in risks
    )


def _bare_stripes(evaluation: Evaluation) -> tuple[Remark, ...]:
    """Return what to say where the passes of all rounds together leave gaps between their footprints."""
    state = evaluation.state
    step_over = state.settings.step_over
    places = np.sort(np.mod(np.asarray(state.settings.offsets), step_over))
    widest = float(np.max(np.diff(np.append(places, places[0] + step_over))))
    width = float(min(contact.profile.half_depth_width[0] for contact in state.contacts))
    if widest <= width * (1.0 + 1e-6):
        return ()
    return (
        Remark(
            "bare-stripes",
            "caution",
            f"The passes lie up to {1e3 * widest:.3g} mm apart and cut {1e3 * width:.3g} mm wide (at half depth): stripes of "
            f"{1e3 * (widest - width):.2g} mm get less than half the cut. A smaller step-over, or offsets spread evenly, closes them.",
            "derived: footprint against the widest gap between passes",
            "settings.step_over",
        ),
    )


END: Final = 1e-6
"""A chosen setting this near to the end of its range, as a share, lies on it. [-]"""


def _at_the_end(case: Case, choice: Choice, level: float) -> tuple[Remark, ...]:
    """Return which chosen settings lie at the ends of their ranges, where the target is not met: the ranges then decide."""
    if level <= case.bounds.target or choice.tried < 2:
        return ()
    settings, given, ranges = choice.front[choice.chosen].settings, case.given, case.ranges
    rows = (
        ("force", settings.force, given.force, ranges.force),
        ("speed", settings.speed, given.speed, ranges.speed),
        ("feed", settings.feed, given.feed, ranges.feed),
    )
    ends = []
    for name, value, is_set, (low, high) in rows:
        if is_set is None and abs(value / low - 1.0) < END:
            ends.append(f"{name} at limits.{name}_min")
        elif is_set is None and abs(value / high - 1.0) < END:
            ends.append(f"{name} at limits.{name}_max")
    if given.rounds is None and settings.rounds >= ranges.rounds_max:
        ends.append("rounds at limits.rounds_max")
    if not ends:
        return ()
    message = (
        f"The target is not met, and what was chosen lies at the end of what is allowed: {', '.join(ends)} (or at what plate and drive "
        "allow). Widen a limit only if wheel, belt and cell allow it."
    )
    return (Remark("settings-at-their-limit", "note", message, "asked: [limits]", "limits"),)


def pitch_coincidences(setup: Setup, settings: Settings, patch: Array) -> tuple[Remark, ...]:
    """Marks along the grain that stand in a whole-number ratio, and so add up."""
    rows = [
        (cause.label, float(pitches[0].value[0]))
        for cause in REGISTER
        if cause.direction == "along" and cause.applies(setup) and (pitches := cause.pitches(setup, settings, patch))
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
                f"The last round takes {rounds_off:.3g} times what renews the texture "
                f"({format_quantity(float(state.takeover_depth[0]), 'length')}), so earlier rounds no longer show: their shifts soften "
                "overlaps, not the belt's own lines. A last round of about that little, shifted, would print them with about 0.4 of their "
                "power.",
                "grain-simulation: three times the take-over depth hides an earlier texture; one of it leaves 0.3 to 0.4 of the power",
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
