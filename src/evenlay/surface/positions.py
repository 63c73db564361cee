"""Where passes run, in which order, and how long they take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Lay:
    """
    Passes in the order in which they are cut.

    ``centres``: across the grain from the face's first edge, shape ``(P,)`` [m]. ``rounds``: which round each belongs
    to, shape ``(P,)``, from 0. ``load``: load per width as a share of what the footprint says, shape ``(P,)`` or
    ``(n, P)`` [-]; 1 means that force is taken back with the part of the belt that hangs over an edge.
    """

    centres: Array
    rounds: Indices
    load: Array


def pass_positions(
    *,
    face_across: float,
    step_over: float,
    half_depth_width: float,
    ramp: float,
    offset: float = 0.0,
    run_past: tuple[float, float] = (np.inf, np.inf),
) -> Array:
    r"""
    Where the passes of one round run so that the whole face is treated alike, ends included.

    Parameters
    ----------
    face_across : float
        Width of the face across the grain, ``> 0``. [m]
    step_over : float
        :math:`s`, ``> 0``. [m]
    half_depth_width, ramp : float
        Footprint: :math:`w > 0` and full ramp :math:`r \ge 0`; it ends :math:`(w + r)/2` from its centre. [m]
    offset : float, optional
        Shift of this round to the side, any sign. [m]
    run_past : tuple of float, optional
        How far the footprint may reach over the first and the last edge, ``>= 0``; infinite over free edges. [m]

    Returns
    -------
    numpy.ndarray
        Centres from the first edge, rising, outside the face where the belt must run past. [m]

    Raises
    ------
    ValueError
        If a size is out of range or NaN, or the footprint cannot be laid between two edges that it may not overrun.

    Notes
    -----
    Derived. Every pass of an endless lay whose footprint meets the face is kept, so an even lay stays even up to the
    edge. Without offset the lay is symmetrical about the middle of the face, with a pass or a gap in the middle,
    whichever needs fewer passes. A pass that would run too far past an edge is drawn in to the limit: the strip along
    that edge is then cut unevenly.

    Examples
    --------
    A 300 mm face, 50 mm footprint with 5 mm ramps, in millimetres:

    >>> (1000 * pass_positions(face_across=0.3, step_over=0.05, half_depth_width=0.05, ramp=0.005)).round(1)
    array([ -0.,  50., 100., 150., 200., 250., 300.])
    >>> (1000 * pass_positions(face_across=0.3, step_over=0.05, half_depth_width=0.05, ramp=0.005, run_past=(0, 0))).round(1)
    array([ 27.5,  50. , 100. , 150. , 200. , 250. , 272.5])
    """
    if not (0.0 < face_across < np.inf and 0.0 < step_over < np.inf and 0.0 < half_depth_width < np.inf and 0.0 <= ramp < np.inf):
        raise ValueError("face, step-over and half-depth width must be positive, the ramp not negative, all finite")
    if not np.isfinite(offset) or not all(past >= 0.0 for past in run_past):
        raise ValueError("the offset must be finite, and a belt runs past an edge by zero or more")
    reach = (half_depth_width + ramp) / 2.0
    low, high = reach - run_past[0], face_across - reach + run_past[1]
    if low > high:
        raise ValueError("the footprint is wider than the face, and may not hang over its edges that far")
    middle = face_across / 2.0 + offset
    between, centred = (_grid(middle + phase * step_over, step_over, reach, face_across) for phase in (0.5, 0.0))
    # The choice is made without the offset, so that all rounds share one lattice.
    unshifted = [_grid(face_across / 2.0 + phase * step_over, step_over, reach, face_across).size for phase in (0.5, 0.0)]
    places = between if unshifted[0] < unshifted[1] else centred
    return np.unique(np.clip(places, low, high))


def lay(
    *,
    face_across: float,
    step_over: float,
    offsets: ArrayLike,
    half_depth_width: float,
    ramp: float,
    run_past: tuple[float, float] = (np.inf, np.inf),
) -> Lay:
    """
    All passes of all rounds, in the order of cutting: round after round, each from the first edge to the last.

    Parameters
    ----------
    face_across, step_over, half_depth_width, ramp, run_past
        As in `pass_positions`.
    offsets : array_like
        Shift of each round, shape ``(N,)``. [m]

    Returns
    -------
    Lay
        With ``load`` 1 everywhere.

    Raises
    ------
    ValueError
        As `pass_positions`; also if there is no round.

    Examples
    --------
    >>> passes = lay(face_across=0.1, step_over=0.05, offsets=[0.0, 0.025], half_depth_width=0.05, ramp=0.005)
    >>> (1000 * passes.centres).round(0), passes.rounds
    (array([  0.,  50., 100., -25.,  25.,  75., 125.]), array([0, 0, 0, 1, 1, 1, 1]))
    """
    shifts = np.atleast_1d(np.asarray(offsets, dtype=np.float64))
    if shifts.size == 0:
        raise ValueError("a lay has one round at least")
    placed = [
        pass_positions(
            face_across=face_across,
            step_over=step_over,
            half_depth_width=half_depth_width,
            ramp=ramp,
            offset=float(shift),
            run_past=run_past,
        )
        for shift in shifts
    ]
    counts = [places.size for places in placed]
    return Lay(np.concatenate(placed), np.repeat(np.arange(shifts.size), counts), np.ones(sum(counts)))


def least_passes(*, face_across: float, width: float, step_over: float) -> int:
    r"""
    Fewest passes that touch the whole face once, belt inside the face.

    Parameters
    ----------
    face_across, width, step_over : float
        Face, footprint and step-over, all ``> 0``. [m]

    Returns
    -------
    int
        :math:`\lceil (B - w)/s \rceil + 1`, at least 1. [-]

    Raises
    ------
    ValueError
        If a size is not positive or NaN.

    Notes
    -----
    Derived. An even finish up to the edges needs more: see `pass_positions`.

    Examples
    --------
    >>> least_passes(face_across=0.3, width=0.05, step_over=0.035)
    9
    """
    if not (0.0 < face_across < np.inf and 0.0 < width < np.inf and 0.0 < step_over < np.inf):
        raise ValueError("face, footprint and step-over must be positive and finite")
    return max(1, int(np.ceil((face_across - width) / step_over - 1e-9)) + 1)


def cycle_time(*, passes: int, length: float, feed: float, run_on: float, turn_time: float) -> float:
    """
    Time for a number of passes, every one with its run-on, run-off and turn.

    Parameters
    ----------
    passes : int
        ``>= 1``. [-]
    length : float
        Face along the grain, ``> 0``. [m]
    feed : float
        ``> 0``. [m/s]
    run_on : float
        Travel before and again after the face, ``>= 0``. [m]
    turn_time : float
        Lift, side step and set down, per pass, ``>= 0``. [s]

    Returns
    -------
    float
        [s]

    Raises
    ------
    ValueError
        If an input is out of range or NaN.

    Examples
    --------
    >>> round(cycle_time(passes=9, length=0.42, feed=0.12, run_on=0.05, turn_time=1.0), 1)
    48.0
    """
    if not (passes >= 1 and 0.0 < length < np.inf and 0.0 < feed < np.inf and 0.0 <= run_on < np.inf and 0.0 <= turn_time < np.inf):
        raise ValueError("a cycle needs one pass, a length and a feed; run-on and turn time are not negative")
    return passes * ((length + 2.0 * run_on) / feed + turn_time)


def _grid(anchor: float, step_over: float, reach: float, face_across: float) -> Array:
    """Points of an endless grid whose footprint meets the face."""
    hair = 1e-9 * step_over
    first = np.ceil((-reach + hair - anchor) / step_over)
    last = np.floor((face_across + reach - hair - anchor) / step_over)
    return np.asarray(anchor + step_over * np.arange(first, last + 1.0))
