"""From draws and values to what an answer shows."""

import math

import numpy as np
import pytest

from evenlay.answers.numbers import exact_number, known_of, number_of_draws, number_of_value, remark_records, rests_on, seen_word
from evenlay.quantities.known import KNOWN_ORDER, Value
from evenlay.quantities.remarks import LEVELS, Remark

EVEN = np.full(101, 1.0 / 101.0)


def value(known, low=0.5, high=2.0):
    return Value(1.0, low, high, known, "test")


def test_a_number_has_the_central_row_as_its_value_and_the_band_of_the_others():
    draws = np.concatenate([[0.5], np.linspace(0.0, 1.0, 101)])
    found = number_of_draws(draws, "length", "guess", EVEN, "why")
    assert (found.value, found.kind, found.known, found.source) == (0.5, "length", "guess", "why")
    assert (found.low, found.high) == pytest.approx((0.05, 0.95), abs=0.01)


@pytest.mark.parametrize("centre", [-3.0, 7.0])
def test_a_band_always_holds_its_centre(centre):
    found = number_of_draws(np.concatenate([[centre], np.linspace(0.0, 1.0, 101)]), "ratio", "guess", EVEN)
    assert found.low <= found.value <= found.high


def test_a_band_follows_the_weights():
    draws = np.concatenate([[0.7], np.linspace(0.0, 1.0, 101)])
    heavy = np.where(draws[1:] > 0.5, 1.0, 1e-9)
    assert number_of_draws(draws, "ratio", "guess", heavy / heavy.sum()).low > 0.5


def test_a_value_and_an_exact_number_stand_as_they_are():
    one = number_of_value(value("measured"), "force")
    assert (one.value, one.low, one.high, one.known, one.source) == (1.0, 0.5, 2.0, "measured", "test")
    two = exact_number(3.0, "force", "asked")
    assert two.low == two.value == two.high == 3.0


def test_an_answer_is_known_as_its_weakest_part_and_parts_without_a_band_do_not_count():
    values = {"a": value("measured"), "b": value("guess"), "c": value("handbook"), "d": value("guess", 1.0, 1.0)}
    assert known_of(values, ("a", "c")) == "handbook"
    assert known_of(values, ("a", "b", "c")) == "guess"
    assert known_of(values, ("a", "d")) == "measured"
    assert known_of(values, ("d",)) == "asked"
    assert known_of(values, ()) == "asked"


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"a": value("guess"), "b": value("guess")}, "Rests on guesses alone (2): nothing of this job has been measured."),
        (
            {"a": value("guess"), "b": value("handbook"), "c": value("handbook")},
            "Rests on 1 guess and 2 handbook values; nothing of this job has been measured.",
        ),
        (
            {"a": value("guess"), "b": value("handbook"), "c": value("measured"), "d": value("measured")},
            "Rests on 1 guess, 1 handbook value and 2 measured values.",
        ),
        ({"a": value("guess"), "b": value("fitted")}, "Rests on 1 guess and 1 fitted value."),
        ({"a": value("asked", 1.0, 1.0)}, "Rests on what was asked alone."),
        ({}, "Rests on what was asked alone."),
    ],
)
def test_the_first_line_says_on_what_an_answer_rests(values, words):
    assert rests_on(values) == words


def test_a_fitted_value_that_was_shipped_is_no_measurement_of_this_job():
    shipped = Value(1.0, 0.7, 1.4, "fitted", "shipped table: trial simulation")
    assert rests_on({"a": value("guess"), "b": shipped}).endswith("nothing of this job has been measured.")


def test_a_guess_without_a_band_is_not_counted():
    assert rests_on({"a": value("guess", 1.0, 1.0), "b": value("measured")}) == "Rests on 1 measured value."


def test_remarks_come_gravest_first_each_once_and_otherwise_in_their_order():
    remarks = [Remark(f"{level}-{name}", level, "message", "source") for name in "ab" for level in LEVELS]
    found = remark_records([*remarks, *remarks])
    assert len(found) == 2 * len(LEVELS)
    assert [each.level for each in found] == [level for level in reversed(LEVELS) for _ in "ab"]
    assert [each.code[-1] for each in found] == ["a", "b"] * len(LEVELS)


@pytest.mark.parametrize(
    ("pitch", "word"),
    [(0.9e-3, "too fine"), (1e-3, "seen best"), (5e-3, "seen best"), (10e-3, "seen best"), (11e-3, "too wide"), (math.nan, "any spacing")],
)
def test_a_spacing_is_placed_against_what_the_eye_sees_best(pitch, word):
    assert seen_word(pitch, 1e-3, 10e-3) == word


def test_every_way_of_knowing_can_be_shown():
    for known in KNOWN_ORDER:
        assert rests_on({"a": value(known), "b": value("guess")})


@pytest.mark.parametrize(
    ("kind", "numbers", "shown"),
    [
        ("share", (3e-16, 0.0, 0.02), (0.0, 0.0, 0.02)),
        ("share", (1e-15, 1e-16, 2e-15), (0.0, 0.0, 0.0)),
        ("length", (1e-20, -0.01, 0.01), (0.0, -0.01, 0.01)),
        ("length", (1e-9, 0.9e-9, 1.1e-9), (1e-9, 0.9e-9, 1.1e-9)),
    ],
)
def test_rounding_of_the_arithmetic_is_shown_as_nothing(kind, numbers, shown):
    found = number_of_value(Value(numbers[0], numbers[1], numbers[2], "guess", ""), kind)
    assert (found.value, found.low, found.high) == shown
