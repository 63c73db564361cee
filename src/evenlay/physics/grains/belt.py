"""The belt as a periodic strip of grains: where they stand, how far they stick out, and how their tips are shaped."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

CELL_LENGTH: Final = 0.05
CELL_WIDTH: Final = 0.005
"""Cells of the belt that own their random stream, along (about) and across. [m]"""
WAVES: Final = 48
"""Waves in the slow variation of the coat. [-]"""
SHALLOWEST: Final = 3.0
STEEPEST: Final = 60.0
"""Range to which attack angles are cut. [degrees]"""
MOST_GRAINS: Final = 60_000_000
"""Grains held at once: 1.2 GB. [-]"""


@dataclass(frozen=True)
class GrainPopulation:
    """
    Statistics of the grains of a belt.

    Parameters
    ----------
    density : float
        Grains per area, ``> 0``. [1/m2]
    height_sd : float
        Standard deviation of the heights of the tips, Gaussian, ``> 0``. [m]
    base_radius : float
        Radius on which a grain presses into the wheel, ``> 0``. [m]
    edge_radius : float
        Radius of the cutting tip, ``> 0``; below it the flanks are straight. [m]
    attack_angle : float
        Mean angle of a flank from the face, 3 to 60. [degrees]
    attack_sd : float
        Its standard deviation, ``>= 0``. [degrees]
    coat_sd, coat_length : float
        Standard deviation and correlation length of the slow variation of the coat across the belt, ``>= 0`` and ``> 0``. [m]
    worn_to : float
        Height above the mean tip to which tips are worn off; infinite when fresh. [m]
    """

    density: float
    height_sd: float
    base_radius: float
    edge_radius: float
    attack_angle: float = 15.0
    attack_sd: float = 0.0
    coat_sd: float = 0.0
    coat_length: float = 5e-3
    worn_to: float = inf

    def __post_init__(self) -> None:
        """Refuse what no belt can be."""
        for name in ("density", "height_sd", "base_radius", "edge_radius", "coat_length"):
            if not 0.0 < getattr(self, name) < inf:
                raise ValueError(f"{name} must be > 0 and finite")
        for name in ("attack_sd", "coat_sd"):
            if not 0.0 <= getattr(self, name) < inf:
                raise ValueError(f"{name} must be >= 0 and finite")
        if not SHALLOWEST <= self.attack_angle <= STEEPEST:
            raise ValueError("attack_angle must lie between 3 and 60 degrees")
        if not self.worn_to > -inf:
            raise ValueError("worn_to must be a height")


@dataclass(frozen=True)
class Belt:
    """
    A strip of grains that closes on itself, sorted along the belt.

    Parameters
    ----------
    population : GrainPopulation
        Its statistics.
    length, width : float
        Once round, and across. [m]
    arc, place : numpy.ndarray
        Position of each grain along and across the belt, 0 across in the middle. [m]
    height : numpy.ndarray
        Tip over the mean tip, towards the face. [m]
    curve : numpy.ndarray
        Curvature of the tip. [1/m]
    reach : numpy.ndarray
        Half-width of the rounded part of the tip; outside it the flanks are straight, of slope ``curve * reach``. [m]
    """

    population: GrainPopulation
    length: float
    width: float
    arc: Floats
    place: Singles
    height: Singles
    curve: Singles
    reach: Singles

    @property
    def count(self) -> int:
        """Grains held. [-]"""
        return int(self.arc.size)


def grow_belt(population: GrainPopulation, *, length: float, width: float, seed: int, low: float = -inf, high: float = inf) -> Belt:
    r"""
    Grow the grains of a belt.

    Parameters
    ----------
    population : GrainPopulation
        Statistics.
    length, width : float
        Belt length once round and belt width, ``> 0``. [m]
    seed : int
        Of the belt, ``>= 0``.
    low, high : float
        Hold only the cells that touch this range across the belt (its middle is 0). [m]

    Returns
    -------
    Belt
        The same grains in every cell, whatever range is held.

    Raises
    ------
    ValueError
        If a length is not positive, or more grains would be held than memory is meant for.

    Notes
    -----
    Grains stand independently of each other (Poisson). A cell of about 50 mm by 5 mm has its own stream, keyed by seed and cell, in
    which count, places, heights and angles are drawn in this order. A tip is a parabola of the edge radius that runs into straight
    flanks at the attack angle. Wear takes w off the apex and leaves the flanks: the rounded part widens by 2w over the slope.

    References
    ----------
    derived; salmon-2011 for the counter-based streams (from memory).

    Examples
    --------
    >>> belt = grow_belt(GrainPopulation(15e6, 30e-6, 60e-6, 15e-6), length=0.5, width=0.02, seed=1)
    >>> bool(abs(belt.count / (15e6 * 0.5 * 0.02) - 1.0) < 0.01)
    True
    """
    if not (0.0 < length < inf and 0.0 < width < inf):
        raise ValueError("length and width must be > 0 and finite")
    if not low < high:
        raise ValueError("low must be below high")
    along = max(round(length / CELL_LENGTH), 1)
    half = 0.5 * width
    first = int(np.floor(max(low, -half) / CELL_WIDTH))
    last = int(np.ceil(min(high, half) / CELL_WIDTH))
    columns = range(first, max(last, first + 1))
    if population.density * length * CELL_WIDTH * len(columns) > MOST_GRAINS:
        raise ValueError("this belt holds more grains than fit in memory: take a narrower strip")
    cells = [_cell(population, length / along, row, column, seed) for row in range(along) for column in columns]
    arc, place, height, angle = (np.concatenate(parts) for parts in zip(*cells, strict=True))
    inside = np.abs(place) <= half
    order = np.flatnonzero(inside)[np.argsort(arc[inside], kind="stable")]
    arc, place, height, angle = arc[order], place[order], height[order], angle[order]
    height = height + coat_variation(population, place, seed=seed)
    slope = np.tan(np.radians(angle))
    lost = np.maximum(height - population.worn_to, 0.0)
    reach = slope * population.edge_radius + 2.0 * lost / slope
    return Belt(
        population=population,
        length=length,
        width=width,
        arc=arc,
        place=place.astype(np.float32),
        height=(height - lost).astype(np.float32),
        curve=(slope / reach).astype(np.float32),
        reach=reach.astype(np.float32),
    )


def _stream(seed: int, row: int, column: int) -> np.random.Generator:
    """Stream of one cell; columns left of the middle are negative."""
    return np.random.Generator(np.random.Philox(key=seed, counter=[0, 0, row, column + 2**31]))


def _cell(population: GrainPopulation, step: float, row: int, column: int, seed: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Arc, place, height and attack angle of the grains of one cell."""
    draw = _stream(seed, row, column)
    count = int(draw.poisson(population.density * step * CELL_WIDTH))
    arc = (row + draw.random(count)) * step
    place = (column + draw.random(count)) * CELL_WIDTH
    height = population.height_sd * draw.standard_normal(count)
    angle = population.attack_angle + population.attack_sd * draw.standard_normal(count)
    return arc, place, height, np.clip(angle, SHALLOWEST, STEEPEST)


def coat_variation(population: GrainPopulation, place: Floats, *, seed: int) -> Floats:
    r"""
    Slow variation of the coat's thickness across the belt, the same all round it.

    Parameters
    ----------
    population : GrainPopulation
        Gives its standard deviation and correlation length.
    place : numpy.ndarray
        Across the belt. [m]
    seed : int
        Of the belt.

    Returns
    -------
    numpy.ndarray
        [m]

    Notes
    -----
    A sum of waves with Gaussian frequencies of standard deviation :math:`1/(2\pi\ell)`, which has the covariance
    :math:`s^2e^{-y^2/2\ell^2}`.
    """
    if population.coat_sd == 0.0:
        return np.zeros(place.shape)
    draw = _stream(seed, 2**40, 0)
    frequency = draw.standard_normal(WAVES) / (2.0 * pi * population.coat_length)
    phase = 2.0 * pi * draw.random(WAVES)
    total = np.zeros(place.shape)
    for one, start in zip(frequency, phase, strict=True):
        total += np.cos(2.0 * pi * one * place + start)
    return np.asarray(population.coat_sd * np.sqrt(2.0 / WAVES) * total)
