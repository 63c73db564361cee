from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing.ranges import within


@pytest.mark.parametrize("value", [np.nan, np.inf, -1.0, [0.5, np.nan], 3.0])
def test_what_is_out_of_range_or_no_number_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="size must be >= 0 and <= 2"):
        within("size", value, low=0.0, high=2.0)


def test_an_open_bound_excludes_itself() -> None:
    with pytest.raises(ValueError, match="size must be > 0 and finite"):
        within("size", 0.0, low=0.0, open_low=True)
    assert float(within("size", 0.0, low=0.0)) == 0.0
