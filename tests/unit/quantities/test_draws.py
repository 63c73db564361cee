"""Laws of the quasi-random draws."""

import numpy as np
import pytest

from evenlay.quantities.draws import COARSE, COUNT, generating_vector, lattice
from evenlay.quantities.known import normal_score


def plain_error(count, vector, z, weight):
    """Worst-case error of the weighted space, by its definition: double loop over coordinates and points."""
    total = 0.0
    for i in range(count):
        product = 1.0
        for component in [*vector, z]:
            x = (i * component % count) / count
            product *= 1.0 + weight * 2.0 * np.pi**2 * (x * x - x + 1.0 / 6.0)
        total += product
    return total / count - 1.0


def test_each_component_is_the_best_given_the_ones_before_by_a_plain_loop():
    count, chosen = 31, generating_vector(31, 3)
    for position, z in enumerate(chosen):
        before = list(chosen[:position])
        others = [c for c in range(1, count // 2 + 1) if c not in before]
        errors = [plain_error(count, before, c, 0.05) for c in others]
        assert plain_error(count, before, z, 0.05) == pytest.approx(min(errors), rel=1e-12)


@pytest.mark.parametrize("count", [COARSE, COUNT])
def test_every_coordinate_is_evenly_filled(count):
    points = np.sort(lattice(count=count, dimensions=12, seed=3), axis=0)
    gaps = np.diff(points, axis=0)
    assert gaps.max() < 1.6 / count


def test_pairs_of_coordinates_are_nearly_uncorrelated_so_that_ranking_is_fair():
    scores = normal_score(lattice(count=COUNT, dimensions=33, seed=1))
    off = np.corrcoef(scores.T) - np.eye(33)
    assert np.abs(off).max() < 0.22  # worst pair seen 0.19; random points of this number: 0.15 to 0.19
    assert np.sqrt((off**2).mean()) < 1.0 / np.sqrt(COUNT)


def test_the_same_seed_gives_the_same_bytes_and_another_seed_other_points():
    first, again, other = (lattice(count=31, dimensions=5, seed=s) for s in (7, 7, 8))
    assert first.tobytes() == again.tobytes()
    assert not np.allclose(first, other)


def test_the_lattice_integrates_a_smooth_function_better_than_random_points():
    points = lattice(count=COUNT, dimensions=6, seed=2)
    exact = 1.0
    found = np.prod(1.0 + 0.5 * np.sin(2 * np.pi * points), axis=1).mean()
    assert abs(found - exact) < 0.2 * np.sqrt((1 + 0.125) ** 6 - 1) / np.sqrt(COUNT)
