"""Laws of a value with its band; normal scores against the standard library."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenlay.quantities.known import Value, normal_score, weakest


@pytest.mark.parametrize("p", [1e-12, 1e-8, 1e-3, 0.02, 0.08, 0.3, 0.5, 0.7, 0.95, 0.999, 1 - 1e-9])
def test_normal_scores_agree_with_the_standard_library(p):
    # Second way: statistics.NormalDist; both claim 16 figures, so only rounding is left.
    assert float(normal_score(p)) == pytest.approx(NormalDist().inv_cdf(p), abs=1e-9, rel=1e-12)


bands = st.tuples(st.floats(1e-12, 1e6), st.floats(0.0, 0.99), st.floats(0.0, 50.0)).map(
    lambda t: Value(t[0], t[0] * (1 - t[1]), t[0] * (1 + t[2]), "guess", "test")
)


@given(bands)
def test_low_and_high_are_the_5_and_95_percent_points_and_the_value_is_the_median(value):
    low, middle, high = value.quantile([0.05, 0.5, 0.95])
    assert middle == pytest.approx(value.number)
    assert high == pytest.approx(value.high)
    assert low == pytest.approx(value.low, abs=1e-12 * value.number)


@given(bands, st.lists(st.floats(1e-6, 1 - 1e-6), min_size=2, max_size=9))
def test_draws_rise_with_probability_and_never_leave_the_positive_numbers(value, probabilities):
    draws = value.quantile(sorted(probabilities))
    assert np.all(np.diff(draws) >= -1e-12 * value.number)
    assert np.all(draws >= 0.0)


def test_a_side_that_ends_on_zero_is_uniform_down_to_zero():
    share = Value(0.2, 0.0, 0.4, "guess", "test")
    assert share.quantile([0.125, 0.25]) == pytest.approx([0.05, 0.1])


def test_a_negative_band_stays_negative_where_it_says_so():
    assert Value(-0.01, -0.04, 0.0, "guess", "test").quantile(0.05) == pytest.approx(-0.04)


@pytest.mark.parametrize("numbers", [(1.0, 2.0, 3.0), (float("nan"), 0.0, 1.0), (1.0, 0.0, float("inf"))])
def test_a_band_that_does_not_contain_its_value_or_is_not_finite_is_refused(numbers):
    with pytest.raises(ValueError, match=r"band|finite"):
        Value(*numbers, "guess", "test")


@pytest.mark.parametrize("p", [0.0, 1.0, float("nan"), -0.1])
def test_probabilities_outside_the_open_interval_are_refused(p):
    with pytest.raises(ValueError, match="strictly between"):
        Value(1.0, 0.5, 2.0, "guess", "test").quantile(p)


def test_the_weakest_way_of_knowing_wins():
    assert weakest(("asked", "measured", "fitted", "handbook")) == "handbook"
    assert weakest(("measured", "guess")) == "guess"
