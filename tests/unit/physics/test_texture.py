from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special

from evenlay.physics.texture import GrainEngagement, grain_engagement, scaled_error_complement

BASE = {"grain_density": 15e6, "height_sd": 30e-6, "tip_radius": 60e-6, "contact_modulus": 5e6 / 0.75}


def test_the_scaled_error_complement_agrees_with_a_library() -> None:
    x = np.concatenate(([0.0], np.geomspace(1e-6, 1e4, 400)))
    np.testing.assert_allclose(scaled_error_complement(x), special.erfcx(x), rtol=1.3e-7)
    with pytest.raises(ValueError, match="x must"):
        scaled_error_complement(-0.1)


@given(pressure=st.floats(1e2, 1e8), modulus=st.floats(1e5, 1e9), spread=st.floats(5e-6, 2e-4))
@settings(max_examples=30, deadline=None)
def test_the_grains_carry_the_pressure(pressure: float, modulus: float, spread: float) -> None:
    """Second way: integrate the springs' forces over the heights."""
    found = grain_engagement(pressure=pressure, grain_density=15e6, height_sd=spread, tip_radius=60e-6, contact_modulus=modulus)
    t = float(found.separation)
    spring = 2.0 * modulus * 60e-6 * spread
    low = max(t, -12.0)

    def mean(power: int) -> float:
        body = integrate.quad(
            lambda u: (u - t) ** power * np.exp(-0.5 * u * u) / np.sqrt(2 * np.pi), low, max(low + 9.0, 9.0), limit=200, epsrel=1e-10
        )
        return float(body[0])

    # where few grains touch, two near-equal terms are subtracted: 1.2e-7 of the tail grows with the fourth power of the separation
    close = 1e-6 + 1.2e-7 * (1.0 + max(t, 0.0)) ** 4
    assert 15e6 * spring * mean(1) == pytest.approx(pressure, rel=close)
    assert float(found.active_density) == pytest.approx(15e6 * mean(1) ** 2 / mean(2), rel=close)
    assert float(found.engaged_share) == pytest.approx(mean(0), rel=close)


def test_drawn_grains_share_the_load_as_the_closed_form_says() -> None:
    found = grain_engagement(pressure=0.1e6, **BASE)
    heights = np.random.default_rng(7).normal(0.0, 1.0, 400_000)
    force = np.maximum(heights - float(found.separation), 0.0)
    drawn = 15e6 * force.mean() ** 2 / np.mean(force**2)
    assert float(found.active_density) == pytest.approx(drawn, rel=0.01)


def test_more_pressure_and_a_softer_wheel_set_more_grains_to_work() -> None:
    light, heavy = grain_engagement(pressure=[0.05e6, 0.2e6], **BASE).active_density
    assert heavy > light
    soft = grain_engagement(pressure=0.1e6, **{**BASE, "contact_modulus": 1e6})
    assert float(soft.active_density) > float(grain_engagement(pressure=0.1e6, **BASE).active_density)


def test_a_hollow_fills_over_thirteen_to_forty_six_micrometres_for_usual_wheels() -> None:
    depth = grain_engagement(pressure=0.1e6, **{**BASE, "contact_modulus": np.asarray([3e6, 5e6, 12e6]) / 0.75}).fill_depth
    assert np.all((depth > 12e-6) & (depth < 48e-6))


def test_every_grain_works_on_a_very_soft_wheel() -> None:
    found = grain_engagement(pressure=1e6, **{**BASE, "contact_modulus": 1e4})
    assert float(found.engaged_share) == pytest.approx(1.0)
    assert float(found.active_density) == pytest.approx(15e6, rel=1e-3)
    assert isinstance(found, GrainEngagement)


def test_inputs_broadcast_to_one_shape() -> None:
    found = grain_engagement(pressure=np.asarray([1e5, 2e5, 3e5]), **BASE)
    assert {part.shape for part in (found.active_density, found.engaged_share, found.separation, found.fill_depth)} == {(3,)}


@pytest.mark.parametrize(
    ("name", "value"), [("pressure", 0.0), ("height_sd", np.nan), ("contact_modulus", -1.0), ("grain_density", np.inf)]
)
def test_what_is_no_size_is_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=name):
        grain_engagement(**{"pressure": 0.1e6, **BASE, name: value})


def test_a_pressure_out_of_all_proportion_is_refused() -> None:
    with pytest.raises(ValueError, match="proportion"):
        grain_engagement(pressure=1e30, **BASE)
