import math

import numpy as np
import pytest

from evenlay.decisions.sensitivity import answer_value, band, on_scale, variance_explained, weighted_quantile
from evenlay.quantities.draws import lattice
from evenlay.quantities.known import normal_score

Z = normal_score(lattice(count=521, dimensions=30, seed=3))


def test_a_sum_of_two_unknowns_is_shared_as_their_variances():
    found = variance_explained(Z, 2.0 * Z[:, 0] - Z[:, 7])
    assert found.shares[0] == pytest.approx(0.8, abs=0.02)
    assert found.shares[7] == pytest.approx(0.2, abs=0.02)
    assert np.delete(found.shares, [0, 7]).max() < 0.005
    assert found.ranking()[:2] == (0, 7)


def test_a_factor_is_judged_on_its_logarithm():
    found = variance_explained(Z, np.exp(Z[:, 0] + 0.5 * Z[:, 1]))
    assert found.shares[:2] == pytest.approx([0.8, 0.2], abs=0.02)


def test_a_worst_case_that_grows_both_ways_is_found_by_its_square():
    found = variance_explained(Z, Z[:, 2] ** 2 + 0.3 * Z[:, 3])
    assert found.shares[2] == pytest.approx(2.0 / 2.09, abs=0.04)


def test_what_two_unknowns_do_only_together_stays_unexplained():
    found = variance_explained(Z, 3.0 * Z[:, 0] * Z[:, 1])
    assert found.unexplained > 0.8
    assert found.shares.sum() + found.unexplained == pytest.approx(1.0)


def test_shares_of_noise_are_small():
    noise = np.random.default_rng(1).standard_normal(521)
    found = variance_explained(Z, noise)
    assert found.shares.max() < 0.03


def test_weights_reweigh():
    one = np.where(Z[:, 5] > 0.0, 1.0, 1e-6)
    answer = np.where(Z[:, 5] > 0.0, Z[:, 0], 5.0 * Z[:, 1])
    found = variance_explained(Z, answer, one)
    assert found.ranking()[0] == 0
    assert found.shares[0] > 0.9


def test_correlated_unknowns_share_what_they_have_in_common():
    pair = np.stack([Z[:, 0], Z[:, 0]], axis=1)
    found = variance_explained(pair, Z[:, 0])
    assert found.shares == pytest.approx([0.5, 0.5], abs=0.02)


def test_an_answer_that_does_not_vary_has_no_shares():
    found = variance_explained(Z, np.full(521, 3.0))
    assert found.shares.sum() == 0.0
    assert found.unexplained == 0.0
    assert variance_explained(np.zeros((521, 0)), Z[:, 0]).shares.size == 0


def test_an_unknown_that_does_not_vary_has_no_share():
    still = np.concatenate([Z[:, :1], np.zeros((521, 1))], axis=1)
    assert variance_explained(still, Z[:, 0]).shares == pytest.approx([1.0, 0.0], abs=5e-3)


def test_the_same_bytes_come_out_again():
    answer = np.exp(Z[:, 0]) + Z[:, 4]
    assert variance_explained(Z, answer).shares.tobytes() == variance_explained(Z.copy(), answer.copy()).shares.tobytes()


@pytest.mark.parametrize(
    ("scores", "answer", "words"),
    [(Z, Z[:-1, 0], "belong together"), (Z[:, 0], Z[:, 0], "belong together"), (Z, np.full(521, math.nan), "not finite")],
)
def test_what_does_not_fit_is_refused(scores, answer, words):
    with pytest.raises(ValueError, match=words):
        variance_explained(scores, answer)


def test_the_band_of_normal_draws_is_that_of_the_normal_distribution():
    assert band(Z[:, 0]) == pytest.approx((-1.645, 1.645), abs=0.02)


def test_weighted_quantiles_are_those_of_repeated_draws():
    draws = np.array([5.0, 1.0, 3.0])
    weighted = weighted_quantile(draws, (0.3, 0.5), np.array([200.0, 100.0, 300.0]))
    repeated = weighted_quantile(np.repeat(draws, [200, 100, 300]), (0.3, 0.5))
    assert weighted[0] >= 1.0
    assert np.abs(weighted - repeated).max() <= 2.0
    assert weighted_quantile(draws, (0.0, 1.0)).tolist() == [1.0, 5.0]


def test_the_band_of_an_answer_holds_its_central_result():
    value = answer_value(np.concatenate([[9.0], np.linspace(0.0, 1.0, 101)]), known="guess", source="draws")
    assert (value.number, value.high) == (9.0, 9.0)
    assert value.low == pytest.approx(0.05, abs=0.01)


def test_only_positive_answers_spread_by_factors_go_to_the_logarithm():
    assert on_scale(np.exp(Z[:, 0]))[0] == pytest.approx(Z[0, 0])
    assert on_scale(10.0 + 0.1 * Z[:, 0])[0] == 10.0 + 0.1 * Z[0, 0]
    assert on_scale(Z[:, 0]) is not None
    assert np.array_equal(on_scale(Z[:, 0]), Z[:, 0])


def test_quantiles_of_mirrored_draws_are_mirrored():
    draws, weights = np.array([1.0, 2.0, 4.0, 9.0]), np.array([1.0, 3.0, 2.0, 1.0])
    up = weighted_quantile(draws, (0.2, 0.5, 0.8), weights)
    down = weighted_quantile(-draws, (0.8, 0.5, 0.2), weights)
    assert up == pytest.approx(-down)
    assert weighted_quantile(np.array([1.0, 2.0]), (0.5,)).tolist() == [1.5]
