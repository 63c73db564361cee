"""With an inked footprint and two weighings the same command gives a narrower answer; taken back, the old one."""

import json
import math
import threading

import pytest

from evenlay.answers.add import add_footprint_to
from evenlay.decisions.causes import REGISTER
from evenlay.files.evidence_log import read_log
from evenlay.files.jobfile import set_value


@pytest.fixture
def example(evenlay, settings, tmp_path):
    """The counter lid with everything set, so that a plan takes a second."""
    folder = tmp_path / "lid"
    assert evenlay("start", folder, "--example").code == 0
    for name, text in settings.items():
        set_value(folder, f"settings.{name}", text)
    return folder


def planned(evenlay, folder):
    return json.loads(evenlay("plan", folder, "--json").out)


def checked(evenlay, folder):
    return json.loads(evenlay("check", folder, "--json").out)


def spread(number):
    """Top of the band over its bottom, in the logarithm."""
    return math.log(number["high"] / number["low"])


def mark(plan, key):
    return next(each for each in plan["marks"] if each["key"] == key)


def codes(answer):
    return [remark["code"] for remark in answer["remarks"]]


def of_key(answer, key):
    return next(row for row in answer["effective"] if row["key"] == key)


PRINT = ("--length", "18.5 mm", "--length", "18.2 mm", "--width", "54 mm", "--force", "40 N")


def add_footprint(evenlay, folder, *more):
    said = evenlay("add", folder, "footprint", *(more or PRINT), "--file", folder / "footprint.csv")
    assert said.code == 0, said.err
    return said


def add_weighings(evenlay, folder):
    said = evenlay("add", folder, "weight", "--file", folder / "weighings.csv", "--resolution", "0.1 g")
    assert said.code == 0, said.err
    return said


def test_a_footprint_and_two_weighings_narrow_patch_ramp_stock_and_evenness(evenlay, example):
    before = planned(evenlay, example)
    add_footprint(evenlay, example)
    add_weighings(evenlay, example)
    after = planned(evenlay, example)
    for section, name, least in (
        ("contact", "patch_length", 1.5),
        ("contact", "ramp", 3.0),
        ("removal", "total", 3.0),
        ("removal", "ripple_with_error", 1.02),
    ):
        wide, narrow = (spread(plan[section][name]) for plan in (before, after))
        print(f"{section}.{name}: a factor of {math.exp(wide):.2f} became {math.exp(narrow):.2f}")
        assert narrow < wide / least, name
    # The overlap moves with the ramp; its band rests on the slope law and on the luck of the path, which nobody has measured here.
    overlap = [mark(plan, "overlap")["strength"] for plan in (before, after)]
    assert abs(math.log(overlap[1]["value"] / overlap[0]["value"])) > 0.02
    assert spread(overlap[1]) < 1.05 * spread(overlap[0])
    assert (before["contact"]["ramp"]["known"], after["contact"]["ramp"]["known"]) == ("guess", "fitted")
    assert "measured value" in after["rests_on"]
    assert after["stamp"]["inputs_sha256"] != before["stamp"]["inputs_sha256"]
    # Narrower about what was measured: the old band holds the new centre.
    for section, name in (("contact", "ramp"), ("removal", "total")):
        assert before[section][name]["low"] < after[section][name]["value"] < before[section][name]["high"]


def test_check_shows_the_value_in_use_and_the_one_it_replaced(evenlay, example):
    add_footprint(evenlay, example)
    add_weighings(evenlay, example)
    answer = checked(evenlay, example)
    for key in ("wheel.casing_stiffness", "wheel.edge_ramp", "model.removal_coefficient"):
        row = of_key(answer, key)
        assert row["replaced"] is not None
        assert spread(row["number"]) < spread(row["replaced"])
        assert row["number"]["known"] == ("fitted" if key == "wheel.casing_stiffness" else "measured")
    said = evenlay("check", example)
    assert "Evidence has moved:" in said.out
    assert said.words.count("; the file says ") == 3


def test_taking_it_back_restores_every_number_exactly(evenlay, example):
    nothing = planned(evenlay, example)
    add_footprint(evenlay, example)
    one = planned(evenlay, example)
    add_weighings(evenlay, example)
    while "weight" in evenlay("undo", example).out:
        back = planned(evenlay, example)
        if len(read_log(example).live) == 1:
            assert {**back, "stamp": one["stamp"]} == one
    assert read_log(example).live == ()
    again = planned(evenlay, example)
    assert {**again, "stamp": nothing["stamp"]} == nothing


@pytest.mark.parametrize(
    ("kind", "key", "text", "word"),
    [
        ("footprint", "wheel.diameter", "200 mm", "wheel diameter"),
        ("footprint", "wheel.kind", "solid", "wheel kind"),
        ("footprint", "wheel.width", "40 mm", "wheel width"),
        ("weight", "belt.grit", "P120", "grit"),
        ("weight", "part.alloy", "carbon steel", "alloy"),
        ("weight", "belt.mineral", "zirconia", "mineral"),
    ],
)
def test_evidence_of_another_wheel_or_belt_goes_stale_and_speaks_no_more(evenlay, example, kind, key, text, word):
    (add_footprint if kind == "footprint" else add_weighings)(evenlay, example)
    fresh = checked(evenlay, example)
    assert "evidence-stale" not in codes(fresh)
    set_value(example, key, text)
    answer = checked(evenlay, example)
    stale = [remark for remark in answer["remarks"] if remark["code"] == "evidence-stale"]
    assert stale and all(remark["level"] == "caution" and word in remark["message"] for remark in stale)
    assert all(row["replaced"] is None for row in answer["effective"])
    assert "evidence-stale" in codes(planned(evenlay, example))


def test_other_evidence_than_what_changed_goes_on_speaking(evenlay, example):
    add_footprint(evenlay, example)
    add_weighings(evenlay, example)
    set_value(example, "belt.grit", "P120")
    answer = checked(evenlay, example)
    assert of_key(answer, "wheel.edge_ramp")["replaced"] is not None
    assert of_key(answer, "model.removal_coefficient")["replaced"] is None


def test_inflation_is_a_setting_a_footprint_at_another_is_wider_not_stale(evenlay, example):
    add_footprint(evenlay, example)
    here = planned(evenlay, example)
    set_value(example, "wheel.inflation", "1.6 bar")
    there = planned(evenlay, example)
    assert "evidence-stale" not in codes(there)
    assert spread(of_key(checked(evenlay, example), "wheel.casing_stiffness")["number"]) > 0.0
    assert spread(there["contact"]["ramp"]) > 1.05 * spread(here["contact"]["ramp"])


def test_a_footprint_at_another_force_is_wider_than_at_its_own(evenlay, example):
    spreads = {}
    for force in ("40 N", "120 N"):
        add_footprint(evenlay, example, "--length", "18.5 mm", "--width", "54 mm", "--force", force)
        spreads[force] = spread(of_key(checked(evenlay, example), "wheel.edge_ramp")["number"])
        evenlay("undo", example)
    print({force: round(value, 3) for force, value in spreads.items()})
    assert spreads["120 N"] > 1.05 * spreads["40 N"]


def test_a_raw_file_that_was_changed_is_named(evenlay, example):
    add_footprint(evenlay, example)
    (raw,) = (example / "evidence" / "raw").iterdir()
    raw.write_bytes(raw.read_bytes() + b"1,2,3\n")
    answer = checked(evenlay, example)
    assert "raw-file-changed" in codes(answer)
    raw.unlink()
    assert "raw-file-changed" in codes(checked(evenlay, example))
    assert "raw-file-changed" in codes(planned(evenlay, example))


def test_an_entry_that_was_edited_out_of_shape_is_one_sentence(evenlay, example):
    add_footprint(evenlay, example)
    (entry,) = (example / "evidence").glob("*.json")
    entry.write_text(entry.read_text(encoding="utf-8").replace('"force": 40.0', '"force": -40.0'), encoding="utf-8")
    said = evenlay("check", example)
    assert (said.code, said.out) == (2, "")
    assert said.err.count("\n") == 1
    assert "0001-footprint.json" in said.err and "force" in said.err


def test_two_additions_at_once_get_two_numbers(example):
    found, errors = [], []

    def add(length):
        about = {"step": None, "who": "", "note": "", "belt_metres": ""}
        made = {"force": "40 N", "inflation": "", "on_face": None}
        try:
            found.extend(add_footprint_to(example, file=None, lengths=[length], widths=["52 mm"], made=made, about=about).entries)
        except Exception as error:
            errors.append(error)

    workers = [threading.Thread(target=add, args=(f"{length} mm",)) for length in (17, 18, 19, 20)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert not errors
    assert sorted(entry.id for entry in found) == ["0001", "0002", "0003", "0004"]
    assert len(read_log(example).live) == 4


def test_a_footprint_and_weighings_leave_the_causes_they_do_not_touch_alone(evenlay, example):
    before = planned(evenlay, example)
    add_weighings(evenlay, example)
    after = planned(evenlay, example)
    assert before["contact"] == after["contact"]
    assert [each["key"] for each in after["marks"]] and {each["key"] for each in after["marks"]} == {cause.key for cause in REGISTER}
