"""What the evidence of a job says, laid over what the file says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from evenlay.decisions.situation import Setup, Unknowns, wheel_of
from evenlay.evidence.combine import posterior
from evenlay.evidence.depth import DepthRun, removal_from_depth
from evenlay.evidence.footprint import FootprintFit, fit_profile, from_lengths
from evenlay.evidence.stiffness import Print, refit_ramp, refit_stiffness
from evenlay.evidence.weighing import Run, Weighing, removal_from_weight
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
    return (width if flat else None), tuple(fits), remarks


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
    current, remarks = file_only[key], []
    weights = [entry.payload for entry in entries if isinstance(entry.payload, Weight)]
    if weights:
        result = removal_from_weight(
            [weighing_of(payload) for payload in weights], density=file_only["alloy.density"].number, prior=current, where=key
        )
        current = result.value
        remarks += result.remarks
    depths = [(entry, entry.payload) for entry in entries if isinstance(entry.payload, Depth)]
    if depths:
        runs = [depth_run(entry, payload) for entry, payload in depths]
        likelihood, found = removal_from_depth(runs, where=key)
        learnt = posterior(current, [likelihood], known="fitted", where=key)
        current = learnt.value
        remarks += [*found.remarks, *learnt.remarks]
    if weights or depths:
        values[key] = current
    return list(remarks)


def weighing_of(payload: Weight) -> Weighing:
    """Return the weighing of an entry, for the statistics."""
    run = Run(payload.force, payload.speed, payload.feed, payload.length, payload.passes, float(payload.sense))
    return Weighing(payload.before, payload.after, payload.resolution, run, payload.repeats)


def depth_run(entry: Entry, payload: Depth) -> DepthRun:
    """Return the run of an entry, named by what the user called it."""
    run = Run(payload.force, payload.speed, payload.feed, 1.0, payload.passes, float(payload.sense))
    return DepthRun(payload.name or f"evidence {entry.id}", payload.depth, payload.width, run)
