"""Seventy wrong job files, each with its whole sentence; and several wrongs at once."""

import tomllib
from pathlib import Path

import pytest

from evenlay.files.jobfile import job_from_text, read_job
from evenlay.quantities.errors import InputProblems

REFERENCE = tomllib.loads((Path(__file__).parents[2] / "reference" / "wrong_jobs.toml").read_text(encoding="utf-8"))
GOOD = REFERENCE["good"]
FILE = Path("job.toml")


def said(text):
    with pytest.raises(InputProblems) as caught:
        job_from_text(text, FILE)
    return str(caught.value)


def test_the_good_job_is_good():
    assert job_from_text(GOOD, FILE).one_face("top").length_along.number == pytest.approx(0.42)


def test_there_are_at_least_fifty_wrong_ones_with_names_of_their_own():
    names = [case["name"] for case in REFERENCE["case"]]
    assert len(names) == len(set(names)) >= 50


@pytest.mark.parametrize("case", REFERENCE["case"], ids=lambda case: case["name"])
def test_a_wrong_job_says_where_what_and_what_is_allowed(case):
    assert case["old"] in GOOD
    assert said(GOOD.replace(case["old"], case["new"], 1)) == case["says"]


def test_all_problems_are_said_at_once_contradictions_included():
    text = (
        GOOD.replace('"35 N"', '"35 mm"')
        .replace('"P180"', '"180"')
        .replace("along 420 mm", "along 400 mm")
        .replace("inflation", "inflaton")
    )
    lines = said(text).split("\n")
    assert [line.split(": ")[1] for line in lines] == [
        "step[1].wheel.inflaton",
        "step[1].belt.grit",
        "step[1].settings.force",
        "face[1].grain",
    ]


def test_all_that_is_wrong_inside_one_value_is_said():
    text = GOOD.replace('"0.5 bar"', '{ value = "0.5", low = "x", knwn = "guess", source = 3 }')
    lines = said(text).split("\n")
    assert [line.split(": ")[1] for line in lines] == [
        "step[1].wheel.inflation.knwn",
        "step[1].wheel.inflation.value",
        "step[1].wheel.inflation.low",
        "step[1].wheel.inflation.source",
    ]


def test_a_key_of_unprintable_characters_is_shown_on_one_line():
    text = GOOD.replace("inflation =", '"in\\nfla\\u0007" = "1 N"\ninflation =')
    assert said(text).startswith("job.toml line 18: step[1].wheel.in?fla?: unknown key in?fla?; [step.wheel] has kind")
    text = GOOD.replace('"0.5 bar"', '{ value = "0.5 bar", "a\\nb" = 1 }')
    assert said(text).startswith("job.toml line 22: step[1].wheel.inflation.a?b: unknown key a?b; a value has the keys")


def test_the_line_named_holds_the_key_named():
    text = GOOD.replace('"1500 mm"', '"1500"')
    place = said(text).split(":")[0]
    assert "length" in text.split("\n")[int(place.removeprefix("job.toml line ")) - 1]


def test_lines_are_found_for_dotted_and_inline_keys():
    text = GOOD.replace("[step.drive]\nkind", "[step.drive]\n  'kind'").replace(
        '[part]\nalloy = "304"\nsheet', 'part.alloy = "304"\npart.sheet'
    )
    text = text.replace('part.alloy = "304"\npart.sheet = "1.5 mm"\n', "").replace("[job]", 'part.alloy = "304"\npart.sheet = "1.5"\n[job]')
    assert said(text).startswith('job.toml line 4: part.sheet: "1.5" has no unit')


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "the file is empty; give a job file as plain text in UTF-8."),
        (b"  \n\t\n", "the file is empty; give a job file as plain text in UTF-8."),
        (b"\xff\xfe", "the file is empty; give a job file as plain text in UTF-8."),
        (b"name = \xe9", "byte 8 is not text in UTF-8; give a job file as plain text in UTF-8."),
        (b"schema = 1\n\x00", "there is a NUL byte in line 2; give a job file as plain text in UTF-8."),
        (b"\x89PNG\r\n\x1a\n....", "this is a PNG picture; give a job file as plain text in UTF-8."),
        (b"%PDF-1.7", "this is a PDF; give a job file as plain text in UTF-8."),
        (b"PK\x03\x04zzzz", "this is a zip archive or an office file (save it as CSV); give a job file as plain text in UTF-8."),
        (b"#" * 500_001, "it is larger than 0.5 MB; a job file is at most 0.5 MB."),
        (b"\xff\xfea", "byte 3 is not text in UTF-16; give a job file as plain text in UTF-8."),
    ],
)
def test_a_file_that_is_no_text_says_so(tmp_path, content, sentence):
    file = tmp_path / "job.toml"
    file.write_bytes(content)
    with pytest.raises(InputProblems) as caught:
        read_job(file)
    assert str(caught.value) == f"{file}: {sentence}"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a = " + "[" * 5000, "job.toml: this is not TOML (too deep, or a number too long)"),
        ("a = " + "9" * 10_000, "job.toml: this is not TOML (too deep, or a number too long)"),
        ("b = 1\n" + "a." * 30_000 + "a = 1", "job.toml line 2: a key of more than 30 parts"),
    ],
    ids=["deep lists", "long number", "long key"],
)
def test_a_file_that_is_too_deep_or_too_long_says_so(text, sentence):
    assert said(text) == sentence + '; write key = "value" under a [section].'


def test_missing_files_and_folders_say_so(tmp_path):
    with pytest.raises(InputProblems, match="there is no such job; give the folder of a job"):
        read_job(tmp_path / "nowhere.toml")
    with pytest.raises(InputProblems, match=r"there is no job.toml in this folder; make a job with evenlay start"):
        read_job(tmp_path)
    (tmp_path / "job.toml").mkdir()
    with pytest.raises(InputProblems, match="this is a folder"):
        read_job(tmp_path)
    with pytest.raises(InputProblems, match=r"there is no such job|the name cannot be used"):
        read_job(Path("a\x00b"))


def test_utf16_and_windows_line_ends_are_read(tmp_path):
    file = tmp_path / "job.toml"
    for content in (GOOD.encode("utf-16"), ("\ufeff" + GOOD.replace("\n", "\r\n")).encode("utf-8")):
        file.write_bytes(content)
        assert read_job(tmp_path).job.name == "lids"
