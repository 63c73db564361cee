"""Measurements that cannot be on the set-up of the job: a slip of a unit, a swapped pair, a sign turned round."""

from __future__ import annotations

from typing import Final

from evenlay.answers.case import Case
from evenlay.answers.overlay import depth_coefficient, fitted, weighing_of
from evenlay.decisions.causes.wheel import WITHOUT_WHEEL
from evenlay.evidence.weighing import MOST_REMOVAL
from evenlay.job.evidence_record import Depth, Footprint, Weight
from evenlay.quantities.units import format_quantity

NARROWEST: Final = 0.2
"""Least share of the belt's width that a print on a flat face can have. Guess. [-]"""

SWAPPED: Final = 0.5
"""A print narrower and longer than this share of the belt's width had its length and width swapped. Guess. [-]"""

WIDEST: Final = 1.2
"""Most share of the belt's width that a print can have, beside `BLEED`. Guess. [-]"""

BLEED: Final = 5e-3
"""What ink may spread beyond the belt. Guess. [m]"""

Finding = tuple[str, str]
"""What makes a measurement impossible, and what to check."""


def impossible(case: Case, payload: Footprint | Weight | Depth) -> Finding | None:
    """
    Say why a measurement cannot be.

    Parameters
    ----------
    case : Case
    payload : record
        What was measured.

    Returns
    -------
    tuple of str or None
        What is wrong and what to check; None when it can be.

    Raises
    ------
    ValueError
        If a profile cannot be fitted at all.
    """
    if isinstance(payload, Footprint):
        return _impossible_print(case, payload)
    if isinstance(payload, Weight):
        weighing = weighing_of(payload)
        coefficient, what = weighing.loss / (case.file_only["alloy.density"].number * weighing.run.work), "this loss of weight"
    else:
        coefficient, what = depth_coefficient(payload), "this depth"
    if coefficient > MOST_REMOVAL:
        return f"{what} would need less work than metal takes to cut at all", "check its unit, the passes, the force and the feed"
    return None


def _impossible_print(case: Case, payload: Footprint) -> Finding | None:
    belt = min(case.file_only["wheel.width"].number, case.file_only["belt.width"].number)
    flat = case.setup.crown_curvature == 0.0 and payload.curvature_across <= 0.0
    widths = [("the print", width) for width in payload.widths]
    if payload.depths:
        width = fitted(payload, "").half_depth_width.number
        if width > WIDEST * belt + BLEED and _upside_down(payload, WIDEST * belt):
            return "the profile stands up where the belt should have cut", "depth grows into the metal: turn the column's sign round"
        widths.append(("the profile's half-depth width", width))
    under = f"under a belt of {_shown(belt)}"
    for what, width in widths:
        if width > WIDEST * belt + BLEED:
            check = "check the unit, whether length and width are swapped, and wheel.width and belt.width in job.toml"
            return f"{what} is {_shown(width)} wide {under}", check
        if flat and width < NARROWEST * belt:
            check = "check the unit, whether length and width are swapped, and whether the wheel stood flat on the part"
            return f"{what} is {_shown(width)} wide {under}", check
    longest = max(payload.lengths, default=0.0)
    if flat and payload.widths and max(payload.widths) < SWAPPED * belt < min(payload.lengths, default=0.0):
        return f"the print is longer ({_shown(longest)}) than wide, {under}", "length is along the grain, width across: they look swapped"
    diameter = case.setup.wheel_diameter
    if case.setup.wheel_kind not in WITHOUT_WHEEL and longest > diameter:
        check = "check the unit, whether length and width are swapped, and wheel.diameter in job.toml"
        return f"a print {_shown(longest)} long is longer than the wheel's diameter ({_shown(diameter)})", check
    return None


def _upside_down(payload: Footprint, widest: float) -> bool:
    """Whether the profile turned round would be a print of this belt."""
    turned = payload.model_copy(update={"depths": tuple(tuple(-depth for depth in column) for column in payload.depths)})
    return fitted(turned, "").half_depth_width.number <= widest


def _shown(length: float) -> str:
    return format_quantity(length, "length")
