"""The answer of ``evenlay check``."""

from __future__ import annotations

from evenlay.job.answer_parts import BandRecord, MarkRecord, Number, RemarkRecord, Stamp
from evenlay.job.closed import Closed


class SpeedRow(Closed):
    """One limit or range against the speed that is set. ``low`` or ``high`` is None where the source gives none."""

    name: str
    low: float | None
    high: float | None
    source: str
    inside: bool | None


class EffectiveRow(Closed):
    """A quantity as the program takes it: from the job file, the shipped table, or evidence laid over them."""

    key: str
    label: str
    number: Number
    replaced: Number | None = None


class CheckRecord(Closed):
    """What geometry and clocks alone can say of a face and a step."""

    stamp: Stamp
    job: str
    face: str
    step: str
    rests_on: str
    distance: Number
    force: Number
    speed: Number
    feed: Number
    rotation: Number
    speeds: tuple[SpeedRow, ...]
    patch_length: Number | None
    repeat_length: Number
    eye_band: BandRecord
    most_visible: float
    marks: tuple[MarkRecord, ...]
    clear_feeds: tuple[BandRecord, ...]
    clear_speeds: tuple[BandRecord, ...]
    reach: str
    reachable: bool
    effective: tuple[EffectiveRow, ...]
    remarks: tuple[RemarkRecord, ...]
