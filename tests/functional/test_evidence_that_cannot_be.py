"""A slip of a unit or a swapped pair is refused before anything is written, or set aside and named; it never speaks quietly."""

import pytest

from evenlay.files.evidence_log import read_log

WEIGHT = ("--passes", "20", "--length", "400 mm", "--resolution", "0.001 g")


@pytest.fixture
def lids(evenlay, tmp_path):
    folder = tmp_path / "lids"
    made = evenlay("start", folder, "--face", "420 mm x 300 mm", "--grain", "along 420 mm", "--alloy", "304", "--sheet", "1.5 mm")
    assert made.code == 0
    return folder


def profile(path, *, sign=1, scale=1.0):
    """A cut 50 mm wide with 5 mm ramps, 12 µm deep."""
    rows = ["position (mm),depth (µm)"]
    for step in range(161):
        y = -40.0 + 0.5 * step
        rows.append(f"{y * scale:.3f},{sign * 12.0 * min(max((25.0 - abs(y)) / 5.0 + 0.5, 0.0), 1.0):.3f}")
    path.write_text("\n".join(rows))
    return path


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("footprint", "--length", "11 mm", "--width", "52 in"), "check the unit"),
        (("footprint", "--length", "11 mm", "--width", "5 mm"), "check the unit"),
        (("footprint", "--length", "1500 mm", "--width", "52 mm"), "longer than the wheel's diameter"),
        (("footprint", "--length", "52 mm", "--width", "15 mm"), "look swapped"),
        (("weight", "--before", "512.34 g", "--after", "12.34 g", "--passes", "1", *WEIGHT[2:]), "less work than metal takes"),
        (("depth", "--depth", "12 mm", "--passes", "10"), "less work than metal takes"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(evenlay, lids, given, words):
    outcome = evenlay("add", lids, *given)
    assert outcome.code == 2
    assert words in outcome.said
    assert read_log(lids).entries == ()


@pytest.mark.parametrize(("name", "sign", "scale", "words"), [("up", -1, 1.0, "sign"), ("cm", 1, 0.1, "check the unit")])
def test_a_profile_turned_over_or_in_the_wrong_unit_is_refused(evenlay, lids, tmp_path, name, sign, scale, words):
    outcome = evenlay("add", lids, "footprint", "--file", profile(tmp_path / f"{name}.csv", sign=sign, scale=scale))
    assert outcome.code == 2
    assert words in outcome.said
    assert read_log(lids).entries == ()


def test_the_same_profile_the_right_way_round_is_taken(evenlay, lids, tmp_path):
    assert evenlay("add", lids, "footprint", "--file", profile(tmp_path / "down.csv")).code == 0


def test_a_coupon_that_lost_nothing_leaves_the_job_usable(evenlay, lids):
    added = evenlay("add", lids, "weight", "--before", "512.34 g", "--after", "512.34 g", *WEIGHT)
    assert added.code == 0
    assert "weighing-set-aside" in added.said
    assert evenlay("check", lids).code == 0


def test_an_absurd_weighing_moves_nothing_and_the_next_good_one_does(evenlay, lids):
    absurd = evenlay("add", lids, "weight", "--before", "512.34 g", "--after", "512.302 g", *WEIGHT)
    assert "weighing-set-aside" in absurd.said
    assert "It moved nothing" in absurd.said
    good = evenlay("add", lids, "weight", "--before", "508.54 g", "--after", "504.74 g", *WEIGHT)
    assert "model.removal_coefficient" in good.said


def test_a_print_that_the_wheel_cannot_make_is_left_out_and_said_each_time(evenlay, lids):
    first = evenlay("add", lids, "footprint", "--length", "30 mm", "--width", "52 mm", "--force", "35 N")
    again = evenlay("add", lids, "footprint", "--length", "30 mm", "--width", "52 mm", "--force", "35 N")
    for one in (first, again):
        assert one.code == 0
        assert "footprint-out-of-reach" in one.said
        assert "casing_stiffness" not in one.said


def test_a_depth_against_the_weighings_is_named_and_the_weighings_stand(evenlay, lids):
    evenlay("add", lids, "weight", "--before", "512.34 g", "--after", "508.54 g", *WEIGHT)
    wrong = evenlay("add", lids, "depth", "--depth", "0.4 mm", "--passes", "10")
    assert "evidence-disagrees" in wrong.said
    assert "It moved nothing" in wrong.said


def test_a_lone_absurd_depth_is_set_aside(evenlay, lids):
    wrong = evenlay("add", lids, "depth", "--depth", "0.05 µm", "--passes", "10")
    assert "depth-set-aside" in wrong.said
    assert "It moved nothing" in wrong.said


def test_a_narrow_print_of_a_flat_wheel_is_questioned(evenlay, lids):
    narrow = evenlay("add", lids, "footprint", "--length", "11 mm", "--width", "30 mm", "--force", "35 N")
    assert "footprint-narrow" in narrow.said
