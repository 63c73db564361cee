"""The wheel: one record for every kind of backing that presses a belt on a part."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

KINDS: Final = ("solid", "pneumatic", "expander", "slack", "platen", "nonwoven")
"""Solid rubber cover on a rigid hub; air-filled; slit rubber held open by rotation; belt without backing; rigid plate; fibre cover."""


class NoContact(ValueError):  # noqa: N818 - a finding about the set-up, worded for the person who reads it
    """The belt cannot touch the part as asked; the message says why."""


def _unused() -> Array:
    """Value of what a kind does not use."""
    return np.zeros(1)


@dataclass(frozen=True, kw_only=True)
class Wheel:
    """
    A wheel, platen or free belt span, over draws. Uncertain values may be given as numbers or as arrays; what a kind does not use is 0.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    diameter : float
        Wheel diameter; of a platen its length along the belt; of a slack belt not used (any number > 0). [m]
    width : float
        Belt width in contact. [m]
    crown_curvature : float
        1 / crown radius across the face, 0 for a flat face. [1/m]
    modulus, poisson, cover_thickness : ndarray (n,)
        Rubber cover (solid, expander), belt and pad (platen) or fibre cover (nonwoven): Young's modulus [Pa], Poisson's ratio [-],
        thickness [m].
    casing_stiffness : ndarray (n,)
        Of a pneumatic wheel: rise of pressure with overlap. [Pa/m]
    inflation : ndarray (n,)
        Of a pneumatic wheel, gauge. [Pa]
    belt_tension : ndarray (n,)
        Tension per width that the belt's tensioner gives at rest; 0 for a sleeve, which has no tensioner. [N/m]
    rubber_density, rubber_free_thickness, rubber_mean_radius : ndarray (n,)
        Of an expander: the rubber that is free to move out. [kg/m3, m, m]
    belt_mass : ndarray (n,)
        Belt mass per area. [kg/m2]
    closing_pressure : ndarray (n,)
        Of an expander: what the rubber spends on closing the clearance under the sleeve. [Pa]
    grip_friction : ndarray (n,)
        Of an expander: rubber on sleeve. [-]
    edge_ramp : ndarray (n,)
        Full ramp at reference conditions, see `edges.edge_ramp`. [m]

    Raises
    ------
    ValueError
        If the kind is unknown, or a value a kind needs is not positive, is negative, NaN or infinite.

    Examples
    --------
    >>> drum = Wheel(kind="pneumatic", diameter=0.150, width=0.050, inflation=30e3, casing_stiffness=20e6, edge_ramp=0.005)
    >>> print(drum.radius, drum.inflation)
    0.075 [30000.]
    """

    kind: str
    diameter: float
    width: float
    crown_curvature: float = 0.0
    modulus: Array = field(default_factory=_unused)
    poisson: Array = field(default_factory=_unused)
    cover_thickness: Array = field(default_factory=_unused)
    casing_stiffness: Array = field(default_factory=_unused)
    inflation: Array = field(default_factory=_unused)
    belt_tension: Array = field(default_factory=_unused)
    rubber_density: Array = field(default_factory=_unused)
    rubber_free_thickness: Array = field(default_factory=_unused)
    rubber_mean_radius: Array = field(default_factory=_unused)
    belt_mass: Array = field(default_factory=_unused)
    closing_pressure: Array = field(default_factory=_unused)
    grip_friction: Array = field(default_factory=_unused)
    edge_ramp: Array = field(default_factory=_unused)

    def __post_init__(self) -> None:
        """Make every uncertain value an array (n,), and check."""
        if self.kind not in KINDS:
            raise ValueError(f"wheel kind must be one of {', '.join(KINDS)}, not {self.kind!r}")
        if not (0.0 < self.diameter < inf and 0.0 < self.width < inf and 0.0 <= self.crown_curvature < inf):
            raise ValueError("a wheel needs diameter > 0, width > 0 and crown curvature >= 0, all finite")
        for entry in fields(self):
            if entry.name in ("kind", "diameter", "width", "crown_curvature"):
                continue
            values = np.atleast_1d(np.asarray(getattr(self, entry.name), dtype=np.float64))
            if not (values.ndim == 1 and np.all(values >= 0.0) and np.all(values < inf)):
                raise ValueError(f"{entry.name} of a wheel must be one row of finite values >= 0")
            if entry.name in NEEDED[self.kind] and not np.all(values > 0.0):
                raise ValueError(f"{entry.name} of a {self.kind} wheel must be > 0")
            object.__setattr__(self, entry.name, values)

    @property
    def radius(self) -> float:
        """Half the diameter [m]."""
        return 0.5 * self.diameter


NEEDED: Final[dict[str, tuple[str, ...]]] = {
    "solid": ("modulus", "cover_thickness", "edge_ramp"),
    "pneumatic": ("edge_ramp",),
    "expander": (
        "modulus",
        "cover_thickness",
        "rubber_density",
        "rubber_free_thickness",
        "rubber_mean_radius",
        "grip_friction",
        "edge_ramp",
    ),
    "slack": ("belt_tension", "edge_ramp"),
    "platen": ("modulus", "cover_thickness", "edge_ramp"),
    "nonwoven": ("modulus", "cover_thickness", "edge_ramp"),
}
"""Values that must be above zero, by kind."""


def over_draws(wheel: Wheel, *, force: Array | float, speed: Array | float, tilt: Array | float = 0.0) -> tuple[Array, Array, Array]:
    """
    Force, speed and tilt of a pass as arrays over the draws of everything.

    Parameters
    ----------
    wheel : Wheel
        Any kind.
    force, speed, tilt : ndarray (n,) or float
        ``> 0`` [N], ``>= 0`` [m/s], between -1 and 1 [rad].

    Returns
    -------
    force, speed, tilt : ndarray (n,)
        n: draws of wheel and pass together.

    Raises
    ------
    ValueError
        If a value is out of range, NaN or infinite, or the numbers of draws differ.
    """
    given = [np.atleast_1d(np.asarray(value, dtype=np.float64)) for value in (force, speed, tilt)]
    own = [value.shape for value in vars(wheel).values() if isinstance(value, np.ndarray)]
    draws = np.broadcast_shapes(*(value.shape for value in given), *own)
    f, v, t = (np.broadcast_to(value, draws) for value in given)
    if not (np.all(f > 0.0) and np.all(f < inf) and np.all(v >= 0.0) and np.all(v < inf) and np.all(np.abs(t) < 1.0)):
        raise ValueError("a pass needs force > 0, speed >= 0 and a tilt below one radian, all finite")
    return f, v, t
