"""The screen of ``evenlay sample``."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import typer

from evenlay.answers.sample_numbers import SHOWN, compared
from evenlay.cli.plan_screen import DEFER
from evenlay.cli.screens import band, quantity, remarks, say, table
from evenlay.job.sample_record import MeasuredSurface, ReadNumber, SampleRecord, SampleSheet
from evenlay.quantities.units import format_ratio

if TYPE_CHECKING:
    from evenlay.answers.sample_files import WrittenSample


def show_sample(written: WrittenSample) -> None:
    """Print what was drawn, its numbers and what they rest on."""
    sheet, plan = written.sampled.sheet, written.sampled.plan
    typer.echo(f"{plan.job} · face {plan.face} · step {plan.step} · drawn sample")
    say(plan.rests_on)
    if sheet is None:
        remarks(plan.remarks, levels=("stop", "withheld"))
        say("A stop stands: nothing is handed out, no sample, no files.")
        say(DEFER)
        return
    for record in sheet.samples:
        say()
        _sample(record, sheet)
    if sheet.measured is not None:
        say()
        _beside(sheet.samples[0], sheet.measured)
    say()
    say("What the picture rests on:")
    for link in sheet.samples[0].chain:
        say(link, indent="  ", hang="    ")
    remarks(sheet.remarks, levels=("stop", "withheld", "gap", "caution", "note"))
    say()
    say("Written: " + ", ".join(str(path) for path in written.files), hang="  ")


def _sample(record: SampleRecord, sheet: SampleSheet) -> None:
    size = f"{quantity(record.length, 'length')} along x {quantity(record.width, 'length')} across the grain"
    corner = f"{quantity(record.corner[0], 'length')} along and {quantity(record.corner[1], 'length')} across"
    say(f"{record.title + ': ' if record.title else ''}{size}, from {corner}; {record.passes} passes, seed {sheet.seed}.", hang="  ")
    found = "where lines show most" if sheet.light_found else "as asked"
    say(f"Light: half vector {math.degrees(sheet.light):.0f}° across the grain, {found}; eye at {band(sheet.distance)}.", hang="  ")
    removed, planned = quantity(record.removal, "length"), quantity(record.removal_plan, "length")
    say(f"Stock removed {removed} (simulated), {planned} by the plan for these passes.", hang="  ")
    if record.roughness is not None:
        say(f"Ra {quantity(record.roughness, 'length')} (simulated), plan {band(record.roughness_plan)}.", hang="  ")
    _lines(record)
    table(
        [("number", "value", "scatter", "read by"), *(_row(each) for each in record.read.numbers if each.symbol in SHOWN)],
        widths=(13, 11, 10),
    )


def _lines(record: SampleRecord) -> None:
    lines = record.lines
    if lines.turns == 0:
        say("Lines along the grain: the piece is shorter than two turns of the belt; nothing can be told.", hang="  ")
        return
    seen, control = format_ratio(lines.simulated), format_ratio(lines.control)
    shows = f"{seen} times just-visible" if lines.found else f"not found ({seen}, below 1.5 times its control)"
    beside = "" if lines.closed_form is None else f"; closed form {band(lines.closed_form)}"
    ratio = "" if lines.ratio is None else f"; ratio {format_ratio(lines.ratio)}"
    say(f"Lines along the grain in the picture (belt and overlaps): {shows}, control {control}{beside}{ratio}.", hang="  ")


def _row(each: ReadNumber) -> tuple[str, str, str, str]:
    return (each.symbol, _shown(each, each.value), _shown(each, each.scatter), each.reason or each.clause)


def _shown(each: ReadNumber, value: float | None) -> str:
    if value is None:
        return "-"
    if each.unit == "m":
        return quantity(value, "length")
    return quantity(value, "angle") if each.unit == "rad" else f"{value:.3g}"


def _beside(record: SampleRecord, measured: MeasuredSurface) -> None:
    say(f"Beside {measured.name}, read with the same cut-off of {quantity(record.read.cutoff, 'length')}:", hang="  ")
    rows = [("number", "drawn", "scatter", "measured", "scatter", "drawn against measured")]
    for one, two, differs in compared(record.read, measured.read):
        if one.symbol in SHOWN:
            words = two.reason or one.reason or "-" if differs is None else f"{100.0 * differs:+.0f} %"
            rows.append(
                (one.symbol, _shown(one, one.value), _shown(one, one.scatter), _shown(two, two.value), _shown(two, two.scatter), words)
            )
    table(rows, widths=(13, 10, 10, 10, 10))
