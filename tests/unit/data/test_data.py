"""Shipped tables: every value has a band, a way of knowing and a source; every source has its entry."""

import pytest

from evenlay.data import TABLES, load, sources
from evenlay.job.amounts import Amount
from evenlay.job.effective import kind_of
from evenlay.job.records import ALLOYS, INCOMING, METALS, key_register
from evenlay.job.shipped import shipped_value
from evenlay.job.step_records import MINERALS, WHEELS
from evenlay.quantities.known import KNOWN_ORDER


def entries(tables, path=()):
    for name, content in tables.items():
        if isinstance(content, dict):
            if "value" in content:
                yield (*path, name), content
            else:
                yield from entries(content, (*path, name))


def test_a_table_that_is_not_shipped_is_refused_by_name():
    with pytest.raises(ValueError, match="no shipped table is called dayone: there are dayzero, alloys, grades, belts, wheels, tint"):
        load("dayone")


def test_every_value_says_how_it_is_known_and_where_from():
    found = [(table, path, entry) for table in TABLES for path, entry in entries(load(table))]
    assert len(found) > 100
    for table, path, entry in found:
        assert set(entry) <= {"value", "low", "high", "known", "source"}, (table, path)
        assert entry["known"] in KNOWN_ORDER, (table, path)
        assert len(entry["source"]) > 4, (table, path)


def test_every_day_zero_value_reads_as_its_key_demands_and_lies_in_the_range_of_its_field():
    register = {key.removeprefix("step."): of for key, of in key_register().items()}
    sections = [("", load("dayzero")), *((f"wheel:{kind}", load("wheels")[kind]) for kind in ("all", *WHEELS))]
    for prefix, table in sections:
        for path, entry in entries(table):
            key = f"wheel.{path[-1]}" if prefix else ".".join(path[:2])
            value = shipped_value(entry, kind_of(key))
            of = register.get(key)
            if isinstance(of, Amount):
                assert of.limits[0] <= value.low <= value.high <= of.limits[1], key


def test_the_tables_cover_every_alloy_wheel_mineral_and_incoming_finish():
    assert set(load("alloys")) == set(ALLOYS)
    assert {alloy["metal"] for alloy in load("alloys").values()} == set(METALS)
    assert set(load("wheels")) == {"all", *WHEELS}
    assert set(load("belts")["minerals"]) == set(MINERALS)
    assert set(load("dayzero")["part"]["incoming_slope"]) == set(INCOMING)


def test_every_source_has_its_full_entry():
    assert len(sources()) > 5
    for key, entry in sources().items():
        assert key == key.lower()
        assert {"title", "author", "year", "pages", "status", "note"} <= set(entry), key
        assert entry["status"] in ("read", "from memory", "derived"), key


def test_no_two_files_of_sources_describe_the_same_one_differently():
    import tomllib
    from importlib import resources

    seen = {}
    for file in resources.files("evenlay.data").joinpath("sources").iterdir():
        for key in tomllib.loads(file.read_text(encoding="utf-8")) if file.name.endswith(".toml") else ():
            assert key not in seen, f"{key} stands in {seen.get(key)} and {file.name}"
            seen[key] = file.name
