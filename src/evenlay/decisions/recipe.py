"""Choosing what is left open: the least time for which no line is expected to show, as a short front."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.decisions.situation import Settings

Progress = Callable[[int, int], bool]
"""``progress(done, total) -> go on?``"""

FRONT: Final = 5
"""Lines of the front that are shown."""

SAME: Final = 0.03
"""Times (or levels) closer than this share count as equal."""


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
    noisy). Ties within `SAME`, on the same side of the target, go to the lower ``nervous`` level. Where only some of a front
    are kept, the fastest that meets the target is among them.
    """
    go_on = progress or (lambda done, total: True)
    total = 2 * len(pool) + MOST_FULL
    sketched: list[tuple[float, float, int]] = []
    for index, settings in enumerate(pool):
        sketched.append((*outline(settings), index))
        if not go_on(index + 1, total):
            return None
    scored: list[tuple[Settings, Score]] = []
    best = np.inf
    for done, (_, least, index) in enumerate(sorted(sketched), start=len(pool) + 1):
        if not scored or least < best * (1.0 + SLACK):
            found = coarse(pool[index])
            scored.append((pool[index], found))
            best = best if found.breaches else min(best, found.level)
        if not go_on(done, total):
            return None
    allowed = [(settings, score) for settings, score in scored if not score.breaches]
    if not allowed:
        return Choice((), -1, False, _binding_limits([score for _, score in scored]), len(pool))
    near: list[tuple[Settings, Score]] = []
    for settings, _ in _thin(_near_front(allowed), target):
        near.append((settings, full(settings)))
        if not go_on(2 * len(pool) + len(near), total):
            return None
    return _choice(near, target, len(pool))


def _choice(scored: Sequence[tuple[Settings, Score]], target: float, tried: int) -> Choice:
    front = _front([row for row in scored if not row[1].breaches] or scored, target)
    taken = _first_meeting(front, target)
    kept = _few(len(front), FRONT, (taken,))
    shown = [front[index] for index in kept]
    options = tuple(Option(settings, score, _gives_up(index, shown)) for index, (settings, score) in enumerate(shown))
    return Choice(options, kept.index(taken), front[taken][1].level <= target, (), tried)


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


def _thin(rows: list[tuple[Settings, Score]], target: float) -> list[tuple[Settings, Score]]:
    # The strict front first, then the nearest others: few enough to score over all draws.
    strict, best = [], np.inf
    for row in rows:
        if row[1].level < best:
            strict.append(row)
            best = row[1].level
    if len(strict) > MOST_FULL:
        taken = _first_meeting(strict, target)
        return [strict[index] for index in _few(len(strict), MOST_FULL, (taken - 1, taken, taken + 1))]
    others = sorted((row for row in rows if row not in strict), key=lambda row: row[1].time * row[1].level)
    return strict + others[: MOST_FULL - len(strict)]


def _first_meeting(front: Sequence[tuple[Settings, Score]], target: float) -> int:
    """Index of the fastest that meets the target; of the least visible where none does."""
    return next((index for index, (_, score) in enumerate(front) if score.level <= target), len(front) - 1)


def _few(count: int, most: int, needed: Sequence[int]) -> list[int]:
    """Indices of at most so many of a row, spread over it: both ends, those needed, then always the one farthest from all kept."""
    kept = {0, count - 1, *(index for index in needed if 0 <= index < count)}
    while len(kept) < min(most, count):
        kept.add(max(range(count), key=lambda index: min(abs(index - other) for other in kept)))
    return sorted(kept)


def _front(scored: Sequence[tuple[Settings, Score]], target: float) -> list[tuple[Settings, Score]]:
    front: list[tuple[Settings, Score]] = []
    first = None
    for row in sorted(scored, key=lambda row: (row[1].time, row[1].level)):
        if first is not None and _alike(row[1], first, target):
            better_than_faster = len(front) < 2 or row[1].level < front[-2][1].level
            if row[1].nervous < front[-1][1].nervous and better_than_faster:
                front[-1] = row
        elif first is None or row[1].level < front[-1][1].level:
            front.append(row)
            first = row[1]
    return front


def _alike(one: Score, other: Score, target: float) -> bool:
    """Whether two scores count as equal: time and level within `SAME`, both under or both over the target."""
    near = all(abs(a - b) <= SAME * max(a, b) for a, b in ((one.time, other.time), (one.level, other.level)))
    return near and (one.level <= target) == (other.level <= target)


def _gives_up(index: int, front: Sequence[tuple[Settings, Score]]) -> str:
    score = front[index][1]
    words: list[str] = []
    if index > 0:
        words.append(f"{score.time / front[0][1].time:.1f} x the time")
    if index < len(front) - 1:
        words.append(f"lines {score.level / front[-1][1].level:.1f} x as strong")
    return ", ".join(words) or "the only one"


def _binding_limits(scores: Sequence[Score]) -> tuple[tuple[str, float], ...]:
    least: dict[str, float] = {}
    for score in scores:
        for name, excess in score.breaches:
            least[name] = min(excess, least.get(name, np.inf))
    # A limit binds when no candidate keeps it.
    always = {name for name in least if all(name in dict(score.breaches) for score in scores)}
    return tuple(sorted((name, excess) for name, excess in least.items() if name in always or not always))
