"""What a wheel cannot reach: hollows, and the belt hanging over a free edge."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.crossing import crossing, solve_depth, total_load
from evenlay.physics.contact.kinds import Wheel, over_draws
from evenlay.physics.contact.strips import no_fit, strip_law, strip_load, strip_peak

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Reach:
    """
    Whether a wheel reaches a place.

    Attributes
    ----------
    reachable : ndarray of bool (n,)
        Whether the belt touches over its whole width.
    reason : str
        Why it does not, at the central values; empty when it does.
    reached_width : ndarray (n,)
        Width across the grain over which the belt touches. [m]
    """

    reachable: NDArray[np.bool_]
    reason: str
    reached_width: Array


@dataclass(frozen=True)
class EdgeRise:
    """
    What a free edge does to the load when part of the belt hangs over it.

    Attributes
    ----------
    load_rise : ndarray (n,)
        Highest load per width over that in the open at the same force (stock removed goes with it). [-]
    peak_rise : ndarray (n,)
        Peak pressure over that in the open. [-]
    restoring_force : ndarray (n,)
        Force that brings the load per width back. [N]
    """

    load_rise: Array
    peak_rise: Array
    restoring_force: Array


def hollow_limit(
    wheel: Wheel, *, force: Array | float, speed: Array | float, curvature_along: float = 0.0, curvature_across: float = 0.0
) -> Reach:
    r"""
    Can this wheel reach a hollow.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    force : ndarray (n,)
        ``> 0``. [N]
    speed : ndarray (n,)
        Belt speed, ``>= 0``. [m/s]
    curvature_along, curvature_across : float
        Of the part: convex > 0, flat 0, hollow < 0. [1/m]

    Returns
    -------
    Reach
        Nothing is reached where the wheel does not fit along the grain.

    Raises
    ------
    ValueError
        If an argument is outside its range, NaN or infinite.
    NoContact
        If the wheel cannot carry the force.

    Notes
    -----
    Along the grain the hollow's radius must exceed the wheel's. Across it, a crown smaller than the hollow settles in; a flatter face
    bears on its two edges first and touches the middle only if it is pressed in by more than the sagitta :math:`|\kappa|W^2/8`; how far
    it settles depends on force, inflation and cover.

    References
    ----------
    membrane-balance (derived); bonded-layer-compliance.
    """
    load, rim, lean = over_draws(wheel, force=force, speed=speed)
    reason = no_fit(wheel, curvature_along=curvature_along)
    if reason:
        return Reach(np.zeros(load.shape, dtype=np.bool_), reason, np.zeros(load.shape))
    if not -inf < curvature_across < inf:
        raise ValueError("curvature across the grain must be a finite number")
    law = strip_law(wheel, speed=rim, curvature_along=curvature_along)
    both = wheel.crown_curvature + curvature_across
    edge = 0.5 * wheel.width
    place = crossing(curvature=both, tilt=lean, low=-edge, high=edge)
    depth, _ = solve_depth(law, place, load)
    width = total_load(law, place, depth)[3]
    if both >= 0.0:
        return Reach(np.ones(load.shape, dtype=np.bool_), "", width)
    reachable = depth >= -0.5 * both * edge * edge
    if not reachable[0]:
        reason = (
            f"the face of the wheel is flatter than the hollow across the grain (radius {-1e3 / curvature_across:.4g} mm): it bears on its "
            f"edges and touches {1e3 * width[0]:.3g} of {1e3 * wheel.width:.3g} mm"
        )
    return Reach(reachable, reason, width)


def deepest_hollow(wheel: Wheel, *, force: Array | float, speed: Array | float, curvature_along: float = 0.0) -> Array:
    r"""
    Tightest hollow across the grain that the whole belt width still touches.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    force : ndarray (n,)
        ``> 0``. [N]
    speed : ndarray (n,)
        Belt speed, ``>= 0``. [m/s]
    curvature_along : float
        Of the part along the grain. [1/m]

    Returns
    -------
    ndarray (n,)
        Curvature of the hollow, ``> 0``: the larger, the deeper it may be; with a crown at least the crown's. [1/m]

    Raises
    ------
    ValueError, NoContact
        As `hollow_limit`.

    Notes
    -----
    The middle just touches: :math:`h(y) = \tfrac12\kappa y^2`, and :math:`\int q(h)\,dy = F` gives :math:`\kappa`, by bisection on its
    logarithm.

    References
    ----------
    membrane-balance (derived); bonded-layer-compliance.
    """
    load, rim, _ = over_draws(wheel, force=force, speed=speed)
    law = strip_law(wheel, speed=rim, curvature_along=curvature_along)
    node, weight = np.polynomial.legendre.leggauss(24)
    place = 0.25 * wheel.width * (node + 1.0)
    low, high = np.full(load.shape, np.log(1e-6)), np.full(load.shape, np.log(1e4))
    for _ in range(50):
        middle = 0.5 * (low + high)
        overlap = 0.5 * np.exp(middle)[:, None] * place**2
        carried = 0.5 * wheel.width * np.sum(weight * strip_load(law, overlap).load_per_width, axis=-1)
        low, high = np.where(carried < load, middle, low), np.where(carried < load, high, middle)
    deepest: Array = np.exp(0.5 * (low + high)) + wheel.crown_curvature
    return deepest


def edge_rise(
    wheel: Wheel,
    *,
    force: Array | float,
    speed: Array | float,
    overhang: float,
    curvature_along: float = 0.0,
    curvature_across: float = 0.0,
) -> EdgeRise:
    r"""
    What happens to the load when part of the belt hangs over a free edge of the part.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    force : ndarray (n,)
        ``> 0``. [N]
    speed : ndarray (n,)
        Belt speed, ``>= 0``. [m/s]
    overhang : float
        Width of belt past the edge, ``0 <= overhang < width``. [m]
    curvature_along, curvature_across : float
        Of the part. [1/m]

    Returns
    -------
    EdgeRise
        1, 1 and the force itself without overhang.

    Raises
    ------
    ValueError, NoContact
        As `hollow_limit`, or if nothing of the belt is left on the part.

    Notes
    -----
    The wheel keeps its attitude (a stiff arm) and its force: what is left on the part carries it all. Restoring force: the load that the
    part still carries at the depth it has in the open.

    References
    ----------
    membrane-balance (derived); bonded-layer-compliance.
    """
    load, rim, lean = over_draws(wheel, force=force, speed=speed)
    if not 0.0 <= overhang < wheel.width:
        raise ValueError(f"overhang must be at least 0 and less than the belt width of {wheel.width} m, not {overhang}")
    law = strip_law(wheel, speed=rim, curvature_along=curvature_along)
    both, edge = wheel.crown_curvature + curvature_across, 0.5 * wheel.width
    whole = crossing(curvature=both, tilt=lean, low=-edge, high=edge)
    left = crossing(curvature=both, tilt=lean, low=-edge, high=edge - overhang)
    before, after = solve_depth(law, whole, load)[0], solve_depth(law, left, load)[0]
    same_height = np.maximum(before - whole.gap(left.nearest[:, None])[:, 0], 0.0)
    return EdgeRise(
        load_rise=strip_load(law, after).load_per_width / strip_load(law, before).load_per_width,
        peak_rise=strip_peak(law, after) / strip_peak(law, before),
        restoring_force=total_load(law, left, same_height)[0],
    )
