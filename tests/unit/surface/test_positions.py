import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenlay.physics.removal import lay_removal
from evenlay.surface import positions as p

FOOTPRINT = {"half_depth_width": 0.05, "ramp": 0.005}


def removal(centres, face):
    y = np.linspace(-0.03, 0.03, 241)
    depth = np.clip((0.0275 - np.abs(y)) / 0.005, 0.0, 1.0)[None]
    return lay_removal(face=face, centres=centres, y=y, depth=depth)[0]


@settings(max_examples=60, deadline=None)
@given(face=st.floats(0.02, 0.6), offset=st.floats(-0.05, 0.05), parts=st.integers(1, 3))
def test_an_even_step_stays_even_up_to_both_edges(face, offset, parts):
    centres = p.pass_positions(face_across=face, step_over=0.05 / parts, offset=offset, **FOOTPRINT)
    assert np.ptp(removal(centres, np.linspace(0.0, face, 200))) < 1e-9 * parts
    assert np.diff(centres) == pytest.approx(0.05 / parts)


@settings(max_examples=60, deadline=None)
@given(face=st.floats(0.02, 0.6), step=st.floats(0.01, 0.06))
def test_no_pass_runs_beside_the_face_and_none_is_missing(face, step):
    centres = p.pass_positions(face_across=face, step_over=step, **FOOTPRINT)
    reach = 0.0275
    assert np.all((centres > -reach) & (centres < face + reach))
    assert centres[0] - step <= -reach + 1e-6 * step
    assert centres[-1] + step >= face + reach - 1e-6 * step


def test_without_offset_the_lay_is_symmetrical_and_takes_the_fewer_passes():
    for face in (0.1, 0.12, 0.3, 0.33):
        centres = p.pass_positions(face_across=face, step_over=0.05, **FOOTPRINT)
        assert centres + centres[::-1] == pytest.approx(face)
        assert centres.size == math.floor((face + 0.055 - 1e-9) / 0.05) or centres.size == math.ceil((face + 0.055) / 0.05 - 1)


def test_rounds_share_one_lattice():
    passes = p.lay(face_across=0.3, step_over=0.03, offsets=[0.0, 0.01, 0.02], **FOOTPRINT)
    assert np.diff(np.sort(passes.centres)) == pytest.approx(0.01)
    assert np.all(np.diff(passes.rounds) >= 0)
    assert set(passes.rounds) == {0, 1, 2}
    assert np.all(passes.load == 1.0)


def test_a_belt_that_may_not_hang_over_is_drawn_in_to_the_edge():
    centres = p.pass_positions(face_across=0.3, step_over=0.05, run_past=(0.0, np.inf), **FOOTPRINT)
    assert centres[0] == pytest.approx(0.0275)
    assert centres[-1] > 0.3 - 0.0275
    partly = p.pass_positions(face_across=0.3, step_over=0.05, run_past=(0.01, 0.01), **FOOTPRINT)
    assert partly[[0, -1]] == pytest.approx([0.0175, 0.2825])


def test_a_face_narrower_than_the_footprint_between_two_walls_is_refused():
    with pytest.raises(ValueError, match="wider than the face"):
        p.pass_positions(face_across=0.05, step_over=0.05, run_past=(0.0, 0.0), **FOOTPRINT)


def test_fewest_passes_follow_the_count_of_the_derivation():
    for face, width, step in ((0.3, 0.05, 0.035), (0.3, 0.05, 0.05), (0.04, 0.05, 0.03), (0.42, 0.048, 0.0372)):
        assert p.least_passes(face_across=face, width=width, step_over=step) == max(1, math.ceil(round((face - width) / step, 9)) + 1)


def test_time_adds_up_pass_by_pass():
    by_hand = sum((0.05 + 0.42 + 0.05) / 0.12 + 1.5 for _ in range(7))
    assert p.cycle_time(passes=7, length=0.42, feed=0.12, run_on=0.05, turn_time=1.5) == pytest.approx(by_hand)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"face_across": math.nan}, "positive"),
        ({"step_over": 0.0}, "positive"),
        ({"half_depth_width": math.inf}, "positive"),
        ({"ramp": -0.001}, "positive"),
        ({"offset": math.nan}, "offset"),
        ({"run_past": (-0.1, 0.0)}, "offset"),
        ({"run_past": (0.0, math.nan)}, "offset"),
    ],
)
def test_sizes_out_of_range_are_refused(changes, message):
    with pytest.raises(ValueError, match=message):
        p.pass_positions(**{"face_across": 0.3, "step_over": 0.05, **FOOTPRINT, **changes})


def test_a_lay_without_rounds_and_a_cycle_without_feed_are_refused():
    with pytest.raises(ValueError, match="one round"):
        p.lay(face_across=0.3, step_over=0.05, offsets=[], **FOOTPRINT)
    with pytest.raises(ValueError, match="feed"):
        p.cycle_time(passes=7, length=0.42, feed=math.nan, run_on=0.05, turn_time=1.5)
    with pytest.raises(ValueError, match="positive"):
        p.least_passes(face_across=0.3, width=0.05, step_over=math.nan)
