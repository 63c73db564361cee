"""Machinery's Handbook 31, belt speeds and wheel hardness (handbook, read): shipped rows, and what disagrees with them."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from evenlay.data import load
from evenlay.physics.speeds import SpeedRange, ranges_left, rim_speed, speed_bounds
from evenlay.quantities.units import parse_quantity

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "belt_speeds.toml").read_text(encoding="utf-8"))


def rows(metal: str, *, source: str = "machinerys-handbook-31") -> list[dict[str, Any]]:
    return [row for row in load("belts")["speed"] if row["metal"] == metal and row["source"].startswith(source)]


def as_range(row: dict[str, Any]) -> SpeedRange:
    return SpeedRange(row["metal"], parse_quantity(row["low"], "speed"), parse_quantity(row["high"], "speed"), row["source"])


@pytest.mark.parametrize("printed", TABLE["row"], ids=lambda row: f"{row['metal']}-{row['work']}")
def test_the_shipped_row_is_the_printed_one(printed: dict[str, Any]) -> None:
    row = next(row for row in rows(printed["metal"]) if row["work"] == printed["work"])
    assert (row["grit"], row["shore_a"]) == (printed["grit"], printed["shore_a"])
    shipped = as_range(row)
    for got, feet, metres in zip((shipped.low, shipped.high), printed["fpm"], printed["mps"], strict=True):
        assert got == pytest.approx(feet * 0.00508, rel=1e-12)
        assert got == pytest.approx(metres, abs=TABLE["tolerance"])


def test_the_trade_chart_disagrees_and_both_are_shown() -> None:
    handbook = [as_range(row) for row in rows("stainless steel")]
    others = [as_range(row) for row in load("belts")["speed"] if row["metal"] == "stainless steel" and row not in rows("stainless steel")]
    assert others
    bounds = speed_bounds([handbook[-1], others[0]])
    assert bounds.low > bounds.high
    assert {one.source for one in ranges_left(speed=30.0, ranges=[handbook[-1], others[0]])} == {handbook[-1].source, others[0].source}


def test_a_plate_of_80_metres_a_second_on_115_mm_is_13286_turns_a_minute() -> None:
    """EN 13743 marking: rotation and rim speed of one plate (v = pi D n)."""
    assert float(rim_speed(diameter=0.115, rotation=13286 / 60)) == pytest.approx(80.0, abs=0.005)
