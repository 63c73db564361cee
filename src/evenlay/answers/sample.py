"""The drawn sample: what the face will look like, cut grain by grain from the plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.case import Case, case_of
from evenlay.answers.numbers import number_of_value, remark_records
from evenlay.answers.plan import Progress, Stopped, plan_job
from evenlay.answers.plan_files import parse_changes
from evenlay.answers.sample_numbers import number_in, read_surface, surface_of_map
from evenlay.answers.sample_options import Asked, Variant, placed, refused
from evenlay.answers.sample_pictures import Mapped, Pictured, drawn_luminance, finish_of, light_for, lines_of, measured_map
from evenlay.answers.sample_remarks import measured_remarks, sample_remarks, spacing_remark
from evenlay.answers.sample_smoothing import smoothed_map, smoothing_of, smoothing_remark
from evenlay.answers.sample_words import caption_of, chain_of, source_of
from evenlay.answers.stamp import stamp
from evenlay.decisions.drawn_grains import DrawnGrains, drawn_grains
from evenlay.decisions.drawn_passes import UNDRAWN, DrawnPasses, Piece, Sheet, drawn_map, drawn_passes, expected_removal, piece_strip
from evenlay.decisions.situation import Settings, State, Unknowns, central_unknowns, state_of
from evenlay.files.jobfile import job_path
from evenlay.files.planfile import read_plan
from evenlay.files.surfaces.grid import MOST_POINTS
from evenlay.files.surfaces.opened import open_surface
from evenlay.job.answer_parts import Number
from evenlay.job.plan_record import PlanRecord
from evenlay.job.sample_record import MeasuredSurface, SampleGrains, SampleLines, SampleRecord, SampleSheet
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.physics.viewing.facets import Lighting
from evenlay.quantities.known import weakest
from evenlay.quantities.remarks import Remark

Singles = NDArray[np.float32]

SMOOTHED: Final = "Then smoothed as two measured surfaces say: a non-woven step, not simulated."
ENGINE: Final = "grain by grain"
SETTINGS: Final = ("force", "speed", "feed", "step_over", "rounds", "offsets", "taper")
GRAIN_KEYS: Final = ("belt.grain_density", "belt.grain_height_sd", "belt.grain_tip_radius")
"""Where all three rest on the shipped tables the grains are fitted; where one is stated they are taken as they stand."""


@dataclass(frozen=True, eq=False)
class Worked:
    """One sample before it becomes a record: case, plan, state, grains, passes and the map that they left."""

    variant: Variant
    case: Case
    plan: PlanRecord
    state: State
    grains: DrawnGrains
    drawn: DrawnPasses
    height: Singles

    @property
    def mapped(self) -> Mapped:
        """The map for the light."""
        return Mapped(self.height, self.drawn.strip.samples, self.drawn.strip.rows)

    @property
    def surface(self) -> Surface:
        """The map as a surface file holds it."""
        source = source_of(self.plan, self.variant, seed=self.drawn.sheet.seed)
        return surface_of_map(self.height, samples=self.drawn.strip.samples, rows=self.drawn.strip.rows, source=source)


@dataclass(frozen=True, eq=False)
class Sampled:
    """
    A sheet of samples: its record, what is drawn on it, and the maps behind it.

    ``sheet`` is None while a stop stands: then ``plan`` says which, and nothing is handed out.
    """

    plan: PlanRecord
    sheet: SampleSheet | None = None
    pictures: tuple[Pictured, ...] = ()
    surfaces: tuple[Surface, ...] = ()


def sample_job(
    folder: Path,
    *,
    ask: Asked,
    changes: Sequence[str] = (),
    face_id: str | None = None,
    step_id: str | None = None,
    progress: Progress | None = None,
) -> Sampled:
    """
    Draw samples of a job's plan.

    Parameters
    ----------
    folder : Path
    ask : Asked
        Size, place, light, print, variants, and what to compare with.
    changes : sequence of str
        ``key=value`` each, tried without editing the file.
    face_id, step_id : str, optional
        Else the first ones.
    progress : callable, optional
        ``progress(done, total)``; returning False stops.

    Returns
    -------
    Sampled

    Raises
    ------
    InputProblems, NoPlan, Stopped
        As `evenlay.answers.plan.plan_job`; also where an option or the measured surface does not do.
    """
    measured = None if ask.compare is None else open_surface(ask.compare)
    factors = None if ask.smoothing is None else smoothing_of(ask.smoothing)
    tried = parse_changes(changes)
    case = case_of(folder, changes=tried or None, face_id=face_id, step_id=step_id)
    corner = placed(ask, along=case.setup.face_along, across=case.setup.face_across)
    if case.setup.wheel_kind in UNDRAWN:
        found = f'step "{case.step.id}" runs a non-woven wheel'
        raise refused("--step", found, "a web is not simulated grain by grain; draw a belt step")
    base = _plan(folder, case, tried, progress)
    plans = [base] if len(ask.variants) == 1 else []
    for variant in ask.variants if not plans else ():
        plans.append(plan_job(folder, changes=_fixed(base, tried, variant), face_id=face_id, step_id=step_id))
    for plan in plans:
        if any(remark.level == "stop" for remark in plan.remarks):
            return Sampled(plan)
    seed = case.job.job.seed if ask.seed is None else ask.seed
    piece = Piece(ask.length, ask.width, corner[0], corner[1])
    ready = []
    for variant, plan in zip(ask.variants, plans, strict=True):
        own = case_of(folder, changes=_fixed(plan, tried, variant), face_id=face_id, step_id=step_id)
        ready.append(_ready(own, plan, variant, piece, seed))
    _bounded([one.drawn for one in ready])
    worked = _cut(ready, ask.threads, progress)
    if ask.smoothing is None or factors is None:
        return _sheet(worked, ask, measured, seed)
    after = [replace(one, height=smoothed_map(one.height, spacing=one.drawn.strip.samples, factors=factors)) for one in worked]
    return _sheet(after, ask, measured, seed, (smoothing_remark(ask.smoothing, factors),))


def _plan(folder: Path, case: Case, tried: dict[str, str], progress: Progress | None) -> PlanRecord:
    """The job's plan: the one on disk where nothing has changed since, else worked out."""
    last = None if tried else read_plan(job_path(folder).parent)
    if last is not None and (last.face, last.step) == (case.face.id, case.step.id) and last.stamp == stamp(case, engine=last.stamp.engine):
        return last
    return plan_job(folder, changes=tried or None, face_id=case.face.id, step_id=case.step.id, progress=progress)


def _fixed(plan: PlanRecord, tried: Mapping[str, str], variant: Variant) -> dict[str, str]:
    """Changes that hold what a plan chose, but for what the variant names."""
    named = {key.rsplit(".", 1)[-1] for key in variant.changes}
    settings = plan.settings
    texts = {
        "force": f"{settings.force!r} N",
        "speed": f"{settings.speed!r} m/s",
        "feed": f"{settings.feed!r} m/s",
        "step_over": f"{settings.step_over!r} m",
        "rounds": f"{settings.rounds}",
        "offsets": "even" if named & {"step_over", "rounds"} else str([f"{shift!r} m" for shift in settings.offsets]).replace("'", '"'),
        "taper": f"{settings.taper!r}",
    }
    chosen = {name for name, how in plan.settings_known if how == "chosen"} - named
    return {**tried, **{f"step.{plan.step}.settings.{name}": texts[name] for name in SETTINGS if name in chosen}, **variant.changes}


@dataclass(frozen=True, eq=False)
class _Ready:
    """A sample before it is cut."""

    variant: Variant
    case: Case
    plan: PlanRecord
    state: State
    grains: DrawnGrains
    drawn: DrawnPasses


def _ready(case: Case, plan: PlanRecord, variant: Variant, piece: Piece, seed: int) -> _Ready:
    unknowns = central_unknowns(case.values)
    settings = plan.settings
    state = state_of(
        case.setup,
        unknowns,
        Settings(settings.force, settings.speed, settings.feed, settings.step_over, settings.offsets, settings.taper),
    )
    effective = case.effective
    grains = drawn_grains(
        unknowns,
        size=effective["belt.median_grain"].number,
        hardness=effective["alloy.hardness"].number,
        attack_angle=math.degrees(effective["model.attack_angle"].number),
        stated=not all(key in effective.assumed for key in GRAIN_KEYS),
    )
    sheet = Sheet(_incoming_slope(unknowns), effective["part.incoming_length"].number, seed)
    _bounded_piece(piece_strip(state, grains, piece).sample_count * piece_strip(state, grains, piece).row_count)
    return _Ready(variant, case, plan, state, grains, drawn_passes(state, grains, piece=piece, sheet=sheet))


def _incoming_slope(unknowns: Unknowns) -> float:
    """Slope rms of the sheet before: stated against what the belt leaves."""
    return float(unknowns.incoming_slope[0] * unknowns.slope_across[0])


def _bounded_piece(points: int) -> None:
    if points > MOST_POINTS:
        raise refused(
            "--size",
            f"it needs {points / 1e6:.0f} million points",
            f"at most {MOST_POINTS // 10**6} million are drawn: take a smaller piece",
        )


def _bounded(pieces: Sequence[DrawnPasses]) -> None:
    """Refuse what would not fit in memory, all samples together."""
    _bounded_piece(sum(one.strip.row_count * one.strip.sample_count for one in pieces))


def _cut(ready: Sequence[_Ready], threads: int, progress: Progress | None) -> list[Worked]:
    """Let the grains cut all pieces, one progress for all."""
    total = sum(one.drawn.strip.row_count for one in ready)
    done, worked = 0, []
    for one in ready:
        height = drawn_map(one.drawn, threads=threads, progress=_after(progress, done, total))
        if height is None:
            raise Stopped
        done += one.drawn.strip.row_count
        worked.append(Worked(one.variant, one.case, one.plan, one.state, one.grains, one.drawn, height))
    return worked


def _after(progress: Progress | None, before: int, total: int) -> Callable[[int, int], bool] | None:
    return None if progress is None else (lambda done, _: progress(before + done, total))


def _sheet(worked: Sequence[Worked], ask: Asked, measured: Surface | None, seed: int, said: tuple[Remark, ...] = ()) -> Sampled:
    first = worked[0]
    central = central_unknowns(first.case.values)
    finish = finish_of(central, reference=first.mapped)
    light, searched = light_for(ask.tilt, first.case.setup, first.mapped, finish, first.state.repeat_length)
    surfaces = tuple(one.surface for one in worked)
    samples, pictures, remarks = [], [], [*said]
    for one, surface in zip(worked, surfaces, strict=True):
        lines = lines_of(
            one.mapped,
            light=light,
            finish=finish,
            repeat=one.state.repeat_length,
            distance=one.case.setup.distance,
            closed=_closed_form(one.plan),
        )
        record, own = _record(one, surface, lines, light, searched)
        if said:
            record = record.model_copy(update={"caption": f"{record.caption} {SMOOTHED}"})
        samples.append(record)
        remarks += [*own, *sample_remarks(one.case, one.state, record)]
        luminance, pixel = drawn_luminance(one.mapped, light=light, finish=finish, dpi=ask.dpi)
        pictures.append(Pictured(one.variant.title, record.caption, luminance, pixel))
    beside = None
    if measured is not None and ask.compare is not None:
        beside, own = _measured(measured, ask.compare, ask, samples[0])
        mapped, _ = measured_map(measured, dpi=ask.dpi)
        remarks += own
        if mapped is not None:
            luminance, pixel = drawn_luminance(mapped, light=light, finish=finish, dpi=ask.dpi)
            pictures.append(Pictured(f"measured: {ask.compare.name}", "", luminance, pixel))
    sheet = SampleSheet(
        stamp=stamp(first.case, engine=ENGINE),
        job=first.plan.job,
        face=first.plan.face,
        step=first.plan.step,
        rests_on=first.plan.rests_on,
        seed=seed,
        light=light.tilt_across,
        light_found=searched,
        distance=first.plan.distance,
        dpi=ask.dpi,
        samples=tuple(samples),
        measured=beside,
        remarks=remark_records(remarks),
    )
    return Sampled(first.plan, sheet, tuple(pictures), surfaces)


def _closed_form(plan: PlanRecord) -> Number | None:
    """Lines along the grain as the plan has them, the belt's own and the overlaps together: their visibilities add as squares."""
    found = [mark.strength for mark in plan.marks if mark.direction == "across" and isinstance(mark.strength, Number)]
    if not found:
        return None
    value, low, high = (math.sqrt(sum(getattr(each, edge) ** 2 for each in found)) for edge in ("value", "low", "high"))
    return Number(value=value, low=low, high=high, kind="ratio", known=weakest(tuple(each.known for each in found)), source="closed form")


def _record(one: Worked, surface: Surface, lines: SampleLines, light: Lighting, searched: bool) -> tuple[SampleRecord, tuple[Remark, ...]]:
    strip, grains = one.drawn.strip, one.grains
    read, found = read_surface(surface)
    expected = expected_removal(one.drawn, strip.across)
    population = grains.population
    record = SampleRecord(
        title=one.variant.title,
        caption=caption_of(one.plan, one.case, grains, light=light, searched=searched),
        chain=chain_of(one.case, one.plan, grains, passes=len(one.drawn.passes)),
        settings=one.plan.settings,
        length=strip.row_count * strip.rows,
        width=strip.sample_count * strip.samples,
        corner=(strip.start_along, strip.start_across),
        row_spacing=strip.rows,
        sample_spacing=strip.samples,
        rows=strip.row_count,
        samples=strip.sample_count,
        passes=len(one.drawn.passes),
        removal=float(-np.mean(one.height, dtype=np.float64)),
        removal_plan=float(np.mean(expected)),
        roughness=number_in(read, "Ra"),
        roughness_plan=number_of_value(one.case.values["roughness"], "length"),
        grains=SampleGrains(
            density=population.density,
            height_sd=population.height_sd,
            tip_radius=population.base_radius,
            edge_radius=population.edge_radius,
            attack_angle=population.attack_angle,
            groove_coefficient=grains.groove_coefficient,
            fitted=grains.fitted,
            strength=grains.strength,
            met=grains.met,
        ),
        lines=lines,
        read=read,
    )
    bare = float(np.mean(expected < one.state.takeover_depth[0]))
    return record, (*found.remarks, *_bare(bare))


def _bare(share: float) -> tuple[Remark, ...]:
    if share <= 0.0:
        return ()
    message = (
        f"On {100.0 * share:.0f} % of the piece the passes take off less than renews the texture: the sheet as it came in shows there. "
        "Take another piece, or a smaller step-over"
    )
    return (Remark("sample-hardly-cut", "caution", message, "derived: stock removed by the closed form", "--at"),)


def _measured(surface: Surface, path: Path, ask: Asked, sample: SampleRecord) -> tuple[MeasuredSurface, tuple[Remark, ...]]:
    read, found = read_surface(surface, cutoff=sample.read.cutoff)
    mapped, reason = measured_map(surface, dpi=ask.dpi)
    along = surface.along == "x" and not surface.is_trace
    spacing, rows = (surface.spacing_y, surface.spacing_x) if along else (surface.spacing_x, surface.spacing_y)
    count_across, count_along = surface.height.shape if along else surface.height.shape[::-1]
    record = MeasuredSurface(
        name=path.name,
        length=count_along * rows,
        width=count_across * spacing,
        row_spacing=rows,
        sample_spacing=spacing,
        drawn=mapped is not None,
        reason=reason,
        read=read,
    )
    return record, (*found.remarks, *measured_remarks(record), *spacing_remark(record, sample))
