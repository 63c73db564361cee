"""Everything that is read off one surface file, its spacings offered to the causes of a job, and a step measured before and after."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

from evenlay import __version__
from evenlay.answers.surface_picture import SurfaceView, surface_view
from evenlay.answers.why import option, why_spacing
from evenlay.files.bounded import problem
from evenlay.files.surfaces import open_surface, write_surface
from evenlay.job.amounts import nearest_word
from evenlay.job.answer_parts import Number, RemarkRecord, Stamp
from evenlay.job.surface_record import (
    SmoothingBandRecord,
    SmoothingRecord,
    SurfaceBandRecord,
    SurfaceFileRecord,
    SurfaceNumberRecord,
    SurfacePitchRecord,
    SurfaceRecord,
    SurfaceSettingRecord,
)
from evenlay.job.why_record import WhyRecord
from evenlay.physics.smoothing import measured_smoothing
from evenlay.physics.surface_numbers import Edition, Grain, Surface, SurfaceNumbers, rows_across, surface_numbers
from evenlay.physics.surface_numbers.pitches import Pitch
from evenlay.physics.surface_numbers.settings import CUTOFFS
from evenlay.physics.surface_numbers.spectrum import BANDS, WAVES_NEEDED
from evenlay.quantities.errors import InputProblem, InputProblems

EDITIONS: Final[Mapping[str, Edition]] = {"21920": "ISO 21920-3:2021", "4288": "ISO 4288:1996"}
"""How an edition is asked for."""

GRAINS: Final[Mapping[str, Grain]] = {"": "", "x": "x", "y": "y"}
"""The axis that the grain runs along; nothing leaves what the file says."""

Word = TypeVar("Word", Edition, Grain)

MOST_PITCHES: Final = 8
"""Spacings told in each direction, strongest first. [-]"""

RESTS_ON: Final = (
    "measured before and after the step, band by band; nothing is worked out. It holds for this step on this grain, and leaves out what "
    "the step scratches anew."
)


@dataclass(frozen=True, eq=False)
class SurfaceAnswer:
    """The record, and what a picture of it needs."""

    record: SurfaceRecord
    view: SurfaceView


def read_surface_file(
    file: Path,
    *,
    asked: Mapping[str, str],
    after: Path | None = None,
    out: Path | None = None,
    job: Path | None = None,
    place: Mapping[str, str | None] | None = None,
) -> SurfaceAnswer:
    """
    Read a surface file and everything off it.

    Parameters
    ----------
    file : Path
        Any format that is known.
    asked : mapping
        As typed; empty or absent where left to the program: ``cut_off``, ``limit`` (of Ra), ``edition``, ``grain``.
    after : Path, optional
        The same face after a step that smooths: its factors are worked out.
    out : Path, optional
        Where to write the surface, in the format that its name ends in.
    job : Path, optional
        Job whose causes are offered each spacing.
    place : mapping, optional
        ``face`` and ``step`` of the job.

    Returns
    -------
    SurfaceAnswer

    Raises
    ------
    InputProblems
        If a file or an option cannot be used.
    """
    edition = _word("--edition", asked.get("edition") or "21920", EDITIONS)
    grain = _word("--grain", asked.get("grain") or "", GRAINS)
    cutoff, limit = _cutoff(asked.get("cut_off") or ""), asked.get("limit") or ""
    upper_limit = option("--limit", limit, "length") if limit else None
    surface = _opened(file, grain)
    try:
        found = surface_numbers(surface, edition=edition, cutoff=cutoff, upper_limit=upper_limit)
    except ValueError as wrong:
        raise problem(file, f"nothing can be read off it ({wrong})", "measure again, or give another cut-off") from None
    smoothing = None if after is None else _smoothing(file, surface, after, grain)
    pitches, left = _pitches(found, job, place or {})
    record = SurfaceRecord(
        stamp=_stamp(file, after),
        read=_file_record(file, surface),
        setting=SurfaceSettingRecord(
            edition=found.setting.edition,
            cutoff=found.setting.cutoff,
            evaluation_length=found.setting.evaluation_length,
            short_wave=found.setting.short_wave,
            profiles=found.profiles,
            sections=found.sections,
            sections_asked=found.setting.sections,
        ),
        numbers=tuple(
            SurfaceNumberRecord(
                symbol=each.symbol, value=each.value, unit=each.unit, scatter=each.scatter, clause=each.clause, reason=each.reason
            )
            for each in found.numbers
        ),
        bands=_bands(surface, found),
        pitches=pitches,
        pitches_left_out=left,
        no_pitches_across=found.no_pitches_across,
        no_pitches_along=found.no_pitches_along,
        smoothing=smoothing,
        remarks=tuple(RemarkRecord(**vars(each)) for each in found.remarks),
        written=() if out is None else (_written((file, after), out, surface),),
    )
    return SurfaceAnswer(record, surface_view(surface, found))


def _word(name: str, text: str, words: Mapping[str, Word]) -> Word:
    if text not in words:
        known = [each for each in words if each]
        raise InputProblems(
            (InputProblem("evenlay surface", name, f'"{text}" is not known', f"give {' or '.join(known)}", nearest_word(text, known)),)
        )
    return words[text]


def _cutoff(text: str) -> float | None:
    if not text:
        return None
    value = option("--cut-off", text, "length")
    near = min(CUTOFFS, key=lambda each: abs(each - value))
    if abs(near - value) > 1e-6 * near:
        allowed = f"give {', '.join(f'{each * 1e3:g}' for each in CUTOFFS[:-1])} or {CUTOFFS[-1] * 1e3:g} mm"
        raise InputProblems((InputProblem("evenlay surface", "--cut-off", f'"{text}" is no cut-off of the standards', allowed),))
    return near


def _opened(file: Path, grain: Grain) -> Surface:
    surface = open_surface(file)
    return replace(surface, along=grain) if grain else surface


def _file_record(file: Path, surface: Surface) -> SurfaceFileRecord:
    rows, columns = surface.height.shape
    return SurfaceFileRecord(
        file=str(file),
        source=surface.source,
        columns=columns,
        rows=rows,
        spacing_x=surface.spacing_x,
        spacing_y=surface.spacing_y,
        missing=surface.missing,
        along=surface.along,
        direction=rows_across(surface).direction,
    )


def _stamp(*files: Path | None) -> Stamp:
    content = hashlib.sha256()
    for file in files:
        if file is not None:
            with file.open("rb") as opened:
                content.update(hashlib.file_digest(opened, "sha256").digest())
    return Stamp(version=__version__, engine="surface numbers", seed=0, draws=0, inputs_sha256=content.hexdigest())


def _written(read: tuple[Path | None, ...], out: Path, surface: Surface) -> str:
    if out.exists() and any(file is not None and out.samefile(file) for file in read):
        raise problem(out, "this is a file that is read", "give another name: what was measured is never written over")
    write_surface(out, surface)
    return str(out)


def _bands(surface: Surface, found: SurfaceNumbers) -> tuple[SurfaceBandRecord, ...]:
    rows = rows_across(surface)
    length = (rows.height.shape[1] - 1) * rows.spacing
    records = []
    for (shortest, longest), single, whole in zip(BANDS, found.bands, found.persistent_bands, strict=True):
        reason = ""
        if single is None and length < WAVES_NEEDED * longest:
            reason = f"{length * 1e3:.3g} mm are too short: {WAVES_NEEDED * longest * 1e3:g} mm at least"
        elif single is None and rows.spacing > 0.25 * shortest:
            reason = f"points {rows.spacing * 1e6:.3g} µm apart are too far: {0.25e6 * shortest:g} µm at most"
        elif single is None:
            reason = "no row across the grain can be read"
        records.append(
            SurfaceBandRecord(
                shortest=shortest,
                longest=longest,
                rms=None if single is None else single.rms,
                scatter=None if single is None else single.scatter,
                persistent=None if whole is None else whole.rms,
                reason=reason,
            )
        )
    return tuple(records)


def _pitches(found: SurfaceNumbers, job: Path | None, place: Mapping[str, str | None]) -> tuple[tuple[SurfacePitchRecord, ...], int]:
    records: list[SurfacePitchRecord] = []
    left = 0
    for direction, pitches in (("across", found.pitches_across), ("along", found.pitches_along)):
        left += max(len(pitches) - MOST_PITCHES, 0)
        for each in pitches[:MOST_PITCHES]:
            why = None if job is None or each.multiple > 1 else _why(each, job, along=direction == "along", place=place)
            records.append(_pitch_record(each, direction, why))
    return tuple(records), left


def _pitch_record(each: Pitch, direction: str, why: WhyRecord | None) -> SurfacePitchRecord:
    number = Number(value=each.pitch, low=each.low, high=each.high, kind="length", known="measured", source="peak of the spectrum")
    return SurfacePitchRecord(
        direction="along" if direction == "along" else "across",
        pitch=number,
        amplitude=each.amplitude,
        ratio=each.ratio,
        multiple=each.multiple,
        base=each.base,
        why=why,
    )


def _why(each: Pitch, job: Path, *, along: bool, place: Mapping[str, str | None]) -> WhyRecord:
    """Suspects of a spacing, with the tolerance that its own band says."""
    share = min(max((each.high - each.low) / (2.0 * 1.645 * each.pitch), 1e-3), 0.5)
    return why_spacing(
        job,
        spacing=f"{each.pitch * 1e3:.9g} mm",
        along=along,
        tolerance=f"{share * 100.0:.9g} %",
        face_id=place.get("face"),
        step_id=place.get("step"),
    )


def _smoothing(file: Path, before: Surface, after: Path, grain: Grain) -> SmoothingRecord:
    second = _opened(after, grain)
    try:
        found = measured_smoothing(before, second)
    except ValueError as wrong:
        raise problem(after, f"it cannot be compared with {file} ({wrong})", "give two maps, or two traces across the grain") from None
    told = [
        SmoothingBandRecord(shortest=each.shortest, longest=each.longest, factor=each.factor, scatter=each.scatter)
        for each in found.factors
    ]
    told += [
        SmoothingBandRecord(shortest=shortest, longest=longest, factor=None, scatter=None, reason=reason)
        for (shortest, longest), reason in found.reasons
    ]
    return SmoothingRecord(after=_file_record(after, second), bands=tuple(sorted(told, key=lambda each: each.shortest)), rests_on=RESTS_ON)
