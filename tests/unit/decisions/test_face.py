"""A stretch of the face, and the whole of it."""

from dataclasses import replace

import numpy as np
import pytest

from evenlay.decisions.face import APERTURE, MOST_POINTS, face_window, footprints_of, lay_of, whole_face
from evenlay.physics.viewing import observer

STILL = {"path_error": 0.0, "belt_wander": 0.0}


def state_of(world, **changes):
    return world.situation(5, **changes)[0]


def test_the_aperture_is_that_of_the_observer():
    assert np.deg2rad(0.6273) == pytest.approx(APERTURE, rel=1e-3)
    assert observer.__doc__


def test_a_footprint_removes_the_volume_its_force_and_travel_make(world):
    state = state_of(world)
    for part, force in zip(footprints_of(state), world.settings.forces, strict=True):
        volume = np.sum(part.depth, axis=1) * (part.y[1] - part.y[0])
        rate = state.unknowns.removal_coefficient * 18.0 * force / 0.12
        assert volume == pytest.approx(rate, rel=1e-3)


def test_pressures_are_a_share_of_the_last_rounds_peak(world):
    first, last = footprints_of(state_of(world))
    assert last.pressure.max(axis=1) == pytest.approx(np.ones(6))
    assert np.all(first.pressure.max(axis=1) > 1.0)


def test_the_mean_of_an_endless_lay_is_the_stock_removed(world):
    # Whole step-overs of an even lay without path error: the mean over the window is k v F / (f s).
    state = state_of(world, **STILL)
    window = face_window(state)
    assert window.face.removal.mean(axis=1) == pytest.approx(state.removal, rel=0.01)


def test_a_window_holds_five_step_overs_or_what_the_eye_takes_in_but_no_more_than_the_face(world):
    near = face_window(state_of(world, settings=world.settings.with_(step_over=0.05, offsets=(0.0, 0.025))))
    assert near.face.face[-1] == pytest.approx(5 * 0.05, abs=2 * near.spacing)
    far = face_window(state_of(world, setup=world.with_setup(distance=5.0)))
    assert far.face.face[-1] == pytest.approx(min(5.0 * APERTURE * 5.0, 0.3), abs=2 * far.spacing)
    narrow = face_window(state_of(world, setup=world.with_setup(face_across=0.05)))
    assert narrow.face.face[-1] == pytest.approx(0.05, abs=2 * narrow.spacing)


def test_a_window_stands_on_an_even_grid(world):
    window = face_window(state_of(world))
    steps = np.diff(window.face.face)
    assert steps == pytest.approx(np.full(steps.size, window.spacing))
    assert window.face.face.size <= MOST_POINTS
    assert window.tilt.shape == window.face.removal.shape == window.face.slope.shape
    assert window.face.face[0] == 0.0


def test_the_tilt_is_the_slope_of_the_stock_left(world):
    window = face_window(state_of(world))
    inner = -(window.face.removal[:, 2:] - window.face.removal[:, :-2]) / (2.0 * window.spacing)
    assert window.tilt[:, 1:-1] == pytest.approx(inner, abs=1e-12)


def test_path_error_makes_the_face_less_even(world):
    uneven = [
        face_window(state_of(world, path_error=error, belt_wander=0.0)).face.removal.std(axis=1).mean() for error in (0.0, 0.5e-3, 2e-3)
    ]
    assert uneven == sorted(uneven)
    assert uneven[2] > 2.0 * uneven[0]


def test_the_whole_face_runs_from_edge_to_edge_and_is_covered(world):
    window = whole_face(state_of(world, **STILL))
    assert window.face.face[0] == 0.0
    assert window.face.face[-1] == pytest.approx(0.30, abs=window.spacing)
    assert window.face.removal.min() > 0.2 * window.face.removal.mean()


def test_a_face_too_wide_for_the_footprints_own_spacing_is_laid_on_the_most_points(world):
    window = whole_face(state_of(world, setup=world.with_setup(face_across=1.5)))
    assert window.face.face.size == MOST_POINTS
    assert window.face.face[-1] == pytest.approx(1.5)


@pytest.mark.parametrize("across", [0.005, 0.02, 0.06])
def test_a_strip_narrower_than_the_belt_is_answered(world, across):
    state = state_of(world, setup=world.with_setup(face_across=across))
    for window in (face_window(state), whole_face(state)):
        assert np.all(np.isfinite(window.face.removal))
        assert np.all(window.face.removal.max(axis=1) > 0.0)


def test_no_pass_runs_past_an_edge_that_is_not_free(world):
    held = replace(world.setup, free_edges=())
    free = lay_of(state_of(world), 0.30, (np.inf, np.inf))
    walled = lay_of(state_of(world, setup=held), 0.30, (0.0, 0.0))
    half = 0.025
    assert free.centres.min() - half < 0.0
    assert walled.centres.min() - half >= -5e-3
    assert walled.centres.max() + half <= 0.30 + 5e-3
    left_only = whole_face(state_of(world, setup=replace(world.setup, free_edges=("left",))))
    assert left_only.passes.centres.min() - half < 0.0
    assert left_only.passes.centres.max() + half <= 0.30 + 5e-3


def test_the_same_state_gives_the_same_bytes(world, same_bytes):
    assert same_bytes(face_window(state_of(world)), face_window(state_of(world)))
