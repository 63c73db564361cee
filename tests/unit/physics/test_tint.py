import math

import pytest

from evenlay.physics import tint as t

SCALE = t.TintScale("a metal, one hour in air", "some-source", (500.0, 540.0, 600.0), ("straw", "brown", "blue"))


def test_colour_is_that_of_the_nearest_entry():
    assert [t.tint_colour(temperature=x, scale=SCALE) for x in (479.9, 480.1, 519.0, 521.0, 569.0, 571.0, 900.0)] == [
        "", "straw", "straw", "brown", "brown", "blue", "blue",
    ]  # fmt: skip


def test_colour_and_temperature_are_inverse_at_every_entry():
    for colour in SCALE.colours:
        assert t.tint_colour(temperature=t.tint_temperature(colour=colour, scale=SCALE), scale=SCALE) == colour


def test_the_remark_names_temperature_colour_basis_and_what_to_do():
    remark = t.tint_remark(temperature=545.0, scale=SCALE, where="step.satin")
    assert remark is not None
    assert (remark.code, remark.level, remark.source, remark.where) == ("heat-tint", "caution", "some-source", "step.satin")
    for part in ("272 °C", "brown", "a metal, one hour in air", "far shorter", "lower the force"):
        assert part in remark.message
    assert t.tint_remark(temperature=400.0, scale=SCALE) is None


@pytest.mark.parametrize(
    ("temperatures", "colours"),
    [((500.0,), ("straw",)), ((500.0, 490.0), ("a", "b")), ((500.0, 510.0), ("a",)), ((500.0, math.nan), ("a", "b"))],
)
def test_a_scale_that_is_none_is_refused(temperatures, colours):
    with pytest.raises(ValueError, match="scale of heat colours"):
        t.TintScale("", "", temperatures, colours)


def test_a_temperature_or_colour_that_is_none_is_refused():
    for bad in (-1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="zero kelvin"):
            t.tint_colour(temperature=bad, scale=SCALE)
    with pytest.raises(ValueError, match=r"no colour 'green'.*straw, brown, blue"):
        t.tint_temperature(colour="green", scale=SCALE)
