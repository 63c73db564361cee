"""Grains calibrated on weight, hardness and Ra together: laws, and the published roughness of each grit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from evenlay.job.shipped import grain_values
from evenlay.physics.grains import GrainPass
from evenlay.physics.grains.calibration import calibrated_grains, graded_population, trial_roughness
from evenlay.physics.renewal import groove_coefficient
from evenlay.quantities.grit import Grit

HARDNESS = 129 * 9.80665e6


def test_a_cone_pressed_in_by_its_front_half_leaves_the_groove_of_geometry() -> None:
    """F = H pi a^2 / 2 on the front half; the groove is a triangle a wide to each side and a tan(angle) deep."""
    half_width, angle = 5e-6, 20.0
    force = HARDNESS * math.pi * half_width**2 / 2.0
    assert groove_coefficient(attack_angle=angle, hardness=HARDNESS) * force == pytest.approx(half_width**2 * math.tan(math.radians(angle)))


def test_ra_is_in_proportion_to_the_grain() -> None:
    """Pressure, modulus and coefficients the same, all lengths of the grains in proportion: so is Ra, within chance."""
    found = []
    for size in (201e-6, 125e-6, 82e-6):
        ra = [
            trial_roughness(graded_population(size, strength=0.5), grain_size=size, removal_coefficient=1e-11, groove=1.8e-10, seed=seed)
            for seed in (1, 2)
        ]
        found.append(np.mean(ra) / size)
    print("Ra over the median grain:", np.round(found, 5))
    assert max(found) < 1.08 * min(found)


def test_stronger_grains_leave_more_and_ploughing_leaves_more_than_cutting_alone() -> None:
    def ra(strength: float, groove: float) -> float:
        grains = graded_population(125e-6, strength=strength)
        return trial_roughness(grains, grain_size=125e-6, removal_coefficient=1e-11, groove=groove)

    assert ra(0.0, 2e-10) < ra(0.5, 2e-10) < ra(1.0, 2e-10)
    assert ra(0.5, 2e-10) > 1.5 * ra(0.5, 1e-11)


@pytest.mark.parametrize("number", [60, 80, 120, 180, 240, 320, 400])
def test_one_strength_within_the_bands_meets_weight_hardness_and_published_ra_from_p60_to_p400(number: int) -> None:
    """Day-zero k from weight, hardness of a data sheet, Ra of published tables: one number per grit, and it is the same for all."""
    values = grain_values(Grit("P", number))
    found = calibrated_grains(
        grain_size=values["belt.median_grain"].number,
        roughness=values["belt.roughness"].number,
        removal_coefficient=1e-11,
        hardness=HARDNESS,
    )
    print(f"P{number}: strength {found.strength:.2f}, Ra {found.roughness * 1e6:.3f} um")
    assert found.met
    assert found.strength == pytest.approx(1.0, abs=0.25)
    assert found.groove_coefficient > 1e-11


def test_a_roughness_out_of_reach_gives_the_nearest_and_says_so() -> None:
    for ra, strength in ((8e-6, 1.6), (0.02e-6, -1.6)):
        found = calibrated_grains(grain_size=82e-6, roughness=ra, removal_coefficient=1e-11, hardness=HARDNESS)
        assert not found.met and found.strength == pytest.approx(strength, abs=0.01)


def test_a_belt_that_takes_more_than_its_groove_ploughs_nothing() -> None:
    found = calibrated_grains(grain_size=82e-6, roughness=0.9e-6, removal_coefficient=5e-10, hardness=HARDNESS)
    assert found.groove_coefficient == 5e-10


@pytest.mark.parametrize(
    ("function", "given", "message"),
    [
        (groove_coefficient, {"attack_angle": 90.0, "hardness": 1e9}, "attack_angle"),
        (groove_coefficient, {"attack_angle": 15.0, "hardness": math.nan}, "hardness"),
        (calibrated_grains, {"grain_size": 1e-4, "roughness": 0.0, "removal_coefficient": 1e-11, "hardness": 1e9}, "roughness"),
        (calibrated_grains, {"grain_size": math.nan, "roughness": 1e-6, "removal_coefficient": 1e-11, "hardness": 1e9}, "grain_size"),
    ],
)
def test_what_is_out_of_range_is_refused(function, given, message) -> None:
    with pytest.raises(ValueError, match=message):
        function(**given)
    with pytest.raises(ValueError, match="strength"):
        graded_population(1e-4, strength=math.inf)


def test_a_pass_that_takes_more_than_it_moves_is_refused() -> None:
    from evenlay.physics.grains import even_pressing, grow_belt

    belt = grow_belt(graded_population(1e-4), length=0.05, width=0.01, seed=1)
    wheel = even_pressing(pressure=1e5, width=0.02, patch_length=0.01, contact_modulus=5e6)
    with pytest.raises(ValueError, match="groove_coefficient"):
        GrainPass(belt, wheel, 1e-10, 5.0, groove_coefficient=1e-11)
