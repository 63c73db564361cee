"""Open tables: Ra against grit on stainless from four trade sources, read; they disagree, so band and order only."""

import tomllib
from pathlib import Path

import pytest

from evenlay.job.shipped import grain_values
from evenlay.quantities.grit import Grit

REFERENCE = tomllib.loads((Path(__file__).parents[1] / "reference" / "roughness_by_grit.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("table", REFERENCE["table"], ids=lambda table: table["source"])
def test_every_published_roughness_lies_in_the_band_of_its_grit(table):
    for number, ra in table["values"]:
        value = grain_values(Grit(table["scale"], number))["belt.roughness"]
        assert value.low <= ra * 1e-6 <= value.high, (number, ra)


def test_the_centre_lies_between_the_published_values_where_they_overlap():
    for number in (180, 240):
        all_of_them = [ra * 1e-6 for table in REFERENCE["table"] for grit, ra in table["values"] if grit == number]
        centre = grain_values(Grit("US", number))["belt.roughness"].number
        assert min(all_of_them) * 0.85 <= centre <= max(all_of_them)


def test_the_one_outlier_lies_outside_and_is_known_to():
    for number, ra in REFERENCE["outlier"][0]["values"]:
        assert ra * 1e-6 > grain_values(Grit("US", number))["belt.roughness"].high
