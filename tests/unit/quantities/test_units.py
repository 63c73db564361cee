"""Units: every one against a second library, round trips, and what is refused."""

import math

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from evenlay.quantities.units import (
    KINDS,
    SPELLINGS,
    UnitError,
    format_quantity,
    kind_of_unit,
    parse_quantity,
    parse_size,
    plain_unit,
    units_in_words,
)

IN_PINT = {
    "": "dimensionless",
    "%": "percent",
    "°": "degree",
    "°C": "degC",
    "°F": "degF",
    "1/min": "turn/min",
    "1/s": "turn/s",
    "rpm": "rpm",
    "/mm²": "1/mm**2",
    "/cm²": "1/cm**2",
    "/m²": "1/m**2",
    "/in²": "1/in**2",
    "/mm": "1/mm",
    "/m": "1/m",
    "/in": "1/in",
    "HV": "kgf/mm**2",
    "HB": "kgf/mm**2",
    "lbf/in": "lbf/inch",
    "in³/(lbf·ft)": "inch**3/(lbf*ft)",
    "psi/in": "psi/inch",
    "lb/in³": "lb/inch**3",
    "hp·min/in³": "horsepower*min/inch**3",
    "hp": "horsepower",
    "in/s": "inch/s",
    "in/min": "inch/min",
    "in²": "inch**2",
    "in³": "inch**3",
    "lbf·in": "lbf*inch",
    "in": "inch",
    "µin": "microinch",
}
BASE = {
    "length": "m",
    "force": "N",
    "line_load": "N/m",
    "speed": "m/s",
    "rotation": "turn/s",
    "pressure": "Pa",
    "casing_stiffness": "Pa/m",
    "angle": "rad",
    "time": "s",
    "mass": "kg",
    "power": "W",
    "torque": "N*m",
    "frequency": "Hz",
    "ratio": "dimensionless",
    "share": "dimensionless",
    "count": "dimensionless",
    "removal_coefficient": "m**2/N",
    "specific_energy": "J/m**3",
    "area_density": "1/m**2",
    "curvature": "1/m",
    "area": "m**2",
    "volume": "m**3",
    "area_mass": "kg/m**2",
    "density": "kg/m**3",
    "conductivity": "W/(m*K)",
    "heat_capacity": "J/(kg*K)",
    "temperature": "kelvin",
    "temperature_difference": "kelvin",
    "illuminance": "lux",
    "luminance": "cd/m**2",
    "hardness": "Pa",
}
PAIRS = [(kind, unit) for kind, of in KINDS.items() for unit in of.units if kind != "shore_a"]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


def in_pint(unit):
    return IN_PINT.get(unit, unit.replace("²", "**2").replace("³", "**3").replace("·", "*").replace("lx", "lux"))


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
def test_every_unit_converts_as_the_units_library_converts_it(registry, kind, unit):
    for number in (0.0, 1.0, 37.5, 1e4):
        theirs = registry.Quantity(number, in_pint(unit)).to(BASE[kind]).magnitude
        assert parse_quantity(f"{number} {unit}", kind) == pytest.approx(theirs, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
@given(number=st.floats(-1e9, 1e9).filter(lambda x: x == 0 or abs(x) > 1e-9))
def test_text_and_number_round_trip_in_every_unit(kind, unit, number):
    value = parse_quantity(f"{number!r} {unit}", kind)
    scale = max(abs(value), abs(KINDS[kind].units[unit]) * 460 if kind == "temperature" else 0.0)
    again = parse_quantity(format_quantity(value, kind, digits=None, unit=unit), kind)
    assert again == pytest.approx(value, rel=1e-14, abs=1e-13 * scale)


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("kind", list(KINDS))
@given(number=st.floats(-1e12, 1e12).filter(lambda x: x == 0 or abs(x) > 1e-15))
def test_what_is_shown_reads_back_within_its_digits(kind, system, number):
    text = format_quantity(number, kind, system, digits=4)
    allowance = 6e-4 * abs(number) + (6e-4 * 500 if kind == "temperature" else 0.0)
    assert parse_quantity(text, kind) == pytest.approx(number, abs=allowance)


@given(digits=st.integers(1, 8), number=st.floats(1e-12, 1e12))
def test_rounding_keeps_the_asked_digits(digits, number):
    shown = float(format_quantity(number, "ratio", digits=digits))
    assert abs(shown - number) <= 0.5000001 * 10 ** (math.floor(math.log10(number)) + 1 - digits)


def test_every_spelling_leads_to_a_unit_of_the_table():
    for spelled, unit in SPELLINGS.items():
        assert kind_of_unit(unit), spelled
        assert plain_unit(spelled) == unit, spelled


def test_every_kind_shows_units_of_its_own_table_and_an_example_that_reads():
    for name, kind in KINDS.items():
        assert parse_quantity(kind.example, name) is not None
        for ladder in (kind.metric, kind.inch):
            assert all(unit in kind.units for _, unit in ladder)
            assert [start for start, _ in ladder] == sorted({start for start, _ in ladder})


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("35N", "force", 35.0),
        (" 120  mm/s ", "speed", 0.12),
        ("3540 ft/min", "speed", 17.9832),
        ("20 um", "length", 2e-5),
        ("20 μm", "length", 2e-5),
        ("40 µin", "length", 1.016e-6),
        ('16.5"', "length", 0.4191),
        ("2 N m", "torque", 2.0),
        ("2 N*m", "torque", 2.0),
        ("2 Nm", "torque", 2.0),
        ("1 ft-lbf", "torque", 1.3558179483314004),
        ("0.01 mm3/(N m)", "removal_coefficient", 1e-11),
        ("0.01 mm^3/N/m", "removal_coefficient", 1e-11),
        ("1e-11 m2/N", "removal_coefficient", 1e-11),
        ("40 Shore A", "shore_a", 40.0),
        ("15/mm2", "area_density", 1.5e7),
        ("15 1/mm2", "area_density", 1.5e7),
        ("20 %", "share", 0.2),
        ("0.2", "share", 0.2),
        ("-3 °", "angle", -math.pi / 60),
        ("212 °F", "temperature", 373.15),
        ("5 deg", "angle", math.pi / 36),
    ],
)
def test_the_ways_people_write_a_quantity(text, kind, value):
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "sentence"),
    [
        ("35", "force", '"35" has no unit; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("35 mm", "force", '"35 mm" is a length; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("35 Nn", "force", '"35 Nn" has an unknown unit; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("1,5 N", "force", '"1,5 N" is not a decimal number; write a decimal point and no thousands mark, for example 1.5 or 1500'),
        ("1.500.0 N", "force", '"1.500.0 N" is not a decimal number; write a decimal point and no thousands mark, for example 1.5 or 1500'),
        ("1/16 in", "length", '"1/16 in" is a fraction; write a decimal number, for example 0.5'),
        (
            "nan N",
            "force",
            '"nan N" does not begin with a number; a force is a number with one of the units N, kN, lbf, for example "35 N"',
        ),
        ("", "force", '"" does not begin with a number; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("1e308 kN", "force", '"1e308 kN" is absurdly large; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("1e400 N", "force", '"1e400 N" is absurdly large; a force is a number with one of the units N, kN, lbf, for example "35 N"'),
        ("40", "shore_a", '"40" has no unit; a rubber hardness is a number with the unit Shore A, for example "40 Shore A"'),
        ("3 m", "count", '"3 m" is a length; a whole number has no unit, for example "4"'),
        ("3 m", "share", '"3 m" is a length; a share may carry the unit %, for example "20 %"'),
    ],
)
def test_what_is_not_a_quantity_is_refused_in_one_sentence(text, kind, sentence):
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, kind)
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("text", "kind", "near"),
    [("35 n", "force", "N"), ("20 lb", "force", "lbf"), ("3 Rpm", "rotation", "rpm"), ("5 kpa", "pressure", "kPa")],
)
def test_a_slip_of_the_unit_names_the_nearest(text, kind, near):
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, kind)
    assert caught.value.nearest == near


def test_pieces_of_a_unit_with_a_blank_between_are_no_unit():
    with pytest.raises(UnitError):
        parse_quantity("5 m m", "length")


@given(text=st.text(max_size=40), kind=st.sampled_from(list(KINDS)))
def test_any_text_gives_a_finite_number_or_one_sentence(text, kind):
    try:
        assert math.isfinite(parse_quantity(text, kind))
    except UnitError as error:
        assert error.found.isprintable()
        assert "\n" not in str(error)


@pytest.mark.parametrize("text", ["420 mm x 300 mm", "420 x 300 mm", "420mm×300mm", "42 cm X 0.3 m", "420 mm * 300 mm"])
def test_a_size_is_two_lengths_however_it_is_written(text):
    assert parse_size(text) == pytest.approx((0.42, 0.3), rel=1e-12)


@pytest.mark.parametrize("text", ["420 mm", "420 x 300", "1 m x 2 m x 3 m", "x 3 mm", "420 mm by 300 mm", "420 N x 300 mm"])
def test_what_is_not_a_size_is_refused(text):
    with pytest.raises(UnitError):
        parse_size(text)


@given(first=st.floats(1e-3, 10), second=st.floats(1e-3, 10), system=st.sampled_from(["metric", "inch"]))
def test_a_size_round_trips_in_both_systems(first, second, system):
    assume(first > 0)
    text = " x ".join(format_quantity(side, "length", system, digits=None) for side in (first, second))
    assert parse_size(text) == pytest.approx((first, second), rel=1e-13)


def test_units_in_words_names_every_unit():
    for name, kind in KINDS.items():
        words = units_in_words(name)
        assert all(unit in words for unit in kind.units)


def test_zero_is_shown_in_the_everyday_unit():
    assert format_quantity(0.0, "length") == "0 mm"
    assert format_quantity(0.0, "pressure") == "0 kPa"
    assert format_quantity(0.0, "temperature") == "-273 °C"


def test_the_reader_of_inches_gets_inches():
    assert format_quantity(50e3, "pressure", "inch") == "7.25 psi"
    assert format_quantity(0.12, "speed", "inch") == "4.72 in/s"
    assert format_quantity(35.0, "force", "inch") == "7.87 lbf"
    assert format_quantity(0.5e-6, "length", "inch") == "19.7 µin"
    assert format_quantity(40.0, "rotation", "inch") == "2400 rpm"
