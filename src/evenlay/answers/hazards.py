"""Safety facts of a job, for the rules."""

from __future__ import annotations

import math

from evenlay.answers.case import Case, number_of
from evenlay.data import load
from evenlay.decisions.safety import SafetyFacts, safety_remarks
from evenlay.decisions.situation import central_unknowns, wheel_of
from evenlay.job.fields import Quantity
from evenlay.physics.contact.expander import minimum_speed
from evenlay.physics.drive import torque
from evenlay.quantities.remarks import Remark

SLEEVE_UNTESTED = 10.0
"""Rim speed below which an expander is not trusted without a slip test (common practice 8 to 12, no source). [m/s]"""


def safety_of(case: Case, *, speed: float, force: float, hottest: float) -> tuple[Remark, ...]:
    """
    Stops, what is withheld, and cautions.

    Parameters
    ----------
    case : Case
    speed : float
        Belt speed that is set or chosen. [m/s]
    force : float
        [N]
    hottest : float
        Hottest the face gets, top of its band. [K]

    Returns
    -------
    tuple of Remark
    """
    effective, step = case.effective, case.step
    minimum, formula = sleeve_limits(case, force)
    slip = step.wheel.slip_test
    metal = str(load("alloys")[case.job.part.alloy]["metal"])
    # What the collector takes besides this part's own metal; the part's own is always in it.
    declared = case.job.dust.metals or ()
    return safety_remarks(
        SafetyFacts(
            wheel_kind=step.wheel.kind,
            rim_speed=speed,
            plate_speed=number_of(effective, "wheel.plate_speed"),
            belt_rated_speed=number_of(effective, "belt.rated_speed"),
            sleeve_minimum=minimum,
            sleeve_formula=formula,
            slip_test=slip.number if isinstance(slip, Quantity) else math.nan,
            aluminium=metal == "aluminium",
            other_metals=tuple(each for each in declared if each != metal),
            collector=case.job.dust.collector,
            wet=bool(case.job.dust.wet),
            face_temperature=hottest - 273.15,
        )
    )


def sleeve_limits(case: Case, force: float) -> tuple[float, float]:
    """
    Lowest speed an expander is trusted at without a slip test, and the one it is known to need; zero for other kinds.

    Returns
    -------
    tuple of float
        [m/s]
    """
    if case.step.wheel.kind != "expander":
        return 0.0, 0.0
    central = central_unknowns(case.values)
    load_torque = torque(force=force, friction=central.friction, diameter=case.setup.wheel_diameter)
    plate = case.step.wheel.sleeve_minimum
    entered = plate.number if isinstance(plate, Quantity) and plate.value.known != "guess" else None
    found = minimum_speed(wheel_of(case.setup, central), torque=load_torque, plate_minimum=entered)
    formula = max(float(found.formula[0]), entered or 0.0)
    return max(SLEEVE_UNTESTED, formula), formula
