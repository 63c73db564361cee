"""Which cause printed a spacing."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Final

import numpy as np

from evenlay.answers.case import case_of
from evenlay.answers.check import starting_settings
from evenlay.answers.stamp import stamp
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.situation import Settings, central_unknowns, state_of
from evenlay.decisions.spacing import suspects
from evenlay.files.planfile import read_plan_settings
from evenlay.job.answer_parts import Number
from evenlay.job.why_record import SuspectRecord, WhyRecord
from evenlay.physics.contact.wheels import NoContact
from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.units import UnitError, parse_quantity


def option(name: str, text: str, kind: str) -> float:
    """
    Quantity from a command-line option, above zero.

    Raises
    ------
    InputProblems
        Naming the option.
    """
    try:
        value = parse_quantity(text, kind)
    except UnitError as wrong:
        raise InputProblems((InputProblem("evenlay", name, wrong.found, wrong.allowed, wrong.nearest),)) from None
    if not value > 0.0:
        raise InputProblems((InputProblem("evenlay", name, f'"{text}" is not above zero', "give a number above zero"),))
    return value


COARSEST: Final = 0.5
"""Tolerance of a measured spacing above which it tells nothing. [-]"""


def why_spacing(
    folder: Path, *, spacing: str, along: bool, tolerance: str = "3 %", face_id: str | None = None, step_id: str | None = None
) -> WhyRecord:
    """
    Rank the causes that could have printed a spacing.

    Parameters
    ----------
    folder : Path
    spacing : str
        With its unit.
    along : bool
        Whether it was measured along the grain.
    tolerance : str
        Standard deviation of the measurement.
    face_id, step_id : str, optional

    Returns
    -------
    WhyRecord
        Judged at the settings of the job; those left to choose are taken from the last plan, else their starting values.

    Raises
    ------
    InputProblems
        If the job or an option cannot be read.
    """
    length, share = option("--spacing", spacing, "length"), option("--tolerance", tolerance, "share")
    if share > COARSEST:
        found = f'"{tolerance}" would fit any cause'
        raise InputProblems((InputProblem("evenlay why", "--tolerance", found, f"at most {100 * COARSEST:.0f} %; measure over ten lines"),))
    case = case_of(folder, face_id=face_id, step_id=step_id)
    settings = planned_settings(case.folder, starting_settings(case), case.given.complete)
    central = central_unknowns(case.values)
    try:
        patch = state_of(case.setup, central, settings).last.patch_length
    except NoContact:
        patch = np.full(1, math.nan)
    verdict = suspects(
        causes=REGISTER,
        direction="along" if along else "across",
        spacing=length,
        tolerance=share,
        setup=case.setup,
        settings=settings,
        patch_length=patch,
    )
    return WhyRecord(
        stamp=stamp(case, engine="spacings"),
        job=case.job.job.name,
        direction="along" if along else "across",
        spacing=Number(
            value=length,
            low=length * (1 - 1.645 * share),
            high=length * (1 + 1.645 * share),
            kind="length",
            known="measured",
            source="as given",
        ),
        suspects=tuple(
            SuspectRecord(
                key=each.key,
                label=each.label,
                mark=each.mark,
                spacing=None if math.isnan(each.spacing) else each.spacing,
                share=each.share,
                off_by=None if math.isnan(each.off_by) else each.off_by,
            )
            for each in verdict.suspects
            if each.share > 0.001
        ),
        told_apart=verdict.told_apart,
        check=verdict.check,
        check_lengths=verdict.lengths,
    )


def planned_settings(folder: Path, start: Settings, complete: bool) -> Settings:
    """Settings of the last plan where the job leaves some open and there is a plan; else those given."""
    planned = None if complete else read_plan_settings(folder)
    if planned is None:
        return start
    return Settings(planned.force, planned.speed, planned.feed, planned.step_over, planned.offsets, planned.taper)
