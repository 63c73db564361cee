"""Any surface that a file may hold is read to the end: finite numbers or a reason, never another exception."""

import numpy as np
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from evenlay.physics.surface_numbers import EDITIONS, Surface, surface_numbers

SHAPES = ((1, 2), (1, 7), (1, 16), (1, 3000), (2, 17), (3, 200), (40, 40), (60, 2000))
SPACINGS = (1e-12, 0.5e-6, 4e-6, 4e-6, 4e-6, 1e-4, 1e-2, 9.0)
HEIGHTS = {
    "flat": lambda drawn, shape: np.zeros(shape),
    "rough": lambda drawn, shape: drawn.normal(size=shape) * 1e-6,
    "step": lambda drawn, shape: np.where(np.arange(shape[1]) > shape[1] // 2, 1e-5, 0.0) * np.ones((shape[0], 1)),
    "spike": lambda drawn, shape: (np.arange(shape[0] * shape[1]) == shape[1] // 2).astype(float).reshape(shape),
    "ramp": lambda drawn, shape: np.arange(shape[1]) * 1e-3 * np.ones((shape[0], 1)),
    "hardly anything": lambda drawn, shape: drawn.normal(size=shape) * 1e-300,
    "wrong unit": lambda drawn, shape: drawn.uniform(-99.0, 99.0, size=shape),
}


@st.composite
def surfaces(draw):
    shape = draw(st.sampled_from(SHAPES))
    drawn = np.random.default_rng(draw(st.integers(0, 99)))
    z = HEIGHTS[draw(st.sampled_from(sorted(HEIGHTS)))](drawn, shape)
    z[drawn.random(size=shape) < draw(st.sampled_from([0.0, 0.0, 0.05, 0.3, 0.95]))] = np.nan
    if np.all(np.isnan(z)):
        z[0, 0] = 0.0
    spacing = st.sampled_from(SPACINGS)
    return Surface(z, draw(spacing), draw(spacing) if shape[0] > 1 else 0.0, along=draw(st.sampled_from(["", "x", "y"])))


@given(
    surface=surfaces(),
    edition=st.sampled_from(EDITIONS),
    cutoff=st.sampled_from([None, 0.08e-3, 0.8e-3, 8e-3]),
    periodic=st.booleans(),
)
@example(surface=Surface(np.zeros((60, 2000)), 4e-6, 4e-6), edition=EDITIONS[0], cutoff=0.08e-3, periodic=False)
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_surface_of_any_shape_spacing_and_holes_is_read_or_refused_in_words(surface, edition, cutoff, periodic):
    try:
        found = surface_numbers(surface, edition=edition, cutoff=cutoff, periodic=periodic)
    except ValueError as refused:
        assert "every row misses more than a tenth of its points" in str(refused)
        return
    for number in found.numbers:
        assert (number.value is None) == bool(number.reason), number.symbol
        for part in (number.value, number.scatter):
            assert part is None or np.isfinite(part), number.symbol
    for each in (*found.pitches_across, *found.pitches_along):
        assert 0.0 < each.low <= each.pitch <= each.high < np.inf
