"""Causes as an answer shows them."""

import math

import numpy as np
import pytest

from evenlay.answers.mark_records import evaluated_marks, mark_record, pitch_records
from evenlay.decisions.causes import REGISTER, Strength, Unmeasured
from evenlay.decisions.spacing import CLOCK_TOLERANCE
from evenlay.job.answer_parts import NotKnown, Number
from evenlay.physics.viewing import visible_band


def marks_of(jobs, *, calibrated=False, **kind):
    worked = jobs.worked(**kind)
    band = visible_band(worked.case.setup.distance)
    made = evaluated_marks(worked.found, values=worked.case.values, band=band, weights=worked.draws.weights, calibrated=calibrated)
    return worked, made


def test_every_cause_that_the_set_up_can_have_is_shown_once_strongest_first_unknown_last(jobs):
    worked, marks = marks_of(jobs)
    assert {mark.key for mark in marks} == {cause.key for cause in REGISTER}
    known = [mark.strength.value for mark in marks if isinstance(mark.strength, Number)]
    assert known == sorted(known, reverse=True)
    assert all(isinstance(mark.strength, NotKnown) for mark in marks[len(known) :])
    for mark in marks:
        strength = worked.found.strengths[mark.key]
        assert isinstance(mark.strength, NotKnown) is isinstance(strength, Unmeasured)


def test_the_numbers_are_those_of_the_evaluation(jobs):
    worked, marks = marks_of(jobs)
    for mark in marks:
        strength = worked.found.strengths[mark.key]
        if not isinstance(strength, Strength):
            continue
        assert mark.strength.value == strength.visibility[0]
        assert mark.strength.low <= np.quantile(strength.visibility[1:], 0.2)
        assert [link.name for link in mark.chain] == [link.name for link in strength.chain]
        assert mark.chain[-1].number.value == mark.strength.value
        assert mark.claim == strength.claim
        assert mark.control == strength.control
        assert mark.remedy
        assert mark.remedy_cost


def test_the_eyes_doubt_widens_the_band_and_leaves_the_centre(jobs):
    for mark in marks_of(jobs, count=521)[1]:
        if isinstance(mark.strength, Number):
            assert mark.strength_with_eye.value == pytest.approx(mark.strength.value)
            assert mark.strength_with_eye.high > mark.strength.high


def test_a_calibrated_eye_is_not_counted_twice(jobs):
    for mark in marks_of(jobs, calibrated=True)[1]:
        if isinstance(mark.strength, Number):
            assert mark.strength_with_eye.high == pytest.approx(mark.strength.high)


def test_a_strength_is_known_as_its_weakest_part(jobs):
    for mark in marks_of(jobs)[1]:
        if isinstance(mark.strength, Number):
            assert mark.strength.known == "guess"


def test_a_cause_without_an_amplitude_says_what_to_measure_and_shows_no_number_and_no_chain(jobs):
    _, marks = marks_of(jobs)
    for mark in marks:
        if isinstance(mark.strength, NotKnown):
            assert mark.strength.measure
            assert mark.chain == ()
            assert mark.strength_with_eye is None
            assert mark.seen == "spacing unknown"


def test_a_known_frequency_gives_chatter_its_spacing_and_not_a_strength(jobs):
    _, marks = marks_of(jobs, changes={"device.chatter": "60 Hz"})
    (chatter,) = [mark for mark in marks if mark.key == "chatter"]
    assert chatter.pitches[0][1].value == pytest.approx(0.12 / 60.0)
    assert chatter.seen == "seen best"
    assert isinstance(chatter.strength, NotKnown)


def test_a_spacing_stands_with_the_tolerance_of_its_clocks(jobs):
    worked = jobs.worked(count=5)
    for cause in REGISTER:
        for _, number in pitch_records(cause, worked.case.setup, worked.state.settings, np.full(6, 0.02)):
            assert number.low == pytest.approx(number.value * (1.0 - 1.645 * CLOCK_TOLERANCE), rel=1e-3)
            assert number.high == pytest.approx(number.value * (1.0 + 1.645 * CLOCK_TOLERANCE), rel=1e-3)
            assert number.known == "guess"


def test_a_slack_belt_has_no_wheel_among_its_marks(jobs):
    _, marks = marks_of(jobs, wheel="slack", curvature="convex along", radius="300 mm", changes={"force": "20 N"})
    assert "wheel" not in {mark.key for mark in marks}


def test_where_only_spacings_are_asked_for_no_strength_is_shown(jobs):
    (joint,) = [cause for cause in REGISTER if cause.key == "joint"]
    worked = jobs.worked(count=5)
    pitches = pitch_records(joint, worked.case.setup, worked.state.settings, np.full(6, 0.02))
    record = mark_record(joint, pitches=pitches, band=visible_band(0.6))
    assert record.strength is None
    assert record.chain == ()
    assert record.seen == "seen best"
    assert math.isfinite(record.pitches[0][1].value)
