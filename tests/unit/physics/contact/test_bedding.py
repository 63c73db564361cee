"""The fast bedding law against the reference solver it was fitted to, and its own laws."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.bedding import (
    PENETRATION_RANGE,
    STATED_ERROR,
    bonded_cover,
    flattening_for,
    strip_contact,
    strip_half_width,
    strip_loads,
    strip_peak_pressure,
)
from evenlay.physics.contact.layer import layer_contact_at

PLACES = [(a, nu) for a in (0.05, 0.12, 0.3, 0.7, 1.3, 2.7, 5.5, 8.0) for nu in (0.30, 0.37, 0.44, 0.475, 0.49, 0.497, 0.50)]


@pytest.mark.parametrize(("a", "nu"), PLACES)
def test_the_law_lies_within_its_stated_error_of_the_reference(a: float, nu: float) -> None:
    reference = layer_contact_at(half_width=a, radius=1.0, modulus=1.0, poisson=nu, thickness=1.0)
    cover = bonded_cover(modulus=1.0, poisson=nu, thickness=1.0)
    depth = np.array([reference.flattening])
    found = strip_contact(cover, flattening=depth, radius=1.0)
    assert found.load_per_width[0] == pytest.approx(reference.load_per_width, rel=STATED_ERROR)
    assert found.half_width[0] == pytest.approx(a, rel=STATED_ERROR)
    assert strip_peak_pressure(cover, flattening=depth, radius=1.0)[0] == pytest.approx(reference.peak_pressure, rel=STATED_ERROR)


def rubber() -> object:
    return bonded_cover(modulus=np.array([1e6, 3e6, 9e6]), poisson=np.array([0.49, 0.5, 0.3]), thickness=np.array([0.01, 0.02, 0.005]))


def test_the_inverse_gives_back_the_load() -> None:
    depth = flattening_for(rubber(), load_per_width=np.array([800.0, 3000.0, 0.0]), radius=0.075)
    found = strip_contact(rubber(), flattening=depth, radius=0.075)
    assert found.load_per_width == pytest.approx(np.array([800.0, 3000.0, 0.0]), rel=1e-9)
    assert depth[2] == 0.0


def test_stiffness_is_the_slope_of_the_load() -> None:
    depth, step = np.array([1e-4, 5e-4, 2e-4]), 1e-6
    up = strip_loads(rubber(), flattening=depth * (1 + step), radius=0.075)
    down = strip_loads(rubber(), flattening=depth * (1 - step), radius=0.075)
    found = strip_contact(rubber(), flattening=depth, radius=0.075)
    assert found.stiffness == pytest.approx((up - down) / (2 * step * depth), rel=1e-6)
    wide = strip_half_width(rubber(), flattening=depth * (1 + step), radius=0.075)
    narrow = strip_half_width(rubber(), flattening=depth * (1 - step), radius=0.075)
    assert found.widening == pytest.approx((wide - narrow) / (2 * step * depth), rel=1e-6)


def test_load_and_half_width_alone_are_those_of_the_whole() -> None:
    depth = np.array([[1e-7, 1e-4, 5e-4], [0.0, -1e-3, 1e-2], [1e-3, 2e-3, 1e-6]])
    whole = strip_contact(rubber(), flattening=depth, radius=0.075)
    assert np.array_equal(strip_loads(rubber(), flattening=depth, radius=0.075), whole.load_per_width)
    assert np.array_equal(strip_half_width(rubber(), flattening=depth, radius=0.075), whole.half_width)
    assert whole.load_per_width[1, 0] == whole.load_per_width[1, 1] == 0.0
    assert whole.stiffness[1, 0] == whole.half_width[1, 1] == 0.0
    assert strip_peak_pressure(rubber(), flattening=depth, radius=0.075)[1, 0] == 0.0


@pytest.mark.parametrize("end", PENETRATION_RANGE)
def test_beyond_its_range_the_law_goes_on_without_a_jump(end: float) -> None:
    cover = bonded_cover(modulus=1.0, poisson=0.49, thickness=1.0)
    at = end * np.array([[0.5, 0.999999, 1.0, 1.000001, 2.0]])
    found = strip_contact(cover, flattening=at, radius=1.0)
    assert np.all(np.diff(found.load_per_width[0]) > 0.0)
    assert np.all(np.diff(found.half_width[0]) > 0.0)
    assert found.load_per_width[0, 1] == pytest.approx(found.load_per_width[0, 3], rel=1e-4)
    power = np.log(found.load_per_width[0, 4] / found.load_per_width[0, 0]) / np.log(4.0)
    assert 1.0 < power < 2.6


def test_a_harder_or_thinner_cover_carries_more() -> None:
    depth = np.array([3e-4, 3e-4, 3e-4])
    cover = bonded_cover(modulus=np.array([1e6, 2e6, 1e6]), poisson=0.49, thickness=np.array([0.01, 0.01, 0.005]))
    load = strip_loads(cover, flattening=depth, radius=0.075)
    assert load[1] == pytest.approx(2 * load[0])
    assert load[2] > load[0]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"modulus": 0.0}, "modulus"),
        ({"modulus": float("nan")}, "modulus"),
        ({"thickness": float("inf")}, "thickness"),
        ({"poisson": 0.2}, "Poisson"),
        ({"poisson": float("nan")}, "Poisson"),
    ],
)
def test_covers_out_of_range_are_refused(change: dict[str, float], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        bonded_cover(**({"modulus": 1e6, "poisson": 0.49, "thickness": 0.01} | change))


@pytest.mark.parametrize("load", [-1.0, float("nan"), float("inf")])
def test_a_load_out_of_range_is_refused(load: float) -> None:
    with pytest.raises(ValueError, match="load_per_width"):
        flattening_for(rubber(), load_per_width=load, radius=0.1)
