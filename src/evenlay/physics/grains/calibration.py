"""Grains that leave a stated roughness: how much metal a grain moves, and how far its statistics must go for a given Ra."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from evenlay.physics.grains.belt import GrainPopulation, grow_belt
from evenlay.physics.grains.passes import GrainPass, Strip, even_pressing, sample_spacing
from evenlay.physics.grains.surface import cut_surface
from evenlay.physics.renewal import groove_coefficient
from evenlay.physics.surface_numbers.filters import gaussian_mean

DENSITY: Final = 0.1
HEIGHT_SD: Final = 0.2
BASE_RADIUS: Final = 0.25
EDGE_RADIUS: Final = 0.125
"""Statistics of day zero in median grain sizes: grains per square of it, spread of heights, radii of base and of edge. [-]"""
ANGLE: Final = 15.0
"""Attack angle of day zero. [degrees]"""
FEWER: Final = 3.0
WIDER: Final = 1.5
STEEPER: Final = 25.0 / 15.0
"""What one step of strength does: density over 3, heights times 1.5, angle times 5/3: the ends of their day-zero bands. [-]"""
STRONGEST: Final = 1.6
"""Steps that are tried either way: beyond, the bands are left by far. [-]"""
REFERENCE_PRESSURE: Final = 1e5
REFERENCE_MODULUS: Final = 5e6 / 0.75
"""Where published roughness by grit is taken to hold: pressure [Pa] and E* of the cover [Pa]."""
PASSES: Final = 2
ARC: Final = 0.75
WIDTH: Final = 3.2e-3
GRAINS_WIDE: Final = 40.0
ROWS: Final = 10
"""The trial piece: passes, belt arc of each [m], its width, at least [m] and [median grains], rows. [-]"""
CUT_OFF: Final = 0.8e-3
"""Cut-off of Ra in the trial: that of the classes from 0.1 to 2 um. [m]"""
CLOSE: Final = 0.02
"""Ra is met when it is this close: chance on the trial piece is as large. [-]"""
MOST_TRIALS: Final = 12


def graded_population(grain_size: float, *, strength: float = 0.0) -> GrainPopulation:
    """
    Grains of a belt of a median size, more or less strong.

    Parameters
    ----------
    grain_size : float
        d50, ``> 0``. [m]
    strength : float
        Steps from day zero: fewer, more uneven and steeper grains above 0, the other way below. [-]

    Returns
    -------
    GrainPopulation
        Everything in proportion to the grain.

    Examples
    --------
    >>> round(graded_population(82e-6).density * 1e-6, 1), round(graded_population(82e-6, strength=1.0).attack_angle, 1)
    (14.9, 25.0)
    """
    if not 0.0 < grain_size < inf:
        raise ValueError("grain_size must be > 0 and finite")
    if not -inf < strength < inf:
        raise ValueError("strength must be finite")
    return GrainPopulation(
        density=DENSITY / grain_size**2 / FEWER**strength,
        height_sd=HEIGHT_SD * grain_size * WIDER**strength,
        base_radius=BASE_RADIUS * grain_size,
        edge_radius=EDGE_RADIUS * grain_size,
        attack_angle=ANGLE * STEEPER**strength,
    )


@dataclass(frozen=True)
class GrainCalibration:
    """
    Grains made to leave a roughness.

    Parameters
    ----------
    population : GrainPopulation
        Statistics.
    groove_coefficient : float
        k_g, at least the removal coefficient. [m2/N]
    strength : float
        Steps from day zero; beyond 1 either way the day-zero bands are left. [-]
    roughness : float
        Ra on the trial piece. [m]
    met : bool
        Whether that is the Ra asked for.
    """

    population: GrainPopulation
    groove_coefficient: float
    strength: float
    roughness: float
    met: bool


def trial_roughness(population: GrainPopulation, *, grain_size: float, removal_coefficient: float, groove: float, seed: int = 1) -> float:
    """
    Ra of a small piece finished at the reference pressure by a belt that does not come round.

    Parameters
    ----------
    population : GrainPopulation
        Grains.
    grain_size : float
        d50, ``> 0``. [m]
    removal_coefficient, groove : float
        k and k_g, ``> 0``. [m2/N]
    seed : int
        Of the belt.

    Returns
    -------
    float
        Across the grain, Gaussian cut-off of 0.8 mm. [m]
    """
    width = max(WIDTH, GRAINS_WIDE * grain_size)
    wheel = even_pressing(pressure=REFERENCE_PRESSURE, width=4.0 * width, patch_length=0.02, contact_modulus=REFERENCE_MODULUS)
    belt = grow_belt(population, length=PASSES * ARC + 0.1, width=4.0 * width, seed=seed, low=-0.6 * width, high=0.6 * width)
    strip = Strip(ROWS * 1e-3, width, 1e-3, sample_spacing(grain_size), start_across=-0.5 * width)
    arcs = range(PASSES)
    passes = tuple(GrainPass(belt, wheel, removal_coefficient, ARC / 0.02, 0.0, ARC * number, groove_coefficient=groove) for number in arcs)
    done = cut_surface(strip, passes)
    if done is None:
        raise RuntimeError("a trial without progress cannot be stopped")
    heights = done.height.astype(np.float64)
    heights = heights - np.mean(heights, axis=1, keepdims=True)
    left = heights - gaussian_mean(heights, spacing=strip.samples, cutoff=CUT_OFF)
    edge = round(0.5 * CUT_OFF / strip.samples)
    return float(np.mean(np.abs(left[:, edge:-edge])))


def calibrated_grains(*, grain_size: float, roughness: float, removal_coefficient: float, hardness: float) -> GrainCalibration:
    r"""
    Grains of a size whose finish has a stated Ra, at a removal coefficient that the weight has given.

    Parameters
    ----------
    grain_size : float
        d50, ``> 0``. [m]
    roughness : float
        Ra across the grain, ``> 0``. [m]
    removal_coefficient : float
        k, ``> 0``. [m2/N]
    hardness : float
        Of the metal, ``> 0``. [Pa]

    Returns
    -------
    GrainCalibration
        The strength that meets Ra within 2 %, or the nearest within 1.6 steps.

    Notes
    -----
    Weight alone fixes k, hardness the groove, and Ra what is left open: how few grains carry the force and how steep they are. All
    three move together along their day-zero bands (`graded_population`), so that none leaves its band alone. Bisection on small
    pieces cut grain by grain; Ra grows with strength.

    References
    ----------
    derived; grain-simulation.
    """
    if not (0.0 < roughness < inf and 0.0 < removal_coefficient < inf):
        raise ValueError("roughness and removal_coefficient must be > 0 and finite")

    def at(strength: float) -> tuple[GrainPopulation, float, float]:
        grains = graded_population(grain_size, strength=strength)
        groove = max(groove_coefficient(attack_angle=grains.attack_angle, hardness=hardness), removal_coefficient)
        return grains, groove, trial_roughness(grains, grain_size=grain_size, removal_coefficient=removal_coefficient, groove=groove)

    low, high = -STRONGEST, STRONGEST
    strength = 0.5
    found = at(strength)
    for _ in range(MOST_TRIALS):
        if abs(found[2] / roughness - 1.0) <= CLOSE or high - low < 1e-3:
            break
        low, high = (strength, high) if found[2] < roughness else (low, strength)
        # Ra is near a power of the strength: its steepness of 0.75 a step leads close at once, halving keeps it safe.
        guess = strength + np.log(roughness / found[2]) / 0.75
        strength = float(guess) if low < guess < high else 0.5 * (low + high)
        found = at(strength)
    met = abs(found[2] / roughness - 1.0) <= 2.0 * CLOSE
    return GrainCalibration(found[0], found[1], strength, found[2], bool(met))
