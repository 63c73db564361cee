"""The wheel record: arrays, defaults and refusals."""

from __future__ import annotations

from math import inf, nan

import numpy as np
import pytest

from evenlay.physics.contact.kinds import KINDS, NEEDED, Wheel, over_draws


def drum(**change: object) -> Wheel:
    values = {"kind": "pneumatic", "diameter": 0.15, "width": 0.05, "inflation": 30e3, "casing_stiffness": 2e7, "edge_ramp": 0.005}
    return Wheel(**(values | change))


def test_numbers_become_arrays_and_what_is_not_used_is_zero() -> None:
    assert drum().inflation.shape == (1,)
    assert drum().modulus[0] == 0.0
    assert drum(inflation=np.array([1e4, 2e4])).inflation.shape == (2,)


def test_every_kind_says_what_it_needs() -> None:
    assert set(NEEDED) == set(KINDS)
    for kind in KINDS:
        with pytest.raises(ValueError, match=f"of a {kind} wheel"):
            Wheel(kind=kind, diameter=0.15, width=0.05)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"kind": "square"}, "kind"),
        ({"diameter": 0.0}, "diameter"),
        ({"width": nan}, "width"),
        ({"crown_curvature": -1.0}, "crown"),
        ({"inflation": -1.0}, "inflation"),
        ({"inflation": np.array([1.0, nan])}, "inflation"),
        ({"edge_ramp": inf}, "edge_ramp"),
        ({"inflation": np.ones((2, 2))}, "inflation"),
    ],
)
def test_values_out_of_range_are_refused(change: dict[str, object], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        drum(**change)


def test_draws_of_wheel_and_pass_go_together() -> None:
    force, speed, tilt = over_draws(drum(inflation=np.array([1e4, 2e4, 3e4])), force=40.0, speed=np.array([18.0]))
    assert force.shape == speed.shape == tilt.shape == (3,)


def test_different_numbers_of_draws_are_refused() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        over_draws(drum(inflation=np.array([1e4, 2e4, 3e4])), force=np.array([1.0, 2.0]), speed=18.0)


@pytest.mark.parametrize("change", [{"force": 0.0}, {"force": nan}, {"speed": -1.0}, {"speed": inf}, {"tilt": 2.0}, {"tilt": nan}])
def test_a_pass_out_of_range_is_refused(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="force > 0"):
        over_draws(drum(), **({"force": 40.0, "speed": 18.0} | change))
