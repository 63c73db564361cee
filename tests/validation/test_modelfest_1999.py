"""Open data: ModelFest thresholds (Carney et al., Proc. SPIE 3644, 1999), stimuli 1 to 34, read."""

from __future__ import annotations

import importlib
import tomllib
import warnings
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.viewing import picture_visibility

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "modelfest.toml").read_text(encoding="utf-8"))
RUNS = ("thresholds1", "thresholds2", "thresholds3", "thresholds4")


@pytest.fixture(scope="module")
def rows() -> dict[str, tuple[float, float]]:
    """Name -> mean log10 sensitivity of the observers, and of the model."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package's own, on import and on drawing
        stimuli = importlib.import_module("stimupy.papers.modelfest")
        found = {}
        for name in stimuli.__all__[:34]:
            stimulus = getattr(stimuli, name)()
            measured = float(np.mean([np.asarray(stimulus["experimental_data"][run], dtype=float) for run in RUNS]))
            contrast = 2.0 * np.asarray(stimulus["img"], dtype=float) - 1.0
            found[name] = (measured, float(np.log10(picture_visibility(contrast, pixels_per_degree=TABLE["pixels_per_degree"]))))
    return found


def test_the_file_is_read_as_its_authors_meant(rows: dict[str, tuple[float, float]]) -> None:
    for name, value in zip(TABLE["names"], TABLE["log_sensitivity"], strict=True):
        assert rows[name][0] == pytest.approx(value, abs=1e-4)


def test_the_observer_meets_the_thresholds_of_34_stimuli(rows: dict[str, tuple[float, float]]) -> None:
    error = {name: 20.0 * (model - measured) for name, (measured, model) in rows.items()}
    rms = float(np.sqrt(np.mean(np.square(list(error.values())))))
    worst = max(error, key=lambda name: abs(error[name]))
    print(f"\nModelFest 1-34: rms {rms:.3f} dB, mean {np.mean(list(error.values())):.2f} dB, worst {worst} {error[worst]:.2f} dB")
    assert rms <= TABLE["tolerance_rms_db"]
    assert abs(error[worst]) <= TABLE["tolerance_worst_db"]


def test_lines_and_edges_are_among_the_stimuli(rows: dict[str, tuple[float, float]]) -> None:
    assert {"Edge30", "Line31"} <= set(rows)
