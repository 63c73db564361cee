"""Records: closed, frozen, both unit systems, several faces and steps."""

import datetime
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from evenlay.files.jobfile import job_from_text
from evenlay.job.amounts import Amount, FieldError, Quantity, written
from evenlay.job.fields import FieldType
from evenlay.job.records import SECTIONS, Job, key_register
from evenlay.quantities.known import Value
from evenlay.quantities.units import KINDS

TWO = """schema = 1
[job]
name = "counter"
created = 2025-01-31
seed = 7
[part]
alloy = "6061"
[[face]]
id = "top"
size = "16.5 in x 12 in"
grain = "across 16.5 in"
steps = ["finish"]
[[face]]
id = "front"
size = "420 mm x 300 mm"
grain = "along 16.54 in"
[viewing]
lamp = "20 °"
[[step]]
id = "rough"
wheel = { kind = "solid", diameter = "6 in", crown = "flat" }
[[step]]
id = "finish"
wheel = { kind = "expander", slip_test = "not done" }
[step.belt]
grit = "US 240"
[step.settings]
rounds = 2
offsets = ["0 mm", "0.35 in"]
taper = 0.5
"""


def job():
    return job_from_text(TWO, Path("job.toml"))


def test_inch_and_metric_give_the_same_records():
    read = job()
    assert read.face[0].length_along.number == pytest.approx(12 * 0.0254)
    assert read.face[0].length_across.number == pytest.approx(16.5 * 0.0254)
    assert read.face[1].length_along.number == pytest.approx(0.42)
    assert read.step[0].wheel.diameter.number == pytest.approx(0.1524)
    assert [offset.number for offset in read.step[1].settings.offsets] == pytest.approx([0, 0.00889])


def test_steps_of_a_face_are_all_or_those_named():
    read = job()
    assert [step.id for step in read.steps_of("top")] == ["finish"]
    assert [step.id for step in read.steps_of("front")] == ["rough", "finish"]


def test_words_and_dates_are_read():
    read = job()
    assert read.job.created == datetime.date(2025, 1, 31)
    assert read.step[0].wheel.crown == "flat"
    assert read.step[1].wheel.slip_test == "not done"
    assert read.viewing.lamp.number == pytest.approx(math.pi / 9)
    assert str(read.step[1].belt.grit) == "US 240"
    assert read.step[1].settings.taper.number == 0.5
    assert read.step[1].settings.force == "choose"


def test_nothing_changes_after_reading():
    with pytest.raises(ValidationError, match="frozen"):
        job().job.name = "other"


def test_a_job_given_back_as_records_is_the_same_job():
    read = job()
    again = Job.model_validate({name: getattr(read, name) for name in Job.model_fields})
    assert again == read


def test_every_key_has_a_meaning_and_says_what_is_allowed():
    register = key_register()
    assert len(register) > 110
    for key, of in register.items():
        assert isinstance(of, FieldType)
        assert len(of.meaning) > 5, key
        assert len(of.allowed()) > 10, key


def test_every_field_of_every_section_is_in_the_register_or_is_a_section():
    register = key_register()
    for section, record in SECTIONS.items():
        for name in record.model_fields:
            assert f"{section}.{name}" in register or f"{section}.{name}" in SECTIONS


@pytest.mark.parametrize("of", list(key_register().values()), ids=list(key_register()))
@pytest.mark.parametrize("found", [None, {}, [], "", "\x00", 1e308, -1, float("nan"), True, {"value": []}, [[]], "x" * 100_000])
def test_every_field_refuses_rubbish_in_words_or_reads_it(of, found):
    try:
        of.read(found)
    except FieldError as error:
        for wrong in error.wrongs:
            assert wrong.found and wrong.allowed
            assert len(wrong.found) < 200
            assert wrong.found.isprintable()


@given(
    number=st.floats(1e-6, 1e6),
    down=st.floats(0, 1),
    up=st.floats(0, 3),
    known=st.sampled_from(["guess", "handbook", "fitted", "measured"]),
    source=st.text(max_size=30),
    kind=st.sampled_from(["length", "force", "pressure", "removal_coefficient", "share", "torque"]),
)
def test_a_value_written_as_a_table_reads_back_with_its_band(number, down, up, known, source, kind):
    value = Value(number, number * down, number * (1 + up), known, source)
    largest = max(KINDS[kind].units, key=KINDS[kind].units.get)
    of = Amount(kind, f"0 {largest}", f"1e9 {largest}", "any")
    again = of.read(written(value, kind, digits=None)).value
    assert (again.number, again.low, again.high) == pytest.approx((value.number, value.low, value.high), rel=1e-13)
    assert (again.known, again.source) == (known, source)


def test_bare_text_says_how_it_is_known():
    read = job_from_text(TWO + '[step.model]\nfriction = 0.5\n[path]\nerror = "1 mm"\n', Path("job.toml"))
    assert read.step[1].model.friction.value.known == "handbook"
    assert read.step[0].wheel.diameter.value.known == "asked"
    assert read.path.error.bare
    assert isinstance(read.path.error, Quantity)
    assert read.path.error.text == "1 mm"
