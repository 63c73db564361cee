"""Grains of a job's belt for a drawn sample, and the surface that they meet."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.situation import Unknowns
from evenlay.physics.grains.belt import SHALLOWEST, STEEPEST, GrainPopulation
from evenlay.physics.grains.calibration import EDGE_RADIUS, calibrated_grains

Singles = NDArray[np.float32]

INCOMING: Final = 2**42
"""Third word of the counter for the incoming sheet. [-]"""
FEWEST_SAMPLES: Final = 2.5
"""Correlation length of the incoming sheet, at least. [samples]"""


@dataclass(frozen=True)
class DrawnGrains:
    """
    Grains that a sample is drawn with.

    Parameters
    ----------
    population : GrainPopulation
        Statistics.
    groove_coefficient : float
        k_g, at least the removal coefficient. [m2/N]
    size : float
        d50. [m]
    fitted : bool
        Whether they were fitted to the Ra that this belt leaves; else the job states them.
    strength : float
        Steps from day zero to which the fit came; beyond 1 either way the day-zero bands are left; 0 where nothing was fitted. [-]
    met : bool
        Whether the fit reached that Ra.
    """

    population: GrainPopulation
    groove_coefficient: float
    size: float
    fitted: bool
    strength: float
    met: bool


def drawn_grains(unknowns: Unknowns, *, size: float, hardness: float, attack_angle: float, stated: bool) -> DrawnGrains:
    """
    Grains of the belt at the central values.

    Parameters
    ----------
    unknowns : Unknowns
        Row 0 counts.
    size : float
        d50, ``> 0``. [m]
    hardness : float
        Of the metal, ``> 0``, for fitted grains; stated ones take the job's own k_g. [Pa]
    attack_angle : float
        Of a flank from the face, for stated grains. [degrees]
    stated : bool
        Whether the job itself says how many grains, how uneven and how sharp; else they are fitted to weight, hardness and Ra together.

    Returns
    -------
    DrawnGrains
        Radius of the cutting edge an eighth of d50 in either case.
    """
    coefficient = float(unknowns.removal_coefficient[0])
    if not stated:
        found = calibrated_grains(
            grain_size=size, roughness=float(unknowns.roughness[0]), removal_coefficient=coefficient, hardness=hardness
        )
        return DrawnGrains(found.population, found.groove_coefficient, size, True, found.strength, found.met)
    angle = min(max(attack_angle, SHALLOWEST), STEEPEST)
    population = GrainPopulation(
        density=float(unknowns.grain_density[0]),
        height_sd=float(unknowns.grain_height_sd[0]),
        base_radius=float(unknowns.grain_tip_radius[0]),
        edge_radius=EDGE_RADIUS * size,
        attack_angle=angle,
    )
    groove = max(float(unknowns.groove_coefficient[0]), coefficient)
    return DrawnGrains(population, groove, size, False, 0.0, True)


def incoming_rows(*, slope: float, length: float, rows: range, samples: int, spacing: float, seed: int) -> Singles:
    r"""
    Rows of the sheet as it comes in: an even random texture of a stated slope.

    Parameters
    ----------
    slope : float
        Slope rms across the grain, ``>= 0``; 0 is flat. [-]
    length : float
        Correlation length across, ``> 0``. [m]
    rows : range
        Numbers of the rows: each has its own stream.
    samples : int
        In a row. [-]
    spacing : float
        Between samples, ``> 0``. [m]
    seed : int
        Of the sheet.

    Returns
    -------
    numpy.ndarray
        Shape ``(len(rows), samples)``. [m]

    Notes
    -----
    Gaussian heights with covariance :math:`\sigma^2e^{-y^2/2\ell^2}`, so the slope rms is :math:`\sigma/\ell`. Rows have nothing in
    common: the sheet has no grain of its own here. Derived.
    """
    if not (0.0 <= slope < inf and 0.0 < length < inf and 0.0 < spacing < inf and samples >= 1):
        raise ValueError("slope must be >= 0, length, spacing and samples > 0, all finite")
    if slope == 0.0:
        return np.zeros((len(rows), samples), np.float32)
    wide = max(length / spacing, FEWEST_SAMPLES)
    reach = int(np.ceil(4.0 * wide))
    # White noise smoothed by exp(-y^2/l^2) has that covariance; the weights' squares sum to 1.
    weights = np.exp(-((np.arange(-reach, reach + 1) / wide) ** 2))
    weights *= slope * wide * spacing / np.sqrt(np.sum(weights**2))
    made = np.empty((len(rows), samples), np.float32)
    for index, row in enumerate(rows):
        draw = np.random.Generator(np.random.Philox(key=seed, counter=[0, 0, INCOMING, row]))
        made[index] = np.convolve(draw.standard_normal(samples + 2 * reach), weights, mode="valid")
    return made
