"""What to know before trusting a drawn sample."""

from __future__ import annotations

from typing import Final

from evenlay.answers.case import Case
from evenlay.decisions.drawn_tracks import has_dip
from evenlay.decisions.situation import State
from evenlay.job.sample_record import MeasuredSurface, SampleRecord
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import format_quantity, format_ratio

CONVERGED: Final = 0.1
"""Share by which half of the rows may change the visibility. [-]"""
NEAR: Final = 2.0
"""Factor within which simulated and closed form agree. [-]"""
ALIKE: Final = 1.5
"""Factor within which two spacings of points are alike. [-]"""
THEORY: Final = "grain-simulation"


def sample_remarks(case: Case, state: State, record: SampleRecord) -> tuple[Remark, ...]:
    """
    Remarks on one sample.

    Parameters
    ----------
    case : Case
    state : State
    record : SampleRecord

    Returns
    -------
    tuple of Remark
    """
    return (*_roughness(record), *_grains(record), *_narrow(record), *_lines(record), *_rows(record), *_job(case, state))


def _roughness(record: SampleRecord) -> tuple[Remark, ...]:
    plan, read = record.roughness_plan, record.roughness
    if read is None or plan.low <= read <= plan.high:
        return ()
    band = f"{format_quantity(plan.low, 'length')} to {format_quantity(plan.high, 'length')}"
    message = f"Ra of the sample is {format_quantity(read, 'length')}; the plan's is {band}. Its contrast and its lines are off alike"
    return (Remark("sample-roughness-differs", "caution", message, THEORY, "belt.roughness"),)


def _grains(record: SampleRecord) -> tuple[Remark, ...]:
    if record.grains.met:
        return ()
    message = (
        "No grains within their bands leave the Ra that this belt is said to leave, with this k and hardness: the nearest are drawn. "
        "Weigh two coupons, or read Ra"
    )
    return (Remark("sample-grains-not-met", "caution", message, THEORY, "belt.roughness"),)


def _narrow(record: SampleRecord) -> tuple[Remark, ...]:
    step = record.settings.step_over
    if record.width >= step:
        return ()
    message = (
        f"The piece is narrower than the step-over of {format_quantity(step, 'length')}: an overlap may lie beside it. Take it as wide as "
        "the step-over at least"
    )
    return (Remark("sample-narrow", "note", message, "derived", "--size"),)


def _lines(record: SampleRecord) -> tuple[Remark, ...]:
    lines = record.lines
    if lines.turns == 0:
        message = "The piece is shorter than two turns of the belt: lines that repeat cannot be told from chance. Draw a longer piece"
        return (Remark("sample-short", "note", message, "derived", "--size"),)
    if lines.ratio is None or not lines.found or 1.0 / NEAR <= lines.ratio <= NEAR:
        return ()
    message = (
        f"The picture's own lines are {format_ratio(lines.ratio)} times as visible as the closed form's. The simulated texture follows "
        "the pressure in the ramps by itself, where the plan takes a guess (pressure_exponent), its belt repeats exactly, and this piece "
        "alone is judged. The order of settings is surer than either level"
    )
    return (Remark("sample-lines-differ", "note", message, THEORY, "--size"),)


def _rows(record: SampleRecord) -> tuple[Remark, ...]:
    lines = record.lines
    if lines.half_rows is None or not lines.found or abs(lines.half_rows - lines.simulated) <= CONVERGED * lines.simulated:
        return ()
    message = (
        f"With every other row the lines show {format_ratio(lines.half_rows / lines.simulated)} times as much: rows "
        f"{format_quantity(record.row_spacing, 'length')} apart have not settled the number within 10 %"
    )
    return (Remark("sample-rows-coarse", "note", message, THEORY),)


def _job(case: Case, state: State) -> tuple[Remark, ...]:
    found = []
    if has_dip(state):
        message = "The feed's dip is drawn in the middle of the piece, as more pressure: its place on the face is not stated"
        found.append(Remark("sample-dip-placed", "note", message, "derived", "path.feed_dip"))
    others = [step.id for step in case.job.steps_of(case.face.id) if step.id != case.step.id]
    if others:
        message = f"One step is drawn ({case.step.id}), from the sheet as it comes in; {', '.join(others)} is not in the picture"
        found.append(Remark("sample-one-step", "note", message, "derived", "--step"))
    return tuple(found)


def measured_remarks(measured: MeasuredSurface) -> tuple[Remark, ...]:
    """
    Remark on a measured surface that cannot be drawn.

    Parameters
    ----------
    measured : MeasuredSurface

    Returns
    -------
    tuple of Remark
    """
    if measured.drawn:
        return ()
    return (Remark("measured-not-drawn", "caution", f"{measured.name} is not drawn: {measured.reason}", "derived", "--compare"),)


def spacing_remark(measured: MeasuredSurface, sample: SampleRecord) -> tuple[Remark, ...]:
    """
    Remark where points lie unlike far apart.

    Parameters
    ----------
    measured : MeasuredSurface
    sample : SampleRecord

    Returns
    -------
    tuple of Remark
    """
    factor = measured.sample_spacing / sample.sample_spacing
    if 1.0 / ALIKE <= factor <= ALIKE:
        return ()
    message = (
        f"Points of {measured.name} lie {format_quantity(measured.sample_spacing, 'length')} apart, those of the sample "
        f"{format_quantity(sample.sample_spacing, 'length')}: compare Ra, Rz and Rk; peak heights, RSm and slopes depend on the spacing"
    )
    return (Remark("measured-spacing-differs", "caution", message, "ISO 3274:1996", "--compare"),)
