"""From removed depth to how fast the belt cuts, and which of several runs does not fit the others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.evidence.combine import Likelihood
from evenlay.evidence.weighing import FORCE_ERROR, SCATTER, SCATTER_FREEDOM, Run
from evenlay.quantities.remarks import Remark

AGREE: Final = 3.0
"""Two runs agree when their coefficients differ by less than this many standard deviations of their difference. [-]"""

SETTINGS: Final = ("force", "speed", "feed", "depth")
"""What could have been noted wrongly, in the order in which ties are named."""

SHOWN: Final = {
    "force": ("force", "N", 1.0),
    "speed": ("belt speed", "m/s", 1.0),
    "feed": ("feed", "mm/s", 1e-3),
    "depth": ("depth", "µm", 1e-6),
}
"""Word, unit and size of the unit in which each is named in a remark."""


@dataclass(frozen=True)
class DepthRun:
    """
    One run with the depth it removed.

    Parameters
    ----------
    name : str
        What the run is called in remarks.
    depth : float
        Mean depth removed over the width of the cut, ``> 0``. [m]
    width : float
        Half-depth width of the cut, ``> 0``. [m]
    run : Run
        Force, belt speed, feed, passes.

    Raises
    ------
    ValueError
        If depth or width is not above zero.
    """

    name: str
    depth: float
    width: float
    run: Run

    def __post_init__(self) -> None:  # noqa: D105
        if not (0.0 < self.depth < math.inf and 0.0 < self.width < math.inf):
            raise ValueError(f"{self.name}: depth and width must be above zero, not {self.depth} and {self.width}")

    @property
    def coefficient(self) -> float:
        """Removal coefficient d w f/(F (v + sense f) passes). [m2/N]"""
        return self.depth * self.width * self.run.length / self.run.work


@dataclass(frozen=True)
class Misfit:
    """
    A run that does not fit the others.

    ``index`` and ``name`` of the run; ``factor``: its coefficient over that of the agreeing runs; ``reconciled``: for each of
    `SETTINGS` the value that alone would make it fit [SI]; ``likely``: the one whose reconciled value lies nearest to the
    other runs' own values; ``likely_value`` [SI].
    """

    index: int
    name: str
    factor: float
    reconciled: tuple[tuple[str, float], ...]
    likely: str
    likely_value: float


@dataclass(frozen=True)
class Consistency:
    """
    Which runs agree.

    ``agreeing``: indices of the largest agreeing group, empty when no group is larger than any other; ``coefficient``: its mean
    in the logarithm [m2/N], NaN when empty; ``spread``: largest over smallest in the group minus 1 [-]; ``misfits``; ``remarks``.
    """

    agreeing: tuple[int, ...]
    coefficient: float
    spread: float
    misfits: tuple[Misfit, ...]
    remarks: tuple[Remark, ...]


def consistency(runs: Sequence[DepthRun], *, scatter: float = SCATTER, where: str = "") -> Consistency:
    """
    Find the runs that agree, and name what would reconcile each that does not.

    Parameters
    ----------
    runs : sequence of DepthRun
        At least one.
    scatter : float
        Standard deviation of one run in the logarithm, ``> 0``. [-]
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    Consistency
        A run that does not fit is left out and named, never averaged in.

    Raises
    ------
    ValueError
        If there is no run, or the scatter is not above zero.

    Notes
    -----
    Preston's scaling is the only model: :math:`d = k F v n/(f w)`. The group is the most runs within ``AGREE`` times root two times the
    scatter of each other in :math:`\\ln k`. A tie between groups decides nothing: two runs that disagree cannot say which is wrong.

    References
    ----------
    preston-1927 (from memory).
    """
    if not runs:
        raise ValueError("no run to compare")
    if not 0.0 < scatter < math.inf:
        raise ValueError(f"scatter must be above zero, not {scatter}")
    log = np.log(np.array([each.coefficient for each in runs]))
    limit = AGREE * math.sqrt(2.0) * scatter
    groups = sorted({tuple(np.flatnonzero((log >= start) & (log <= start + limit)).tolist()) for start in log}, key=len, reverse=True)
    best = groups[0]
    if len(best) < len(runs) and (len(best) == 1 or (len(groups) > 1 and len(groups[1]) == len(best))):
        factor = math.exp(float(log.max() - log.min()))
        message = f"the runs disagree by a factor of {factor:.2g} and none has more support: repeat one before learning from any."
        remark = Remark("runs-disagree", "caution", message, "preston-1927", where)
        return Consistency((), math.nan, math.nan, (), (remark,))
    centre = float(np.mean(log[list(best)]))
    spread = math.exp(float(log[list(best)].max() - log[list(best)].min())) - 1.0
    misfits = tuple(_misfit(runs, index, centre, best) for index in range(len(runs)) if index not in best)
    names = ", ".join(runs[index].name for index in best)
    remarks = tuple(_misfit_remark(misfit, runs[misfit.index], names, where) for misfit in misfits)
    return Consistency(best, math.exp(centre), spread, misfits, remarks)


def _misfit(runs: Sequence[DepthRun], index: int, centre: float, group: tuple[int, ...]) -> Misfit:
    odd = runs[index]
    factor = odd.coefficient / math.exp(centre)
    noted = {"force": odd.run.force, "speed": odd.run.speed, "feed": odd.run.feed, "depth": odd.depth}
    turn = {"force": factor, "speed": factor, "feed": 1.0 / factor, "depth": 1.0 / factor}
    reconciled = {name: noted[name] * turn[name] for name in SETTINGS}

    def strangeness(name: str) -> float:
        own = [getattr(runs[other].run, name) if name != "depth" else runs[other].depth for other in group]
        value = reconciled[name]
        return max(math.log(value / max(own)), math.log(min(own) / value), 0.0)

    likely = min(SETTINGS, key=strangeness)
    return Misfit(index, odd.name, factor, tuple(reconciled.items()), likely, reconciled[likely])


def _misfit_remark(misfit: Misfit, run: DepthRun, names: str, where: str) -> Remark:
    way = "more" if misfit.factor > 1.0 else "less"
    times = max(misfit.factor, 1.0 / misfit.factor)
    word, unit, size = SHOWN[misfit.likely]
    noted = run.depth if misfit.likely == "depth" else getattr(run.run, misfit.likely)
    message = (
        f"{misfit.name} removed {times:.2g} times {way} than {names} would have it: it is left out, not averaged in. "
        f"With a {word} of {misfit.likely_value / size:.3g} {unit} instead of {noted / size:.3g} {unit} it would fit: check that first."
    )
    return Remark("run-does-not-fit", "caution", message, "preston-1927", where)


def removal_from_depth(
    runs: Sequence[DepthRun], *, width_error: float = 0.05, force_error: float = FORCE_ERROR, where: str = ""
) -> tuple[Likelihood, Consistency]:
    """
    Removal coefficient from removed depth, from the runs that agree.

    Parameters
    ----------
    runs : sequence of DepthRun
        At least one.
    width_error : float
        Standard deviation of the width of the cut, shared by all runs. [-]
    force_error : float
        Standard deviation of true over set force, shared by all runs. [-]
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    Likelihood
        Of the removal coefficient; when the runs disagree without a majority, as wide as their spread.
    Consistency
        Which runs were used.

    Raises
    ------
    ValueError
        If there is no run.

    References
    ----------
    preston-1927; gelman-2013, section 3.2 (both from memory).
    """
    found = consistency(runs, where=where)
    used = found.agreeing or tuple(range(len(runs)))
    log = np.log(np.array([runs[index].coefficient for index in used]))
    count = log.size
    squares = float(np.sum((log - np.mean(log)) ** 2))
    freedom = SCATTER_FREEDOM + count - 1 if found.agreeing else float(max(count - 1, 1))
    variance = (SCATTER_FREEDOM * SCATTER**2 + squares) / freedom if found.agreeing else squares / freedom
    shared = width_error**2 + force_error**2
    spread = variance / count if found.agreeing else variance
    words = f"depth of {', '.join(runs[index].name for index in used)}"
    return Likelihood(math.exp(float(np.mean(log))), 0.0, math.sqrt(spread + shared), freedom, words), found
