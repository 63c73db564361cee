"""Common practice, no source: what people at belts expect, asked of the whole program through a job folder."""

import itertools
from types import SimpleNamespace

import numpy as np
import pytest

from evenlay.answers.case import case_of
from evenlay.answers.hazards import safety_of
from evenlay.answers.plan import complete_settings
from evenlay.answers.sections import drive_record, stroke_record
from evenlay.answers.start import start_job
from evenlay.decisions.evaluate import evaluate, face_time, workbench
from evenlay.decisions.situation import draw_unknowns, wheel_of
from evenlay.job.answer_parts import Number
from evenlay.physics.contact.reach import deepest_hollow
from evenlay.quantities.draws import COARSE

USUAL = {"force": "40 N", "speed": "18 m/s", "feed": "120 mm/s", "step_over": "25 mm", "rounds": "1", "offsets": "even", "taper": "1"}
"""A counter lid on a 150 mm pneumatic wheel with a 1.5 m belt P180, seen from 0.6 m; everything else as on day zero."""


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """Evaluate a job with some keys changed."""
    home = tmp_path_factory.mktemp("practice")

    def evaluated(kind="pneumatic", **changes):
        folder = home / kind
        if not folder.exists():
            start_job(
                folder,
                face="420 mm x 300 mm",
                grain="along 420 mm",
                alloy="304",
                sheet="1.5 mm",
                asked="",
                wheel=kind,
                curvature="flat",
                radius="",
            )
        case = case_of(folder, changes={**USUAL, **{key.replace("_of_", "."): text for key, text in changes.items()}})
        draws = draw_unknowns(case.values, count=COARSE, seed=1)
        found = evaluate(workbench(case.setup, draws.unknowns, draws.weights, case.bounds), complete_settings(case.given))
        shows = {key: getattr(strength, "visibility", None) for key, strength in found.strengths.items()}
        return SimpleNamespace(case=case, draws=draws, state=found.state, shows=shows, time=face_time(found.state))

    return evaluated


def test_a_longer_belt_prints_fainter_lines(job):
    seen = [job(belt_of_length=length).shows["belt-lines"] for length in ("0.5 m", "1 m", "1.5 m", "2 m", "4 m")]
    for short, long in itertools.pairwise(seen):
        assert np.all(long < short)
    assert seen[-1][0] < 0.5 * seen[0][0]


def test_with_a_short_belt_a_slower_rim_looks_better_and_is_paid_for_in_rounds(job):
    # The same stock each time: half the rim speed needs twice the rounds.
    runs = [
        job(belt_of_length="0.5 m", speed=speed, rounds=rounds) for speed, rounds in (("18 m/s", "1"), ("9 m/s", "2"), ("4.5 m/s", "4"))
    ]
    for fast, slow in itertools.pairwise(runs):
        assert slow.state.removal == pytest.approx(fast.state.removal)
        assert np.all(slow.shows["belt-lines"] < fast.shows["belt-lines"])
        assert slow.time > 1.8 * fast.time


def test_more_rounds_each_shifted_a_little_and_each_lighter_soften_the_seams_between_passes(job):
    # The same stock in more rounds: each then takes less, because the feed rises with their number.
    seen = [job(step_over="35 mm", rounds=str(rounds), feed=f"{60 * rounds} mm/s").shows["overlap"][0] for rounds in (1, 2, 3, 4, 6)]
    assert seen == sorted(seen, reverse=True)
    assert seen[-1] < 0.5 * seen[0]  # the trade says softer, and no number: here to less than half


def test_more_rounds_whose_force_falls_soften_the_seams_between_passes(job):
    seen = [job(step_over="35 mm", rounds=str(rounds), taper="0.6").shows["overlap"][0] for rounds in (1, 2, 3, 4, 6)]
    assert seen == sorted(seen, reverse=True)
    assert seen[-1] < 0.5 * seen[0]  # the trade says softer, and no number: here to less than half


def test_more_heavy_rounds_even_out_the_stock_but_the_last_one_keeps_its_seams(job):
    # Where every round alone renews the texture many times over, shifting it no longer hides the last one's seams.
    one, six = (job(step_over="35 mm", rounds=rounds) for rounds in ("1", "6"))
    assert six.state.round_removal[0, -1] > 5.0 * six.state.takeover_depth[0]
    assert six.shows["overlap"][0] > 0.7 * one.shows["overlap"][0]


def test_lower_inflation_gives_a_longer_softer_patch_that_reaches_deeper_hollows_for_the_same_stock(job):
    runs = [job(wheel_of_inflation=inflation) for inflation in ("1 bar", "0.5 bar", "0.2 bar")]
    for hard, soft in itertools.pairwise(runs):
        assert soft.state.last.patch_length[0] > 1.2 * hard.state.last.patch_length[0]
        assert soft.state.last.profile.ramp[0] > 1.1 * hard.state.last.profile.ramp[0]
        assert soft.state.last.mean_pressure[0] < hard.state.last.mean_pressure[0]
        reach = [deepest_hollow(wheel_of(run.case.setup, run.state.unknowns), force=40.0, speed=18.0)[0] for run in (hard, soft)]
        assert reach[1] > 1.5 * reach[0]
        assert soft.state.removal == pytest.approx(hard.state.removal)


def grave(run, speed):
    remarks = safety_of(run.case, speed=speed, force=40.0, hottest=300.0)
    return {remark.code for remark in remarks if remark.level in ("stop", "withheld")} - {"plate-rating-not-entered"}


def test_an_expander_below_its_holding_speed_is_refused_where_a_pneumatic_wheel_is_not(job):
    sleeve, drum = job("expander"), job("pneumatic")
    assert grave(sleeve, 8.0) == {"sleeve-below-holding-speed"}
    assert grave(drum, 8.0) == set()
    assert grave(sleeve, 18.0) == set()


def test_an_expander_hardens_with_speed_and_a_pneumatic_wheel_does_not(job):
    slow, fast = (job("expander", speed=speed).state.last for speed in ("12 m/s", "28 m/s"))
    assert np.all(fast.patch_length < slow.patch_length)
    assert np.all(fast.stiffness > slow.stiffness)
    assert np.all(fast.mean_pressure > slow.mean_pressure)
    slow, fast = (job("pneumatic", speed=speed).state.last for speed in ("12 m/s", "28 m/s"))
    assert fast.patch_length == pytest.approx(slow.patch_length, rel=0.02)


def speed_under(job, force, **drive):
    run = job(force=force, **drive)
    record, _ = drive_record(run.state, run.draws, run.case)
    return record.speed_under_load.value


def test_the_belt_speed_of_an_air_motor_moves_with_the_force_and_that_of_a_servo_does_not(job):
    # 3000 rpm free on 150 mm are 23.6 m/s; the set 18 m/s is what the servo holds.
    air = {"drive_of_kind": "air", "drive_of_free_rpm": "3000 rpm", "drive_of_stall_torque": "6 N·m"}
    light, heavy = (speed_under(job, force, **air) for force in ("20 N", "60 N"))
    assert heavy < 0.9 * light
    assert light < 23.6
    held = [speed_under(job, force) for force in ("20 N", "60 N")]
    assert held == pytest.approx([18.0, 18.0])


def test_the_belt_speed_of_an_air_motor_moves_with_the_patch_and_that_of_a_servo_does_not(job):
    # A softer wheel is pressed in further, so the belt pulls at a shorter arm: less torque, more speed.
    air = {"drive_of_kind": "air", "drive_of_free_rpm": "3000 rpm", "drive_of_stall_torque": "6 N·m"}
    hard, soft = (speed_under(job, "40 N", wheel_of_inflation=inflation, **air) for inflation in ("2 bar", "0.1 bar"))
    assert soft > hard
    assert speed_under(job, "40 N", wheel_of_inflation="0.1 bar") == pytest.approx(18.0)


def test_a_hand_that_wanders_prints_fainter_lines_than_a_robot_with_the_same_belt(job):
    for length in ("0.5 m", "1 m", "1.5 m", "2 m"):
        robot, hand = (job(belt_of_length=length, path_of_led_by=by).shows["belt-lines"] for by in ("robot", "hand"))
        assert np.all(hand < robot), length
        assert hand[0] < 0.6 * robot[0], length


def test_a_hand_that_goes_over_it_several_times_prints_no_persistent_line(job):
    # Six light strokes of the usual belt, below every single robot pass of a belt up to 2 m, and below what is seen at all.
    hand = job(path_of_led_by="hand", rounds="6", feed="400 mm/s").shows["belt-lines"]
    for length in ("0.5 m", "1 m", "1.5 m", "2 m"):
        assert np.all(hand < job(belt_of_length=length).shows["belt-lines"]), length
    assert hand[0] < 1.0


def test_a_stroke_of_20_mm_takes_up_a_stack_of_16_mm_and_not_one_of_24(job):
    def stack(form, fixture, path):
        run = job(
            device_of_stroke="20 mm",
            device_of_form_error=f"{form} mm",
            device_of_fixture_error=f"{fixture} mm",
            path_of_error=f"{path} mm",
            wheel_of_inflation="2 bar",
        )
        needed, remarks = stroke_record(run.state, run.case)
        assert isinstance(needed, Number)
        pressed_in = float(run.state.contacts[0].flattening[0])
        assert needed.value == pytest.approx(1e-3 * (form + fixture + path) + pressed_in)
        assert pressed_in < 0.5e-3
        return [remark.code for remark in remarks], remarks[0].message

    code, message = stack(8, 6, 2)
    assert code == ["stroke-takes-it-up"]
    assert "simpler" in message
    code, message = stack(12, 9, 3)
    assert code == ["stroke-too-short"]
    assert "teach the path closer" in message
