"""Robotic belt grinding of 42CrMo and of aircraft primer (two open papers of 2025, read): Preston's scaling and its trend."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.removal import mean_pass_removal

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "robotic_belt_grinding.toml").read_text(encoding="utf-8"))
RUNS, PRIMER = TABLE["belt-42crmo"], TABLE["primer"]


def scale(row: int) -> float:
    """Depth of a run but for a constant: wheel and width are the same in all three."""
    return float(
        mean_pass_removal(removal_coefficient=1.0, belt_speed=RUNS["rpm"][row], force=RUNS["force"][row], feed=RUNS["feed"][row], width=1.0)
    )


def test_the_first_run_predicts_the_optimum_within_five_per_cent() -> None:
    predicted = RUNS["depth"][0] * scale(2) / scale(0)
    assert predicted == pytest.approx(1.893, abs=1e-3)
    assert predicted == pytest.approx(RUNS["depth"][2], rel=RUNS["tolerance"])


def test_the_run_printed_with_500_turns_a_minute_is_six_times_off_and_3000_would_do() -> None:
    printed = RUNS["depth"][0] * scale(1) / scale(0)
    assert RUNS["depth"][1] / printed == pytest.approx(6.75, abs=0.02)
    needed = RUNS["depth"][1] / RUNS["depth"][0] * 3000.0 * RUNS["force"][0] / RUNS["force"][1] * RUNS["feed"][1] / RUNS["feed"][0]
    assert 3000.0 < needed < 3500.0


def test_depth_falls_with_feed_and_flattens_above_60_millimetres_a_second() -> None:
    """Printed trend: depth falls quickly, and significantly more slowly beyond 60 mm/s; Preston's 1/f does that."""
    feed = np.linspace(0.020, 0.100, 81)
    depth = PRIMER["depth"] * PRIMER["feed"] / feed
    ours = mean_pass_removal(removal_coefficient=1e-11, belt_speed=10.0, force=PRIMER["force"], feed=feed, width=0.05)
    np.testing.assert_allclose(ours / ours[20], depth / depth[20], rtol=1e-12)
    slope = -np.gradient(ours, feed)
    assert np.all(slope > 0.0)
    assert np.mean(slope[feed > PRIMER["knee"]]) < 0.35 * np.mean(slope[feed < PRIMER["knee"]])


def test_depth_grows_with_force_and_rotation() -> None:
    usual = {"removal_coefficient": 1e-11, "belt_speed": 10.0, "force": 20.0, "feed": 0.04, "width": 0.05}
    base = mean_pass_removal(**usual)
    assert mean_pass_removal(**{**usual, "force": 30.0}) > base
    assert mean_pass_removal(**{**usual, "belt_speed": 12.0}) > base


def test_depth_and_depth_rate_of_the_paper_are_five_seconds_apart() -> None:
    """Check of the source against itself."""
    assert PRIMER["depth"] / PRIMER["depth_rate"] == pytest.approx(5.0, abs=2e-3)
