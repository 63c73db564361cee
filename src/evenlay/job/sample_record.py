"""The answer of ``evenlay sample``, as written to ``numbers.json``."""

from __future__ import annotations

from typing import Literal

from evenlay.job.answer_parts import Number, RemarkRecord, SettingsRecord, Stamp
from evenlay.job.closed import Closed


class ReadNumber(Closed):
    """
    A number read off a surface, in SI: None with the reason where the surface cannot support it.

    ``scatter``: standard deviation between evaluation lengths; None where there is nothing to compare.
    """

    symbol: str
    value: float | None
    unit: Literal["m", "rad", "-"]
    clause: str
    scatter: float | None
    reason: str


class ReadBand(Closed):
    """Height amplitude of the waves from ``shortest`` to ``longest`` across the grain: of single rows, and of what goes on along. [m]"""

    shortest: float
    longest: float
    rows: float | None
    along: float | None


class ReadSurface(Closed):
    """Numbers of one surface, with the cut-off and edition they were read by, and how many evaluation lengths."""

    cutoff: float
    edition: str
    profiles: int
    direction: str
    numbers: tuple[ReadNumber, ...]
    bands: tuple[ReadBand, ...]


class SampleLines(Closed):
    """
    Visibility of the lines along the grain that go on from turn to turn of the belt, its own and the overlaps together, from the picture
    itself, beside the closed form's. [times just-visible]

    ``control``: the same picture with its turns shifted, so that nothing repeats; ``found`` says whether it is above 1.5 times that.
    ``turns`` 0: the piece is shorter than two turns, and nothing can be told. ``half_rows``: from every other row.
    """

    simulated: float
    control: float
    found: bool
    turns: int
    half_rows: float | None
    closed_form: Number | None
    ratio: float | None


class SampleGrains(Closed):
    """Grains that were drawn with, in SI; ``fitted`` to weight, hardness and Ra together, ``strength`` steps from day zero, or stated."""

    density: float
    height_sd: float
    tip_radius: float
    edge_radius: float
    attack_angle: float
    groove_coefficient: float
    fitted: bool
    strength: float
    met: bool


class SampleRecord(Closed):
    """
    One drawn sample.

    ``corner``: along and across the grain, from the corner of the face; ``removal`` is the map's mean, ``removal_plan`` the closed form's
    for the same passes and place; ``chain``: from belt to picture, each link with how it is known.
    """

    title: str
    caption: str
    chain: tuple[str, ...]
    settings: SettingsRecord
    length: float
    width: float
    corner: tuple[float, float]
    row_spacing: float
    sample_spacing: float
    rows: int
    samples: int
    passes: int
    removal: float
    removal_plan: float
    roughness: float | None
    roughness_plan: Number
    grains: SampleGrains
    lines: SampleLines
    read: ReadSurface


class MeasuredSurface(Closed):
    """A measured surface laid beside the sample; ``drawn`` says whether it could be drawn, ``reason`` why not."""

    name: str
    length: float
    width: float
    row_spacing: float
    sample_spacing: float
    drawn: bool
    reason: str
    read: ReadSurface


class SampleSheet(Closed):
    """
    Samples drawn under one light and one exposure.

    ``light``: tilt of the half vector across the grain [rad]; ``light_found`` whether it is the one that shows lines most.
    """

    stamp: Stamp
    job: str
    face: str
    step: str
    rests_on: str
    seed: int
    light: float
    light_found: bool
    distance: Number
    dpi: int
    samples: tuple[SampleRecord, ...]
    measured: MeasuredSurface | None
    remarks: tuple[RemarkRecord, ...]
