"""What is laid on a face: the face's strip, how a wheel presses, and the passes."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil, inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.wheels import PassContact
from evenlay.physics.grains.belt import Belt

Floats = NDArray[np.float64]

SAMPLES_PER_GRAIN: Final = 30.0
"""Samples across per median grain size. [-]"""
COARSEST_ROWS: Final = 0.4e-3
FINEST_ROWS: Final = 0.1e-3
ROWS_PER_REPEAT: Final = 50.0
"""Spacing of rows: at most 0.4 mm and a 50th of a belt's shortest repeat, at least 0.1 mm: twice as fine moves what is seen by 3 %."""


@dataclass(frozen=True)
class Strip:
    """
    The piece of a face that is drawn.

    Parameters
    ----------
    length, width : float
        Along and across the grain, ``> 0``. [m]
    rows : float
        Spacing of rows along the grain, ``> 0``. [m]
    samples : float
        Spacing across, ``> 0``. [m]
    start_along, start_across : float
        Its corner on the face. [m]
    margin : float
        Simulated on each side beyond the strip and not kept, ``>= 0``. [m]
    """

    length: float
    width: float
    rows: float
    samples: float
    start_along: float = 0.0
    start_across: float = 0.0
    margin: float = 0.1e-3

    def __post_init__(self) -> None:
        """Refuse what no strip can be."""
        for name in ("length", "width", "rows", "samples"):
            if not 0.0 < getattr(self, name) < inf:
                raise ValueError(f"{name} must be > 0 and finite")
        if not 0.0 <= self.margin < inf:
            raise ValueError("margin must be >= 0 and finite")

    @property
    def row_count(self) -> int:
        """Rows, at least one. [-]"""
        return max(round(self.length / self.rows), 1)

    @property
    def margin_samples(self) -> int:
        """Samples in each margin. [-]"""
        return int(np.ceil(self.margin / self.samples - 1e-9))

    @property
    def sample_count(self) -> int:
        """Samples that are kept, at least one. [-]"""
        return max(round(self.width / self.samples), 1)

    @property
    def along(self) -> Floats:
        """Place of each row on the face. [m]"""
        return np.asarray(self.start_along + (np.arange(self.row_count) + 0.5) * self.rows, dtype=np.float64)

    @property
    def across(self) -> Floats:
        """Place of each kept sample on the face. [m]"""
        return np.asarray(self.start_across + (np.arange(self.sample_count) + 0.5) * self.samples, dtype=np.float64)


def sample_spacing(grain_size: float) -> float:
    """
    Spacing of samples across the grain for a median grain size.

    Parameters
    ----------
    grain_size : float
        d50 of the finest belt, ``> 0``. [m]

    Returns
    -------
    float
        A thirtieth of it. [m]

    Examples
    --------
    >>> sample_spacing(120e-6)
    4e-06
    """
    if not 0.0 < grain_size < inf:
        raise ValueError("grain_size must be > 0 and finite")
    return grain_size / SAMPLES_PER_GRAIN


def row_spacing(repeats: Floats | list[float]) -> float:
    """
    Spacing of rows along the grain that follows the shortest repeat f L/v.

    Parameters
    ----------
    repeats : array_like
        Repeats of all passes, ``> 0``. [m]

    Returns
    -------
    float
        A divisor of the shortest one, so that equal phases of the belt meet equal rows; 0.1 to 0.4 mm. [m]

    Examples
    --------
    >>> row_spacing([0.0075])
    0.00015
    """
    shortest = float(np.min(repeats))
    if not 0.0 < shortest < inf:
        raise ValueError("repeats must be > 0 and finite")
    wanted = min(max(shortest / ROWS_PER_REPEAT, FINEST_ROWS), COARSEST_ROWS)
    return shortest / max(ceil(shortest / wanted - 1e-9), 1)


@dataclass(frozen=True)
class Pressing:
    """
    How the wheel presses the belt on the face.

    Parameters
    ----------
    place : numpy.ndarray
        Even points across the belt, 0 in its middle. [m]
    pressure : numpy.ndarray
        Mean over the patch length at those points, ``>= 0``. [Pa]
    patch_length : float
        c, ``> 0``. [m]
    contact_modulus : float
        E* of the cover under a grain, ``> 0``. [Pa]
    along : tuple of float
        Pressure along the patch, from the first touch to the last, over its mean; one number is a uniform patch.
    """

    place: Floats
    pressure: Floats
    patch_length: float
    contact_modulus: float
    along: tuple[float, ...] = (1.0,)

    def __post_init__(self) -> None:
        """Refuse uneven points and what is no pressure."""
        step = np.diff(self.place)
        if not (self.place.ndim == 1 and self.place.size >= 2 and self.place.shape == self.pressure.shape):
            raise ValueError("place and pressure must be two or more points of one shape")
        if not (np.all(step > 0.0) and np.allclose(step, step[0], rtol=1e-6)):
            raise ValueError("place must rise evenly")
        if not (np.all((self.pressure >= 0.0) & (self.pressure < inf)) and np.any(self.pressure > 0.0)):
            raise ValueError("pressure must be >= 0, finite and somewhere above 0")
        if not (0.0 < self.patch_length < inf and 0.0 < self.contact_modulus < inf):
            raise ValueError("patch_length and contact_modulus must be > 0 and finite")
        if not (len(self.along) and all(0.0 <= part < inf for part in self.along) and abs(sum(self.along) / len(self.along) - 1.0) < 1e-6):
            raise ValueError("along must be >= 0 with a mean of 1")


def pressing(contact: PassContact, *, force: float, contact_modulus: float, draw: int = 0, along: tuple[float, ...] = (1.0,)) -> Pressing:
    """
    Take the pressure of a pass from the contact of its wheel.

    Parameters
    ----------
    contact : PassContact
        Any kind of wheel.
    force : float
        Normal force, ``> 0``. [N]
    contact_modulus : float
        E* under a grain, ``> 0``. [Pa]
    draw : int
        Which draw; 0 is the central one.
    along : tuple of float
        Pressure along the patch over its mean.

    Returns
    -------
    Pressing
        Load per width over the patch length at mid width: what runs out at the edges of the belt runs out in pressure.

    Raises
    ------
    ValueError
        If the belt does not touch at mid width.
    """
    patch = float(contact.patch_length[draw])
    if not patch > 0.0:
        raise ValueError("the belt does not touch at mid width")
    shape = contact.profile.shape[draw]
    return Pressing(contact.profile.y, np.asarray(force * shape / patch), patch, contact_modulus, along)


def even_pressing(*, pressure: float, width: float, patch_length: float, contact_modulus: float, ramp: float = 0.0) -> Pressing:
    """
    Make a level pressure with straight ramps at its ends.

    Parameters
    ----------
    pressure : float
        On the plateau, ``> 0``. [Pa]
    width : float
        Between the half-height points, ``> 0``. [m]
    patch_length : float
        ``> 0``. [m]
    contact_modulus : float
        ``> 0``. [Pa]
    ramp : float
        Full ramp, ``>= 0``. [m]

    Returns
    -------
    Pressing
        On points 0.1 mm apart.
    """
    reach = 0.5 * (width + ramp) + 0.2e-3
    place = np.asarray(np.linspace(-reach, reach, max(round(2.0 * reach / 0.1e-3), 2) + 1), dtype=np.float64)
    shape = np.clip((0.5 * width - np.abs(place)) / max(ramp, 1e-9) + 0.5, 0.0, 1.0)
    return Pressing(place, pressure * shape, patch_length, contact_modulus)


@dataclass(frozen=True)
class Track:
    """
    Something that changes along the path of the tool, on even points; straight between them, level beyond.

    Parameters
    ----------
    along : numpy.ndarray
        Rising places along the grain. [m]
    value : numpy.ndarray
        There.
    """

    along: Floats
    value: Floats

    def at(self, along: Floats) -> Floats:
        """Value at places along the grain."""
        return np.asarray(np.interp(along, self.along, self.value))


LEVEL: Final = Track(np.array([0.0]), np.array([0.0]))
STEADY: Final = Track(np.array([0.0]), np.array([1.0]))


@dataclass(frozen=True)
class GrainPass:
    """
    One stroke over the strip.

    Parameters
    ----------
    belt : Belt
        Its grains.
    pressing : Pressing
        Its wheel.
    removal_coefficient : float
        k, ``> 0``. [m2/N]
    groove_coefficient : float, optional
        k_g: cross-section of the groove of one grain per newton, at least k; what is more than the chip is laid beside the groove.
        None ploughs nothing. [m2/N]
    speed_over_feed : float
        v/f, ``> 0``: the only way in which speed and feed act. [-]
    centre : float
        Place across the face of the middle of the belt. [m]
    arc_start : float
        Place on the belt that first meets the start of the face. [m]
    forward : bool
        Whether the tool travels towards the rising places along.
    sideways : Track
        Dither, path error and wander: shift across of the belt. [m]
    strength : Track
        Pressure over its mean along the path. [-]
    """

    belt: Belt
    pressing: Pressing
    removal_coefficient: float
    speed_over_feed: float
    centre: float = 0.0
    arc_start: float = 0.0
    forward: bool = True
    sideways: Track = field(default=LEVEL)
    strength: Track = field(default=STEADY)
    groove_coefficient: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no pass."""
        if not (0.0 < self.removal_coefficient < inf and 0.0 < self.speed_over_feed < inf):
            raise ValueError("removal_coefficient and speed_over_feed must be > 0 and finite")
        if self.groove_coefficient is not None and not self.removal_coefficient <= self.groove_coefficient < inf:
            raise ValueError("groove_coefficient must be finite and no less than removal_coefficient")
        if not (-inf < self.centre < inf and -inf < self.arc_start < inf):
            raise ValueError("centre and arc_start must be finite")

    @property
    def arc(self) -> float:
        """A = c v/f: length of belt that each point meets. [m]"""
        return self.pressing.patch_length * self.speed_over_feed

    @property
    def repeat(self) -> float:
        """f L/v: length along the grain after which the belt comes round. [m]"""
        return self.belt.length / self.speed_over_feed


def dither(*, amplitude: float, wavelength: float, length: float, phase: float = 0.0, start: float = 0.0) -> Track:
    """
    Make an even sideways swing.

    Parameters
    ----------
    amplitude : float
        ``>= 0``. [m]
    wavelength : float
        Along the grain, of one whole swing, ``> 0``. [m]
    length : float
        Of the face along the grain from ``start``, ``> 0``; the swing goes on 0.1 m beyond both ends. [m]
    phase : float
        At the start. [radians]
    start : float
        [m]

    Returns
    -------
    Track
        32 points a swing.
    """
    if not (0.0 <= amplitude < inf and 0.0 < wavelength < inf and 0.0 < length < inf):
        raise ValueError("amplitude must be >= 0, wavelength and length > 0, all finite")
    along: Floats = np.asarray(start + np.arange(-0.1, length + 0.1 + wavelength / 32.0, wavelength / 32.0), dtype=np.float64)
    return Track(along, np.asarray(amplitude * np.sin(2.0 * np.pi * (along - start) / wavelength + phase), dtype=np.float64))
