"""From a spacing on a face to the cause that printed it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.decisions.causes import REGISTER
from evenlay.decisions.situation import Settings
from evenlay.decisions.spacing import ALIKE, OTHER, suspects

PATCH = np.full(1, 0.02)
SETTINGS = Settings(force=40.0, speed=18.0, feed=0.12, step_over=0.030, offsets=(0.0, 0.015))
"""Joint 10 mm, wheel 3.14 mm and its parts, chatter at 60 Hz 2 mm, device at 10 Hz 12 mm; step-over 30 mm, over two rounds 15 mm."""


def verdict_of(world, spacing, *, direction="along", tolerance=0.03, setup=None, settings=SETTINGS):
    return suspects(
        causes=REGISTER,
        direction=direction,
        spacing=spacing,
        tolerance=tolerance,
        setup=setup or world.setup,
        settings=settings,
        patch_length=PATCH,
    )


def own_spacings(world, settings=SETTINGS, setup=None):
    return {
        (cause.key, pitch.name): (cause.direction, float(pitch.value[0]))
        for cause in REGISTER
        for pitch in cause.pitches(setup or world.setup, settings, PATCH)
    }


@pytest.mark.parametrize(
    ("key", "spacing", "direction"),
    [
        ("joint", 0.12 * 1.5 / 18.0, "along"),
        ("wheel", 0.12 * math.pi * 0.150 / 18.0, "along"),
        ("chatter", 0.12 / 60.0, "along"),
        ("device", 0.12 / 10.0, "along"),
        ("overlap", 0.030, "across"),
        ("overlap", 0.015, "across"),
    ],
)
def test_each_cause_is_found_from_its_own_spacing(world, key, spacing, direction):
    verdict = verdict_of(world, spacing, direction=direction)
    first = verdict.suspects[0]
    assert first.key == key
    assert first.off_by == pytest.approx(0.0, abs=1e-9)
    assert first.spacing == pytest.approx(spacing)
    assert verdict.told_apart
    assert first.share > 0.5


def test_every_spacing_of_every_cause_puts_that_cause_first_or_among_those_it_cannot_be_told_from(world):
    spacings = own_spacings(world)
    assert {key for key, _ in spacings} == {"overlap", "joint", "wheel", "chatter", "device", "feed-dip"}
    for (key, mark), (direction, spacing) in spacings.items():
        verdict = verdict_of(world, spacing, direction=direction)
        best = verdict.suspects[0]
        (own,) = [each for each in verdict.suspects if (each.key, each.mark) == (key, mark)]
        assert own.share * ALIKE >= best.share, (key, mark)


def test_shares_are_probabilities_ranked(world):
    verdict = verdict_of(world, 0.0041)
    shares = [suspect.share for suspect in verdict.suspects]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert all(share >= 0.0 for share in shares)


def test_the_share_is_the_normal_likelihood_in_the_logarithm_against_an_even_one(world):
    # A slack belt has no wheel, so the wheel is no suspect. By hand.
    setup = replace(world.setup, wheel_kind="slack", chatter_frequency=math.nan, device_bandwidth=math.nan, feed_dip_length=0.5)
    spacing, sd = 0.0105, math.hypot(0.03, 0.02)
    joint = math.exp(-0.5 * (math.log(1.05) / sd) ** 2) / (sd * math.sqrt(2.0 * math.pi))
    even = 1.0 / math.log(0.2 / 0.2e-3)
    # Chatter and device have no spacing here, so each may print any.
    rows = {each.key: each.share for each in verdict_of(world, spacing, setup=setup).suspects}
    assert "wheel" not in rows
    total = joint + 2.0 * even + 0.05 * even
    assert rows["joint"] == pytest.approx(joint / total, rel=1e-6)
    assert rows["chatter"] == pytest.approx(even / total, rel=1e-6)
    assert rows["other"] == pytest.approx(0.05 * even / total, rel=1e-6)


def test_a_better_measured_spacing_leaves_less_doubt(world):
    shares = [verdict_of(world, 0.01, tolerance=tolerance).suspects[0].share for tolerance in (0.15, 0.05, 0.01)]
    assert shares == sorted(shares)
    assert shares[0] < shares[-1]


def test_a_spacing_seven_per_cent_off_is_still_the_joint_when_measured_by_eye_and_hardly_when_measured_well(world):
    assert verdict_of(world, 0.0107, tolerance=0.05).suspects[0].key == "joint"
    odds = []
    for tolerance in (0.05, 0.002):
        rows = {each.key: each for each in verdict_of(world, 0.0107, tolerance=tolerance).suspects}
        assert rows["joint"].off_by == pytest.approx(0.07)
        odds.append(rows["joint"].share / rows["other"].share)
    assert odds[1] < 0.05 * odds[0]


def test_a_spacing_is_only_matched_to_causes_of_its_direction(world):
    along = {suspect.key for suspect in verdict_of(world, 0.030).suspects}
    across = {suspect.key for suspect in verdict_of(world, 0.010, direction="across").suspects}
    assert "overlap" not in along
    assert across == {"overlap", "belt-lines", "other"}


def test_a_cause_with_any_spacing_is_offered_across_and_has_none_of_its_own(world):
    (belt,) = [each for each in verdict_of(world, 0.0041, direction="across").suspects if each.key == "belt-lines"]
    assert math.isnan(belt.spacing)
    assert math.isnan(belt.off_by)
    verdict = verdict_of(world, 0.0041, direction="across")
    assert verdict.suspects[0].key == "belt-lines"
    assert verdict.told_apart


def test_a_cause_that_predicts_a_spacing_sharply_beats_one_that_merely_allows_it(world):
    verdict = verdict_of(world, 0.030, direction="across")
    assert [suspect.key for suspect in verdict.suspects[:2]] == ["overlap", "belt-lines"]
    assert verdict.told_apart


def test_what_fits_nothing_is_none_of_these(world):
    every_known = replace(world.setup, feed_dip_length=0.02)
    verdict = verdict_of(world, 0.0251, setup=every_known, tolerance=0.02)
    assert verdict.suspects[0].mark == OTHER
    assert verdict.suspects[0].key == "other"
    assert "No cause in this job prints that spacing" in verdict.check


@pytest.mark.parametrize("spacing", [1e-5, 1.0])
def test_a_spacing_beyond_everything_still_gives_a_verdict(world, spacing):
    verdict = verdict_of(world, spacing)
    assert sum(suspect.share for suspect in verdict.suspects) == pytest.approx(1.0)
    assert verdict.suspects[0].key == "other"


def coinciding(world):
    """A belt of exactly three turns of the wheel, and chatter as often as the joint comes round."""
    length = 3.0 * math.pi * world.setup.wheel_diameter
    return replace(world.setup, belt_length=length, chatter_frequency=18.0 / length)


def test_two_causes_on_one_spacing_cannot_be_told_apart_and_the_change_named_parts_them(world):
    setup = coinciding(world)
    spacing = 0.12 * setup.belt_length / 18.0
    verdict = verdict_of(world, spacing, setup=setup)
    assert {suspect.key for suspect in verdict.suspects[:2]} == {"joint", "chatter"}
    assert not verdict.told_apart
    assert verdict.check.startswith("Run one stroke with the belt speed by a quarter less")
    # Do what it says: the spacing then seen is the joint's or chatter's, and not the other's.
    changed = SETTINGS.with_(speed=0.75 * SETTINGS.speed)
    joint, chatter = 0.12 * setup.belt_length / (0.75 * 18.0), spacing
    for key, seen in (("joint", joint), ("chatter", chatter)):
        after = verdict_of(world, seen, setup=setup, settings=changed)
        assert after.suspects[0].key == key
        assert any(abs(length / seen - 1.0) < 1e-9 for length in verdict.lengths)
    assert verdict.check.count("{}") == 2


def test_a_wheel_and_a_joint_that_coincide_move_alike_and_their_own_checks_are_given(world):
    setup = replace(world.setup, belt_length=math.pi * world.setup.wheel_diameter)
    verdict = verdict_of(world, 0.12 * setup.belt_length / 18.0, setup=setup)
    assert {suspect.key for suspect in verdict.suspects[:2]} == {"joint", "wheel"}
    assert not verdict.told_apart
    by_key = {cause.key: cause for cause in REGISTER}
    assert verdict.check.startswith("Both move alike")
    assert by_key["joint"].check in verdict.check
    assert by_key["wheel"].check in verdict.check


def test_device_and_chatter_move_alike_with_feed_so_no_change_of_speed_is_promised(world):
    setup = replace(world.setup, chatter_frequency=10.0)
    verdict = verdict_of(world, 0.012, setup=setup)
    assert {suspect.key for suspect in verdict.suspects[:2]} == {"chatter", "device"}
    assert verdict.check.startswith("Both move alike")


def test_a_dip_has_a_place_and_a_change_of_feed_parts_it_from_the_device(world):
    setup = replace(world.setup, feed_dip_length=0.006)
    verdict = verdict_of(world, 0.012, setup=setup)
    assert {suspect.key for suspect in verdict.suspects[:2]} == {"feed-dip", "device"}
    assert not verdict.told_apart
    assert "feed by a quarter less" in verdict.check
    assert sorted(verdict.lengths) == pytest.approx([0.009, 0.012])


def test_step_overs_of_one_cause_are_never_said_to_be_parted_by_a_change_that_moves_both(world):
    verdict = verdict_of(world, 0.0212, direction="across", tolerance=0.3)
    assert {suspect.key for suspect in verdict.suspects[:2]} <= {"overlap", "belt-lines"}
    assert verdict.check


@pytest.mark.parametrize(
    ("spacing", "tolerance"), [(0.0, 0.03), (-0.01, 0.03), (math.nan, 0.03), (math.inf, 0.03), (0.01, 0.0), (0.01, math.nan)]
)
def test_a_spacing_or_tolerance_that_is_no_positive_number_is_refused(world, spacing, tolerance):
    with pytest.raises(ValueError, match="must be positive"):
        verdict_of(world, spacing, tolerance=tolerance)


def test_a_job_without_any_cause_of_a_direction_says_that_nothing_prints_it(world):
    verdict = suspects(causes=(), direction="along", spacing=0.01, tolerance=0.03, setup=world.setup, settings=SETTINGS, patch_length=PATCH)
    assert [suspect.key for suspect in verdict.suspects] == ["other"]
    assert verdict.told_apart


def test_the_best_suspect_alone_brings_its_own_check(world):
    (joint,) = [cause for cause in REGISTER if cause.key == "joint"]
    verdict = suspects(
        causes=(joint,), direction="along", spacing=0.01, tolerance=0.03, setup=world.setup, settings=SETTINGS, patch_length=PATCH
    )
    assert verdict.check == joint.check


def test_where_the_second_best_has_no_spacing_the_best_ones_own_move_is_the_check(world):
    verdict = verdict_of(world, 0.030, direction="across")
    assert [suspect.key for suspect in verdict.suspects[:2]] == ["overlap", "belt-lines"]
    assert verdict.check.startswith("Run a few passes beside each other with the step-over by a tenth less")
    assert "has no spacing of its own" in verdict.check


def test_where_the_best_has_no_spacing_the_second_ones_own_move_is_the_check(world):
    verdict = verdict_of(world, 0.0041, direction="across")
    assert [suspect.key for suspect in verdict.suspects[:2]] == ["belt-lines", "other"]
    verdict = verdict_of(world, 0.0265, direction="across")
    assert [suspect.key for suspect in verdict.suspects[:2]] == ["belt-lines", "overlap"]
    assert verdict.check.startswith("Run a few passes beside each other with the step-over by a tenth less: overlap of passes")
    assert "belt high spots has no spacing of its own" in verdict.check
    assert "move alike" not in verdict.check


def test_where_neither_of_the_best_has_a_spacing_both_checks_are_given(world):
    unknown = replace(world.setup, chatter_frequency=math.nan, feed_dip_length=math.nan, device_bandwidth=math.nan)
    verdict = verdict_of(world, 0.0251, setup=unknown)
    assert {suspect.key for suspect in verdict.suspects[:2]} <= {"chatter", "feed-dip", "device"}
    assert not verdict.told_apart
    by_key = {cause.key: cause for cause in REGISTER}
    for suspect in verdict.suspects[:2]:
        assert by_key[suspect.key].check in verdict.check


def test_a_best_one_that_no_easy_change_moves_brings_its_own_check(world):
    # A dip has a length of its own: neither speed, feed nor step-over moves it.
    setup = replace(world.setup, feed_dip_length=0.0125, chatter_frequency=math.nan, device_bandwidth=math.nan)
    verdict = verdict_of(world, 0.025, setup=setup)
    (dip,) = [cause for cause in REGISTER if cause.key == "feed-dip"]
    assert verdict.suspects[0].key == "feed-dip"
    assert verdict.check.startswith(dip.check)
    assert "Run one stroke" not in verdict.check.removeprefix(dip.check)


def test_two_spacings_of_one_cause_are_said_to_be_one_cause(world):
    (overlap,) = [cause for cause in REGISTER if cause.key == "overlap"]
    verdict = suspects(
        causes=(overlap,), direction="across", spacing=0.0212, tolerance=0.5, setup=world.setup, settings=SETTINGS, patch_length=PATCH
    )
    assert [suspect.key for suspect in verdict.suspects[:2]] == ["overlap", "overlap"]
    assert overlap.check in verdict.check or "Run one stroke" in verdict.check


def test_a_joint_and_a_wheel_that_print_the_same_spacing_cannot_be_told_apart(world):
    # A belt as long as the wheel's circumference: every turn of the one is a turn of the other.
    setup = replace(world.setup, belt_length=math.pi * world.setup.wheel_diameter)
    spacing = world.settings.feed * setup.belt_length / world.settings.speed
    verdict = verdict_of(world, spacing, setup=setup)
    assert {suspect.key for suspect in verdict.suspects[:2]} == {"joint", "wheel"}
    assert verdict.suspects[0].share == pytest.approx(verdict.suspects[1].share, rel=1e-6)
    assert not verdict.told_apart
