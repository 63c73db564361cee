"""What geometry and clocks alone can say of a face and a step."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import KEY_OF_UNKNOWN, Case, case_of, number_of
from evenlay.answers.hazards import safety_of, sleeve_limits
from evenlay.answers.mark_records import mark_record, pitch_records
from evenlay.answers.numbers import exact_number, known_of, number_of_draws, number_of_value, remark_records, rests_on
from evenlay.answers.plan_remarks import gaps, pitch_coincidences
from evenlay.answers.source_ranges import left_ranges
from evenlay.answers.stamp import stamp
from evenlay.data import load
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.situation import CONTACT_UNKNOWNS, TRADE_NAMES, Settings, draw_unknowns, state_of, wheel_of
from evenlay.job.answer_parts import BandRecord, Number
from evenlay.job.check_record import CheckRecord, EffectiveRow, SpeedRow
from evenlay.job.effective import kind_of
from evenlay.physics.contact.reach import hollow_limit
from evenlay.physics.contact.wheels import NoContact
from evenlay.physics.marks import clear_bands
from evenlay.physics.speeds import rotation_at
from evenlay.physics.viewing import visible_band
from evenlay.quantities.draws import COARSE
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import parse_quantity

Array = NDArray[np.float64]

ROOM = 293.15
"""Temperature taken where nothing has been worked out. [K]"""


def check_job(folder: Path, *, face_id: str | None = None, step_id: str | None = None) -> CheckRecord:
    """
    Check a job by geometry and clocks: quick, no search, no pictures.

    Parameters
    ----------
    folder : Path
    face_id, step_id : str, optional
        Else the first ones.

    Returns
    -------
    CheckRecord
        Where a setting is still to be chosen, its starting value is looked at.

    Raises
    ------
    InputProblems
        If the job cannot be read.
    """
    case = case_of(folder, face_id=face_id, step_id=step_id)
    settings = starting_settings(case)
    draws = draw_unknowns(case.values, count=COARSE, seed=case.job.job.seed)
    try:
        state = state_of(case.setup, draws.unknowns, settings)
    except NoContact as reason:
        patch, patch_number, reach, reachable = np.full(COARSE + 1, np.nan), None, str(reason), False
        contact_remarks: tuple[Remark, ...] = ()
    else:
        patch = state.contacts[0].patch_length
        patch_number = number_of_draws(patch, "length", known_of(case.values, CONTACT_UNKNOWNS[case.setup.wheel_kind]), draws.weights)
        found = hollow_limit(
            wheel_of(case.setup, draws.unknowns),
            force=settings.force,
            speed=settings.speed,
            curvature_along=case.setup.curvature_along,
            curvature_across=case.setup.curvature_across,
        )
        reachable = bool(np.all(found.reachable[:1]))
        reach = found.reason or "the belt touches the face over its whole width"
        contact_remarks = state.contacts[0].remarks
    band = visible_band(case.setup.distance)
    speeds = speed_rows(case, settings)
    remarks = (
        *safety_of(case, speed=settings.speed, force=settings.force, hottest=ROOM),
        *case.remarks,
        *left_ranges(case),
        *gaps(case),
        *contact_remarks,
        *_outside(speeds, settings),
        *pitch_coincidences(case.setup, settings, patch),
        *_not_reached(reachable, reach),
    )
    clear = clear_of(case, settings, (band.shortest, band.longest))
    return CheckRecord(
        stamp=stamp(case, engine="geometry and clocks"),
        job=case.job.job.name,
        face=case.face.id,
        step=case.step.id,
        rests_on=rests_on(case.values),
        distance=number_of_value(case.effective["viewing.distance"], "length"),
        force=_setting(case, "force"),
        speed=_setting(case, "speed"),
        feed=_setting(case, "feed"),
        rotation=exact_number(float(rotation_at(diameter=case.setup.wheel_diameter, speed=settings.speed)), "rotation", "asked"),
        speeds=speeds,
        patch_length=patch_number,
        repeat_length=exact_number(settings.feed * case.setup.belt_length / settings.speed, "length", "asked"),
        eye_band=BandRecord(low=band.shortest, high=band.longest, kind="length"),
        most_visible=band.most_visible,
        marks=tuple(
            mark_record(cause, pitches=pitch_records(cause, case.setup, settings, patch), band=band)
            for cause in REGISTER
            if cause.applies(case.setup)
        ),
        clear_feeds=tuple(BandRecord(low=low, high=high, kind="speed") for low, high in clear[0]),
        clear_speeds=tuple(BandRecord(low=low, high=high, kind="speed") for low, high in clear[1]),
        reach=reach,
        reachable=reachable,
        effective=effective_rows(case),
        remarks=remark_records(remarks),
    )


def starting_settings(case: Case) -> Settings:
    """Settings of the job, with the starting value where one is still to be chosen."""
    given, effective, width = case.given, case.effective, case.setup.contact_width
    offsets = given.offsets if isinstance(given.offsets, tuple) else (0.0,) * (given.rounds or 1)
    return Settings(
        force=given.force or number_of(effective, "settings.force"),
        speed=given.speed or number_of(effective, "settings.speed"),
        feed=given.feed or number_of(effective, "settings.feed"),
        step_over=given.step_over or 0.5 * width,
        offsets=offsets,
        taper=given.taper or 1.0,
    )


def _setting(case: Case, name: str) -> Number:
    return number_of_value(case.effective[f"settings.{name}"], kind_of(f"settings.{name}"))


def speed_rows(case: Case, settings: Settings) -> tuple[SpeedRow, ...]:
    """Belt speed against plate, belt, sleeve and every published range for this metal and grit, each with its source."""
    effective, rows = case.effective, []

    def row(name: str, low: float, high: float, source: str) -> None:
        known = [None if math.isnan(edge) or math.isinf(edge) or edge == 0.0 else edge for edge in (low, high)]
        inside = (
            None if known == [None, None] else (low <= settings.speed or math.isnan(low)) and (settings.speed <= high or math.isnan(high))
        )
        rows.append(SpeedRow(name=name, low=known[0], high=known[1], source=source, inside=inside))

    row("wheel's plate", math.nan, number_of(effective, "wheel.plate_speed"), "the plate, as entered")
    row("belt's marking", math.nan, number_of(effective, "belt.rated_speed"), "the belt, as entered")
    if case.step.wheel.kind == "expander":
        trusted, formula = sleeve_limits(case, settings.force)
        row("sleeve held, grip alone", formula, math.nan, "derived: grip of an expanding sleeve; unsafe alone")
        row("sleeve held, without a slip test", trusted, math.nan, "common practice 8 to 12 m/s, no source")
    metal = str(load("alloys")[case.job.part.alloy]["metal"])
    grit = case.step.belt.grit
    for entry in load("belts")["speed"]:
        if entry["metal"] != metal:
            continue
        grits = entry.get("grit")
        if grits and grit is not None and not grits[0] <= grit.number <= grits[1]:
            continue
        row(
            f"{metal}, {entry['work']}", parse_quantity(entry["low"], "speed"), parse_quantity(entry["high"], "speed"), str(entry["source"])
        )
    return tuple(rows)


def clear_of(case: Case, settings: Settings, visible: tuple[float, float]) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Bands of feed, and of belt speed, in which no mark along the grain falls where the eye sees best."""
    setup = case.setup
    lengths = [setup.belt_length] if setup.belt_joined else []
    if setup.wheel_kind not in {"slack", "platen"}:
        lengths.append(math.pi * setup.wheel_diameter)
    frequencies = [rate for rate in (setup.chatter_frequency, setup.device_bandwidth) if not math.isnan(rate)]
    ranges = case.ranges
    found = clear_bands(
        lengths=lengths,
        frequencies=frequencies,
        visible=visible,
        feed=settings.feed,
        speed=settings.speed,
        feed_range=ranges.feed,
        speed_range=ranges.speed,
    )
    return found.feeds, found.speeds


def effective_rows(case: Case) -> tuple[EffectiveRow, ...]:
    """Every uncertain quantity as it is taken; where evidence speaks, what it replaced stands beside it."""
    rows = []
    for name, key in KEY_OF_UNKNOWN.items():
        value = case.values[name]
        if key not in case.effective or value.high <= value.low:
            continue
        before = case.file_only.get(key)
        changed = before is not None and before != case.effective[key]
        rows.append(
            EffectiveRow(
                key=key,
                label=TRADE_NAMES[name],
                number=number_of_value(value, kind_of(key)),
                replaced=number_of_value(before, kind_of(key)) if changed and before is not None else None,
            )
        )
    return tuple(rows)


def _outside(rows: tuple[SpeedRow, ...], settings: Settings) -> tuple[Remark, ...]:
    published = [row for row in rows if not row.name.startswith(("wheel", "belt", "sleeve")) and row.inside is not None]
    left = [row for row in published if row.inside is False]
    if not left:
        return ()
    words = "; ".join(f"{row.name} {row.low or 0.0:.1f} to {row.high:.1f} m/s ({row.source})" for row in left if row.high is not None)
    ranges = "range" if len(left) == len(published) else "ranges"
    some = "every" if len(left) == len(published) else f"{len(left)} of {len(published)}"
    return (
        Remark(
            "speed-outside-range",
            "note",
            f"{settings.speed:.1f} m/s lies outside {some} published {ranges} for this metal and grit: {words}. They disagree with each "
            "other; yours may be right.",
            "the sources named",
            "settings.speed",
        ),
    )


def _not_reached(reachable: bool, reach: str) -> tuple[Remark, ...]:
    if reachable:
        return ()
    return (
        Remark("not-reached", "caution", f"{reach[:1].upper()}{reach[1:]}.", "derived: wheel and crown against the hollow", "face.radius"),
    )
