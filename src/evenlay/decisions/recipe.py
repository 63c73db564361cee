"""Choosing what is left open: the least time for which no line is expected to show, as a short front."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.situation import Settings
from evenlay.physics.ripple import even_offsets

Array = NDArray[np.float64]
Progress = Callable[[int, int], bool]
"""``progress(done, total) -> go on?``"""

FRONT: Final = 5
"""Lines of the front that are shown."""

SAME: Final = 0.03
"""Times (or levels) closer than this share count as equal."""

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


@dataclass(frozen=True)
class Score:
    """
    A candidate's worth.

    Parameters
    ----------
    time : float
        Cutting time of the face. [s]
    level : float
        Visibility of the worst line that is kept with the asked probability. [times just-visible]
    nervous : float
        The same level with twice the path error. [times just-visible]
    binding : str
        Key of the cause that sets the level.
    breaches : tuple of (str, float)
        Limits that the candidate breaks, each with its excess as a share; empty when allowed.
    """

    time: float
    level: float
    nervous: float
    binding: str
    breaches: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Option:
    """One line of the front: settings, score, and what it gives up against the others."""

    settings: Settings
    score: Score
    gives_up: str


@dataclass(frozen=True)
class Choice:
    """
    Outcome of choosing.

    ``front`` runs from fastest to least visible; ``chosen`` is the index of the plan taken; ``met`` whether it meets
    the target; ``limits`` the limits that bind with their smallest excess when nothing is allowed.
    """

    front: tuple[Option, ...]
    chosen: int
    met: bool
    limits: tuple[tuple[str, float], ...]
    tried: int


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


def choose(
    pool: Sequence[Settings],
    *,
    outline: Callable[[Settings], tuple[float, float]],
    coarse: Callable[[Settings], Score],
    full: Callable[[Settings], Score],
    target: float,
    progress: Progress | None = None,
) -> Choice | None:
    """
    Choose among candidates: coarse scores for those that may lie on the front, full scores for those near it.

    Parameters
    ----------
    pool : sequence of Settings
        At least one.
    outline : callable
        Time, and a level that the candidate cannot be below, quickly worked out.
    coarse, full : callable
        Score over few, and over all, draws.
    target : float
        Visibility that no line may pass. [times just-visible]
    progress : callable, optional
        ``progress(done, total)``; returning False stops.

    Returns
    -------
    Choice or None
        None when stopped by ``progress``.

    Notes
    -----
    Candidates are taken fastest first; one whose outline alone is beaten by a faster one is passed over. A candidate that
    breaks a limit is kept aside. Near the front: not beaten in time and level by more than `SLACK` (coarse draws are
    noisy). Ties within `SAME` go to the lower ``nervous`` level.
    """
    sketched: list[tuple[float, float, int]] = []
    for index, settings in enumerate(pool):
        sketched.append((*outline(settings), index))
        if progress is not None and not progress(index + 1, 2 * len(pool)):
            return None
    scored: list[tuple[Settings, Score]] = []
    best = np.inf
    for done, (_, least, index) in enumerate(sorted(sketched)):
        if not scored or least < best * (1.0 + SLACK):
            found = coarse(pool[index])
            scored.append((pool[index], found))
            best = best if found.breaches else min(best, found.level)
        if progress is not None and not progress(len(pool) + done + 1, 2 * len(pool)):
            return None
    allowed = [(settings, score) for settings, score in scored if not score.breaches]
    if not allowed:
        return Choice((), -1, False, _binding_limits([score for _, score in scored]), len(pool))
    near = [(settings, full(settings)) for settings, _ in _thin(_near_front(allowed))]
    near = [(settings, score) for settings, score in near if not score.breaches] or near
    front = _front(near)
    meeting = [index for index, (_, score) in enumerate(front) if score.level <= target]
    chosen = meeting[0] if meeting else len(front) - 1
    options = tuple(Option(settings, score, _gives_up(index, front)) for index, (settings, score) in enumerate(front))
    return Choice(options, chosen, bool(meeting), (), len(pool))


SLACK: Final = 0.15
"""Share by which a coarse score may be beaten and its candidate still be scored in full."""

MOST_FULL: Final = 10
"""Candidates scored over all draws."""


def _near_front(scored: Sequence[tuple[Settings, Score]]) -> list[tuple[Settings, Score]]:
    ordered = sorted(scored, key=lambda row: (row[1].time, row[1].level))
    kept, best = [], np.inf
    for row in ordered:
        if row[1].level < best * (1.0 + SLACK):
            kept.append(row)
        best = min(best, row[1].level)
    return kept


def _thin(rows: list[tuple[Settings, Score]]) -> list[tuple[Settings, Score]]:
    # The strict front first, then the nearest others: few enough to score over all draws.
    strict, best = [], np.inf
    for row in rows:
        if row[1].level < best:
            strict.append(row)
            best = row[1].level
    if len(strict) > MOST_FULL:
        keep = np.unique(np.linspace(0, len(strict) - 1, MOST_FULL).round().astype(int))
        return [strict[i] for i in keep]
    others = sorted((row for row in rows if row not in strict), key=lambda row: row[1].time * row[1].level)
    return strict + others[: MOST_FULL - len(strict)]


def _front(scored: Sequence[tuple[Settings, Score]]) -> list[tuple[Settings, Score]]:
    ordered = sorted(scored, key=lambda row: (row[1].time, row[1].level))
    front: list[tuple[Settings, Score]] = []
    for settings, score in ordered:
        if front and score.level >= front[-1][1].level:
            continue
        if front and score.time <= front[-1][1].time * (1.0 + SAME) and score.level >= front[-1][1].level * (1.0 - SAME):
            if score.nervous < front[-1][1].nervous:
                front[-1] = (settings, score)
            continue
        front.append((settings, score))
    if len(front) <= FRONT:
        return front
    keep = np.unique(np.linspace(0, len(front) - 1, FRONT).round().astype(int))
    return [front[i] for i in keep]


def _gives_up(index: int, front: Sequence[tuple[Settings, Score]]) -> str:
    score = front[index][1]
    words: list[str] = []
    if index > 0:
        words.append(f"{score.time / front[0][1].time:.1f} times the time of the fastest")
    if index < len(front) - 1:
        words.append(f"lines {score.level / front[-1][1].level:.1f} times as visible as the least")
    return "; ".join(words) or "the only one"


def _binding_limits(scores: Sequence[Score]) -> tuple[tuple[str, float], ...]:
    least: dict[str, float] = {}
    for score in scores:
        for name, excess in score.breaches:
            least[name] = min(excess, least.get(name, np.inf))
    # A limit binds when no candidate keeps it.
    always = {name for name in least if all(name in dict(score.breaches) for score in scores)}
    return tuple(sorted((name, excess) for name, excess in least.items() if name in always or not always))
