"""Sections of a plan beside the lines: contact, stock removed, drive, heat, device stroke."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import Case, number_of
from evenlay.answers.numbers import exact_number, known_of, number_of_draws
from evenlay.decisions.evaluate import passes_of
from evenlay.decisions.face import Window
from evenlay.decisions.situation import CONTACT_UNKNOWNS, Draws, State, wheel_of
from evenlay.job.answer_parts import NotKnown, Number
from evenlay.job.plan_record import ContactRecord, DriveRecord, HeatRecord, RemovalRecord, TimeRecord
from evenlay.physics.coefficient import specific_energy
from evenlay.physics.contact.reach import edge_rise
from evenlay.physics.drive import air_motor_speed, power, servo_speed, torque
from evenlay.physics.heat import Sheet, cooling_time, pass_heat, repeated_rise, share_into_part
from evenlay.physics.ripple import ripple
from evenlay.physics.scatter import drawn_peak_to_valley
from evenlay.physics.tint import TintScale, tint_remark
from evenlay.quantities.remarks import Remark
from evenlay.surface.passes import cycle_time

Array = NDArray[np.float64]

OVERHANG: Final = 1.0 / 3.0
"""Share of the belt that hangs over a free edge when the rise there is shown: the usual most (common practice, no source)."""

ROOM: Final = 293.15
"""Temperature of part and air. [K]"""

STILL_AIR: Final = 10.0
"""Heat passed to still air on each side of a sheet (common practice, no source). [W/(m2 K)]"""


def contact_record(state: State, draws: Draws, case: Case) -> ContactRecord:
    """How the wheel meets the face in the first round, and what a free edge does."""
    contact, weights, values = state.contacts[0], draws.weights, case.values
    known = known_of(values, CONTACT_UNKNOWNS[state.setup.wheel_kind])
    edge = edge_rise(
        wheel_of(state.setup, state.unknowns),
        force=state.settings.force,
        speed=state.settings.speed,
        overhang=OVERHANG * state.setup.contact_width,
        curvature_along=state.setup.curvature_along,
        curvature_across=state.setup.curvature_across,
    )

    def number(array: Array, kind: str, extra: tuple[str, ...] = ()) -> Number:
        return number_of_draws(
            np.broadcast_to(array, (state.unknowns.count,)),
            kind,
            known_of(values, (*CONTACT_UNKNOWNS[state.setup.wheel_kind], *extra)) if extra else known,
            weights,
        )

    return ContactRecord(
        patch_length=number(contact.patch_length, "length"),
        half_depth_width=number(contact.profile.half_depth_width, "length"),
        ramp=number(contact.profile.ramp, "length", ("edge_ramp",)),
        peak_pressure=number(contact.peak_pressure, "pressure"),
        mean_pressure=number(contact.mean_pressure, "pressure"),
        edge_rise=number(edge.load_rise, "ratio"),
        edge_force=number(edge.restoring_force, "force"),
        flattening=number(contact.flattening, "length"),
    )


def removal_record(state: State, draws: Draws, case: Case) -> RemovalRecord:
    """Stock removed and its unevenness, without and with the passes lying off."""
    weights, values, unknowns = draws.weights, case.values, state.unknowns
    profile = state.last.profile
    shares = state.round_removal[0] / np.sum(state.round_removal[0])
    lay = {
        "y": profile.y,
        "shape": profile.shape,
        "step_over": state.settings.step_over,
        "offsets": state.settings.offsets,
        "weights": shares,
    }
    known = known_of(values, ("removal_coefficient",))
    budget = case.bounds.removal
    total = number_of_draws(state.removal, "length", known, weights)
    said = (
        "no limit on stock removed was set"
        if math.isinf(budget)
        else f"{100.0 * total.high / budget:.0f} % of the {1e6 * budget:.0f} µm allowed, at the top of the band"
    )
    lies_off = ("edge_ramp", "path_error", "belt_wander")
    return RemovalRecord(
        total=total,
        per_round=tuple(number_of_draws(state.round_removal[:, index], "length", known, weights) for index in range(state.settings.rounds)),
        ripple=number_of_draws(ripple(**lay).peak_to_valley, "share", known_of(values, ("edge_ramp",)), weights),
        ripple_with_error=number_of_draws(
            drawn_peak_to_valley(**lay, lateral_sd=state.lateral_sd), "share", known_of(values, lies_off), weights
        ),
        specific_energy=number_of_draws(
            specific_energy(removal_coefficient=unknowns.removal_coefficient, friction=unknowns.friction),
            "specific_energy",
            known_of(values, ("removal_coefficient", "friction")),
            weights,
        ),
        budget=said,
    )


def _arm_lost(state: State) -> Array:
    # A slack or backed belt has its drive elsewhere; a wheel pressed in completely (its own remark) still turns on its shaft.
    if state.setup.wheel_kind in ("slack", "platen"):
        return np.zeros(1)
    return np.asarray(np.clip(state.contacts[0].flattening, 0.0, 0.25 * state.setup.wheel_diameter))


BY_LIMIT: Final = {
    "torque": "this force asks for more torque than it has; less force, or a smaller wheel",
    "power": "this force at that speed asks for more power than it has; less of either",
    "speed": "it turns no faster; a larger wheel, or a lower belt speed",
    "holds": "its speed falls under load; less force",
}
"""What limits a drive, and what to change."""


def drive_record(state: State, draws: Draws, case: Case) -> tuple[DriveRecord, tuple[Remark, ...]]:
    """Torque and power asked for, the belt speed that is then delivered, and a remark when it is not the one set."""
    unknowns, setup, settings, bounds = state.unknowns, state.setup, state.settings, case.bounds
    asked = torque(
        force=settings.force,
        friction=unknowns.friction,
        diameter=setup.wheel_diameter,
        flattening=_arm_lost(state),
    )
    taken = power(force=settings.force, friction=unknowns.friction, speed=settings.speed)
    known = known_of(case.values, ("friction",))
    circumference = math.pi * setup.wheel_diameter
    remarks: tuple[Remark, ...] = ()
    if math.isnan(bounds.free_rotation):
        delivered = servo_speed(
            rotation=np.full(unknowns.count, settings.speed / circumference),
            torque=asked,
            rotation_limit=bounds.rotation,
            torque_limit=bounds.torque,
            power_limit=bounds.power,
        )
        note = "servo: holds its speed whatever the force, up to its limits"
    else:
        delivered = air_motor_speed(free_rotation=bounds.free_rotation, stall_torque=bounds.stall_torque, torque=asked)
        idle = circumference * bounds.free_rotation
        loaded = circumference * float(delivered.rotation[0])
        note = f"air motor: {idle:.1f} m/s without load, {loaded:.1f} m/s at {settings.force:.0f} N; belt speed moves with force and patch"
    reached = circumference * delivered.rotation
    if float(reached[0]) < 0.98 * settings.speed:
        remarks = (
            Remark(
                "drive-too-slow",
                "caution",
                f"The drive reaches {float(reached[0]):.1f} m/s, not the {settings.speed:.1f} m/s set: "
                f"{BY_LIMIT[str(delivered.limit[0])]}. "
                "Stock and spacings are worked out at the speed set.",
                "derived: torque is friction x force x radius",
                "settings.speed",
            ),
        )
    record = DriveRecord(
        torque=number_of_draws(asked, "torque", known, draws.weights),
        power=number_of_draws(taken, "power", known, draws.weights),
        speed_under_load=number_of_draws(np.broadcast_to(reached, (unknowns.count,)), "speed", known, draws.weights),
        note=note,
    )
    return record, remarks


def heat_record(state: State, draws: Draws, case: Case) -> tuple[HeatRecord, tuple[Remark, ...]]:
    """Flash under the patch, what all rounds leave in the sheet, and the tint remark on its one-hour basis."""
    unknowns, setup, settings, effective = state.unknowns, state.setup, state.settings, case.effective
    density, capacity = number_of(effective, "alloy.density"), number_of(effective, "alloy.heat_capacity")
    conductivity = number_of(effective, "alloy.conductivity")
    sheet = Sheet(conductivity, density * capacity, number_of(effective, "part.sheet"))
    share = share_into_part(
        effusivity=math.sqrt(conductivity * density * capacity), grain_radius=unknowns.grain_tip_radius, speed=settings.speed
    )
    contact = state.contacts[0]
    one = pass_heat(
        sheet=sheet,
        heat=share * unknowns.friction * settings.force * settings.speed,
        patch_length=contact.patch_length,
        width=contact.profile.half_depth_width,
        feed=settings.feed,
    )
    passes = passes_of(state)
    stroke = cycle_time(passes=1, length=setup.face_along, feed=settings.feed, run_on=setup.run_on, turn_time=setup.turn_time)
    # A place is met again by the next pass beside it while they overlap, and by every round.
    meetings = max(1, round(passes * float(contact.profile.half_depth_width[0]) / max(setup.face_across, settings.step_over)))
    interval = stroke * passes / meetings
    left = repeated_rise(
        rise=one.bulk,
        interval=interval,
        cooling=cooling_time(heat_capacity=sheet.heat_capacity, thickness=sheet.thickness, air=STILL_AIR),
        passes=meetings,
    )
    hottest = ROOM + left + one.flash
    known = known_of(case.values, ("friction", "grain_tip_radius", *CONTACT_UNKNOWNS[setup.wheel_kind]))
    scale = tint_scale_of(case)
    top = number_of_draws(hottest, "temperature", known, draws.weights)
    remark = tint_remark(temperature=top.high, scale=scale, where="heat") if scale is not None else None
    tint = remark.message if remark is not None else ("no heat colour expected" if scale is not None else "aluminium shows no heat colour")
    record = HeatRecord(
        flash=number_of_draws(one.flash, "temperature_difference", known, draws.weights),
        sheet=number_of_draws(left, "temperature_difference", known, draws.weights),
        face=top,
        tint=tint,
    )
    return record, (remark,) if remark is not None else ()


def tint_scale_of(case: Case) -> TintScale | None:
    """Heat-colour scale of the part's metal: never that of carbon steel for stainless; none for aluminium."""
    from evenlay.data import load
    from evenlay.quantities.units import parse_quantity

    metal = str(load("alloys")[case.job.part.alloy]["metal"])
    name = {"stainless steel": "stainless", "carbon steel": "carbon steel"}.get(metal)
    if name is None:
        return None
    table = load("tint")[name]
    return TintScale(
        basis=table["basis"],
        source=table["source"],
        temperatures=tuple(parse_quantity(knot["at"], "temperature") for knot in table["knots"]),
        colours=tuple(knot["colour"] for knot in table["knots"]),
    )


def time_record(state: State, draws: Draws, case: Case) -> TimeRecord:
    """Passes, and the time of the face with its band from turns and run-on."""
    setup, settings, passes = state.setup, state.settings, passes_of(state)
    turn, run_on = case.effective["path.turn_time"], case.effective["path.run_on"]

    def total(turn_time: float, beyond: float) -> float:
        return cycle_time(passes=passes, length=setup.face_along, feed=settings.feed, run_on=beyond, turn_time=turn_time)

    known = turn.known
    number = Number(
        value=total(turn.number, run_on.number),
        low=total(turn.low, run_on.low),
        high=total(turn.high, run_on.high),
        kind="time",
        known=known,
    )
    return TimeRecord(passes=passes, total=number)


def stroke_record(state: State, case: Case) -> tuple[Number | NotKnown, tuple[Remark, ...]]:
    """
    Stroke the force device needs, worst case, against the stroke it has.

    Returns
    -------
    Number or NotKnown
        Part form, fixture and path error together. [m]
    tuple of Remark
        When the stack exceeds the stroke, or when it lets the path be simpler.
    """
    effective = case.effective
    parts = ("device.form_error", "device.fixture_error", "path.error")
    values = [effective[key] for key in parts]
    flattening = max(float(state.contacts[0].flattening[0]), 0.0)
    worst = sum(value.number for value in values) + flattening
    number = Number(
        value=worst,
        low=sum(value.low for value in values) + flattening,
        high=sum(value.high for value in values) + flattening,
        kind="length",
        known=min((value.known for value in values), key=("guess", "handbook", "fitted", "measured", "asked").index),
        source="sum of form, fixture, path error and flattening: the worst case",
    )
    has = number_of(effective, "device.stroke")
    if math.isnan(has):
        return NotKnown(measure=f"the device's stroke (this job needs about {1e3 * worst:.1f} mm)"), ()
    if worst > has:
        message = (
            f"The device's {1e3 * has:.0f} mm of stroke do not take up form, fixture and path error together ({1e3 * worst:.1f} mm): "
            "teach the path closer."
        )
        return number, (Remark("stroke-too-short", "caution", message, "derived: sum of the stack", "device.stroke"),)
    message = (
        f"The device's {1e3 * has:.0f} mm of stroke take up form, fixture and path error together ({1e3 * worst:.1f} mm): "
        f"the path may be programmed that much simpler, {1e3 * (has - worst):.1f} mm are left."
    )
    return number, (Remark("stroke-takes-it-up", "note", message, "derived: sum of the stack", "device.stroke"),)


def whole_face_numbers(window: Window) -> tuple[Array, Array, Array]:
    """Central stock removed over the face, with its 5 % and 95 % curves. [m]"""
    removal = window.face.removal
    low, high = np.quantile(removal[1:], (0.05, 0.95), axis=0)
    return removal[0], np.minimum(low, removal[0]), np.maximum(high, removal[0])


__all__ = [
    "contact_record",
    "drive_record",
    "exact_number",
    "heat_record",
    "removal_record",
    "stroke_record",
    "time_record",
    "tint_scale_of",
    "whole_face_numbers",
]
