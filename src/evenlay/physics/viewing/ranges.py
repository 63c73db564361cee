"""Range checks of the viewing models, written so that NaN fails."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def within(name: str, value: ArrayLike, *, low: float, high: float = np.inf, open_low: bool = False) -> Floats:
    """
    Return a value as an array, if all of it lies in the allowed range.

    Parameters
    ----------
    name : str
        Name of the quantity, for the error.
    value : array_like
        What was given. [SI]
    low, high : float
        Allowed ``low <= value <= high``, and finite. [SI]
    open_low : bool
        If true, ``low`` itself is not allowed.

    Returns
    -------
    numpy.ndarray
        The value as floats. [SI]

    Raises
    ------
    ValueError
        If any element is outside the range, NaN or infinite.

    Examples
    --------
    >>> within("distance", 0.6, low=0.0, open_low=True)
    array(0.6)
    """
    array = np.asarray(value, dtype=np.float64)
    above = array > low if open_low else array >= low
    if not np.all(above & (array <= high) & (array < np.inf)):
        sign = ">" if open_low else ">="
        bound = "" if high == np.inf else f" and <= {high:g}"
        raise ValueError(f"{name} must be {sign} {low:g}{bound} and finite")
    return array
