"""Records of what is read."""

import re

import numpy as np
import pytest

from evenlay.physics.surface_numbers.numbers import UNITS, Found, clause, told
from evenlay.physics.surface_numbers.settings import EDITIONS


@pytest.mark.parametrize("symbol", UNITS)
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_number_says_where_it_is_defined(symbol, edition):
    where = clause(symbol, edition=edition)
    assert re.fullmatch(r"ISO [0-9-]+:[0-9]{4}, [0-9](\.[0-9])+", where) or symbol.startswith("slope")
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


def test_a_number_is_written_as_its_edition_writes_it():
    found = Found({"Rmrk1": np.array([0.1]), "Rmrk2": np.array([0.9]), "Smrk1": np.array([0.1])}, {})
    new, old = (told(found, edition=edition) for edition in ("ISO 21920-3:2021", "ISO 4288:1996"))
    assert [each.symbol for each in new] == ["Rmrk1", "Rmrk2", "Smrk1"]
    assert [each.symbol for each in old] == ["Mr1", "Mr2", "Smrk1"]
    assert [each.clause for each in old] == ["ISO 13565-2:1996, 3.1.3", "ISO 13565-2:1996, 3.1.4", "ISO 25178-2:2021, 4.5.4"]
