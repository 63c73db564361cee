import math

import numpy as np
import pytest
from scipy import stats

from evenlay.evidence.combine import (
    Likelihood,
    normal_probability,
    posterior,
    score_band,
    score_of,
    together,
    value_at_scores,
)
from evenlay.quantities.known import BAND_SCORE, Value

K = Value(1e-11, 3.3e-12, 3e-11, "guess", "day zero")
FORCE = Value(40.0, 36.0, 44.0, "handbook", "table")


def test_normal_prior_and_normal_reading_give_the_textbook_posterior():
    prior = Value(40.0, 40.0 - BAND_SCORE, 40.0 + BAND_SCORE, "handbook", "table")
    found = posterior(prior, [Likelihood(41.0, 0.5)])
    precision = 1.0 + 1.0 / 0.25
    assert found.value.number == pytest.approx(40.0 + (1.0 / 0.25) / precision, abs=2e-4)
    assert found.value.high - found.value.low == pytest.approx(2.0 * BAND_SCORE / math.sqrt(precision), rel=1e-3)
    assert found.value.known == "measured"


def test_two_readings_are_worth_one_of_half_the_variance():
    twice = posterior(FORCE, [Likelihood(41.0, 2.0), Likelihood(42.0, 2.0)]).value
    once = posterior(FORCE, [Likelihood(41.5, 2.0 / math.sqrt(2.0))]).value
    assert twice.number == pytest.approx(once.number, rel=1e-6)
    assert (twice.low, twice.high) == pytest.approx((once.low, once.high), rel=1e-6)


def test_the_posterior_agrees_with_a_plain_sum_over_many_draws_of_the_prior():
    readings = [Likelihood(8e-12, 1e-12, 0.1, 6.0), Likelihood(1.1e-11, 4e-12)]
    found = posterior(K, readings).value
    draws = K.quantile((np.arange(400_000) + 0.5) / 400_000)
    log = stats.t.logpdf((8e-12 - draws) / np.hypot(1e-12, 0.1 * draws), 6.0) - np.log(np.hypot(1e-12, 0.1 * draws))
    log += stats.norm.logpdf(1.1e-11, draws, 4e-12)
    weights = np.cumsum(np.exp(log - log.max()))
    low, middle, high = draws[np.searchsorted(weights / weights[-1], [0.05, 0.5, 0.95])]
    assert (found.low, found.number, found.high) == pytest.approx((low, middle, high), rel=2e-3)


def test_a_very_sharp_reading_of_a_very_wide_prior_is_resolved():
    found = posterior(K, [Likelihood(2e-11, 0.0, 1e-5)]).value
    assert found.number == pytest.approx(2e-11, rel=1e-6)
    assert found.high / found.low - 1.0 == pytest.approx(2.0 * BAND_SCORE * 1e-5, rel=0.02)


def test_a_reading_that_says_nothing_leaves_value_and_knowing_as_they_were():
    found = posterior(K, [Likelihood(1e-11, 1e-8, source="kitchen scale")])
    assert found.value.number == pytest.approx(K.number, rel=1e-3)
    assert found.value.known == "guess"
    assert found.narrowing == pytest.approx(1.0, abs=1e-3)


def test_no_reading_returns_the_prior():
    assert posterior(K, []).value is K


def test_a_value_without_band_is_replaced_with_a_remark():
    found = posterior(Value.exact(1e-11), [Likelihood(2e-11, 1e-12, source="two weighings")], where="step.model.removal_coefficient")
    assert found.value.number == 2e-11
    assert [remark.code for remark in found.remarks] == ["evidence-replaces-value"]
    assert found.remarks[0].where == "step.model.removal_coefficient"


def test_a_surprising_reading_is_remarked_on_and_an_expected_one_is_not():
    assert posterior(K, [Likelihood(1.5e-11, 1e-12)]).remarks == ()
    odd = posterior(K, [Likelihood(1.2e-10, 1e-12)])
    assert [remark.code for remark in odd.remarks] == ["evidence-surprise"]
    assert odd.surprise == pytest.approx(math.log(12.0) / (math.log(3.0) / BAND_SCORE), rel=0.01)


def test_a_reading_far_out_of_reach_throws_the_prior_away_with_a_caution():
    found = posterior(K, [Likelihood(1e-8, 1e-10)])
    assert found.value.number == 1e-8
    assert found.remarks[0].level == "caution"


def test_knowing_through_a_model_is_called_fitted():
    assert posterior(K, [Likelihood(1e-11, 1e-12)], known="fitted").value.known == "fitted"


def test_scores_and_values_go_back_and_forth():
    for value in (K, FORCE, Value(0.2, 0.0, 0.4, "guess", ""), Value(-0.01, -0.04, 0.0, "guess", ""), Value(5.0, 4.0, 9.0, "guess", "")):
        for score in (-2.0, -0.7, 0.0, 0.4, 1.9):
            number = float(value_at_scores(value, score))
            assert score_of(value, number) == pytest.approx(score, abs=1e-6)


def test_scores_are_cut_where_numbers_leave_the_band_altogether():
    assert score_of(K, -1.0) == -7.0
    assert score_of(Value(0.2, 0.0, 0.4, "guess", ""), 0.0) == -7.0
    assert score_of(Value(0.2, 0.2, 0.4, "guess", ""), 0.1) == -7.0
    assert score_of(K, 1.0) == 7.0


def test_the_normal_distribution_function_is_that_of_the_statistics_library():
    z = np.linspace(-6.0, 6.0, 25)
    assert normal_probability(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12)


def test_a_flat_likelihood_gives_the_scores_of_the_prior():
    # Straight lines between 801 points of the distribution function: step^2 / 8 x slope over height = 6.3e-5.
    assert score_band(lambda z: np.zeros_like(z)) == pytest.approx((-BAND_SCORE, 0.0, BAND_SCORE), abs=6.3e-5)


def test_discordant_readings_alone_are_widened_and_concordant_ones_are_not():
    far = together([Likelihood(1.0, 0.1), Likelihood(3.0, 0.1)])
    near = together([Likelihood(1.0, 0.1), Likelihood(1.0, 0.1)])
    assert far.high - far.low == pytest.approx((near.high - near.low) * math.sqrt(200.0), rel=1e-3)
    assert near.high - near.low == pytest.approx(2.0 * BAND_SCORE * 0.1 / math.sqrt(2.0), rel=1e-3)


def test_one_reading_alone_has_students_band():
    value = Likelihood(1.0, 0.1, 0.0, 4.0).value()
    assert value.high - 1.0 == pytest.approx(0.1 * stats.t.ppf(0.95, 4.0), rel=1e-4)
    proportional = Likelihood(1.0, 0.0, 0.3).value()
    assert proportional.high * proportional.low == pytest.approx(1.0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"number": math.nan, "noise": 1.0},
        {"number": 1.0, "noise": -1.0},
        {"number": 1.0, "noise": 0.0},
        {"number": 1.0, "noise": math.nan},
        {"number": 1.0, "noise": 1.0, "relative": math.inf},
        {"number": 1.0, "noise": 1.0, "freedom": 0.5},
        {"number": 1.0, "noise": 1.0, "freedom": math.nan},
    ],
)
def test_a_reading_that_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match=r"finite|scatter|freedom"):
        Likelihood(**wrong)


def test_the_density_of_a_reading_is_that_of_the_statistics_library_up_to_a_constant():
    x = np.linspace(0.4, 3.0, 40)
    sd = np.hypot(0.1, 0.3 * x)
    normal = Likelihood(1.2, 0.1, 0.3).log_density(x) - stats.norm.logpdf(1.2, x, sd)
    student = Likelihood(1.2, 0.1, 0.3, 5.0).log_density(x) - stats.t.logpdf(1.2, 5.0, x, sd)
    assert np.ptp(normal) < 1e-12
    assert np.ptp(student) < 1e-12
