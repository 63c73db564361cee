"""The plan of a face: what is set evaluated, what is open chosen, every line with its strength."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from evenlay.answers.case import Case, case_of
from evenlay.answers.hazards import safety_of
from evenlay.answers.learning import measure_next, ranking
from evenlay.answers.mark_records import evaluated_marks
from evenlay.answers.numbers import known_of, number_of_draws, number_of_value, remark_records, rests_on
from evenlay.answers.plan_remarks import plan_remarks
from evenlay.answers.rulers import across_ruler, along_ruler
from evenlay.answers.sections import ROOM, contact_record, drive_record, heat_record, removal_record, stroke_record, time_record
from evenlay.answers.source_ranges import left_by_plan, left_ranges
from evenlay.answers.stamp import stamp
from evenlay.decisions.candidates import Given, candidates, offset_patterns
from evenlay.decisions.evaluate import Evaluation, Workbench, at_risk, breaches_of, evaluate, level_of, outline, score, score_of, workbench
from evenlay.decisions.recipe import Choice, Option, choose
from evenlay.decisions.situation import Draws, Settings, Unknowns, draw_unknowns, state_of
from evenlay.job.answer_parts import BandRecord, MarkRecord, NotKnown, Number, SettingsRecord
from evenlay.job.plan_record import OptionRecord, PlanRecord
from evenlay.physics.contact.wheels import NoContact
from evenlay.physics.viewing import visible_band
from evenlay.quantities.draws import COARSE, COUNT
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import format_ratio

Progress = Callable[[int, int], bool]


class NoPlan(Exception):  # noqa: N818 - a finding about the job, worded for the person who reads it
    """
    No plan within the limits.

    ``reasons``: what binds and by how much, a sentence each; ``remarks`` that came up before.
    """

    def __init__(self, reasons: tuple[str, ...], remarks: tuple[Remark, ...]) -> None:
        self.reasons = reasons
        self.remarks = remarks
        super().__init__("; ".join(reasons))


class Stopped(Exception):  # noqa: N818 - the user's wish, no error
    """Stopped by the user; nothing was written."""


@dataclass(frozen=True)
class _Worked:
    """What the computing left, before it becomes a record."""

    case: Case
    draws: Draws
    bench: Workbench
    evaluation: Evaluation
    choice: Choice


def plan_job(
    folder: Path,
    *,
    changes: Mapping[str, str] | None = None,
    face_id: str | None = None,
    step_id: str | None = None,
    progress: Progress | None = None,
) -> PlanRecord:
    """
    Plan a face.

    Parameters
    ----------
    folder : Path
        The job folder.
    changes : mapping of str to str, optional
        Keys to try without editing the file.
    face_id, step_id : str, optional
        Else the first ones.
    progress : callable, optional
        ``progress(done, total)``; returning False stops.

    Returns
    -------
    PlanRecord
        With a stop among the remarks when one stands: then nothing may be handed out.

    Raises
    ------
    InputProblems
        If the job cannot be read.
    NoPlan
        If no setting within the limits is allowed, saying which limit binds and by how much.
    Stopped
        If ``progress`` said so.
    """
    case = case_of(folder, changes=changes, face_id=face_id, step_id=step_id)
    seed = case.job.job.seed
    draws = draw_unknowns(case.values, count=COUNT, seed=seed)
    bench = workbench(case.setup, draws.unknowns, draws.weights, case.bounds)
    if case.given.complete:
        return _record(_as_set(case, draws, bench))
    few = draw_unknowns(case.values, count=COARSE, seed=seed)
    choice = _chosen(case, bench, workbench(case.setup, few.unknowns, few.weights, case.bounds), progress)
    settings = choice.front[choice.chosen].settings
    if case.evidence_count and case.given.force is None:
        # What prints say of the wheel is said again at the force that was chosen: less sure away from theirs.
        case = case_of(folder, changes=changes, face_id=face_id, step_id=step_id, force=settings.force)
        draws = draw_unknowns(case.values, count=COUNT, seed=seed)
        bench = workbench(case.setup, draws.unknowns, draws.weights, case.bounds)
    return _record(_Worked(case, draws, bench, evaluate(bench, settings), choice))


def _as_set(case: Case, draws: Draws, bench: Workbench) -> _Worked:
    settings = complete_settings(case.given)
    try:
        evaluation = evaluate(bench, settings)
    except NoContact as reason:
        raise NoPlan((_no_contact(reason),), case.remarks) from None
    worth = score_of(bench, evaluation)
    option = Option(settings, worth, "the only one: everything is set")
    return _Worked(case, draws, bench, evaluation, Choice((option,), 0, worth.level <= case.bounds.target, worth.breaches, 1))


def _no_contact(reason: NoContact) -> str:
    return f"The belt cannot touch this face: {reason}."


def _chosen(case: Case, exact: Workbench, rough: Workbench, progress: Progress | None) -> Choice:
    width = width_at(case, rough.unknowns)
    choice = choose(
        tuple(candidates(case.given, case.ranges, width)),
        outline=lambda settings: outline(rough, settings),
        coarse=lambda settings: score(rough, settings),
        full=lambda settings: score(exact, settings, thorough=True),
        target=case.bounds.target,
        progress=progress,
    )
    if choice is None:
        raise Stopped
    if not choice.front:
        raise NoPlan(tuple(_limit_sentence(name, excess) for name, excess in choice.limits), case.remarks)
    return choice


def width_at(case: Case, unknowns: Unknowns) -> Callable[[float, float], float]:
    """
    Half-depth width of the footprint by force and speed, central values.

    Raises
    ------
    NoPlan
        When called where the wheel cannot touch the face.
    """
    central = unknowns.rows(slice(0, 1))
    found: dict[tuple[float, float], float] = {}

    def width(force: float, speed: float) -> float:
        if (force, speed) not in found:
            probe = Settings(force, speed, 0.1, case.setup.contact_width, (0.0,))
            try:
                found[force, speed] = float(state_of(case.setup, central, probe).last.profile.half_depth_width[0])
            except NoContact as reason:
                raise NoPlan((_no_contact(reason),), case.remarks) from None
        return found[force, speed]

    return width


def complete_settings(given: Given) -> Settings:
    """Settings of a job in which nothing is left to choose."""
    force, speed, feed, step, rounds, taper = given.force, given.speed, given.feed, given.step_over, given.rounds, given.taper
    if force is None or speed is None or feed is None or step is None or rounds is None or taper is None:
        raise ValueError("something is left to choose")
    return Settings(force, speed, feed, step, offset_patterns(given.offsets, step, rounds)[0], taper)


def _limit_sentence(name: str, excess: float) -> str:
    if name == "contact":
        return "The belt cannot touch this face with any force, speed or feed allowed."
    return f"{name[:1].upper()}{name[1:]}: even the best setting tried reaches {1.0 + excess:.3g} times its limit."


def _record(worked: _Worked) -> PlanRecord:
    case, draws, evaluation, choice = worked.case, worked.draws, worked.evaluation, worked.choice
    state, bounds = evaluation.state, case.bounds
    band = visible_band(case.setup.distance)
    marks = evaluated_marks(evaluation, values=case.values, band=band, weights=draws.weights, calibrated=bounds.eye_counts)
    worst = number_of_draws(evaluation.worst, "ratio", known_of(case.values, tuple(case.values)), draws.weights)
    drive, drive_remarks = drive_record(state, draws, case)
    heat, heat_remarks = heat_record(state, draws, case)
    stroke, stroke_remarks = stroke_record(state, case)
    safety = safety_of(case, speed=state.settings.speed, force=state.settings.force, hottest=ROOM + heat.sheet.high)
    level = level_of(worked.bench, evaluation.worst)
    remarks = (
        *safety,
        *case.remarks,
        *left_ranges(case),
        *left_by_plan(case, evaluation),
        *plan_remarks(case, evaluation, choice, level, at_risk(evaluation, bounds, draws.weights)),
        *drive_remarks,
        *heat_remarks,
        *stroke_remarks,
        *state.last.remarks,
    )
    grave = {remark.level for remark in remarks}
    breaches = breaches_of(evaluation, bounds, draws.weights)
    return PlanRecord(
        stamp=stamp(case, engine="closed form"),
        job=case.job.job.name,
        face=case.face.id,
        step=case.step.id,
        rests_on=rests_on(case.values),
        headline=_headline(case, marks, evaluation.binding, level),
        settings=settings_record(state.settings),
        settings_known=_settings_known(case),
        target=bounds.target,
        probability=bounds.probability,
        calibrated=bounds.eye_counts,
        level=level,
        breaches=breaches,
        distance=number_of_value(case.effective["viewing.distance"], "length"),
        eye_band=BandRecord(low=band.shortest, high=band.longest, kind="length"),
        marks=marks,
        worst=worst,
        contact=contact_record(state, draws, case),
        removal=removal_record(state, draws, case),
        drive=drive,
        heat=heat,
        time=time_record(state, draws, case),
        device=stroke,
        front=tuple(_option(index, option, choice.chosen) for index, option in enumerate(choice.front)),
        tried=choice.tried,
        ranking=ranking(evaluation, draws, calibrated=bounds.eye_counts),
        measure_next=measure_next(evaluation, draws, case),
        ruler=across_ruler(evaluation),
        along=along_ruler(evaluation, marks),
        remarks=remark_records(remarks),
        handed_out=not breaches and not grave & {"stop", "withheld"},
        wear=NotKnown(measure="metres run at each belt change, and why it was changed"),
    )


def settings_record(settings: Settings) -> SettingsRecord:
    """Settings as a record."""
    return SettingsRecord(
        force=settings.force,
        speed=settings.speed,
        feed=settings.feed,
        step_over=settings.step_over,
        rounds=settings.rounds,
        offsets=settings.offsets,
        taper=settings.taper,
    )


def _option(index: int, option: Option, chosen: int) -> OptionRecord:
    return OptionRecord(
        settings=settings_record(option.settings),
        time=option.score.time,
        level=option.score.level,
        binding=option.score.binding,
        gives_up=option.gives_up,
        chosen=index == chosen,
    )


def _settings_known(case: Case) -> tuple[tuple[str, str], ...]:
    given = case.given
    return tuple(
        (name, "chosen" if getattr(given, name) is None else "set")
        for name in ("force", "speed", "feed", "step_over", "rounds", "offsets", "taper")
    )


def _headline(case: Case, marks: tuple[MarkRecord, ...], binding: str, level: float) -> str:
    from evenlay.decisions.causes import REGISTER

    strengths = {mark.key: mark.strength for mark in marks if isinstance(mark.strength, Number)}
    labels = {mark.key: mark.label for mark in marks}
    remedy = next(cause.remedy for cause in REGISTER if cause.key == binding)
    first = strengths[binding]
    low, middle, high = (format_ratio(each) for each in (first.low, first.value, first.high))
    shown = f"{labels[binding]}, {middle} times just-visible at {case.setup.distance:.2g} m ({low} to {high})"
    if level <= case.bounds.target:
        return f"No line is expected to show; the strongest is {shown}."
    sure = f"{100.0 * case.bounds.probability:.0f} %"
    aim = f"With {sure} certainty every line stays under {format_ratio(level)}, not under the target of {format_ratio(case.bounds.target)}"
    widest = max(strengths, key=lambda key: strengths[key].high)
    doubt = "" if widest == binding else f"; most of that doubt is {labels[widest]} (up to {format_ratio(strengths[widest].high)})"
    return f"What shows first: {shown}. {aim}{doubt}. To try: {remedy}."
