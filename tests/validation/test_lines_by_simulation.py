"""Second way, no published source: lines in closed form against lines grain by grain, as kept; some of it made again at every run."""

from __future__ import annotations

import importlib.util
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
KEPT = tomllib.loads((ROOT / "tests" / "reference" / "lines_by_simulation.toml").read_text(encoding="utf-8"))["trial"]
CLAIMED = [trial for trial in KEPT if trial["claimed"]]
NEAR = [trial for trial in CLAIMED if "MPa" not in trial["name"]]
"""Set-ups near 0.1 MPa and 7 MPa, where texture lines are claimed."""


def script():
    spec = importlib.util.spec_from_file_location("closed_form_against_simulation", ROOT / "examples" / "closed_form_against_simulation.py")
    made = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = made
    spec.loader.exec_module(made)
    return made


def mean_and_error(trial, which: str) -> tuple[np.ndarray, np.ndarray]:
    belts = np.array(trial[which])
    return belts.mean(0), belts.std(0, ddof=1) / np.sqrt(len(belts))


@pytest.mark.parametrize("trial", CLAIMED, ids=lambda trial: trial["name"])
def test_relief_lines_lie_within_fifteen_per_cent_with_nothing_fitted(trial) -> None:
    """Pitches of 1 mm and more, of 2 mm and more where grooves are deep; two standard errors of the belts beside."""
    mean, error = mean_and_error(trial, "relief")
    first = 1 if trial in NEAR else 2
    assert np.all((np.abs(mean - 1.0) <= 0.15 + 2.0 * error)[first:]), (mean, error)


def test_relief_lines_lie_within_fifteen_per_cent_band_by_band_over_all_set_ups() -> None:
    mean = np.mean([mean_and_error(trial, "relief")[0] for trial in CLAIMED], axis=0)
    print("relief by band:", mean.round(2))
    assert np.all(np.abs(mean[1:] - 1.0) <= 0.15)


@pytest.mark.parametrize("trial", NEAR, ids=lambda trial: trial["name"])
def test_texture_lines_lie_within_a_quarter_where_they_are_claimed(trial) -> None:
    """Pitches of 0.5 to 10 mm; two standard errors beside. The width of a cell and the memory by grain are fitted."""
    mean, error = mean_and_error(trial, "texture")
    assert np.all(np.abs(mean - 1.0)[:4] <= 0.25 + 2.0 * error[:4]), (mean, error)


def test_texture_lines_lie_within_a_quarter_band_by_band_over_all_set_ups_where_they_are_claimed() -> None:
    mean = np.mean([mean_and_error(trial, "texture")[0] for trial in NEAR], axis=0)
    print("texture by band:", mean.round(2))
    assert np.all(np.abs(mean[:4] - 1.0) <= 0.25)


def test_beyond_the_claim_texture_lines_stay_within_the_band_that_the_job_file_gives_their_gain() -> None:
    for trial in CLAIMED:
        mean, error = mean_and_error(trial, "texture")
        overall = float(np.mean(mean[:4]))
        assert 0.7 - np.mean(error[:4]) <= overall <= 1.6 + np.mean(error[:4]), trial["name"]


@pytest.mark.parametrize("name", ["1 round, shifted", "heavy, then a tenth of it 2 mm beside", "P180"])
def test_what_is_kept_is_what_the_program_makes(name: str) -> None:
    """Two belts of each; the sums of different processors part in the fourth digit."""
    made = script()
    trial = next(one for one in made.TRIALS if one.name == name)
    kept = next(one for one in KEPT if one["name"] == name)
    for which, found in zip(("relief", "texture"), made.ratios(trial, range(1, 3), 2), strict=True):
        np.testing.assert_allclose(found, np.array(kept[which])[:2], rtol=0.02, atol=0.01)


def test_every_set_up_of_the_script_is_kept() -> None:
    assert [one.name for one in script().TRIALS] == [trial["name"] for trial in KEPT]
    assert [one.claimed for one in script().TRIALS] == [trial["claimed"] for trial in KEPT]
