"""Contact of a wheel or belt with the part during one pass: patch, pressure and load across the pass, over draws."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.bedding import PENETRATION_RANGE
from evenlay.physics.contact.crossing import crossing, solve_depth, total_load
from evenlay.physics.contact.edges import edge_ramp
from evenlay.physics.contact.kinds import KINDS, NoContact, Wheel, over_draws
from evenlay.physics.contact.profile import (
    LONGEST_RAMP,
    LoadProfile,
    profile_grid,
    profile_widths,
    softened_profile,
    trapezoid_profile,
)
from evenlay.physics.contact.strips import StripLaw, strip_half_length, strip_law, strip_load_alone, strip_peak
from evenlay.quantities.remarks import Remark

__all__ = [
    "KINDS",
    "LoadProfile",
    "NoContact",
    "PassContact",
    "Wheel",
    "pass_contact",
    "profile_grid",
    "profile_widths",
    "trapezoid_profile",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PassContact:
    """
    Contact during one pass, over draws.

    Attributes
    ----------
    patch_length : ndarray (n,)
        Contact length along the grain at mid width; where the belt bridges there, at the place that touches first. [m]
    flattening : ndarray (n,)
        Overlap of the undeformed wheel with the part at mid width; negative where it bridges. [m]
    peak_pressure, mean_pressure : ndarray (n,)
        Highest pressure, and force over contact area. [Pa]
    stiffness : ndarray (n,)
        Rise of force with flattening. [N/m]
    contact_width : ndarray (n,)
        Width across the grain over which the belt touches, before its edges are softened. [m]
    tension_pressure : ndarray (n,)
        Pressure with which contact begins (inflation, grip, belt tension over radius). [Pa]
    profile : LoadProfile
        Load per width across the pass, over its force.
    remarks : tuple of Remark
        Where the model is out of its range.
    """

    patch_length: Array
    flattening: Array
    peak_pressure: Array
    mean_pressure: Array
    stiffness: Array
    contact_width: Array
    tension_pressure: Array
    profile: LoadProfile
    remarks: tuple[Remark, ...]


def _remarks(wheel: Wheel, law: StripLaw, depth: Array, ramp: Array) -> tuple[Remark, ...]:
    """Where the central values, or any draw, leave the range of the models."""
    found: list[Remark] = []
    if law.cover is not None:
        zeta = depth / law.curvature / law.cover.thickness**2
        strain = float(depth[0] / law.cover.thickness[0])
        if strain > 0.25:
            found.append(
                Remark(
                    "cover-pressed-deep",
                    "caution",
                    f"the rubber cover is pressed in by {100.0 * strain:.0f} % of its thickness; the linear law holds to about 25 %: "
                    "the real cover is harder",
                    "johnson-1985",
                    "wheel",
                )
            )
        if np.any(zeta > PENETRATION_RANGE[1]):
            found.append(
                Remark(
                    "cover-very-thin", "caution", "the patch is longer than the fitted range of the cover law (a/b up to 8)", "", "wheel"
                )
            )
    elif wheel.kind != "platen" and float(depth[0] * law.curvature) > 0.2:
        found.append(
            Remark(
                "wheel-pressed-deep",
                "caution",
                f"the wheel is pressed in by {100.0 * float(depth[0] * law.curvature):.0f} % of its effective radius; the contact model "
                "assumes a shallow patch",
                "",
                "wheel",
            )
        )
    if np.any(ramp > LONGEST_RAMP * wheel.width):
        found.append(
            Remark(
                "ramp-limited",
                "note",
                f"a full ramp above {LONGEST_RAMP} belt widths leaves no plateau; it is held at {1e3 * LONGEST_RAMP * wheel.width:.3g} mm",
                "evenlay-ramp-guess",
                "wheel",
            )
        )
    return tuple(found)


def _bridging(middle: Array) -> tuple[Remark, ...]:
    """A belt whose middle does not touch."""
    if float(middle[0]) > 0.0:
        return ()
    message = (
        f"the belt bridges the hollow: its middle stays {1e6 * max(-float(middle[0]), 0.0):.0f} µm off and its two edges carry all of the "
        "load, so each pass cuts two strips. A crowned, softer or narrower wheel would reach the middle"
    )
    return (Remark("belt-bridges-hollow", "caution", message, "derived: crown against hollow", "face.radius"),)


def _overloaded(carried: NDArray[np.bool_]) -> tuple[Remark, ...]:
    """Draws in which the wheel is pressed in completely."""
    if np.all(carried):
        return ()
    message = (
        f"in {int(np.sum(~carried))} of {carried.size} draws the wheel or belt cannot carry the force and is pressed in completely: "
        "lower the force, or measure a footprint"
    )
    return (Remark("wheel-overloaded", "caution", message, "membrane-balance", "wheel"),)


def pass_contact(
    wheel: Wheel,
    *,
    force: Array | float,
    speed: Array | float,
    curvature_along: float = 0.0,
    curvature_across: float = 0.0,
    tilt: Array | float = 0.0,
) -> PassContact:
    r"""
    Contact of a wheel with the part during one pass.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    force : ndarray (n,)
        Normal force :math:`F`, ``> 0``. [N]
    speed : ndarray (n,)
        Belt speed, ``>= 0`` (belt tension and expanders depend on it). [m/s]
    curvature_along, curvature_across : float
        Of the part along and across the grain: convex > 0, flat 0, hollow < 0. [1/m]
    tilt : float or ndarray (n,)
        Of the wheel about the grain direction; positive lifts the right edge. [rad]

    Returns
    -------
    PassContact
        Over draws (n,): index 0 is the central values if the inputs are so arranged.

    Raises
    ------
    NoContact
        If the wheel does not reach the part or cannot carry the force; the message says why.
    ValueError
        If an argument is outside its range, NaN or infinite.

    Notes
    -----
    Overlap of strip :math:`y`: :math:`h(y) = \delta - \tfrac12(\kappa_{crown} + \kappa_{across})y^2 - \theta y`; each strip is its own
    plane problem :math:`q(h)` (`strips.strip_load`) and :math:`\int q\,dy = F` gives :math:`\delta`. Strips do not help each other:
    against the whole cover in three dimensions, depth and peak come within 5 % and the half-depth width within 9 % while the contact is
    wider than about 3 cover thicknesses (tests). The hard ends at the belt's edges are then spread over the full ramp of
    `edges.edge_ramp`.

    References
    ----------
    bonded-layer-compliance; membrane-balance (derived); evenlay-ramp-guess.

    Examples
    --------
    >>> drum = Wheel(kind="pneumatic", diameter=0.150, width=0.050, inflation=30e3, casing_stiffness=20e6, edge_ramp=0.005)
    >>> contact = pass_contact(drum, force=40.0, speed=18.0)
    >>> print(round(1e3 * float(contact.patch_length[0]), 1), "mm")
    20.4 mm
    """
    load, rim, lean = over_draws(wheel, force=force, speed=speed, tilt=tilt)
    if not -inf < curvature_across < inf:
        raise ValueError("curvature across the grain must be a finite number")
    law = strip_law(wheel, speed=rim, curvature_along=curvature_along)
    edge = 0.5 * wheel.width
    place = crossing(curvature=wheel.crown_curvature + curvature_across, tilt=lean, low=-edge, high=edge)
    depth, carried = solve_depth(law, place, load)
    _, stiffness, area, width = total_load(law, place, depth)
    middle = depth - place.gap(np.zeros((1, 1)))[:, 0]
    y = profile_grid(wheel.width)
    belt = y[np.abs(y) <= edge * (1.0 + 1e-9)]
    across = np.zeros((1, 1)) if place.even else belt[None, :]
    hard = strip_load_alone(law, depth[:, None] - place.gap(across))
    wanted = edge_ramp(wheel, speed=rim)
    ramp = np.broadcast_to(np.minimum(wanted, LONGEST_RAMP * wheel.width), load.shape)
    return PassContact(
        # Where the middle bridges a hollow the belt still cuts at its edges: their patch is the one that counts.
        patch_length=2.0 * strip_half_length(law, np.where(middle > 0.0, middle, depth)),
        flattening=middle,
        peak_pressure=strip_peak(law, depth),
        mean_pressure=load / area,
        stiffness=stiffness,
        contact_width=width,
        tension_pressure=np.broadcast_to(law.onset, load.shape),
        profile=softened_profile(width=wheel.width, hard=np.broadcast_to(hard, (load.size, belt.size)), ramp=ramp),
        remarks=_remarks(wheel, law, depth, wanted) + _overloaded(carried) + _bridging(middle),
    )
