"""``evenlay surface``: numbers, bands, spacings with their causes, smoothing, conversion; wrong files one sentence each."""

import io
import json
import re
import struct
import tracemalloc
import zipfile
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from evenlay.files.surfaces import open_surface, write_surface
from evenlay.physics.surface_numbers.surface import Surface, trace

SENTENCE = re.compile(r"[^\n]{10,600}[.?]$")
POINTS, SPACING = 15000, 4e-6
NAN = float("nan")

ASKED = {"Ra", "Rq", "Rz", "Rsk", "Rku", "RSm", "Rdq", "Rk", "Rpk", "Rvk", "Rmrk1", "Rmrk2"}
ASKED |= {"Sa", "Sq", "Ssk", "Sku", "Sal", "Str", "Std", "Sdq", "Sdr", "Sk", "Spk", "Svk", "Smrk1", "Smrk2"}
"""Numbers that must be told or refused."""


def grooves(rows=1, seed=1):
    drawn = np.random.default_rng(seed).normal(size=(rows, POINTS + 8)) * 1.5e-6
    bell = np.hanning(9)
    return np.stack([np.convolve(row, bell / bell.sum(), "valid") for row in drawn])


def wave(pitch, amplitude=0.6e-6):
    return amplitude * np.sin(2.0 * np.pi * np.arange(POINTS) * SPACING / pitch)


@pytest.fixture
def map_file(tmp_path):
    write_surface(tmp_path / "map.x3p", Surface(grooves(8) + wave(8.35e-3), SPACING, 0.5e-3, along="y", source="made by a test"))
    return tmp_path / "map.x3p"


@pytest.fixture
def trace_file(tmp_path):
    write_surface(tmp_path / "trace.csv", trace(grooves()[0], spacing=SPACING, along="y", source="made by a test"))
    return tmp_path / "trace.csv"


# What it says --------------------------------------------------------------------------------------------------------


def test_a_map_is_read_to_numbers_bands_and_spacings_with_what_to_type_next(evenlay, map_file):
    said = evenlay("surface", map_file)
    assert said.code == 0
    assert f"{map_file}: a map of 15000 x 8 points, 4 µm x 0.5 mm apart, 60 mm x 3.5 mm. Source: made by a test." in said.words
    for words in (
        "Profiles across the grain, which runs along y, by ISO 21920-3:2021: cut-off 0.8 mm, 112 evaluation lengths of 4 mm",
        "Every number is measured: read off this file",
        "Rz",
        "ISO 21920-2:2021, 5.1.6",
        "Std cannot be said: heights change from row to row",
        "10 to 30 mm",
        "--job JOB; or one spacing: evenlay why JOB --spacing",
        "[points-coarse; ISO 3274:1996]",
    ):
        assert words in said.words
    assert re.search(r"across 8\.3\d mm", said.words)


def test_the_json_holds_every_number_of_the_standards_once(evenlay, map_file):
    answer = json.loads(evenlay("surface", map_file, "--json").out)
    symbols = [each["symbol"] for each in answer["numbers"]]
    assert set(symbols) >= ASKED
    assert len(symbols) == len(set(symbols))
    for each in answer["numbers"]:
        assert (each["value"] is None) == bool(each["reason"]), each["symbol"]
    (pitch,) = [each for each in answer["pitches"] if each["direction"] == "across"]
    assert pitch["pitch"]["value"] == pytest.approx(8.35e-3, rel=0.005)
    assert pitch["amplitude"] == pytest.approx(0.6e-6, rel=0.03)
    rz = next(each for each in answer["numbers"] if each["symbol"] == "Rz")
    assert 0.02 < rz["scatter"] / rz["value"] < 0.15


def test_the_older_edition_names_its_own_clauses_and_signs(evenlay, trace_file):
    said = evenlay("surface", trace_file, "--edition", "4288").words
    assert "by ISO 4288:1996" in said
    assert "Mr1" in said and "Rmrk1" not in said
    assert "ISO 4287:1997, 4.2.1" in said and "ISO 13565-2:1996, 3.1.2" in said


def test_the_editions_differ_in_rq_where_sections_differ_and_agree_in_ra(evenlay, tmp_path):
    uneven = grooves()[0] * np.repeat(np.resize([1.0, 3.0], POINTS // 200), 200)  # a section of 0.8 mm each
    write_surface(tmp_path / "uneven.csv", trace(uneven[5100:10100], spacing=SPACING, along="y"))
    read = {}
    for edition in ("21920", "4288"):
        answer = json.loads(evenlay("surface", tmp_path / "uneven.csv", "--edition", edition, "--cut-off", "0.8 mm", "--json").out)
        read[edition] = {each["symbol"]: each["value"] for each in answer["numbers"]}
    assert read["21920"]["Ra"] == pytest.approx(read["4288"]["Ra"], rel=1e-9)
    assert read["21920"]["Rq"] > 1.05 * read["4288"]["Rq"]


def test_the_job_is_asked_for_the_cause_of_each_spacing(evenlay, map_file, make_job):
    said = evenlay("surface", map_file, "--job", make_job(settings={"step_over": "16.7 mm"}))
    assert said.code == 0
    assert re.search(r"8\.3\d mm across the grain, by job:", said.words), said.words
    assert re.search(r"\d+ % overlap of passes?.*would print 8\.3\d? mm", said.words), said.words
    assert "Name the job" not in said.words


def test_a_length_that_is_too_short_is_told_number_by_number(evenlay, tmp_path):
    write_surface(tmp_path / "short.csv", trace(grooves()[0, :400], spacing=SPACING, along="y"))
    said = evenlay("surface", tmp_path / "short.csv", "--cut-off", "0.25 mm").words
    assert "Rsk" in said.split("cannot be said")[0] or "Rt, Rk, Rpk, Rvk, Rsk, Rku" in said
    assert "need 1.5 mm" in said or "Rsk" in said
    for band in ("0.5 to 1 mm cannot be said: 1.6 mm are too short: 2 mm at least.", "10 to 30 mm cannot be said"):
        assert band in said
    one = evenlay("surface", tmp_path / "short.csv", "--cut-off", "0.8 mm").words
    assert "1 of 5 sections of the evaluation length" in one
    assert re.search(r"Rsk, Rku[^.]* cannot be said", one)


def test_the_grain_that_is_said_goes_before_that_of_the_file(evenlay, trace_file):
    assert "along the grain" in evenlay("surface", trace_file, "--grain", "x").words
    assert "[trace-not-across" in evenlay("surface", trace_file, "--grain", "x").words
    assert "[trace-not-across" not in evenlay("surface", trace_file).words


def test_a_limit_sets_the_cut_off_and_a_cut_off_goes_before_it(evenlay, trace_file):
    assert "cut-off 2.5 mm" in evenlay("surface", trace_file, "--limit", "3 µm").words
    assert "cut-off 0.25 mm" in evenlay("surface", trace_file, "--limit", "3 µm", "--cut-off", "0.25 mm").words


def test_inch_units_are_shown_when_asked(evenlay, trace_file):
    assert re.search(r"cut-off 0\.0315 in", evenlay("surface", trace_file, "--inch").words)


# What it writes ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".x3p", ".sdf", ".csv", ".txt", ".png"])
def test_a_surface_is_converted_with_the_grain_that_was_said(ending, evenlay, tmp_path):
    before = Surface(grooves(3)[:, :50], SPACING, 0.5e-3, source="made by a test")
    write_surface(tmp_path / "in.x3p", before)
    said = evenlay("surface", tmp_path / "in.x3p", "--grain", "y", "--out", tmp_path / f"out{ending}")
    assert (said.code, f"Wrote {tmp_path / f'out{ending}'}" in said.out) == (0, True)
    after = open_surface(tmp_path / f"out{ending}")
    assert (after.along, after.source, after.spacing_x) == ("y", "made by a test", SPACING)
    step = np.ptp(before.height) / 65533
    assert after.height == pytest.approx(before.height, abs=0.51 * step if ending == ".png" else 0.0)


def test_what_was_measured_is_never_written_over(evenlay, map_file):
    whole = map_file.read_bytes()
    for option, file in (("--out", map_file), ("--picture", map_file.with_suffix(".png"))):
        if option == "--picture":
            write_surface(file, open_surface(map_file))
            whole = file.read_bytes()
        said = evenlay("surface", file, option, file)
        assert said.code == 2 and said.out == "" and SENTENCE.fullmatch(said.err.strip()), said.err
        assert file.read_bytes() == whole


def test_a_picture_is_drawn_with_its_spacing_named(evenlay, map_file, tmp_path):
    from evenlay.__main__ import _draw

    said = evenlay("surface", map_file, "--picture", tmp_path / "seen.png", draw=_draw)
    assert said.code == 0 and f"Wrote {tmp_path / 'seen.png'}" in said.out
    assert (tmp_path / "seen.png").read_bytes().startswith(b"\x89PNG")
    assert evenlay("surface", map_file, "--picture", tmp_path / "seen.jpg", draw=_draw).code == 2


# A step measured before and after ------------------------------------------------------------------------------------


def test_a_step_that_smooths_is_told_band_by_band_and_how_it_is_known(evenlay, tmp_path, map_file):
    write_surface(tmp_path / "after.x3p", Surface(0.6 * open_surface(map_file).height, SPACING, 0.5e-3, along="y"))
    said = evenlay("surface", map_file, "--after", tmp_path / "after.x3p")
    assert said.code == 0
    assert re.search(r"16 to 80 µm x 0\.6 \d+ %", said.words)
    assert "measured before and after the step, band by band; nothing is worked out" in said.words
    answer = json.loads(evenlay("surface", map_file, "--after", tmp_path / "after.x3p", "--json").out)
    assert [each["factor"] for each in answer["smoothing"]["bands"]] == pytest.approx([0.6] * 7)


def test_two_surfaces_that_cannot_be_compared_are_one_sentence(evenlay, map_file, trace_file, tmp_path):
    write_surface(tmp_path / "along.csv", trace(grooves()[0], spacing=SPACING, along="x"))
    said = evenlay("surface", map_file, "--after", tmp_path / "along.csv")
    assert said.code == 2 and SENTENCE.fullmatch(said.err.strip()) and "runs along the grain" in said.err
    write_surface(tmp_path / "short.csv", trace(np.arange(20.0) % 3 * 1e-6, spacing=1e-5))
    assert "no band of pitch can be compared" in evenlay("surface", trace_file, "--after", tmp_path / "short.csv").err


# Wrong words ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "found"),
    [
        (("--cut-off", "1 mm"), "is no cut-off of the standards; give 0.08, 0.25, 0.8, 2.5 or 8 mm"),
        (("--cut-off", "0.8"), "0.8"),
        (("--cut-off", "-0.8 mm"), "not above zero"),
        (("--limit", "soft"), "soft"),
        (("--edition", "4287"), '"4287" is not known; give 21920 or 4288. Did you mean 4288?'),
        (("--grain", "along x"), '"along x" is not known; give x or y'),
        (("--job", "nowhere"), "nowhere"),
        (("--after", "nowhere.x3p"), "nowhere.x3p: there is no such file"),
        (("--out", "a.docx"), "surfaces are not written as .docx; end the name in .x3p"),
        (("--out", "no/such/folder/a.x3p"), "cannot be written"),
        (("--picture", "a.svg"), "pictures are not drawn as .svg; end the name in .png"),
        (("--picture", "no/such/folder/a.png"), "cannot be written"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else None,
)
def test_a_wrong_option_is_one_sentence(options, found, evenlay, map_file, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = evenlay("surface", map_file, *options, draw=lambda answer: {"surface.png": b"drawn"})
    assert said.code == 2
    assert said.out == ""
    assert SENTENCE.fullmatch(said.err.strip()), said.err
    assert found in said.err


# Wrong files ---------------------------------------------------------------------------------------------------------


def small(ending, tmp_path):
    write_surface(tmp_path / f"small{ending}", Surface([[0.0, 1e-6, NAN], [2e-6, 0.0, 1e-7]], 4e-6, 5e-4, along="y"))
    return (tmp_path / f"small{ending}").read_bytes()


def repacked(content, change):
    """An X3P with one member changed; its own checksums are left as they were unless ``change`` takes them out."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, member in members.items():
            archive.writestr(name, member)
    return packed.getvalue()


def in_index(old, new):
    def change(members):
        del members["md5checksum.hex"]
        assert old in members["main.xml"]
        members["main.xml"] = members["main.xml"].replace(old, new)

    return change


def bomb(members):
    """Data of 200 MB, packed to less than a quarter of one."""
    del members["md5checksum.hex"]
    members["bindata/data.bin"] = bytes(200_000_000)


def index_bomb(members):
    del members["md5checksum.hex"]
    members["main.xml"] = b"<?xml version='1.0'?><a>" + b" " * 100_000_000 + b"</a>"


def nowhere_measured(members):
    del members["md5checksum.hex"]
    old = members["bindata/data.bin"]
    members["bindata/data.bin"] = np.full(len(old) // 8, NAN).tobytes()
    members["main.xml"] = re.sub(rb"<MD5ChecksumPointData>.*?</MD5ChecksumPointData>", b"", members["main.xml"])


def sdf(across, rows, spacing=1e-6, heights=b""):
    return struct.pack("<8s10s12s12sHH4d3B", b"bISO-1.0", b"x", b"", b"", across, rows, spacing, spacing, 1.0, -1.0, 0, 7, 0) + heights


def sdf2(across, rows):
    return struct.pack("<8s10s12s12sII4d3B", b"bISO-2.0", b"x", b"", b"", across, rows, 1e-6, 1e-6, 1.0, -1.0, 0, 7, 0)


def grey_png(depth):
    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", 2, 2, depth, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * (2 + depth // 2))) + chunk(b"IEND", b"")


def text(rows, spacing="4 µm", unit="µm"):
    return f"# spacing x = {spacing}\n# spacing y = 0.5 mm\n# height unit = {unit}\n{rows}\n".encode()


WRONG = {
    "empty": (lambda folder: b"", "the file is empty"),
    "a truncated X3P": (lambda folder: small(".x3p", folder)[:-40], "damaged"),
    "a truncated SDF": (lambda folder: small(".sdf", folder)[:90], "ends before them"),
    "a truncated PNG": (lambda folder: small(".png", folder)[:-30], "fetch it again"),
    "a wrong checksum of the heights": (
        lambda folder: repacked(small(".x3p", folder), lambda members: members.update({"bindata/data.bin": bytes(48)})),
        "the checksum of 'bindata/data.bin' does not fit",
    ),
    "a wrong checksum of the index": (
        lambda folder: repacked(
            small(".x3p", folder), lambda members: members.update({"main.xml": members["main.xml"].replace(b"4e-06", b"5e-06")})
        ),
        "the checksum of main.xml does not fit",
    ),
    "a zip bomb of heights": (lambda folder: repacked(small(".x3p", folder), bomb), "bytes where the index declares"),
    "a zip bomb in the index": (lambda folder: repacked(small(".x3p", folder), index_bomb), "main.xml"),
    "a billion points in an X3P": (
        lambda folder: repacked(small(".x3p", folder), in_index(b"<SizeX>3<", b"<SizeX>1000000000<")),
        "at most 30 million",
    ),
    "a billion points in an SDF": (lambda folder: sdf2(1_000_000, 1000), "at most 30 million"),
    "four billion points in an SDF": (lambda folder: sdf(65535, 65535), "at most 30 million"),
    "NaN everywhere in an X3P": (lambda folder: repacked(small(".x3p", folder), nowhere_measured), "no point of it was measured"),
    "NaN everywhere in text": (lambda folder: text("NaN,NaN\nBAD,"), "no point of it was measured"),
    "NaN everywhere in an SDF": (
        lambda folder: sdf(2, 1, heights=np.full(2, np.finfo(np.float64).min).tobytes()),
        "no point of it was measured",
    ),
    "a negative increment in an X3P": (
        lambda folder: repacked(small(".x3p", folder), in_index(b"4e-06", b"-4e-06")),
        "the increment of axis CX is '-4e-06'",
    ),
    "a negative increment in an SDF": (lambda folder: sdf(2, 1, -1e-6, bytes(16)), "the spacing along x is -1e-06 m"),
    "a negative increment in text": (lambda folder: text("1,2\n3,4", spacing="-4 µm"), "-4 µm"),
    "a photo for a profile": (lambda folder: b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(500), "a JPEG picture of brightness"),
    "a grey picture of eight bits": (lambda folder: grey_png(8), "grey is brightness"),
    "a picture of sixteen bits without heights": (lambda folder: grey_png(16), "SpacingX"),
    "heights in kilograms": (lambda folder: text("1,2\n3,4", unit="kg"), "kg"),
    "a spacing in seconds": (lambda folder: text("1,2\n3,4", spacing="4 s"), "4 s"),
    "heights in metres that were micrometres": (lambda folder: text("120,310\n50,20", unit="m"), "a height is 310 m"),
    "a spacing in metres": (lambda folder: text("1,2\n3,4", spacing="40 m"), "the spacing along x is 40 m"),
    "no unit": (lambda folder: b"0.1\n0.2\n0.3\n", "spacing"),
    "words": (lambda folder: b"Dear colleague, please find the profile attached.\n", "unknown column; columns are x, y and height"),
    "rows of different length": (lambda folder: text("1,2,3\n4,5"), "2"),
    "an intensity map": (lambda folder: b"x [mm],intensity [mm]\n0,1\n1,2\n", "intensity"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_file_is_one_sentence_within_bounded_memory(name, evenlay, tmp_path):
    make, found = WRONG[name]
    (tmp_path / "wrong.dat").write_bytes(make(tmp_path))
    tracemalloc.start()
    said = evenlay("surface", tmp_path / "wrong.dat")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert said.code == 2, said
    assert said.out == ""
    for line in said.err.splitlines():
        assert SENTENCE.fullmatch(line), line
        assert line.removeprefix(f"{tmp_path}/").startswith("wrong.dat"), line
    assert found in said.err, said.err
    assert peak < 150e6


@pytest.mark.parametrize(("size", "found"), [(200_000_000, "larger than 96 MB"), (400_000_000, "larger than 320 MB")])
def test_two_hundred_megabytes_of_text_are_refused_before_they_are_read(size, found, evenlay, tmp_path):
    with (tmp_path / "large.csv").open("wb") as file:
        file.write(text("1,2\n3,4"))
        file.truncate(size)  # a hole in the file: nothing of that size is written
    tracemalloc.start()
    said = evenlay("surface", tmp_path / "large.csv")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert (said.code, found in said.err, SENTENCE.fullmatch(said.err.strip()) is not None) == (2, True, True), said.err
    assert peak < 20e6


def test_a_folder_and_no_file_are_sentences(evenlay, tmp_path):
    assert "this is a folder" in evenlay("surface", tmp_path).err
    assert "there is no such file" in evenlay("surface", tmp_path / "no.x3p").err


FLAT = {
    "a flat trace": trace(np.zeros(9000), spacing=1e-6, along="y"),
    "two points": trace([0.0, 1e-6], spacing=1e-6),
    "one measured point": trace([NAN] * 500 + [1e-6], spacing=1e-6),
    "a flat map": Surface(np.zeros((50, 60)), 1e-6, 1e-6),
    "a map with one column of holes": Surface(np.where(np.arange(60) == 7, NAN, grooves(50)[:, :60]), 1e-6, 1e-6),
    "a map of which half is missing": Surface(np.where(np.arange(60) % 2, NAN, grooves(50)[:, :60]), 1e-6, 1e-6),
    "a step of a metre": trace(np.repeat([0.0, 1.0], 4000), spacing=1e-6),
    "the smallest heights": trace(np.resize([0.0, 5e-324], 9000), spacing=1e-6),
}


@pytest.mark.parametrize("name", FLAT)
def test_a_surface_at_the_edge_of_what_can_be_read_is_an_answer_or_a_sentence(name, evenlay, tmp_path):
    from evenlay.__main__ import _draw

    write_surface(tmp_path / "edge.x3p", FLAT[name])
    for options in ((), ("--json",), ("--edition", "4288"), ("--picture", tmp_path / "edge.png")):
        said = evenlay("surface", tmp_path / "edge.x3p", *options, draw=_draw)
        assert said.code in (0, 2)
        if said.code == 2:
            assert SENTENCE.fullmatch(said.err.strip()), said.err
        if options == ("--json",) and said.code == 0:
            json.loads(said.out)


@given(
    height=st.lists(st.one_of(st.floats(-1e-3, 1e-3), st.just(NAN)), min_size=2, max_size=90),
    rows=st.integers(1, 3),
    along=st.sampled_from(["x", "y", ""]),
    cut=st.sampled_from(["0.08 mm", ""]),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_heights_are_an_answer_or_a_sentence(height, rows, along, cut, evenlay, tmp_path):
    across = len(height) // rows
    if across < 2 or np.all(np.isnan(height[: rows * across])):
        return
    surface = Surface(np.reshape(height[: rows * across], (rows, across)), 4e-6, 4e-6 if rows > 1 else 0.0, along=along)
    write_surface(Path(tmp_path) / "any.x3p", surface)
    said = evenlay("surface", tmp_path / "any.x3p", "--cut-off", cut, "--json")
    assert said.code in (0, 2)
    if said.code == 2:
        assert SENTENCE.fullmatch(said.err.strip()), said.err
    else:
        json.loads(said.out)


@given(
    content=st.binary(max_size=400),
    head=st.sampled_from([b"", b"PK\x03\x04", b"bISO-1.0", b"aISO-2.0\n", b"\x89PNG\r\n\x1a\n", b"x [mm],z [um]\n"]),
)
@example(content=b"0", head=b"")
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_through_the_command_are_an_answer_or_a_sentence(content, head, evenlay, tmp_path):
    (tmp_path / "any.dat").write_bytes(head + content)
    said = evenlay("surface", tmp_path / "any.dat")
    assert said.code in (0, 2)
    # Several problems are told at once, a sentence each.
    assert said.code == 0 or all(SENTENCE.fullmatch(line) for line in said.err.strip().splitlines()), said.err
    assert said.code == 0 or said.err.strip()
