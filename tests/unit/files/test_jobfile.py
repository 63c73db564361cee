"""The job file: written complete, edited without losing a comment, read back the same."""

import copy
import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenlay.files.jobfile import FILE_NAME, changed_job, job_from_text, read_job, set_value, write_job
from evenlay.files.keys import resolve_key
from evenlay.job.reading import parse_job
from evenlay.job.records import key_register
from evenlay.job.starting import NewJob, job_text
from evenlay.job.step_records import WHEELS
from evenlay.quantities.errors import InputProblems
from evenlay.quantities.units import KINDS, format_quantity

LIDS = NewJob("lids", "420 mm x 300 mm", "along 420 mm", sheet="1.5 mm", asked='No.4 "satin"\nlike the sample \\ C')
TEXT = job_text(LIDS)
FRESH = tomllib.loads(TEXT)


def test_a_new_job_reads_back_with_what_was_given(tmp_path):
    write_job(tmp_path / "lids", LIDS)
    job = read_job(tmp_path / "lids")
    assert job.job.asked == LIDS.asked
    assert job.part.alloy == "304"
    assert job.part.sheet.number == pytest.approx(1.5e-3)
    assert (job.face[0].length_along.number, job.face[0].length_across.number) == pytest.approx((0.42, 0.3))
    assert job.step[0].settings.step_over == "choose"


def test_a_job_is_never_written_over(tmp_path):
    write_job(tmp_path, LIDS)
    before = (tmp_path / FILE_NAME).read_bytes()
    with pytest.raises(InputProblems, match="there is a job in this folder already; choose another folder, or remove it first"):
        write_job(tmp_path, NewJob("doors", "1 m x 2 m", "along 2 m"))
    assert (tmp_path / FILE_NAME).read_bytes() == before


def test_a_wrong_new_job_writes_nothing(tmp_path):
    with pytest.raises(InputProblems) as caught:
        write_job(tmp_path / "x", NewJob("lids", "420 mm x 300", "along 9 mm", alloy="brass"))
    assert len(caught.value.problems) == 2
    assert not (tmp_path / "x").exists()


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "x").write_text("x")
    with pytest.raises(InputProblems, match="this is a file; give the name of a folder"):
        write_job(tmp_path / "x", LIDS)


@pytest.mark.parametrize("wheel", WHEELS)
def test_every_shipped_value_stands_in_the_file_with_how_it_is_known(wheel):
    tables = tomllib.loads(job_text(NewJob("lids", "16.5 in x 12 in", "along 16.5 in", wheel=wheel)))
    sections = [*(tables[name] for name in ("job", "part", "viewing", "path", "device", "limits")), *tables["step"][0].values()]
    values = [value for section in sections if isinstance(section, dict) for value in section.values() if isinstance(value, dict)]
    assert len(values) > 40
    for value in values:
        assert value["known"] in ("guess", "handbook", "fitted")
        assert value["source"].startswith("shipped table: ") or value["source"].startswith("a sleeve")


def test_the_files_of_all_wheel_kinds_together_speak_of_every_key():
    text = "\n".join(job_text(NewJob("lids", "420 mm x 300 mm", "along 420 mm", wheel=wheel)) for wheel in WHEELS)
    other = {"job.created"}
    for key in key_register():
        name = key.split(".")[-1]
        assert f"\n{name} = " in text or f"\n# {name} = " in text or key in other, key


@given(
    asked=st.text(max_size=200),
    along=st.floats(2, 2000),
    across=st.floats(2, 2000),
    system=st.sampled_from(["metric", "inch"]),
    wheel=st.sampled_from(WHEELS),
)
@settings(deadline=None, max_examples=25)
def test_any_customer_sentence_and_any_size_survive_writing(asked, along, across, system, wheel):
    sides = [
        format_quantity(side * 1e-3, "length", system, digits=None, unit="mm" if system == "metric" else "in") for side in (along, across)
    ]
    asked = asked.replace("\r\n", "\n").replace("\r", "\n")
    text = job_text(NewJob("lids", " x ".join(sides), f"along {sides[0]}", asked=asked, wheel=wheel))
    job = job_from_text(text, Path("job.toml"))
    assert job.job.asked == asked
    assert job.face[0].length_along.number == pytest.approx(along * 1e-3, rel=1e-12)


@pytest.mark.parametrize(
    "key",
    ["feed", "settings.feed", "step.settings.feed", "step[1].settings.feed", "step.finish.settings.feed"],
)
def test_a_key_may_be_short_where_it_is_plain(tmp_path, key):
    write_job(tmp_path, LIDS)
    job = set_value(tmp_path, key, "80 mm/s")
    assert job.step[0].settings.feed.number == pytest.approx(0.08)
    assert read_job(tmp_path).step[0].settings.feed.text == "80 mm/s"


def test_an_edit_keeps_every_other_line_and_the_comment(tmp_path):
    file = write_job(tmp_path, LIDS)
    before = file.read_text().split("\n")
    set_value(tmp_path, "feed", "80 mm/s")
    after = file.read_text().split("\n")
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert changed == [('feed = "choose"  # speed of the wheel over the part', 'feed = "80 mm/s"  # speed of the wheel over the part')]


def test_lists_tables_and_numbers_can_be_set(tmp_path):
    write_job(tmp_path, LIDS)
    set_value(tmp_path, "rounds", "3")
    job = set_value(tmp_path, "offsets", '["0 mm", "9 mm", "18 mm"]')
    assert [offset.number for offset in job.step[0].settings.offsets] == pytest.approx([0, 0.009, 0.018])
    job = set_value(tmp_path, "edge_ramp", '{ value = "6 mm", low = "5 mm", high = "7 mm", known = "measured" }')
    assert job.step[0].wheel.edge_ramp.value.known == "measured"
    assert set_value(tmp_path, "wet", "true").dust.wet is True


def test_a_section_that_is_not_there_is_made(tmp_path):
    (tmp_path / "job.toml").write_text(
        'schema = 1\n[job]\nname = "a"\n[part]\nalloy = "304"\n[[face]]\nid = "a"\nsize = "1 m x 2 m"\ngrain = "along 2 m"\n'
        '[[step]]\nid = "b"\n[step.wheel]\nkind = "solid"\n'
    )
    assert set_value(tmp_path, "step.settings.force", "20 N").step[0].settings.force.number == 20.0
    assert set_value(tmp_path, "viewing.distance", "3 m").viewing.distance.number == 3.0


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("fed", "1 m/s", "job.toml: fed: there is no such key; give a key of the job file. Did you mean feed?"),
        (
            "width",
            "1 m",
            "job.toml: width: this could be step.wheel.width, step.belt.width; write more of the key.",
        ),
        ("step[3].settings.feed", "1 m/s", "job.toml: step[3].settings.feed: there is no step[3]; there are 1."),
        ("feed", "[1", 'job.toml: step[1].settings.feed: "[1" is not a TOML value; write a quantity as 35 N.'),
        ("grit", "P200", None),
    ],
)
def test_a_wrong_change_says_why_and_writes_nothing(tmp_path, key, value, sentence):
    file = write_job(tmp_path, LIDS)
    before = file.read_bytes()
    with pytest.raises(InputProblems) as caught:
        set_value(tmp_path, key, value)
    assert sentence is None or str(caught.value) == sentence
    assert file.read_bytes() == before


def test_with_two_steps_the_step_must_be_named(tmp_path):
    document = tomlkit.parse('[[step]]\nid = "rough"\n[[step]]\nid = "finish"\n')
    with pytest.raises(
        InputProblems, match=r"there are 2 entries of \[\[step\]\]; write one of step\[1\].settings.feed, step\[2\].settings.feed"
    ):
        resolve_key(document, "feed", tmp_path / "job.toml")
    assert resolve_key(document, "step.finish.settings.feed", tmp_path / "job.toml") == ("step", 1, "settings", "feed")
    assert resolve_key(document, "step[2].feed", tmp_path / "job.toml") == ("step", 1, "settings", "feed")


def test_a_trial_change_is_not_written(tmp_path):
    file = write_job(tmp_path, LIDS)
    before = file.read_bytes()
    job = changed_job(tmp_path, {"feed": "80 mm/s", "wheel.diameter": "200 mm"})
    assert (job.step[0].settings.feed.number, job.step[0].wheel.diameter.number) == pytest.approx((0.08, 0.2))
    assert file.read_bytes() == before


def test_every_quantity_of_the_job_file_takes_its_example_or_refuses_it_for_its_range():
    for key, of in key_register().items():
        if hasattr(of, "kind"):
            assert KINDS[of.kind].example
            low, high = of.limits
            assert low < high, key
            assert of.read(of.lowest).number == pytest.approx(low)
            assert of.read(of.highest).number == pytest.approx(high)


TOML = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["35 N", "choose", "P180", "1e308 m"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["value", "low", "high", "known", "for", "kind", "id", "x"]), inner, max_size=4)
    ),
    max_leaves=8,
)


@given(key=st.sampled_from(list(key_register())), value=TOML)
@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])
def test_anything_at_any_key_gives_a_job_or_problems(key, value):
    tables = copy.deepcopy(FRESH)
    inside = tables
    for part in key.split(".")[:-1]:
        inside = inside[part][0] if isinstance(inside[part], list) else inside[part]
    inside[key.split(".")[-1]] = value
    try:
        parse_job(tables, lambda where: "job.toml")
    except InputProblems as problems:
        for problem in problems.problems:
            assert "\n" not in str(problem)


@given(section=st.sampled_from(["job", "part", "face", "step", "viewing", "path", "dust", "schema"]), value=TOML)
@settings(deadline=None, max_examples=80)
def test_anything_in_place_of_a_section_gives_a_job_or_problems(section, value):
    tables = copy.deepcopy(FRESH)
    tables[section] = value
    try:
        parse_job(tables, lambda where: "job.toml")
    except InputProblems as problems:
        assert all("\n" not in str(problem) for problem in problems.problems)


@given(content=st.binary(max_size=400))
@settings(deadline=None, max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_give_a_job_or_problems(tmp_path, content):
    (tmp_path / "job.toml").write_bytes(content)
    with pytest.raises(InputProblems):
        read_job(tmp_path)


@given(data=st.data())
@settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_job_file_with_bytes_changed_gives_a_job_or_problems(tmp_path, data):
    content = bytearray(TEXT.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at : at + data.draw(st.integers(0, 3))] = data.draw(st.binary(max_size=3))
    (tmp_path / "job.toml").write_bytes(bytes(content))
    try:
        read_job(tmp_path)
    except InputProblems as problems:
        assert problems.problems
