from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.grains import GrainPopulation, coat_variation, grow_belt

BASE = GrainPopulation(density=15e6, height_sd=30e-6, base_radius=60e-6, edge_radius=15e-6)


def population(**more):
    return GrainPopulation(**{"density": 15e6, "height_sd": 30e-6, "base_radius": 60e-6, "edge_radius": 15e-6, **more})


def test_counts_heights_and_places_follow_the_population() -> None:
    belt = grow_belt(BASE, length=0.5, width=0.04, seed=3)
    assert belt.count == pytest.approx(15e6 * 0.5 * 0.04, rel=0.01)
    assert float(np.std(belt.height)) == pytest.approx(30e-6, rel=0.01)
    assert abs(float(np.mean(belt.height))) < 0.3e-6
    assert np.all(np.abs(belt.place) <= 0.02 + 1e-9)
    assert np.all(np.diff(belt.arc) >= 0.0) and belt.arc[0] >= 0.0 and belt.arc[-1] < 0.5


def test_a_cell_holds_the_same_grains_whatever_range_is_held() -> None:
    whole = grow_belt(BASE, length=0.3, width=0.05, seed=3)
    part = grow_belt(BASE, length=0.3, width=0.05, seed=3, low=-0.004, high=0.006)
    inside = (whole.place >= -0.005) & (whole.place < 0.01)
    np.testing.assert_array_equal(part.place, whole.place[inside])
    np.testing.assert_array_equal(part.height, whole.height[inside])


def test_two_seeds_give_two_belts_and_one_seed_one() -> None:
    first, again, other = (grow_belt(BASE, length=0.05, width=0.01, seed=seed) for seed in (1, 1, 2))
    assert first.height.tobytes() == again.height.tobytes()
    assert first.count != other.count or not np.array_equal(first.height, other.height)


def test_wear_cuts_the_tallest_and_leaves_their_flanks() -> None:
    fresh = grow_belt(BASE, length=0.1, width=0.01, seed=3)
    worn = grow_belt(population(worn_to=20e-6), length=0.1, width=0.01, seed=3)
    assert float(np.max(worn.height)) <= 20e-6 + 1e-11
    low = fresh.height < 20e-6
    np.testing.assert_array_equal(worn.reach[low], fresh.reach[low])
    slope = worn.curve * worn.reach
    np.testing.assert_allclose(slope, np.tan(np.radians(15.0)), rtol=1e-5)
    # far from the tip a flank stands where it stood: height - slope (|y| - reach / 2)
    np.testing.assert_allclose(worn.height + 0.5 * slope * worn.reach, fresh.height + 0.5 * slope * fresh.reach, atol=1e-10)


def test_the_coat_varies_slowly_and_equally_all_round() -> None:
    coated = population(coat_sd=5e-6, coat_length=4e-3)
    place = np.linspace(-0.025, 0.025, 2001)
    lines = np.array([coat_variation(coated, place, seed=seed) for seed in range(60)])
    assert float(np.sqrt(np.mean(lines**2))) == pytest.approx(5e-6, rel=0.1)
    apart = round(4e-3 / (place[1] - place[0]))
    near = float(np.mean(lines[:, :-apart] * lines[:, apart:])) / float(np.mean(lines**2))
    assert near == pytest.approx(np.exp(-0.5), abs=0.12)
    belt, plain = grow_belt(coated, length=0.1, width=0.02, seed=9), grow_belt(BASE, length=0.1, width=0.02, seed=9)
    np.testing.assert_allclose(belt.height - plain.height, coat_variation(coated, plain.place.astype(float), seed=9), atol=2e-9)


@pytest.mark.parametrize(
    "wrong",
    [{"density": 0.0}, {"height_sd": np.nan}, {"edge_radius": np.inf}, {"attack_sd": -1.0}, {"attack_angle": 80.0}, {"worn_to": np.nan}],
)
def test_a_population_refuses_what_it_cannot_be(wrong) -> None:
    with pytest.raises(ValueError, match=next(iter(wrong))):
        population(**wrong)


def test_a_belt_refuses_what_it_cannot_be() -> None:
    with pytest.raises(ValueError, match="length and width"):
        grow_belt(BASE, length=0.0, width=0.01, seed=1)
    with pytest.raises(ValueError, match="low must"):
        grow_belt(BASE, length=0.1, width=0.01, seed=1, low=0.01, high=0.0)
    with pytest.raises(ValueError, match="narrower strip"):
        grow_belt(BASE, length=100.0, width=0.05, seed=1)
