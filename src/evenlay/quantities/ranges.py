"""Range checks that every model shares, written so that NaN fails."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def positive(name: str, value: ArrayLike) -> Array:
    """
    Return a value as an array, if all of it is above zero and finite.

    Parameters
    ----------
    name : str
        Name of the quantity, for the error.
    value : array_like
        What was given. [any]

    Returns
    -------
    numpy.ndarray
        The value as floats. [as given]

    Raises
    ------
    ValueError
        If any element is zero, negative, NaN or infinite.

    Examples
    --------
    >>> positive("feed", 0.12)
    array(0.12)
    """
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array > 0.0) & (array < np.inf)):
        raise ValueError(f"{name} must be positive and finite")
    return array


def not_negative(name: str, value: ArrayLike) -> Array:
    """
    Return a value as an array, if all of it is zero or more and finite.

    Parameters
    ----------
    name : str
        Name of the quantity, for the error.
    value : array_like
        What was given. [any]

    Returns
    -------
    numpy.ndarray
        The value as floats. [as given]

    Raises
    ------
    ValueError
        If any element is negative, NaN or infinite.

    Examples
    --------
    >>> not_negative("force", 0.0)
    array(0.)
    """
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array >= 0.0) & (array < np.inf)):
        raise ValueError(f"{name} must not be negative, and must be finite")
    return array
