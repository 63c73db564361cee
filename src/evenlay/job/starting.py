"""A new job file: complete and commented, every value not given standing with its band."""

from __future__ import annotations

import datetime
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from evenlay.data import load
from evenlay.job.amounts import written
from evenlay.job.effective import Effective, effective, kind_of
from evenlay.job.reading import parse_job
from evenlay.job.records import SCHEMA, Job, key_register

WHEEL_KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "pneumatic": ("inflation", "casing_stiffness", "modulus", "poisson", "cover", "edge_ramp"),
    "solid": ("hardness", "poisson", "cover", "edge_ramp"),
    "expander": (
        "hardness",
        "poisson",
        "cover",
        "edge_ramp",
        "sleeve_minimum",
        "closing_pressure",
        "grip_friction",
        "rubber_density",
        "rubber_thickness",
        "rubber_radius",
    ),
    "slack": ("modulus", "poisson", "edge_ramp"),
    "platen": ("modulus", "poisson", "cover", "edge_ramp"),
    "nonwoven": ("modulus", "poisson", "cover", "edge_ramp"),
}
"""What a wheel kind has beside diameter, width, crown, plate and run-out."""


@dataclass(frozen=True)
class NewJob:
    """
    What is known when a job starts; every text as in the job file.

    Parameters
    ----------
    name : str
        Short name.
    size : str
        ``"420 mm x 300 mm"``.
    grain : str
        ``"along 420 mm"``.
    alloy : str
        One of the alloys of the tables.
    sheet : str
        Thickness; empty if not known.
    asked : str
        The customer's words.
    created : date or None
        Day; left out if None.
    curvature, radius : str
        Shape of the face; a radius if it is not flat.
    wheel : str
        What backs the belt.
    settings : mapping of str to str
        Settings that are not left to choose, by name.
    """

    name: str
    size: str
    grain: str
    alloy: str = "304"
    sheet: str = ""
    asked: str = ""
    created: datetime.date | None = None
    curvature: str = "flat"
    radius: str = ""
    wheel: str = "pneumatic"
    settings: Mapping[str, str] = field(default_factory=dict)


def job_text(new: NewJob) -> str:
    """
    Text of a new job file.

    Parameters
    ----------
    new : NewJob
        What is known.

    Returns
    -------
    str
        TOML, at the present schema.

    Raises
    ------
    InputProblems
        If what is known is wrong.
    """
    job = parse_job(_known_tables(new), lambda key: "the new job")
    lines = _Lines(effective(job, job.face[0].id, job.step[0].id), job, new)
    for part in (_head, _face, _viewing, _step, _surroundings):
        part(lines)
    return "\n".join(lines.text).rstrip("\n") + "\n"


def _known_tables(new: NewJob) -> dict[str, Any]:
    face = {"id": "face", "size": new.size, "grain": new.grain, "curvature": new.curvature}
    if new.radius:
        face["radius"] = new.radius
    part = {"alloy": new.alloy, **({"sheet": new.sheet} if new.sheet else {})}
    step = {"id": "finish", "wheel": {"kind": new.wheel}, "settings": dict(new.settings)}
    return {"schema": SCHEMA, "job": {"name": new.name, "asked": new.asked}, "part": part, "face": [face], "step": [step]}


class _Lines:
    """The growing text, with the ways to write one key."""

    def __init__(self, values: Effective, job: Job, new: NewJob) -> None:
        self.values, self.job, self.new = values, job, new
        self.text: list[str] = []
        self.meanings = {key.removeprefix("step."): of.meaning for key, of in key_register().items()}

    def add(self, *lines: str) -> None:
        self.text.extend(lines)

    def section(self, header: str, *remarks: str) -> None:
        self.add("", header, *(f"# {line}" for remark in remarks for line in textwrap.wrap(remark, 108)))

    def plain(self, key: str, value: str, *, off: bool = False, more: str = "") -> None:
        """One key with its value as TOML text and its meaning as a comment."""
        name = key.split(".")[-1]
        meaning = f"{self.meanings[key]}{'; ' + more if more else ''}"
        self.add(f"{'# ' if off else ''}{name} = {value}  # {meaning}")

    def shipped(self, key: str, holds_for: str = "") -> None:
        """One key with the value that holds, its band, how it is known and where from."""
        value = self.values[key]
        table = written(value, kind_of(key))
        if holds_for:
            table["for"] = holds_for
        inside = ", ".join(f"{name} = {quoted(text)}" for name, text in table.items())
        self.add(f"# {self.meanings[key]}", f"{key.split('.')[-1]} = {{ {inside} }}")


def quoted(text: str) -> str:
    """
    A TOML basic string, or a multi-line one where there are line ends.

    Examples
    --------
    >>> print(quoted('16" wide'))
    "16\\" wide"
    """
    escapes = {"\\": "\\\\", '"': '\\"', "\b": "\\b", "\t": "\\t", "\f": "\\f", "\r": "\\r"}
    many = "\n" in text
    body = "".join(escapes.get(c, c if c == "\n" or (ord(c) >= 32 and ord(c) != 127) else f"\\u{ord(c):04X}") for c in text)
    return f'"""\n{body}"""' if many else f'"{body}"'


def _head(lines: _Lines) -> None:
    new = lines.new
    lines.add(
        f"schema = {SCHEMA}",
        "",
        "# A job of evenlay. Every quantity is text with its unit; metric and inch both work. A value is a text, or a table",
        '# { value = "35 N", low = "31 N", high = "39 N", known = "measured", source = "spring scale, 3 readings" };',
        "# low and high are its 5 % and 95 % points. Known is guess, handbook, fitted, measured or asked.",
        "# Values below that begin with shipped table were not given: replace them by yours as you learn them. One that says",
        '# for = "P180" holds for that grit (alloy, wheel) only, and gives way to the shipped one when you change it.',
    )
    lines.section("[job]")
    lines.plain("job.name", quoted(new.name))
    lines.plain("job.asked", quoted(new.asked))
    if new.created is not None:
        lines.plain("job.created", new.created.isoformat())
    lines.shipped("job.target")
    lines.shipped("job.probability")
    lines.plain("job.seed", "1")
    lines.section("[part]")
    lines.plain("part.alloy", quoted(new.alloy))
    if new.sheet:
        lines.plain("part.sheet", quoted(new.sheet))
    else:
        lines.shipped("part.sheet")
    lines.plain("part.incoming", quoted(lines.job.part.incoming), more=", ".join(_incoming()))
    lines.shipped("part.incoming_slope", lines.job.part.incoming)


def _incoming() -> list[str]:
    return list(load("dayzero")["part"]["incoming_slope"])


def _face(lines: _Lines) -> None:
    new = lines.new
    lines.section("[[face]]", "One section like this for each face.")
    lines.plain("face.id", '"face"')
    lines.plain("face.size", quoted(new.size))
    lines.plain("face.grain", quoted(new.grain))
    lines.plain("face.curvature", quoted(new.curvature), more="flat, convex along, convex across, hollow along, hollow across")
    lines.plain("face.radius", quoted(new.radius or "150 mm"), off=not new.radius)
    lines.plain("face.free_edges", '["start", "end", "left", "right"]')
    lines.plain("face.steps", '["finish"]', off=True)


def _viewing(lines: _Lines) -> None:
    lines.section("[viewing]")
    for name in load("dayzero")["viewing"]:
        lines.shipped(f"viewing.{name}")
    lines.plain("viewing.lamp", '"worst"', more="worst takes the least favourable")
    lines.plain("viewing.judge", '""')


def _step(lines: _Lines) -> None:
    job, kind = lines.job, lines.new.wheel
    lines.section("[[step]]", "One section like this for each step, in the order done.")
    lines.plain("id", '"finish"')
    lines.section("[step.wheel]")
    lines.plain("wheel.kind", quoted(kind), more="solid, pneumatic, expander, slack, platen or nonwoven")
    lines.shipped("wheel.diameter")
    lines.shipped("wheel.width")
    lines.plain("wheel.crown", '"flat"', more="or a radius")
    for name in WHEEL_KEYS[kind]:
        lines.shipped(f"wheel.{name}", kind)
    lines.plain("wheel.plate_speed", '"not entered"', more="until it is entered nothing is handed out")
    lines.plain("wheel.plate_rpm", '"not entered"')
    if kind == "expander":
        lines.plain("wheel.slip_test", '"not done"')
    lines.shipped("wheel.runout")
    default = load("belts")["default"]
    lines.section("[step.belt]")
    lines.shipped("belt.length")
    lines.shipped("belt.width")
    for name in ("grit", "mineral", "joint"):
        lines.plain(f"belt.{name}", quoted(default[name]), more="P or US" if name == "grit" else "")
    for name in ("joint_step", "wander", "tension", "area_mass"):
        lines.shipped(f"belt.{name}")
    lines.plain("belt.rated_speed", '"not entered"')
    for name in ("roughness", "texture_memory", "grain_density", "grain_height_sd", "grain_tip_radius"):
        lines.shipped(f"belt.{name}", default["grit"])
    lines.section("[step.drive]")
    lines.plain("drive.kind", '"servo"', more="servo or air; an air motor has free_rpm, stall_torque and one loaded reading")
    lines.shipped("drive.power", "servo")
    lines.shipped("drive.rpm_max", "servo")
    lines.plain("drive.torque", '"3 N·m"', off=True)
    for name, text in (("free_rpm", "4500 rpm"), ("stall_torque", "4 N·m"), ("loaded_rpm", "3600 rpm"), ("loaded_torque", "0.8 N·m")):
        lines.plain(f"drive.{name}", quoted(text), off=True)
    _settings(lines)
    lines.section("[step.model]", "What this belt does to this metal. evenlay add measures the first ones.")
    lines.shipped("model.removal_coefficient", job.part.alloy)
    lines.shipped("model.groove_coefficient", job.part.alloy)
    for name in load("dayzero")["model"]:
        lines.shipped(f"model.{name}")


def _settings(lines: _Lines) -> None:
    given = lines.new.settings
    lines.section("[step.settings]", 'Any of these may be "choose": evenlay plan then looks for the best.')
    for name in ("force", "speed", "feed", "step_over", "rounds", "offsets", "taper"):
        value = given.get(name, "choose")
        lines.plain(f"settings.{name}", value if value.isdigit() else quoted(value))
    lines.plain("settings.dither", quoted(given.get("dither", "0 mm")))
    lines.plain("settings.dither_length", quoted(given.get("dither_length", "200 mm")))


def _surroundings(lines: _Lines) -> None:
    lines.section("[path]")
    lines.plain("path.led_by", '"robot"', more="robot or hand")
    for name in ("error", "turn_time", "run_on", "hand_wander", "hand_wander_length"):
        lines.shipped(f"path.{name}")
    lines.plain("path.feed_dip", '"10 %"', off=True)
    lines.plain("path.feed_dip_length", '"40 mm"', off=True)
    lines.section("[device]")
    lines.plain("device.stroke", '"20 mm"', off=True)
    lines.plain("device.moving_mass", '"3 kg"', off=True)
    lines.plain("device.chatter", '"90 Hz"', off=True)
    lines.plain("device.chatter_swing", '"5 %"', off=True)
    for name in ("force_error", "bandwidth", "fixture_error", "form_error"):
        lines.shipped(f"device.{name}")
    lines.section("[limits]")
    lines.plain("limits.ra_max", '"0.5 µm"', off=True)
    lines.plain("limits.ra_rule", '"16 %"')
    lines.plain("limits.thickness_min", '"1.4 mm"', off=True)
    lines.plain("limits.removal_max", '"20 µm"', off=True)
    for name in ("force", "feed", "speed"):
        for end in ("min", "max"):
            lines.shipped(f"limits.{name}_{end}")
    lines.plain("limits.rounds_max", "8")
    lines.section("[dust]", "Aluminium and iron dust never share a collector.")
    lines.plain("dust.metals", f"[{quoted(load('alloys')[lines.job.part.alloy]['metal'])}]")
    lines.plain("dust.collector", '"not declared"', more="aluminium only, iron and steel only, mixed")
    lines.plain("dust.wet", "false", off=True)
