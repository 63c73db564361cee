"""The record of a surface."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers import Surface, trace

NAN = float("nan")


def a_map(height, **changes):
    values = {"spacing_x": 1e-6, "spacing_y": 2e-6} | changes
    return Surface(height, **values)


def test_the_lengths_run_from_first_to_last_point():
    surface = a_map(np.zeros((3, 5)))
    assert surface.length_x == pytest.approx(4e-6, rel=1e-15)
    assert surface.length_y == pytest.approx(4e-6, rel=1e-15)


def test_missing_points_are_counted_and_masked():
    surface = a_map([[0.0, NAN], [1.0, 2.0]])
    assert surface.missing == 1
    assert surface.measured.tolist() == [[True, False], [True, True]]


def test_the_heights_are_a_copy_that_cannot_be_written():
    height = np.zeros((2, 2))
    surface = a_map(height)
    height[0, 0] = 1.0
    assert surface.height[0, 0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        surface.height[0, 0] = 1.0


def test_heights_that_nobody_can_change_are_not_held_twice():
    height = np.zeros((2, 2))
    height.flags.writeable = False
    assert a_map(height).height is height
    assert a_map(height[:, ::-1]).height.base is None


def test_a_trace_is_one_row_without_a_second_spacing():
    surface = trace([0.0, 1.0, 0.0], spacing=1e-6, along="y")
    assert surface.is_trace
    assert (surface.spacing_y, surface.length_y) == (0.0, 0.0)
    assert not a_map(np.zeros((2, 2))).is_trace


@pytest.mark.parametrize(
    ("height", "changes", "sentence"),
    [
        (np.zeros(3), {}, "rows and columns"),
        (np.zeros((3, 1)), {}, "rows and columns"),
        (np.zeros((0, 4)), {}, "rows and columns"),
        ([[0.0, np.inf], [0.0, 0.0]], {}, "finite"),
        (np.full((2, 2), NAN), {}, "at least one height"),
        (np.zeros((2, 2)), {"spacing_x": 0.0}, "spacing_x"),
        (np.zeros((2, 2)), {"spacing_x": NAN}, "spacing_x"),
        (np.zeros((2, 2)), {"spacing_y": -1e-6}, "spacing_y"),
        (np.zeros((2, 2)), {"spacing_y": np.inf}, "spacing_y"),
        (np.zeros((1, 2)), {}, "0 for a trace"),
        (np.zeros((1, 2)), {"spacing_y": NAN}, "0 for a trace"),
        (np.zeros((2, 2)), {"along": "z"}, "along"),
    ],
)
def test_what_is_no_surface_is_refused(height, changes, sentence):
    with pytest.raises(ValueError, match=sentence):
        a_map(height, **changes)


def test_a_trace_of_two_rows_is_refused():
    with pytest.raises(ValueError, match="one row"):
        trace(np.zeros((2, 2)), spacing=1e-6)
