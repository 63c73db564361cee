"""A job made ready for computing: one face, one step, every number with its band, evidence laid over it."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from evenlay.decisions.candidates import Given, Ranges
from evenlay.decisions.causes.wheel import WITHOUT_WHEEL
from evenlay.decisions.evaluate import Bounds
from evenlay.decisions.situation import CONTACT_UNKNOWNS, UNDER_THE_GRAINS, Setup, central_unknowns
from evenlay.files.evidence_log import entry_files, read_log
from evenlay.files.jobfile import changed_job, job_path, read_job
from evenlay.job.effective import Effective, effective
from evenlay.job.evidence_record import Entry, fingerprint
from evenlay.job.fields import CHOOSE, Quantity
from evenlay.job.records import NOT_ENTERED, Face, Job, Step
from evenlay.physics.drive import stall_torque_from_reading
from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.known import Value
from evenlay.quantities.remarks import Remark

if TYPE_CHECKING:
    from evenlay.evidence.footprint import FootprintFit

NOTHING: Final = Value.exact(0.0, "asked", "not there in this set-up")

KEY_OF_UNKNOWN: Final[Mapping[str, str]] = {
    "removal_coefficient": "model.removal_coefficient",
    "friction": "model.friction",
    "modulus": "wheel.modulus",
    "poisson": "wheel.poisson",
    "cover_thickness": "wheel.cover",
    "belt_tension": "belt.tension",
    "casing_stiffness": "wheel.casing_stiffness",
    "inflation": "wheel.inflation",
    "edge_ramp": "wheel.edge_ramp",
    "closing_pressure": "wheel.closing_pressure",
    "grip_friction": "wheel.grip_friction",
    "grain_density": "belt.grain_density",
    "grain_height_sd": "belt.grain_height_sd",
    "grain_tip_radius": "belt.grain_tip_radius",
    "roughness": "belt.roughness",
    "texture_memory": "belt.texture_memory",
    "groove_coefficient": "model.groove_coefficient",
    "line_gain": "model.line_gain",
    "pressure_exponent": "model.pressure_exponent",
    "feed_exponent": "model.feed_exponent",
    "slope_across": "model.slope_across",
    "slope_along": "model.slope_along",
    "facet_spread": "model.facet_spread",
    "luminance_floor": "model.luminance_floor",
    "unrepeated_share": "model.unrepeated_share",
    "incoming_slope": "part.incoming_slope",
    "joint_step": "belt.joint_step",
    "wheel_runout": "wheel.runout",
    "path_error": "path.error",
    "belt_wander": "belt.wander",
    "hand_wander": "path.hand_wander",
    "force_error": "device.force_error",
    "feed_dip": "path.feed_dip",
    "chatter_share": "device.chatter_swing",
    "eye": "viewing.eye",
}
"""Job-file key of every unknown; a test checks that none is missing."""

WITHOUT_TENSION: Final = frozenset({"expander"})
"""Kinds whose belt is a sleeve: nothing tensions it."""

HAND_REFERENCE: Final = 0.1
"""Length over which the lines model states a hand's wander. [m]"""


@dataclass(frozen=True)
class Case:
    """
    One face and one step of a job, ready for the pure rooms.

    ``effective`` holds every number by dotted key with evidence laid over it; ``file_only`` the same without evidence;
    ``remarks`` what came up on the way.
    """

    folder: Path
    job: Job
    face: Face
    step: Step
    effective: Effective
    file_only: Effective
    setup: Setup
    values: Mapping[str, Value]
    given: Given
    ranges: Ranges
    bounds: Bounds
    remarks: tuple[Remark, ...]
    width: Value | None
    fits: tuple[FootprintFit, ...]
    evidence_count: int
    inputs_sha256: str


def pick(job: Job, face_id: str | None, step_id: str | None, place: str) -> tuple[Face, Step]:
    """
    Face and step to answer for: those named, else the first ones.

    Raises
    ------
    InputProblems
        If the job has no such face or step, naming those it has.
    """
    faces = {face.id: face for face in job.face}
    if face_id is not None and face_id not in faces:
        raise InputProblems((InputProblem(place, "face", f'there is no face "{face_id}"', f"the job has {', '.join(faces)}"),))
    face = faces[face_id] if face_id is not None else job.face[0]
    steps = {step.id: step for step in job.steps_of(face.id)}
    if step_id is not None and step_id not in steps:
        raise InputProblems((InputProblem(place, "step", f'there is no step "{step_id}" on this face', f"it has {', '.join(steps)}"),))
    return face, steps[step_id] if step_id is not None else next(iter(steps.values()))


def number_of(effective: Effective, key: str, default: float = math.nan) -> float:
    """Central number of a key, or a default where nothing holds. [SI]"""
    return effective[key].number if key in effective else default


def unknown_values(effective: Effective, job: Job, step: Step) -> dict[str, Value]:
    """
    Every unknown as a value, exact zero where the set-up has no such thing.

    Parameters
    ----------
    effective : Effective
        Evidence included.
    job : Job
    step : Step

    Returns
    -------
    dict of str to Value
        By name of the unknown. [SI]
    """
    values = {name: effective.get(key, NOTHING) for name, key in KEY_OF_UNKNOWN.items()}
    used = {*CONTACT_UNKNOWNS[step.wheel.kind], *UNDER_THE_GRAINS}
    for name in {name for names in CONTACT_UNKNOWNS.values() for name in names} | {"grip_friction"}:
        if name not in used:
            values[name] = replace(NOTHING, number=values[name].number, low=values[name].number, high=values[name].number)
    if step.wheel.kind in WITHOUT_TENSION:
        values["belt_tension"] = NOTHING
    if step.wheel.kind in WITHOUT_WHEEL:
        values["wheel_runout"] = NOTHING
    if step.belt.joint == "none":
        values["joint_step"] = NOTHING
    values["hand_wander"] = _hand_wander(effective) if job.path.led_by == "hand" else NOTHING
    return values


def _hand_wander(effective: Effective) -> Value:
    wander, over = effective["path.hand_wander"], number_of(effective, "path.hand_wander_length", HAND_REFERENCE)
    # A hand drifts like a random walk: its wander grows with the root of the length.
    factor = math.sqrt(HAND_REFERENCE / over)
    return Value(wander.number * factor, wander.low * factor, wander.high * factor, wander.known, wander.source)


def setup_of(effective: Effective, job: Job, face: Face, step: Step) -> Setup:
    """Set-up of a face and a step: the scalars that are given, not chosen."""
    lamp = job.viewing.lamp
    return Setup(
        wheel_kind=step.wheel.kind,
        wheel_diameter=number_of(effective, "wheel.diameter"),
        contact_width=min(number_of(effective, "wheel.width"), number_of(effective, "belt.width")),
        crown_curvature=number_of(effective, "wheel.crown_curvature", 0.0),
        belt_mass=number_of(effective, "belt.area_mass"),
        rubber_density=number_of(effective, "wheel.rubber_density", 0.0),
        rubber_free_thickness=number_of(effective, "wheel.rubber_thickness", 0.0),
        rubber_mean_radius=number_of(effective, "wheel.rubber_radius", 0.0),
        belt_length=number_of(effective, "belt.length"),
        face_along=number_of(effective, "face.length_along"),
        face_across=number_of(effective, "face.length_across"),
        curvature_along=number_of(effective, "face.curvature_along", 0.0),
        curvature_across=number_of(effective, "face.curvature_across", 0.0),
        free_edges=face.free_edges,
        distance=number_of(effective, "viewing.distance"),
        luminance=number_of(effective, "viewing.luminance"),
        lamp_tilt=lamp.number if isinstance(lamp, Quantity) else math.nan,
        dither=number_of(effective, "settings.dither", 0.0),
        dither_length=number_of(effective, "settings.dither_length", 0.2),
        run_on=number_of(effective, "path.run_on", 0.0),
        turn_time=number_of(effective, "path.turn_time", 0.0),
        feed_dip_length=number_of(effective, "path.feed_dip_length"),
        chatter_frequency=number_of(effective, "device.chatter"),
        device_bandwidth=number_of(effective, "device.bandwidth"),
        belt_joined=step.belt.joint != "none",
    )


def given_of(step: Step) -> Given:
    """What the job sets, with None for what is left to choose."""
    settings = step.settings

    def number(setting: Quantity | str) -> float | None:
        return setting.number if isinstance(setting, Quantity) else None

    offsets: tuple[float, ...] | str | None
    if isinstance(settings.offsets, tuple):
        offsets = tuple(each.number for each in settings.offsets)
    else:
        offsets = None if settings.offsets == CHOOSE else settings.offsets
    return Given(
        force=number(settings.force),
        speed=number(settings.speed),
        feed=number(settings.feed),
        step_over=number(settings.step_over),
        rounds=settings.rounds if isinstance(settings.rounds, int) else None,
        offsets=offsets,
        taper=number(settings.taper),
    )


def ranges_of(effective: Effective) -> Ranges:
    """Ranges within which the rest may be chosen: limits of the job, never above a plate, a belt's marking or the servo's rotation."""

    def bounds(name: str) -> tuple[float, float]:
        return number_of(effective, f"limits.{name}_min"), number_of(effective, f"limits.{name}_max")

    slow, fast = bounds("speed")
    # A servo's highest rotation is a limit of the belt speed too; an air motor's is found under load.
    turning = math.pi * number_of(effective, "wheel.diameter", math.nan) * number_of(effective, "drive.rpm_max", math.inf)
    plates = (number_of(effective, "wheel.plate_speed", math.inf), number_of(effective, "belt.rated_speed", math.inf))
    fast = min(fast, *plates, math.inf if math.isnan(turning) else turning)
    return Ranges(bounds("force"), (min(slow, fast), fast), bounds("feed"), int(number_of(effective, "limits.rounds_max", 8.0)))


def bounds_of(effective: Effective, job: Job, step: Step) -> Bounds:
    """Limits that a plan must keep."""
    budget = number_of(effective, "limits.removal_max", math.inf)
    thinnest = number_of(effective, "limits.thickness_min")
    if not math.isnan(thinnest):
        budget = min(budget, number_of(effective, "part.sheet") - thinnest)
    free, stall = number_of(effective, "drive.free_rpm"), number_of(effective, "drive.stall_torque")
    drive = step.drive
    if drive.kind == "air" and drive.loaded_rpm is not None and drive.loaded_torque is not None:
        stall = float(
            stall_torque_from_reading(free_rotation=free, loaded_rotation=drive.loaded_rpm.number, loaded_torque=drive.loaded_torque.number)
        )
    eye = effective["viewing.eye"]
    return Bounds(
        removal=budget,
        roughness=number_of(effective, "limits.ra_max", math.inf),
        sixteen_percent=job.limits.ra_rule != "max",
        power=number_of(effective, "drive.power", math.inf) if drive.kind == "servo" else math.inf,
        torque=number_of(effective, "drive.torque", math.inf) if drive.kind == "servo" else math.inf,
        rotation=number_of(effective, "drive.rpm_max", math.inf) if drive.kind == "servo" else math.inf,
        free_rotation=free if drive.kind == "air" else math.nan,
        stall_torque=stall if drive.kind == "air" else math.nan,
        target=number_of(effective, "job.target", 1.0),
        probability=number_of(effective, "job.probability", 0.9),
        eye_counts=eye.known in ("measured", "fitted"),
    )


def plate_entered(step: Step) -> bool:
    """Whether somebody has read the wheel's plate."""
    wheel = step.wheel
    return any(value is not None and value != NOT_ENTERED for value in (wheel.plate_speed, wheel.plate_rpm))


def case_of(
    folder: Path,
    *,
    changes: Mapping[str, str] | None = None,
    face_id: str | None = None,
    step_id: str | None = None,
    force: float | None = None,
    beside: Sequence[Entry] = (),
) -> Case:
    """
    Read a job folder and make it ready.

    Parameters
    ----------
    folder : Path
        The job folder, or its file.
    changes : mapping of str to str, optional
        Keys to try without editing the file.
    face_id, step_id : str, optional
        Else the first of each.
    force : float, optional
        Force at which evidence of the wheel is wanted, else that of the job. [N]
    beside : sequence of Entry
        Evidence to try as if it were in the log.

    Returns
    -------
    Case

    Raises
    ------
    InputProblems
        With everything that is wrong in the file, the changes or the evidence.
    """
    file = job_path(folder)
    job = changed_job(folder, dict(changes)) if changes else read_job(folder)
    face, step = pick(job, face_id, step_id, file.name)
    file_only = effective(job, face.id, step.id)
    log = read_log(file.parent)
    if beside:
        log = log.model_copy(update={"live": (*log.live, *beside)})
    remarks = [_replaced_remark(each.key, each.written, each.holds_for) for each in file_only.replaced]
    setup = setup_of(file_only, job, face, step)
    current, used, width, fits = file_only, 0, None, ()
    if log.live:
        # Evidence needs the fitting room, which a job without evidence need not load.
        from evenlay.answers.overlay import overlay

        central = central_unknowns(unknown_values(file_only, job, step))
        found = overlay(
            log, step_id=step.id, now=fingerprint(job, step.id, file_only), file_only=file_only, setup=setup, unknowns=central, force=force
        )
        current, used, width, fits = file_only.overlaid(found.values), found.used, found.width, found.fits
        remarks += found.remarks
        if width is not None:
            setup = replace(setup, contact_width=width.number)
    return Case(
        folder=file.parent,
        job=job,
        face=face,
        step=step,
        effective=current,
        file_only=file_only,
        setup=setup,
        values=unknown_values(current, job, step),
        given=given_of(step),
        ranges=ranges_of(current),
        bounds=bounds_of(current, job, step),
        remarks=tuple(remarks),
        width=width,
        fits=fits,
        evidence_count=used,
        inputs_sha256=inputs_hash(file, changes),
    )


def _replaced_remark(key: str, written: str, holds_for: str) -> Remark:
    return Remark(
        "value-of-another-set-up",
        "note",
        f"{key} = {written} belongs to {holds_for}, which this job no longer has: the shipped value for what it has now is taken.",
        "a value written for one grit, alloy or wheel does not hold for another",
        key,
    )


def inputs_hash(file: Path, changes: Mapping[str, str] | None) -> str:
    """Hash of everything an answer rests on: the job file, the evidence log, the changes tried."""
    digest = hashlib.sha256(file.read_bytes())
    for entry in entry_files(file.parent):
        digest.update(entry.name.encode() + entry.read_bytes())
    for key in sorted(changes or {}):
        digest.update(f"{key}={(changes or {})[key]}".encode())
    return digest.hexdigest()
