"""Rules between fields of a job: two values that contradict each other."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from evenlay.job.amounts import Quantity, nearest_word
from evenlay.job.records import Face, Job, Limits, Step
from evenlay.quantities.units import format_quantity

SIDE_MATCH: Final = 2e-3
"""A grain side names a side of the face if it lies within this share of it (rounding between mm and inch)."""

PLATE_MATCH: Final = 0.1
"""A plate's rim speed and rpm agree if they do so within this share (plates round)."""


@dataclass(frozen=True)
class Contradiction:
    """Keys of the place, what was found, what is allowed, the nearest word."""

    key: tuple[str | int, ...]
    found: str
    allowed: str
    nearest: str = ""


def contradictions(job: Job) -> tuple[Contradiction, ...]:
    """
    Every contradiction of a job, in the order of the file.

    Parameters
    ----------
    job : Job
        Any job whose fields are valid one by one.

    Returns
    -------
    tuple of Contradiction
        Empty if there is none.
    """
    found = [problem for index, face in enumerate(job.face) for problem in face_rules(face, ("face", index))]
    found += [problem for index, step in enumerate(job.step) for rule in STEP_RULES for problem in rule(step, ("step", index))]
    found += list(limit_rules(job.limits))
    found += list(settings_within_limits(job))
    found += list(part_rules(job))
    found += list(id_rules(job))
    return tuple(found)


def _given(value: object) -> Quantity | None:
    return value if isinstance(value, Quantity) else None


def _own(value: Quantity | None) -> Quantity | None:
    """A limit that the user set; a shipped range binds nobody."""
    return None if value is None or value.shipped else value


def face_rules(face: Face, key: tuple[str | int, ...]) -> Iterator[Contradiction]:
    """Grain against size, radius against curvature."""
    sides = (face.size.first, face.size.second)
    if all(abs(face.grain.side - side) > SIDE_MATCH * side for side in sides):
        yield Contradiction(
            (*key, "grain"),
            f'the grain runs "{face.grain.text}" but the face is "{face.size.text}"',
            "the grain must name one of its two sides",
        )
    if face.curvature == "flat":
        if face.radius is not None:
            yield Contradiction(
                (*key, "radius"), f'a radius of "{face.radius.text}" on a flat face', "leave the radius out, or say how the face curves"
            )
        return
    if face.radius is None:
        yield Contradiction(
            (*key, "radius"), f'no radius on a face that is "{face.curvature}"', 'give its radius, for example radius = "150 mm"'
        )
        return
    bent = face.length_along if face.curvature.endswith("along") else face.length_across
    if bent.number > 2.0 * math.pi * face.radius.number:
        yield Contradiction(
            (*key, "radius"),
            f'"{face.radius.text}" gives a full turn of {format_quantity(2 * math.pi * face.radius.number, "length")}',
            f"the face is {bent.text} long that way, so the radius must be larger",
        )


def wheel_rules(step: Step, key: tuple[str | int, ...]) -> Iterator[Contradiction]:
    """Plate against plate, crown and cover against the wheel's size."""
    wheel = step.wheel
    diameter, width, crown = _given(wheel.diameter), _given(wheel.width), _given(wheel.crown)
    speed, turns = _given(wheel.plate_speed), _given(wheel.plate_rpm)
    if diameter and speed and turns:
        rim = math.pi * diameter.number * turns.number
        if abs(rim - speed.number) > PLATE_MATCH * max(rim, speed.number):
            yield Contradiction(
                (*key, "wheel", "plate_rpm"),
                f'"{turns.text}" on "{diameter.text}" is a rim speed of {format_quantity(rim, "speed")}, the plate speed is "{speed.text}"',
                "read the plate again and leave one of them out",
            )
    if width and crown and crown.number < width.number / 2.0:
        yield Contradiction(
            (*key, "wheel", "crown"),
            f'a crown radius of "{crown.text}" on a wheel "{width.text}" wide',
            "a crown radius is at least half the width",
        )
    if wheel.cover and diameter and wheel.cover.number >= diameter.number / 2.0:
        yield Contradiction(
            (*key, "wheel", "cover"),
            f'a cover of "{wheel.cover.text}" on a wheel of "{diameter.text}"',
            "a cover is thinner than the wheel's radius",
        )


def belt_rules(step: Step, key: tuple[str | int, ...]) -> Iterator[Contradiction]:
    """Belt against wheel."""
    belt, wheel = step.belt, step.wheel
    if belt.width and wheel.width and belt.width.number > 2.0 * wheel.width.number:
        yield Contradiction(
            (*key, "belt", "width"),
            f'a belt "{belt.width.text}" wide on a wheel "{wheel.width.text}" wide',
            "a belt is at most twice as wide as its wheel",
        )
    if belt.length and wheel.diameter and belt.length.number < 0.98 * math.pi * wheel.diameter.number:
        around = format_quantity(math.pi * wheel.diameter.number, "length")
        yield Contradiction(
            (*key, "belt", "length"), f'a belt "{belt.length.text}" long on a wheel {around} around', "a belt must go round its wheel"
        )


def drive_rules(step: Step, key: tuple[str | int, ...]) -> Iterator[Contradiction]:
    """Air motor readings against each other, and against a servo."""
    drive = step.drive
    key = (*key, "drive")
    if drive.kind == "servo":
        for name in ("free_rpm", "stall_torque", "loaded_rpm", "loaded_torque"):
            if (value := getattr(drive, name)) is not None:
                yield Contradiction(
                    (*key, name), f'"{value.text}" on a servo', 'this belongs to an air motor; leave it out or write kind = "air"'
                )
        return
    for one, other in (("loaded_rpm", "loaded_torque"), ("loaded_torque", "loaded_rpm")):
        if getattr(drive, one) is not None and getattr(drive, other) is None:
            yield Contradiction((*key, other), f"{one} without {other}", "a reading under load needs both")
    for small, large in (("loaded_rpm", "free_rpm"), ("loaded_torque", "stall_torque")):
        low, high = getattr(drive, small), getattr(drive, large)
        if low is not None and high is not None and low.number >= high.number:
            yield Contradiction(
                (*key, small), f'{small} "{low.text}" is not below {large} "{high.text}"', "a loaded motor turns slower than a free one"
            )


def settings_rules(step: Step, key: tuple[str | int, ...]) -> Iterator[Contradiction]:
    """Offsets against rounds."""
    settings = step.settings
    if isinstance(settings.offsets, tuple) and isinstance(settings.rounds, int) and len(settings.offsets) != settings.rounds:
        yield Contradiction(
            (*key, "settings", "offsets"),
            f"{len(settings.offsets)} offsets for {settings.rounds} rounds",
            "give one offset per round, or a word",
        )


STEP_RULES: Final[tuple[Callable[[Step, tuple[str | int, ...]], Iterator[Contradiction]], ...]] = (
    wheel_rules,
    belt_rules,
    drive_rules,
    settings_rules,
)
"""Rules that look at one step."""


RANGES: Final = ("feed", "speed", "force")
"""Settings that have a lower and an upper limit."""


def _crossed(limits: Limits, name: str) -> bool:
    low, high = getattr(limits, f"{name}_min"), getattr(limits, f"{name}_max")
    return low is not None and high is not None and low.number > high.number


def limit_rules(limits: Limits) -> Iterator[Contradiction]:
    """Lower limits against upper ones."""
    for name in RANGES:
        if _crossed(limits, name):
            low, high = getattr(limits, f"{name}_min"), getattr(limits, f"{name}_max")
            yield Contradiction(
                ("limits", f"{name}_min"),
                f'{name}_min "{low.text}" is above {name}_max "{high.text}"',
                "the lower limit must not be above the upper",
            )


def settings_within_limits(job: Job) -> Iterator[Contradiction]:
    """Settings against the limits of the same file."""
    for index, step in enumerate(job.step):
        for name in (each for each in RANGES if not _crossed(job.limits, each)):
            value = _given(getattr(step.settings, name))
            for end, word, sign in (("min", "below", -1.0), ("max", "above", 1.0)):
                limit = _own(getattr(job.limits, f"{name}_{end}"))
                if value and limit and sign * value.number > sign * limit.number:
                    yield Contradiction(
                        ("step", index, "settings", name),
                        f'"{value.text}" is {word} limits.{name}_{end} "{limit.text}"',
                        f'change one of them, or write {name} = "choose"',
                    )
        most = job.limits.rounds_max
        if most is not None and isinstance(step.settings.rounds, int) and step.settings.rounds > most:
            yield Contradiction(
                ("step", index, "settings", "rounds"),
                f"{step.settings.rounds} is above limits.rounds_max {most}",
                'change one of them, or write rounds = "choose"',
            )


def part_rules(job: Job) -> Iterator[Contradiction]:
    """Thickness against the sheet."""
    sheet = job.part.sheet
    if sheet is None:
        return
    for name, word in (("thickness_min", "thicker than"), ("removal_max", "more than")):
        limit = getattr(job.limits, name)
        if limit is not None and limit.number > sheet.number:
            yield Contradiction(
                ("limits", name), f'"{limit.text}" is {word} the sheet of "{sheet.text}"', "it cannot be more than the sheet"
            )


def id_rules(job: Job) -> Iterator[Contradiction]:
    """Ids stand once; faces name steps that exist."""
    ids = [step.id for step in job.step]
    for section, names in (("face", [face.id for face in job.face]), ("step", ids)):
        for index, name in enumerate(names):
            if name in names[:index]:
                yield Contradiction((section, index, "id"), f'the id "{name}" stands twice', "give every one its own id")
    for index, face in enumerate(job.face):
        for name in face.steps or ():
            if name not in ids:
                yield Contradiction(
                    ("face", index, "steps"),
                    f'there is no step "{name}"',
                    "steps are " + ", ".join(f'"{known}"' for known in ids),
                    nearest_word(name, ids),
                )
