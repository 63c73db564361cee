"""A bench for the tests of deciding: a flat stainless face and a pneumatic wheel, everything uncertain as on day zero."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from evenlay.decisions.evaluate import Bounds, workbench
from evenlay.decisions.eye import eye_of, light_of
from evenlay.decisions.situation import UNKNOWN_NAMES, Settings, Setup, draw_unknowns, state_of
from evenlay.quantities.known import Value

DAY_ZERO = {
    "removal_coefficient": (1e-11, 3.3e-12, 3e-11),
    "friction": (0.4, 0.3, 0.6),
    "modulus": (5e6, 1e6, 30e6),
    "poisson": (0.49, 0.48, 0.499),
    "cover_thickness": (5e-3, 3e-3, 10e-3),
    "belt_tension": (1.5e3, 0.5e3, 4e3),
    "casing_stiffness": (20e6, 5e6, 100e6),
    "inflation": (50e3, 45e3, 55e3),
    "edge_ramp": (5e-3, 2e-3, 12e-3),
    "closing_pressure": (20e3, 10e3, 40e3),
    "grip_friction": (0.4, 0.25, 0.6),
    "grain_density": (14.9e6, 5e6, 45e6),
    "grain_height_sd": (16e-6, 11e-6, 25e-6),
    "grain_tip_radius": (20e-6, 10e-6, 41e-6),
    "roughness": (0.8e-6, 0.5e-6, 1.6e-6),
    "texture_memory": (1.2e-6, 0.8e-6, 1.6e-6),
    "groove_coefficient": (2.3e-10, 1.2e-10, 3.5e-10),
    "line_gain": (1.0, 0.7, 1.4),
    "pressure_exponent": (0.1, 0.05, 0.2),
    "feed_exponent": (-0.01, -0.04, 0.0),
    "slope_across": (0.09, 0.053, 0.153),
    "slope_along": (0.06, 0.035, 0.102),
    "facet_spread": (0.03, 0.01, 0.06),
    "luminance_floor": (0.05, 0.02, 0.1),
    "unrepeated_share": (0.2, 0.0, 0.4),
    "incoming_slope": (0.7, 0.15, 2.0),
    "joint_step": (30e-6, 0.0, 80e-6),
    "wheel_runout": (50e-6, 20e-6, 100e-6),
    "path_error": (0.5e-3, 0.2e-3, 2e-3),
    "belt_wander": (1e-3, 0.2e-3, 2e-3),
    "hand_wander": (0.0, 0.0, 0.0),
    "force_error": (2.0, 0.5, 5.0),
    "feed_dip": (0.1, 0.0, 0.3),
    "chatter_share": (0.03, 0.01, 0.1),
    "eye": (1.0, 0.667, 2.8),
}
"""Centre, 5 % and 95 % points of every unknown. Guesses of day zero. [SI]"""

SETUP = Setup(
    wheel_kind="pneumatic",
    wheel_diameter=0.150,
    contact_width=0.050,
    crown_curvature=0.0,
    belt_mass=0.8,
    rubber_density=1100.0,
    rubber_free_thickness=0.02,
    rubber_mean_radius=0.06,
    belt_length=1.5,
    face_along=0.42,
    face_across=0.30,
    curvature_along=0.0,
    curvature_across=0.0,
    free_edges=("start", "end", "left", "right"),
    distance=0.6,
    luminance=150.0,
    lamp_tilt=math.nan,
    dither=0.0,
    dither_length=0.2,
    run_on=0.05,
    turn_time=1.5,
    feed_dip_length=0.02,
    chatter_frequency=60.0,
    device_bandwidth=10.0,
)

NO_BOUNDS = Bounds(
    rotation=math.inf,
    removal=math.inf,
    roughness=math.inf,
    sixteen_percent=True,
    power=math.inf,
    torque=math.inf,
    free_rotation=math.nan,
    stall_torque=math.nan,
    target=1.0,
    probability=0.9,
    eye_counts=False,
)

SETTINGS = Settings(force=40.0, speed=18.0, feed=0.12, step_over=0.025, offsets=(0.0, 0.0125), taper=0.6)


@dataclass(frozen=True)
class World:
    """What the tests build their situations from; each takes what differs from day zero."""

    setup: Setup = SETUP
    settings: Settings = SETTINGS
    bounds: Bounds = NO_BOUNDS

    @staticmethod
    def values(**changes):
        """Every unknown as a value; a number given stands without a band, a triple with it."""
        rows = {**DAY_ZERO, **{name: value if isinstance(value, tuple) else (value,) * 3 for name, value in changes.items()}}
        assert set(rows) == set(UNKNOWN_NAMES)
        return {name: Value(*rows[name], "guess", "test") for name in UNKNOWN_NAMES}

    def draws(self, count=31, **changes):
        return draw_unknowns(self.values(**changes), count=count, seed=1)

    def bench(self, count=31, setup=None, bounds=None, **changes):
        drawn = self.draws(count, **changes)
        return workbench(setup or self.setup, drawn.unknowns, drawn.weights, bounds or self.bounds)

    def situation(self, count=31, setup=None, settings=None, **changes):
        """State and eye."""
        unknowns = self.draws(count, **changes).unknowns
        where = setup or self.setup
        state = state_of(where, unknowns, settings or self.settings)
        return state, eye_of(state, light_of(where, unknowns))

    def with_setup(self, **changes):
        return replace(self.setup, **changes)

    def with_bounds(self, **changes):
        return replace(self.bounds, **changes)


@pytest.fixture(scope="session")
def world():
    return World()


@pytest.fixture(scope="session")
def same_bytes():
    """Compare two trees of arrays, numbers and records byte by byte."""

    def compare(one, other):
        if isinstance(one, np.ndarray):
            return one.tobytes() == other.tobytes()
        if isinstance(one, dict):
            return list(one) == list(other) and all(compare(one[key], other[key]) for key in one)
        if isinstance(one, tuple | list):
            return len(one) == len(other) and all(compare(a, b) for a, b in zip(one, other, strict=True))
        if hasattr(one, "__dataclass_fields__"):
            return all(compare(getattr(one, name), getattr(other, name)) for name in one.__dataclass_fields__)
        return one == other or (one != one and other != other)

    return compare
