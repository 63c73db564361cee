import math

import numpy as np
import pytest

from evenlay.evidence.combine import Likelihood, posterior, value_at_scores
from evenlay.evidence.joint import correction, effective_count, joint_posterior
from evenlay.quantities.draws import lattice
from evenlay.quantities.known import Value, normal_score

COEFFICIENT = Value(1e-11, 3.3e-12, 3e-11, "guess", "")
FORCE_RATIO = Value(1.0, 0.92, 1.08, "guess", "")


def test_before_any_reading_the_scores_are_independent():
    joint = joint_posterior(predict=lambda z: z, readings=[], dimensions=3)
    z = normal_score(lattice(count=31, dimensions=3, seed=1))
    assert np.array_equal(joint.scores(z), z)
    assert joint.deviation == pytest.approx(np.ones(3))


def test_a_linear_problem_gives_the_exact_normal_posterior():
    slopes = np.array([[1.0, 2.0, 0.0], [0.5, -1.0, 1.0]])
    sds, numbers = np.array([0.3, 0.6]), np.array([1.0, -0.5])
    readings = [Likelihood(number, sd) for number, sd in zip(numbers, sds, strict=True)]
    joint = joint_posterior(predict=lambda z: z @ slopes.T, readings=readings, dimensions=3)
    covariance = np.linalg.inv(np.eye(3) + slopes.T @ np.diag(sds**-2) @ slopes)
    assert joint.centre == pytest.approx(covariance @ slopes.T @ (numbers / sds**2), abs=1e-6)
    assert joint.spread @ joint.spread.T == pytest.approx(covariance, abs=1e-6)


def test_weighing_ties_coefficient_and_force_together():
    """A weighing knows the product of both; the product must end narrower than either."""

    def predict(z):
        return (value_at_scores(COEFFICIENT, z[:, 0]) * value_at_scores(FORCE_RATIO, z[:, 1]))[:, None]

    joint = joint_posterior(predict=predict, readings=[Likelihood(1.4e-11, 0.0, 0.02)], dimensions=2)
    z = joint.scores(normal_score(lattice(count=521, dimensions=2, seed=2)))
    k, ratio = value_at_scores(COEFFICIENT, z[:, 0]), value_at_scores(FORCE_RATIO, z[:, 1])
    assert np.std(np.log(k * ratio)) < 0.6 * np.std(np.log(k))
    assert np.corrcoef(np.log(k), np.log(ratio))[0, 1] < -0.8
    assert np.median(k * ratio) == pytest.approx(1.4e-11, rel=0.01)


def test_the_normal_approximation_agrees_with_plain_sampling():
    readings = [Likelihood(1.5e-11, 1e-12, 0.1, 6.0), Likelihood(0.97, 0.03)]

    def predict(z):
        k, ratio = value_at_scores(COEFFICIENT, z[:, 0]), value_at_scores(FORCE_RATIO, z[:, 1])
        return np.stack([k * ratio, ratio], axis=1)

    joint = joint_posterior(predict=predict, readings=readings, dimensions=2)
    independent = normal_score(lattice(count=521, dimensions=2, seed=2))
    weights = correction(joint=joint, predict=predict, readings=readings, independent=independent)
    assert effective_count(weights) > 0.75 * 521
    random = np.random.default_rng(1).standard_normal((200_000, 2))
    found = predict(random)
    log = sum(reading.log_density(found[:, index]) for index, reading in enumerate(readings))
    plain = np.exp(log - log.max())
    plain /= plain.sum()
    for column in range(2):
        scores = joint.scores(independent)[:, column]
        mean, exact = np.sum(weights * scores), np.sum(plain * random[:, column])
        spread = math.sqrt(np.sum(plain * (random[:, column] - exact) ** 2))
        assert mean == pytest.approx(exact, abs=0.08 * spread)
        assert math.sqrt(np.sum(weights * (scores - mean) ** 2)) == pytest.approx(spread, rel=0.08)


def test_one_unknown_and_one_reading_agree_with_the_grid():
    reading = Likelihood(1.5e-11, 0.0, 0.1)
    joint = joint_posterior(predict=lambda z: value_at_scores(COEFFICIENT, z), readings=[reading], dimensions=1)
    grid = posterior(COEFFICIENT, [reading]).value
    z = float(joint.centre[0]) + 1.6448536 * float(joint.deviation[0]) * np.array([-1.0, 1.0])
    assert value_at_scores(COEFFICIENT, z) == pytest.approx([grid.low, grid.high], rel=0.03)


def test_a_reading_far_off_does_not_run_away():
    joint = joint_posterior(predict=lambda z: value_at_scores(COEFFICIENT, z), readings=[Likelihood(1e-10, 1e-13, 0.05, 6.0)], dimensions=1)
    assert 0.0 < joint.centre[0] < 6.5
    assert joint.deviation[0] < 1.0


def test_predictions_that_do_not_fit_the_readings_are_refused():
    with pytest.raises(ValueError, match="expected 2 finite"):
        joint_posterior(predict=lambda z: z, readings=[Likelihood(1.0, 1.0)] * 2, dimensions=1)
    with pytest.raises(ValueError, match="finite predicted"):
        joint_posterior(predict=lambda z: np.full_like(z, np.nan), readings=[Likelihood(1.0, 1.0)], dimensions=1)
