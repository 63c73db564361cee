"""Load of one strip of a wheel against its overlap with the part: one law per kind of wheel."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.bedding import (
    POISSON_RANGE,
    Cover,
    StripContact,
    bonded_cover,
    strip_contact,
    strip_half_width,
    strip_loads,
    strip_peak_pressure,
)
from evenlay.physics.contact.expander import grip_pressure
from evenlay.physics.contact.kinds import NoContact, Wheel

Array = NDArray[np.float64]

FLATTEST: Final = 1e-6
"""Curvature that stands for a flat platen on a flat part. [1/m]"""


@dataclass(frozen=True)
class StripLaw:
    """
    Load per width of a strip as a function of its overlap.

    Attributes
    ----------
    curvature : float
        1/R of wheel and part together, ``> 0``. [1/m]
    onset : ndarray (n,)
        Pressure with which contact begins: inflation, belt tension over radius, grip of an expander. [Pa]
    foundation : ndarray (n,)
        Rise of pressure with overlap (0 for a bonded cover). [Pa/m]
    cover : Cover or None
        Bonded rubber cover with its fitted law.
    longest : float
        Largest half-length of contact (half the platen), else infinite. [m]
    """

    curvature: float
    onset: Array
    foundation: Array
    cover: Cover | None
    longest: float


def working_tension(wheel: Wheel, speed: Array | float) -> Array:
    r"""
    Belt tension that is left to press on wheel or part at speed.

    Parameters
    ----------
    wheel : Wheel
        Its ``belt_tension`` is what the tensioner gives at rest; 0 for a sleeve.
    speed : ndarray (n,)
        Belt speed, ``>= 0``. [m/s]

    Returns
    -------
    ndarray (n,)
        :math:`\max(T' - m''v^2, 0)`. [N/m]

    Notes
    -----
    Under a tensioner of constant force the part :math:`m''v^2` only turns the belt's own momentum and presses on nothing: the classical
    belt balance :math:`(T' - m''v^2)/R = p`. For the same reason the centrifugal tension of a running belt does not stiffen a steady
    patch.

    References
    ----------
    belt-drive-balance (derived).
    """
    left: Array = np.maximum(wheel.belt_tension - wheel.belt_mass * np.asarray(speed, dtype=np.float64) ** 2, 0.0)
    return left


def _confined_stiffness(wheel: Wheel) -> Array:
    """Pressure per overlap of a thin layer that cannot move sideways: M / b."""
    nu = np.minimum(wheel.poisson, 0.49)
    stiffness: Array = wheel.modulus * (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu)) / wheel.cover_thickness
    return stiffness


def _clamped_poisson(wheel: Wheel) -> Array:
    if not (np.all(wheel.poisson >= POISSON_RANGE[0]) and np.all(wheel.poisson <= POISSON_RANGE[1])):
        raise ValueError(f"Poisson's ratio of a rubber cover must lie in {POISSON_RANGE[0]}..{POISSON_RANGE[1]}")
    return wheel.poisson


def strip_law(wheel: Wheel, *, speed: Array | float, curvature_along: float) -> StripLaw:
    r"""
    The law of a wheel on a part of given curvature along the grain.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    speed : ndarray (n,)
        Belt speed, ``>= 0``. [m/s]
    curvature_along : float
        Of the part along the grain: convex > 0, flat 0, hollow < 0. [1/m]

    Returns
    -------
    StripLaw
        For `strip_load`.

    Raises
    ------
    NoContact
        If the wheel does not fit into the hollow, or a slack belt or platen meets no convex part.
    ValueError
        If Poisson's ratio of a rubber cover is outside the fitted range.

    Notes
    -----
    Solid: bonded cover. Pneumatic: :math:`p = p_{infl} + K o`: the belt's tension adds nothing, because
    in the flat patch the part alone carries the air. Expander: bonded cover and the grip pressure as an onset, which grows
    with :math:`\omega^2` (direction: common practice; size: a guess). Slack: :math:`p = T'/R_{part}`, membrane without bending. Platen:
    the belt and its pad as a confined thin layer, :math:`p = (M/b) o`, and :math:`T'/R_{part}` where the part is convex. Nonwoven:
    fibre cover without sideways coupling, :math:`p = (M/b) o`. A tensioned belt over a rubber or fibre cover adds :math:`T'/R` as an
    onset: where the patch is flat, the belt no longer presses on the wheel, the part does.

    References
    ----------
    bonded-layer-compliance; membrane-balance (derived).
    """
    reason = no_fit(wheel, curvature_along=curvature_along)
    if reason:
        raise NoContact(reason)
    tension = working_tension(wheel, speed)
    none = np.zeros(1)
    if wheel.kind == "slack":
        if not tension[0] > 0.0:
            raise NoContact("at this speed the slack belt carries no tension any more: all of it goes into turning the belt's own mass")
        return StripLaw(curvature_along, np.maximum(tension, 1e-3) * curvature_along, none, None, inf)
    if wheel.kind == "platen":
        bend = max(curvature_along, 0.0)
        return StripLaw(max(bend, FLATTEST), tension * bend, _confined_stiffness(wheel), None, wheel.radius)
    curvature = 1.0 / wheel.radius + curvature_along
    onset = tension / wheel.radius
    if wheel.kind == "pneumatic":
        # The air's pressure is already shared between casing, belt and part: where belt and casing lie flat neither carries
        # any of it, so the belt's tension adds nothing to the inflation.
        return StripLaw(curvature, wheel.inflation, wheel.casing_stiffness, None, inf)
    if wheel.kind == "nonwoven":
        return StripLaw(curvature, onset, _confined_stiffness(wheel), None, inf)
    cover = bonded_cover(modulus=wheel.modulus, poisson=_clamped_poisson(wheel), thickness=wheel.cover_thickness)
    if wheel.kind == "expander":
        onset = onset + grip_pressure(wheel, speed=speed)
    return StripLaw(curvature, onset, none, cover, inf)


def no_fit(wheel: Wheel, *, curvature_along: float) -> str:
    """
    Why a wheel cannot touch a part along the grain.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    curvature_along : float
        Of the part: convex > 0, flat 0, hollow < 0. [1/m]

    Returns
    -------
    str
        Empty when it can.

    Notes
    -----
    A wheel reaches a hollow along the grain only when the hollow's radius exceeds its own; a platen and a slack belt reach none.
    """
    if not -inf < curvature_along < inf:
        raise ValueError("curvature along the grain must be a finite number")
    if wheel.kind == "slack" and curvature_along <= 0.0:
        return "a slack belt presses only where the part is convex along the grain: here it touches nothing"
    if curvature_along < 0.0 and wheel.kind == "platen":
        return "a flat platen bridges a hollow along the grain: it touches the two ends only"
    if curvature_along < 0.0 and 1.0 / wheel.radius + curvature_along <= 0.0:
        return (
            f"the hollow along the grain (radius {-1e3 / curvature_along:.4g} mm) is not wider than the wheel "
            f"(radius {1e3 * wheel.radius:.4g} mm): it bridges the hollow"
        )
    return ""


def _column(values: Array, like: Array) -> Array:
    return values.reshape(values.shape + (1,) * (like.ndim - 1))


def strip_load(law: StripLaw, overlap: Array) -> StripContact:
    r"""
    Load, stiffness and half-length of strips pressed to a given overlap.

    Parameters
    ----------
    law : StripLaw
        From `strip_law`.
    overlap : ndarray (n,) or (n, m)
        :math:`h`; no contact where ``<= 0``. [m]

    Returns
    -------
    StripContact
        Shapes of ``overlap``.

    Notes
    -----
    Circle against plane: :math:`a = \sqrt{2Rh - h^2}`, so that the patch length on a flat is :math:`2\sqrt{2R\delta - \delta^2}`;
    :math:`q = 2 a\,p_{on} + K\int o\,dx`. A bonded cover has its own half-width (it bulges).

    References
    ----------
    membrane-balance (derived); bonded-layer-compliance.
    """
    h = np.maximum(overlap, 0.0)
    onset, foundation = _column(law.onset, h), _column(law.foundation, h)
    if law.cover is not None:
        strip = strip_contact(law.cover, flattening=h, radius=1.0 / law.curvature)
        a = strip.half_width
        widening = strip.widening
        return StripContact(strip.load_per_width + 2.0 * onset * a, strip.stiffness + 2.0 * onset * widening, a, widening)
    depth = np.minimum(h, 1.0 / law.curvature)
    free = np.sqrt(depth * (2.0 / law.curvature - depth))
    a = np.minimum(free, law.longest)
    growing = (free > 0.0) & (free < law.longest)
    widening = np.where(growing, (1.0 / law.curvature - depth) / np.where(growing, free, 1.0), 0.0)
    return StripContact(_pressed(law, h, a), 2.0 * onset * widening + 2.0 * foundation * a, a, widening)


def _pressed(law: StripLaw, h: Array, a: Array) -> Array:
    """Load of strips without a bonded cover: onset over the length, and foundation times the area of overlap."""
    bulge = a * law.curvature
    square = bulge * bulge
    mean = h - a * bulge * (1.0 + 0.15 * square + 3.0 / 56.0 * square * square) / 6.0  # circle: three terms of its series
    load: Array = 2.0 * a * (_column(law.onset, h) + _column(law.foundation, h) * mean)
    return load


def strip_half_length(law: StripLaw, overlap: Array) -> Array:
    """
    Half-length of strips alone, as `strip_load` gives it.

    Parameters
    ----------
    law, overlap
        As in `strip_load`.

    Returns
    -------
    ndarray
        :math:`a`. [m]
    """
    h = np.maximum(overlap, 0.0)
    if law.cover is not None:
        return strip_half_width(law.cover, flattening=h, radius=1.0 / law.curvature)
    depth = np.minimum(h, 1.0 / law.curvature)
    half: Array = np.minimum(np.sqrt(depth * (2.0 / law.curvature - depth)), law.longest)
    return half


def strip_load_alone(law: StripLaw, overlap: Array) -> Array:
    """
    Load of strips alone, as `strip_load` gives it: the quick way for the search and the profile.

    Parameters
    ----------
    law, overlap
        As in `strip_load`.

    Returns
    -------
    ndarray
        :math:`q`. [N/m]
    """
    h = np.maximum(overlap, 0.0)
    if law.cover is None:
        return _pressed(law, h, strip_half_length(law, h))
    load = strip_loads(law.cover, flattening=h, radius=1.0 / law.curvature)
    if np.any(law.onset > 0.0):
        load += 2.0 * _column(law.onset, h) * strip_half_length(law, h)
    return load


def strip_peak(law: StripLaw, overlap: Array) -> Array:
    """
    Highest pressure in strips pressed to a given overlap.

    Parameters
    ----------
    law : StripLaw
        From `strip_law`.
    overlap : ndarray (n,) or (n, m)
        :math:`h`. [m]

    Returns
    -------
    ndarray
        0 without contact. [Pa]
    """
    h = np.maximum(overlap, 0.0)
    above = _column(law.foundation, h) * h
    if law.cover is not None:
        above = strip_peak_pressure(law.cover, flattening=h, radius=1.0 / law.curvature)
    peak: Array = np.where(h > 0.0, _column(law.onset, h) + above, 0.0)
    return peak
