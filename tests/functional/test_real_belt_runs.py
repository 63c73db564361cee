"""Published: robotic belt grinding of 42CrMo, Metals 15 (2025) 1265, section 4.2 (read), as a job with evidence."""

import json
import math
import tomllib
from pathlib import Path

import pytest

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "belt-42crmo.toml").read_text(encoding="utf-8"))
ROWS = {row["name"]: row for row in TABLE["row"]}

# Not printed: wheel diameter, width of the cut, passes. They scale every row alike, so what is compared does not depend on them;
# the passes are taken so that one pass removes tens of micrometres, as a coarse belt does.
DIAMETER, WIDTH, PASSES = 0.1, "20 mm", 30


def belt_speed(row):
    return f"{math.pi * DIAMETER * row['rotation'] / 60.0:.4f} m/s"


@pytest.fixture
def belt_job(make_job):
    """A job set as the run V3: carbon steel, a coarse belt, one pass beside the other."""
    row = ROWS["V3"]
    return make_job(
        alloy="carbon steel",
        sheet="20 mm",
        wheel="solid",
        size="200 mm x 100 mm",
        grain="along 200 mm",
        settings={
            "force": f"{row['force']} N",
            "speed": belt_speed(row),
            "feed": f"{row['feed']} mm/s",
            "step_over": WIDTH,
            "rounds": "1",
            "taper": "1",
        },
        changes={
            "belt.width": WIDTH,
            "wheel.width": WIDTH,
            "wheel.diameter": f"{1e3 * DIAMETER:.0f} mm",
            "belt.grit": "P60",
            "wheel.plate_speed": "30 m/s",
            "drive.rpm_max": "4000 rpm",
            "model.removal_coefficient": '{ value = "0.02 mm³/(N·m)", low = "0.002 mm³/(N·m)", high = "0.2 mm³/(N·m)", known = "guess", '
            'source = "passes not printed: nearly anything is possible" }',
        },
    )


def add_run(evenlay, folder, name):
    row = ROWS[name]
    run = ("--force", f"{row['force']} N", "--feed", f"{row['feed']} mm/s", "--speed", f"{row['rotation']} rpm", "--passes", PASSES)
    said = evenlay(
        "add", folder, "depth", "--name", name, "--depth", f"{row['depth']} mm", "--width", WIDTH, *run, "--ra", f"{row['roughness']} um"
    )
    assert said.code == 0, said.err
    return said


def predicted(evenlay, folder):
    """Depth that the plan expects of all passes, with its band. [mm]"""
    said = evenlay("plan", folder, "--json")
    assert said.code in (0, 3), said.err
    total = json.loads(said.out)["removal"]["total"]
    return tuple(1e3 * PASSES * total[edge] for edge in ("low", "value", "high"))


def coefficient(evenlay, folder):
    rows = json.loads(evenlay("check", folder, "--json").out)["effective"]
    return next(row for row in rows if row["key"] == "model.removal_coefficient")["number"]


def test_what_is_learnt_from_the_first_run_predicts_the_optimum_inside_its_band(evenlay, belt_job):
    wide = predicted(evenlay, belt_job)
    add_run(evenlay, belt_job, "V1")
    low, centre, high = predicted(evenlay, belt_job)
    printed = ROWS["V3"]["depth"]
    print(f"V3: {centre:.3f} mm ({low:.2f} to {high:.2f}) from V1 alone, {printed} printed ({centre / printed - 1.0:+.1%})")
    assert low < printed < high
    assert centre == pytest.approx(printed, rel=TABLE["tolerance"])
    assert wide[2] / wide[0] > 50.0
    assert high / low < 1.7


def test_the_row_printed_with_500_rpm_is_called_inconsistent_and_not_averaged_in(evenlay, belt_job):
    add_run(evenlay, belt_job, "V1")
    add_run(evenlay, belt_job, "V3")
    without = coefficient(evenlay, belt_job)
    said = add_run(evenlay, belt_job, "V2")
    assert "[run-does-not-fit]" in said.words
    assert "V2 removed 6.6 times more than V1, V3 would have it" in said.words
    assert "not averaged in" in said.words
    assert coefficient(evenlay, belt_job) == without
    plan = json.loads(evenlay("plan", belt_job, "--json").out)
    remark = next(remark for remark in plan["remarks"] if remark["code"] == "run-does-not-fit")
    print(remark["message"])
    assert remark["level"] == "caution"
    assert "With a belt speed of 17.3 m/s instead of 2.62 m/s it would fit" in remark["message"]


def test_two_runs_that_contradict_each_other_are_both_doubted(evenlay, belt_job):
    add_run(evenlay, belt_job, "V1")
    said = add_run(evenlay, belt_job, "V2")
    assert "[runs-disagree]" in said.words
    band = coefficient(evenlay, belt_job)
    assert band["high"] / band["low"] > 5.0


def test_the_three_runs_as_one_file_say_the_same(evenlay, belt_job, tmp_path):
    file = tmp_path / "runs.csv"
    rows = [
        f"{name},{row['depth']},20,{row['force']},{belt_speed(row).split()[0]},{row['feed']},{PASSES},{row['roughness']}"
        for name, row in ROWS.items()
    ]
    file.write_text(
        "run,depth [mm],width [mm],force [N],speed [m/s],feed [mm/s],passes,Ra [um]\n" + "\n".join(rows) + "\n", encoding="utf-8"
    )
    said = evenlay("add", belt_job, "depth", "--file", file)
    assert said.code == 0
    assert said.out.count("(depth)") == 3
    assert "V2 removed 6.6 times more than V1, V3 would have it" in said.words
