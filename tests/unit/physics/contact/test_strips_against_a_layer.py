"""Strips that do not help each other, against the whole layer in three dimensions (same exact compliance, products by 2-D FFT)."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.kinds import Wheel
from evenlay.physics.contact.layer import layer_compliance
from evenlay.physics.contact.wheels import pass_contact

MODULUS, RADIUS, POINTS = 1.7e6, 0.075, 160


def whole_layer(crown: float, nu: float, thickness: float, depth: float) -> tuple[float, float, float, float]:
    """Force, peak pressure, patch length in the middle and half-depth width of a crowned wheel on its bonded cover."""
    size = (0.06 + 6 * thickness, 3 * np.sqrt(2 * depth * crown) + 6 * thickness)
    x, y = ((np.arange(POINTS) + 0.5) / POINTS * length - length / 2 for length in size)
    k = [2 * np.pi * np.fft.fftfreq(POINTS, size[0] / POINTS), 2 * np.pi * np.fft.rfftfreq(POINTS, size[1] / POINTS)]
    compliance = layer_compliance(np.hypot(k[0][:, None], k[1][None, :]) * thickness, poisson=nu) * thickness / MODULUS
    gap_free = depth - x[:, None] ** 2 / (2 * RADIUS) - y[None, :] ** 2 / (2 * crown)

    def settle(pressure: np.ndarray) -> np.ndarray:
        return np.fft.irfft2(compliance * np.fft.rfft2(pressure), s=pressure.shape)

    pressure = np.maximum(gap_free, 0.0) * MODULUS / thickness
    step, last, restart = np.zeros_like(pressure), 1.0, True
    for _ in range(300):
        touching = pressure > 0.0
        residual = np.where(touching, settle(pressure) - gap_free, 0.0)
        size_now = float(np.sum(residual**2))
        step = np.where(touching, residual + (0.0 if restart else size_now / last) * step, 0.0)
        last = size_now
        length = float(np.sum(residual * step) / np.sum(step * settle(step)))
        before, pressure = pressure, np.maximum(pressure - length * step, 0.0)
        full = settle(pressure) - gap_free
        joining = (pressure <= 0.0) & (full < 0.0)
        restart = bool(np.any(joining) or np.any(touching & (pressure <= 0.0)))
        pressure = np.where(joining, pressure - length * full, pressure)
        if np.max(np.abs(pressure - before)) < 1e-6 * np.max(pressure):
            break
    dx, dy = x[1] - x[0], y[1] - y[0]
    load = np.sum(pressure, axis=0) * dx
    return (
        float(np.sum(load) * dy),
        float(np.max(pressure)),
        float(np.sum(pressure[:, POINTS // 2] > 0.0) * dx),
        float(np.ptp(y[load > np.max(load) / 2])),
    )


@pytest.mark.parametrize(("crown", "nu", "thickness"), [(2.0, 0.49, 0.015), (1.0, 0.49, 0.015), (0.5, 0.40, 0.015)])
def test_strips_come_within_a_tenth_of_the_whole_layer(crown: float, nu: float, thickness: float) -> None:
    # contact 3 to 5 cover thicknesses wide; coarser than this the strips are not trusted
    wheel = Wheel(
        kind="solid",
        diameter=2 * RADIUS,
        width=0.2,
        crown_curvature=1 / crown,
        modulus=MODULUS,
        poisson=nu,
        cover_thickness=thickness,
        edge_ramp=0.001,
    )
    strips = pass_contact(wheel, force=40.0, speed=0.0)
    depth = float(strips.flattening[0])
    for _ in range(4):
        force, peak, patch, wide = whole_layer(crown, nu, thickness, depth)
        depth *= (40.0 / force) ** 0.5
    assert strips.flattening[0] == pytest.approx(depth, rel=0.05)
    assert strips.peak_pressure[0] == pytest.approx(peak, rel=0.06)
    assert strips.patch_length[0] == pytest.approx(patch, rel=0.08)  # read in cells of 1 mm
    assert strips.profile.half_depth_width[0] == pytest.approx(wide, rel=0.09)
