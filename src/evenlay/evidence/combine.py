"""From what was known and what was measured to what is known now."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.evidence.least_squares import student_score
from evenlay.quantities.known import BAND_SCORE, Known, Value, normal_score
from evenlay.quantities.remarks import Remark

Array = NDArray[np.float64]

REACH: Final = 7.0
"""Normal scores of the prior are searched from minus to plus this."""

SURPRISE: Final = 2.6
"""A measurement further than this from what was expected is remarked on (one in a hundred by chance). [standard deviations]"""


@dataclass(frozen=True)
class Likelihood:
    """
    What one measurement says about one quantity.

    Parameters
    ----------
    number : float
        What was read. [SI]
    noise : float
        Standard deviation of reading, ``>= 0``. [SI]
    relative : float
        Standard deviation in proportion to the quantity, ``>= 0``. [-]
    freedom : float
        Degrees of freedom behind the deviations; infinite when they are known. [-]
    source : str
        In words.

    Raises
    ------
    ValueError
        If a number is NaN or infinite, both deviations are zero, or there is less than one degree of freedom.
    """

    number: float
    noise: float
    relative: float = 0.0
    freedom: float = math.inf
    source: str = ""

    def __post_init__(self) -> None:  # noqa: D105
        if not math.isfinite(self.number):
            raise ValueError(f"a measured number must be finite, not {self.number}")
        if not (0.0 <= self.noise < math.inf and 0.0 <= self.relative < math.inf and self.noise + self.relative > 0.0):
            raise ValueError("a measurement needs a scatter above zero: no instrument is exact")
        if not self.freedom >= 1.0:
            raise ValueError(f"degrees of freedom must be at least 1, not {self.freedom}")

    def deviation(self, at: ArrayLike) -> Array:
        """Return the standard deviation of reading a quantity of this size, same shape. [SI]"""
        return np.asarray(np.hypot(self.noise, self.relative * np.asarray(at, dtype=np.float64)), dtype=np.float64)

    def log_density(self, at: ArrayLike) -> Array:
        """
        Logarithm of how likely the reading is, for each size of the quantity, up to a constant.

        Parameters
        ----------
        at : array_like
            Sizes of the quantity, any shape. [SI]

        Returns
        -------
        numpy.ndarray
            Same shape. [-]
        """
        x = np.asarray(at, dtype=np.float64)
        sd = np.maximum(self.deviation(x), 1e-300)
        score = (self.number - x) / sd
        if math.isinf(self.freedom):
            return np.asarray(-0.5 * score**2 - np.log(sd), dtype=np.float64)
        return np.asarray(-0.5 * (self.freedom + 1.0) * np.log1p(score**2 / self.freedom) - np.log(sd), dtype=np.float64)

    def value(self, known: Known = "measured") -> Value:
        """
        Band of the measurement alone, nothing known before.

        Returns
        -------
        Value
            5 % and 95 % points; in the logarithm where the scatter is mostly in proportion.
        """
        t = student_score(self.freedom)
        sd = float(self.deviation(self.number))
        if self.number > 0.0 and self.relative * self.number >= self.noise:
            factor = math.exp(t * sd / self.number)
            return Value(self.number, self.number / factor, self.number * factor, known, self.source)
        return Value(self.number, self.number - t * sd, self.number + t * sd, known, self.source)


@dataclass(frozen=True)
class Posterior:
    """
    A value after measuring.

    ``value``; ``narrowing``: width of the band now over before, in the prior's normal scores; ``surprise``: distance of the
    measurement from what was expected, in standard deviations of both; ``remarks``.
    """

    value: Value
    narrowing: float
    surprise: float
    remarks: tuple[Remark, ...]


def normal_probability(score: ArrayLike) -> Array:
    """
    Standard normal distribution function.

    Examples
    --------
    >>> normal_probability([0.0, 1.6448536269514722]).round(6).tolist()
    [0.5, 0.95]
    """
    z = np.asarray(score, dtype=np.float64)
    flat = np.fromiter((0.5 * math.erfc(-x / math.sqrt(2.0)) for x in z.ravel().tolist()), dtype=np.float64, count=z.size)
    return flat.reshape(z.shape)


def value_at_scores(value: Value, scores: ArrayLike) -> Array:
    """
    Quantity at given normal scores of its band: the way from joint draws back to quantities.

    Parameters
    ----------
    value : Value
        Number and band. [SI]
    scores : array_like
        Any shape; cut at plus and minus `REACH`. [-]

    Returns
    -------
    numpy.ndarray
        Same shape. Score 0 gives the number, plus and minus 1.645 the ends of the band. [SI]

    Examples
    --------
    >>> value_at_scores(Value(5.0, 2.0, 12.0, "guess", "day zero"), [-1.6448536269514722, 0.0, 1.6448536269514722]).round(6).tolist()
    [2.0, 5.0, 12.0]
    """
    return value.quantile(normal_probability(np.clip(np.asarray(scores, dtype=np.float64), -REACH, REACH)))


def score_of(value: Value, number: float) -> float:
    """
    Normal score of a number in a band (the inverse of `value_at_scores`).

    Parameters
    ----------
    value : Value
        A band of width above zero. [SI]
    number : float
        [SI]

    Returns
    -------
    float
        Cut at plus and minus `REACH`. [-]
    """
    if value.spread_by_factor:
        if not number > 0.0:
            return -REACH
        away_from = math.log(number / value.number)
        side = math.log(value.high / value.number) if away_from > 0.0 else math.log(value.number / value.low)
    else:
        away_from = number - value.number
        side = value.high - value.number if away_from > 0.0 else value.number - value.low
        if away_from < 0.0 and value.low == 0.0:
            half = max(number, 0.0) / value.number * 0.5
            return max(float(normal_score(half)), -REACH) if half > 0.0 else -REACH
    if away_from == 0.0:
        return 0.0
    return min(max(away_from / side * BAND_SCORE, -REACH), REACH) if side > 0.0 else math.copysign(REACH, away_from)


def posterior(
    prior: Value, likelihoods: Sequence[Likelihood], *, known: Known = "measured", source: str = "", where: str = ""
) -> Posterior:
    """
    Combine what was known with what was measured.

    Parameters
    ----------
    prior : Value
        Before. [SI]
    likelihoods : sequence of Likelihood
        Independent measurements of the same quantity; errors they share belong inside one `Likelihood`. Empty returns the prior.
    known : str
        How the result is known: ``measured``, or ``fitted`` when a model stands between the reading and the quantity.
    source : str
        In words; the likelihoods' sources joined when empty.
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    Posterior
        Median, 5 % and 95 % points of prior times likelihoods.

    Notes
    -----
    Summed on a grid in the prior's normal score z, where the prior is standard normal:
    :math:`p(z) \\propto \\exp(-z^2/2)\\prod_i L_i(x(z))`. The grid is laid again around the peak until it resolves it. A prior
    without a band is no prior (see `evenlay.evidence.effective`); a measurement beyond `REACH` throws the prior away, with a caution.
    """
    if not likelihoods:
        return Posterior(prior, 1.0, 0.0, ())
    words = source or "; ".join(dict.fromkeys(each.source for each in likelihoods if each.source))
    alone = together(likelihoods, known=known, source=words)
    if not prior.high > prior.low:
        said = f"{prior.number:.4g} stood without a band; the measured {alone.number:.4g} replaces it. Give the band, or take it out."
        return Posterior(alone, 0.0, 0.0, (Remark("evidence-replaces-value", "note", said, "order of precedence", where),))
    low, middle, high = score_band(lambda z: _sum_of_logs(likelihoods, value_at_scores(prior, z)))
    narrowing = (high - low) / (2.0 * BAND_SCORE)
    at = score_of(prior, alone.number)
    spread = abs(score_of(prior, alone.high) - score_of(prior, alone.low)) / (2.0 * BAND_SCORE)
    surprise = math.copysign(strain(prior, likelihoods), at)
    remarks = _surprise_remarks(prior, alone, surprise, where)
    if abs(at) >= REACH - 1e-6 and spread < 1.0:
        return Posterior(alone, narrowing, surprise, remarks)
    x = value_at_scores(prior, [low, middle, high])
    kept = known if narrowing < 0.9 else prior.known
    return Posterior(Value(float(x[1]), float(x[0]), float(x[2]), kept, words or prior.source), narrowing, surprise, remarks)


def _sum_of_logs(likelihoods: Sequence[Likelihood], x: Array) -> Array:
    total = np.zeros_like(x)
    for each in likelihoods:
        total = total + each.log_density(x)
    return total


def strain(prior: Value, likelihoods: Sequence[Likelihood]) -> float:
    """
    How far measurements lie from what was expected, in standard deviations of both.

    Parameters
    ----------
    prior : Value
        Before, with a band of width above zero. [SI]
    likelihoods : sequence of Likelihood
        At least one.

    Returns
    -------
    float
        ``>= 0``. [-]

    Notes
    -----
    Least of :math:`z^2 + D(x(z))` less the least of D alone, and the root: z the prior's normal score, D the squared residuals. For
    even bands it is the distance over the root of the sum of both variances; unlike that, it stays right where a reading is near
    zero or blind.

    Examples
    --------
    >>> prior = Value(10.0, 10.0 - 1.6448536, 10.0 + 1.6448536, "guess", "one standard deviation is 1")
    >>> round(strain(prior, [Likelihood(15.0, noise=0.75)]), 2)
    4.0
    """
    read = np.array([each.number for each in likelihoods])
    read = np.append(read, np.mean(read))
    # The readings' own scores are in the grid: a sharp reading would fall between its steps.
    z = np.append(np.linspace(-REACH, REACH, 1401), [score_of(prior, number) for number in read.tolist()])
    squares = _squares(likelihoods, value_at_scores(prior, z))
    # Where the readings agree best may lie outside all that the prior reaches.
    least = min(float(np.min(squares)), float(np.min(_squares(likelihoods, read))))
    return math.sqrt(max(float(np.min(z**2 + squares)) - least, 0.0))


def _squares(likelihoods: Sequence[Likelihood], x: Array) -> Array:
    total = np.zeros_like(x)
    for each in likelihoods:
        total = total + ((each.number - x) / np.maximum(each.deviation(x), 1e-300)) ** 2
    return total


def score_band(log_likelihood: Callable[[Array], Array]) -> tuple[float, float, float]:
    """
    5 %, 50 % and 95 % points of a normal score after measuring.

    Parameters
    ----------
    log_likelihood : callable
        Scores of the prior, shape (m,), to the logarithm of the likelihood there. [-]

    Returns
    -------
    tuple of float
        Low, middle, high. [-]

    Notes
    -----
    The prior of a score is standard normal. Summed by trapezoids on 801 points between plus and minus `REACH`, laid again around
    the peak until it is resolved.

    Examples
    --------
    >>> [round(x, 3) for x in score_band(lambda z: np.zeros_like(z))]
    [-1.645, 0.0, 1.645]
    """
    low, high = -REACH, REACH
    score: Array = np.zeros(1)
    weight: Array = np.zeros(1)
    for _ in range(6):
        score = np.asarray(np.linspace(low, high, 801), dtype=np.float64)
        log = log_likelihood(score) - 0.5 * score**2
        weight = np.exp(log - np.max(log))
        inside = np.flatnonzero(weight > 1e-9)
        first, last = max(int(inside[0]) - 1, 0), min(int(inside[-1]) + 1, score.size - 1)
        if last - first > 400:
            break
        low, high = float(score[first]), float(score[last])
    share = np.concatenate([[0.0], np.cumsum(0.5 * (weight[1:] + weight[:-1]) * np.diff(score))])
    points = np.interp([0.05, 0.5, 0.95], share / share[-1], score)
    return float(points[0]), float(points[1]), float(points[2])


def _surprise_remarks(prior: Value, alone: Value, surprise: float, where: str) -> tuple[Remark, ...]:
    if not abs(surprise) > SURPRISE:
        return ()
    said = (
        f"measured {_against(alone.number, prior.number)} ({abs(surprise):.1f} standard deviations "
        "off). Check the units and the settings of the trial; if they are right, the expectation was wrong."
    )
    return (Remark("evidence-surprise", "caution", said, prior.source, where),)


def _against(number: float, expected: float) -> str:
    """Return a measured number against the expected one, in words without a unit."""
    if not number * expected > 0.0:
        return "nothing where something was expected" if expected != 0.0 else "something where nothing was expected"
    factor = number / expected
    return f"{factor:.3g} times what was expected" if factor >= 1.0 else f"1/{1.0 / factor:.3g} of what was expected"


def together(likelihoods: Sequence[Likelihood], *, known: Known = "measured", source: str = "") -> Value:
    """
    Band of several measurements of one quantity, nothing known before.

    Parameters
    ----------
    likelihoods : sequence of Likelihood
        At least one.
    known, source : str
        As in `posterior`.

    Returns
    -------
    Value
        One measurement: its own band. Several: weighted mean and its band; when they disagree more than their scatter allows,
        the band is widened by the root of the excess (never narrowed).

    References
    ----------
    birge-1932 (from memory): the ratio by which deviations of discordant data are widened.
    """
    if len(likelihoods) == 1:
        only = likelihoods[0].value(known)
        return Value(only.number, only.low, only.high, known, source or only.source)
    numbers = np.array([each.number for each in likelihoods])
    centre = float(np.mean(numbers))
    for _ in range(4):
        weights = np.array([float(each.deviation(centre)) ** -2 for each in likelihoods])
        centre = float(np.sum(weights * numbers) / np.sum(weights))
    excess = math.sqrt(max(float(np.sum(weights * (numbers - centre) ** 2)) / (numbers.size - 1), 1.0))
    freedom = float(np.sum([min(each.freedom, 1e6) for each in likelihoods]))
    half = student_score(freedom) * excess / math.sqrt(float(np.sum(weights)))
    return Value(centre, centre - half, centre + half, known, source)
