"""A number that knows how it is known: its band, and where it comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Known = Literal["measured", "fitted", "handbook", "guess", "asked"]

KNOWN_ORDER: Final[tuple[Known, ...]] = ("guess", "handbook", "fitted", "measured", "asked")
"""From weakest to strongest; ``asked`` is a requirement, so it is never the weaker part."""

BAND_SCORE: Final = 1.6448536269514722
"""Standard normal score of the 95 % point: ``low`` and ``high`` are the 5 % and 95 % points."""

FACTOR_BAND: Final = 1.5
"""A positive value whose ``high / low`` exceeds this square is spread by factors (in its logarithm)."""


def weakest(known: tuple[Known, ...]) -> Known:
    """
    Weakest way of knowing among several: what a result that rests on all of them inherits.

    Examples
    --------
    >>> weakest(("measured", "guess", "handbook"))
    'guess'
    """
    return min(known, key=KNOWN_ORDER.index)


@dataclass(frozen=True)
class Value:
    """
    A number with its band, how it is known and its source.

    Parameters
    ----------
    number : float
        Central value. [SI]
    low, high : float
        5 % and 95 % points, ``low <= number <= high``. [SI]
    known : str
        One of ``measured``, ``fitted``, ``handbook``, ``guess``, ``asked``.
    source : str
        Where it comes from, in words a person can follow.

    Raises
    ------
    ValueError
        If a number is NaN or infinite, or the band does not contain the number.

    Examples
    --------
    >>> Value(35.0, 31.0, 39.0, "measured", "spring scale, 3 readings").spread_by_factor
    False
    >>> Value(1e-11, 3e-12, 3e-11, "guess", "day zero").spread_by_factor
    True
    """

    number: float
    low: float
    high: float
    known: Known
    source: str

    def __post_init__(self) -> None:  # noqa: D105
        if not all(math.isfinite(x) for x in (self.number, self.low, self.high)):
            raise ValueError(f"a value and its band must be finite numbers, not {self.number}, {self.low}, {self.high}")
        if not self.low <= self.number <= self.high:
            raise ValueError(f"the band {self.low} to {self.high} does not contain the value {self.number}")

    @classmethod
    def exact(cls, number: float, known: Known = "asked", source: str = "") -> Value:
        """Value without a band (a requirement, or a size whose error does not matter here)."""
        return cls(number, number, number, known, source)

    @property
    def spread_by_factor(self) -> bool:
        """Whether the band is that of a factor: then the spread is normal in the logarithm."""
        return self.low > 0.0 and self.high > FACTOR_BAND**2 * self.low

    def quantile(self, probability: ArrayLike) -> NDArray[np.float64]:
        """
        Draw the value at given probabilities.

        Parameters
        ----------
        probability : array_like
            Strictly between 0 and 1, any shape. [-]

        Returns
        -------
        numpy.ndarray
            Same shape. Two half-normal sides with the stated 5 % and 95 % points, in the logarithm where
            `spread_by_factor`. A side that ends on zero is uniform down to zero: zero is a bound there. [SI]

        Notes
        -----
        Both sides carry half of the probability, so the central value is the median.
        """
        u = np.asarray(probability, dtype=np.float64)
        if not np.all((u > 0.0) & (u < 1.0)):
            raise ValueError("probabilities must lie strictly between 0 and 1")
        score = normal_score(u)
        if self.spread_by_factor:
            down, up = math.log(self.number / self.low), math.log(self.high / self.number)
            return self.number * np.exp(np.where(score < 0.0, down, up) * score / BAND_SCORE)
        side = np.where(score < 0.0, self.number - self.low, self.high - self.number)
        spread = self.number + side * score / BAND_SCORE
        if self.low == 0.0 and self.number > 0.0:
            spread = np.where(u < 0.5, self.number * 2.0 * u, spread)
        return spread if self.low < 0.0 else np.maximum(spread, 0.0)


def normal_score(probability: ArrayLike) -> NDArray[np.float64]:
    """
    Inverse of the standard normal distribution function.

    Parameters
    ----------
    probability : array_like
        Strictly between 0 and 1. [-]

    Returns
    -------
    numpy.ndarray
        Scores, absolute error below 1e-8. [-]

    Notes
    -----
    Rational approximation with one Halley step would need ``erf``, which numpy lacks; Wichura's AS 241 (1988, PPND16)
    needs none and is exact to 16 figures. Written here because importing a statistics package costs more than a second.

    References
    ----------
    wichura-1988 (constants from memory; checked against the standard library's ``statistics.NormalDist``).

    Examples
    --------
    >>> float(normal_score(0.975).round(6))
    1.959964
    """
    p = np.asarray(probability, dtype=np.float64)
    q = p - 0.5
    r = 0.180625 - q * q
    central = q * np.polyval(_CENTRAL_TOP, r) / np.polyval(_CENTRAL_BOTTOM, r)
    tail = np.sqrt(-np.log(np.minimum(p, 1.0 - p)))
    near, far = tail - 1.6, tail - 5.0
    out = np.where(
        tail <= 5.0, np.polyval(_NEAR_TOP, near) / np.polyval(_NEAR_BOTTOM, near), np.polyval(_FAR_TOP, far) / np.polyval(_FAR_BOTTOM, far)
    )
    return np.where(np.abs(q) <= 0.425, central, np.sign(q) * out)


_CENTRAL_TOP = (
    2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
    13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608,
)  # fmt: skip
_CENTRAL_BOTTOM = (
    5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
    5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1.0,
)  # fmt: skip
_NEAR_TOP = (
    7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177, 1.27045825245236838258,
    3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734,
)  # fmt: skip
_NEAR_BOTTOM = (
    1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966, 0.14810397642748007459,
    0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1.0,
)  # fmt: skip
_FAR_TOP = (
    2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386, 0.026532189526576123093,
    0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699, 6.6579046435011037772,
)  # fmt: skip
_FAR_BOTTOM = (
    2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5, 7.868691311456132591e-4,
    0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769, 1.0,
)  # fmt: skip
