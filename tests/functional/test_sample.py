"""``evenlay sample`` as a user runs it: files, caption, numbers, refusals, and that a stop leaves what was there."""

from __future__ import annotations

import io
import json
import struct
import zlib

import numpy as np
import pytest

from evenlay.files.surfaces.opened import open_surface, write_surface
from evenlay.physics.surface_numbers.surface import Surface, trace

SMALL = ("--size", "24 mm x 6 mm")


@pytest.fixture
def coarse_job(make_job):
    """A job with a coarse belt: few grains, so that a sample takes seconds."""

    def made(name="job", *, changes=(), **known):
        return make_job(name, changes={"belt.grit": "P60", **dict(changes)}, **known)

    return made


@pytest.fixture
def draw():
    """Pictures as the whole program draws them."""
    from evenlay.pages.sample_sheet import sample_pictures

    return sample_pictures


def png_parts(content):
    """Chunks of a PNG by kind."""
    parts, at = {}, 8
    while at < len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        body = content[at + 8 : at + 8 + length]
        assert zlib.crc32(content[at + 4 : at + 8 + length]) == struct.unpack(">I", content[at + 8 + length : at + 12 + length])[0]
        parts.setdefault(content[at + 4 : at + 8], b"")
        parts[content[at + 4 : at + 8]] += body
        at += 12 + length
    return parts


@pytest.mark.slow
def test_a_sample_writes_map_picture_and_numbers_and_says_what_they_rest_on(evenlay, coarse_job, draw, tmp_path) -> None:
    out = tmp_path / "out"
    said = evenlay("sample", coarse_job(), *SMALL, "--out", out, "--dpi", 300, draw=draw)
    assert said.code == 0, said.err
    assert sorted(path.name for path in out.iterdir()) == ["numbers.json", "sample.png", "sample.x3p"]
    assert "Rests on" in said.out and "What the picture rests on:" in said.out and "drawn sample" in said.out
    answer = json.loads((out / "numbers.json").read_text(encoding="utf-8"))
    record = answer["samples"][0]
    assert record["caption"].startswith("Drawn sample, not a photograph") and answer["rests_on"] in record["caption"]
    assert record["corner"] == pytest.approx([0.198, 0.147])
    assert record["removal"] == pytest.approx(record["removal_plan"], rel=0.03)
    assert record["roughness_plan"]["low"] < record["roughness"] < record["roughness_plan"]["high"]
    surface = open_surface(out / "sample.x3p")
    assert surface.along == "y" and "evenlay drawn sample" in surface.source
    assert surface.height.shape == (record["rows"], record["samples"])
    assert surface.height.shape[0] * surface.spacing_y == pytest.approx(0.024, rel=0.02)
    parts = png_parts((out / "sample.png").read_bytes())
    across, down, unit = struct.unpack(">IIB", parts[b"pHYs"])
    assert (across, down, unit) == (11811, 11811, 1)


@pytest.mark.slow
def test_the_picture_is_true_to_scale_and_its_elements_are_dots(evenlay, coarse_job, draw, tmp_path) -> None:
    from matplotlib.image import imread

    evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out", "--dpi", 200, draw=draw)
    grey = imread(io.BytesIO((tmp_path / "out" / "sample.png").read_bytes()))[:, :, 0]
    busy = np.mean(grey[:, 60:200] < 0.99, axis=1) > 0.8
    first = int(np.argmax(busy))
    assert first == pytest.approx(6.0 / 25.4 * 200, abs=2)
    assert np.argmin(busy[first:]) == pytest.approx(6.0 / 25.4 * 200, abs=2)  # 6 mm across the grain, at 200 dots per inch


@pytest.mark.slow
def test_the_same_seed_gives_the_same_files_on_any_threads(evenlay, coarse_job, draw, tmp_path, everything_in) -> None:
    job = coarse_job()
    for threads in (1, 2, 4):
        assert evenlay("sample", job, *SMALL, "--out", tmp_path / f"out{threads}", "--threads", threads, draw=draw).code == 0
    files = [list(everything_in(tmp_path / f"out{threads}").values()) for threads in (1, 2, 4)]
    assert files[0] == files[1] == files[2] and len(files[0]) == 3
    evenlay("sample", job, *SMALL, "--out", tmp_path / "other", "--seed", 5)
    assert everything_in(tmp_path / "other") != everything_in(tmp_path / "out1")


@pytest.mark.slow
def test_variants_lie_side_by_side_and_differ_by_what_was_varied_alone(evenlay, coarse_job, draw, tmp_path) -> None:
    said = evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out", "--vary", "feed=120,240mm/s", "--json", draw=draw)
    assert said.code == 0, said.err
    answer = json.loads(said.out)
    assert [one["title"] for one in answer["samples"]] == ["feed 120 mm/s", "feed 240 mm/s"]
    slow, fast = answer["samples"]
    assert slow["removal_plan"] == pytest.approx(2.0 * fast["removal_plan"], rel=0.01)  # the wheel's turns on so short a piece
    assert slow["removal"] == pytest.approx(2.0 * fast["removal"], rel=0.03)
    assert {name: value for name, value in slow["settings"].items() if fast["settings"][name] != value} == {"feed": 0.12}
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"numbers.json", "sample.png", "sample-1.x3p", "sample-2.x3p"}


@pytest.mark.slow
def test_a_sample_laid_beside_itself_differs_in_nothing_even_when_turned(evenlay, coarse_job, draw, tmp_path) -> None:
    job = coarse_job()
    evenlay("sample", job, *SMALL, "--out", tmp_path / "one")
    drawn = open_surface(tmp_path / "one" / "sample.x3p")
    turned = tmp_path / "turned.x3p"
    write_surface(turned, Surface(drawn.height.T, spacing_x=drawn.spacing_y, spacing_y=drawn.spacing_x, along="x", source="turned"))
    said = evenlay("sample", job, *SMALL, "--out", tmp_path / "two", "--compare", turned, "--json", draw=draw)
    assert said.code == 0, said.err
    answer = json.loads(said.out)
    assert answer["measured"]["drawn"] and answer["measured"]["length"] == pytest.approx(answer["samples"][0]["length"])
    mine = {each["symbol"]: each["value"] for each in answer["samples"][0]["read"]["numbers"]}
    other = {each["symbol"]: each["value"] for each in answer["measured"]["read"]["numbers"]}
    for symbol in ("Ra", "Rz", "RSm", "Rk", "Sa", "Sq", "slope_across"):
        assert other[symbol] == pytest.approx(mine[symbol], rel=1e-6), symbol
    shown = evenlay("sample", job, *SMALL, "--out", tmp_path / "two", "--compare", turned, draw=draw)
    assert "Beside turned.x3p" in shown.words and "+0 %" in shown.out


@pytest.mark.slow
def test_a_sample_is_smoothed_as_two_measured_surfaces_say_and_says_so(evenlay, coarse_job, draw, tmp_path) -> None:
    rough = np.random.default_rng(3).normal(size=8000) * 1e-6
    for name, part in (("before.csv", 1.0), ("after.csv", 0.5)):
        write_surface(tmp_path / name, trace(part * rough, spacing=4e-6, along="y"))
    job = coarse_job()
    evenlay("sample", job, *SMALL, "--out", tmp_path / "cut", draw=draw)
    step = ("--before", tmp_path / "before.csv", "--after", tmp_path / "after.csv")
    said = evenlay("sample", job, *SMALL, "--out", tmp_path / "smooth", *step, "--json", draw=draw)
    assert said.code == 0, said.err
    answer = json.loads(said.out)
    assert "not simulated" in answer["samples"][0]["caption"]
    assert "sample-smoothed-as-measured" in [remark["code"] for remark in answer["remarks"]]
    plain = json.loads((tmp_path / "cut" / "numbers.json").read_text())["samples"][0]["roughness"]
    assert answer["samples"][0]["roughness"] == pytest.approx(0.5 * plain, rel=0.02)
    alone = evenlay("sample", job, *SMALL, "--out", tmp_path / "one", "--after", tmp_path / "after.csv")
    assert (alone.code, "--before" in alone.err, (tmp_path / "one").exists()) == (2, True, False)


@pytest.mark.slow
def test_a_trace_is_compared_by_its_numbers_and_not_drawn(evenlay, coarse_job, draw, tmp_path) -> None:
    place = np.arange(12_000) * 1e-6
    write_surface(tmp_path / "trace.csv", trace(0.5e-6 * np.sin(2.0 * np.pi * place / 60e-6), spacing=1e-6, along="y"))
    said = evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out", "--compare", tmp_path / "trace.csv", draw=draw)
    assert said.code == 0, said.err
    assert "trace.csv is not drawn: it is a trace" in said.words and "[measured-not-drawn;" in said.words
    assert "[measured-spacing-differs;" in said.words


@pytest.mark.slow
def test_a_map_too_coarse_for_light_is_compared_by_its_numbers(evenlay, coarse_job, tmp_path) -> None:
    height = 1e-6 * np.random.default_rng(1).standard_normal((60, 500))
    write_surface(tmp_path / "coarse.x3p", Surface(height, spacing_x=20e-6, spacing_y=50e-6, along="y"))
    said = evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out", "--compare", tmp_path / "coarse.x3p")
    assert said.code == 0 and "points lie 20 µm apart" in said.words


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--size", "500 mm x 50 mm"), "--size: 500 mm along and 50 mm across do not fit"),
        (("--size", "50 mm x 400 mm"), "--size: 50 mm along and 400 mm across do not fit"),
        (("--size", "0 mm x 50 mm"), '--size: "0 mm x 50 mm" is too small'),
        (("--size", "-3 mm x 50 mm"), "is too small"),
        (("--size", "100"), "--size:"),
        (("--size", "100 x 50"), "--size:"),
        (("--size", "nan mm x 5 mm"), "--size:"),
        (("--size", "300 mm x 300 mm"), "million points"),
        ((*SMALL, "--light", "85°"), '--light: "85°" is too far from the normal'),
        ((*SMALL, "--light", "30"), "--light:"),
        ((*SMALL, "--at", "410 mm, 20 mm"), "--at: the piece would hang over the edge"),
        ((*SMALL, "--at", "20 mm"), "--at:"),
        ((*SMALL, "--dpi", "20"), "--dpi: 20 dots per inch"),
        ((*SMALL, "--threads", "0"), "--threads: 0 threads"),
        ((*SMALL, "--seed", "-1"), "--seed: -1 is below zero"),
        ((*SMALL, "--vary", "feed"), '--vary: "feed"'),
        ((*SMALL, "--vary", "feed=60mm/s"), "two to 6 values"),
        ((*SMALL, "--vary", "feed=60,60mm/s"), "names a value twice"),
        ((*SMALL, "--vary", "feeed=60,120mm/s"), "feeed"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence_and_nothing_is_written(evenlay, coarse_job, tmp_path, options, words) -> None:
    said = evenlay("sample", coarse_job(), *options, "--out", tmp_path / "out")
    assert said.code == 2 and words in said.said, said.said
    assert "Traceback" not in said.said and not (tmp_path / "out").exists()


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 torn", b"\x89PNG\r\n\x1a\nnothing", b"hello"])
def test_a_bad_file_to_compare_is_refused_before_anything_is_drawn(evenlay, coarse_job, tmp_path, content) -> None:
    (tmp_path / "bad.x3p").write_bytes(content)
    said = evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out", "--compare", tmp_path / "bad.x3p")
    assert said.code == 2 and "bad.x3p" in said.err and not (tmp_path / "out").exists()
    missing = evenlay("sample", coarse_job("other"), *SMALL, "--compare", tmp_path / "missing.x3p")
    assert missing.code == 2 and "there is no such file" in missing.said


def test_a_file_where_the_folder_should_be_is_refused_first(evenlay, coarse_job, tmp_path) -> None:
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    said = evenlay("sample", coarse_job(), *SMALL, "--out", tmp_path / "out" / "deeper")
    assert said.code == 2 and "is not a folder" in said.said
    assert (tmp_path / "out").read_text(encoding="utf-8") == "mine"


def test_a_nonwoven_step_is_refused_with_the_reason(evenlay, coarse_job) -> None:
    said = evenlay("sample", coarse_job(wheel="nonwoven"), *SMALL)
    assert said.code == 2 and "a web is not simulated grain by grain" in said.said


def test_under_a_stop_no_sample_is_handed_out(evenlay, coarse_job, tmp_path) -> None:
    job = coarse_job(changes={"wheel.plate_speed": "10 m/s"})
    said = evenlay("sample", job, *SMALL, "--out", tmp_path / "out")
    assert said.code == 4 and "A stop stands" in said.out and not (tmp_path / "out").exists()


@pytest.mark.slow
def test_stopped_half_way_the_old_files_stay(evenlay, coarse_job, tmp_path, monkeypatch, everything_in) -> None:
    job, out = coarse_job(), tmp_path / "out"
    assert evenlay("sample", job, *SMALL, "--out", out).code == 0
    before = everything_in(out)

    def pressed(sampled):
        raise KeyboardInterrupt

    said = evenlay("sample", job, "--size", "12 mm x 6 mm", "--out", out, draw=pressed)
    assert said.code == 2 and "Stopped; nothing was written." in said.err
    assert everything_in(out) == before
    from evenlay.cli import sample_run

    class Stopping:
        def __enter__(self):
            return lambda done, total: done < 3

        def __exit__(self, *about):
            return False

    monkeypatch.setattr(sample_run, "progress_bar", lambda words: Stopping())
    said = evenlay("sample", job, "--size", "12 mm x 6 mm", "--out", out)
    assert said.code == 2 and "Stopped; nothing was written." in said.err
    assert everything_in(out) == before


@pytest.mark.slow
def test_settings_that_were_left_open_are_chosen_once_and_held_for_all_variants(evenlay, coarse_job, tmp_path) -> None:
    job = coarse_job(settings={"feed": "choose"}, changes={"limits.feed_min": "120 mm/s", "limits.feed_max": "125 mm/s"})
    said = evenlay("sample", job, *SMALL, "--out", tmp_path / "out", "--vary", "step_over=20,30mm", "--json")
    assert said.code == 0, said.err
    one, two = (each["settings"] for each in json.loads(said.out)["samples"])
    assert one["feed"] == two["feed"] and (one["step_over"], two["step_over"]) == (0.02, 0.03)
    assert two["offsets"] == pytest.approx([1.5 * shift for shift in one["offsets"]])
