"""What a cause of lines is: pitches, direction, place, memory, a chain to the eye; one module each, one register."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import Settings, Setup, State

Array = NDArray[np.float64]
Direction = Literal["across", "along"]
"""Direction in which the spacing is measured: ``across`` the grain for lines that run along it, and the reverse."""


@dataclass(frozen=True)
class Pitch:
    """
    A spacing that a cause can print.

    ``value`` is the spacing over the draws, shape ``(n,)`` [m]; ``name`` tells harmonics apart.
    """

    name: str
    value: Array


@dataclass(frozen=True)
class Link:
    """
    One link of the chain from a cause to the eye.

    ``number`` over the draws, shape ``(n,)``, in the SI ``unit`` (empty: a share); ``rests_on`` names the unknowns
    from which its way of knowing is inherited.
    """

    name: str
    number: Array
    unit: str
    rests_on: tuple[str, ...]


@dataclass(frozen=True)
class Strength:
    """
    How visible a cause's lines are.

    ``visibility`` in times just-visible over the draws, shape ``(n,)``, for the standard eye (the eye's own doubt is
    multiplied on by the caller). ``control`` is the same sum for a picture that does not repeat; below 1.5 times that
    a line is not found. ``claim`` is the factor by which a simulation differed from the sum.
    """

    visibility: Array
    chain: tuple[Link, ...]
    control: float | None = None
    claim: tuple[float, float] = (1.0, 1.0)


@dataclass(frozen=True)
class Unmeasured:
    """A cause without an amplitude: its pitch is shown, its strength is not; ``measure`` says what would tell."""

    measure: str


def _always(setup: Setup) -> bool:
    return True


@dataclass(frozen=True)
class Cause:
    """
    A cause of lines.

    Adding one is adding one module and one line in the register; screens, reports and tests loop over the register.

    Parameters
    ----------
    key : str
        Short name for files and options.
    label : str
        Trade words, as shown.
    direction : str
        Of the spacing.
    memory : str
        What keeps it on the face: ``texture`` (renewed within a fraction of Ra), ``relief`` (needs tens of
        micrometres) or both.
    place : str
        Where on the face it lies.
    remedy, remedy_cost : str
        What to change, and what that costs.
    check : str
        The one check that tells this cause from another with the same spacing.
    pitches : callable
        ``(setup, settings, patch_length) -> tuple of Pitch``; needs no contact solve beyond the patch length ``(n,)``.
    strength : callable
        ``(state, eye) -> Strength or Unmeasured``.
    applies : callable
        ``(setup) -> bool``: whether the set-up has such a thing at all; a cause it does not have is neither shown nor suspected.
    """

    key: str
    label: str
    direction: Direction
    memory: str
    place: str
    remedy: str
    remedy_cost: str
    check: str
    pitches: Callable[[Setup, Settings, Array], tuple[Pitch, ...]]
    strength: Callable[[State, Eye], Strength | Unmeasured]
    applies: Callable[[Setup], bool] = _always
