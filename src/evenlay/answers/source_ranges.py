"""Inputs outside the range that their source covers: named, never clipped in silence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evenlay.answers.case import Case
from evenlay.decisions.evaluate import Evaluation
from evenlay.job.effective import kind_of
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


GRAINS_SIMULATED: Final = (40e-6, 201e-6)
PRESSURES_SIMULATED: Final = (0.05e6, 0.2e6)
"""Median grains [m] and mean pressures [Pa] at which the lines of the belt lie within a quarter of their simulation."""

BEYOND: Final = "; at 0.03 and 0.3 MPa the simulation gave up to 1.6 times its power"
DITHERED: Final = (
    "What a side-to-side motion takes from the belt's lines in the texture is not claimed: the simulation left 0.3 to 0.6 of the power "
    "that the law leaves from 1 mm of spacing on, and 1.5 times it below. Lines in the relief follow the law."
)


def left_by_plan(case: Case, evaluation: Evaluation) -> tuple[Remark, ...]:
    """
    Remarks on what the plan itself takes outside of a source's range: grains and pressures against the simulated ones.

    Parameters
    ----------
    case : Case
    evaluation : Evaluation

    Returns
    -------
    tuple of Remark
    """
    pressures = [float(contact.mean_pressure[0]) for contact in evaluation.state.contacts]
    grain = case.effective["belt.median_grain"].number
    found = []
    for what, least, most, known, kind, beyond in (
        ("The belt's median grain is", grain, grain, GRAINS_SIMULATED, "length", ""),
        ("The rounds press with", min(pressures), max(pressures), PRESSURES_SIMULATED, "pressure", BEYOND),
    ):
        if known[0] <= least and most <= known[1]:
            continue
        here = format_quantity(least, kind) if least == most else f"{format_quantity(least, kind)} to {format_quantity(most, kind)}"
        said = (
            f"{what} {here}; the strength of the belt's own lines was simulated from {format_quantity(known[0], kind)} to "
            f"{format_quantity(known[1], kind)} (grain-simulation). Beyond, the same law is taken{beyond}."
        )
        found.append(Remark("outside-source-range", "note", said, "grain-simulation", "model.line_gain"))
    if evaluation.state.setup.dither > 0.0:
        found.append(Remark("outside-source-range", "note", DITHERED, "grain-simulation", "settings.dither"))
    return tuple(found)
