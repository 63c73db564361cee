"""Sections beside the lines: contact, stock, drive, heat, time, stroke."""

import math

import numpy as np
import pytest

from evenlay.answers.sections import (
    contact_record,
    drive_record,
    heat_record,
    removal_record,
    stroke_record,
    time_record,
    tint_scale_of,
    whole_face_numbers,
)
from evenlay.decisions.face import whole_face
from evenlay.decisions.situation import wheel_of
from evenlay.job.answer_parts import NotKnown, Number
from evenlay.physics.contact.reach import edge_rise


def numbers_of(record):
    return {name: getattr(record, name) for name in type(record).model_fields if isinstance(getattr(record, name), Number)}


def section(jobs, make, **kind):
    worked = jobs.worked(**kind)
    return worked, make(worked.state, worked.draws, worked.case)


def test_the_contact_is_that_of_the_first_round_with_its_bands(jobs):
    worked, record = section(jobs, contact_record)
    first = worked.state.contacts[0]
    assert record.patch_length.value == first.patch_length[0]
    assert record.half_depth_width.value == first.profile.half_depth_width[0]
    assert record.ramp.value == first.profile.ramp[0]
    assert record.peak_pressure.value == first.peak_pressure[0]
    assert record.flattening.value == first.flattening[0]
    for number in numbers_of(record).values():
        assert number.low <= number.value <= number.high
        assert math.isfinite(number.value)
    assert record.mean_pressure.kind == "pressure"


def test_the_edge_rise_is_that_of_a_third_of_the_belt_in_the_air_and_its_force_takes_it_back(jobs):
    worked, record = section(jobs, contact_record)
    rise = edge_rise(
        wheel_of(worked.case.setup, worked.state.unknowns), force=40.0, speed=18.0, overhang=worked.case.setup.contact_width / 3.0
    )
    assert record.edge_rise.value == pytest.approx(float(np.broadcast_to(rise.load_rise, (32,))[0]))
    assert record.edge_rise.value > 1.1
    assert record.edge_force.value < 40.0


def test_a_measured_ramp_is_known_as_measured_while_a_guessed_wheel_is_not(jobs):
    ramp = '{ value = "4 mm", low = "3.8 mm", high = "4.2 mm", known = "measured", source = "ink" }'
    _, record = section(jobs, contact_record, changes={"wheel.edge_ramp": ramp})
    assert record.patch_length.known == "guess"


def test_stock_adds_up_over_the_rounds_and_is_held_against_what_is_allowed(jobs):
    _, record = section(jobs, removal_record)
    assert sum(each.value for each in record.per_round) == pytest.approx(record.total.value)
    assert record.per_round[1].value == pytest.approx(0.6 * record.per_round[0].value)
    percent = 100.0 * record.total.high / 30e-6
    assert record.budget.startswith(f"{percent:.0f} % of the 30 µm allowed")


def test_without_a_limit_on_stock_the_budget_says_so(jobs):
    worked = jobs.worked()
    free = jobs.case(changes={"limits.removal_max": "1 mm"})
    assert "1000 µm" in removal_record(worked.state, worked.draws, free).budget


def test_ripple_without_error_is_even_here_and_with_path_error_it_is_not(jobs):
    _, record = section(jobs, removal_record, changes={"taper": "1"})
    assert record.ripple.value < 1e-3
    assert record.ripple_with_error.value > 0.05
    assert record.ripple_with_error.low <= record.ripple_with_error.value <= record.ripple_with_error.high


def test_specific_energy_is_friction_over_the_removal_coefficient(jobs):
    worked, record = section(jobs, removal_record)
    unknowns = worked.state.unknowns
    assert record.specific_energy.value == pytest.approx(unknowns.friction[0] / unknowns.removal_coefficient[0])


def test_torque_and_power_are_friction_times_force_times_radius_and_speed(jobs):
    worked, (record, remarks) = section(jobs, drive_record)
    flat = worked.state.contacts[0].flattening[0]
    assert record.torque.value == pytest.approx(0.4 * 40.0 * (0.075 - flat), rel=1e-6)
    assert record.power.value == pytest.approx(0.4 * 40.0 * 18.0)
    assert record.speed_under_load.value == pytest.approx(18.0)
    assert remarks == ()
    assert record.note.startswith("servo")


def test_a_servo_short_of_power_is_said_to_be_too_slow(jobs):
    _, (record, remarks) = section(jobs, drive_record, changes={"drive.power": "150 W"})
    assert [remark.code for remark in remarks] == ["drive-too-slow"]
    assert record.speed_under_load.value < 0.98 * 18.0
    assert "power" in remarks[0].message


def test_an_air_motor_loses_speed_under_load_in_proportion_to_its_torque(jobs):
    air = {"drive.kind": "air", "drive.free_rpm": "3000 rpm", "drive.stall_torque": "6 N·m"}
    _, (record, _) = section(jobs, drive_record, changes=air)
    free = math.pi * 0.150 * 50.0
    assert record.speed_under_load.value == pytest.approx(free * (1.0 - record.torque.value / 6.0), rel=1e-6)
    assert f"{free:.1f} m/s without load" in record.note


@pytest.mark.parametrize("wheel", ["slack", "platen"])
def test_a_belt_without_a_wheel_behind_it_loses_no_arm(jobs, wheel):
    kind = {"wheel": wheel, "curvature": "convex along", "radius": "300 mm"}
    _, (record, _) = section(jobs, drive_record, changes={"force": "20 N"}, **kind)
    assert record.torque.value == pytest.approx(0.4 * 20.0 * 0.5 * jobs.case(**kind).setup.wheel_diameter)


def test_heat_adds_flash_and_what_rounds_leave_to_the_room(jobs):
    _, (record, remarks) = section(jobs, heat_record)
    assert record.face.value == pytest.approx(293.15 + record.sheet.value + record.flash.value)
    assert record.flash.kind == record.sheet.kind == "temperature_difference"
    assert record.tint == "no heat colour expected"
    assert remarks == ()


def test_a_thin_sheet_pressed_hard_is_told_of_its_tint_on_the_one_hour_basis(jobs):
    hot = {"part.sheet": "0.5 mm", "force": "60 N", "feed": "20 mm/s", "rounds": "6", "taper": "1", "speed": "30 m/s"}
    _, (record, remarks) = section(jobs, heat_record, changes=hot)
    assert record.face.high > 500.0
    assert len(remarks) == 1
    assert "hour" in record.tint


def test_more_rounds_and_a_thinner_sheet_are_hotter(jobs):
    def left(**changes):
        return section(jobs, heat_record, changes=changes)[1][0].sheet.value

    base = left()
    assert left(rounds="4") > base
    assert left(**{"part.sheet": "0.8 mm"}) > base
    assert left(feed="240 mm/s") < base


@pytest.mark.parametrize(("alloy", "basis"), [("304", "18"), ("430", "18"), ("carbon steel", "carbon"), ("6061", None), ("5052", None)])
def test_the_heat_colours_are_those_of_the_metal_and_never_of_carbon_steel_for_stainless(jobs, alloy, basis):
    scale = tint_scale_of(jobs.case(alloy=alloy))
    assert (scale is None) is (basis is None)
    if scale is not None:
        assert list(scale.temperatures) == sorted(scale.temperatures)
        assert ("carbon" in scale.basis.lower() + scale.source.lower()) is (alloy == "carbon steel")


def test_aluminium_is_said_to_show_no_heat_colour(jobs):
    _, (record, remarks) = section(jobs, heat_record, alloy="6061")
    assert record.tint == "aluminium shows no heat colour"
    assert remarks == ()


def test_the_time_has_its_band_from_turns_and_run_on(jobs):
    _, record = section(jobs, time_record)
    assert record.total.low < record.total.value < record.total.high
    exact = {"path.turn_time": "1.5 s", "path.run_on": "50 mm"}
    _, still = section(jobs, time_record, changes=exact)
    assert still.total.low == still.total.value == still.total.high


def test_a_device_without_a_stroke_is_not_known_and_says_what_the_job_needs(jobs):
    from evenlay.answers.case import case_of
    from evenlay.answers.plan import complete_settings
    from evenlay.decisions.situation import central_unknowns, state_of

    set_but_stroke = {key: text for key, text in AS_SET.items() if key != "device.stroke"}
    case = case_of(jobs.folder(), changes=set_but_stroke)
    state = state_of(case.setup, central_unknowns(case.values), complete_settings(case.given))
    found, remarks = stroke_record(state, case)
    assert isinstance(found, NotKnown)
    assert "mm" in found.measure
    assert remarks == ()


AS_SET = {"force": "40 N", "speed": "18 m/s", "feed": "120 mm/s", "step_over": "25 mm", "rounds": "2", "offsets": "even", "taper": "0.6"}


def test_the_curves_over_the_whole_face_hold_their_centre(jobs):
    centre, low, high = whole_face_numbers(whole_face(jobs.worked().state))
    assert np.all(low <= centre)
    assert np.all(centre <= high)
    assert np.any(low < centre)
