"""The answer of ``evenlay plan``, as written to ``plan.json``."""

from __future__ import annotations

from evenlay.job.answer_parts import BandRecord, MarkRecord, NotKnown, Number, RemarkRecord, SettingsRecord, Stamp
from evenlay.job.closed import Closed


class OptionRecord(Closed):
    """One line of the front: its settings, time, worst visibility, and what it gives up."""

    settings: SettingsRecord
    time: float
    level: float
    binding: str
    gives_up: str
    chosen: bool


class RankRecord(Closed):
    """An unknown and the share of the answer's variance that it explains."""

    name: str
    label: str
    share: float


class MeasureRecord(Closed):
    """A measurement that would sharpen the answer: minutes it takes, and what the band would shrink to."""

    name: str
    label: str
    how: str
    minutes: float
    answer: str
    band_now: float
    band_after: float


class ContactRecord(Closed):
    """
    How the wheel meets the face in the first round.

    ``edge_rise``: load with a third of the belt over a free edge against that in the open; ``edge_force``: the force that
    brings it back.
    """

    patch_length: Number
    half_depth_width: Number
    ramp: Number
    peak_pressure: Number
    mean_pressure: Number
    edge_rise: Number
    edge_force: Number
    flattening: Number


class RemovalRecord(Closed):
    """Stock removed: in all, by a round, its unevenness with and without path error."""

    total: Number
    per_round: tuple[Number, ...]
    ripple: Number
    ripple_with_error: Number
    specific_energy: Number
    budget: str


class DriveRecord(Closed):
    """What the drive has to give, and the speed it then runs at."""

    torque: Number
    power: Number
    speed_under_load: Number
    note: str


class HeatRecord(Closed):
    """Flash under the patch, rise of the sheet after all rounds, and what tint that means."""

    flash: Number
    sheet: Number
    face: Number
    tint: str


class TimeRecord(Closed):
    """Passes of a round, and the time of the face. [s]"""

    passes: int
    total: Number


class Ruler(Closed):
    """
    Curves on one millimetre ruler across the grain, in SI; each list is as long as ``position``.

    ``passes`` holds (round, centre, left, right); ``last_cut`` the number of the pass that owns the place.
    """

    position: tuple[float, ...]
    passes: tuple[tuple[int, float, float, float], ...]
    removal: tuple[float, ...]
    removal_low: tuple[float, ...]
    removal_high: tuple[float, ...]
    last_cut: tuple[int, ...]
    luminance: tuple[float, ...]
    footprint_position: tuple[float, ...]
    footprint: tuple[float, ...]


class AlongRuler(Closed):
    """Curves on the ruler along the grain: contrast each cause prints at its spacing, in SI."""

    position: tuple[float, ...]
    curves: tuple[tuple[str, tuple[float, ...]], ...]
    patch_length: float


class PlanRecord(Closed):
    """A plan for one face and one step."""

    stamp: Stamp
    job: str
    face: str
    step: str
    rests_on: str
    headline: str
    settings: SettingsRecord
    settings_known: tuple[tuple[str, str], ...]
    target: float
    probability: float
    calibrated: bool
    level: float
    breaches: tuple[tuple[str, float], ...]
    distance: Number
    eye_band: BandRecord
    marks: tuple[MarkRecord, ...]
    worst: Number
    contact: ContactRecord
    removal: RemovalRecord
    drive: DriveRecord
    heat: HeatRecord
    time: TimeRecord
    device: Number | NotKnown
    front: tuple[OptionRecord, ...]
    tried: int
    ranking: tuple[RankRecord, ...]
    measure_next: tuple[MeasureRecord, ...]
    ruler: Ruler
    along: AlongRuler
    remarks: tuple[RemarkRecord, ...]
    handed_out: bool
    wear: NotKnown
