"""What holds for a job: the file first, then what is shipped; swapped wheels, grits and alloys."""

import math
from itertools import pairwise
from pathlib import Path

import pytest

from evenlay.data import load
from evenlay.files.jobfile import job_from_text
from evenlay.job.effective import effective, kind_of
from evenlay.job.records import ALLOYS
from evenlay.job.shipped import cover_modulus, grain_values, median_grain
from evenlay.job.starting import NewJob, job_text
from evenlay.job.step_records import DRIVES, WHEELS
from evenlay.quantities.grit import Grit
from evenlay.quantities.known import Value
from evenlay.quantities.units import KINDS, format_quantity, parse_quantity

LEAST = """schema = 1
[job]
name = "a"
[part]
alloy = "304"
[[face]]
id = "top"
size = "420 mm x 300 mm"
grain = "along 420 mm"
[[step]]
id = "finish"
[step.wheel]
kind = "pneumatic"
"""
TEXT = job_text(NewJob("a", "420 mm x 300 mm", "along 420 mm"))


def holds(text=LEAST, face="top"):
    return effective(job_from_text(text, Path("job.toml")), face, "finish")


def test_day_zero_values_are_those_of_the_table():
    values = holds()
    d50 = 82e-6
    for key, number, low, high, known in [
        ("model.removal_coefficient", 1e-11, 3.3e-12, 3e-11, "guess"),
        ("model.friction", 0.4, 0.3, 0.6, "guess"),
        ("belt.grain_density", 0.1 / d50**2, 0.1 / d50**2 / 3, 0.3 / d50**2, "guess"),
        ("belt.grain_height_sd", 0.2 * d50, 0.2 * d50 / 1.5, 0.3 * d50, "guess"),
        ("belt.grain_tip_radius", d50 / 4, d50 / 8, d50 / 2, "guess"),
        ("model.attack_angle", math.radians(25), math.radians(15), math.radians(35), "fitted"),
        ("alloy.hardness", 129 * 9.80665e6, 120 * 9.80665e6, 200 * 9.80665e6, "handbook"),
        ("wheel.casing_stiffness", 20e6, 5e6, 100e6, "guess"),
        ("wheel.edge_ramp", 5e-3, 2e-3, 12e-3, "guess"),
        ("model.pressure_exponent", 0.2, 0.07, 0.5, "fitted"),
        ("model.feed_exponent", -0.01, -0.04, 0.0, "guess"),
        ("model.slope_across", 0.09, 0.09 / 1.7, 0.09 * 1.7, "guess"),
        ("model.slope_along", 0.06, 0.06 / 1.7, 0.06 * 1.7, "guess"),
        ("model.facet_spread", 0.03, 0.01, 0.06, "guess"),
        ("model.luminance_floor", 0.05, 0.02, 0.1, "guess"),
        ("model.unrepeated_share", 0.2, 0.0, 0.4, "guess"),
        ("belt.joint_step", 30e-6, 0.0, 80e-6, "guess"),
        ("wheel.runout", 50e-6, 20e-6, 100e-6, "guess"),
        ("path.error", 0.5e-3, 0.2e-3, 2e-3, "handbook"),
        ("belt.wander", 1e-3, 0.2e-3, 2e-3, "guess"),
        ("path.hand_wander", 2e-3, 1e-3, 4e-3, "guess"),
        ("path.hand_wander_length", 0.1, 0.05, 0.2, "guess"),
        ("belt.texture_memory", 1.17e-6, 0.836e-6, 1.64e-6, "fitted"),
        ("model.groove_coefficient", 2.35e-10, 1.16e-10, 3.55e-10, "handbook"),
    ]:
        value = values[key]
        assert (value.number, value.low, value.high) == pytest.approx((number, low, high), rel=0.02), key
        assert value.known == known, key
        assert key in values.assumed


def test_expander_guesses_are_those_of_the_table():
    values = holds(LEAST.replace("pneumatic", "expander"))
    for key, number, low, high in [
        ("wheel.grip_friction", 0.4, 0.25, 0.6),
        ("wheel.closing_pressure", 20e3, 10e3, 40e3),
        ("wheel.sleeve_minimum", 10, 8, 12),
    ]:
        assert (values[key].number, values[key].low, values[key].high) == pytest.approx((number, low, high))
    assert values["belt.length"].number == pytest.approx(math.pi * values["wheel.diameter"].number)
    assert values["wheel.rubber_radius"].number < values["wheel.diameter"].number / 2


def test_a_fresh_file_and_the_least_file_hold_the_same_numbers():
    least, fresh = holds(), holds(TEXT, "face")
    for key, value in least.items():
        again = fresh[key]
        assert (again.number, again.low, again.high) == pytest.approx((value.number, value.low, value.high), rel=6e-4, abs=1e-30), (
            key
        )  # four digits written
        if key.split(".")[0] not in ("face", "settings") and key not in ("wheel.crown_curvature", "limits.rounds_max"):
            assert (again.known, again.source) == (value.known, value.source), key
    assert set(fresh) == set(least)
    left = {"settings.dither", "settings.dither_length", "wheel.crown_curvature", "limits.rounds_max"}
    assert set(least.assumed) - set(fresh.assumed) == left


@pytest.mark.parametrize("alloy", ALLOYS)
@pytest.mark.parametrize("drive", DRIVES)
@pytest.mark.parametrize("wheel", WHEELS)
def test_every_combination_has_numbers_that_are_finite_banded_and_sourced(wheel, drive, alloy):
    text = LEAST.replace("pneumatic", wheel).replace('"304"', f'"{alloy}"') + f'[step.drive]\nkind = "{drive}"\n'
    for key, value in holds(text).items():
        assert value.low <= value.number <= value.high
        assert value.source, key
        assert kind_of(key) in KINDS


@pytest.mark.parametrize(
    ("old", "new", "key", "written"),
    [
        ('grit = "P180"', 'grit = "P80"', "belt.grain_density", "14.87 /mm²"),
        ('alloy = "304"', 'alloy = "6061"', "model.removal_coefficient", "0.01 mm³/(N·m)"),
        ('kind = "pneumatic"', 'kind = "solid"', "wheel.edge_ramp", "5 mm"),
        ('incoming = "unknown"', 'incoming = "2B"', "part.incoming_slope", "0.7"),
        ('kind = "servo"', 'kind = "air"', "drive.power", "1.5 kW"),
    ],
)
def test_what_belonged_to_another_grit_alloy_or_wheel_gives_way_and_says_so(old, new, key, written):
    assert old in TEXT
    before, after = holds(TEXT, "face"), holds(TEXT.replace(old, new, 1), "face")
    gone = {item.key: item.written for item in after.replaced}
    assert gone[key] == written
    assert before.replaced == ()
    if key in after and key != "drive.power":
        assert after[key].number != pytest.approx(before[key].number)


def test_a_value_of_the_user_without_for_stays_whatever_stands_beside_it():
    text = TEXT.replace('grit = "P180"', 'grit = "P80"', 1)
    start = text.index("grain_density = ")
    text = text[:start] + 'grain_density = "9 /mm²"\n' + text[text.index("\n", start) + 1 :]
    values = holds(text, "face")
    assert values["belt.grain_density"].number == pytest.approx(9e6)
    assert values["belt.grain_density"].known == "handbook"
    assert "belt.grain_density" not in values.assumed
    assert "belt.grain_density" not in {item.key for item in values.replaced}


def test_curvature_is_positive_for_convex_and_negative_for_hollow_and_only_one_way():
    for shape, sign in (("convex", 1.0), ("hollow", -1.0)):
        for way, other in (("along", "across"), ("across", "along")):
            text = LEAST.replace(
                "[[step]]", f'curvature = "{shape} {way}"\nradius = {{ value = "200 mm", low = "190 mm", high = "220 mm" }}\n[[step]]'
            )
            values = holds(text)
            bent = values[f"face.curvature_{way}"]
            assert bent.number == pytest.approx(sign * 5.0)
            assert sorted((abs(bent.low), abs(bent.high))) == pytest.approx([1 / 0.22, 1 / 0.19])
            assert bent.low <= bent.number <= bent.high
            assert values[f"face.curvature_{other}"].number == 0.0


def test_belt_and_wheel_take_each_others_width():
    assert holds(LEAST + 'width = "80 mm"\n')["belt.width"].number == pytest.approx(0.08)
    assert holds(LEAST + '[step.belt]\nwidth = "30 mm"\n')["wheel.width"].number == pytest.approx(0.03)


def test_the_lower_of_the_two_plates_binds():
    both = LEAST + 'diameter = "150 mm"\nplate_speed = "30 m/s"\nplate_rpm = "3700 rpm"\n'
    assert holds(both)["wheel.plate_speed"].number == pytest.approx(math.pi * 0.15 * 3700 / 60)
    assert holds(both.replace("3700", "3900"))["wheel.plate_speed"].number == 30.0
    assert "wheel.plate_speed" not in holds()


def test_limits_of_the_file_widen_the_shipped_range_and_never_cross_it():
    values = holds(LEAST + '[limits]\nfeed_min = "400 mm/s"\nrounds_max = 3\n')
    assert (values["limits.feed_min"].number, values["limits.feed_max"].number) == pytest.approx((0.4, 0.4))
    assert values["limits.rounds_max"].number == 3
    assert "limits.feed_min" not in values.assumed


def test_settings_left_to_choose_start_without_a_band():
    values = holds()
    for name in ("force", "speed", "feed", "taper"):
        value = values[f"settings.{name}"]
        assert value.low == value.number == value.high
    assert values["settings.speed"].number == 18.0


def test_evidence_lies_over_everything_and_is_no_longer_assumed():
    values = holds()
    fitted = Value(8e6, 7e6, 9e6, "fitted", "print")
    over = values.overlaid({"wheel.casing_stiffness": fitted})
    assert over["wheel.casing_stiffness"] is fitted
    assert "wheel.casing_stiffness" not in over.assumed
    assert values["wheel.casing_stiffness"].number == pytest.approx(20e6)
    assert len(over) == len(values)


def test_harder_covers_are_stiffer_and_the_band_holds_both_laws():
    last = 0.0
    for shore in (20, 30, 40, 50, 60, 70, 80, 90):
        value = cover_modulus(Value.exact(float(shore), "measured"))
        gent = 0.0981e6 * (56 + 7.62336 * shore) / (0.137505 * (254 - 2.54 * shore))
        rival = 1e6 * 10 ** (0.0235 * shore - 0.6403)
        assert value.number == pytest.approx(gent)
        assert value.low <= min(gent, rival) * (1 + 1e-12)
        assert value.high >= max(gent, rival) * (1 - 1e-12)
        assert value.known == "handbook"
        assert value.number > last
        last = value.number


def test_finer_grits_have_more_smaller_grains_and_a_finer_finish():
    for scale in ("P", "US"):
        grits = [Grit(scale, int(number)) for number in load("grades")[scale]]
        for coarse, fine in pairwise(grits):
            a, b = grain_values(coarse), grain_values(fine)
            assert median_grain(fine).number < median_grain(coarse).number
            assert b["belt.grain_density"].number > a["belt.grain_density"].number
            assert b["belt.grain_height_sd"].number < a["belt.grain_height_sd"].number
            assert b["belt.roughness"].number < a["belt.roughness"].number


def test_density_and_height_scale_with_grain_size_so_coverage_stays():
    for number in ("40", "180", "600"):
        values = grain_values(Grit("P", int(number)))
        assert values["belt.grain_density"].number * values["belt.median_grain"].number ** 2 == pytest.approx(0.1)


def test_every_effective_number_can_be_shown_and_read_back():
    for key, value in holds().items():
        kind = kind_of(key)
        assert parse_quantity(format_quantity(value.number, kind, digits=None), kind) == pytest.approx(value.number, rel=1e-12)


def test_a_face_or_step_that_is_not_there_raises():
    job = job_from_text(LEAST, Path("job.toml"))
    with pytest.raises(StopIteration):
        effective(job, "side", "finish")
