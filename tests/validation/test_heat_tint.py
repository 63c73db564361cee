"""Heat colours of 18Cr-8Ni stainless and of carbon steel (association table; Celsius from memory, Fahrenheit read)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from evenlay.data import load
from evenlay.physics.tint import ZERO_CELSIUS, TintScale, tint_colour, tint_remark, tint_temperature
from evenlay.quantities.units import parse_quantity

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "heat_tint.toml").read_text(encoding="utf-8"))


def shipped(metal: str) -> TintScale:
    scale = load("tint")[metal]
    kelvin = tuple(parse_quantity(knot["at"], "temperature") for knot in scale["knots"])
    return TintScale(scale["basis"], scale["source"], kelvin, tuple(knot["colour"] for knot in scale["knots"]))


@pytest.mark.parametrize("metal", ["stainless", "carbon steel"])
def test_every_knot_is_found_both_ways(metal: str) -> None:
    scale = shipped(metal)
    assert list(scale.colours) == TABLE[metal]["colour"]
    for colour, celsius in zip(TABLE[metal]["colour"], TABLE[metal]["celsius"], strict=True):
        assert tint_colour(temperature=celsius + ZERO_CELSIUS, scale=scale) == colour
        assert tint_temperature(colour=colour, scale=scale) - ZERO_CELSIUS == pytest.approx(celsius)


def test_the_two_columns_of_the_source_agree_but_for_three_rows() -> None:
    """Check of the source against itself: three rows are 7 to 9 degrees apart, as printed."""
    far = {}
    for colour, celsius, fahrenheit in zip(*(TABLE["stainless"][key] for key in ("colour", "celsius", "fahrenheit")), strict=True):
        off = (fahrenheit - 32.0) / 1.8 - celsius
        if abs(off) > TABLE["tolerance_fahrenheit"]:
            far[colour] = round(off)
    assert far == {"brown": 9, "purple brown": 7, "dark blue": -7}


def test_300_degrees_is_pale_yellow_on_304_and_blue_on_carbon_steel() -> None:
    """The trap: the carbon-steel scale is printed as stainless in places."""
    hot = 300.0 + ZERO_CELSIUS
    assert tint_colour(temperature=hot, scale=shipped("stainless")) == "pale yellow"
    assert tint_colour(temperature=hot, scale=shipped("carbon steel")) == "blue"


def test_the_remark_states_the_one_hour_basis() -> None:
    remark = tint_remark(temperature=400.0 + ZERO_CELSIUS, scale=shipped("stainless"))
    assert remark is not None
    assert "one hour" in remark.message
    assert "brown" in remark.message
