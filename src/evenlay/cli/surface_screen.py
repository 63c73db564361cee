"""What was read off a surface, in words."""

from __future__ import annotations

import math

from evenlay.cli.screens import quantity, remarks, say, table
from evenlay.decisions.spacing import OTHER
from evenlay.job.surface_record import (
    SmoothingRecord,
    SurfaceFileRecord,
    SurfaceNumberRecord,
    SurfacePitchRecord,
    SurfaceRecord,
    SurfaceSettingRecord,
)
from evenlay.physics.surface_numbers.pitches import FINEST


def show_surface(answer: SurfaceRecord, *, inch: bool = False) -> None:
    """Print a surface: what was read, by which rule, the numbers, bands, spacings and causes, smoothing, remarks."""
    _read(answer.read, inch=inch)
    setting = answer.setting
    say(
        f"Profiles {answer.read.direction}, by {setting.edition}: cut-off {_length(setting.cutoff, inch)}, {_held(setting, inch)}. "
        "Every number is measured: read off this file, the instrument not checked.",
        hang="  ",
    )
    _numbers(answer.numbers, inch=inch)
    _bands(answer, inch=inch)
    _pitches(answer, inch=inch)
    if answer.smoothing is not None:
        _smoothing(answer.smoothing, inch=inch)
    if answer.remarks:
        say()
        remarks(answer.remarks, levels=("stop", "withheld", "gap", "caution", "note"))
    for file in answer.written:
        say(f"Wrote {file}")


def _held(setting: SurfaceSettingRecord, inch: bool) -> str:
    """How much of the standard's length was there."""
    whole = f"evaluation length of {_length(setting.evaluation_length, inch)}"
    if setting.profiles == 0:
        return f"no section of the {whole} fits"
    if setting.sections < setting.sections_asked:
        each = "" if setting.profiles == 1 else f"in each of {setting.profiles} rows "
        return f"{each}{setting.sections} of {setting.sections_asked} sections of the {whole}"
    return f"1 {whole}" if setting.profiles == 1 else f"{setting.profiles} {whole.replace('length', 'lengths', 1)}"


def _length(value: float, inch: bool) -> str:
    return quantity(value, "length", inch=inch)


def _read(read: SurfaceFileRecord, *, inch: bool) -> None:
    kind = "trace" if read.rows == 1 else "map"
    points = f"{read.columns} points" if read.rows == 1 else f"{read.columns} x {read.rows} points"
    steps = _length(read.spacing_x, inch) + ("" if read.rows == 1 else f" x {_length(read.spacing_y, inch)}")
    size = _length((read.columns - 1) * read.spacing_x, inch)
    size += "" if read.rows == 1 else f" x {_length((read.rows - 1) * read.spacing_y, inch)}"
    holes = f", {read.missing} not measured" if read.missing else ""
    say(f"{read.file}: a {kind} of {points}, {steps} apart, {size}{holes}. Source: {read.source}.", hang="  ")


def _shown(value: float, unit: str, *, inch: bool, digits: int = 3) -> str:
    if unit == "m":
        return quantity(value, "length", inch=inch, digits=digits)
    if unit == "rad":
        return f"{math.degrees(value):.1f} deg"
    return f"{value:.{digits}g}"


def _numbers(numbers: tuple[SurfaceNumberRecord, ...], *, inch: bool) -> None:
    say()
    rows = [("number", "value", "scatter", "defined in")]
    silent: dict[str, list[str]] = {}
    for each in numbers:
        if each.value is None:
            silent.setdefault(each.reason, []).append(each.symbol)
            continue
        scatter = "-" if each.scatter is None else _shown(each.scatter, each.unit, inch=inch, digits=2)
        rows.append((each.symbol.replace("_", " "), _shown(each.value, each.unit, inch=inch), scatter, each.clause))
    table(rows, widths=(14, 12, 12))
    say("Scatter: one standard deviation between evaluation lengths or rows; - where there is one only.", indent="  ", hang="  ")
    for reason, symbols in silent.items():
        say(f"{', '.join(symbol.replace('_', ' ') for symbol in symbols)} cannot be said: {reason}.", indent="  ", hang="    ")


def _bands(answer: SurfaceRecord, *, inch: bool) -> None:
    say()
    if answer.read.rows == 1 and answer.read.along == "x":
        say("The trace runs along the grain: nothing is said of the waves across it.")
        return
    say("Height (rms) of the waves across the grain, by their spacing:")
    rows = [("spacing", "single rows", "by chance", "what goes on along the whole map")]
    silent = []
    for each in answer.bands:
        name = _band(each.shortest, each.longest, inch=inch)
        if each.rms is None or each.scatter is None:
            silent.append((name, f"cannot be said: {each.reason}."))
            continue
        whole = "-" if each.persistent is None else _length(each.persistent, inch)
        rows.append((name, _length(each.rms, inch), f"{100.0 * each.scatter:.0f} %", whole))
    if len(rows) > 1:
        table(rows, widths=(16, 13, 11))
    table(silent, widths=(16,))


def _band(shortest: float, longest: float, *, inch: bool) -> str:
    low, high = _length(shortest, inch), _length(longest, inch)
    short, unit = low.rsplit(" ", 1)
    return f"{short} to {high}" if high.endswith(f" {unit}") else f"{low} to {high}"


def _pitches(answer: SurfaceRecord, *, inch: bool) -> None:
    say()
    silent = {"across": answer.no_pitches_across, "along": answer.no_pitches_along}
    if answer.read.rows == 1:
        del silent["across" if answer.read.along == "x" else "along"]
    for direction, reason in silent.items():
        if reason:
            say(f"Spacings {direction} the grain cannot be looked for: {reason}.", hang="  ")
    if not answer.pitches:
        looked = " or ".join(direction for direction, reason in silent.items() if not reason)
        if looked:
            say(f"No spacing of {_length(FINEST, inch)} or more stands out of the spectrum {looked} the grain.", hang="  ")
        return
    say("Spacings that stand out of the spectrum:")
    rows = [("direction", "spacing", "90 % band", "amplitude and what it is")]
    for each in answer.pitches:
        band = f"{_number(each.pitch.low, inch)} to {_number(each.pitch.high, inch)}"
        wave = "" if each.multiple == 1 else f", wave {each.multiple} of {_length(each.base, inch)}"
        rows.append((each.direction, _length(each.pitch.value, inch), band, _length(each.amplitude, inch) + wave))
    table(rows, widths=(11, 11, 17))
    if answer.pitches_left_out:
        say(f"{answer.pitches_left_out} weaker ones are left out.", indent="  ")
    asked = [each for each in answer.pitches if each.why is not None]
    if not asked:
        first = next((each for each in answer.pitches if each.multiple == 1), answer.pitches[0])
        say(
            f"Which cause? Name the job: evenlay surface {answer.read.file} --job JOB; or one spacing: evenlay why JOB --spacing "
            f'"{_length(first.pitch.value, inch)}" --{first.direction}',
            hang="  ",
        )
    for each in asked:
        _causes(each, inch=inch)


def _number(value: float, inch: bool) -> str:
    return _length(value, inch).rsplit(" ", 1)[0]


def _causes(each: SurfacePitchRecord, *, inch: bool) -> None:
    if each.why is None:
        return
    say(f"{_length(each.pitch.value, inch)} {each.direction} the grain, by {each.why.job}:", indent="  ")
    for suspect in each.why.suspects[:3]:
        own = ", has no spacing of its own" if suspect.spacing is None else f", would print {_length(suspect.spacing, inch)}"
        own = "" if suspect.label == OTHER else own
        say(f"{100.0 * suspect.share:3.0f} %  {suspect.label}{own}", indent="    ", hang=" " * 11)
    if not each.why.suspects:
        say("no cause of the job prints it", indent="    ")
    elif not each.why.told_apart:
        say("cannot tell the first two apart by the spacing", indent="    ")


def _smoothing(smoothing: SmoothingRecord, *, inch: bool) -> None:
    say()
    say("What the step left of each band of spacing:")
    _read(smoothing.after, inch=inch)
    rows = [("spacing", "left", "by chance")]
    silent = []
    for each in smoothing.bands:
        name = _band(each.shortest, each.longest, inch=inch)
        if each.factor is None or each.scatter is None:
            silent.append((name, f"cannot be said: {each.reason}."))
        else:
            rows.append((name, f"x {each.factor:.3g}", f"{100.0 * each.scatter:.0f} %"))
    table(rows, widths=(18, 9))
    table(silent, widths=(18,))
    say(f"How it is known: {smoothing.rests_on}", hang="  ")
