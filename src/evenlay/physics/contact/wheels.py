"""Contact of a wheel or belt with the part during one pass: patch, pressure and load across the pass, over draws."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.bedding import PENETRATION_RANGE
from evenlay.physics.contact.edges import edge_ramp
from evenlay.physics.contact.kinds import KINDS, NoContact, Wheel
from evenlay.physics.contact.profile import (
    LONGEST_RAMP,
    LoadProfile,
    profile_grid,
    profile_widths,
    softened_profile,
    trapezoid_profile,
)
from evenlay.physics.contact.strips import StripLaw, strip_law, strip_load, strip_peak
from evenlay.quantities.remarks import Remark

__all__ = [
    "KINDS",
    "Crossing",
    "LoadProfile",
    "NoContact",
    "PassContact",
    "Wheel",
    "crossing",
    "pass_contact",
    "profile_grid",
    "profile_widths",
    "solve_depth",
    "total_load",
    "trapezoid_profile",
]

Array = NDArray[np.float64]

_HALF_NODES, _HALF_WEIGHTS = (np.asarray(v, dtype=np.float64) for v in np.polynomial.legendre.leggauss(12))
_NODES: Final = np.sin(0.5 * np.pi * _HALF_NODES)  # crowds the nodes at the ends, where a load begins as a root
_WEIGHTS: Final = 0.5 * np.pi * np.cos(0.5 * np.pi * _HALF_NODES) * _HALF_WEIGHTS


@dataclass(frozen=True)
class PassContact:
    """
    Contact during one pass, over draws.

    Attributes
    ----------
    patch_length : ndarray (n,)
        Contact length along the grain at mid width; 0 where the belt bridges there. [m]
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


@dataclass(frozen=True)
class Crossing:
    """
    How wheel and part stand to each other across the grain.

    Attributes
    ----------
    curvature : float
        Of wheel and part together across the grain; negative when the middle is hollow. [1/m]
    tilt : ndarray (n,) or (1,)
        Of the wheel about the grain direction. [rad]
    low, high : float
        Where the belt begins and ends on the part. [m]
    nearest : ndarray (n,) or (1,)
        Place that touches first. [m]
    """

    curvature: float
    tilt: Array
    low: float
    high: float
    nearest: Array

    def gap(self, y: Array) -> Array:
        """Gap at places ``y`` (n, m) when the nearest place just touches, ``>= 0`` [m]."""
        first = 0.5 * self.curvature * self.nearest**2 + self.tilt * self.nearest
        gap: Array = 0.5 * self.curvature * y * y + self.tilt[:, None] * y - first[:, None]
        return np.maximum(gap, 0.0)


def crossing(*, curvature: float, tilt: Array | float, low: float, high: float) -> Crossing:
    """
    Geometry across the grain.

    Parameters
    ----------
    curvature : float
        Crown and part together; negative when the middle is hollow. [1/m]
    tilt : float or ndarray (n,)
        Of the wheel about the grain direction, positive lifts the right edge. [rad]
    low, high : float
        Belt's edges on the part, ``low < high``. [m]

    Returns
    -------
    Crossing
        With the place that touches first.
    """
    slope = np.atleast_1d(np.asarray(tilt, dtype=np.float64))
    ends = np.array([low, high])
    at_ends = 0.5 * curvature * ends**2 + slope[:, None] * ends
    nearest = ends[np.argmin(at_ends, axis=-1)]
    if curvature > 0.0:
        nearest = np.clip(-slope / curvature, low, high)
    elif np.all(slope == 0.0) and curvature == 0.0:
        nearest = np.full(slope.shape, 0.5 * (low + high))
    return Crossing(curvature, slope, low, high, nearest)


def _touching(place: Crossing, depth: Array) -> tuple[Array, Array, Array, Array]:
    """Ends of the two intervals over which the belt touches at overlap ``depth`` of the nearest place."""
    k, t = place.curvature, place.tilt
    level = depth + 0.5 * k * place.nearest**2 + t * place.nearest
    inside = t * t + 2.0 * k * level
    root = np.sqrt(np.maximum(inside, 0.0))
    lean = t + np.where(t < 0.0, -root, root)
    with np.errstate(divide="ignore", invalid="ignore"):
        first = np.where(lean != 0.0, 2.0 * level / lean, inf)
        second = np.full_like(lean, inf) * -np.where(lean < 0.0, -1.0, 1.0) if k == 0.0 else -lean / k
    left, right = np.minimum(first, second), np.maximum(first, second)
    low, high = np.full_like(left, place.low), np.full_like(left, place.high)
    if k >= 0.0:
        a = np.clip(left, low, high)
        b = np.clip(right, low, high)
        middle = 0.5 * (a + b)
        return a, middle, middle, b
    everywhere = inside <= 0.0
    vertex = np.clip(-t / k, low, high)
    return low, np.where(everywhere, vertex, np.clip(left, low, high)), np.where(everywhere, vertex, np.clip(right, low, high)), high


def _places(place: Crossing, depth: Array) -> tuple[Array, Array]:
    """Quadrature places and weights (n, 24) over the touching width."""
    a, b, c, d = _touching(place, depth)
    half = [0.5 * (b - a), 0.5 * (d - c)]
    middle = [0.5 * (a + b), 0.5 * (c + d)]
    y = np.concatenate([m[:, None] + h[:, None] * _NODES for m, h in zip(middle, half, strict=True)], axis=1)
    return y, np.concatenate([h[:, None] * _WEIGHTS for h in half], axis=1)


def total_load(law: StripLaw, place: Crossing, depth: Array) -> tuple[Array, Array, Array, Array]:
    """
    Force, its rise with depth, area and width of contact at a given overlap of the nearest place.

    Parameters
    ----------
    law : StripLaw
        Of the wheel on the part.
    place : Crossing
        Geometry across the grain.
    depth : ndarray (n,)
        Overlap where the wheel touches first, ``>= 0``. [m]

    Returns
    -------
    force, stiffness, area, width : ndarray (n,)
        [N], [N/m], [m2], [m]
    """
    y, weight = _places(place, depth)
    strip = strip_load(law, depth[:, None] - place.gap(y))
    force = np.sum(weight * strip.load_per_width, axis=-1)
    stiffness = np.sum(weight * strip.stiffness, axis=-1)
    return force, stiffness, 2.0 * np.sum(weight * strip.half_width, axis=-1), np.sum(weight, axis=-1)


def solve_depth(law: StripLaw, place: Crossing, force: Array) -> Array:
    """
    Overlap of the nearest place that carries a force.

    Parameters
    ----------
    law : StripLaw
        Of the wheel on the part.
    place : Crossing
        Geometry across the grain.
    force : ndarray (n,)
        ``> 0``. [N]

    Returns
    -------
    ndarray (n,)
        Force met to 1e-9 of itself. [m]

    Raises
    ------
    NoContact
        If the wheel cannot carry the force before half of it lies inside the part (a slack belt: twice its tension).

    References
    ----------
    Newton's method on logarithms: force is nearly a power of depth.
    """
    deepest = np.log(1.0 / law.curvature)
    logarithm = np.full(force.shape, np.log(1e-4))
    for _ in range(80):
        depth = np.exp(logarithm)
        carried, stiffness, _, _ = total_load(law, place, depth)
        miss = np.log(force / carried)
        if np.all(np.abs(miss) < 1e-10):
            return depth
        step = np.clip(miss * carried / np.maximum(stiffness * depth, 1e-300), -2.0, 2.0)
        logarithm = np.minimum(logarithm + step, deepest)
    raise NoContact("the force is more than this wheel or belt can carry on this part")


def _checked(wheel: Wheel, force: Array | float, speed: Array | float, tilt: Array | float) -> tuple[Array, Array, Array]:
    """Force, speed and tilt as arrays (n,) over the draws of everything."""
    given = [np.atleast_1d(np.asarray(value, dtype=np.float64)) for value in (force, speed, tilt)]
    draws = np.broadcast_shapes(
        *(value.shape for value in given), *(value.shape for value in vars(wheel).values() if isinstance(value, np.ndarray))
    )
    f, v, t = (np.broadcast_to(value, draws) for value in given)
    if not (np.all(f > 0.0) and np.all(f < inf) and np.all(v >= 0.0) and np.all(v < inf) and np.all(np.abs(t) < 1.0)):
        raise ValueError("a pass needs force > 0, speed >= 0 and a tilt below one radian, all finite")
    return f, v, t


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
    Overlap of strip :math:`y`: :math:`h(y) = \delta - \tfrac12(\kappa_{crown} + \kappa_{across})y^2 - \theta y`; each strip is its own plane problem
    :math:`q(h)` (`strips.strip_load`) and :math:`\int q\,dy = F` gives :math:`\delta`. Strips do not help each other: right where the overlap
    varies slowly against the cover thickness. The hard ends at the belt's edges are then spread over the full ramp of `edges.edge_ramp`.

    References
    ----------
    bonded-layer-compliance; membrane-balance (derived); evenlay-ramp-guess.

    Examples
    --------
    >>> drum = Wheel(kind="pneumatic", diameter=0.150, width=0.050, inflation=30e3, casing_stiffness=20e6, edge_ramp=0.005)
    >>> contact = pass_contact(drum, force=40.0, speed=18.0)
    >>> print(round(1e3 * float(contact.patch_length[0]), 1), "mm")
    20.5 mm
    """
    load, rim, lean = _checked(wheel, force, speed, tilt)
    if not -inf < curvature_across < inf:
        raise ValueError("curvature across the grain must be a finite number")
    law = strip_law(wheel, speed=rim, curvature_along=curvature_along)
    edge = 0.5 * wheel.width
    place = crossing(curvature=wheel.crown_curvature + curvature_across, tilt=lean, low=-edge, high=edge)
    depth = solve_depth(law, place, load)
    _, stiffness, area, width = total_load(law, place, depth)
    middle = depth - place.gap(np.zeros((1, 1)))[:, 0]
    y = profile_grid(wheel.width)
    belt = y[np.abs(y) <= edge * (1.0 + 1e-9)]
    wanted = edge_ramp(wheel, speed=rim)
    ramp = np.broadcast_to(np.minimum(wanted, LONGEST_RAMP * wheel.width), load.shape)
    return PassContact(
        patch_length=2.0 * strip_load(law, middle).half_width,
        flattening=middle,
        peak_pressure=strip_peak(law, depth),
        mean_pressure=load / area,
        stiffness=stiffness,
        contact_width=width,
        tension_pressure=np.broadcast_to(law.onset, load.shape),
        profile=softened_profile(
            width=wheel.width, hard=strip_load(law, depth[:, None] - place.gap(belt[None, :])).load_per_width, ramp=ramp
        ),
        remarks=_remarks(wheel, law, depth, wanted),
    )
