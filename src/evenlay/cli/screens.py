"""Answers in words, 80 columns wide; colour carries nothing."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Final

import typer

from evenlay.cli.exits import Exit
from evenlay.job.answer_parts import Number, RemarkRecord
from evenlay.quantities.units import format_quantity

if TYPE_CHECKING:
    from pydantic import BaseModel

    from evenlay.answers.add import Added
    from evenlay.answers.plan import NoPlan
    from evenlay.answers.start import Started
    from evenlay.job.evidence_record import Entry
    from evenlay.job.why_record import WhyRecord

WIDTH: Final = 80

LEVEL_WORDS: Final = {"stop": "STOP", "withheld": "WITHHELD", "gap": "gap", "caution": "caution", "note": "note"}


def say(text: str = "", *, indent: str = "", hang: str | None = None) -> None:
    """Print a paragraph, wrapped."""
    if not text:
        typer.echo()
        return
    typer.echo(
        textwrap.fill(
            text,
            width=WIDTH,
            initial_indent=indent,
            subsequent_indent=indent if hang is None else hang,
            break_on_hyphens=False,
            break_long_words=False,
        )
    )


def table(rows: Sequence[Sequence[str]], *, widths: Sequence[int]) -> None:
    """Print rows in columns; the last column wraps under itself."""
    for row in rows:
        head = "".join(f"{cell:<{width - 1}} " for cell, width in zip(row[:-1], widths, strict=False))
        say(row[-1] or "-", indent=f"  {head}", hang=" " * (2 + sum(widths[: len(row) - 1])))


def quantity(value: float, kind: str, *, inch: bool = False, digits: int = 3) -> str:
    """Number in SI with the reader's unit."""
    return format_quantity(value, kind, "inch" if inch else "metric", digits)


def band(number: Number, *, inch: bool = False, digits: int = 3) -> str:
    """
    Number with its band and how it is known, in few words.

    Examples
    --------
    >>> band(Number(value=0.021, low=0.018, high=0.024, kind="length", known="guess"))
    '21 mm (18 to 24 mm), guess'
    >>> band(Number(value=40.0, low=40.0, high=40.0, kind="force", known="asked"))
    '40 N'
    """
    centre = quantity(number.value, number.kind, inch=inch, digits=digits)
    if number.low == number.high:
        return centre if number.known == "asked" else f"{centre}, {number.known}"
    # All three in the unit of the centre, so that the eye compares numbers and not units.
    unit = centre.rsplit(" ", 1)[1] if " " in centre else None
    low, high = (format_quantity(edge, number.kind, "inch" if inch else "metric", digits, unit=unit) for edge in (number.low, number.high))
    if low == high:
        return f"{centre}, {number.known}"
    one = low.rsplit(" ", 1)[0] if unit is not None and low.endswith(f" {unit}") else low
    return f"{centre} ({one} to {high}), {number.known}"


def remarks(found: Iterable[RemarkRecord], *, levels: Sequence[str]) -> None:
    """Print remarks of some levels, each with its code and source."""
    for remark in found:
        if remark.level in levels:
            head = f"{LEVEL_WORDS[remark.level]}: "
            say(f"{head}{remark.message} [{remark.code}; {remark.source}]", hang=" " * 4)


def print_json(answer: BaseModel, *, only: Collection[str] | None = None) -> None:
    """Print an answer as JSON: the whole, or only some of its fields."""
    fields = answer.model_dump(mode="json", include=None if only is None else set(only))
    typer.echo(json.dumps(fields, indent=1, ensure_ascii=False, allow_nan=False))


def show_start(made: Started) -> None:
    """Say what was made and what comes next."""
    typer.echo("Made " + ", ".join(str(path) for path in made.files))
    typer.echo(f"Next: look at it, then   evenlay check {made.folder}   and   evenlay plan {made.folder}")


def show_added(added: Added) -> None:
    """Say what an addition changed."""
    for entry in added.entries:
        typer.echo(f"Added evidence {entry.id} ({entry.kind}) to {added.folder}")
    if added.width is not None:
        typer.echo(f"  half-depth width of the pass: {band(added.width)}")
    if added.ramps:
        say("; ".join(f"{name} {band(number)}" for name, number in added.ramps), indent="  ", hang="    ")
    for learnt in added.learnt:
        say(f"{learnt.key}: {band(learnt.after)}; was {band(learnt.before)}", indent="  ", hang="    ")
    if not added.learnt and added.width is None:
        say("It moved nothing that this set-up uses.", indent="  ")
    for remark in added.remarks:
        say(f"{LEVEL_WORDS[remark.level]}: {remark.message} [{remark.code}]", hang="    ")
    typer.echo(f"Next: evenlay plan {added.folder}")


def show_undone(pair: tuple[Entry, Entry]) -> None:
    """Say what was taken back."""
    taken, said = pair
    say(f"Took back evidence {taken.id} ({taken.kind}); the log keeps both it and the taking back ({said.id}).", hang="  ")


def show_why(answer: WhyRecord, *, inch: bool = False) -> None:
    """Rank the suspects of a spacing."""
    across = "across the grain (lines run along it)" if answer.direction == "across" else "along the grain (marks across it)"
    say(f"{answer.job}: which cause printed {band(answer.spacing, inch=inch)} {across}?")
    rows = [("would print", "off by", "share", "cause")]
    for suspect in answer.suspects[:6]:
        own = "any" if suspect.spacing is None else quantity(suspect.spacing, "length", inch=inch)
        off = "-" if suspect.off_by is None else f"{100.0 * suspect.off_by:+.1f} %"
        name = suspect.label if suspect.mark == suspect.label else f"{suspect.label}: {suspect.mark}"
        rows.append((own, off, f"{100.0 * suspect.share:.0f} %", name))
    table(rows, widths=(14, 10, 8))
    if not answer.told_apart:
        say("Cannot tell the first two apart by the spacing.")
    lengths = [quantity(length, "length", inch=inch) for length in answer.check_lengths]
    say(f"Check: {answer.check.format(*lengths)}", hang="  ")


def show_no_plan(found: NoPlan) -> int:
    """Say which limit binds, and the remarks that stood before."""
    say("No plan within the limits.")
    for reason in found.reasons:
        say(reason, indent="  ")
    for remark in found.remarks:
        say(f"{LEVEL_WORDS[remark.level]}: {remark.message} [{remark.code}]", hang="    ")
    return Exit.NO_PLAN
