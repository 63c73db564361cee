"""The full ramp at the belt's edges (a guess until an inked footprint is entered)."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.expander import grip_pressure
from evenlay.physics.contact.kinds import Wheel

Array = NDArray[np.float64]

REFERENCE_PRESSURE: Final = 50e3
"""Inflation, or grip of an expander, at which ``edge_ramp`` of a wheel is stated. [Pa]"""

CASING_PRESSURE: Final = 20e3
"""Share of the casing in the inflation law. [Pa]"""

REFERENCE_MODULUS: Final = 1.69e6
"""Modulus of a 40 Shore A cover, at which ``edge_ramp`` of a rubber wheel is stated. [Pa]"""

REFERENCE_THICKNESS: Final = 10e-3
"""Cover thickness at which ``edge_ramp`` of a covered wheel is stated. [m]"""


def edge_ramp(wheel: Wheel, *, speed: Array | float) -> Array:
    r"""
    Full ramp of the load at the belt's edges. A guess.

    Parameters
    ----------
    wheel : Wheel
        Its ``edge_ramp`` is the ramp at reference conditions: 50 kPa (pneumatic; grip of an expander), 40 Shore A and 10 mm of cover.
    speed : ndarray (n,)
        Belt speed (an expander hardens with it). [m/s]

    Returns
    -------
    ndarray (n,)
        Full ramp, 0 to 100 %. [m]

    Notes
    -----
    Labelled guesses, until a footprint refits ``edge_ramp``. Pneumatic: :math:`r\sqrt{(p_{ref}+20\,kPa)/(p_{infl}+20\,kPa)}`. Solid and
    expander: with the root of cover thickness and the inverse fourth root of modulus; an expander also shortens with its grip pressure
    as a pneumatic wheel does with inflation. Nonwoven: with the root of cover thickness. Slack belt and platen: as stated, the belt's
    own edge.

    References
    ----------
    evenlay-ramp-guess.
    """
    ramp = np.array(wheel.edge_ramp)
    if wheel.kind in ("solid", "expander", "nonwoven"):
        ramp = ramp * np.sqrt(wheel.cover_thickness / REFERENCE_THICKNESS)
    if wheel.kind in ("solid", "expander"):
        ramp = ramp * (REFERENCE_MODULUS / wheel.modulus) ** 0.25
    if wheel.kind in ("pneumatic", "expander"):
        held = wheel.inflation if wheel.kind == "pneumatic" else grip_pressure(wheel, speed=speed)
        ramp = ramp * np.sqrt((REFERENCE_PRESSURE + CASING_PRESSURE) / (held + CASING_PRESSURE))
    return ramp
