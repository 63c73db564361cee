"""From a scale, before and after, to how fast the belt cuts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.evidence.combine import Array, Likelihood, Posterior, posterior, strain
from evenlay.quantities.known import Value
from evenlay.quantities.remarks import Remark

SCATTER: Final = 0.10
"""Scatter of removal from one trial to the next at the same settings. Guess, from published model errors of 6 to 14 %. [-]"""

SCATTER_FREEDOM: Final = 12.0
"""How many trials that guess is worth against the scatter the trials show themselves: 12 makes 7.5 to 15 % its 90 % band. Guess. [-]"""

FORCE_ERROR: Final = 0.05
"""Standard deviation of the true force over the set one, shared by all trials of one device. Guess. [-]"""

READING: Final = 0.5
"""Repeatability of a scale, standard deviation in divisions, on top of its rounding. Guess. [-]"""

SEEN: Final = 3.0
"""A loss is seen when it exceeds this many standard deviations of the difference of two weighings. [-]"""

USEFUL: Final = 0.10
"""A weighing is worth its time when the scale's part of the error is below this share of the loss. [-]"""

ASIDE: Final = 4.0
"""A weighing further than this from what was expected is set aside unless another bears it out. [standard deviations]"""

BEARS_OUT: Final = 3.0
"""Weighings closer than this bear each other out. [standard deviations of their difference]"""

MOST_REMOVAL: Final = 2e-9
"""
Removal coefficient above which no belt can be: friction of 0.8 over the 0.4 J/mm3 that even aluminium takes when turned
(kalpakjian-schmid, table of specific energies, from memory). [m2/N]
"""


@dataclass(frozen=True)
class Run:
    """
    How a coupon was cut.

    Parameters
    ----------
    force : float
        Normal force, ``> 0``. [N]
    speed : float
        Belt speed, ``> 0``. [m/s]
    feed : float
        ``> 0``. [m/s]
    length : float
        Length of one pass on the metal, ``> 0``. [m]
    passes : int
        ``>= 1``. [-]
    sense : float
        +1 belt against the feed, -1 with it, 0 not known or both ways in turn. [-]

    Raises
    ------
    ValueError
        If one is out of its range or NaN.
    """

    force: float
    speed: float
    feed: float
    length: float
    passes: int
    sense: float = 0.0

    def __post_init__(self) -> None:  # noqa: D105
        for name in ("force", "speed", "feed", "length"):
            if not 0.0 < getattr(self, name) < math.inf:
                raise ValueError(f"{name} must be above zero, not {getattr(self, name)}")
        if not 1 <= self.passes < math.inf:
            raise ValueError(f"passes must be 1 or more, not {self.passes}")
        if self.sense not in (-1.0, 0.0, 1.0):
            raise ValueError(f"sense must be 1, -1 or 0, not {self.sense}")

    @property
    def sliding(self) -> float:
        """Length of belt that slid over each point's patch, per pass times passes: length (v + sense f)/f. [m]"""
        return self.passes * self.length * (self.speed + self.sense * self.feed) / self.feed

    @property
    def work(self) -> float:
        """Force times sliding length: the volume removed is k times this. [N m]"""
        return self.force * self.sliding


@dataclass(frozen=True)
class Weighing:
    """
    One coupon weighed before and after.

    Parameters
    ----------
    before, after : tuple of float
        Readings, one or several each. [kg]
    resolution : float
        One division of the scale, ``> 0``. [kg]
    run : Run
        What was done between.
    repeats : int
        Readings behind each number, when only their mean was noted; ``>= 1``. [-]

    Raises
    ------
    ValueError
        If a reading is missing, negative or NaN, or the resolution is not above zero.
    """

    before: tuple[float, ...]
    after: tuple[float, ...]
    resolution: float
    run: Run
    repeats: int = 1

    def __post_init__(self) -> None:  # noqa: D105
        for name in ("before", "after"):
            readings = getattr(self, name)
            if not readings or not all(0.0 <= reading < math.inf for reading in readings):
                raise ValueError(f"{name} must be one or more weights of zero or more, not {readings}")
        if not 0.0 < self.resolution < math.inf:
            raise ValueError(f"the scale's resolution must be above zero, not {self.resolution}")
        if not self.repeats >= 1:
            raise ValueError(f"repeats must be 1 or more, not {self.repeats}")

    @property
    def loss(self) -> float:
        """Mass lost. [kg]"""
        return float(np.mean(self.before)) - float(np.mean(self.after))

    @property
    def loss_error(self) -> float:
        """
        Standard deviation of the loss from the scale alone. [kg]

        Rounding of a division stays whole however often one reads; repeatability averages out.
        """
        variance = 0.0
        for readings in (self.before, self.after):
            count = len(readings) if len(readings) > 1 else self.repeats
            repeatability = (READING * self.resolution) ** 2
            if len(readings) > 2:
                repeatability = (2.0 * repeatability + float(np.sum((np.array(readings) - np.mean(readings)) ** 2))) / (len(readings) + 1.0)
            variance += self.resolution**2 / 12.0 + repeatability / count
        return math.sqrt(variance)


@dataclass(frozen=True)
class WeighingResult:
    """
    What weighings say about the removal coefficient.

    ``value`` after combining with what was known before; ``likelihood`` of the weighings alone, None when all were set aside;
    ``coefficients`` one per weighing [m2/N]; ``used``: indices of the weighings that speak; ``seen``: whether the scale could
    see the loss; ``passes_needed`` for the scale's part of the error to be below `USEFUL`; ``remarks``.
    """

    value: Value
    likelihood: Likelihood | None
    coefficients: tuple[float, ...]
    used: tuple[int, ...]
    seen: bool
    passes_needed: int
    narrowing: float
    remarks: tuple[Remark, ...]


def removal_from_weight(
    weighings: Sequence[Weighing],
    *,
    density: float,
    prior: Value,
    force_error: float = FORCE_ERROR,
    names: Sequence[str] = (),
    where: str = "",
) -> WeighingResult:
    """
    Removal coefficient from weight lost.

    Parameters
    ----------
    weighings : sequence of Weighing
        All live ones of this belt and alloy together: their shared errors are counted once. At least one.
    density : float
        Of the metal, ``> 0``. [kg/m3]
    prior : Value
        Removal coefficient before. [m2/N]
    force_error : float
        Standard deviation of true over set force, shared by all trials; 0 when coefficient and plan speak of the same device's
        set force, whose error then cancels. [-]
    names : sequence of str
        What each weighing is called in remarks; their numbers when empty.
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    WeighingResult
        A weighing that cannot be, or that lies more than `ASIDE` off and is borne out by no other, is set aside and named.

    Raises
    ------
    ValueError
        If there is no weighing, or the density is not above zero.

    Notes
    -----
    Volume lost is :math:`k F s` with s the sliding length, so :math:`k = \\Delta m/(\\rho F s)`; it needs neither the patch nor the
    width. The scatter of removal between trials is the trials' own, pooled with `SCATTER` worth `SCATTER_FREEDOM` trials; the band is
    Student's. Scale noise stays absolute, so a loss below it still bounds k from above.

    References
    ----------
    archard-1953; gelman-2013, section 3.2 (scatter pooled with a guess), both from memory.

    Examples
    --------
    >>> run = Run(force=40.0, speed=18.0, feed=0.12, length=0.4, passes=20)
    >>> weighing = Weighing(before=(0.512340,), after=(0.508540,), resolution=1e-5, run=run)
    >>> prior = Value(1e-11, 3.3e-12, 3e-11, "guess", "day zero")
    >>> result = removal_from_weight([weighing], density=7930.0, prior=prior)
    >>> result.seen, f"{result.value.number:.1e}"
    (True, '1.0e-11')
    """
    if not weighings:
        raise ValueError("no weighing to learn from")
    if not 0.0 < density < math.inf:
        raise ValueError(f"density must be above zero, not {density}")
    if names and len(names) != len(weighings):
        raise ValueError(f"{len(names)} names for {len(weighings)} weighings")
    work = np.array([each.run.work for each in weighings])
    every = np.array([each.loss for each in weighings]) / (density * work)
    doubts = np.array([each.loss_error for each in weighings]) / (density * work)
    called = tuple(names) or tuple(f"weighing {number}" for number in range(1, len(weighings) + 1))
    used, aside = _believed(every, doubts, prior, force_error, called, where)
    aside = _gained(weighings, where) + aside
    # What is only set aside still tells how well the scale sees.
    kept = [weighings[index] for index in used] or list(weighings)
    seen = any(each.loss > SEEN * each.loss_error for each in kept)
    if not used:
        needed = _enough(weighings[0], density, prior.number)
        return WeighingResult(prior, None, tuple(every.tolist()), (), seen, needed, 1.0, aside)
    likelihood = _likelihood(every[list(used)], doubts[list(used)], force_error)
    learnt = posterior(prior, [likelihood], source=likelihood.source, where=where)
    # A scale that saw nothing may leave nothing to count with: then what was known before says how many passes would do.
    needed = _enough(kept[0], density, learnt.value.number if learnt.value.number > 0.0 else prior.number)
    remarks = aside + learnt.remarks + _remarks(kept, learnt, seen, needed, where)
    return WeighingResult(learnt.value, likelihood, tuple(every.tolist()), used, seen, needed, learnt.narrowing, remarks)


def _likelihood(coefficients: Array, errors: Array, force_error: float) -> Likelihood:
    scatter, freedom = _scatter(coefficients, errors)
    centre = float(np.mean(coefficients))
    for _ in range(6):
        weights = 1.0 / (errors**2 + (scatter * max(centre, 0.0)) ** 2)
        weights = weights / np.sum(weights)
        centre = float(np.sum(weights * coefficients))
    relative = math.sqrt(scatter**2 * float(np.sum(weights**2)) + force_error**2)
    count = coefficients.size
    source = f"{count} weighing{'s' if count > 1 else ''}"
    return Likelihood(centre, math.sqrt(float(np.sum((weights * errors) ** 2))), relative, freedom, source)


def _enough(weighing: Weighing, density: float, coefficient: float) -> int:
    """Return the passes after which the scale's part of the error is below `USEFUL`."""
    per_pass = density * coefficient * weighing.run.work / weighing.run.passes
    return max(1, math.ceil(weighing.loss_error / (USEFUL * per_pass))) if per_pass > 0.0 else 10**9


def _believed(
    coefficients: Array, errors: Array, prior: Value, force_error: float, names: Sequence[str], where: str
) -> tuple[tuple[int, ...], tuple[Remark, ...]]:
    """Return which weighings speak, and what is said of the others."""
    own = np.hypot(errors, SCATTER * np.abs(coefficients))
    off = np.abs(coefficients[:, None] - coefficients[None, :]) / np.hypot(own[:, None], own[None, :])
    # What cannot be has no vote.
    friends = np.sum((off < BEARS_OUT) & (coefficients <= MOST_REMOVAL), axis=1) - 1
    used: list[int] = []
    said: list[Remark] = []
    for index, coefficient in enumerate(coefficients.tolist()):
        possible = coefficient <= MOST_REMOVAL
        alone = [Likelihood(coefficient, float(errors[index]), math.hypot(SCATTER, force_error))]
        # Without a band there is nothing to be far from.
        far = strain(prior, alone) if prior.high > prior.low else 0.0
        outvoted = friends[index] == 0 and int(np.max(friends)) >= 1
        if possible and (friends[index] >= 1 or (far <= ASIDE and not outvoted)):
            used.append(index)
        else:
            said.append(_aside_remark(names[index], coefficient, prior.number, possible=possible, outvoted=outvoted, where=where))
    return tuple(used), tuple(said)


def _gained(weighings: Sequence[Weighing], where: str) -> tuple[Remark, ...]:
    if not any(each.loss < -SEEN * each.loss_error for each in weighings):
        return ()
    message = "the coupon came out heavier than it went in: before and after may be swapped, or it was not clean and dry."
    return (Remark("weight-gained", "caution", message, "common practice, no source", where),)


def _aside_remark(name: str, coefficient: float, expected: float, *, possible: bool, outvoted: bool, where: str) -> Remark:
    if not coefficient > 0.0:
        amount = "shows no removal at all"
    elif coefficient >= expected:
        amount = f"would mean {coefficient / expected:.2g} times the removal that was expected"
    else:
        amount = f"would mean 1/{expected / coefficient:.2g} of the removal that was expected"
    if not possible:
        why = "no belt can cut with so little work"
    else:
        why = "the others agree on something else" if outvoted else "no other weighing bears it out"
    message = f"{name} {amount}, and {why}: it is left out, not averaged in. Check its units, its passes and its coupon" + (
        "." if outvoted or not possible else "; a second one that agrees will be believed."
    )
    return Remark("weighing-set-aside", "caution", message, "derived: four standard deviations; specific energy of cutting", where)


def _scatter(coefficients: Array, errors: Array) -> tuple[float, float]:
    """Scatter between trials, relative, pooled with the guess; and its degrees of freedom."""
    count = coefficients.size
    mean = float(np.mean(coefficients))
    shown = 0.0
    if count > 1 and mean > 0.0:
        squares = float(np.sum((coefficients / mean - 1.0) ** 2))
        shown = max(squares - (count - 1) * float(np.mean(errors**2)) / mean**2, 0.0)
    freedom = SCATTER_FREEDOM + count - 1
    return math.sqrt((SCATTER_FREEDOM * SCATTER**2 + shown) / freedom), freedom


def _remarks(weighings: Sequence[Weighing], learnt: Posterior, seen: bool, needed: int, where: str) -> tuple[Remark, ...]:
    first = weighings[0]
    said: list[Remark] = []
    if not seen:
        message = (
            f"a scale of {first.resolution * 1e3:g} g divisions could not see this loss (its error is {first.loss_error * 1e3:.2g} g). "
            f"It only bounds the removal from above. About {needed} passes would do."
        )
        said.append(Remark("weight-not-seen", "caution", message, "common practice, no source", where))
    elif needed > first.run.passes:
        message = (
            f"the scale saw the loss, but its own error is more than {USEFUL:.0%} of it. About {needed} passes "
            f"instead of {first.run.passes} would make the scale's part small."
        )
        said.append(Remark("weight-coarse", "note", message, "common practice, no source", where))
    if learnt.narrowing > 0.9:
        message = "these weighings hardly narrow what was known before."
        said.append(Remark("weight-tells-little", "note", message, "common practice, no source", where))
    return tuple(said)


def passes_needed(*, resolution: float, density: float, coefficient: Value, run: Run, certainty: float = 0.0) -> int:
    """
    Passes after which a scale sees the loss well (its part of the error below `USEFUL`).

    Parameters
    ----------
    resolution : float
        One division of the scale, ``> 0``. [kg]
    density : float
        ``> 0``. [kg/m3]
    coefficient : Value
        Removal coefficient as it is known. [m2/N]
    run : Run
        The trial; its number of passes is not used.
    certainty : float
        0 counts with the central coefficient, 1 with its low end: then enough in 95 % of cases; between, between. [-]

    Returns
    -------
    int
        ``>= 1``.

    Examples
    --------
    >>> run = Run(force=40.0, speed=18.0, feed=0.12, length=0.4, passes=1)
    >>> passes_needed(resolution=1e-4, density=7930.0, coefficient=Value(1e-11, 3.3e-12, 3e-11, "guess", "day zero"), run=run)
    5
    """
    k = coefficient.number * (1.0 - certainty) + coefficient.low * certainty
    return _enough(Weighing((1.0,), (1.0,), resolution, run), density, k)
