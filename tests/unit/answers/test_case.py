"""A job made ready for computing."""

import math

import pytest

from evenlay.answers.case import KEY_OF_UNKNOWN, case_of, pick, plate_entered
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.situation import CONTACT_UNKNOWNS, UNKNOWN_NAMES, Settings
from evenlay.job.effective import kind_of
from evenlay.quantities.errors import InputProblems


def test_every_unknown_has_a_key_of_the_job_file_and_every_key_one_unknown():
    assert set(KEY_OF_UNKNOWN) == set(UNKNOWN_NAMES)
    assert len(set(KEY_OF_UNKNOWN.values())) == len(UNKNOWN_NAMES)
    for key in KEY_OF_UNKNOWN.values():
        assert kind_of(key)


@pytest.mark.parametrize("wheel", CONTACT_UNKNOWNS)
def test_every_unknown_has_a_value_for_every_wheel_and_only_what_it_uses_has_a_band(jobs, wheel):
    case = jobs.case(wheel=wheel, curvature="convex along", radius="300 mm")
    assert set(case.values) == set(UNKNOWN_NAMES)
    every = {name for names in CONTACT_UNKNOWNS.values() for name in names} - {"modulus", "poisson"}
    for name in every - set(CONTACT_UNKNOWNS[wheel]):
        assert case.values[name].low == case.values[name].high, name
    for name in CONTACT_UNKNOWNS[wheel]:
        assert case.values[name].high > case.values[name].low, name


def test_the_scalars_of_a_set_up_are_those_of_the_file(jobs):
    changes = {
        "belt.length": "2 m",
        "viewing.distance": "1.5 m",
        "settings.dither": "3 mm",
        "path.run_on": "70 mm",
        "device.bandwidth": "8 Hz",
    }
    setup = jobs.case(changes=changes, curvature="hollow across", radius="900 mm").setup
    assert (setup.belt_length, setup.distance, setup.dither, setup.run_on) == pytest.approx((2.0, 1.5, 3e-3, 0.07))
    assert setup.device_bandwidth == pytest.approx(8.0)
    assert setup.curvature_across == pytest.approx(-1.0 / 0.9)
    assert setup.curvature_along == 0.0
    assert (setup.face_along, setup.face_across) == pytest.approx((0.42, 0.30))
    assert math.isnan(setup.lamp_tilt)
    assert math.isnan(setup.chatter_frequency)
    assert math.isnan(setup.feed_dip_length)


def test_a_lamp_that_is_set_fixes_the_tilt(jobs):
    assert jobs.case(changes={"viewing.lamp": "5 °"}).setup.lamp_tilt == pytest.approx(math.radians(5.0))


def test_the_pass_is_as_wide_as_the_narrower_of_wheel_and_belt(jobs):
    assert jobs.case(changes={"belt.width": "40 mm"}).setup.contact_width == pytest.approx(0.040)
    assert jobs.case(changes={"wheel.width": "30 mm", "belt.width": "40 mm"}).setup.contact_width == pytest.approx(0.030)


def test_a_robot_does_not_wander_and_a_hand_drifts_as_a_random_walk(jobs):
    assert jobs.case().values["hand_wander"].high == 0.0
    near = jobs.case(changes={"path.led_by": "hand", "path.hand_wander": "2 mm", "path.hand_wander_length": "100 mm"})
    far = jobs.case(changes={"path.led_by": "hand", "path.hand_wander": "2 mm", "path.hand_wander_length": "400 mm"})
    assert near.values["hand_wander"].number == pytest.approx(2e-3)
    assert far.values["hand_wander"].number == pytest.approx(1e-3)


def test_a_belt_without_a_joint_has_no_joint_step_and_a_sleeve_no_tension(jobs):
    assert jobs.case(changes={"belt.joint": "none"}).values["joint_step"].high == 0.0
    assert jobs.case().values["joint_step"].high > 0.0
    assert jobs.case(wheel="expander").values["belt_tension"].high == 0.0


@pytest.mark.parametrize("wheel", ["slack", "platen"])
def test_where_no_wheel_turns_there_is_no_run_out(jobs, wheel):
    assert jobs.case(wheel=wheel, curvature="convex along", radius="300 mm").values["wheel_runout"].high == 0.0


def test_what_a_job_sets_is_given_and_the_rest_is_left_to_choose(jobs):
    given = jobs.case(changes={"feed": "choose", "offsets": "even"}).given
    assert given.feed is None
    assert not given.complete
    assert (given.force, given.speed, given.rounds, given.offsets, given.taper) == (40.0, 18.0, 2, "even", 0.6)
    every = jobs.case(changes={"offsets": "choose", "rounds": "choose", "taper": "choose"}).given
    assert (every.offsets, every.rounds, every.taper) == (None, None, None)


def test_speeds_to_choose_from_never_pass_the_plate_or_the_belts_marking(jobs):
    ranges = jobs.case(changes={"wheel.plate_speed": "14 m/s", "belt.rated_speed": "16 m/s"}).ranges
    assert ranges.speed[1] == pytest.approx(14.0)
    slow = jobs.case(changes={"wheel.plate_speed": "2 m/s"}).ranges
    assert slow.speed == pytest.approx((2.0, 2.0))
    assert jobs.case(changes={"limits.rounds_max": "3"}).ranges.rounds_max == 3


def test_the_stock_allowed_is_the_smaller_of_the_limit_and_what_the_sheet_can_lose(jobs):
    assert jobs.case().bounds.removal == pytest.approx(30e-6)
    assert jobs.case(changes={"limits.thickness_min": "1.48 mm"}).bounds.removal == pytest.approx(20e-6)
    assert jobs.case(changes={"limits.thickness_min": "1.4 mm"}).bounds.removal == pytest.approx(30e-6)


def test_a_servo_has_power_and_an_air_motor_a_line_that_one_loaded_reading_fixes(jobs):
    servo = jobs.case(changes={"drive.power": "1.5 kW", "drive.torque": "3 N·m"}).bounds
    assert (servo.power, servo.torque) == pytest.approx((1500.0, 3.0))
    assert math.isnan(servo.free_rotation)
    air = {"drive.kind": "air", "drive.free_rpm": "4500 rpm", "drive.loaded_rpm": "3600 rpm", "drive.loaded_torque": "0.8 N·m"}
    read = jobs.case(changes=air).bounds
    assert math.isinf(read.power)
    assert read.free_rotation == pytest.approx(75.0)
    # 900 rpm lost at 0.8 N m: all 4500 are lost at five times that.
    assert read.stall_torque == pytest.approx(4.0)


def test_the_roughness_rule_and_the_eye_are_taken_over(jobs):
    assert jobs.case().bounds.sixteen_percent
    assert not jobs.case(changes={"limits.ra_max": "1 µm", "limits.ra_rule": "max"}).bounds.sixteen_percent
    assert jobs.case(changes={"limits.ra_max": "1 µm"}).bounds.roughness == pytest.approx(1e-6)
    assert not jobs.case().bounds.eye_counts


def test_a_plate_is_entered_as_a_speed_or_as_rpm(jobs):
    assert not plate_entered(jobs.case().step)
    assert plate_entered(jobs.case(changes={"wheel.plate_speed": "30 m/s"}).step)
    assert plate_entered(jobs.case(changes={"wheel.plate_rpm": "3000 rpm"}).step)


def test_a_face_or_step_that_is_not_there_is_named_with_those_that_are(jobs):
    job = jobs.case().job
    assert pick(job, None, None, "job.toml") == pick(job, "face", "finish", "job.toml")
    with pytest.raises(InputProblems, match=r'no face "lid".*face'):
        pick(job, "lid", None, "job.toml")
    with pytest.raises(InputProblems, match=r'no step "rough".*finish'):
        pick(job, None, "rough", "job.toml")


def test_the_hash_of_the_inputs_follows_file_and_changes(jobs):
    folder = jobs.folder()
    plain, again = case_of(folder), case_of(folder)
    tried = case_of(folder, changes={"feed": "121 mm/s"})
    assert plain.inputs_sha256 == again.inputs_sha256
    assert tried.inputs_sha256 != plain.inputs_sha256
    assert len(plain.inputs_sha256) == 64


def test_a_value_of_another_grit_gives_way_with_a_remark(jobs):
    case = jobs.case(changes={"belt.grit": "P80"})
    assert {remark.code for remark in case.remarks} == {"value-of-another-set-up"}
    assert any(remark.where == "belt.roughness" for remark in case.remarks)
    assert case.values["roughness"].number > jobs.case().values["roughness"].number


def test_settings_given_are_those_planned_with(jobs):
    worked = jobs.worked(count=5)
    assert worked.state.settings == Settings(40.0, 18.0, 0.12, 0.025, (0.0, 0.0125), 0.6)


def test_the_highest_rotation_of_a_servo_bounds_the_speed_that_may_be_chosen_and_that_is_allowed(jobs):
    fast = {"limits.speed_max": "60 m/s"}
    slow = jobs.case(changes={**fast, "drive.rpm_max": "2000 rpm"})
    assert slow.ranges.speed[1] == pytest.approx(math.pi * 0.150 * 2000.0 / 60.0)
    assert slow.bounds.rotation == pytest.approx(2000.0 / 60.0)
    air = jobs.case(changes={**fast, "drive.kind": "air"})
    assert math.isinf(air.bounds.rotation)


@pytest.mark.parametrize(("joint", "joined"), [("butt tape", True), ("lap", True), ("none", False)])
def test_a_seamless_belt_has_no_joint_to_print(jobs, joint, joined):
    case = jobs.case(changes={"belt.joint": joint})
    assert case.setup.belt_joined is joined
    shown = {cause.key for cause in REGISTER if cause.applies(case.setup)}
    assert ("joint" in shown) is joined
