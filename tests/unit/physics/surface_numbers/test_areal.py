"""Slopes, area and direction of maps with closed forms."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.surface_numbers.areal import gradients, texture_direction

FORMS = tomllib.loads((Path(__file__).parents[3] / "reference" / "surface_closed_forms.toml").read_text(encoding="utf-8"))


def triangulated(z, dx, dy):
    """Developed area over the flat one, less 1, of the triangles about the middle of every cell."""
    total = 0.0
    for i in range(z.shape[0] - 1):
        for j in range(z.shape[1] - 1):
            corners = [np.array([j * dx, i * dy, z[i, j]]), np.array([(j + 1) * dx, i * dy, z[i, j + 1]])]
            corners += [np.array([(j + 1) * dx, (i + 1) * dy, z[i + 1, j + 1]]), np.array([j * dx, (i + 1) * dy, z[i + 1, j]])]
            middle = sum(corners) / 4
            for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
                total += 0.5 * np.linalg.norm(np.cross(a - middle, b - middle))
    return total / ((z.shape[0] - 1) * (z.shape[1] - 1) * dx * dy) - 1


def test_a_grating_has_the_area_of_the_elliptic_integral():
    z = np.tile(np.sin(2 * np.pi * (np.arange(32 * 4 + 6) - 3) / 32), (10, 1))
    found = gradients(z, spacing_x=1.0, spacing_y=1.0)
    # 32 points to a wave: the seven-point rule keeps all but 4e-7 of the slope
    assert found.Sdr == pytest.approx(FORMS["developed"], rel=2e-6)
    assert found.Sdq == pytest.approx(np.sqrt(2) * np.pi / 32, rel=1e-6)
    assert (found.slope_x, found.slope_y) == pytest.approx((found.Sdq, 0.0))


def test_the_printed_area_is_what_quadrature_gives():
    x = (np.arange(100_000) + 0.5) / 100_000
    length = np.mean(np.sqrt(1 + (2 * np.pi / 32 * np.cos(2 * np.pi * x)) ** 2)) - 1
    assert length == pytest.approx(FORMS["developed"], abs=5e-10)


def test_triangles_come_to_the_same_area_as_they_get_finer():
    errors = []
    for fine in (1, 2, 4):
        x = np.arange(24 * fine + 1) / fine
        z = 2 * np.sin(2 * np.pi * x / 24) * np.cos(2 * np.pi * x[:, None] / 24)
        wide = np.arange(-3, 24 * fine + 3) / fine
        smooth = gradients(
            2 * np.sin(2 * np.pi * wide / 24) * np.cos(2 * np.pi * wide[:, None] / 24), spacing_x=1 / fine, spacing_y=1 / fine
        )
        errors.append(abs(triangulated(z, 1 / fine, 1 / fine) / smooth.Sdr - 1))
    assert errors[0] > 3.5 * errors[1] > 12 * errors[2]
    assert errors[2] < 3e-3


def test_a_random_surface_with_a_bell_correlation_has_its_slope():
    rng = np.random.default_rng(1)
    lx, ly = 10.0, 20.0
    fy, fx = np.fft.fftfreq(1024)[:, None], np.fft.fftfreq(1024)[None, :]
    z = np.fft.ifft2(np.exp(-((np.pi * fx * lx) ** 2 + (np.pi * fy * ly) ** 2) / 2) * np.fft.fft2(rng.normal(size=(1024, 1024)))).real
    found = gradients(z / z.std(), spacing_x=1.0, spacing_y=1.0)
    assert found.Sdq == pytest.approx(np.sqrt(2 / lx**2 + 2 / ly**2), rel=0.03)
    assert found.slope_x / found.slope_y == pytest.approx(2.0, rel=0.03)


def test_holes_take_the_slopes_that_use_them_and_no_more():
    z = np.tile(np.arange(20.0), (20, 1))
    z[10, 10] = np.nan
    assert gradients(z, spacing_x=1.0, spacing_y=1.0).Sdq == pytest.approx(1.0)
    z[:, ::5] = np.nan
    with pytest.raises(ValueError, match="no point has seven measured points in both directions"):
        gradients(z, spacing_x=1.0, spacing_y=1.0)
    with pytest.raises(ValueError, match="at least seven rows and seven columns"):
        gradients(np.zeros((6, 9)), spacing_x=1.0, spacing_y=1.0)


@pytest.mark.parametrize("lay", np.radians([0.0, 1.5, 17.0, 45.0, 88.5, 90.0, 123.0, 179.0]))
@pytest.mark.parametrize("spacing_y", [1.0, 2.0])
def test_the_direction_of_a_grooved_surface_is_found_to_a_fraction_of_a_degree(lay, spacing_y):
    y, x = np.mgrid[0:200, 0:260] * np.array([spacing_y, 1.0])[:, None, None]
    across = -x * np.sin(lay) + y * np.cos(lay)
    z = sum(np.sin(2 * np.pi * across / wave + wave) for wave in (9.0, 11.3, 17.0, 31.0))
    found = texture_direction(z + 0.1 * np.random.default_rng(2).normal(size=z.shape), spacing_x=1.0, spacing_y=spacing_y)
    assert (found - lay + 0.5) % np.pi - 0.5 == pytest.approx(0.0, abs=np.radians(0.2))


def test_a_missing_point_counts_as_the_mean():
    y, x = np.mgrid[0:64, 0:64]
    z = np.sin(2 * np.pi * x / 8.0) + 0.0 * y
    z[5, 5] = np.nan
    found = texture_direction(z, spacing_x=1.0, spacing_y=1.0)
    assert found == pytest.approx(np.pi / 2, abs=1e-3)


@pytest.mark.parametrize("z", [np.zeros((9, 9)), np.full((9, 9), np.nan)])
def test_a_flat_has_no_direction(z):
    with pytest.raises(ValueError, match="all heights are equal: there is no direction"):
        texture_direction(z, spacing_x=1.0, spacing_y=1.0)
    with pytest.raises(ValueError, match="at least three rows and three columns"):
        texture_direction(z[:2], spacing_x=1.0, spacing_y=1.0)
