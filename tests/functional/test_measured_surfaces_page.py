"""The page with three surface files of others: drawn where they are, one sentence where they are not."""

import importlib.util
import shutil
from pathlib import Path

import numpy as np
import pytest

from evenlay.files.surfaces import write_surface
from evenlay.physics.surface_numbers.surface import Surface, trace

SCRIPT = Path(__file__).resolve().parents[2] / "examples" / "measured_surfaces.py"


@pytest.fixture(scope="module")
def script():
    spec = importlib.util.spec_from_file_location("measured_surfaces", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_without_the_files_it_says_how_to_bring_them_and_draws_nothing(script, tmp_path):
    said = script.measured_surfaces(tmp_path / "page.png", cache=tmp_path)
    assert said == script.BRING
    assert "make real-inputs" in said
    assert list(tmp_path.iterdir()) == []


def test_with_one_file_missing_it_draws_nothing(script, tmp_path):
    for place in list(script.PICKED.values())[:2]:
        (tmp_path / "cache" / place).parent.mkdir(parents=True, exist_ok=True)
        write_surface(tmp_path / "cache" / place, Surface(np.zeros((3, 3)), 1e-6, 1e-6))
    assert script.measured_surfaces(tmp_path / "page.png", cache=tmp_path / "cache") == script.BRING
    assert not (tmp_path / "page.png").exists()


def test_with_the_files_it_draws_one_page_and_the_same_one_twice(script, tmp_path):
    drawn = np.random.default_rng(2)
    for place in script.PICKED.values():
        (tmp_path / "cache" / place).parent.mkdir(parents=True, exist_ok=True)
        surface = trace(drawn.normal(size=256), spacing=2e-6) if "profile" in place else Surface(drawn.normal(size=(30, 40)), 1e-6, 2e-6)
        write_surface(tmp_path / "cache" / place, surface)
    said = script.measured_surfaces(tmp_path / "page.png", cache=tmp_path / "cache")
    assert str(tmp_path / "page.png") in said
    first = (tmp_path / "page.png").read_bytes()
    assert first.startswith(b"\x89PNG")
    script.measured_surfaces(tmp_path / "page.png", cache=tmp_path / "cache")
    assert (tmp_path / "page.png").read_bytes() == first


@pytest.mark.skipif(not (SCRIPT.parent.parent / ".cache" / "real-inputs").is_dir(), reason="make real-inputs brings the files")
def test_the_files_that_the_page_picks_are_those_that_are_brought(script):
    for place in script.PICKED.values():
        assert (script.CACHE / place).is_file(), place


def test_the_invented_traces_of_the_example_are_those_that_their_script_makes(tmp_path, monkeypatch):
    spec = importlib.util.spec_from_file_location("invented_traces", SCRIPT.with_name("invented_traces.py"))
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    kept = module.FOLDER
    monkeypatch.setattr(module, "FOLDER", tmp_path)
    module.main()
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == ["trace-across.csv", "trace-after-nonwoven.csv", "trace-along.csv"]
    for name in made:
        ours, theirs = (np.loadtxt(folder / name, skiprows=4) for folder in (tmp_path, kept))
        # whole nanometres: another release of the array library may round one the other way
        assert np.abs(ours - theirs).max() <= 1
        assert "# source = invented" in (kept / name).read_text(encoding="utf-8")
    shutil.rmtree(tmp_path)
