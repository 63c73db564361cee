"""Jobs nobody tuned anything to: six wheel set-ups, three distances, both alloys, flat and curved faces."""

import json
import re
from itertools import pairwise, product

import pytest

SETUPS = {
    "soft air wheel": ("pneumatic", {"wheel.diameter": "200 mm", "wheel.inflation": "25 kPa", "wheel.width": "50 mm"}),
    "hard rubber wheel": (
        "solid",
        {"wheel.diameter": "350 mm", "wheel.hardness": "70 Shore A", "wheel.width": "75 mm", "belt.width": "75 mm"},
    ),
    "expander": ("expander", {"belt.length": "315 mm", "wheel.diameter": "100 mm", "settings.speed": "14 m/s"}),
    "free belt": ("slack", {"belt.length": "3500 mm", "wheel.width": "150 mm", "belt.width": "150 mm", "settings.step_over": "60 mm"}),
    "backed belt": ("platen", {"belt.length": "7 m", "wheel.width": "150 mm", "belt.width": "150 mm", "settings.step_over": "75 mm"}),
    "fleece wheel": ("nonwoven", {"wheel.diameter": "250 mm", "belt.grit": "P240", "settings.rounds": "3"}),
}
SHAPES = (
    ("flat", ""),
    ("convex along", "250 mm"),
    ("flat", ""),
    ("hollow along", "600 mm"),
    ("convex across", "3 m"),
    ("hollow across", "12 m"),
)
DISTANCES = ("0.6 m", "1.5 m", "3 m")
ALLOYS = ("304", "6061")
JOBS = [
    (setup, distance, alloy, SHAPES[index % len(SHAPES)] if setup != "free belt" or index % 3 == 0 else SHAPES[1])
    for index, (setup, distance, alloy) in enumerate(product(SETUPS, DISTANCES, ALLOYS))
]


def made_from(make_job, setup, distance, alloy="304", shape=("flat", ""), name="job", **more):
    kind, changes = SETUPS[setup]
    changes = {**changes, "viewing.distance": distance, **more}
    return make_job(
        name, size="600 mm x 400 mm", grain="along 600 mm", alloy=alloy, wheel=kind, curvature=shape[0], radius=shape[1], changes=changes
    )


def planned(evenlay, folder):
    said = evenlay("plan", folder, "--json")
    assert said.code == 0, said.out + said.err
    return json.loads(said.out)


def strengths(plan):
    return {mark["key"]: mark["strength"]["value"] for mark in plan["marks"] if mark["strength"] and "value" in mark["strength"]}


def test_there_are_thirty_jobs_and_more_flat_and_curved():
    assert len(JOBS) == 36
    assert {setup for setup, *_ in JOBS} == set(SETUPS)
    shapes = [shape[0] for *_, shape in JOBS]
    assert shapes.count("flat") >= 10
    assert {"convex along", "convex across", "hollow along", "hollow across"} <= set(shapes)


@pytest.mark.parametrize(("setup", "distance", "alloy", "shape"), JOBS, ids=[f"{s}-{d}-{a}-{c[0]}" for s, d, a, c in JOBS])
def test_every_job_gives_an_answer_or_a_named_reason(evenlay, make_job, setup, distance, alloy, shape):
    folder = made_from(make_job, setup, distance, alloy, shape)
    checked = evenlay("check", folder)
    assert (checked.code, checked.err) == (0, "")
    said = evenlay("plan", folder, "--all")
    first = next(line for line in said.out.splitlines() if re.match(r"What shows|No line| {2}The belt", line))
    print(f"{setup}, {distance}, {alloy}, {' '.join(shape)}: exit {said.code}: {first}")
    assert said.err == ""
    assert "nan" not in re.findall(r"[a-z]+", said.out)
    if said.code == 0:
        assert re.search(r"What shows first|No line is expected to show", said.out)
        assert (folder / "plan.json").exists()
    else:
        assert said.code == 3
        assert re.search(r"cannot touch this face: \w[^.]{20,}|reaches [\d.]+ times its limit", said.words)


def test_a_hollow_across_that_the_wheel_bridges_is_told_with_a_way_out(evenlay, make_job):
    folder = make_job(curvature="hollow across", radius="100 mm")
    assert "bears on its edges" in evenlay("check", folder).words
    said = evenlay("plan", folder, "--all")
    assert said.code == 0
    assert "belt-bridges-hollow" in said.words
    assert "would reach the middle" in said.words


def test_a_backed_belt_has_no_wheel_that_could_lift_off(evenlay, make_job):
    assert "lifting off" not in evenlay("plan", made_from(make_job, "backed belt", "1.5 m"), "--all").out


def test_another_wheel_changes_contact_ramp_and_lines(evenlay, make_job):
    soft, hard = (
        planned(evenlay, made_from(make_job, setup, "1.5 m", name=setup[:4])) for setup in ("soft air wheel", "hard rubber wheel")
    )
    assert soft["contact"]["patch_length"]["value"] > 1.5 * hard["contact"]["patch_length"]["value"]
    assert soft["contact"]["ramp"]["value"] != pytest.approx(hard["contact"]["ramp"]["value"], rel=0.05)
    one, other = strengths(soft), strengths(hard)
    assert set(one) == set(other)
    # The overlap hardly moves: where pressure runs out the slopes do, over a short ramp or a long one.
    for key in one:
        assert one[key] != pytest.approx(other[key], rel=0.002 if key == "overlap" else 0.01), key


def test_lower_inflation_gives_a_longer_softer_patch_and_other_lines(evenlay, make_job):
    low, high = (
        planned(evenlay, made_from(make_job, "soft air wheel", "1.5 m", name=bar[:3].replace(".", "-"), **{"wheel.inflation": bar}))
        for bar in ("0.2 bar", "1.2 bar")
    )
    assert low["contact"]["patch_length"]["value"] > 1.2 * high["contact"]["patch_length"]["value"]
    assert low["contact"]["ramp"]["value"] > high["contact"]["ramp"]["value"]
    assert low["contact"]["mean_pressure"]["value"] < high["contact"]["mean_pressure"]["value"]
    assert low["removal"]["total"]["value"] == pytest.approx(high["removal"]["total"]["value"], rel=1e-9)
    one, other = strengths(low), strengths(high)
    for key in ("overlap", "belt-lines", "wheel"):
        assert one[key] != pytest.approx(other[key], rel=0.01), key


def test_twice_the_distance_moves_the_visible_band_and_the_strengths(evenlay, make_job):
    plans = [planned(evenlay, made_from(make_job, "soft air wheel", far, name=far[0])) for far in ("0.75 m", "1.5 m", "3 m")]
    for near, far in pairwise(plans):
        assert far["eye_band"]["low"] == pytest.approx(2.0 * near["eye_band"]["low"], rel=0.02)
        assert far["eye_band"]["high"] == pytest.approx(2.0 * near["eye_band"]["high"], rel=0.02)
        assert strengths(far) != strengths(near)


def test_the_job_of_every_default_is_reported_as_it_comes_out(evenlay, make_job):
    folder = make_job(settings={"force": "40 N"})
    said = evenlay("plan", folder, "--json")
    plan = json.loads(said.out)
    shown = sorted(strengths(plan).items(), key=lambda row: -row[1])
    print(f"belt 1.5 m, 18 m/s, 120 mm/s: {plan['headline']}")
    print(", ".join(f"{key} {value:.2g}" for key, value in shown))
    assert (plan["settings"]["speed"], plan["settings"]["feed"]) == (18.0, 0.12)
    assert said.code == 0
    assert [mark["key"] for mark in plan["marks"]][: len(shown)] == [key for key, _ in shown]
    label = next(mark["label"] for mark in plan["marks"] if mark["key"] == shown[0][0])
    assert label in plan["headline"]
    assert plan["calibrated"] is False
    assert "level-not-calibrated" in {remark["code"] for remark in plan["remarks"]}


def test_a_free_belt_takes_its_torque_at_the_drum_that_drives_it(evenlay, make_job):
    folder = made_from(
        make_job, "free belt", "1.5 m", shape=("convex along", "250 mm"), **{"model.friction": "0.4", "wheel.diameter": "200 mm"}
    )
    assert planned(evenlay, folder)["drive"]["torque"]["value"] == pytest.approx(0.4 * 40.0 * 0.1)
