"""A plan worked out, compared with what stood before, and written with its pictures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from evenlay.answers.case import case_of
from evenlay.answers.plan import NoPlan, Progress, plan_job
from evenlay.answers.stamp import stamp
from evenlay.files.jobfile import job_path
from evenlay.files.planfile import read_plan, write_picture, write_plan
from evenlay.job.answer_parts import Number
from evenlay.job.plan_record import PlanRecord
from evenlay.quantities.errors import InputProblem, InputProblems

Draw = Callable[[PlanRecord], Mapping[str, bytes]]


@dataclass(frozen=True)
class Change:
    """One thing that a change moved: what, from, to, as text with units."""

    what: str
    before: Number
    after: Number


@dataclass(frozen=True)
class Planned:
    """
    A plan, where its files lie, and what changed against the plan before.

    ``tried`` says that ``--set`` was used: then nothing is written and ``changes`` compares with the job as it stands.
    """

    plan: PlanRecord
    files: tuple[Path, ...]
    changes: tuple[Change, ...]
    tried: bool


def parse_changes(texts: Sequence[str]) -> dict[str, str]:
    """
    Changes from ``key=value`` texts.

    Raises
    ------
    InputProblems
        For each text without an equals sign.

    Examples
    --------
    >>> parse_changes(["feed=120 mm/s"])
    {'feed': '120 mm/s'}
    """
    wrong = [text for text in texts if "=" not in text]
    if wrong:
        raise InputProblems(
            tuple(InputProblem("evenlay plan", "--set", f'"{text}"', 'write key="value", as feed="120 mm/s"') for text in wrong)
        )
    return {key.strip(): value.strip().strip("\"'") for key, value in (text.split("=", 1) for text in texts)}


def known_cause(key: str) -> str:
    """
    Key of a cause, as given.

    Raises
    ------
    InputProblems
        If there is no such cause, naming those there are.
    """
    from evenlay.decisions.causes import REGISTER

    keys = [cause.key for cause in REGISTER]
    if key not in keys:
        raise InputProblems((InputProblem("evenlay plan", "--why-visible", f'there is no cause "{key}"', f"there are {', '.join(keys)}"),))
    return key


def planned(
    folder: Path,
    *,
    changes: Sequence[str] = (),
    face_id: str | None = None,
    step_id: str | None = None,
    draw: Draw | None = None,
    progress: Progress | None = None,
) -> Planned:
    """
    Plan a face and write ``plan.json`` and the pictures; with changes, compare and write nothing.

    Parameters
    ----------
    folder : Path
    changes : sequence of str
        ``key=value`` each.
    face_id, step_id : str, optional
    draw : callable, optional
        From a plan to pictures, file name to content; none is drawn without it.
    progress : callable, optional

    Returns
    -------
    Planned
        Without files while a stop stands: then nothing is handed out.

    Raises
    ------
    InputProblems, NoPlan, Stopped
        As `plan_job`.
    """
    tried = parse_changes(changes)
    home = job_path(folder).parent
    plan = plan_job(folder, changes=tried or None, face_id=face_id, step_id=step_id, progress=progress)
    if tried:
        try:
            before = _as_it_stands(folder, face_id, step_id, progress)
        except NoPlan:
            # The job as it stands has no plan: the change is what makes one.
            return Planned(plan, (), (), True)
        return Planned(plan, (), differences(before, plan), True)
    last = read_plan(home)
    same = last is not None and (last.face, last.step) == (plan.face, plan.step)
    changed = differences(last, plan) if last is not None and same else ()
    if any(remark.level == "stop" for remark in plan.remarks):
        return Planned(plan, (), changed, False)
    # Drawn first: whoever stops the drawing keeps the plan and the pictures that were there.
    pictures = draw(plan) if draw is not None else {}
    files = [write_plan(home, plan), *(write_picture(home, name, content) for name, content in pictures.items())]
    return Planned(plan, tuple(files), changed, False)


def _as_it_stands(folder: Path, face_id: str | None, step_id: str | None, progress: Progress | None) -> PlanRecord:
    """Plan of the job without changes: the one on disk when nothing has changed since, else worked out."""
    last = read_plan(job_path(folder).parent)
    case = case_of(folder, face_id=face_id, step_id=step_id)
    if last is None or (last.face, last.step) != (case.face.id, case.step.id) or last.stamp != stamp(case, engine=last.stamp.engine):
        return plan_job(folder, face_id=face_id, step_id=step_id, progress=progress)
    return last


def differences(before: PlanRecord, after: PlanRecord) -> tuple[Change, ...]:
    """
    What moved between two plans: time, stock removed, contact and every line of known strength.

    Parameters
    ----------
    before, after : PlanRecord

    Returns
    -------
    tuple of Change
        Only what moved by more than half a per cent, in centre or band.
    """
    rows = [
        ("time of the face", before.time.total, after.time.total),
        ("stock removed", before.removal.total, after.removal.total),
        ("patch length", before.contact.patch_length, after.contact.patch_length),
        ("ramp at the belt's edge", before.contact.ramp, after.contact.ramp),
    ]
    earlier = {mark.key: mark for mark in before.marks}
    for mark in after.marks:
        old = earlier.get(mark.key)
        if old is not None and isinstance(mark.strength, Number) and isinstance(old.strength, Number):
            rows.append((f"{mark.label}, times just-visible", old.strength, mark.strength))
    return tuple(Change(what, old, new) for what, old, new in rows if _moved(old, new))


def _moved(old: Number, new: Number) -> bool:
    pairs = ((old.value, new.value), (old.low, new.low), (old.high, new.high))
    return any(abs(a - b) > 0.005 * max(abs(a), abs(b)) for a, b in pairs)
