import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.evidence.weighing import SCATTER, SCATTER_FREEDOM, Run, Weighing, passes_needed, removal_from_weight
from evenlay.quantities.known import Value

PRIOR = Value(1e-11, 3.3e-12, 3e-11, "guess", "day zero")
RUN = Run(force=40.0, speed=18.0, feed=0.12, length=0.4, passes=20)
DENSITY = 7930.0


def coupon(coefficient, *, resolution=1e-6, run=RUN, before=0.5):
    return Weighing((before,), (before - DENSITY * coefficient * run.work,), resolution, run)


def learn(*weighings, **more):
    return removal_from_weight(weighings, density=DENSITY, prior=PRIOR, **more)


def test_the_coefficient_is_volume_over_force_and_sliding_length():
    result = learn(coupon(8e-12))
    assert result.coefficients == pytest.approx((8e-12,), rel=1e-6)
    assert result.value.low < 8e-12 < result.value.high
    assert result.value.known == "measured"


def test_sliding_length_counts_belt_against_and_with_the_feed():
    assert RUN.sliding == pytest.approx(20 * 0.4 * 18.0 / 0.12)
    assert replace(RUN, sense=1.0).sliding == pytest.approx(20 * 0.4 * (18.0 / 0.12 + 1.0))
    assert replace(RUN, sense=-1.0).sliding == pytest.approx(20 * 0.4 * (18.0 / 0.12 - 1.0))


def test_two_weighings_narrow_more_than_one_and_less_than_root_two():
    one, two = learn(coupon(8e-12)), learn(coupon(8e-12), coupon(8e-12))
    gain = math.log(one.value.high / one.value.low) / math.log(two.value.high / two.value.low)
    assert 1.1 < gain < math.sqrt(2.0) * 1.05


def test_weighings_that_disagree_give_a_wider_band_than_weighings_that_agree():
    agree, differ = learn(coupon(8e-12), coupon(8e-12)), learn(coupon(6e-12), coupon(10e-12))
    # Scatter pooled: (12 x 0.1^2 + 2 x 0.25^2) / 13 against 12 x 0.1^2 / 13, over two coupons, beside 5 % of force.
    expected = math.sqrt((0.245 / 26.0 + 0.0025) / (0.12 / 26.0 + 0.0025))
    found = math.log(differ.value.high / differ.value.low) / math.log(agree.value.high / agree.value.low)
    assert found == pytest.approx(expected, rel=0.02)


def test_the_error_of_the_force_does_not_average_out():
    many = learn(*[coupon(8e-12)] * 40, force_error=0.05)
    assert math.log(many.value.high / many.value.low) > 2.0 * 1.6 * 0.05


def test_a_scale_that_could_not_see_the_loss_says_so_and_how_many_passes_would_do():
    blind = learn(coupon(8e-12, resolution=0.02))
    assert not blind.seen
    assert "weight-not-seen" in [remark.code for remark in blind.remarks]
    again = learn(coupon(8e-12, resolution=0.02, run=replace(RUN, passes=blind.passes_needed)))
    assert again.seen
    assert again.narrowing < 0.6


def test_a_blind_scale_only_bounds_the_removal_from_above():
    run = replace(RUN, passes=60)
    reading = Weighing((0.5,), (0.5,), 1e-3, run)
    result = learn(reading)
    assert result.value.high < PRIOR.high
    assert result.value.number < PRIOR.number
    assert result.value.low > 0.0


def test_a_coarse_scale_that_sees_the_loss_is_told_apart_from_a_blind_one():
    coarse = learn(coupon(8e-12, resolution=5e-4))
    assert coarse.seen
    assert "weight-coarse" in [remark.code for remark in coarse.remarks]


def test_a_coupon_that_gained_weight_is_questioned():
    swapped = Weighing((0.50,), (0.51,), 1e-5, RUN)
    assert "weight-gained" in [remark.code for remark in learn(swapped).remarks]


def test_a_coupon_that_lost_nothing_on_a_fine_scale_is_set_aside_and_breaks_nothing():
    result = learn(Weighing((0.5,), (0.5,), 1e-6, RUN))
    assert result.used == ()
    assert result.likelihood is None
    assert result.value == PRIOR
    assert result.passes_needed >= 1
    assert "weighing-set-aside" in [remark.code for remark in result.remarks]


def test_one_absurd_weighing_is_set_aside_and_named_while_the_others_speak():
    good = learn(coupon(8e-12), coupon(8.4e-12))
    result = learn(coupon(8e-12), coupon(8.4e-12), coupon(8e-10), names=("first", "second", "third"))
    assert result.used == (0, 1)
    assert (result.value.low, result.value.high) == (good.value.low, good.value.high)
    (said,) = [remark for remark in result.remarks if remark.code == "weighing-set-aside"]
    assert "third" in said.message
    assert "first" not in said.message


def test_a_lone_absurd_weighing_is_not_believed_but_two_that_agree_are():
    odd = 3.5e-10
    assert learn(coupon(odd)).value == PRIOR
    both = learn(coupon(odd), coupon(1.05 * odd))
    assert both.used == (0, 1)
    assert both.value.low < odd < both.value.high
    assert "evidence-surprise" in [remark.code for remark in both.remarks]


def test_what_no_belt_can_cut_is_not_believed_however_often_it_is_read():
    result = learn(coupon(1e-8, before=9.0), coupon(1.02e-8, before=9.0), coupon(8e-12))
    assert result.used == (2,)
    assert sum(remark.code == "weighing-set-aside" for remark in result.remarks) == 2


def test_a_weighing_at_the_edge_of_what_was_expected_speaks():
    assert learn(coupon(PRIOR.high)).used == (0,)
    assert learn(coupon(PRIOR.low)).used == (0,)


def test_a_blind_scale_is_no_surprise():
    codes = [remark.code for remark in learn(Weighing((0.5,), (0.5,), 1e-3, replace(RUN, passes=6))).remarks]
    assert "evidence-surprise" not in codes
    assert "weighing-set-aside" not in codes


def test_repeated_readings_average_the_repeatability_but_not_the_rounding():
    once = Weighing((0.5,), (0.49,), 1e-5, RUN)
    often = Weighing((0.5,), (0.49,), 1e-5, RUN, repeats=1000)
    assert often.loss_error == pytest.approx(1e-5 / math.sqrt(6.0), rel=1e-2)
    assert once.loss_error == pytest.approx(1e-5 * math.sqrt(1.0 / 6.0 + 0.5), rel=1e-6)
    three = Weighing((0.5, 0.5, 0.5), (0.49, 0.49, 0.49), 1e-5, RUN)
    assert once.loss_error > three.loss_error > often.loss_error


def test_readings_that_scatter_more_than_the_division_are_believed():
    steady = Weighing((0.5, 0.5, 0.5), (0.49, 0.49, 0.49), 1e-5, RUN)
    restless = Weighing((0.499, 0.5, 0.501), (0.49, 0.49, 0.49), 1e-5, RUN)
    assert restless.loss_error > 10.0 * steady.loss_error


def test_passes_needed_grow_with_the_division_and_with_wanted_certainty():
    few = passes_needed(resolution=1e-4, density=DENSITY, coefficient=PRIOR, run=RUN)
    many = passes_needed(resolution=1e-3, density=DENSITY, coefficient=PRIOR, run=RUN)
    sure = passes_needed(resolution=1e-3, density=DENSITY, coefficient=PRIOR, run=RUN, certainty=1.0)
    assert few < many < sure
    assert passes_needed(resolution=1e-9, density=DENSITY, coefficient=PRIOR, run=RUN) == 1
    nothing = Value(0.0, 0.0, 1e-12, "guess", "")
    assert passes_needed(resolution=1e-3, density=DENSITY, coefficient=nothing, run=RUN) >= 10**9


def test_with_the_stated_scatter_the_band_of_weighings_alone_holds_the_truth_nine_times_in_ten():
    random = np.random.default_rng(7)
    wide = Value(1e-11, 1e-13, 1e-9, "guess", "nothing known")
    held = 0
    for _ in range(400):
        bias = 1.0 + 0.05 * random.standard_normal()
        scatter = SCATTER * math.sqrt(SCATTER_FREEDOM / random.chisquare(SCATTER_FREEDOM))
        readings = [coupon(8e-12 * bias * (1.0 + scatter * random.standard_normal()), resolution=1e-5) for _ in range(2)]
        band = removal_from_weight(readings, density=DENSITY, prior=wide).value
        held += band.low <= 8e-12 <= band.high
    print(f"weighings alone: {held / 4:.1f} % of 400")
    assert 0.86 <= held / 400 <= 0.95


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: replace(RUN, force=0.0), "force"),
        (lambda: replace(RUN, speed=math.nan), "speed"),
        (lambda: replace(RUN, feed=-1.0), "feed"),
        (lambda: replace(RUN, length=math.inf), "length"),
        (lambda: replace(RUN, passes=0), "passes"),
        (lambda: replace(RUN, sense=0.5), "sense"),
        (lambda: Weighing((), (0.5,), 1e-5, RUN), "before"),
        (lambda: Weighing((0.5,), (math.nan,), 1e-5, RUN), "after"),
        (lambda: Weighing((0.5,), (0.5,), 0.0, RUN), "resolution"),
        (lambda: Weighing((0.5,), (0.5,), 1e-5, RUN, repeats=0), "repeats"),
        (lambda: learn(), "no weighing"),
        (lambda: learn(coupon(8e-12), names=("one", "two")), "names"),
        (lambda: removal_from_weight([coupon(1e-11)], density=math.nan, prior=PRIOR), "density"),
    ],
)
def test_what_cannot_be_is_refused_by_name(build, words):
    with pytest.raises(ValueError, match=words):
        build()
