"""What was measured, as it is kept: one closed record per addition, plain numbers in SI."""

from typing import Annotated, Final, Literal

from pydantic import Field, model_validator

from evenlay.job.closed import Closed
from evenlay.job.effective import Effective
from evenlay.job.records import Job

EVIDENCE_SCHEMA: Final = 1
"""Version of the evidence files that this program writes."""

Positive = Annotated[float, Field(gt=0.0, lt=1e9)]
NotNegative = Annotated[float, Field(ge=0.0, lt=1e9)]
Readings = Annotated[tuple[Positive, ...], Field(max_length=1000)]
Column = Annotated[tuple[float, ...], Field(max_length=200_000)]
Count = Annotated[int, Field(ge=1, le=1_000_000)]
Line = Annotated[str, Field(max_length=2000)]

DIAMETER_WEAR: Final = 0.03
"""A wheel whose diameter is within this share is still the same wheel: covers wear. [-]"""

WHEEL_KEYS: Final = ("wheel_kind", "wheel_diameter", "wheel_width", "crown_curvature", "hardness", "cover")
"""A footprint goes stale when one of these changes. Inflation, force and speed are settings: away from them it is wider, not stale."""

BELT_KEYS: Final = ("alloy", "grit", "mineral")
"""A removal coefficient goes stale when one of these changes."""


class Fingerprint(Closed):
    """
    The set-up something was measured on; None where the job file did not say.

    Lengths [m], curvature [1/m], hardness [Shore A].
    """

    alloy: str | None = None
    grit: str | None = None
    mineral: str | None = None
    belt_length: Positive | None = None
    wheel_kind: str | None = None
    wheel_diameter: Positive | None = None
    wheel_width: Positive | None = None
    crown_curvature: NotNegative | None = None
    hardness: Positive | None = None
    cover: Positive | None = None

    def changes(self, now: "Fingerprint", keys: tuple[str, ...]) -> tuple[str, ...]:
        """
        What has changed since.

        Parameters
        ----------
        now : Fingerprint
            The set-up of the job as it stands.
        keys : tuple of str
            Which fields matter: `WHEEL_KEYS` or `BELT_KEYS`.

        Returns
        -------
        tuple of str
            One phrase each, as ``wheel diameter 150 mm is now 200 mm``; unknown on either side is no change.
        """
        found = []
        for key in keys:
            was, is_now = getattr(self, key), getattr(now, key)
            if was is None or is_now is None or was == is_now:
                continue
            if isinstance(was, float):
                slack = DIAMETER_WEAR if key in ("wheel_diameter", "cover") else 1e-6
                if abs(was - is_now) <= slack * max(abs(was), abs(is_now)):
                    continue
            found.append(f"{key.replace('_', ' ')} {_shown(key, was)} is now {_shown(key, is_now)}")
        return tuple(found)


def _shown(key: str, value: str | float) -> str:
    from evenlay.quantities.units import format_quantity

    if isinstance(value, str):
        return value
    kind = {"hardness": "shore_a", "crown_curvature": "curvature"}.get(key, "length")
    return format_quantity(value, kind)


def fingerprint(job: Job, step_id: str, values: Effective) -> Fingerprint:
    """
    Set-up of a step as the job file states it.

    Parameters
    ----------
    job : Job
        The job.
    step_id : str
        Step.
    values : Effective
        Numbers of that step; those that rest on shipped tables are left out, because entering them is no change.

    Returns
    -------
    Fingerprint
        For keeping beside what was measured, or for comparing with it.
    """
    step = job.one_step(step_id)

    def stated(key: str) -> float | None:
        return values[key].number if key in values and key not in values.assumed else None

    return Fingerprint(
        alloy=job.part.alloy,
        grit=None if step.belt.grit is None else str(step.belt.grit),
        mineral=step.belt.mineral,
        belt_length=stated("belt.length"),
        wheel_kind=step.wheel.kind,
        wheel_diameter=stated("wheel.diameter"),
        wheel_width=stated("wheel.width"),
        crown_curvature=stated("wheel.crown_curvature"),
        hardness=stated("wheel.hardness"),
        cover=stated("wheel.cover"),
    )


class RawFile(Closed):
    """A raw file kept with the evidence: its name in the log's ``raw`` folder, the name it came with, its hash."""

    name: Annotated[str, Field(pattern=r"^[A-Za-z0-9._-]{1,120}$")]
    original: Line
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Footprint(Closed):
    """
    A print of the wheel: sizes, or a profile across the pass, or both.

    ``force`` [N], ``speed`` 0 for a wheel at rest [m/s], ``inflation`` gauge, None for the wheel's own [Pa], curvature of the
    part it was made on, convex positive [1/m]; ``lengths`` along the grain and ``widths`` across [m]; ``position`` [m] and
    ``depths``, one column per print, depth [m] or darkness [-].
    """

    kind: Literal["footprint"] = "footprint"
    force: Positive
    speed: NotNegative = 0.0
    inflation: NotNegative | None = None
    curvature_along: float = 0.0
    curvature_across: float = 0.0
    lengths: Readings = ()
    widths: Readings = ()
    position: Column = ()
    depths: Annotated[tuple[Column, ...], Field(max_length=100)] = ()
    from_darkness: bool = False

    @model_validator(mode="after")
    def _something(self) -> "Footprint":
        if any(len(column) != len(self.position) for column in self.depths) or bool(self.depths) != bool(self.position):
            raise ValueError("every depth column needs as many numbers as there are positions")
        if not self.depths and not (self.lengths or self.widths):
            raise ValueError("a footprint needs lengths, widths or a profile")
        return self


class Weight(Closed):
    """
    A coupon weighed before and after.

    ``before``, ``after``, ``resolution`` [kg]; ``passes``; ``length`` of one pass on the metal [m]; ``force`` [N], ``speed`` of
    the belt and ``feed`` [m/s]; ``sense`` +1 belt against the feed, -1 with it, 0 not known or both.
    """

    kind: Literal["weight"] = "weight"
    before: Annotated[Readings, Field(min_length=1)]
    after: Annotated[Readings, Field(min_length=1)]
    resolution: Positive
    repeats: Count = 1
    passes: Count
    length: Positive
    force: Positive
    speed: Positive
    feed: Positive
    sense: Literal[-1, 0, 1] = 0

    @model_validator(mode="after")
    def _loss(self) -> "Weight":
        if sum(self.after) / len(self.after) > sum(self.before) / len(self.before) + 3 * self.resolution:
            raise ValueError("the coupon is heavier after than before")
        return self


class Depth(Closed):
    """
    A removed depth: ``depth`` mean over the cut, ``width`` half-depth width of the cut, ``roughness`` Ra if read [m].

    ``passes``, ``force`` [N], ``speed`` and ``feed`` [m/s], ``sense`` as in `Weight`; ``name`` of the run.
    """

    kind: Literal["depth"] = "depth"
    name: Line = ""
    depth: Positive
    width: Positive
    roughness: Positive | None = None
    passes: Count = 1
    force: Positive
    speed: Positive
    feed: Positive
    sense: Literal[-1, 0, 1] = 0


class Retract(Closed):
    """Takes an earlier entry back."""

    kind: Literal["retract"] = "retract"
    entry: Annotated[str, Field(pattern=r"^\d{4,6}$")]
    reason: Line = ""


Payload = Annotated[Footprint | Weight | Depth | Retract, Field(discriminator="kind")]


class Entry(Closed):
    """
    One addition to the evidence.

    ``id`` counts up; ``step`` it belongs to; ``when`` as ISO text; ``who``; ``belt_metres`` run by the belt so far [m];
    ``setup`` it was measured on; ``raw`` file if there was one; ``payload`` what was measured.
    """

    schema_version: Literal[1] = 1
    id: Annotated[str, Field(pattern=r"^\d{4,6}$")]
    step: Line = ""
    when: Line
    who: Line = ""
    note: Line = ""
    belt_metres: NotNegative | None = None
    setup: Fingerprint = Fingerprint()
    raw: RawFile | None = None
    payload: Payload

    @property
    def kind(self) -> str:
        """``footprint``, ``weight``, ``depth`` or ``retract``."""
        return self.payload.kind

    def stale(self, now: Fingerprint) -> tuple[str, ...]:
        """What changed since, of what this kind of evidence belongs to; empty while it holds."""
        if self.kind == "retract":
            return ()
        return self.setup.changes(now, WHEEL_KEYS if self.kind == "footprint" else BELT_KEYS)


class EvidenceLog(Closed):
    """
    The whole log.

    ``entries`` in order; ``live``: those that measure something and were not taken back; ``raw_changed``: ids whose raw file
    is missing or no longer has its hash.
    """

    entries: tuple[Entry, ...] = ()
    live: tuple[Entry, ...] = ()
    raw_changed: tuple[str, ...] = ()
