"""Colour that heat leaves on a metal, from published scales with their basis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.quantities.remarks import Remark

ZERO_CELSIUS: Final = 273.15
"""[K]"""


@dataclass(frozen=True)
class TintScale:
    """
    One published scale of heat colours.

    ``basis``: metal, air and time it holds for. ``temperatures``: rising, one per colour [K]. ``source``: key.
    """

    basis: str
    source: str
    temperatures: tuple[float, ...]
    colours: tuple[str, ...]

    def __post_init__(self) -> None:  # noqa: D105
        rising = all(low < high for low, high in zip(self.temperatures, self.temperatures[1:], strict=False))
        if len(self.temperatures) != len(self.colours) or len(self.colours) < 2 or not rising:
            raise ValueError("a scale of heat colours needs two colours or more, at rising temperatures")


def tint_colour(*, temperature: float, scale: TintScale) -> str:
    """
    Colour at a temperature: that of the nearest entry of the scale.

    Parameters
    ----------
    temperature : float
        Hottest the surface gets, ``>= 0``. [K]
    scale : TintScale
        Of that metal, and no other: the scales of carbon steel and stainless lie a hundred degrees apart.

    Returns
    -------
    str
        Empty below the first entry by more than half the step to the second: no colour. Above the last entry, the last.

    Raises
    ------
    ValueError
        If the temperature is negative, NaN or infinite.

    References
    ----------
    heat-tint-18-8; temper-colours-carbon-steel.

    Examples
    --------
    >>> stainless = TintScale("18Cr-8Ni in air, one hour", "heat-tint-18-8", (563.15, 613.15), ("pale yellow", "straw yellow"))
    >>> tint_colour(temperature=300 + 273.15, scale=stainless)
    'pale yellow'
    """
    if not 0.0 <= temperature < np.inf:
        raise ValueError("a temperature must be zero kelvin or more, and finite")
    first, second = scale.temperatures[:2]
    if temperature < first - 0.5 * (second - first):
        return ""
    distance = [abs(temperature - at) for at in scale.temperatures]
    return scale.colours[distance.index(min(distance))]


def tint_temperature(*, colour: str, scale: TintScale) -> float:
    """
    Temperature at which a colour stands in the scale.

    Parameters
    ----------
    colour : str
        One of ``scale.colours``.
    scale : TintScale
        Of that metal.

    Returns
    -------
    float
        [K]

    Raises
    ------
    ValueError
        If the scale has no such colour.

    Examples
    --------
    >>> steel = TintScale("carbon steel", "temper-colours-carbon-steel", (472.15, 575.15), ("faint straw", "blue"))
    >>> round(tint_temperature(colour="blue", scale=steel) - 273.15)
    302
    """
    if colour not in scale.colours:
        raise ValueError(f"no colour {colour!r} in this scale; it has {', '.join(scale.colours)}")
    return scale.temperatures[scale.colours.index(colour)]


def tint_remark(*, temperature: float, scale: TintScale, where: str = "") -> Remark | None:
    """
    What to say about heat colour at a temperature, with the basis of the scale.

    Parameters
    ----------
    temperature : float
        Hottest the surface gets. [K]
    scale : TintScale
        Of that metal.
    where : str, optional
        Dotted job-file key or place.

    Returns
    -------
    Remark or None
        None where the scale shows no colour.

    Raises
    ------
    ValueError
        If the temperature is negative, NaN or infinite.

    Examples
    --------
    >>> stainless = TintScale("18Cr-8Ni in air, one hour", "heat-tint-18-8", (563.15, 613.15), ("pale yellow", "straw yellow"))
    >>> tint_remark(temperature=293.15, scale=stainless) is None
    True
    """
    colour = tint_colour(temperature=temperature, scale=scale)
    if not colour:
        return None
    message = (
        f"The surface may reach {temperature - ZERO_CELSIUS:.0f} °C, {colour} on the scale for {scale.basis}. "
        "Grinding heats for far shorter, so it colours less than the scale says at one temperature, and more on a rough surface; "
        "lower the force or the belt speed, feed faster, or let the part cool between rounds."
    )
    return Remark("heat-tint", "caution", message, scale.source, where)
