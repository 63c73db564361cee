"""Paper: Gent, Rubber Chemistry and Technology 31 (1958) 896, modulus from Shore A (read); log-linear conversion (read)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from evenlay.physics.contact.elastic import shore_a_modulus, shore_a_modulus_log_linear

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "contact-worked.toml").read_text())["shore"]


@pytest.mark.parametrize("row", TABLE["rows"], ids=lambda row: f"{row[0]:g} Shore A")
def test_both_conversions_meet_their_tables(row: list[float]) -> None:
    hardness, gent, log_linear = row
    assert 1e-6 * shore_a_modulus(hardness) == pytest.approx(gent, rel=TABLE["tolerance"])
    assert 1e-6 * shore_a_modulus_log_linear(hardness) == pytest.approx(log_linear, rel=TABLE["tolerance"])


def test_the_two_conversions_differ_as_stated() -> None:
    ratios = [float(shore_a_modulus(row[0]) / shore_a_modulus_log_linear(row[0])) for row in TABLE["rows"]]
    assert min(ratios) == pytest.approx(0.53, abs=0.01)
    assert max(ratios) == pytest.approx(1.08, abs=0.01)


def test_the_log_linear_conversion_uses_ten_not_e() -> None:
    # a popular page uses e with the same constants and gets 6.99 MPa at 110 Shore A instead of 88 MPa
    assert 1e-6 * shore_a_modulus_log_linear(90.0) > 25.0
