"""Records of what is read."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.numbers import UNITS, Found, clause, told
from evenlay.physics.surface_numbers.settings import EDITIONS


@pytest.mark.parametrize("symbol", UNITS)
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_number_says_where_it_is_defined(symbol, edition):
    where = clause(symbol, edition=edition)
    assert where.startswith("ISO ") or symbol.startswith("slope")
    assert symbol.startswith(("S", "slope")) or ("21920" in where) == (edition == "ISO 21920-3:2021")


def test_an_unknown_number_is_refused():
    with pytest.raises(ValueError, match="there is no number Rmax"):
        clause("Rmax", edition=EDITIONS[0])


def test_numbers_are_told_in_one_order_with_mean_scatter_and_reason():
    found = Found({"Sq": np.array([2.0]), "Ra": np.array([1.0, 2.0, 3.0])}, {"Rz": "too short", "Ra": "not asked"})
    ra, rz, sq = told(found, edition=EDITIONS[0])
    assert (ra.symbol, ra.value, ra.scatter, ra.unit, ra.reason) == ("Ra", 2.0, 1.0, "m", "")
    assert (rz.symbol, rz.value, rz.scatter, rz.reason) == ("Rz", None, None, "too short")
    assert (sq.value, sq.scatter) == (2.0, None)
