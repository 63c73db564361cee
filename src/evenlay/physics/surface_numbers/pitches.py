"""Peaks of a spectrum, named as spacings on the face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers.spectrum import HANN_SPREAD, Spectrum
from evenlay.quantities.known import normal_score
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

FALSE_ALARM: Final = 0.01
"""Probability that a spectrum without a line shows one. [-]"""

BLOCK_BINS: Final = 31
"""Fewest bins of which a median makes the ground under the peaks."""

BLOCK_GROWTH: Final = 1.15
"""Ratio of the highest to the lowest frequency of a block, where that holds more bins. [-]"""

MEDIAN_SHARE: Final = float(np.log(2.0))
"""Median over mean of the ground of one row. [-]"""

FEWEST_WAVES: Final = 3.0
"""Waves of a pitch that the length must hold. [-]"""

FINEST: Final = 0.2e-3
"""Shortest pitch looked for, where no other is asked: below it the grooves themselves lie (common practice, no source). [m]"""


@dataclass(frozen=True)
class Pitch:
    """
    A spacing that stands out of a spectrum.

    Parameters
    ----------
    pitch : float
        Distance from one line to the next. [m]
    low, high : float
        Its 90 % band. [m]
    amplitude : float
        Of the sine with the power of the peak over its ground. [m]
    ratio : float
        Density of the peak over the middle of the ground around it. [-]
    multiple : int
        1, or n where it is the n-th harmonic of ``base``.
    base : float
        Pitch of which it is a harmonic; its own where it is none. [m]
    """

    pitch: float
    low: float
    high: float
    amplitude: float
    ratio: float
    multiple: int
    base: float


def pitches(
    spectrum: Spectrum, *, shortest: float = FINEST, longest: float | None = None, false_alarm: float = FALSE_ALARM
) -> tuple[Pitch, ...]:
    r"""
    Spacings that stand out of the ground of a spectrum.

    Parameters
    ----------
    spectrum : Spectrum
        Hann-windowed, as `height_spectrum` makes it.
    shortest, longest : float
        Pitches looked for; no shorter than four points and no longer than a third of the length whatever is asked. [m]
    false_alarm : float
        Probability that a spectrum of pure noise shows anything, between 0 and 0.5; where the ground falls as steeply as that of a
        random walk it is about four times as much, at the longest pitches. [-]

    Returns
    -------
    tuple of Pitch
        Strongest amplitude first; empty where nothing stands out or fewer than 62 bins lie in the range.

    Raises
    ------
    ValueError
        If a length is not positive or the probability is out of range.

    Notes
    -----
    The ground is the median of blocks of at least 31 bins, straight between them in the logarithms; it
    counts as higher by its own standard deviation. Of a random surface the bins
    scatter as a gamma distribution whose shape (1 for one row, more where rows differ) is read off the quartiles of the ratios to the
    ground; the limit is its quantile at :math:`1 - p/m` for m bins (Wilson and Hilferty's cube root). The place of a peak between
    bins follows from the higher neighbour, :math:`\delta = (2r - 1)/(r + 1)` with r the ratio of the amplitudes.

    References
    ----------
    wilson-hilferty-1931; the rest derived.

    Examples
    --------
    >>> from evenlay.physics.surface_numbers.spectrum import height_spectrum
    >>> ground = np.random.default_rng(1).normal(size=20000) * 2e-7
    >>> x = np.arange(20000) * 5e-6
    >>> found = pitches(height_spectrum(ground + 5e-8 * np.sin(2.0 * np.pi * x / 3.3e-3), spacing=5e-6))
    >>> [(round(each.pitch * 1e3, 2), round(each.amplitude * 1e9)) for each in found]
    [(3.3, 50)]
    """
    fine = max(float(positive("shortest", shortest)), 4.0 * spectrum.spacing)
    coarse = spectrum.length / FEWEST_WAVES
    coarse = coarse if longest is None else min(coarse, float(positive("longest", longest)))
    if not 0.0 < false_alarm < 0.5:
        raise ValueError("the probability of a false alarm must lie between 0 and 0.5")
    asked = np.flatnonzero((spectrum.frequency >= 1.0 / coarse) & (spectrum.frequency <= 1.0 / fine))
    if asked.size < 2 * BLOCK_BINS:
        return ()
    asked = asked[(asked > 0) & (asked < spectrum.frequency.size - 1)]
    ground, doubt = _ground(spectrum, asked)
    ratio = spectrum.density[asked] / ground
    limit = doubt * _limit(ratio, rows=spectrum.rows, probability=false_alarm / asked.size)
    density = spectrum.density
    top = (ratio > limit) & (density[asked] > density[asked - 1]) & (density[asked] >= density[asked + 1])
    found = [_peak(spectrum, int(bin_), float(under)) for bin_, under in zip(asked[top], ground[top], strict=True)]
    found.sort(key=lambda each: (-each.amplitude, each.pitch))
    return tuple(_named(each, found, spectrum.step) for each in found)


def length_for_pitches(*, spacing: float) -> float:
    r"""
    Shortest row in whose spectrum spacings are looked for.

    Parameters
    ----------
    spacing : float
        Between the points of a row, ``> 0``. [m]

    Returns
    -------
    float
        So long that from a third of it down to the shortest pitch there lie two blocks of bins: the ground under a peak needs
        neighbours. [m]

    Notes
    -----
    From :math:`3/L` to :math:`1/\lambda` there are :math:`L/\lambda - 2` bins, :math:`\lambda` the longer of 0.2 mm and four points.

    References
    ----------
    derived.

    Examples
    --------
    >>> round(length_for_pitches(spacing=4e-6) * 1e3, 6)
    12.8
    """
    finest = max(FINEST, 4.0 * float(positive("spacing", spacing)))
    return (2.0 * BLOCK_BINS + FEWEST_WAVES - 1.0) * finest


def _ground(spectrum: Spectrum, asked: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Median level under the peaks at the bins asked, and the factor by which it may be too low."""
    middles, levels, doubts = [], [], []
    first = int(asked[0])
    end = int(asked[-1]) + 1
    while first < end:
        last = max(first + BLOCK_BINS, int(first * BLOCK_GROWTH))
        last = end if end - last < BLOCK_BINS else last
        middles.append(float(np.median(spectrum.frequency[first:last])))
        levels.append(max(float(np.median(spectrum.density[first:last])), 1e-300))
        doubts.append(float(np.exp(np.sqrt(HANN_SPREAD / (last - first)) / MEDIAN_SHARE)))
        first = last
    x, y = np.log(middles), np.log(levels)
    at = np.log(spectrum.frequency[asked])
    inside = np.interp(at, x, y)
    if len(x) > 1:
        inside = np.where(at < x[0], y[0] + (at - x[0]) * (y[1] - y[0]) / (x[1] - x[0]), inside)
    return np.asarray(np.exp(inside)), np.interp(at, x, doubts)


def _limit(ratio: Floats, *, rows: int, probability: float) -> float:
    """Ratio to the median that noise passes with this probability in a bin."""
    low, high = np.quantile(ratio, [0.25, 0.75])
    quartile = float(normal_score(0.75))
    root = float(np.cbrt(high / low)) if low > 0.0 else np.inf
    lean = quartile * (root + 1.0) / (root - 1.0) if root < np.inf else quartile
    spread = 0.5 * (np.sqrt(lean * lean + 4.0) - lean)  # 1 / (3 sqrt(shape))
    spread = float(np.clip(spread, 1.0 / (3.0 * np.sqrt(rows)), 1.0 / 3.0))
    middle = 1.0 - spread * spread
    return float(((middle + float(normal_score(1.0 - probability)) * spread) / middle) ** 3)


def _peak(spectrum: Spectrum, bin_: int, ground: float) -> Pitch:
    """One peak: its place between bins, its band, its amplitude."""
    density, step = spectrum.density, spectrum.step
    left, right = float(density[bin_ - 1]), float(density[bin_ + 1])
    beside = np.sqrt(max(left, right) / float(density[bin_]))
    shift = (2.0 * beside - 1.0) / (beside + 1.0)
    frequency = float(spectrum.frequency[bin_]) + step * float(np.clip(shift, 0.0, 0.5)) * (1.0 if right >= left else -1.0)
    near = density[max(bin_ - 2, 0) : bin_ + 3]
    mean_ground = ground / MEDIAN_SHARE
    power = max(float(np.sum(near - mean_ground)), 0.0) * step
    error = 1.645 * step * (0.01 + float(np.sqrt(mean_ground / density[bin_])))
    return Pitch(
        pitch=1.0 / frequency,
        low=1.0 / (frequency + error),
        high=1.0 / max(frequency - error, 1e-12),
        amplitude=float(np.sqrt(2.0 * power)),
        ratio=float(density[bin_]) / ground,
        multiple=1,
        base=1.0 / frequency,
    )


def _named(each: Pitch, found: list[Pitch], step: float) -> Pitch:
    """The same peak, told as a harmonic of a stronger or longer one where it is one."""
    for other in sorted(found, key=lambda candidate: -candidate.pitch):
        times = round(other.pitch / each.pitch)
        own, base = 1.0 / each.pitch, 1.0 / other.pitch
        reach = (1.0 / each.low - own) + times * (1.0 / other.low - base)
        if times >= 2 and abs(own - times * base) <= min(reach, 0.5 * step * times):
            return Pitch(each.pitch, each.low, each.high, each.amplitude, each.ratio, times, other.pitch)
    return each
