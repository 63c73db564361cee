"""Lines of a picture that come back turn after turn of the belt, and how visible they are in front of the rest of it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.viewing.masking import APERTURE_LENGTH, masked_sensitivity
from evenlay.physics.viewing.ranges import Floats, within
from evenlay.physics.viewing.sensitivity import APERTURE, LINE_GAIN, SEARCH_HIGH, SEARCH_LOW, contrast_sensitivity, degrees_per_metre

TURNS: Final = 2
"""Repeats that a face must hold before a belt line can be told from chance. [-]"""
ROWS_TO_BLOCK: Final = 4.0
"""Rows to a block, at least; where a turn holds fewer, a block holds more turns. [-]"""
ARRANGEMENTS: Final = 24
"""Ways in which the turns are shifted against each other for the control. [-]"""
CONTROL_SEED: Final = 20
FOUND: Final = 1.5
"""A line below this many times the control is not found. [-]"""
FEWEST_COLUMNS: Final = 16
CONVERGED: Final = 0.1
"""Share by which half the rows may differ before the rows are called too coarse. [-]"""

Shifts = NDArray[np.int64]


@dataclass(frozen=True)
class Repeat:
    """
    Scale of a picture, and what repeats in it.

    Parameters
    ----------
    pixel_across, pixel_along : float
        Size of a picture element, ``> 0``. [m]
    repeat : float
        Length along the grain after which the belt comes round, f L/v, ``> 0``; infinite when nothing repeats. [m]
    distance : float
        Eye to face, ``> 0``. [m]
    """

    pixel_across: float
    pixel_along: float
    repeat: float
    distance: float

    def __post_init__(self) -> None:
        """Refuse sizes that are none."""
        for name in ("pixel_across", "pixel_along", "distance"):
            if not 0.0 < getattr(self, name) < inf:
                raise ValueError(f"{name} must be > 0 and finite")
        if not self.repeat > 0.0:
            raise ValueError("repeat must be > 0")


@dataclass(frozen=True)
class RepeatingVisibility:
    """
    How visible the lines are that come back with every turn of the belt.

    Parameters
    ----------
    visibility : float
        Times just-visible; 0 where the picture is shorter than two turns, or where turns have less in common than chance. [-]
    control : float
        The same number for the same picture with its turns shifted sideways at random, so that nothing repeats: what chance gives, one
        standard deviation. [times just-visible]
    found : bool
        Whether the visibility is above 1.5 times the control.
    blocks : int
        Blocks of whole turns that were compared; 0 for a picture shorter than two turns. [-]
    half_rows : float
        The visibility from every other row only; NaN where too few are left. [times just-visible]
    """

    visibility: float
    control: float
    found: bool
    blocks: int
    half_rows: float

    @property
    def converged(self) -> bool:
        """Whether half of the rows give the same visibility within 10 %."""
        return abs(self.half_rows - self.visibility) <= CONVERGED * self.visibility


def repeating_visibility(
    contrast: Floats, *, pixel_across: float, pixel_along: float, repeat: float, distance: float, follow: float = 0.0
) -> RepeatingVisibility:
    r"""
    Visibility of the lines of a picture that come back with every turn of the belt.

    Parameters
    ----------
    contrast : numpy.ndarray
        Luminance over its mean, less 1, shape ``(rows, columns)``, rows across the grain. [-]
    pixel_across, pixel_along : float
        Size of a picture element, ``> 0``; above 0.1 mm across fine lines are lost at 0.6 m. [m]
    repeat : float
        Length along the grain after which the belt comes round, f L/v, ``> 0``. [m]
    distance : float
        Eye to face, ``> 0``. [m]
    follow : float
        Sideways shift from one block to the next within which lines are followed, ``>= 0``; 0 looks for them in place. [m]

    Returns
    -------
    RepeatingVisibility
        With its control.

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Blocks of whole turns are averaged along the grain; with :math:`F_k` the spectrum of block k across (Hann window, mean and slope taken
    out), what repeats is the mean over pairs of different blocks

    .. math:: S = \frac{|\sum F_k|^2 - \sum|F_k|^2}{n(n-1)}

    which is 0 on average where turns have nothing in common. The eye's aperture averages along the grain; what it leaves, P, less S, is
    the rest of the picture, and smoothed over an octave it masks: :math:`N_{ext} = (P - S)\,\ell/2`. Then
    :math:`V^2 = \kappa_n^2\int S\,CSF^2/(1 + CSF^2N_{ext}/B)\,df`. The picture is taken to go on along the grain as its own copy.
    The control shifts turns sideways; lines of one single pitch look like themselves again, so for them it is too high.

    References
    ----------
    watson-ahumada-2005; pelli-1981 for the masking; derived.

    Examples
    --------
    >>> lines = np.tile(0.02 * np.random.default_rng(1).standard_normal(600), (80, 1))
    >>> seen = repeating_visibility(lines, pixel_across=1e-4, pixel_along=5e-4, repeat=0.02, distance=0.6)
    >>> seen.blocks, seen.found, seen.visibility > 1.0
    (2, True, True)
    """
    picture = _checked(contrast)
    scale = Repeat(pixel_across, pixel_along, repeat, distance)
    reach = round(float(within("follow", follow, low=0.0)) / pixel_across)
    turned = _blocks(picture.shape[0], scale)
    if turned is None:
        return RepeatingVisibility(0.0, 0.0, False, 0, float("nan"))
    seen = _power(picture, turned, scale, reach)
    blocks = int(turned[-1]) + 1
    draw = np.random.default_rng(CONTROL_SEED)
    chance = np.empty(ARRANGEMENTS)
    for one in range(ARRANGEMENTS):
        apart = np.floor(draw.random(blocks) * picture.shape[1]).astype(np.int64)
        chance[one] = _power(_shifted(picture[: turned.size], apart[turned]), turned, scale, reach)
    control = float(np.sqrt(np.sqrt(np.mean(chance**2))))
    visibility = float(np.sqrt(max(seen, 0.0)))
    return RepeatingVisibility(visibility, control, visibility > FOUND * control, blocks, _half_rows(picture, scale, reach))


def _half_rows(picture: Floats, scale: Repeat, reach: int) -> float:
    """Visibility from every other row."""
    coarse = Repeat(scale.pixel_across, 2.0 * scale.pixel_along, scale.repeat, scale.distance)
    turned = _blocks(picture[::2].shape[0], coarse)
    return float("nan") if turned is None else float(np.sqrt(max(_power(picture[::2], turned, coarse, reach), 0.0)))


def shown_lines(contrast: Floats, scale: Repeat) -> float:
    """
    How much lines show, for comparing lights on one map.

    Parameters
    ----------
    contrast : numpy.ndarray
        Shape ``(rows, columns)``. [-]
    scale : Repeat
        Size of picture elements, repeat, distance.

    Returns
    -------
    float
        Times just-visible of what repeats, in place; negative where turns have less in common than chance. For a picture shorter than
        two turns, times just-visible of its mean along the grain on an even ground. [-]
    """
    picture = _checked(contrast)
    turned = _blocks(picture.shape[0], scale)
    if turned is None:
        frequency, mean = _spectra(picture, scale.pixel_across)
        density = _density(np.mean(mean, axis=0), picture.shape[1], scale.pixel_across)
        gain = contrast_sensitivity(np.minimum(frequency / float(degrees_per_metre(scale.distance)), SEARCH_HIGH))
        return float(LINE_GAIN * np.sqrt(np.sum(density * gain * gain) * frequency[0]))
    power = _power(picture, turned, scale, 0)
    return float(np.sign(power) * np.sqrt(abs(power)))


def _checked(contrast: Floats) -> Floats:
    """Contrast as rows of enough columns."""
    picture = within("contrast", contrast, low=-inf, open_low=True)
    if not (picture.ndim == 2 and picture.shape[0] >= 1 and picture.shape[1] >= FEWEST_COLUMNS):
        raise ValueError(f"contrast must have rows of at least {FEWEST_COLUMNS} picture elements")
    return picture


def _blocks(rows: int, scale: Repeat) -> Shifts | None:
    """Block to which each row belongs, as far as blocks are whole; None where fewer than two turns fit."""
    turn = scale.repeat / scale.pixel_along
    if not rows / turn >= TURNS - 1e-6:
        return None
    most = floor(rows / turn + 1e-6)
    whole = min(ceil(ROWS_TO_BLOCK / turn - 1e-9), most // TURNS)
    count = most // max(whole, 1)
    kept = min(round(count * whole * turn), rows)
    return np.asarray(np.minimum(np.floor((np.arange(kept) + 0.5) / (whole * turn)), count - 1), dtype=np.int64)


def _spectra(picture: Floats, pixel: float) -> tuple[Floats, NDArray[np.complex128]]:
    """Frequencies [cycles/m] without 0, and the spectrum of each row under a Hann window, mean and slope taken out."""
    points = picture.shape[1]
    place = np.arange(points) - 0.5 * (points - 1)
    slope = np.sum(picture * place, axis=1, keepdims=True) / np.sum(place * place)
    rest = picture - np.mean(picture, axis=1, keepdims=True) - slope * place
    return np.asarray(np.fft.rfftfreq(points, pixel)[1:]), np.asarray(np.fft.rfft(rest * np.hanning(points), axis=1)[:, 1:])


def _density(spectrum: NDArray[np.complex128], points: int, pixel: float) -> Floats:
    """One-sided density [m] of a spectrum from `_spectra`."""
    return np.asarray(2.0 * pixel * np.abs(spectrum) ** 2 / np.sum(np.hanning(points) ** 2))


def _power(picture: Floats, turned: Shifts, scale: Repeat, reach: int) -> float:
    """Square of the visibility, below 0 where turns have less in common than chance."""
    kept = picture[: turned.size]
    if reach > 0:
        kept = _shifted(kept, _followed(kept, turned, scale, reach))
    frequency, spectra = _spectra(kept, scale.pixel_across)
    unit = 2.0 * scale.pixel_across / np.sum(np.hanning(picture.shape[1]) ** 2)
    blocks = int(turned[-1]) + 1
    means = np.stack([np.mean(spectra[turned == one], axis=0) for one in range(blocks)])
    both = np.abs(np.sum(means, axis=0)) ** 2 - np.sum(np.abs(means) ** 2, axis=0)
    signal = unit * both / (blocks * (blocks - 1))
    angle = float(degrees_per_metre(scale.distance))
    along = np.fft.fftfreq(turned.size, scale.pixel_along) / angle
    passed = np.exp(-((2.0 * np.pi * APERTURE * along) ** 2))
    left = unit * np.sum(np.abs(np.fft.fft(spectra, axis=0)) ** 2 * passed[:, None], axis=0) / turned.size**2
    rest = np.maximum(_octave(left - signal), 0.0)
    seen = frequency / angle
    inside = (seen >= SEARCH_LOW) & (seen <= SEARCH_HIGH)
    gain = masked_sensitivity(seen[inside], 0.5 * APERTURE_LENGTH * angle * rest[inside])
    return float(LINE_GAIN**2 * np.sum(signal[inside] * gain * gain) * frequency[0])


def _octave(density: Floats) -> Floats:
    """Mean over half an octave on either side; frequencies are even, the first is one step above 0."""
    order = np.arange(1, density.size + 1)
    total = np.concatenate((np.zeros(1), np.cumsum(density)))
    first = np.maximum(np.ceil(order / np.sqrt(2.0)).astype(np.int64), 1)
    last = np.minimum(np.floor(order * np.sqrt(2.0)).astype(np.int64), density.size)
    return np.asarray((total[last] - total[first - 1]) / (last - first + 1))


def _shifted(picture: Floats, shifts: Shifts) -> Floats:
    """Rows moved sideways round their own ends by whole picture elements."""
    columns = (np.arange(picture.shape[1]) - shifts[:, None]) % picture.shape[1]
    return np.asarray(np.take_along_axis(picture, columns, axis=1))


def _followed(picture: Floats, turned: Shifts, scale: Repeat, reach: int) -> Shifts:
    """Sideways shift of each row that lays the lines of each block on those before it, straight between the middles of blocks."""
    points, blocks = picture.shape[1], int(turned[-1]) + 1
    frequency, spectra = _spectra(picture, scale.pixel_across)
    gain = contrast_sensitivity(frequency / float(degrees_per_metre(scale.distance)))
    means = [np.mean(spectra[turned == one], axis=0) * gain for one in range(blocks)]
    turn = -2j * np.pi * np.arange(1, frequency.size + 1) / points
    found = np.zeros(blocks, dtype=np.int64)
    model = means[0].copy()
    for one in range(1, blocks):
        both = np.fft.irfft(np.concatenate((np.zeros(1), model * np.conj(means[one]))), points)
        tried = found[one - 1] + np.arange(-reach, reach + 1)
        found[one] = tried[int(np.argmax(both[tried % points]))]
        model = model + means[one] * np.exp(turn * found[one])
    middles = np.array([np.mean(np.flatnonzero(turned == one)) for one in range(blocks)])
    return np.asarray(np.round(np.interp(np.arange(turned.size), middles, found)), dtype=np.int64)
