"""The answer of ``evenlay surface``."""

from __future__ import annotations

from typing import Literal

from evenlay.job.answer_parts import Number, RemarkRecord, Stamp
from evenlay.job.closed import Closed
from evenlay.job.why_record import WhyRecord

Direction = Literal["across", "along"]


class SurfaceFileRecord(Closed):
    """What was read: the file, its points, lengths in m, the axis of the grain and in which direction profiles were taken."""

    file: str
    source: str
    columns: int
    rows: int
    spacing_x: float
    spacing_y: float
    missing: int
    along: Literal["x", "y", ""]
    direction: str


class SurfaceSettingRecord(Closed):
    """
    By which edition, cut-off and lengths (m) profiles were read.

    ``profiles`` evaluation lengths were there, each of ``sections`` sections: fewer than ``sections_asked`` where rows are too short.
    """

    edition: str
    cutoff: float
    evaluation_length: float
    short_wave: float
    profiles: int
    sections: int
    sections_asked: int


class SurfaceNumberRecord(Closed):
    """
    One number; None with the reason where the surface cannot support it.

    ``unit`` is ``m``, ``rad`` or ``-``; ``scatter`` the standard deviation between evaluation lengths or rows.
    """

    symbol: str
    value: float | None
    unit: str
    scatter: float | None
    clause: str
    reason: str = ""


class SurfaceBandRecord(Closed):
    """
    Rms height of the waves in one band of pitch, in m.

    ``rms`` of single rows, ``persistent`` of the mean of the rows (what goes on along the whole map), ``scatter`` what chance gives, as a
    share; None with the reason where the length cannot support it.
    """

    shortest: float
    longest: float
    rms: float | None
    scatter: float | None
    persistent: float | None
    reason: str = ""


class SurfacePitchRecord(Closed):
    """
    A spacing that stands out of the spectrum; ``multiple`` n where it is the n-th harmonic of ``base``.

    ``why`` ranks the causes of the job that was named; None without a job.
    """

    direction: Direction
    pitch: Number
    amplitude: float
    ratio: float
    multiple: int
    base: float
    why: WhyRecord | None = None


class SmoothingBandRecord(Closed):
    """What a step left of one band: factor and its scatter as a share; None with the reason where nothing can be said."""

    shortest: float
    longest: float
    factor: float | None
    scatter: float | None
    reason: str = ""


class SmoothingRecord(Closed):
    """A step measured before and after; ``rests_on`` says what that is worth."""

    after: SurfaceFileRecord
    bands: tuple[SmoothingBandRecord, ...]
    rests_on: str


class SurfaceRecord(Closed):
    """All that was read off one surface."""

    stamp: Stamp
    read: SurfaceFileRecord
    setting: SurfaceSettingRecord
    numbers: tuple[SurfaceNumberRecord, ...]
    bands: tuple[SurfaceBandRecord, ...]
    pitches: tuple[SurfacePitchRecord, ...]
    pitches_left_out: int = 0
    no_pitches_across: str = ""
    no_pitches_along: str = ""
    smoothing: SmoothingRecord | None = None
    remarks: tuple[RemarkRecord, ...]
    written: tuple[str, ...] = ()
