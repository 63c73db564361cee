"""Standards: ISO 4288:1996, ISO 21920-3:2021, ISO 3274:1996, cut-offs and lengths; Ra and RSm read, Rz in part from memory."""

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from evenlay.physics.surface_numbers.settings import setting, setting_for

TABLES = tomllib.loads((Path(__file__).parents[1] / "reference" / "cutoffs.toml").read_text(encoding="utf-8"))
OLD, NEW = "ISO 4288:1996", "ISO 21920-3:2021"
SCALE = {"Ra": 1e-6, "Rz": 1e-6, "RSm": 1e-3}
ROWS = [(edition, symbol, row) for edition in (OLD, NEW) for symbol in SCALE for row in TABLES[edition].get(symbol, [])]


@pytest.mark.parametrize(("edition", "symbol", "row"), ROWS, ids=lambda each: str(each))
def test_every_class_gives_its_cutoff_and_its_evaluation_length(edition, symbol, row):
    low, high, cutoff, length = row
    inside = [high * (1 - 1e-9), high, (low + high) / 2] if high else [low * 1.001 + 1, 1e6 * low + 1]
    for value in [*inside, low * (1 + 1e-9)]:
        if value > 0:
            used = setting_for(symbol, value * SCALE[symbol], edition=edition)
            assert used.cutoff == pytest.approx(cutoff * 1e-3)
            assert used.evaluation_length == pytest.approx(length * 1e-3)
            assert used.edition == edition


def test_ends_of_the_older_tables_are_ends():
    for symbol in SCALE:
        rows = TABLES[OLD][symbol]
        for outside in (rows[0][0], rows[-1][1] * 1.001):
            with pytest.raises(ValueError, match=f"has no class for {symbol}"):
                setting_for(symbol, outside * SCALE[symbol], edition=OLD)


def test_the_editions_agree_on_ra_and_part_on_rz():
    for old, new in zip(TABLES[OLD]["Ra"][1:-1], TABLES[NEW]["Ra"][1:-1], strict=True):
        assert old == new
    for value in (0.12, 0.6, 12.0, 60.0):
        assert setting_for("Rz", value * 1e-6, edition=OLD).cutoff > setting_for("Rz", value * 1e-6, edition=NEW).cutoff


def test_rows_of_a_table_follow_each_other_without_a_gap_and_hold_five_sections():
    for edition in (OLD, NEW):
        for symbol in SCALE:
            rows = TABLES[edition].get(symbol, [])
            assert all(above[0] == below[1] for below, above in pairwise(rows))
            assert all(row[3] == pytest.approx(5 * row[2]) for row in rows)


@pytest.mark.parametrize(("cutoff", "short", "tip", "ratio"), TABLES["ISO 3274:1996"]["rows"])
def test_short_wave_limit_and_tip_belong_to_the_cutoff(cutoff, short, tip, ratio):
    used = setting(cutoff * 1e-3)
    assert used.short_wave == pytest.approx(short * 1e-6)
    assert used.tip_radius == pytest.approx(tip * 1e-6)
    assert used.cutoff / used.short_wave == pytest.approx(ratio, rel=TABLES["ISO 3274:1996"]["ratio_tolerance"])


def test_the_misprinted_length_is_not_ours():
    assert setting(0.25e-3).evaluation_length == pytest.approx(1.25e-3)
