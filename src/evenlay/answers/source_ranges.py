"""Inputs outside the range that their source covers: named, never clipped in silence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evenlay.answers.case import Case
from evenlay.decisions.evaluate import Evaluation
from evenlay.job.effective import kind_of
from evenlay.physics.texture import SIMULATED_LINE_GAIN
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import format_quantity


@dataclass(frozen=True)
class SourceRange:
    """
    What a source covers of one quantity, with its edition, and what the program does beyond. [SI]

    ``low`` to ``high`` as far as the source goes.
    """

    key: str
    low: float
    high: float
    source: str
    beyond: str


COVERED: Final[tuple[SourceRange, ...]] = (
    SourceRange(
        "wheel.hardness", 20.0, 80.0, "gent-1958 (Rubber Chemistry and Technology 31:896; used from 20 to 99)",
        "the modulus is taken at the nearest hardness the law covers: press the cover on a scale, or enter the modulus",
    ),
    SourceRange(
        "viewing.luminance", 10.0, 300.0, "watson-ahumada-2005, fitted to thresholds at about 30 cd/m² (from memory)",
        "the observer is not changed: in dimmer light lines show less than said",
    ),
    SourceRange(
        "belt.median_grain", 30e-6, 270e-6, "roughness-by-grit (published tables on stainless, US 60 to 320 and P 60 to P 500)",
        "the power law through the tables is carried on: measure Ra on a coupon",
    ),
    SourceRange(
        "wheel.inflation", 0.0, 1.5e5, "metal finishing uses 0.2 to 1.5 bar (from memory)",
        "the membrane law is carried on: ink a footprint at this inflation",
    ),
)  # fmt: skip
"""Ranges of what goes into every answer."""


def left_ranges(case: Case) -> tuple[Remark, ...]:
    """
    Remarks on inputs that their sources do not cover.

    Parameters
    ----------
    case : Case

    Returns
    -------
    tuple of Remark
        One per input: value, limit, source with edition, what is done.
    """
    found = []
    for each in COVERED:
        if each.key not in case.effective:
            continue
        value, kind = case.effective[each.key].number, kind_of(each.key)
        if not each.low <= value <= each.high:
            limit = each.low if value < each.low else each.high
            side = "below" if value < each.low else "above"
            far = format_quantity(limit, kind)
            said = f"{each.key} = {format_quantity(value, kind)} is {side} the {far} to which {each.source} reaches; {each.beyond}."
            found.append(Remark("outside-source-range", "caution", said, each.source, each.key))
    return tuple(found)


def left_by_plan(evaluation: Evaluation) -> tuple[Remark, ...]:
    """
    Remarks on what the plan itself takes outside of a source's range: the stock of a round against the simulated gains.

    Parameters
    ----------
    evaluation : Evaluation

    Returns
    -------
    tuple of Remark
    """
    table = SIMULATED_LINE_GAIN
    depths = evaluation.state.round_removal[0]
    low, high = table.removal[0], table.removal[-1]
    if low <= float(depths.min()) and float(depths.max()) <= high:
        return ()
    removed, known = (
        f"{format_quantity(least, 'length')} to {format_quantity(most, 'length')}"
        for least, most in ((float(depths.min()), float(depths.max())), (low, high))
    )
    said = (
        f"The rounds remove {removed} each; the gain of the belt's texture lines is known from {known} ({table.source}, two points, "
        "first version). Beyond, it is held, not extrapolated."
    )
    return (Remark("outside-source-range", "note", said, table.source, "model.line_gain"),)
