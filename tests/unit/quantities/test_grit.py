"""Grit always carries its scale."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenlay.quantities.grit import SCALES, Grit, parse_grit
from evenlay.quantities.units import UnitError


@pytest.mark.parametrize(
    ("text", "grit"),
    [
        ("P180", Grit("P", 180)),
        ("p 180", Grit("P", 180)),
        ("US 180", Grit("US", 180)),
        ("us180", Grit("US", 180)),
        ("CAMI 240", Grit("US", 240)),
    ],
)
def test_a_grit_with_its_scale_is_read(text, grit):
    assert parse_grit(text) == grit


def test_a_bare_number_is_refused_with_both_readings():
    with pytest.raises(UnitError) as caught:
        parse_grit("180")
    assert str(caught.value) == (
        '"180" does not say its scale; write "P180" (FEPA, ISO 6344) or "US 180" (older American scale); above 220 they differ'
    )


@pytest.mark.parametrize("text", ["180 grit", "grit 180", "#180"])
def test_the_word_grit_is_not_a_scale(text):
    with pytest.raises(UnitError, match="does not say its scale"):
        parse_grit(text)


@given(scale=st.sampled_from(SCALES), number=st.integers(1, 9999))
def test_grit_round_trips(scale, number):
    grit = Grit(scale, number)
    assert parse_grit(str(grit)) == grit


@given(st.text(max_size=20))
def test_any_text_gives_a_grit_or_one_sentence(text):
    try:
        parse_grit(text)
    except UnitError as error:
        assert "\n" not in str(error)
