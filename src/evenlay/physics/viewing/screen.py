"""A picture as a screen or a print shows it: eight bits, their coding, and what of a line is left in them."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.viewing.observer import observer_visibility
from evenlay.physics.viewing.ranges import Floats, within

Codes = NDArray[np.uint8]

LEVELS: Final = 255
"""Highest code. [-]"""
TOE: Final = 0.0031308
TOE_SLOPE: Final = 12.92
GAMMA: Final = 2.4
LIFT: Final = 0.055
"""Coding of the standard screen: straight up to the toe, a power above it. [-]"""
CLIPPED: Final = 0.001
"""Share of a picture that may be brighter than white. [-]"""
DITHER_SEED: Final = 7


@dataclass(frozen=True)
class ScreenPicture:
    """
    A picture in eight bits.

    Parameters
    ----------
    codes : numpy.ndarray
        0 to 255 in the coding of the standard screen, shape ``(rows, columns)``.
    white : float
        Luminance that is shown as 255, in the unit of the picture.
    clipped : float
        Share of picture elements brighter than that: they are shown too dark. [-]
    step : float
        Contrast of one code at the mean luminance. [-]
    """

    codes: Codes
    white: float
    clipped: float
    step: float


def screen_code(luminance: ArrayLike) -> Floats:
    r"""
    Coding of the standard screen.

    Parameters
    ----------
    luminance : array_like
        Over white, 0 to 1. [-]

    Returns
    -------
    numpy.ndarray
        0 to 1. [-]

    Notes
    -----
    :math:`12.92\,x` up to 0.0031308, :math:`1.055\,x^{1/2.4} - 0.055` above.

    References
    ----------
    iec-61966-2-1 (from memory).

    Examples
    --------
    >>> screen_code([0.0, 0.2140, 1.0]).round(3)
    array([0. , 0.5, 1. ])
    """
    x = within("luminance", luminance, low=0.0, high=1.0)
    return np.asarray(np.where(x <= TOE, TOE_SLOPE * x, (1.0 + LIFT) * np.maximum(x, TOE) ** (1.0 / GAMMA) - LIFT))


def screen_light(code: ArrayLike) -> Floats:
    """
    Luminance of a code: the way back of `screen_code`.

    Parameters
    ----------
    code : array_like
        0 to 1. [-]

    Returns
    -------
    numpy.ndarray
        Over white, 0 to 1. [-]

    References
    ----------
    iec-61966-2-1 (from memory).

    Examples
    --------
    >>> screen_light([0.0, 0.5, 1.0]).round(3)
    array([0.   , 0.214, 1.   ])
    """
    y = within("code", code, low=0.0, high=1.0)
    low = TOE_SLOPE * TOE
    return np.asarray(np.where(y <= low, y / TOE_SLOPE, ((np.maximum(y, low) + LIFT) / (1.0 + LIFT)) ** GAMMA))


def screen_white(luminance: Floats) -> float:
    """
    Luminance to show as white so that little of a picture is clipped.

    Parameters
    ----------
    luminance : numpy.ndarray
        ``>= 0``, somewhere ``> 0``. [-]

    Returns
    -------
    float
        Exceeded by one picture element in a thousand. Pictures that are to be compared must share one: take it from the brightest. [-]

    Examples
    --------
    >>> round(screen_white(np.array([[0.2, 0.4]])), 4)
    0.3998
    """
    light = within("luminance", luminance, low=0.0)
    white = float(np.quantile(light, 1.0 - CLIPPED))
    if not white > 0.0:
        raise ValueError("luminance must be somewhere > 0")
    return white


def screen_picture(luminance: Floats, *, white: float | None = None, dither: bool = True) -> ScreenPicture:
    """
    Picture in eight bits.

    Parameters
    ----------
    luminance : numpy.ndarray
        Shape ``(rows, columns)``, ``>= 0``. [-]
    white : float, optional
        Luminance shown as 255, ``> 0``; `screen_white` of the picture when not given. [-]
    dither : bool
        Whether half a code of even chance, the same every time, is added before rounding: a line fainter than one code then still shows
        in the mean.

    Returns
    -------
    ScreenPicture
        With the share that is clipped and the contrast of one code.

    Raises
    ------
    ValueError
        If a luminance is negative or missing, or white is not positive.

    Notes
    -----
    No part of the picture is stretched: contrast on a screen of that coding is that of the face, up to white.

    References
    ----------
    iec-61966-2-1 (from memory); derived.

    Examples
    --------
    >>> shown = screen_picture(np.full((2, 3), 0.214), white=1.0, dither=False)
    >>> shown.codes[0], round(shown.step, 4)
    (array([127, 127, 127], dtype=uint8), 0.017)
    """
    light = within("luminance", luminance, low=0.0)
    top = screen_white(light) if white is None else float(within("white", white, low=0.0, open_low=True))
    code = LEVELS * screen_code(np.minimum(light / top, 1.0))
    if dither:
        draw = np.random.Generator(np.random.Philox(key=DITHER_SEED))
        code = code + draw.random(code.shape) - 0.5
    mean = LEVELS * float(screen_code(min(float(np.mean(light)) / top, 1.0)))
    below, above = screen_light(np.clip([mean - 0.5, mean + 0.5], 0.0, LEVELS) / LEVELS)
    return ScreenPicture(
        codes=np.clip(np.rint(code), 0, LEVELS).astype(np.uint8),
        white=top,
        clipped=float(np.mean(light > top)),
        step=float((above - below) / max(0.5 * (above + below), TOE)),
    )


def screen_luminance(codes: Codes, *, white: float) -> Floats:
    """
    Luminance that a picture in eight bits shows.

    Parameters
    ----------
    codes : numpy.ndarray
        0 to 255.
    white : float
        Luminance shown as 255, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        In the unit of ``white``.

    References
    ----------
    iec-61966-2-1 (from memory).

    Examples
    --------
    >>> screen_luminance(np.array([0, 255], dtype=np.uint8), white=2.0)
    array([0., 2.])
    """
    if codes.dtype != np.uint8:
        raise ValueError("codes must be whole numbers from 0 to 255 in eight bits")
    top = float(within("white", white, low=0.0, open_low=True))
    return np.asarray(top * screen_light(np.asarray(codes, dtype=np.float64) / LEVELS))


def shown_profile(picture: ScreenPicture) -> Floats:
    """
    Contrast across the grain that a picture in eight bits shows: mean along, over the mean of all, less 1.

    Parameters
    ----------
    picture : ScreenPicture
        Rows across the grain.

    Returns
    -------
    numpy.ndarray
        Shape ``(columns,)``. [-]
    """
    mean = np.mean(screen_luminance(picture.codes, white=picture.white), axis=0)
    if not float(np.mean(mean)) > 0.0:
        raise ValueError("the picture is black")
    return np.asarray(mean / np.mean(mean) - 1.0)


def shown_visibility(picture: ScreenPicture, *, pixel_across: float, scale: float, distance: float) -> float:
    r"""
    Visibility of the lines along the grain in a picture as it is shown, with nothing in front of them.

    Parameters
    ----------
    picture : ScreenPicture
        Rows across the grain.
    pixel_across : float
        Size of a picture element on the face, ``> 0``. [m]
    scale : float
        Size on screen or paper over size on the face, ``> 0``; 1 is true scale. [-]
    distance : float
        Eye to screen or paper, ``> 0``. [m]

    Returns
    -------
    float
        Times just-visible, from the picture's own contrast. [-]

    Notes
    -----
    A picture k times as large seen from k times as far is the face: only ``scale`` over ``distance`` counts. What a screen cannot show
    stands in `ScreenPicture`; besides, its light does not move with the head, and its black is not black.

    References
    ----------
    watson-ahumada-2005; iec-61966-2-1 (from memory).
    """
    size = float(within("pixel_across", pixel_across, low=0.0, open_low=True) * within("scale", scale, low=0.0, high=inf, open_low=True))
    return float(observer_visibility(shown_profile(picture), spacing=size, distance=distance))
