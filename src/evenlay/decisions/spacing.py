"""Which cause printed a spacing that was measured on a face, and the one check that separates the two best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.cause import Cause, Direction
from evenlay.decisions.situation import Settings, Setup

Array = NDArray[np.float64]

OTHER: Final = "none of these"
"""Name of the suspect that stands for everything the job does not know."""

OTHER_PRIOR: Final = 0.05
"""Prior share of `OTHER`. Guess."""

BROADEST: Final = (0.2e-3, 0.2)
"""Spacings over which `OTHER`, and a cause without a pitch of its own, spread evenly in the logarithm. [m]"""

CLOCK_TOLERANCE: Final = 0.02
"""Standard deviation of feed, belt speed and length against what the job says, as a share. Guess."""

APART: Final = 2.0
"""Spacings count as told apart when they differ by this many standard deviations."""

ALIKE: Final = 3.0
"""Odds below which the two best suspects cannot be told apart."""


@dataclass(frozen=True)
class Suspect:
    """
    A cause that could have printed the spacing.

    ``spacing`` is what the cause would print [m]; NaN when it has no spacing of its own. ``share`` is its posterior
    probability among all suspects. ``off_by`` is the measured spacing over its own, minus 1 [-].
    """

    key: str
    label: str
    mark: str
    spacing: float
    share: float
    off_by: float


@dataclass(frozen=True)
class Verdict:
    """
    Suspects ranked, whether the two best can be told apart, and the check that does.

    ``check`` has a pair of braces for each of ``lengths`` [m], so that whoever shows it chooses the unit.
    """

    suspects: tuple[Suspect, ...]
    told_apart: bool
    check: str
    lengths: tuple[float, ...]


def suspects(
    *,
    causes: Sequence[Cause],
    direction: Direction,
    spacing: float,
    tolerance: float,
    setup: Setup,
    settings: Settings,
    patch_length: Array,
) -> Verdict:
    """
    Rank the causes that could print a spacing.

    Parameters
    ----------
    causes : sequence of Cause
        The register.
    direction : str
        ``across`` or ``along``: the direction in which the spacing was measured.
    spacing : float
        Measured spacing, ``> 0``. [m]
    tolerance : float
        Standard deviation of the measurement as a share, ``> 0``. [-]
    setup, settings, patch_length
        As for `Cause.pitches`.

    Returns
    -------
    Verdict
        Best first; posterior over the suspects: every mark of every cause has the same prior share.

    Raises
    ------
    ValueError
        If spacing or tolerance is not positive.

    Notes
    -----
    Likelihood of a cause: normal in the logarithm of the spacing, with the measurement's tolerance and the clock's
    together; a cause with any spacing (belt high spots) and `OTHER` spread evenly in the logarithm, so a cause that
    predicts the spacing sharply beats one that merely allows it.
    """
    if not (0.0 < spacing < np.inf and 0.0 < tolerance < np.inf):
        raise ValueError("spacing and tolerance must be positive")
    sd = float(np.hypot(tolerance, CLOCK_TOLERANCE))
    rows: list[tuple[Cause | None, str, float, float]] = []
    for cause in causes:
        if cause.direction != direction or not cause.applies(setup):
            continue
        pitches = cause.pitches(setup, settings, patch_length)
        if not pitches:
            rows.append((cause, cause.label, np.nan, _even_density(spacing)))
        for pitch in pitches:
            away = np.log(spacing / pitch.value) / sd
            density = float(np.mean(np.exp(-0.5 * away**2))) / (sd * math.sqrt(2.0 * math.pi))
            rows.append((cause, pitch.name, float(pitch.value[0]), density))
    rows.append((None, OTHER, np.nan, _even_density(spacing) * OTHER_PRIOR))
    total = sum(density for *_, density in rows)
    ranked = sorted(
        (
            Suspect(
                key=cause.key if cause else "other",
                label=cause.label if cause else OTHER,
                mark=name,
                spacing=value,
                share=density / total if total > 0.0 else 0.0,
                off_by=spacing / value - 1.0 if np.isfinite(value) else np.nan,
            )
            for cause, name, value, density in rows
        ),
        key=lambda suspect: (-suspect.share, suspect.key, suspect.mark),
    )
    told_apart = len(ranked) < 2 or ranked[0].share > ALIKE * ranked[1].share
    check, lengths = _check(ranked, causes, setup, settings, patch_length)
    return Verdict(tuple(ranked), told_apart, check, lengths)


def _even_density(spacing: float) -> float:
    low, high = BROADEST
    return 1.0 / float(np.log(high / low)) if low <= spacing <= high else 1e-12


Check = tuple[str, tuple[float, ...]]


def _check(ranked: Sequence[Suspect], causes: Sequence[Cause], setup: Setup, settings: Settings, patch_length: Array) -> Check:
    by_key = {cause.key: cause for cause in causes}
    first = by_key.get(ranked[0].key)
    second = by_key.get(ranked[1].key) if len(ranked) > 1 else None
    if first is None:
        return "No cause in this job prints that spacing: measure it over ten lines, then check feed and rpm against the job.", ()
    if second is None:
        return first.check, ()
    if np.isnan(ranked[1].spacing):
        words, lengths = _own_move(first, ranked[0], setup, settings, patch_length)
        return f"{words}{second.label} has no spacing of its own here. {second.check}", lengths
    if np.isnan(ranked[0].spacing):
        words, lengths = _own_move(second, ranked[1], setup, settings, patch_length)
        return f"{words}{first.label} has no spacing of its own here. {first.check}", lengths
    for words, changed in changes_of(settings):
        one = _spacing(first, ranked[0].mark, setup, changed, patch_length)
        two = _spacing(second, ranked[1].mark, setup, changed, patch_length)
        # Factors by which either spacing moves: that, not the spacing itself, is what the change shows.
        move_one, move_two = one / ranked[0].spacing, two / ranked[1].spacing
        if np.isfinite(move_one + move_two) and abs(np.log(move_one / move_two)) > APART * CLOCK_TOLERANCE * 2.0:
            marks = (f"{first.label} ({ranked[0].mark})", f"{second.label} ({ranked[1].mark})")
            said = f"{_trial(words)}: {marks[0]} would print {{}}, {marks[1]} {{}}."
            return said, (one, two)
    if first.key == second.key:
        return f"Both are marks of the same cause. {first.check}", ()
    return f"Both move alike with feed and belt speed. {first.check} {second.check}", ()


def changes_of(settings: Settings) -> tuple[tuple[str, Settings], ...]:
    """Changes that are easily tried on the machine, in words and as settings."""
    return (
        ("belt speed by a quarter less", settings.with_(speed=0.75 * settings.speed)),
        ("feed by a quarter less", settings.with_(feed=0.75 * settings.feed)),
        ("step-over by a tenth less", _closer(settings)),
    )


def _own_move(cause: Cause, suspect: Suspect, setup: Setup, settings: Settings, patch_length: Array) -> Check:
    """How a suspect's own spacing would move, or its own check where it has none."""
    if np.isnan(suspect.spacing):
        return f"{cause.check} ", ()
    for words, changed in changes_of(settings):
        moved = _spacing(cause, suspect.mark, setup, changed, patch_length)
        if abs(np.log(moved / suspect.spacing)) > APART * CLOCK_TOLERANCE * 2.0:
            return f"{_trial(words)}: {cause.label} ({suspect.mark}) would print {{}}; ", (moved,)
    return f"{cause.check} ", ()


def _trial(words: str) -> str:
    """How to try a change: one stroke shows what runs along it, but a step-over needs neighbours."""
    return f"Run {'a few passes beside each other' if words.startswith('step-over') else 'one stroke'} with the {words}"


def _closer(settings: Settings) -> Settings:
    return settings.with_(step_over=0.9 * settings.step_over, offsets=tuple(0.9 * offset for offset in settings.offsets))


def _spacing(cause: Cause, mark: str, setup: Setup, settings: Settings, patch_length: Array) -> float:
    for pitch in cause.pitches(setup, settings, patch_length):
        if pitch.name == mark:
            return float(pitch.value[0])
    return float("nan")
