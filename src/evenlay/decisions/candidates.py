"""Candidates worth trying for what a job leaves open: a coarse grid that knows what depends on what."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.decisions.situation import Settings
from evenlay.physics.ripple import even_offsets

GOLDEN: Final = 0.6180339887498949
"""Shift of the golden offset pattern: no two rounds near each other, and no whole-number ratio among them."""


@dataclass(frozen=True)
class Ranges:
    """
    Ranges within which the settings may be chosen, each ``(low, high)``: force [N], belt speed [m/s], feed [m/s];
    and the highest number of rounds.
    """

    force: tuple[float, float]
    speed: tuple[float, float]
    feed: tuple[float, float]
    rounds_max: int


@dataclass(frozen=True)
class Given:
    """What the job sets; ``None`` stands for "choose". Offsets: lengths, ``"even"``, ``"golden"`` or ``None``."""

    force: float | None
    speed: float | None
    feed: float | None
    step_over: float | None
    rounds: int | None
    offsets: tuple[float, ...] | str | None
    taper: float | None

    @property
    def complete(self) -> bool:
        """Whether nothing is left to choose."""
        return None not in (self.force, self.speed, self.feed, self.step_over, self.rounds, self.offsets, self.taper)


def spread(bounds: tuple[float, float], count: int) -> tuple[float, ...]:
    """
    Values spread evenly in the logarithm over a range, ends included.

    Examples
    --------
    >>> [round(x, 3) for x in spread((0.05, 0.2), 3)]
    [0.05, 0.1, 0.2]
    """
    low, high = bounds
    if count < 2 or high <= low:
        return (low,)
    return tuple(float(x) for x in np.geomspace(low, high, count))


def step_overs(half_depth_width: float, rounds: int) -> tuple[float, ...]:
    """
    Step-overs at which N evenly shifted rounds remove evenly, no wider than the footprint: ``s = N w / m``.

    Parameters
    ----------
    half_depth_width : float
        Of the footprint. [m]
    rounds : int
        Number of rounds N. [-]

    Returns
    -------
    tuple of float
        Widest first, down to a third of the footprint. [m]

    Examples
    --------
    >>> [round(1e3 * s, 1) for s in step_overs(0.05, 2)]
    [50.0, 33.3, 20.0, 16.7]
    """
    every = tuple(rounds * half_depth_width / m for m in range(rounds, 3 * rounds + 1))
    if len(every) <= MOST_STEPS:
        return every
    kept = np.unique(np.linspace(0, len(every) - 1, MOST_STEPS).round().astype(int))
    return tuple(every[i] for i in kept)


def candidates(given: Given, ranges: Ranges, width_at: Callable[[float, float], float]) -> Iterator[Settings]:
    """
    Every candidate of the grid, in a fixed order.

    Parameters
    ----------
    given : Given
        What the job sets.
    ranges : Ranges
        Where the rest may lie.
    width_at : callable
        ``(force, speed) -> half-depth width`` of the footprint. [m]

    Yields
    ------
    Settings
    """
    forces = (given.force,) if given.force is not None else spread(ranges.force, 2)
    motions = motions_for(given, ranges)
    if given.rounds is not None:
        counts: tuple[int, ...] = (given.rounds,)
    elif isinstance(given.offsets, tuple):
        counts = (len(given.offsets),)
    else:
        counts = tuple(n for n in ROUNDS if n <= ranges.rounds_max)
    for force, (speed, feed), rounds in itertools.product(forces, motions, counts):
        steps = (given.step_over,) if given.step_over is not None else step_overs(width_at(force, speed), rounds)
        tapers = (given.taper,) if given.taper is not None else tapers_for(force, ranges.force[0], rounds)
        for step, taper in itertools.product(steps, tapers):
            for offsets in offset_patterns(given.offsets, step, rounds):
                yield Settings(force, speed, feed, step, offsets, taper)


def motions_for(given: Given, ranges: Ranges) -> tuple[tuple[float, float], ...]:
    """
    Pairs of belt speed and feed worth trying.

    Parameters
    ----------
    given : Given
    ranges : Ranges

    Returns
    -------
    tuple of (float, float)
        Stock, texture and the repeat of the belt depend on the ratio of the two alone, so for each ratio the fastest pair is
        the quickest: belt speeds at the fastest feed, then slower feeds at the fastest belt. Two slower pairs are kept for
        what has a clock of its own (chatter, force device) or tires the drive. [m/s]

    Examples
    --------
    >>> open_ = Given(40.0, None, None, None, None, None, None)
    >>> pairs = motions_for(open_, Ranges((40.0, 40.0), (5.0, 20.0), (0.1, 0.4), 6))
    >>> [(round(v, 1), round(f, 2)) for v, f in pairs]
    [(5.0, 0.4), (10.0, 0.4), (20.0, 0.4), (20.0, 0.2), (20.0, 0.1), (5.0, 0.2), (10.0, 0.2)]
    """
    speeds = (given.speed,) if given.speed is not None else spread(ranges.speed, 3)
    feeds = (given.feed,) if given.feed is not None else spread(ranges.feed, 3 if given.speed is None else 4)
    slow, fast = feeds[:-1], feeds[-1]
    at_fastest = [(speed, fast) for speed in speeds] + [(speeds[-1], feed) for feed in reversed(slow)]
    kept = [(speed, feeds[len(feeds) // 2]) for speed in speeds[:-1]] if slow else []
    return tuple(dict.fromkeys(at_fastest + kept))


ROUNDS: Final = (1, 2, 3, 4, 6)
LIGHTEST_TAPER: Final = 0.6
"""Each later round is never lighter than this share of the one before."""

MOST_STEPS: Final = 4


def tapers_for(force: float, least_force: float, rounds: int) -> tuple[float, ...]:
    """
    Tapers worth trying: none, and as light a last round as the force may be.

    Parameters
    ----------
    force, least_force : float
        Of the first round, and the least allowed. [N]
    rounds : int
        [-]

    Returns
    -------
    tuple of float
        Falling from 1; the last round never falls below the least force. [-]

    Examples
    --------
    >>> tapers_for(40.0, 10.0, 3)
    (1.0, 0.6)
    >>> [round(taper, 2) for taper in tapers_for(40.0, 30.0, 3)]
    [1.0, 0.87]
    """
    if rounds == 1 or least_force >= force:
        return (1.0,)
    return (1.0, max(LIGHTEST_TAPER, (least_force / force) ** (1.0 / (rounds - 1))))


def offset_patterns(asked: tuple[float, ...] | str | None, step_over: float, rounds: int) -> tuple[tuple[float, ...], ...]:
    """
    Offsets of the rounds: as asked, or the even and the golden pattern.

    Parameters
    ----------
    asked : tuple of float, ``"even"``, ``"golden"`` or None
        What the job sets. [m]
    step_over : float
        [m]
    rounds : int
        [-]

    Returns
    -------
    tuple of tuple of float
        One or two patterns. [m]
    """
    if isinstance(asked, tuple):
        return (asked,)
    even = tuple(float(shift) for shift in even_offsets(step_over=step_over, rounds=rounds))
    golden = tuple(step_over * ((index * GOLDEN) % 1.0) for index in range(rounds))
    if asked == "even" or (asked is None and rounds < 4):
        return (even,)
    return (golden,) if asked == "golden" else (even, golden)
