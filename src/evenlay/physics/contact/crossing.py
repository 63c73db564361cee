"""Wheel and part across the grain: where the belt touches, and the depth that carries a force."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.kinds import NoContact
from evenlay.physics.contact.strips import StripLaw, strip_load, strip_load_alone

Array = NDArray[np.float64]

_HALF_NODES, _HALF_WEIGHTS = (np.asarray(v, dtype=np.float64) for v in np.polynomial.legendre.leggauss(10))
_NODES: Final = np.sin(0.5 * np.pi * _HALF_NODES)  # crowds the nodes at the ends, where a load begins as a root
_WEIGHTS: Final = 0.5 * np.pi * np.cos(0.5 * np.pi * _HALF_NODES) * _HALF_WEIGHTS


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

    @property
    def even(self) -> bool:
        """Whether the overlap is the same all across."""
        return self.curvature == 0.0 and not bool(np.any(self.tilt))

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
    elif curvature == 0.0 and not np.any(slope):
        nearest = np.full(slope.shape, 0.5 * (low + high))
    return Crossing(curvature, slope, low, high, nearest)


def _touching(place: Crossing, depth: Array) -> tuple[Array, Array, Array, Array]:
    """Ends of the two intervals over which the belt touches at overlap ``depth`` of the nearest place."""
    k, t = place.curvature, place.tilt
    level = depth + 0.5 * k * place.nearest**2 + t * place.nearest
    inside = t * t + 2.0 * k * level
    root = np.sqrt(np.maximum(inside, 0.0))
    lean = t + np.where(t < 0.0, -root, root)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
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
    """Quadrature places and weights (n, 20) over the touching width; one place will do where the overlap is even."""
    if place.even:
        ends = np.full((depth.size, 1), place.high - place.low)
        return 0.0 * ends, ends
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


def solve_depth(law: StripLaw, place: Crossing, force: Array) -> tuple[Array, NDArray[np.bool_]]:
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
    depth : ndarray (n,)
        Force met to 1e-9 of itself; one effective radius where the wheel cannot carry it. [m]
    carried : ndarray of bool (n,)
        Whether it can before half of it lies inside the part (a slack belt: force up to twice its tension times width).

    Raises
    ------
    NoContact
        If the force cannot be carried at the central values.

    References
    ----------
    Secants on logarithms, because force is nearly a power of depth; begun at the depth of an even load.
    """
    deepest = np.log(1.0 / law.curvature)
    start, power = _flat_start(law, force / (place.high - place.low), deepest)
    logarithm, last, missed = start, start, np.zeros_like(start)
    for turn in range(60):
        depth = np.exp(logarithm)
        y, weight = _places(place, depth)
        miss = np.log(force / np.sum(weight * strip_load_alone(law, depth[:, None] - place.gap(y)), axis=-1))
        carried = np.abs(miss) < 1e-9
        if np.all(carried | ((logarithm >= deepest) & (miss > 0.0))):
            break
        moved = logarithm - last
        slope = np.where(np.abs(moved) > 1e-12, (missed - miss) / np.where(moved == 0.0, 1.0, moved), power)
        power = np.clip(slope, 0.3, 6.0) if turn else power
        last, missed = logarithm, miss
        logarithm = np.minimum(logarithm + np.clip(miss / power, -2.0, 2.0), deepest)
    if not carried[0]:
        raise NoContact("the force is more than this wheel or belt can carry on this part")
    return depth, carried


def _flat_start(law: StripLaw, load_per_width: Array, deepest: float) -> tuple[Array, Array]:
    """Logarithm of the depth that would carry an even load, and the power with which load grows there: where the search begins."""
    logarithm = np.full(load_per_width.shape, np.log(1e-4))
    power = np.ones_like(logarithm)
    for _ in range(30):
        depth = np.exp(logarithm)
        strip = strip_load(law, depth)
        power = np.clip(strip.stiffness * depth / strip.load_per_width, 0.3, 6.0)
        miss = np.log(load_per_width / strip.load_per_width)
        if np.all(np.abs(miss) < 1e-9):
            break
        logarithm = np.minimum(logarithm + np.clip(miss / power, -2.0, 2.0), deepest)
    return logarithm, power
