"""What the evidence of a job says, laid over what the file says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from evenlay.decisions.situation import Setup, Unknowns, wheel_of
from evenlay.evidence.combine import posterior, strain
from evenlay.evidence.depth import DepthRun, removal_from_depth
from evenlay.evidence.footprint import FootprintFit, fit_profile, from_lengths
from evenlay.evidence.stiffness import Print, refit_ramp, refit_stiffness
from evenlay.evidence.weighing import ASIDE, Run, Weighing, removal_from_weight
from evenlay.job.effective import Effective
from evenlay.job.evidence_record import Depth, Entry, EvidenceLog, Fingerprint, Footprint, Weight
from evenlay.physics.contact.wheels import Wheel
from evenlay.quantities.known import Value
from evenlay.quantities.remarks import Remark

STIFFNESS_KEY: Final = {
    "pneumatic": "wheel.casing_stiffness",
    "solid": "wheel.modulus",
    "expander": "wheel.modulus",
    "platen": "wheel.modulus",
    "nonwoven": "wheel.modulus",
}
"""What a print's length refits, by wheel kind; a slack belt has nothing to refit."""

NARROW: Final = 0.6
"""A print of a flat wheel narrower than this share of the belt is questioned. Guess. [-]"""

CONTRADICTS: Final = 3.0
"""Depths and weighings further apart than this cannot both be right. [standard deviations of both]"""


@dataclass(frozen=True)
class Overlay:
    """
    Values that evidence puts in place of the file's, by dotted key; ``width`` of the pass if a footprint read it [m].

    ``used`` counts the entries that speak; ``fits`` are the trapezoids through their profiles.
    """

    values: dict[str, Value]
    width: Value | None
    fits: tuple[FootprintFit, ...]
    used: int
    remarks: tuple[Remark, ...]


def overlay(
    log: EvidenceLog, *, step_id: str, now: Fingerprint, file_only: Effective, setup: Setup, unknowns: Unknowns, force: float | None = None
) -> Overlay:
    """
    Combine live evidence with what the file says.

    Parameters
    ----------
    log : EvidenceLog
    step_id : str
        Entries of other steps do not speak.
    now : Fingerprint
        Set-up as it stands: evidence of another wheel or belt is stale and does not speak.
    file_only : Effective
        What the file and the tables say: the prior.
    setup : Setup
    unknowns : Unknowns
        One row, the central values.
    force : float, optional
        Force at which the wheel is wanted; that of the file if not given. Away from the prints it is known less well. [N]

    Returns
    -------
    Overlay
        Order: prints refit the wheel's stiffness, then the ramp; weighings, then depths, refit the removal.
    """
    remarks: list[Remark] = []
    spoken: list[Entry] = []
    for entry in log.live:
        if entry.step not in ("", step_id):
            continue
        stale = entry.stale(now)
        if stale:
            remarks.append(
                Remark(
                    "evidence-stale",
                    "caution",
                    f"Evidence {entry.id} ({entry.kind}) was taken on another set-up: {'; '.join(stale)}. "
                    "It does not speak here; measure again.",
                    "design: a footprint belongs to its wheel, a weighing to its belt",
                    f"evidence {entry.id}",
                )
            )
        else:
            spoken.append(entry)
    remarks += [
        Remark(
            "raw-file-changed",
            "caution",
            f"The raw file of evidence {name} is missing or no longer has its hash.",
            "evidence is never edited",
            f"evidence {name}",
        )
        for name in log.raw_changed
    ]
    values: dict[str, Value] = {}
    at = file_only["settings.force"].number if force is None else force
    width, fits, said = _footprints(spoken, file_only, setup, unknowns, values, at)
    remarks += said
    remarks += _removal(spoken, file_only, values)
    return Overlay(values, width, fits, len(spoken), tuple(remarks))


def _footprints(
    entries: Sequence[Entry], file_only: Effective, setup: Setup, unknowns: Unknowns, values: dict[str, Value], force: float
) -> tuple[Value | None, tuple[FootprintFit, ...], list[Remark]]:
    prints: list[Print] = []
    remarks: list[Remark] = []
    fits: list[FootprintFit] = []
    ruled: Value | None = None
    for entry in entries:
        payload = entry.payload
        if not isinstance(payload, Footprint):
            continue
        where = f"evidence {entry.id}"
        length = ramp = None
        if payload.depths:
            fit = fitted(payload, where)
            fits.append(fit)
            ramp = fit.ramp_likelihood
            remarks += fit.remarks
        if payload.lengths:
            known_ramp = fits[-1].ramp if payload.depths else file_only["wheel.edge_ramp"]
            widths = payload.widths or (setup.contact_width,)
            sizes = from_lengths(lengths=payload.lengths, widths=widths, ramp=known_ramp, where=where)
            length = sizes.patch_length
            remarks += sizes.remarks
            if payload.widths and not payload.depths:
                ruled = sizes.half_depth_width.value()
        prints.append(
            Print(
                force=payload.force,
                speed=payload.speed,
                inflation=math.nan if payload.inflation is None else payload.inflation,
                curvature_along=payload.curvature_along,
                curvature_across=payload.curvature_across,
                patch_length=length,
                ramp=ramp,
            )
        )
    if not prints:
        return None, (), remarks
    inflation = file_only["wheel.inflation"].number if "wheel.inflation" in file_only else math.nan
    wheel = wheel_of(setup, unknowns)
    key = STIFFNESS_KEY.get(setup.wheel_kind)
    if key is not None and any(each.patch_length is not None for each in prints):
        stiff = refit_stiffness(wheel=wheel, prior=file_only[key], prints=prints, where=key)
        values[key] = stiff.at(force=force, inflation=inflation)
        remarks += stiff.remarks
        wheel = _with(wheel, stiff.name, stiff.value)
    if any(each.ramp is not None for each in prints):
        edge = refit_ramp(wheel=wheel, prior=file_only["wheel.edge_ramp"], prints=prints, where="wheel.edge_ramp")
        values["wheel.edge_ramp"] = edge.at(force=force, inflation=inflation)
        remarks += edge.remarks
    flat = setup.crown_curvature == 0.0 and setup.curvature_across == 0.0
    # A profile reads the width better than a ruler does.
    width = fits[-1].half_depth_width if fits else ruled
    if flat and width is not None:
        remarks += _narrow(width.number / setup.contact_width)
    return (width if flat else None), tuple(fits), remarks


def _narrow(share: float) -> list[Remark]:
    if share >= NARROW:
        return []
    message = (
        f"The print has only {share:.0%} of the belt's width, and the job knows of no crown: the wheel stood tilted, is crowned "
        "(enter it), or length and width are swapped."
    )
    return [Remark("footprint-narrow", "caution", message, "common practice, no source", "wheel.crown")]


def fitted(payload: Footprint, where: str) -> FootprintFit:
    """
    Trapezoid through the profile of a footprint.

    Raises
    ------
    ValueError
        If the profile cannot be a footprint; the message says why.
    """
    return fit_profile(
        np.asarray(payload.position), [np.asarray(column) for column in payload.depths], from_darkness=payload.from_darkness, where=where
    )


def _with(wheel: Wheel, name: str, value: Value) -> Wheel:
    return replace(wheel, **{name: np.array([value.number])})  # type: ignore[arg-type]


def _removal(entries: Sequence[Entry], file_only: Effective, values: dict[str, Value]) -> list[Remark]:
    key = "model.removal_coefficient"
    prior, remarks = file_only[key], []
    weights = [(entry, entry.payload) for entry in entries if isinstance(entry.payload, Weight)]
    depths = [(entry, entry.payload) for entry in entries if isinstance(entry.payload, Depth)]
    current, weighed = prior, 0
    if weights:
        result = removal_from_weight(
            [weighing_of(payload) for _, payload in weights],
            density=file_only["alloy.density"].number,
            prior=prior,
            names=[f"evidence {entry.id}" for entry, _ in weights],
            where=key,
        )
        current, weighed = result.value, len(result.used)
        remarks += result.remarks
    if depths:
        current, said = _with_depths([depth_run(entry, payload) for entry, payload in depths], current, weighed, prior, key)
        remarks += said
    if current != prior:
        values[key] = current
    return list(remarks)


def _with_depths(runs: Sequence[DepthRun], current: Value, weighed: int, prior: Value, key: str) -> tuple[Value, list[Remark]]:
    """Value after depths have been laid over weighings; where they contradict each other, the side with more runs speaks alone."""
    likelihood, found = removal_from_depth(runs, where=key)
    said = list(found.remarks)
    far = strain(current, [likelihood]) if current.high > current.low else 0.0
    if weighed == 0 and far > ASIDE and len(found.agreeing) < 2:
        names = ", ".join(run.name for run in runs)
        message = (
            f"{names} would mean {times(likelihood.number / current.number)} the removal that was expected, and nothing else bears it out: "
            "it is left out. Check its unit, its width and its passes; a second one that agrees will be believed."
        )
        return current, [*said, Remark("depth-set-aside", "caution", message, "derived: four standard deviations", key)]
    if weighed > 0 and far > CONTRADICTS:
        more = len(found.agreeing) > weighed
        taken = "depths are taken: there are more of them" if more else "weighings are taken: they need no zero line"
        message = (
            f"depths give {times(likelihood.number / current.number)} the removal that weighings give ({far:.1f} standard deviations "
            f"apart): both cannot be right. The {taken}. Check unit and width of the depths, and which coupon was weighed."
        )
        said.append(Remark("evidence-disagrees", "caution", message, "derived: three standard deviations", key))
        if not more:
            return current, said
        current = prior
    learnt = posterior(current, [likelihood], known="fitted", where=key)
    return learnt.value, [*said, *learnt.remarks]


def times(factor: float) -> str:
    """Return a factor in words that read well above and below one."""
    return f"{factor:.3g} times" if factor >= 1.0 else f"1/{1.0 / factor:.3g} of"


def weighing_of(payload: Weight) -> Weighing:
    """Return the weighing of an entry, for the statistics."""
    run = Run(payload.force, payload.speed, payload.feed, payload.length, payload.passes, float(payload.sense))
    return Weighing(payload.before, payload.after, payload.resolution, run, payload.repeats)


def depth_coefficient(payload: Depth) -> float:
    """Removal coefficient that one removed depth would mean. [m2/N]"""
    return DepthRun("", payload.depth, payload.width, _run_of_depth(payload)).coefficient


def _run_of_depth(payload: Depth) -> Run:
    # Any length of stroke gives the same coefficient: depth is by the pass.
    return Run(payload.force, payload.speed, payload.feed, 1.0, payload.passes, float(payload.sense))


def depth_run(entry: Entry, payload: Depth) -> DepthRun:
    """Return the run of an entry, named by what the user called it."""
    return DepthRun(payload.name or f"evidence {entry.id}", payload.depth, payload.width, _run_of_depth(payload))
