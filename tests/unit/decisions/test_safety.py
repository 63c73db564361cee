"""Stops, what is withheld, cautions: nothing overrides a stop."""

import itertools
import math
from dataclasses import fields, replace

import pytest

from evenlay.decisions.safety import DEFER, HOT_TO_TOUCH, SafetyFacts, safety_remarks
from evenlay.quantities.remarks import LEVELS

SAFE = SafetyFacts(
    wheel_kind="pneumatic",
    rim_speed=18.0,
    plate_speed=32.0,
    belt_rated_speed=30.0,
    sleeve_minimum=0.0,
    sleeve_formula=0.0,
    slip_test=math.nan,
    aluminium=False,
    other_metals=(),
    collector="iron and steel only",
    wet=False,
    face_temperature=35.0,
)
EXPANDER = replace(SAFE, wheel_kind="expander", sleeve_minimum=10.0, sleeve_formula=4.0)
ALUMINIUM = replace(SAFE, aluminium=True, collector="aluminium only")


def found(facts):
    return {(remark.code, remark.level) for remark in safety_remarks(facts)}


def grave(facts):
    return {row for row in found(facts) if row[1] in ("stop", "withheld")}


def test_a_known_and_safe_set_up_has_cautions_only():
    assert grave(SAFE) == set()
    assert grave(EXPANDER) == set()
    assert grave(ALUMINIUM) == set()
    assert {code for code, _ in found(SAFE)} == {"belt-break-zone", "robot-guarding", "dust-and-noise"}


@pytest.mark.parametrize("field", ["plate_speed", "belt_rated_speed"])
def test_a_rim_above_the_plate_or_the_belts_marking_stops(field):
    assert grave(replace(SAFE, **{field: 17.9})) == {("rim-speed-above-rating", "stop")}
    assert grave(replace(SAFE, **{field: 18.0})) == set()


def test_a_rim_above_both_ratings_says_so_twice():
    remarks = [each for each in safety_remarks(replace(SAFE, rim_speed=40.0)) if each.level == "stop"]
    assert [each.where for each in remarks] == ["wheel.plate_speed", "belt.rated_speed"]
    assert "40.0 m/s" in remarks[0].message
    assert "32.0 m/s" in remarks[0].message


def test_a_plate_that_nobody_has_entered_withholds():
    assert grave(replace(SAFE, plate_speed=math.nan)) == {("plate-rating-not-entered", "withheld")}


@pytest.mark.parametrize("kind", ["slack", "platen"])
def test_where_no_wheel_turns_no_plate_is_asked_for(kind):
    assert grave(replace(SAFE, wheel_kind=kind, plate_speed=math.nan)) == set()


@pytest.mark.parametrize("kind", ["solid", "pneumatic", "nonwoven", "expander"])
def test_every_turning_wheel_needs_its_plate(kind):
    facts = replace(EXPANDER, wheel_kind=kind, plate_speed=math.nan)
    assert ("plate-rating-not-entered", "withheld") in grave(facts)


def test_an_unmarked_belt_alone_does_not_withhold():
    assert grave(replace(SAFE, belt_rated_speed=math.nan)) == set()


@pytest.mark.parametrize("speed", [4.0, 6.0, 9.99])
def test_an_expander_without_a_slip_test_under_10_metres_a_second_withholds(speed):
    assert grave(replace(EXPANDER, rim_speed=speed)) == {("sleeve-below-holding-speed", "withheld")}


@pytest.mark.parametrize("speed", [1.0, 3.99])
def test_an_expander_below_what_its_grip_is_known_to_need_stops(speed):
    assert grave(replace(EXPANDER, rim_speed=speed)) == {("sleeve-below-holding-speed", "stop")}


def test_an_expander_at_10_metres_a_second_runs():
    assert grave(replace(EXPANDER, rim_speed=10.0)) == set()


def test_a_slip_test_replaces_the_untested_minimum_and_below_it_is_a_stop():
    tested = replace(EXPANDER, slip_test=7.0)
    assert grave(replace(tested, rim_speed=7.0)) == set()
    assert grave(replace(tested, rim_speed=8.5)) == set()
    assert grave(replace(tested, rim_speed=6.9)) == {("sleeve-below-holding-speed", "stop")}


def test_a_slip_test_that_found_slipping_at_a_higher_speed_stops_above_10_metres_a_second_too():
    assert grave(replace(EXPANDER, slip_test=12.0, rim_speed=11.0)) == {("sleeve-below-holding-speed", "stop")}


def test_an_expander_whose_grip_needs_more_than_10_metres_a_second_stops_there():
    heavy = replace(EXPANDER, sleeve_formula=13.0, sleeve_minimum=13.0)
    assert grave(replace(heavy, rim_speed=12.0)) == {("sleeve-below-holding-speed", "stop")}


@pytest.mark.parametrize("kind", ["solid", "pneumatic", "slack", "platen", "nonwoven"])
def test_no_other_wheel_has_a_lowest_speed(kind):
    assert grave(replace(EXPANDER, wheel_kind=kind, rim_speed=1.0)) == set()


@pytest.mark.parametrize(
    "facts",
    [
        replace(ALUMINIUM, collector="iron and steel only"),
        replace(ALUMINIUM, collector="mixed"),
        replace(ALUMINIUM, other_metals=("carbon steel",)),
        replace(ALUMINIUM, other_metals=("stainless steel",)),
        replace(ALUMINIUM, other_metals=("carbon steel",), collector="not declared"),
        replace(SAFE, other_metals=("aluminium",)),
        replace(SAFE, other_metals=("aluminium",), collector="aluminium only"),
        replace(SAFE, other_metals=("aluminium",), collector="not declared"),
        replace(SAFE, other_metals=("aluminium",), collector="mixed", wet=True),
    ],
)
def test_aluminium_and_iron_dust_on_one_collector_stop(facts):
    assert grave(facts) == {("aluminium-with-iron-dust", "stop")}


def test_steel_on_a_collector_declared_for_aluminium_only_stops():
    assert grave(replace(SAFE, collector="aluminium only")) == {("aluminium-with-iron-dust", "stop")}


def test_aluminium_without_a_declared_collector_withholds():
    assert grave(replace(ALUMINIUM, collector="not declared")) == {("collector-not-declared", "withheld")}


def test_steel_without_a_declared_collector_runs():
    assert grave(replace(SAFE, collector="not declared")) == set()
    assert grave(replace(SAFE, collector="mixed")) == set()


def test_aluminium_brings_its_own_caution_and_wet_collectors_one_more():
    dry = [each for each in safety_remarks(ALUMINIUM) if each.code == "aluminium-dust"]
    wet = [each for each in safety_remarks(replace(ALUMINIUM, wet=True)) if each.code == "aluminium-dust"]
    assert [each.level for each in dry] == ["caution"]
    assert "idle" in wet[0].message
    assert "idle" not in dry[0].message
    assert ("aluminium-dust", "caution") not in found(SAFE)


def test_a_hot_face_is_a_caution():
    assert ("hot-part", "caution") in found(replace(SAFE, face_temperature=HOT_TO_TOUCH + 0.1))
    assert ("hot-part", "caution") not in found(replace(SAFE, face_temperature=HOT_TO_TOUCH))


STOPS = {
    "plate": {"rim_speed": 18.0, "plate_speed": 10.0},
    "belt": {"belt_rated_speed": 10.0},
    "sleeve": {"wheel_kind": "expander", "slip_test": 20.0},
    "dust": {"aluminium": True, "collector": "mixed"},
}
ANYTHING = {
    "wheel_kind": ["solid", "pneumatic", "expander"],
    "plate_speed": [math.nan, 10.0, 100.0],
    "belt_rated_speed": [math.nan, 10.0, 100.0],
    "sleeve_minimum": [0.0, 10.0],
    "slip_test": [math.nan, 5.0, 20.0],
    "aluminium": [False, True],
    "other_metals": [(), ("aluminium",), ("carbon steel",)],
    "collector": ["not declared", "aluminium only", "iron and steel only", "mixed"],
    "wet": [False, True],
    "face_temperature": [20.0, 300.0],
}


@pytest.mark.parametrize("stop", STOPS)
def test_nothing_else_a_job_can_say_overrides_a_stop(stop):
    for name, values in ANYTHING.items():
        if name in STOPS[stop]:
            continue
        for value in values:
            facts = replace(SAFE, **{**STOPS[stop], name: value})
            assert any(remark.level == "stop" for remark in safety_remarks(facts)), (name, value)


def test_stops_add_up_and_come_before_what_is_withheld_and_that_before_cautions():
    facts = replace(EXPANDER, rim_speed=9.0, plate_speed=math.nan, belt_rated_speed=8.0, aluminium=True, collector="mixed")
    remarks = safety_remarks(facts)
    assert [each.level for each in remarks if each.level == "stop"] == ["stop", "stop"]
    ranks = [LEVELS.index(each.level) for each in remarks]
    assert ranks == sorted(ranks, reverse=True)


def test_every_remark_says_what_to_do_and_names_a_source_whatever_the_facts():
    for kind, plate, collector, aluminium in itertools.product(
        ("solid", "expander"), (math.nan, 10.0), ("not declared", "mixed"), (False, True)
    ):
        facts = replace(EXPANDER, wheel_kind=kind, rim_speed=12.0, plate_speed=plate, collector=collector, aluminium=aluminium)
        for remark in safety_remarks(facts):
            assert remark.source
            assert len(remark.message) > 40
            assert "nan" not in remark.message
    assert "not a risk assessment" in DEFER.lower()
    assert "local codes" in DEFER


@pytest.mark.parametrize("name", [field.name for field in fields(SafetyFacts) if field.type == "float"])
def test_a_number_that_is_not_there_never_makes_a_set_up_safer(name):
    # A slip test that was not done takes away a permission; every other missing number may only add what is withheld.
    breached = replace(SAFE, rim_speed=40.0)
    if name != "rim_speed":
        others = {"plate_speed": "belt_rated_speed", "belt_rated_speed": "plate_speed"}
        facts = replace(breached, **{name: math.nan})
        assert others.get(name) is None or grave(facts)
        assert any(row[1] == "stop" for row in grave(facts))


@pytest.mark.parametrize("kind", ["slack", "platen"])
def test_a_belt_without_a_wheel_is_withheld_until_its_marking_is_read(kind):
    facts = replace(SAFE, wheel_kind=kind, plate_speed=math.nan)
    assert grave(facts) == set()
    assert grave(replace(facts, belt_rated_speed=math.nan)) == {("belt-rating-not-entered", "withheld")}
    assert grave(replace(facts, belt_rated_speed=10.0)) == {("rim-speed-above-rating", "stop")}


def test_a_wheel_with_a_plate_does_not_wait_for_the_belts_marking():
    assert grave(replace(SAFE, belt_rated_speed=math.nan)) == set()
