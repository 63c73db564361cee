"""The evidence log: append only, whole, taken back by another entry."""

import json
import math
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from evenlay.files.evidence_log import add_entry, entry_files, read_log, taken_back, undo
from evenlay.files.jobfile import job_from_text, read_job, set_value, write_job
from evenlay.job.effective import effective
from evenlay.job.evidence_record import Depth, Fingerprint, Footprint, Retract, Weight, fingerprint
from evenlay.job.starting import NewJob, job_text
from evenlay.quantities.errors import InputProblems

WHEN = "2025-01-31T10:00:00"
PRINT = Footprint(force=40.0, lengths=(0.021, 0.022), widths=(0.051,))
WEIGHT = Weight(before=(0.8124,), after=(0.8121,), resolution=1e-5, passes=20, length=0.3, force=40.0, speed=18.0, feed=0.12)
SETUP = Fingerprint(alloy="304", grit="P180", wheel_kind="pneumatic", wheel_diameter=0.15)


def test_what_is_added_is_read_back_the_same(tmp_path):
    first = add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP, about={"step": "finish", "who": "Ada", "belt_metres": 1200.0})
    second = add_entry(tmp_path, WEIGHT, when=WHEN, setup=SETUP)
    log = read_log(tmp_path)
    assert log.entries == log.live == (first, second)
    assert [path.name for path in entry_files(tmp_path)] == ["0001-footprint.json", "0002-weight.json"]


def test_a_job_without_evidence_has_an_empty_log(tmp_path):
    assert read_log(tmp_path).entries == ()


def test_undo_takes_the_last_back_and_keeps_every_file(tmp_path):
    add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    add_entry(tmp_path, WEIGHT, when=WHEN, setup=SETUP)
    taken, said = undo(tmp_path, when=WHEN, reason="wrong scale")
    assert (taken.id, said.payload.entry, said.kind) == ("0002", "0002", "retract")
    assert [entry.id for entry in read_log(tmp_path).live] == ["0001"]
    undo(tmp_path, when=WHEN)
    assert read_log(tmp_path).live == ()
    assert len(entry_files(tmp_path)) == 4
    with pytest.raises(InputProblems, match="there is no evidence to take back; add some with evenlay add"):
        undo(tmp_path, when=WHEN)


def test_taking_back_a_taking_back_lets_the_first_live_again(tmp_path):
    add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    add_entry(tmp_path, Retract(entry="0001"), when=WHEN, setup=SETUP)
    add_entry(tmp_path, Retract(entry="0002"), when=WHEN, setup=SETUP)
    log = read_log(tmp_path)
    assert taken_back(list(log.entries)) == {"0002"}
    assert [entry.id for entry in log.live] == ["0001"]


def test_the_raw_file_is_kept_with_its_hash_and_a_change_is_seen(tmp_path):
    raw = tmp_path / "print 1.csv"
    raw.write_text("y [mm],depth [um]\n0,1\n")
    entry = add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP, raw=raw)
    again = add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP, raw=raw)
    kept = tmp_path / "evidence" / "raw" / entry.raw.name
    assert kept.read_bytes() == raw.read_bytes()
    assert entry.raw == again.raw
    assert entry.raw.original == "print 1.csv"
    assert read_log(tmp_path).raw_changed == ()
    kept.write_text("other")
    assert read_log(tmp_path).raw_changed == ("0001", "0002")
    kept.unlink()
    assert read_log(tmp_path).raw_changed == ("0001", "0002")


def test_a_raw_file_that_is_not_there_adds_nothing(tmp_path):
    with pytest.raises(InputProblems, match="there is no such file"):
        add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP, raw=tmp_path / "no.csv")
    assert entry_files(tmp_path) == []


def test_many_writers_at_once_lose_nothing(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda i: add_entry(tmp_path, (PRINT, WEIGHT)[i % 2], when=WHEN, setup=SETUP), range(24)))
    assert sorted(entry.id for entry in read_log(tmp_path).live) == [f"{i:04d}" for i in range(1, 25)]


def test_a_half_written_file_of_a_killed_writer_disturbs_nobody(tmp_path):
    add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    (tmp_path / "evidence" / ".0002-weight.json.abc.tmp").write_text('{"id": "00')
    assert len(read_log(tmp_path).live) == 1


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (lambda text: "", "the file is empty"),
        (lambda text: text[:40], "this is not JSON; restore the file; entries are never edited."),
        (lambda text: text.replace('"force": 40.0', '"force": -40.0'), "payload.footprint.force: input should be greater than 0"),
        (lambda text: text.replace('"force": 40.0', '"force": NaN'), "payload.footprint.force: input should be"),
        (
            lambda text: text.replace('"id": "0001"', '"id": "0007"'),
            "id: it holds entry 0007-footprint; the file was renamed; rename it back.",
        ),
        (lambda text: text.replace('"who"', '"whom"'), "whom: extra inputs are not permitted"),
        (lambda text: "[" * 100_000, "this is not JSON"),
    ],
)
def test_an_edited_entry_is_named_with_its_file(tmp_path, edit, sentence):
    add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    path = entry_files(tmp_path)[0]
    path.write_text(edit(path.read_text()))
    with pytest.raises(InputProblems) as caught:
        read_log(tmp_path)
    assert sentence in str(caught.value)
    assert "0001-footprint.json" in str(caught.value)


def test_a_number_that_stands_twice_is_named(tmp_path):
    add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    copy = json.loads(entry_files(tmp_path)[0].read_text()) | {"payload": WEIGHT.model_dump(mode="json")}
    (tmp_path / "evidence" / "0001-weight.json").write_text(json.dumps(copy))
    with pytest.raises(InputProblems, match="evidence/0001: id: this number stands twice; remove the copy"):
        read_log(tmp_path)


@pytest.mark.parametrize(
    ("record", "fields"),
    [
        (Footprint, {"force": 40.0}),
        (Footprint, {"force": 40.0, "position": (0.0, 1.0), "depths": ((1.0,),)}),
        (Footprint, {"force": 40.0, "lengths": (-0.02,)}),
        (Footprint, {"force": math.inf, "lengths": (0.02,)}),
        (Weight, WEIGHT.model_dump() | {"after": (0.9,)}),
        (Weight, WEIGHT.model_dump() | {"passes": 0}),
        (Depth, {"depth": math.nan, "width": 0.05, "force": 1.0, "speed": 1.0, "feed": 1.0}),
    ],
)
def test_evidence_that_cannot_be_is_refused(record, fields):
    with pytest.raises(ValidationError):
        record(**fields)


def test_a_footprint_goes_stale_with_its_wheel_and_a_weight_with_its_belt(tmp_path):
    entry = add_entry(tmp_path, PRINT, when=WHEN, setup=SETUP)
    weight = add_entry(tmp_path, WEIGHT, when=WHEN, setup=SETUP)
    solid = SETUP.model_copy(update={"wheel_kind": "solid", "wheel_diameter": 0.2})
    assert entry.stale(solid) == ("wheel kind pneumatic is now solid", "wheel diameter 150 mm is now 200 mm")
    assert weight.stale(solid) == ()
    coarse = SETUP.model_copy(update={"grit": "P80"})
    assert entry.stale(coarse) == ()
    assert weight.stale(coarse) == ("grit P180 is now P80",)
    assert entry.stale(SETUP.model_copy(update={"wheel_diameter": 0.148})) == ()
    assert entry.stale(SETUP.model_copy(update={"wheel_diameter": None})) == ()


def test_a_wheel_still_at_its_shipped_guess_is_not_fingerprinted(tmp_path):
    job = job_from_text(job_text(NewJob("a", "420 mm x 300 mm", "along 420 mm")), tmp_path / "job.toml")
    taken = fingerprint(job, "finish", effective(job, "face", "finish"))
    assert (taken.wheel_diameter, taken.wheel_kind, taken.grit) == (None, "pneumatic", "P180")
    write_job(tmp_path / "a", NewJob("a", "420 mm x 300 mm", "along 420 mm"))
    set_value(tmp_path / "a", "wheel.diameter", "200 mm")
    job = read_job(tmp_path / "a")
    now = fingerprint(job, "finish", effective(job, "face", "finish"))
    assert now.wheel_diameter == pytest.approx(0.2)
    assert taken.changes(now, ("wheel_diameter",)) == ()


@given(content=st.binary(max_size=200))
@settings(deadline=None, max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_in_an_entry_give_problems(tmp_path, content):
    (tmp_path / "evidence").mkdir(exist_ok=True)
    (tmp_path / "evidence" / "0001-weight.json").write_bytes(content)
    with pytest.raises(InputProblems):
        read_log(tmp_path)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


@given(key=st.sampled_from(["id", "when", "who", "belt_metres", "setup", "raw", "payload", "schema_version"]), value=JSON)
@settings(deadline=None, max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_anything_at_any_key_of_an_entry_gives_a_log_or_problems(tmp_path, key, value):
    folder = tmp_path / "evidence"
    folder.mkdir(exist_ok=True)
    entry = {"id": "0001", "when": WHEN, "setup": SETUP.model_dump(), "payload": WEIGHT.model_dump(mode="json"), key: value}
    (folder / "0001-weight.json").write_text(json.dumps(entry))
    try:
        read_log(tmp_path)
    except InputProblems as problems:
        assert all("\n" not in str(problem) for problem in problems.problems)
