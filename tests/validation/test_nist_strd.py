"""Open data: NIST Statistical Reference Datasets, linear and nonlinear regression; certified values, read."""

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.evidence.least_squares import linear_fit, nonlinear_fit

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "nist-strd.toml").read_text(encoding="utf-8"))

MODELS = {
    "Misra1a": lambda b, x: b[0] * (1.0 - np.exp(-b[1] * x)),
    "Misra1b": lambda b, x: b[0] * (1.0 - (1.0 + 0.5 * b[1] * x) ** -2),
    "DanWood": lambda b, x: b[0] * x ** b[1],
    "BoxBOD": lambda b, x: b[0] * (1.0 - np.exp(-b[1] * x)),
    "Rat42": lambda b, x: b[0] / (1.0 + np.exp(b[1] - b[2] * x)),
}


def data(name):
    row = TABLE[name]
    return row, np.array(row["x"], dtype=float), np.array(row["y"], dtype=float)


def test_the_certified_tables_agree_with_their_own_residuals():
    for name, model in MODELS.items():
        row, x, y = data(name)
        assert np.sum((y - model(row["parameters"], x)) ** 2) == pytest.approx(row["squares"], rel=1e-7)
    row, x, y = data("Norris")
    residuals = y - row["parameters"][0] - row["parameters"][1] * x
    assert math.sqrt(np.sum(residuals**2) / 34) == pytest.approx(row["scatter"], rel=1e-12)


@pytest.mark.parametrize("name", ["Norris", "NoInt1", "NoInt2"])
def test_linear_fits_give_certified_parameters_deviations_and_scatter(name):
    row, x, y = data(name)
    design = np.stack([np.ones_like(x), x], axis=1) if name == "Norris" else x[:, None]
    fit = linear_fit(design, y)
    worst = np.max(np.abs(fit.parameters / row["parameters"] - 1.0))
    print(f"{name}: worst relative error of a parameter {worst:.1e}")
    assert fit.parameters == pytest.approx(row["parameters"], rel=1e-9)
    assert np.sqrt(np.diag(fit.covariance)) == pytest.approx(row["deviations"], rel=1e-9)
    assert fit.scatter == pytest.approx(row["scatter"], rel=1e-9)


@pytest.mark.parametrize("name", list(MODELS))
def test_nonlinear_fits_from_the_certified_starts_give_certified_parameters(name):
    row, x, y = data(name)
    fit = nonlinear_fit(lambda b: MODELS[name](b, x), y, np.array(row["start"]))
    worst = np.max(np.abs(fit.parameters / row["parameters"] - 1.0))
    print(f"{name}: worst relative error of a parameter {worst:.1e}")
    assert fit.converged
    assert fit.parameters == pytest.approx(row["parameters"], rel=TABLE["tolerance"])
    assert np.sum(fit.residuals**2) == pytest.approx(row["squares"], rel=1e-8)
    if "deviations" in row:
        assert np.sqrt(np.diag(fit.covariance)) == pytest.approx(row["deviations"], rel=1e-5)
