import math

import numpy as np
import pytest
from scipy import stats

from evenlay.evidence.least_squares import (
    cholesky,
    inverse_symmetric,
    linear_fit,
    nonlinear_fit,
    solve_lower,
    solve_symmetric,
    solve_upper,
    student_score,
)


def matrix(size, seed=3):
    random = np.random.default_rng(seed)
    square = random.standard_normal((size, size))
    return square @ square.T + size * np.eye(size)


def test_the_factor_times_its_transpose_is_the_matrix():
    full = matrix(7)
    factor = cholesky(full)
    assert factor @ factor.T == pytest.approx(full)
    assert np.all(np.triu(factor, 1) == 0.0)


def test_solutions_agree_with_the_library_for_one_and_for_several_right_sides():
    full, right = matrix(6), np.arange(12.0).reshape(6, 2)
    assert solve_symmetric(full, right) == pytest.approx(np.linalg.solve(full, right))
    assert solve_symmetric(full, right[:, 0]) == pytest.approx(np.linalg.solve(full, right[:, 0]))
    assert inverse_symmetric(full) == pytest.approx(np.linalg.inv(full))
    factor = cholesky(full)
    assert factor @ solve_lower(factor, right) == pytest.approx(right)
    assert factor.T @ solve_upper(factor, right) == pytest.approx(right)


@pytest.mark.parametrize("wrong", [[[1.0, 2.0], [2.0, 1.0]], [[0.0, 0.0], [0.0, 1.0]], [[math.nan, 0.0], [0.0, 1.0]]])
def test_a_matrix_that_is_not_positive_definite_is_refused(wrong):
    with pytest.raises(ValueError, match="positive definite"):
        cholesky(np.array(wrong))


def test_weighted_points_count_as_often_as_their_weights_say():
    x, y = np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.1, 0.9, 2.2, 2.8])
    design = np.stack([np.ones(4), x], axis=1)
    weighted = linear_fit(design, y, weights=np.array([1.0, 2.0, 1.0, 3.0]))
    repeated = linear_fit(np.repeat(design, [1, 2, 1, 3], axis=0), np.repeat(y, [1, 2, 1, 3]))
    assert weighted.parameters == pytest.approx(repeated.parameters)


def test_residuals_of_a_linear_fit_stand_square_on_its_columns():
    random = np.random.default_rng(5)
    design = random.standard_normal((30, 4))
    fit = linear_fit(design, random.standard_normal(30))
    assert design.T @ fit.residuals == pytest.approx(np.zeros(4), abs=1e-12)


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="points cannot fix"):
        linear_fit(np.eye(3), np.ones(3))
    with pytest.raises(ValueError, match="points cannot fix"):
        nonlinear_fit(lambda p: p, np.ones(2), np.ones(2))


def test_columns_that_say_the_same_are_refused():
    with pytest.raises(ValueError, match="say the same"):
        linear_fit(np.ones((5, 2)), np.arange(5.0))


def test_a_non_linear_fit_of_a_linear_model_is_the_linear_fit():
    random = np.random.default_rng(6)
    design, y = random.standard_normal((40, 3)), random.standard_normal(40)
    straight = linear_fit(design, y)
    found = nonlinear_fit(lambda p: design @ p, y, np.ones(3))
    assert found.converged
    assert found.parameters == pytest.approx(straight.parameters, rel=1e-6)
    assert found.covariance == pytest.approx(straight.covariance, rel=1e-5)


def test_a_non_linear_fit_stays_within_its_bounds():
    x = np.linspace(0.0, 1.0, 20)
    found = nonlinear_fit(lambda p: p[0] * x, 3.0 * x, np.array([0.5]), lowest=np.array([0.0]), highest=np.array([2.0]))
    assert found.parameters[0] == pytest.approx(2.0)


def test_a_fit_cut_off_after_one_step_says_it_has_not_converged():
    x = np.linspace(0.0, 3.0, 20)
    assert not nonlinear_fit(lambda p: np.exp(-p[0] * x), np.exp(-2.0 * x), np.array([0.1]), steps=1).converged


def test_students_score_is_that_of_the_statistics_library():
    for freedom in (1.0, 2.0, 4.0, 7.0, 30.0, 500.0):
        assert student_score(freedom) == pytest.approx(stats.t.ppf(0.95, freedom), rel=1e-5)
    assert student_score(math.inf) == pytest.approx(stats.norm.ppf(0.95))
    with pytest.raises(ValueError, match="at least 1"):
        student_score(0.2)
    with pytest.raises(ValueError, match="at least 1"):
        student_score(math.nan)
