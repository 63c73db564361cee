"""Parts that every saved answer is made of."""

from __future__ import annotations

from typing import Literal

from evenlay.job.closed import Closed
from evenlay.quantities.known import Known
from evenlay.quantities.remarks import Level


class Number(Closed):
    """
    A number in SI with its band (5 % and 95 % points), how it is known and on what it rests.

    ``kind`` names the kind of quantity in the table of units, which fixes the SI unit.
    """

    value: float
    low: float
    high: float
    kind: str
    known: Known
    source: str = ""


class NotKnown(Closed):
    """Stands where a number would: nobody has measured what it needs; ``measure`` says what would tell."""

    not_known: Literal[True] = True
    measure: str


class RemarkRecord(Closed):
    """A remark as it is saved."""

    code: str
    level: Level
    message: str
    source: str
    where: str = ""


class Stamp(Closed):
    """What made an answer: program, version, schema, seed, hash of all inputs (job file and evidence)."""

    program: Literal["evenlay"] = "evenlay"
    version: str
    schema_version: Literal[1] = 1
    engine: str
    seed: int
    draws: int
    inputs_sha256: str


class LinkRecord(Closed):
    """One link of the chain from a cause to the eye."""

    name: str
    number: Number


class MarkRecord(Closed):
    """
    A cause of lines as an answer shows it.

    ``direction`` is that of the spacing: "across" (lines run along the grain) or "along". ``pitches`` may be empty: any
    spacing. ``strength`` in times just-visible for the standard eye; ``strength_with_eye`` with the eye's doubt in
    its band. ``control`` is what the same sum gives for a face that does not repeat. ``seen`` says where the spacing lies
    against what the eye sees at the distance.
    """

    key: str
    label: str
    direction: Literal["across", "along"]
    memory: str
    place: str
    pitches: tuple[tuple[str, Number], ...]
    seen: str
    strength: Number | NotKnown | None = None
    strength_with_eye: Number | None = None
    control: float | None = None
    claim: tuple[float, float] = (1.0, 1.0)
    chain: tuple[LinkRecord, ...] = ()
    remedy: str
    remedy_cost: str


class BandRecord(Closed):
    """A band of one setting, low to high, in SI."""

    low: float
    high: float
    kind: str


class SettingsRecord(Closed):
    """Settings of a plan in SI: N, m/s, m/s, m, m, share."""

    force: float
    speed: float
    feed: float
    step_over: float
    rounds: int
    offsets: tuple[float, ...]
    taper: float
