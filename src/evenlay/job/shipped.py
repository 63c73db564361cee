"""Values that the shipped tables suggest: grains from a grit, a modulus from a hardness."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from evenlay.data import load
from evenlay.job.amounts import SHIPPED
from evenlay.physics.renewal import groove_coefficient
from evenlay.quantities.grit import Grit
from evenlay.quantities.known import Known, Value, weakest
from evenlay.quantities.units import parse_quantity


def shipped_value(entry: Mapping[str, Any], kind: str) -> Value:
    """
    A value of a shipped table.

    Parameters
    ----------
    entry : mapping
        ``value``, perhaps ``low`` and ``high``, ``known``, ``source``.
    kind : str
        Kind of quantity.

    Returns
    -------
    Value
        Its source begins with ``shipped table``. [SI]
    """
    number = parse_quantity(entry["value"], kind)
    low, high = (parse_quantity(entry[end], kind) if end in entry else number for end in ("low", "high"))
    return Value(number, low, high, entry["known"], SHIPPED + entry["source"])


def by_factor(number: float, down: float, up: float, known: Known, source: str) -> Value:
    """Shipped value whose band is a factor down and a factor up. [SI]"""
    return Value(number, number / down, number * up, known, SHIPPED + source)


def median_grain(grit: Grit) -> Value:
    """
    Median grain size of a grade.

    Parameters
    ----------
    grit : Grit
        A grade of its scale.

    Returns
    -------
    Value
        d50, with 5 % either way for the tolerance of the grading. [m]

    Raises
    ------
    KeyError
        If the scale has no such grade.

    Examples
    --------
    >>> median_grain(Grit("P", 180)).number
    8.2e-05
    """
    size = load("grades")[grit.scale][str(grit.number)] * 1e-6
    return Value(size, 0.95 * size, 1.05 * size, "handbook", SHIPPED + load("grades")["sources"][grit.scale])


def grain_values(grit: Grit) -> dict[str, Value]:
    """
    Grain density, height spread, tip radius and roughness that a grade's size suggests.

    Parameters
    ----------
    grit : Grit
        A grade of its scale.

    Returns
    -------
    dict
        ``belt.grain_density`` [1/m²], ``belt.grain_height_sd``, ``belt.grain_tip_radius``, ``belt.roughness``,
        ``belt.texture_memory``, ``belt.median_grain`` [m].

    Notes
    -----
    Density 0.1/d50², height spread 0.2 d50, tip radius d50/4 (orders of magnitude); Ra from a power of d50 through
    published tables; the memory of the texture between simulated sizes, held beyond them.

    Examples
    --------
    >>> round(grain_values(Grit("P", 180))["belt.grain_density"].number * 1e-6, 1)
    14.9
    """
    d50 = median_grain(grit)
    grains, rough = load("grades")["grains"], load("grades")["roughness"]
    ra = parse_quantity(rough["at_82"], "length") * (d50.number / 82e-6) ** rough["exponent"]
    known, memory = grains["known"], load("grades")["memory"]

    def even(number: float, factor: float, source: str) -> Value:
        return by_factor(number, factor, factor, known, source)

    return {
        "belt.median_grain": d50,
        "belt.grain_density": even(grains["density_times_d50_squared"] / d50.number**2, grains["density_factor"], grains["source_density"]),
        "belt.grain_height_sd": even(grains["height_sd_over_d50"] * d50.number, grains["height_sd_factor"], grains["source_height"]),
        "belt.grain_tip_radius": even(grains["tip_radius_over_d50"] * d50.number, grains["tip_radius_factor"], grains["source_tip"]),
        "belt.texture_memory": by_factor(_memory(d50.number), memory["factor"], memory["factor"], memory["known"], memory["source"]),
        "belt.roughness": by_factor(ra, rough["down"], rough["up"], rough["known"], rough["source"]),
    }


def _memory(size: float) -> float:
    """Depth of metal moved that renews the texture, straight between the simulated sizes. [m]"""
    table = load("grades")["memory"]
    return float(np.interp(size * 1e6, table["grain"], table["moved"])) * 1e-6


def moved_by_grains(hardness: Value, angle: Value) -> Value:
    """
    Groove coefficient of conical grains on a metal.

    Parameters
    ----------
    hardness : Value
        [Pa]
    angle : Value
        Attack angle. [rad]

    Returns
    -------
    Value
        The two bands added as roots of squares of their logarithms. [m²/N]
    """

    def at(pressure: float, slope: float) -> float:
        return groove_coefficient(attack_angle=math.degrees(slope), hardness=pressure)

    middle = at(hardness.number, angle.number)
    up = math.hypot(math.log(at(hardness.low, angle.number) / middle), math.log(at(hardness.number, angle.high) / middle))
    down = math.hypot(math.log(middle / at(hardness.high, angle.number)), math.log(middle / at(hardness.number, angle.low)))
    return by_factor(middle, math.exp(down), math.exp(up), weakest((hardness.known, angle.known)), "hardness of the metal and attack angle")


def cover_modulus(hardness: Value) -> Value:
    """
    Elastic modulus of a rubber cover from its hardness.

    Parameters
    ----------
    hardness : Value
        Shore A, 20 to 98. [Shore A]

    Returns
    -------
    Value
        Gent's law at the centre; the band runs from the smaller of the two laws at the low hardness to the larger at the
        high one. [Pa]

    Notes
    -----
    Two published laws differ by 0.53 to 1.08, which is wider than the tolerance of the hardness.

    Examples
    --------
    >>> round(cover_modulus(Value.exact(40.0, "measured")).number / 1e6, 2)
    1.69
    """
    from evenlay.physics.contact.elastic import shore_a_modulus, shore_a_modulus_log_linear

    laws = (shore_a_modulus, shore_a_modulus_log_linear)
    centre = float(shore_a_modulus(hardness.number))
    low = min(centre, *(float(law(hardness.low)) for law in laws))
    high = max(centre, *(float(law(hardness.high)) for law in laws))
    known = weakest((hardness.known, "handbook"))
    return Value(centre, low, high, known, f"{hardness.source}; Gent's law, band up to the log-linear law (gent-1958)")


def inverse(radius: Value, sign: float = 1.0) -> Value:
    """
    Curvature of a radius, with its band.

    Examples
    --------
    >>> inverse(Value(0.5, 0.4, 0.5, "measured", "gauge"), -1.0).low
    -2.5
    """
    ends = sorted((sign / radius.low, sign / radius.high))
    return Value(sign / radius.number, ends[0], ends[1], radius.known, radius.source)
