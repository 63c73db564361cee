"""The reference solver of a bonded layer: limits, scaling, and a Chebyshev series as a second way."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import jv

from evenlay.physics.contact.layer import layer_compliance, layer_contact, layer_contact_at, layer_kernel


def panels(end: float, count: int) -> tuple[np.ndarray, np.ndarray]:
    node, weight = np.polynomial.legendre.leggauss(80)
    edges = np.linspace(0.0, end, count + 1)
    half = 0.5 * np.diff(edges)[:, None]
    return (edges[:-1, None] + half * (node + 1)).ravel(), (half * weight).ravel()


def series_contact(a: float, nu: float, terms: int = 14) -> tuple[float, float, float]:
    """q, p0 and flattening for half-width ``a`` (R = E = b = 1): p = sqrt(1 - s^2) sum c_j U_2j(s), slopes matched at points.

    The half-plane part of the slope is known in closed form (a sum of T_2j+1); the layer's part dies out fast in k.
    """
    order = 2 * np.arange(terms) + 1
    s = np.cos(np.pi * (np.arange(terms) + 0.5) / (2 * terms + 1))
    front = 2 * (1 - nu**2)
    k, weight = panels(30.0, 20)
    transform = np.pi * a * order * (-1.0) ** np.arange(terms) * jv(order, k[:, None] * a) / (k[:, None] * a)
    rest = (layer_compliance(k, poisson=nu) - front / k) * k * weight
    slope = -front * np.cos(order * np.arccos(s)[:, None])
    slope -= np.sum(rest[:, None, None] * np.sin(k[:, None] * a * s)[:, :, None] * transform[:, None, :], axis=0) / np.pi
    c = np.linalg.solve(slope, -a * s)
    q_k, q_w = panels(4000.0, 400)
    part = np.zeros_like(q_k)
    for j in range(terms):
        part += c[j] * np.pi * a * order[j] * (-1.0) ** j * jv(order[j], q_k * a) / (q_k * a)
    depth = float(np.sum(layer_compliance(q_k, poisson=nu) * part * q_w)) / np.pi
    return a * np.pi / 2 * c[0], float(np.sum(c * (-1.0) ** np.arange(terms))), depth


@pytest.mark.parametrize(("a", "nu"), [(0.1, 0.5), (0.5, 0.49), (1.0, 0.5), (2.0, 0.3), (4.0, 0.45)])
def test_a_chebyshev_series_gives_the_same_contact(a: float, nu: float) -> None:
    load, peak, depth = series_contact(a, nu)
    found = layer_contact_at(half_width=a, radius=1.0, modulus=1.0, poisson=nu, thickness=1.0)
    assert found.load_per_width == pytest.approx(load, rel=2e-3)
    assert found.peak_pressure == pytest.approx(peak, rel=2e-3)
    assert found.flattening == pytest.approx(depth, rel=2e-3)


def test_compliance_of_long_waves_is_thickness_over_confined_modulus() -> None:
    nu = 0.3
    confined = (1 - nu) / ((1 + nu) * (1 - 2 * nu))
    assert layer_compliance(np.array([2e-3]), poisson=nu)[0] == pytest.approx(1 / confined, rel=1e-5)


def test_an_incompressible_layer_yields_to_long_waves_with_their_square() -> None:
    two = layer_compliance(np.array([0.01, 0.02]), poisson=0.5)
    assert two[0] == pytest.approx(0.01**2, rel=2e-3)
    assert two[1] / two[0] == pytest.approx(4.0, rel=2e-3)


def test_compliance_of_short_waves_is_the_half_plane_and_never_overflows() -> None:
    assert layer_compliance(np.array([1e4]), poisson=0.4)[0] == pytest.approx(2 * (1 - 0.16) / 1e4)


def test_the_kernel_sums_to_the_settlement_under_an_even_pressure() -> None:
    cell = 0.01
    x = np.arange(4000) * cell
    kernel = layer_kernel(x, cell, poisson=0.3)
    assert kernel[0] + 2 * np.sum(kernel[1:]) == pytest.approx(layer_compliance(np.array([0.0]), poisson=0.3)[0], rel=1e-4)
    assert layer_kernel(np.array([50.0]), cell, poisson=0.3)[0] == pytest.approx(0.0, abs=1e-10)


def test_results_scale_with_modulus_and_size() -> None:
    one = layer_contact(flattening=1.0, radius=1.0, modulus=1.0, poisson=0.49, thickness=1.0, points=256)
    two = layer_contact(flattening=1e-3, radius=0.1, modulus=2e6, poisson=0.49, thickness=0.01, points=256)
    assert two.half_width == pytest.approx(0.01 * one.half_width, rel=1e-9)
    assert two.peak_pressure == pytest.approx(2e6 * 0.1 * one.peak_pressure, rel=1e-9)
    assert two.load_per_width == pytest.approx(2e6 * 1e-3 * one.load_per_width, rel=1e-9)


def test_more_points_change_little() -> None:
    coarse = layer_contact(flattening=1.0, radius=1.0, modulus=1.0, poisson=0.5, thickness=1.0, points=512)
    fine = layer_contact(flattening=1.0, radius=1.0, modulus=1.0, poisson=0.5, thickness=1.0, points=4096)
    assert coarse.load_per_width == pytest.approx(fine.load_per_width, rel=2e-3)
    assert coarse.half_width == pytest.approx(fine.half_width, rel=2e-3)


def test_without_flattening_nothing_touches() -> None:
    found = layer_contact(flattening=0.0, radius=1.0, modulus=1.0, poisson=0.3, thickness=1.0)
    assert (found.half_width, found.peak_pressure, found.load_per_width, found.flattening) == (0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    "change",
    [
        {"flattening": -1.0},
        {"flattening": float("nan")},
        {"radius": 0.0},
        {"modulus": float("inf")},
        {"poisson": 0.51},
        {"poisson": float("nan")},
        {"thickness": -1.0},
        {"points": 10},
        {"flattening": 500.0},
    ],
)
def test_values_out_of_range_are_refused(change: dict[str, float]) -> None:
    good = {"flattening": 1.0, "radius": 1.0, "modulus": 1.0, "poisson": 0.4, "thickness": 1.0}
    with pytest.raises(ValueError, match=r"layer"):
        layer_contact(**(good | change))


@pytest.mark.parametrize("half", [0.0, -1.0, float("nan"), 17.0])
def test_a_half_width_out_of_range_is_refused(half: float) -> None:
    with pytest.raises(ValueError, match="half_width"):
        layer_contact_at(half_width=half, radius=1.0, modulus=1.0, poisson=0.4, thickness=1.0)
