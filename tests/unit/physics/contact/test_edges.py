"""The guessed ramp laws: their reference points and directions."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.edges import edge_ramp
from evenlay.physics.contact.kinds import Wheel

RUBBER = {"modulus": 1.69e6, "poisson": 0.49, "cover_thickness": 0.010}
OPEN = {"rubber_density": 1200.0, "rubber_free_thickness": 0.015, "rubber_mean_radius": 0.065, "grip_friction": 0.4}


def ramp(kind: str, speed: float = 18.0, **values: float) -> float:
    return float(edge_ramp(Wheel(kind=kind, diameter=0.15, width=0.05, edge_ramp=0.005, **values), speed=speed)[0])


def test_at_reference_conditions_the_ramp_is_the_stated_one() -> None:
    assert ramp("pneumatic", inflation=50e3) == pytest.approx(0.005)
    assert ramp("solid", **RUBBER) == pytest.approx(0.005)
    assert ramp("nonwoven", modulus=3e5, cover_thickness=0.010) == pytest.approx(0.005)
    assert ramp("slack", belt_tension=1000.0) == ramp("platen", **RUBBER) == 0.005
    turning = (50e3 / (1200.0 * 0.015 * 0.065)) ** 0.5 * 0.075
    assert ramp("expander", speed=turning, **RUBBER, **OPEN) == pytest.approx(0.005)


def test_less_inflation_gives_a_softer_edge() -> None:
    assert ramp("pneumatic", inflation=15e3) == pytest.approx(0.005 * (70 / 35) ** 0.5)


def test_a_softer_or_thicker_cover_gives_a_softer_edge() -> None:
    assert ramp("solid", **(RUBBER | {"modulus": 0.8e6})) > 0.005
    assert ramp("solid", **(RUBBER | {"cover_thickness": 0.020})) > 0.005


def test_an_expander_hardens_its_edge_with_speed() -> None:
    assert ramp("expander", speed=25.0, **RUBBER, **OPEN) < ramp("expander", speed=12.0, **RUBBER, **OPEN)


def test_the_wheel_itself_is_not_touched() -> None:
    wheel = Wheel(kind="slack", diameter=0.15, width=0.05, edge_ramp=np.array([0.005]), belt_tension=1.0)
    edge_ramp(wheel, speed=1.0)[0] = 9.0
    assert wheel.edge_ramp[0] == 0.005
