"""What holds for a job: the file's value where there is one, the shipped value where there is none."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final

from evenlay.data import load
from evenlay.job.amounts import SHIPPED, STATED, Amount, Quantity
from evenlay.job.records import Face, Job, Record, Step, key_register
from evenlay.job.shipped import by_factor, cover_modulus, grain_values, inverse, moved_by_grains, shipped_value
from evenlay.quantities.grit import Grit, parse_grit
from evenlay.quantities.known import Value

EXTRA_KINDS: Final[Mapping[str, str]] = {
    "alloy.density": "density",
    "alloy.conductivity": "conductivity",
    "alloy.heat_capacity": "heat_capacity",
    "alloy.modulus": "pressure",
    "alloy.poisson": "ratio",
    "alloy.hardness": "hardness",
    "belt.median_grain": "length",
    "part.incoming_length": "length",
    "face.length_along": "length",
    "face.length_across": "length",
    "face.curvature_along": "curvature",
    "face.curvature_across": "curvature",
    "wheel.crown_curvature": "curvature",
    "limits.rounds_max": "count",
}
"""Kinds of the keys that have no field of their own in the job file."""

STEP_PARTS: Final = ("wheel", "belt", "drive", "settings", "model")


@dataclass(frozen=True)
class Replaced:
    """
    A value of the file that belongs to another grit, alloy or wheel, and so gave way to the shipped one.

    Parameters
    ----------
    key : str
        Dotted key.
    written : str
        Text in the file.
    holds_for : str
        What the file says it holds for.
    """

    key: str
    written: str
    holds_for: str


@dataclass(frozen=True)
class Effective(Mapping[str, Value]):
    """
    Every number that holds for one face and step, by dotted key.

    Parameters
    ----------
    numbers : mapping of str to Value
        For example ``wheel.diameter``, ``model.friction``, ``alloy.density``. [SI]
    assumed : tuple of str
        Keys that rest on the shipped tables: the file has none of its own, or still the one it was started with.
    replaced : tuple of Replaced
        Values of the file that gave way.
    """

    numbers: Mapping[str, Value]
    assumed: tuple[str, ...]
    replaced: tuple[Replaced, ...]

    def __getitem__(self, key: str) -> Value:  # noqa: D105
        return self.numbers[key]

    def __iter__(self) -> Iterator[str]:  # noqa: D105
        return iter(self.numbers)

    def __len__(self) -> int:  # noqa: D105
        return len(self.numbers)

    def overlaid(self, evidence: Mapping[str, Value]) -> Effective:
        """The same with some values replaced by what evidence says."""
        values = MappingProxyType({**self.numbers, **evidence})
        return replace(self, numbers=values, assumed=tuple(key for key in self.assumed if key not in evidence))


def kind_of(key: str) -> str:
    """
    Kind of quantity of a key of `Effective`.

    Examples
    --------
    >>> kind_of("wheel.diameter"), kind_of("alloy.density")
    ('length', 'density')
    """
    return _kinds()[key]


@lru_cache(maxsize=1)
def _kinds() -> Mapping[str, str]:
    found = dict(EXTRA_KINDS)
    for key, of in key_register().items():
        if isinstance(of, Amount):
            found[key.removeprefix("step.")] = of.kind
    return found


class _Collector:
    """Fills the values one section at a time: the file first, then what is shipped."""

    def __init__(self, conditions: frozenset[str]) -> None:
        self.conditions = conditions
        self.values: dict[str, Value] = {}
        self.assumed: list[str] = []
        self.replaced: list[Replaced] = []

    def from_record(self, section: str, record: Record) -> None:
        for name in type(record).model_fields:
            given = getattr(record, name)
            if not isinstance(given, Quantity):
                continue
            if given.holds_for and given.holds_for not in self.conditions:
                self.replaced.append(Replaced(f"{section}.{name}", given.text, given.holds_for))
                continue
            self.values[f"{section}.{name}"] = given.value
            if given.shipped:
                self.assumed.append(f"{section}.{name}")

    def default(self, key: str, value: Value) -> None:
        if key not in self.values:
            self.values[key] = value
            self.assumed.append(key)

    def table(self, section: str, entries: Mapping[str, Any]) -> None:
        for name, entry in entries.items():
            key = f"{section}.{name}"
            if isinstance(entry, Mapping) and "value" in entry and key not in self.values:
                self.default(key, shipped_value(entry, kind_of(key)))


def effective(job: Job, face_id: str, step_id: str) -> Effective:
    """
    Every number that holds for one face and one step of a job.

    Parameters
    ----------
    job : Job
        The job.
    face_id, step_id : str
        Ids of the job.

    Returns
    -------
    Effective
        By dotted key, in SI. What has no shipped value and is not in the file is absent (a plate speed that was not
        entered, a removal limit that was not set).

    Raises
    ------
    StopIteration
        If there is no such face or step.

    Notes
    -----
    Order of precedence: the file, unless it says it holds for another grit, alloy or wheel kind; then the shipped
    tables, the special before the general. A setting left to choose stands at the value that choosing starts from,
    without a band: its range is in ``limits``. Evidence is laid over this by the caller (`Effective.overlaid`).
    """
    face, step = job.one_face(face_id), job.one_step(step_id)
    grit = step.belt.grit or parse_grit(load("belts")["default"]["grit"])
    conditions = frozenset({job.part.alloy, str(grit), step.wheel.kind, job.part.incoming, step.drive.kind})
    found = _Collector(conditions)
    for section in ("job", "part", "viewing", "path", "device", "limits"):
        found.from_record(section, getattr(job, section))
    for section in STEP_PARTS:
        found.from_record(section, getattr(step, section))
    _face(found, face)
    _part(found, job)
    _belt(found, step, grit)
    _wheel(found, step)
    dayzero = load("dayzero")
    drive = ("power", "rpm_max") if step.drive.kind == "servo" else ("free_rpm", "stall_torque")
    found.table("drive", {name: dayzero["drive"][name] for name in drive})
    for section in ("job", "viewing", "belt", "model", "path", "device"):
        found.table(section, dayzero[section])
    found.default("model.groove_coefficient", moved_by_grains(found.values["alloy.hardness"], found.values["model.attack_angle"]))
    for name, entry in dayzero["settings"].items():
        start = shipped_value(entry, kind_of(f"settings.{name}"))
        found.default(f"settings.{name}", Value.exact(start.number, start.known, start.source))
    _limits(found, job)
    return Effective(MappingProxyType(found.values), tuple(found.assumed), tuple(found.replaced))


def _face(found: _Collector, face: Face) -> None:
    found.values["face.length_along"] = face.length_along.value
    found.values["face.length_across"] = face.length_across.value
    for direction in ("along", "across"):
        curvature = Value.exact(0.0, "asked", STATED)
        if face.radius is not None and face.curvature.endswith(f" {direction}"):
            curvature = inverse(face.radius.value, -1.0 if face.curvature.startswith("hollow") else 1.0)
        found.values[f"face.curvature_{direction}"] = curvature


def _part(found: _Collector, job: Job) -> None:
    alloy = load("alloys")[job.part.alloy]
    for name in ("density", "conductivity", "heat_capacity", "modulus", "poisson", "hardness"):
        found.default(f"alloy.{name}", shipped_value(alloy[name], kind_of(f"alloy.{name}")))
    found.table("model", {"removal_coefficient": alloy["removal_coefficient"]})
    part = load("dayzero")["part"]
    own = {"incoming_slope": part["incoming_slope"][job.part.incoming], "incoming_length": part["incoming_length"]}
    found.table("part", {"sheet": part["sheet"], **own})


def _belt(found: _Collector, step: Step, grit: Grit) -> None:
    default = load("belts")["default"]
    for one, other in (("belt.width", "wheel.width"), ("wheel.width", "belt.width")):
        if one not in found.values and other in found.values:
            found.default(one, replace(found.values[other], known="guess", source=f"taken as wide as the {other.split('.')[0]}"))
    if step.wheel.kind == "expander" and "belt.length" not in found.values:
        diameter = found.values.get("wheel.diameter") or shipped_value(load("wheels")["expander"]["diameter"], "length")
        found.default("belt.length", Value.exact(math.pi * diameter.number, "guess", "a sleeve goes once round its expander"))
    found.table("belt", {name: default[name] for name in ("length", "width")})
    for key, value in grain_values(grit).items():
        found.default(key, value)


def _wheel(found: _Collector, step: Step) -> None:
    wheels = load("wheels")
    crown = step.wheel.crown
    if isinstance(crown, Quantity):
        found.values["wheel.crown_curvature"] = inverse(crown.value)
    elif crown == "flat":
        found.values["wheel.crown_curvature"] = Value.exact(0.0, "asked", STATED)
    found.table("wheel", wheels[step.wheel.kind])
    found.table("wheel", wheels["all"])
    diameter = found.values["wheel.diameter"]
    if "wheel.hardness" in found.values and "wheel.modulus" not in found.values:
        found.default("wheel.modulus", cover_modulus(found.values["wheel.hardness"]))
    if step.wheel.kind == "expander" and "wheel.rubber_radius" not in found.values:
        middle = 0.5 * (diameter.number - found.values["wheel.rubber_thickness"].number)
        found.default("wheel.rubber_radius", by_factor(middle, 1.1, 1.1, "guess", "middle of the rubber that is free to move"))
    if "wheel.plate_rpm" in found.values:
        rim = math.pi * diameter.number * found.values["wheel.plate_rpm"].number
        plate = Value.exact(rim, found.values["wheel.plate_rpm"].known, "rpm on the plate times the circumference")
        known = found.values.get("wheel.plate_speed")
        found.values["wheel.plate_speed"] = plate if known is None or plate.number < known.number else known


def _limits(found: _Collector, job: Job) -> None:
    settings = load("dayzero")["settings"]
    for name in ("force", "feed", "speed"):
        start = shipped_value(settings[name], kind_of(f"settings.{name}"))
        for end, number in (("min", start.low), ("max", start.high)):
            other = found.values.get(f"limits.{name}_{'max' if end == 'min' else 'min'}")
            if other is not None:
                number = min(number, other.number) if end == "min" else max(number, other.number)
            found.default(f"limits.{name}_{end}", Value.exact(number, start.known, start.source))
    if job.limits.rounds_max is not None:
        found.values["limits.rounds_max"] = Value.exact(float(job.limits.rounds_max), "asked", STATED)
    else:
        found.default("limits.rounds_max", Value.exact(8.0, "guess", SHIPPED + "more rounds than eight are hardly ever run"))
