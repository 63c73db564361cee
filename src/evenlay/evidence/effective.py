"""The value in use: shipped, overlaid by the job file, overlaid by evidence; and how far evidence carries."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from evenlay.evidence.combine import REACH, Likelihood, posterior, score_of, value_at_scores
from evenlay.quantities.known import BAND_SCORE, KNOWN_ORDER, Known, Value
from evenlay.quantities.remarks import Remark

DOUBT_LENGTH: Final = 3.0
"""How fast a refit forgets away from where it was measured: logarithmic distance over which the memory falls by exp(-1/2).
Guess: doubling the force then adds about a fifth of the prior's spread. [-]"""

PRECEDENCE: Final = (
    "shipped table",
    "job file",
    "evidence",
)
"""Order of precedence: a value in the job file replaces the shipped one; live evidence is then combined with what stands. A
value in the file without a band is no prior (it says "exactly"): evidence replaces it, with a remark."""


@dataclass(frozen=True)
class Effective:
    """A value as it is used, and the layers it came through, first to last: (layer of `PRECEDENCE`, value there)."""

    value: Value
    layers: tuple[tuple[str, Value], ...]
    remarks: tuple[Remark, ...]


def effective(
    shipped: Value, given: Value | None, likelihoods: Sequence[Likelihood], *, known: Known = "measured", where: str = ""
) -> Effective:
    """
    Overlay a shipped value by the job file's and by evidence, in the order of `PRECEDENCE`.

    Parameters
    ----------
    shipped : Value
        From the tables. [SI]
    given : Value or None
        From the job file. [SI]
    likelihoods : sequence of Likelihood
        From live evidence.
    known : str
        How a result of evidence is known.
    where : str
        Dotted job-file key.

    Returns
    -------
    Effective
        The value in use, with every layer for showing.
    """
    layers = [(PRECEDENCE[0], shipped)]
    value = shipped
    remarks: tuple[Remark, ...] = ()
    if given is not None:
        value = given
        layers.append((PRECEDENCE[1], given))
    if likelihoods:
        learnt = posterior(value, likelihoods, known=known, where=where)
        value, remarks = learnt.value, learnt.remarks
        layers.append((PRECEDENCE[2], value))
    return Effective(value, tuple(layers), remarks)


def away(learnt: Value, prior: Value, *, distance: float) -> Value:
    """
    Value learnt at one setting, as it is known at another: wider, and back towards the prior.

    Parameters
    ----------
    learnt : Value
        Posterior where it was measured. [SI]
    prior : Value
        Before measuring, at the setting asked for. [SI]
    distance : float
        How far the settings lie apart, ``>= 0``: see `setting_distance`. [-]

    Returns
    -------
    Value
        At distance 0 what was learnt; far away the prior; between, wider the further.

    Raises
    ------
    ValueError
        If the distance is negative or NaN.

    Notes
    -----
    A random function of the logarithms of the settings with memory :math:`\\rho = \\exp(-d^2/2\\ell^2)`, in the prior's normal score:
    centre :math:`\\rho m`, variance :math:`\\rho^2 s^2 + 1 - \\rho^2`. :math:`\\ell` is `DOUBT_LENGTH`, a guess.
    """
    if not distance >= 0.0:
        raise ValueError(f"a distance between settings must be zero or more, not {distance}")
    if distance == 0.0 or not prior.high > prior.low:
        return learnt
    memory = math.exp(-0.5 * (distance / DOUBT_LENGTH) ** 2)
    centre = score_of(prior, learnt.number)
    if abs(centre) > REACH - 1e-6:
        return learnt
    lost = (1.0 - memory**2) * BAND_SCORE**2
    down = math.sqrt(memory**2 * (centre - score_of(prior, learnt.low)) ** 2 + lost)
    up = math.sqrt(memory**2 * (score_of(prior, learnt.high) - centre) ** 2 + lost)
    x = value_at_scores(prior, [memory * centre - down, memory * centre, memory * centre + up])
    weaker = min(learnt.known, prior.known, key=KNOWN_ORDER.index) if memory < 0.5 else learnt.known
    return Value(float(x[1]), float(x[0]), float(x[2]), weaker, f"{learnt.source}; carried to other settings")


def setting_distance(at: ArrayLike, measured: Sequence[ArrayLike]) -> float:
    """
    Distance of settings from the nearest measured ones, in logarithms; zero between two measured ones.

    Parameters
    ----------
    at : array_like
        Settings, each ``> 0`` (for instance force and inflation with 20 kPa added), shape (k,). [SI]
    measured : sequence of array_like
        Settings measured at, each of shape (k,); at least one. [SI]

    Returns
    -------
    float
        Root of the summed squares of how far each setting lies outside the measured range. [-]

    Raises
    ------
    ValueError
        If a setting is not above zero, or nothing was measured.

    Examples
    --------
    >>> round(setting_distance([60.0], [[30.0], [40.0]]), 3)
    0.405
    """
    here, there = np.asarray(at, dtype=np.float64), np.asarray(measured, dtype=np.float64)
    if there.size == 0 or not (np.all(here > 0.0) and np.all(there > 0.0)):
        raise ValueError("distances between settings need settings above zero, and at least one measured")
    outside = np.maximum(np.log(here / there.max(axis=0)), np.log(there.min(axis=0) / here))
    return float(np.sqrt(np.sum(np.maximum(outside, 0.0) ** 2)))
