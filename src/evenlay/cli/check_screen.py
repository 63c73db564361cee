"""The screen of ``evenlay check``."""

from __future__ import annotations

import typer

from evenlay.answers.numbers import seen_word
from evenlay.cli.screens import band, quantity, remarks, say, table
from evenlay.job.answer_parts import BandRecord
from evenlay.job.check_record import CheckRecord, SpeedRow


def show_check(answer: CheckRecord, *, inch: bool = False, every: bool = False) -> None:
    """Print what geometry and clocks say."""
    typer.echo(f"{answer.job} · face {answer.face} · step {answer.step}")
    say(answer.rests_on)
    remarks(answer.remarks, levels=("stop", "withheld"))
    say()
    say(
        f"Belt {band(answer.speed, inch=inch)}; wheel {quantity(answer.rotation.value, 'rotation')}; feed {band(answer.feed, inch=inch)}; "
        f"force {band(answer.force, inch=inch)}."
    )
    table([("speed", "allowed", "by"), *(_speed(row, inch=inch) for row in answer.speeds)], widths=(34, 20))
    say()
    if answer.patch_length is not None:
        turn = quantity(answer.repeat_length.value, "length", inch=inch)
        say(f"Patch length {band(answer.patch_length, inch=inch)}. One turn of the belt covers {turn}.")
    say(f"Reach: {answer.reach}.")
    low, high = (quantity(edge, "length", inch=inch) for edge in (answer.eye_band.low, answer.eye_band.high))
    say()
    far = quantity(answer.distance.value, "length", inch=inch)
    say(
        f"Marks this set-up can print. From {far} the eye sees spacings of {low} to {high} best, "
        f"most at {quantity(answer.most_visible, 'length', inch=inch)}."
    )
    rows = [("spacing", "direction", "to the eye", "cause")]
    for mark in answer.marks:
        if not mark.pitches:
            any_spacing = mark.direction == "across"
            rows.append(("any" if any_spacing else "unknown", mark.direction, mark.seen if any_spacing else "not known", mark.label))
        for index, (name, number) in enumerate(mark.pitches):
            seen = seen_word(number.value, answer.eye_band.low, answer.eye_band.high) if index else mark.seen
            rows.append((quantity(number.value, "length", inch=inch), mark.direction, seen, f"{mark.label}: {name}"))
    table(rows, widths=(12, 11, 17))
    say("Spacings are kept as well as feed, belt speed and lengths are: about 3 % either way, a guess.", indent="  ")
    if every:
        for mark in answer.marks:
            say(f"{mark.label}: lies {mark.place}. To change it: {mark.remedy}. Cost: {mark.remedy_cost}.", indent="  ", hang="    ")
    say()
    say(f"Feeds at which no mark along the grain is seen best: {_bands(answer.clear_feeds, inch=inch)}.", hang="  ")
    say(f"Belt speeds likewise: {_bands(answer.clear_speeds, inch=inch)}.", hang="  ")
    changed = [row for row in answer.effective if row.replaced is not None]
    if changed:
        say()
        say("Evidence has moved:")
        for row in changed:
            was = f"; the file says {band(row.replaced, inch=inch)}" if row.replaced is not None else ""
            say(f"{row.label}: {band(row.number, inch=inch)}{was}", indent="  ", hang="    ")
    say()
    remarks(answer.remarks, levels=("gap", "caution", "note"))


def _speed(row: SpeedRow, *, inch: bool) -> tuple[str, str, str]:
    low = "" if row.low is None else quantity(row.low, "speed", inch=inch)
    high = "" if row.high is None else quantity(row.high, "speed", inch=inch)
    allowed = f"{low} to {high}" if low and high else (f"up to {high}" if high else (f"from {low}" if low else "not entered"))
    verdict = {True: "", False: "OUTSIDE. ", None: ""}[row.inside]
    return row.name, allowed, f"{verdict}{row.source}"


def _bands(bands: tuple[BandRecord, ...], *, inch: bool) -> str:
    if not bands:
        return "none in the range"
    return ", ".join(f"{quantity(each.low, each.kind, inch=inch)} to {quantity(each.high, each.kind, inch=inch)}" for each in bands)
