"""Every command, its exit codes and what it leaves behind."""

import json
import os
import re
import subprocess
import sys

import pytest

from evenlay.answers.plan import Stopped
from evenlay.answers.plan_files import planned
from evenlay.decisions.causes import REGISTER
from evenlay.files.jobfile import read_job, set_value

PLATE = {"wheel.plate_speed": "30 m/s"}
ALUMINIUM = {"alloy": "6061"}
ESCAPE = re.compile(r"\x1b\[")


def pictures(plan):
    return {"across.png": b"a picture", "along.png": b"another"}


def codes(answer):
    return {remark["code"] for remark in answer["remarks"]}


def levels(answer):
    return {remark["level"] for remark in answer["remarks"]}


def too_long(text):
    """Lines over 80 columns that hold neither a path nor an address."""
    return [line for line in text.splitlines() if len(line) > 80 and not re.search(r"\S*[/\\]\S{15,}", line)]


# Nothing asked, help, version


def test_alone_it_says_three_things_to_do_next(evenlay):
    said = evenlay()
    assert said.code == 0
    assert "Three things" in said.out
    assert len([line for line in said.out.splitlines() if re.match(r" {2}evenlay ", line)]) == 3
    assert not too_long(said.out)


def test_the_version_is_one_line(evenlay):
    said = evenlay("--version")
    assert (said.code, said.err) == (0, "")
    assert re.fullmatch(r"evenlay \d+\.\d+\.\d+\n", said.out)


@pytest.mark.parametrize(
    "command",
    [
        (),
        ("start",),
        ("check",),
        ("plan",),
        ("why",),
        ("undo",),
        ("add",),
        ("add", "job", "footprint"),
        ("add", "job", "weight"),
        ("add", "job", "depth"),
    ],
)
def test_every_command_has_help_in_80_columns(evenlay, command):
    said = evenlay(*command, "--help")
    assert said.code == 0
    assert "Usage: evenlay" in said.out
    assert not too_long(said.out)


# start


def test_start_makes_a_job_that_check_takes_as_it_is(evenlay, tmp_path):
    folder = tmp_path / "lids"
    made = evenlay(
        "start",
        folder,
        "--face",
        "420 mm x 300 mm",
        "--grain",
        "along 420 mm",
        "--alloy",
        "304",
        "--sheet",
        "1.5 mm",
        "--asked",
        'no "lines", please',
    )
    assert made.code == 0
    assert "evenlay check" in made.out and "evenlay plan" in made.out
    assert 'no \\"lines\\", please' in (folder / "job.toml").read_text(encoding="utf-8")
    assert evenlay("check", folder).code == 0


def test_start_takes_inches(evenlay, tmp_path):
    made = evenlay(
        "start", tmp_path / "lids", "--face", "16.5 in x 12 in", "--grain", "along 16.5 in", "--alloy", "5052", "--sheet", "0.06 in"
    )
    assert made.code == 0
    job = read_job(tmp_path / "lids")
    assert job.face[0].size.first == pytest.approx(16.5 * 0.0254)


def test_start_says_all_that_is_missing_at_once(evenlay):
    said = evenlay("start")
    assert said.code == 2
    assert [line.split(":")[1].strip() for line in said.err.splitlines()] == ["JOB", "--face", "--grain"]


def test_start_never_writes_over_a_job(evenlay, make_job, everything_in):
    folder = make_job()
    before = everything_in(folder)
    said = evenlay("start", folder, "--face", "10 mm x 10 mm", "--grain", "along 10 mm")
    assert said.code == 2
    assert "already" in said.err
    assert evenlay("start", folder, "--example").code == 2
    assert everything_in(folder) == before


@pytest.mark.parametrize("alloy", ["304", "6061"])
def test_an_example_is_copied_with_its_raw_files_and_checks(evenlay, tmp_path, alloy):
    folder = tmp_path / "example"
    made = evenlay("start", "--example", "--alloy", alloy, folder)
    assert made.code == 0
    traces = {"trace-across.csv", "trace-after-nonwoven.csv", "trace-along.csv"} if alloy == "304" else set()
    assert {path.name for path in folder.iterdir()} == {"job.toml", "footprint.csv", "weighings.csv", *traces}
    checked = evenlay("check", folder)
    assert checked.code == 0
    assert not too_long(checked.out)


# check


def test_check_says_every_mark_and_leaves_no_file(evenlay, make_job, everything_in):
    folder = make_job()
    before = everything_in(folder)
    said = evenlay("check", folder)
    assert said.code == 0
    for cause in REGISTER:
        assert cause.label in said.out
    assert "WITHHELD" in said.out
    assert everything_in(folder) == before


def test_check_as_json_is_the_whole_answer(evenlay, make_job):
    answer = json.loads(evenlay("check", make_job(), "--json").out)
    assert answer["stamp"]["program"] == "evenlay"
    assert {mark["key"] for mark in answer["marks"]} == {cause.key for cause in REGISTER}
    assert answer["repeat_length"]["value"] == pytest.approx(0.120 * 1.5 / 18.0)


def test_check_of_a_hollow_tighter_than_the_wheel_says_so(evenlay, make_job):
    folder = make_job(size="200 mm x 120 mm", grain="along 200 mm", curvature="hollow along", radius="60 mm")
    said = evenlay("check", folder)
    assert "not-reached" in said.out
    assert "not wider than the wheel" in said.words


# plan


def test_a_plan_is_written_whole_with_its_pictures(evenlay, make_job):
    folder = make_job(changes=PLATE)
    said = evenlay("plan", folder, draw=pictures)
    assert (said.code, said.err) == (0, "")
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    assert plan["handed_out"] is True
    assert plan["settings"] == {
        "force": 40.0,
        "speed": 18.0,
        "feed": 0.12,
        "step_over": 0.025,
        "rounds": 2,
        "offsets": [0.0, 0.0125],
        "taper": 0.6,
    }
    assert (folder / "pictures" / "across.png").read_bytes() == b"a picture"
    assert not too_long(said.out)
    assert not list(folder.rglob("*.tmp"))


def test_without_pictures_only_the_plan_is_written(evenlay, make_job):
    folder = make_job()
    assert evenlay("plan", folder, "--no-pictures", draw=pictures).code == 0
    assert {path.name for path in folder.iterdir()} == {"job.toml", "plan.json"}


def test_a_plan_as_json_is_what_the_file_holds(evenlay, make_job):
    folder = make_job()
    said = evenlay("plan", folder, "--json")
    assert said.code == 0
    assert json.loads(said.out) == json.loads((folder / "plan.json").read_text(encoding="utf-8"))


def test_a_change_is_tried_without_touching_anything(evenlay, make_job, everything_in):
    folder = make_job()
    evenlay("plan", folder)
    before = everything_in(folder)
    said = evenlay("plan", folder, "--set", 'feed="240 mm/s"', "--set", "rounds=3", draw=pictures)
    assert said.code == 0
    assert "What this change moves" in said.out
    assert "240 mm/s" in said.out
    assert re.search(r"time of the face: .* -> ", said.words)
    assert everything_in(folder) == before


def test_a_change_may_be_tried_on_a_job_that_has_no_plan(evenlay, make_job):
    folder = make_job(size="200 mm x 120 mm", grain="along 200 mm", curvature="hollow along", radius="60 mm")
    assert evenlay("plan", folder).code == 3
    said = evenlay("plan", folder, "--set", 'face.radius="400 mm"')
    assert said.code == 0
    assert "shows first" in said.out or "No line" in said.out
    assert not (folder / "plan.json").exists()


def test_a_second_plan_says_what_moved_against_the_last(evenlay, make_job):
    folder = make_job()
    evenlay("plan", folder)
    assert "Against the last plan" not in evenlay("plan", folder).out
    set_value(folder, "settings.feed", "240 mm/s")
    assert "Against the last plan" in evenlay("plan", folder).out


def test_another_alloy_may_be_tried(evenlay, make_job):
    assert evenlay("plan", make_job(), "--set", 'part.alloy="430"').code == 0


@pytest.mark.parametrize("cause", [cause.key for cause in REGISTER])
def test_the_chain_of_every_cause_can_be_asked_for(evenlay, make_job, cause):
    said = evenlay("plan", make_job(), "--why-visible", cause)
    assert said.code == 0
    assert f"({cause})" in said.words
    assert "to change it:" in said.out
    assert not too_long(said.out)


def test_every_remark_and_chain_is_printed_with_all(evenlay, make_job):
    said = evenlay("plan", make_job(), "--all")
    assert said.code == 0
    assert "belt-break-zone; osha" in said.words
    for cause in REGISTER:
        assert f"({cause.key})" in said.words
    assert not too_long(said.out)


def test_an_unknown_cause_is_said_before_planning(evenlay, make_job):
    folder = make_job()
    said = evenlay("plan", folder, "--why-visible", "nonsense")
    assert (said.code, said.out) == (2, "")
    assert "overlap" in said.err
    assert not (folder / "plan.json").exists()


def test_inch_shows_inches(evenlay, make_job):
    folder = make_job(name="lid", changes={**PLATE, "device.stroke": "20 mm"})
    for command in (("check", folder), ("plan", folder), ("why", folder, "--spacing", "0.4 in", "--along")):
        said = evenlay(*command, "--inch")
        assert said.code == 0
        assert re.search(r"\d in\b", said.out)
        assert not too_long(said.out)
        # Remarks and the headline are sentences with units of their own.
        numbers = re.sub(r"(?ms)^(gap|note|caution|What shows first|Cautions)\b.*?(?=^\S|^$)", "", said.out)
        assert not re.search(r"\d (mm|µm|m/s|mm/s|N|kPa)\b", numbers), command


def test_choosing_leaves_what_is_set_alone(evenlay, make_job):
    folder = make_job(settings={"taper": "choose"})
    said = evenlay("plan", folder)
    assert said.code == 0
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    known = dict(plan["settings_known"])
    assert known.pop("taper") == "chosen"
    assert set(known.values()) == {"set"}
    assert plan["tried"] > 1
    assert sum(option["chosen"] for option in plan["front"]) == 1


# why


def test_why_ranks_the_causes_of_a_spacing(evenlay, make_job):
    folder = make_job()
    along = evenlay("why", folder, "--spacing", "10 mm", "--along")
    assert along.code == 0
    assert "belt joint" in along.out and "Check:" in along.out
    across = json.loads(evenlay("why", folder, "--spacing", "25 mm", "--across", "--json").out)
    assert across["suspects"][0]["key"] == "overlap"
    assert sum(each["share"] for each in across["suspects"]) == pytest.approx(1.0, abs=0.01)
    assert not too_long(along.out)


def test_why_cannot_tell_two_marks_of_one_spacing_apart_and_says_what_would(evenlay, make_job):
    # A wheel once round of pi 150 mm f/v and a belt whose length is the same: one spacing.
    folder = make_job(changes={"belt.length": "471.24 mm"})
    said = evenlay("why", folder, "--spacing", "3.14 mm", "--along")
    assert "Cannot tell" in said.out
    assert "Check:" in said.out


# add and undo


def footprint_csv(tmp_path):
    file = tmp_path / "across.csv"
    rows = [f"{y},{10.0 * min(1.0, max(0.0, (27.0 - abs(y)) / 6.0)) + 0.2 * (-1) ** y:.2f}" for y in range(-40, 41)]
    file.write_text("y [mm],depth [um]\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return file


def test_a_footprint_of_three_numbers_a_profile_or_both_is_added(evenlay, make_job, tmp_path):
    folder, file = make_job(), footprint_csv(tmp_path)
    sizes = ("--length", "15 mm", "--width", "52 mm", "--force", "40 N")
    numbers = evenlay("add", folder, "footprint", *sizes)
    assert numbers.code == 0 and "wheel.casing_stiffness" in numbers.out and "wheel.edge_ramp" not in numbers.out
    evenlay("undo", folder)
    profile = evenlay("add", folder, "footprint", "--file", file, "--force", "40 N")
    assert profile.code == 0 and "wheel.edge_ramp" in profile.out and "measured" in profile.out
    assert "half-depth width of the pass: 48" in profile.out
    evenlay("undo", folder)
    both = evenlay("add", folder, "footprint", *sizes, "--file", file, "--who", "me", "--note", "blue ink", "--belt-metres", "1200 m")
    assert both.code == 0 and "wheel.casing_stiffness" in both.out and "wheel.edge_ramp" in both.out
    entry = json.loads((folder / "evidence" / "0005-footprint.json").read_text(encoding="utf-8"))
    assert (entry["who"], entry["note"], entry["belt_metres"]) == ("me", "blue ink", 1200.0)
    kept = folder / "evidence" / "raw" / entry["raw"]["name"]
    assert kept.read_bytes() == file.read_bytes()
    assert not too_long(both.out)


def test_a_weighing_by_options_or_by_file_is_added(evenlay, make_job, tmp_path):
    folder = make_job()
    weighed = ("--before", "812.4 g", "--before", "812.5 g", "--after", "810.9 g", "--passes", "10", "--length", "420 mm")
    said = evenlay("add", folder, "weight", *weighed, "--resolution", "0.1 g")
    assert said.code == 0 and "model.removal_coefficient" in said.out and "measured" in said.out
    file = tmp_path / "weights.csv"
    file.write_text(
        "before [g],after [g],passes,length [mm],force [N],speed [m/s],feed [mm/s]\n"
        "812.4,810.9,10,420,40,18,120\n"
        "700.1,698.7,10,420,40,18,120\n",
        encoding="utf-8",
    )
    twice = evenlay("add", folder, "weight", "--file", file, "--resolution", "0.1 g")
    assert twice.code == 0
    assert "0002 (weight)" in twice.out and "0003 (weight)" in twice.out


def test_a_scale_that_could_not_have_seen_it_is_told_and_how_many_passes_would_do(evenlay, make_job):
    weighed = ("--before", "812.4 g", "--after", "812.4 g", "--passes", "1", "--length", "420 mm", "--resolution", "1 g")
    said = evenlay("add", make_job(), "weight", *weighed)
    assert said.code == 0
    assert re.search(r"\d+ passes", said.words)


def test_a_depth_by_options_or_by_file_is_added(evenlay, make_job, tmp_path):
    folder = make_job()
    said = evenlay("add", folder, "depth", "--depth", "12 µm", "--passes", "20", "--speed", "2292 rpm", "--ra", "0.6 um", "--name", "first")
    assert said.code == 0 and "model.removal_coefficient" in said.out
    entry = json.loads((folder / "evidence" / "0001-depth.json").read_text(encoding="utf-8"))
    assert entry["payload"]["speed"] == pytest.approx(18.0, rel=1e-3)
    file = tmp_path / "depths.csv"
    file.write_text("name;depth [µm];width [mm];force [N];speed [m/s];feed [mm/s];passes\nsecond;6,5;50;40;18;120;10\n", encoding="utf-8")
    said = evenlay("add", folder, "depth", "--file", file)
    assert said.code == 0 and "0002 (depth)" in said.out


def test_an_addition_names_only_what_it_moved(evenlay, make_job):
    folder = make_job()
    evenlay("add", folder, "footprint", "--length", "15 mm", "--width", "52 mm")
    said = evenlay(
        "add",
        folder,
        "weight",
        "--before",
        "812.4 g",
        "--after",
        "810.9 g",
        "--passes",
        "10",
        "--length",
        "420 mm",
        "--resolution",
        "0.1 g",
    )
    assert "model.removal_coefficient" in said.out
    assert "casing_stiffness" not in said.out


def test_undo_takes_one_addition_after_the_other_back_and_keeps_the_log(evenlay, make_job):
    folder = make_job()
    for length in ("15 mm", "16 mm"):
        evenlay("add", folder, "footprint", "--length", length, "--width", "52 mm")
    assert "0002" in evenlay("undo", folder, "--reason", "wrong force").out
    assert "0001" in evenlay("undo", folder).out
    empty = evenlay("undo", folder)
    assert empty.code == 2 and "no evidence to take back" in empty.err
    assert [path.name for path in sorted((folder / "evidence").glob("*.json"))] == [
        "0001-footprint.json",
        "0002-footprint.json",
        "0003-retract.json",
        "0004-retract.json",
    ]


# Exit 3: no plan within the limits


def test_a_hollow_the_wheel_cannot_reach_has_no_plan(evenlay, make_job, everything_in):
    folder = make_job(size="200 mm x 120 mm", grain="along 200 mm", curvature="hollow along", radius="60 mm")
    before = everything_in(folder)
    said = evenlay("plan", folder)
    assert said.code == 3
    assert "No plan within the limits" in said.out
    assert "hollow along the grain (radius 60 mm) is not wider than the wheel" in said.words
    assert everything_in(folder) == before


def test_a_roughness_below_what_the_belt_leaves_has_no_plan_and_says_by_how_much(evenlay, make_job):
    said = evenlay("plan", make_job(changes={"limits.ra_max": "0.2 µm"}), "--all")
    assert said.code == 3
    assert re.search(r"Ra reaches [\d.]+ times its limit with these settings", said.words)
    chosen = evenlay("plan", make_job("open", changes={"limits.ra_max": "0.2 µm"}, settings={"taper": "choose"}))
    assert chosen.code == 3
    assert re.search(r"Ra: even the best setting tried reaches [\d.]+ times its limit", chosen.words)


def test_a_tiny_allowance_of_stock_has_no_plan(evenlay, make_job):
    said = evenlay("plan", make_job(changes={"limits.removal_max": "0.1 µm"}), "--all")
    assert said.code == 3
    assert re.search(r"Stock removed reaches [\d.]+ times its limit", said.words)


# Exit 4: a stop stands


STOPS = {
    "rim-speed-above-rating": ({}, {"wheel.plate_speed": "15 m/s"}),
    "sleeve-below-holding-speed": ({"wheel": "expander"}, {"settings.speed": "9 m/s", "wheel.slip_test": "12 m/s", **PLATE}),
    "aluminium-with-iron-dust": (ALUMINIUM, {"dust.collector": "mixed", **PLATE}),
}


@pytest.mark.parametrize("stop", STOPS)
def test_a_stop_hands_out_no_settings_and_no_file(evenlay, make_job, everything_in, stop):
    known, changes = STOPS[stop]
    folder = make_job(changes=changes, **known)
    before = everything_in(folder)
    checked = evenlay("check", folder)
    assert checked.code == 4 and f"[{stop};" in checked.words
    for more in (("--inch",), ("--all", "--why-visible", "overlap", "--set", 'feed="100 mm/s"')):
        said = evenlay("plan", folder, *more, draw=pictures)
        assert said.code == 4
        assert "STOP" in said.out and f"[{stop};" in said.words
        assert "nothing is handed out" in said.out
        assert not re.search(r"step-over|rounds|Ways found|shows first", said.out)
        assert not too_long(said.out)
    assert everything_in(folder) == before


@pytest.mark.parametrize("stop", STOPS)
def test_a_stop_prints_no_settings_as_json_either(evenlay, make_job, stop):
    known, changes = STOPS[stop]
    said = evenlay("plan", make_job(changes=changes, **known), "--json")
    answer = json.loads(said.out)
    assert said.code == 4
    assert answer["handed_out"] is False
    assert stop in codes(answer)
    assert not {"settings", "front", "ruler", "marks", "headline"} & set(answer)


def test_other_metals_declared_on_one_collector_stop_aluminium_too(evenlay, make_job):
    folder = make_job(changes={"dust.metals": '["aluminium", "carbon steel"]', "dust.collector": "aluminium only", **PLATE}, **ALUMINIUM)
    assert evenlay("plan", folder).code == 4


def test_a_stop_leaves_the_plan_of_before_as_it_was(evenlay, make_job, everything_in):
    folder = make_job(changes=PLATE)
    evenlay("plan", folder, draw=pictures)
    set_value(folder, "wheel.plate_speed", "15 m/s")
    before = everything_in(folder)
    assert evenlay("plan", folder, draw=pictures).code == 4
    assert everything_in(folder) == before


# Withheld: planned and shown, not handed out


WITHHELD = {
    "plate-rating-not-entered": ({}, {}),
    "collector-not-declared": (ALUMINIUM, PLATE),
    "sleeve-below-holding-speed": ({"wheel": "expander"}, {"settings.speed": "9.5 m/s", **PLATE}),
}


@pytest.mark.parametrize("unknown", WITHHELD)
def test_an_unknown_withholds_the_hand_out_but_not_the_plan(evenlay, make_job, unknown):
    known, changes = WITHHELD[unknown]
    folder = make_job(changes=changes, **known)
    said = evenlay("plan", folder)
    assert said.code == 0
    assert "WITHHELD" in said.out and f"[{unknown};" in said.words
    assert "step-over" in said.out
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    assert plan["handed_out"] is False
    assert "stop" not in levels(plan)


def test_a_plan_that_breaks_a_limit_is_not_handed_out(evenlay, make_job):
    folder = make_job(changes={"limits.ra_max": "0.2 µm", **PLATE})
    assert evenlay("plan", folder).code == 3
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    assert plan["breaches"]
    assert plan["handed_out"] is False


# Plain output


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "xterm-256color"}])
def test_piped_output_has_no_escape_codes(whole_process, make_job, tmp_path, environment):
    folder = make_job()
    commands = [("check", folder), ("plan", "--help"), ("frobnicate",)]
    for command in [*commands, ("plan", folder, "--no-pictures")] if "NO_COLOR" in environment else commands:
        said = whole_process(*command, cwd=tmp_path, **environment)
        assert not ESCAPE.search(said.out + said.err)
        assert "\r" not in said.out + said.err


def test_a_reader_that_goes_away_is_no_traceback(make_job, tmp_path):
    folder = make_job()
    run = subprocess.Popen([sys.executable, "-m", "evenlay", "check", folder], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path)
    run.stdout.close()
    err = run.stderr.read().decode()
    run.stderr.close()
    run.wait(60)
    assert "Traceback" not in err


def test_a_terminal_that_knows_ascii_only_still_gets_its_answer(whole_process, make_job, tmp_path):
    said = whole_process("check", make_job(), cwd=tmp_path, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert "Traceback" not in said.err
    assert said.code == 0


# Stopped half way


def test_stopping_while_pictures_are_drawn_leaves_the_old_plan_byte_for_byte(evenlay, make_job, everything_in):
    folder = make_job()
    evenlay("plan", folder, draw=pictures)
    set_value(folder, "settings.feed", "240 mm/s")
    before = everything_in(folder)

    def interrupted(plan):
        raise KeyboardInterrupt

    said = evenlay("plan", folder, draw=interrupted)
    assert said.code == 2
    assert said.err == "Stopped; nothing was written.\n"
    assert everything_in(folder) == before


def test_a_progress_callback_that_says_stop_leaves_the_old_plan(make_job, everything_in):
    folder = make_job(settings={"taper": "choose"})
    (folder / "plan.json").write_text("the old plan\n", encoding="utf-8")
    before = everything_in(folder)
    with pytest.raises(Stopped):
        planned(folder, progress=lambda done, total: False)
    assert everything_in(folder) == before


INTERRUPTED_SOON = """
import os, signal, sys, threading
from evenlay.answers import plan_files
from evenlay.cli.app import run

planned = plan_files.planned

def interrupted(*given, **named):
    threading.Timer(0.7, os.kill, (os.getpid(), signal.SIGINT)).start()
    return planned(*given, **named)

plan_files.planned = interrupted
sys.exit(run(sys.argv[1:], draw=lambda plan: {}))
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_ctrl_c_while_choosing_says_so_and_leaves_the_old_plan(evenlay, whole_process, make_job, everything_in, tmp_path):
    folder = make_job()
    evenlay("plan", folder)
    for name in ("force", "speed", "feed", "step_over", "rounds", "offsets", "taper"):
        set_value(folder, f"settings.{name}", "choose")
    before = everything_in(folder)
    said = whole_process("plan", folder, cwd=tmp_path, module=("-c", INTERRUPTED_SOON))
    assert (said.code, said.out, said.err) == (2, "", "Stopped; nothing was written.\n")
    assert everything_in(folder) == before


# The same bytes


@pytest.mark.slow
def test_the_same_inputs_and_seed_give_the_same_bytes_on_one_thread_or_two(whole_process, make_job, tmp_path):
    folder = make_job(settings={"step_over": "choose", "taper": "choose"})
    texts = []
    for threads in ("1", "2", "2"):
        environment = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), threads)
        said = whole_process("plan", folder, "--no-pictures", cwd=tmp_path, **environment)
        assert said.code == 0
        texts.append((folder / "plan.json").read_bytes())
        (folder / "plan.json").unlink()
    assert texts[0] == texts[1] == texts[2]


def test_another_seed_gives_other_draws_and_the_same_centre(evenlay, make_job):
    folder = make_job()
    first = json.loads(evenlay("plan", folder, "--json").out)
    set_value(folder, "job.seed", "2")
    second = json.loads(evenlay("plan", folder, "--json").out)
    assert first["worst"]["value"] == pytest.approx(second["worst"]["value"], rel=1e-9)
    assert first["worst"]["high"] != second["worst"]["high"]
    assert first["worst"]["high"] == pytest.approx(second["worst"]["high"], rel=0.1)


@pytest.mark.slow
def test_a_whole_process_goes_from_an_example_to_a_plan_with_three_pictures(whole_process, settings, tmp_path):
    assert whole_process("start", "job", "--example", "--alloy", "6061", cwd=tmp_path).code == 0
    job = tmp_path / "job"
    for name, text in (
        ("force", "40 N"),
        ("speed", "18 m/s"),
        ("feed", "120 mm/s"),
        ("step_over", "25 mm"),
        ("rounds", "2"),
        ("offsets", "even"),
        ("taper", "0.6"),
    ):
        set_value(job, f"settings.{name}", text)
    said = whole_process("plan", "job", cwd=tmp_path)
    assert (said.code, said.err) == (0, "")
    assert {path.suffix for path in (job / "pictures").iterdir()} == {".png", ".svg"}
    assert all(path.stat().st_size > 5000 for path in (job / "pictures").iterdir())
    assert len(list((job / "pictures").glob("*.png"))) == 3
