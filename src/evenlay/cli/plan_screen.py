"""The screen of ``evenlay plan``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from evenlay.cli.screens import band, quantity, remarks, say, table
from evenlay.job.answer_parts import MarkRecord, Number
from evenlay.job.plan_record import PlanRecord
from evenlay.quantities.units import format_ratio

if TYPE_CHECKING:
    from evenlay.answers.plan_files import Planned

AT_THE_TOP = ("limit-broken", "limit-at-risk", "belt-bridges-hollow", "bare-stripes", "drive-too-slow", "settings-at-their-limit")
"""Remarks without which the headline would mislead."""

DEFER = "Not a risk assessment: local codes, the maker's plate and licensed practice decide."


def show_plan(answer: Planned, *, why_visible: str = "", inch: bool = False, every: bool = False) -> None:
    """Print one screen of a plan."""
    plan = answer.plan
    typer.echo(f"{plan.job} · face {plan.face} · step {plan.step}")
    say(plan.rests_on)
    stopped = any(remark.level == "stop" for remark in plan.remarks)
    remarks(plan.remarks, levels=("stop", "withheld"))
    if stopped:
        say("A stop stands: nothing is handed out, no settings, no files.")
        say(DEFER)
        return
    say()
    say(plan.headline)
    for remark in plan.remarks:
        if remark.code in AT_THE_TOP:
            say(f"{remark.message} [{remark.code}]", hang="  ")
    say()
    _settings(plan, inch=inch)
    _lines(plan, inch=inch)
    _sections(plan, inch=inch)
    _front(plan, inch=inch)
    _learning(plan)
    if answer.changes:
        say()
        say("What this change moves:" if answer.tried else "Against the last plan:")
        for change in answer.changes:
            say(f"{change.what}: {band(change.before, inch=inch)} -> {band(change.after, inch=inch)}", indent="  ", hang="    ")
    say()
    if every:
        remarks(plan.remarks, levels=("gap", "caution", "note"))
    else:
        _in_short(plan)
    say(DEFER)
    chains = plan.marks if every else [mark for mark in plan.marks if mark.key == why_visible]
    if why_visible and not chains:
        say(f'There is no cause "{why_visible}"; there are {", ".join(mark.key for mark in plan.marks)}.')
    for mark in chains:
        show_chain(mark, inch=inch)
    if answer.files:
        say()
        say("Written: " + ", ".join(str(path) for path in answer.files), hang="  ")


def _in_short(plan: PlanRecord) -> None:
    asks = [remark.where for remark in plan.remarks if remark.level == "gap"]
    if asks:
        say(f"Ask the customer: {', '.join(asks)}.", hang="  ")
    codes = {level: [remark.code for remark in plan.remarks if remark.level == level] for level in ("caution", "note")}
    said = "; ".join(f"{level}s {', '.join(dict.fromkeys(found))}" for level, found in codes.items() if found)
    say(f"Also said (--all prints it): {said}.", hang="  ")


def _settings(plan: PlanRecord, *, inch: bool) -> None:
    settings = plan.settings
    known = dict(plan.settings_known)
    shifts = ", ".join(quantity(each, "length", inch=inch) for each in settings.offsets)

    def one(name: str, text: str) -> str:
        return f"{text} ({known[name]})"

    force = one("force", quantity(settings.force, "force", inch=inch))
    belt = one("speed", quantity(settings.speed, "speed", inch=inch))
    feed = one("feed", quantity(settings.feed, "speed", inch=inch))
    step = one("step_over", quantity(settings.step_over, "length", inch=inch))
    say(f"Force {force}, belt {belt}, feed {feed}, step-over {step}.", hang="  ")
    alike = "all with the same force" if settings.taper == 1.0 else f"each later round {settings.taper:.2g} of the force before"
    later = f", {alike} ({known['taper']})" if settings.rounds > 1 else ""
    plural = "s" if settings.rounds > 1 else ""
    say(f"{settings.rounds} round{plural} ({known['rounds']}) shifted by {shifts} ({known['offsets']}){later}.", hang="  ")
    say(f"Time {band(plan.time.total)}, for {plan.time.passes} passes.", hang="  ")


def _lines(plan: PlanRecord, *, inch: bool) -> None:
    say()
    far = quantity(plan.distance.value, "length", inch=inch)
    eye = "eye calibrated by a limit sample" if plan.calibrated else "for all alike the eye may make it x 2.8 or / 1.5"
    say(f"How much each line shows from {far}, in times just-visible ({eye}):")
    rows = [("shows", "band", "known", "spacing", "cause")]
    unknown = []
    for mark in plan.marks:
        spacing = (
            quantity(mark.pitches[0][1].value, "length", inch=inch) if mark.pitches else ("any" if mark.direction == "across" else "-")
        )
        arrow = "across" if mark.direction == "across" else "along"
        if isinstance(mark.strength, Number):
            number = mark.strength
            faint = mark.control is not None and number.value < 1.5 * mark.control
            name = f"{mark.label}, {arrow}{' (not found: below its control)' if faint else ''}"
            shown = [format_ratio(each) for each in (number.value, number.low, number.high)]
            rows.append((shown[0], f"{shown[1]} to {shown[2]}", number.known, spacing, name))
        elif mark.strength is not None:
            unknown.append(f"{mark.label} ({arrow}, spacing {'not known' if spacing == '-' else spacing}): measure {mark.strength.measure}")
    table(rows, widths=(7, 15, 9, 9))
    for words in unknown:
        say(f"strength unknown: {words}", indent="  ", hang="    ")


def _sections(plan: PlanRecord, *, inch: bool) -> None:
    contact, removal, drive, heat = plan.contact, plan.removal, plan.drive, plan.heat
    restored = quantity(contact.edge_force.value, "force", inch=inch)
    say()
    say(
        f"Contact: patch {band(contact.patch_length, inch=inch)}; half-depth width {band(contact.half_depth_width, inch=inch)}; full ramp "
        f"{band(contact.ramp, inch=inch)}; pressure {band(contact.mean_pressure, inch=inch)}; a third of the belt over a free edge raises "
        f"the load there x {format_ratio(contact.edge_rise.value)}, and {restored} restores it.",
        hang="  ",
    )
    say(
        f"Stock removed: {band(removal.total, inch=inch)}; uneven by {band(removal.ripple_with_error, digits=2)}, with path error and belt "
        f"wander (nominal {quantity(removal.ripple.value, 'share', digits=2)}); {removal.budget}.",
        hang="  ",
    )
    say(f"Drive: {band(drive.power)}, {band(drive.torque, inch=inch)}. {drive.note}.", hang="  ")
    say(f"Heat: flash {band(heat.flash)}, sheet {band(heat.sheet)}; {heat.tint}.", hang="  ")
    stroke = (
        f"{band(plan.device, inch=inch)} of stroke needed" if isinstance(plan.device, Number) else f"not known yet: {plan.device.measure}"
    )
    say(f"Force device: {stroke}. Belt age: not known yet ({plan.wear.measure}).", hang="  ")


def _front(plan: PlanRecord, *, inch: bool) -> None:
    if len(plan.front) < 2:
        return
    say()
    say(f"Ways found among {plan.tried} (level: the worst line stays under it with {100 * plan.probability:.0f} % certainty):")
    rows = [("time", "level", "force", "belt", "feed", "rounds x step", "gives up")]
    for option in plan.front:
        settings = option.settings
        rows.append(
            (
                quantity(option.time, "time"),
                format_ratio(option.level),
                quantity(settings.force, "force", inch=inch),
                quantity(settings.speed, "speed", inch=inch),
                quantity(settings.feed, "speed", inch=inch),
                f"{settings.rounds} x {quantity(settings.step_over, 'length', inch=inch)}",
                ("taken: " if option.chosen else "") + option.gives_up,
            )
        )
    table(rows, widths=(9, 6, 6, 8, 9, 13))


def _learning(plan: PlanRecord) -> None:
    if plan.ranking:
        say()
        parts = ", ".join(f"{rank.label} {100 * rank.share:.0f} %" for rank in plan.ranking if rank.share >= 0.01)
        say(f"What moves the worst line most (share of its variance): {parts}.", hang="  ")
    if not plan.measure_next:
        say("Measure next: no one measurement listed would narrow the answers by more than 5 %.")
    for measure in plan.measure_next:
        say(
            f"Measure next for {measure.answer}: {measure.label} ({measure.minutes:.0f} min); band x {format_ratio(measure.band_now)} -> "
            f"x {format_ratio(measure.band_after)}.",
            hang="  ",
        )


def show_chain(mark: MarkRecord, *, inch: bool = False) -> None:
    """Print the chain of one cause to the eye, each link with how it is known."""
    say()
    say(f"Why the {mark.label} shows ({mark.key}); it lies {mark.place}; memory: {mark.memory}.")
    if not mark.chain:
        measure = "" if isinstance(mark.strength, Number) or mark.strength is None else f": measure {mark.strength.measure}"
        say(f"No chain{measure}.", indent="  ")
    table([(band(link.number, inch=inch), link.name) for link in mark.chain], widths=(44,))
    if mark.control is not None:
        say(f"control, the same sum for a face that does not repeat: {format_ratio(mark.control)}", indent="  ")
    if mark.claim != (1.0, 1.0):
        say(f"a simulation gave {format_ratio(mark.claim[0])} to {format_ratio(mark.claim[1])} times this number", indent="  ")
    say(f"to change it: {mark.remedy}; cost: {mark.remedy_cost}", indent="  ", hang="    ")
