"""What a plan says beside its numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.answers.plan_remarks import gaps, pitch_coincidences, plan_remarks
from evenlay.answers.source_ranges import left_by_plan
from evenlay.decisions.evaluate import Margin, at_risk, breaches_of
from evenlay.decisions.recipe import Choice, Option, Score
from evenlay.quantities.remarks import LEVELS

PATCH = np.full(1, 0.02)


def remarks_of(jobs, *, level=0.5, **kind):
    worked = jobs.worked(**kind)
    option = Option(worked.state.settings, Score(100.0, level, level, "overlap"), "the only one")
    breaches = breaches_of(worked.found, worked.case.bounds, worked.draws.weights)
    risks = at_risk(worked.found, worked.case.bounds, worked.draws.weights)
    return plan_remarks(worked.case, worked.found, Choice((option,), 0, True, breaches, 1), level, risks)


def codes(found):
    return {remark.code for remark in found}


def test_an_eye_that_is_not_calibrated_makes_the_order_firm_and_the_level_not(jobs):
    (remark,) = [each for each in remarks_of(jobs) if each.code == "level-not-calibrated"]
    assert remark.message.startswith("Order firm, level not")
    measured = '{ value = "0.8", low = "0.7", high = "0.9", known = "measured", source = "limit sample" }'
    assert "level-not-calibrated" not in codes(remarks_of(jobs, changes={"viewing.eye": measured}))


@pytest.mark.parametrize(("level", "said"), [(0.99, False), (1.0, False), (1.01, True), (math.inf, True)])
def test_a_target_that_is_not_met_is_said(jobs, level, said):
    assert ("target-not-met" in codes(remarks_of(jobs, level=level))) is said


def test_a_broken_limit_is_named_with_its_excess(jobs):
    found = remarks_of(jobs, changes={"limits.ra_max": "0.4 µm"})
    (remark,) = [each for each in found if each.code == "limit-broken"]
    assert remark.message.startswith("Ra reaches ")
    assert "times its limit" in remark.message
    assert remark.level == "caution"


def test_a_limit_that_only_the_band_reaches_is_at_risk(jobs):
    found = remarks_of(jobs, changes={"limits.ra_max": "0.9 µm"})
    assert "limit-broken" not in codes(found)
    (remark,) = [each for each in found if each.code == "limit-at-risk" and each.message.startswith("Ra: with these settings")]
    assert "measure before promising" in remark.message


def test_margins_at_risk_say_how_far_the_band_reaches(jobs):
    worked = jobs.worked(count=5)
    option = Option(worked.state.settings, Score(100.0, 0.5, 0.5, "overlap"), "the only one")
    choice = Choice((option,), 0, True, (), 1)
    found = plan_remarks(worked.case, worked.found, choice, 0.5, (Margin("stock removed", 1.0, 1.5, 1.2),))
    (remark,) = [each for each in found if each.code == "limit-at-risk"]
    assert "reaches 1.25 times it" in remark.message


def test_marks_in_a_whole_number_ratio_are_named(jobs):
    worked = jobs.worked(count=5)
    length = 3.0 * math.pi * worked.case.setup.wheel_diameter
    found = pitch_coincidences(replace(worked.case.setup, belt_length=length), worked.state.settings, PATCH)
    assert codes(found) == {"marks-coincide"}
    assert "3 to 1" in found[0].message or "1 to 3" in found[0].message
    odd = pitch_coincidences(
        replace(worked.case.setup, belt_length=2.37 * math.pi * 0.15, device_bandwidth=math.nan), worked.state.settings, PATCH
    )
    assert odd == ()


def test_a_side_to_side_motion_too_fast_for_its_law_is_said(jobs):
    quick = {"settings.dither": "3 mm", "settings.dither_length": "20 mm"}
    assert "dither-too-fast" in codes(remarks_of(jobs, changes=quick))
    assert "dither-too-fast" not in codes(remarks_of(jobs))


def test_a_face_shorter_than_two_turns_of_the_belt_shows_no_belt_line(jobs):
    long = {"belt.length": "4 m", "feed": "1000 mm/s"}
    assert "face-shorter-than-two-turns" in codes(remarks_of(jobs, changes=long))
    assert "face-shorter-than-two-turns" not in codes(remarks_of(jobs))


def test_a_last_round_that_owns_the_texture_is_said_unless_it_is_light_or_the_only_one(jobs):
    heavy = {"taper": "1", "rounds": "3"}
    assert "last-round-owns-the-texture" in codes(remarks_of(jobs, changes=heavy))
    assert "last-round-owns-the-texture" not in codes(remarks_of(jobs, changes={"taper": "1", "rounds": "1"}))
    light = {"rounds": "3", "belt.texture_memory": "50 µm", "taper": "1"}
    assert "last-round-owns-the-texture" not in codes(remarks_of(jobs, changes=light))


def test_what_the_customer_has_not_said_is_a_gap(jobs):
    plain = {remark.where for remark in gaps(jobs.case())}
    assert {"viewing.distance", "job.asked", "limits.ra_max"} <= plain
    told = jobs.case(changes={"viewing.distance": "1.2 m", "job.asked": "no lines, please", "limits.ra_max": "1 µm"})
    assert gaps(told) == ()


def test_every_remark_has_a_level_a_source_and_a_place(jobs):
    for remark in remarks_of(jobs, level=3.0, changes={"limits.ra_max": "0.4 µm", "taper": "1"}):
        assert remark.level in LEVELS
        assert remark.source
        assert remark.where
        assert remark.message.endswith(".")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, False),
        ({"settings.step_over": "45 mm", "settings.rounds": "1"}, False),
        ({"settings.step_over": "60 mm", "settings.rounds": "1"}, True),
        # Two rounds lie 30 mm apart when spread evenly, 55 mm when they are not.
        ({"settings.step_over": "60 mm"}, False),
        ({"settings.step_over": "60 mm", "settings.offsets": '["0 mm", "5 mm"]'}, True),
    ],
)
def test_stripes_that_no_pass_reaches_are_said(jobs, changes, said):
    found = [each for each in remarks_of(jobs, changes=changes) if each.code == "bare-stripes"]
    assert bool(found) is said
    if said:
        assert "less than half the cut" in found[0].message


def test_settings_chosen_at_the_end_of_their_range_are_named_only_when_the_target_is_missed(jobs):
    changes = {"settings.force": "choose", "settings.feed": "choose"}
    case = jobs.case(changes=changes)
    worked = jobs.worked(count=5)
    settings = worked.state.settings.with_(force=case.ranges.force[1], feed=0.5 * sum(case.ranges.feed))
    front = (Option(settings, Score(100.0, 2.0, 2.0, "overlap"), "the only one"),)
    for level, tried, said in ((2.0, 9, True), (0.5, 9, False), (2.0, 1, False)):
        found = [
            each
            for each in plan_remarks(case, worked.found, Choice(front, 0, True, (), tried), level, ())
            if each.code == "settings-at-their-limit"
        ]
        assert bool(found) is said
        if said:
            assert "force at limits.force_max" in found[0].message
            assert "feed" not in found[0].message
            assert "speed" not in found[0].message


@pytest.mark.parametrize(("tried", "words"), [(1, "These settings do not keep"), (9, "No setting tried keeps")])
def test_what_was_set_is_not_called_tried(jobs, tried, words):
    worked = jobs.worked(count=5)
    option = Option(worked.state.settings, Score(100.0, 2.0, 2.0, "overlap"), "the only one")
    (remark,) = [
        each
        for each in plan_remarks(worked.case, worked.found, Choice((option,), 0, False, (), tried), 2.0, ())
        if each.code == "target-not-met"
    ]
    assert remark.message.startswith(words)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"belt.grit": "P60"}, "median grain is 0.269 mm"),
        ({"wheel.inflation": "3 bar"}, "The rounds press with"),
        ({"step.settings.dither": "1 mm"}, "not claimed"),
    ],
)
def test_lines_taken_beyond_what_was_simulated_are_said_and_within_it_nothing_is(jobs, changes, said):
    beyond = jobs.worked(changes=changes)
    messages = [remark.message for remark in left_by_plan(beyond.case, beyond.found) if remark.code == "outside-source-range"]
    assert any(said in message for message in messages), messages
    within = jobs.worked(changes={"step.settings.force": "60 N"})
    assert left_by_plan(within.case, within.found) == ()
