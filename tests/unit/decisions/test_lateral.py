"""How far each pass lies off: one luck for all candidates."""

import numpy as np
import pytest

from evenlay.decisions.lateral import HELD_WITHIN, MOST_PASSES, lateral_offsets

SD = np.full(522, 1e-3)


def test_offsets_have_the_standard_deviation_asked_for_and_no_lean():
    drawn = lateral_offsets(lateral_sd=SD, passes=200)[1:]
    assert drawn.std() == pytest.approx(1e-3, rel=0.02)
    assert abs(drawn.mean()) < 2e-5


def test_the_central_row_is_a_face_of_ordinary_luck():
    # About a step of every tenth of a normal distribution among ten neighbouring passes; no luck and no bad luck.
    central = lateral_offsets(lateral_sd=SD, passes=200)[0]
    assert central.std() == pytest.approx(1e-3, rel=0.1)
    for start in range(0, 190, 10):
        ten = central[start : start + 10]
        assert 0.7e-3 < ten.std() < 1.2e-3
        assert abs(ten.mean()) < 0.25e-3


def test_offsets_grow_with_the_deviation_and_stay_within_what_is_held():
    one, two = (lateral_offsets(lateral_sd=factor * SD, passes=40) for factor in (1.0, 2.0))
    assert two == pytest.approx(2.0 * one)
    assert np.abs(lateral_offsets(lateral_sd=SD, passes=MOST_PASSES)).max() <= HELD_WITHIN * 1e-3
    assert np.all(lateral_offsets(lateral_sd=0.0 * SD, passes=40) == 0.0)


def test_the_same_row_and_pass_meet_the_same_luck_whatever_the_candidate():
    few, many = lateral_offsets(lateral_sd=SD, passes=12), lateral_offsets(lateral_sd=SD, passes=90)
    assert np.array_equal(few, many[:, :12])
    assert np.array_equal(few, lateral_offsets(lateral_sd=SD.copy(), passes=12))


def test_beyond_the_table_the_luck_begins_again():
    long = lateral_offsets(lateral_sd=np.full(3, 1e-3), passes=MOST_PASSES + 5)
    assert np.array_equal(long[:, MOST_PASSES:], long[:, :5])
    for start in range(5, MOST_PASSES - 5, 5):
        assert not np.array_equal(long[:, start : start + 5], long[:, :5])


def test_neighbouring_passes_and_draws_are_not_alike():
    drawn = lateral_offsets(lateral_sd=SD, passes=100)[1:] / 1e-3
    assert abs(np.mean(drawn[:, 1:] * drawn[:, :-1])) < 0.02
    assert abs(np.mean(drawn[1:] * drawn[:-1])) < 0.02
