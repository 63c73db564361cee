import math

import numpy as np
import pytest

from evenlay.evidence.combine import Likelihood
from evenlay.evidence.effective import PRECEDENCE, away, effective, setting_distance
from evenlay.quantities.known import Value

SHIPPED = Value(20e6, 5e6, 100e6, "guess", "day zero")
LEARNT = Value(12e6, 9e6, 16e6, "fitted", "footprint")


def test_evidence_lies_over_the_job_file_which_lies_over_the_shipped_table():
    given = Value(10e6, 8e6, 12e6, "measured", "own bench")
    assert effective(SHIPPED, None, []).value is SHIPPED
    assert effective(SHIPPED, given, []).value is given
    both = effective(SHIPPED, given, [Likelihood(11e6, 0.5e6, source="footprint")])
    assert 10e6 < both.value.number < 11e6
    assert [name for name, _ in both.layers] == list(PRECEDENCE)
    assert both.layers[0][1] is SHIPPED
    assert both.layers[2][1] is both.value


def test_evidence_on_a_file_value_without_band_replaces_it_and_says_so():
    found = effective(SHIPPED, Value.exact(10e6), [Likelihood(20e6, 1e6, source="footprint")], where="step.wheel.casing_stiffness")
    assert found.value.number == 20e6
    assert found.remarks[0].code == "evidence-replaces-value"


def test_at_the_measured_settings_nothing_is_lost():
    assert away(LEARNT, SHIPPED, distance=0.0) is LEARNT


def test_the_band_widens_with_distance_and_ends_at_the_prior():
    widths = []
    for distance in (0.1, 0.4, 0.7, 1.5, 3.0, 6.0):
        there = away(LEARNT, SHIPPED, distance=distance)
        widths.append(math.log(there.high / there.low))
    assert np.all(np.diff([math.log(16.0 / 9.0), *widths]) > 0.0)
    far = away(LEARNT, SHIPPED, distance=30.0)
    assert (far.low, far.number, far.high) == pytest.approx((SHIPPED.low, SHIPPED.number, SHIPPED.high), rel=1e-6)
    assert far.known == "guess"


def test_what_is_carried_never_gets_wider_than_the_prior():
    for distance in np.linspace(0.1, 10.0, 30):
        there = away(LEARNT, SHIPPED, distance=float(distance))
        assert there.high / there.low <= SHIPPED.high / SHIPPED.low * (1.0 + 1e-9)


def test_doubling_the_force_adds_about_a_fifth_of_the_priors_spread():
    sharp = Value(20e6, 20e6 / 1.0001, 20e6 * 1.0001, "fitted", "footprint")
    there = away(sharp, SHIPPED, distance=math.log(2.0))
    assert math.log(there.high / 20e6) / math.log(SHIPPED.high / 20e6) == pytest.approx(0.23, abs=0.02)


def test_a_prior_without_band_carries_what_was_learnt_unchanged():
    assert away(LEARNT, Value.exact(20e6), distance=1.0) is LEARNT


def test_what_lies_out_of_the_priors_reach_is_carried_unchanged():
    strange = Value(1e12, 0.9e12, 1.1e12, "fitted", "footprint")
    assert away(strange, SHIPPED, distance=1.0) is strange


def test_between_two_measured_forces_the_distance_is_zero_and_outside_it_is_a_logarithm():
    assert setting_distance([30.0], [[20.0], [40.0]]) == 0.0
    assert setting_distance([80.0], [[20.0], [40.0]]) == pytest.approx(math.log(2.0))
    assert setting_distance([10.0], [[20.0], [40.0]]) == pytest.approx(math.log(2.0))
    assert setting_distance([80.0, 50e3], [[40.0, 100e3]]) == pytest.approx(math.sqrt(2.0) * math.log(2.0))


@pytest.mark.parametrize("distance", [-1.0, math.nan])
def test_a_negative_distance_is_refused(distance):
    with pytest.raises(ValueError, match="zero or more"):
        away(LEARNT, SHIPPED, distance=distance)


@pytest.mark.parametrize(("at", "measured"), [([0.0], [[1.0]]), ([1.0], [[-1.0]]), ([math.nan], [[1.0]]), ([1.0], [])])
def test_settings_without_a_logarithm_are_refused(at, measured):
    with pytest.raises(ValueError, match="settings above zero"):
        setting_distance(at, measured)
