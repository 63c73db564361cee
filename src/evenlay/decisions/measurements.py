"""The register of measurements: what each tells, its instrument's noise, the minutes it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.evidence.footprint import EDGE_READING, PRINT_SCATTER
from evenlay.evidence.least_squares import student_score
from evenlay.evidence.stiffness import LAW_DOUBT
from evenlay.evidence.weighing import FORCE_ERROR, SCATTER, SCATTER_FREEDOM, USEFUL
from evenlay.quantities.known import BAND_SCORE

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Observable:
    """
    One quantity a measurement reads.

    Parameters
    ----------
    quantity : str
        Name of an unknown, or of something computed over the draws (``patch_length``, ``ramp``). Of an unknown with a positive value.
    noise : float
        Standard deviation of one measurement, ``>= 0``. [SI]
    relative : float
        Standard deviation in proportion, ``>= 0``. [-]

    Raises
    ------
    ValueError
        If both deviations are zero, negative or NaN.
    """

    quantity: str
    noise: float = 0.0
    relative: float = 0.0

    def __post_init__(self) -> None:  # noqa: D105
        if not (0.0 <= self.noise < math.inf and 0.0 <= self.relative < math.inf and self.noise + self.relative > 0.0):
            raise ValueError(f"the instrument that reads {self.quantity} needs a scatter above zero")

    def scale(self, draws: Array) -> Array:
        """Return readings on the scale on which the noise is even: the logarithm when it is in proportion alone."""
        return np.asarray(np.log(np.maximum(draws, 1e-300)), dtype=np.float64) if self.noise == 0.0 else draws

    def deviation(self, draws: Array) -> Array:
        """Return the standard deviation of a reading on `scale`, same shape."""
        if self.noise == 0.0:
            return np.full(draws.shape, self.relative)
        return np.asarray(np.hypot(self.noise, self.relative * draws), dtype=np.float64)


@dataclass(frozen=True)
class Measurement:
    """
    Something an engineer can do in minutes.

    Parameters
    ----------
    name : str
        Short, kebab-case.
    title : str
        In words of the trade, to follow "measure:".
    how : str
        What to do with the reading: the command that takes it, or the job-file key it goes into.
    minutes : float
        Time it takes, guess, ``> 0``. [min]
    observables : tuple of Observable
        Read together.
    source : str
        Where noise and minutes come from.
    """

    name: str
    title: str
    how: str
    minutes: float
    observables: tuple[Observable, ...]
    source: str = "guess"


def weighing_noise(trials: int) -> float:
    """
    Relative noise of a removal coefficient from several weighings, on a scale that sees them well.

    Parameters
    ----------
    trials : int
        ``>= 1``. [-]

    Returns
    -------
    float
        Standard deviation of the normal whose 90 % band is as wide as the weighings'. [-]

    Examples
    --------
    >>> round(weighing_noise(2), 3)
    0.101
    """
    freedom = SCATTER_FREEDOM + trials - 1
    deviation = math.sqrt((SCATTER**2 + (0.5 * USEFUL) ** 2) / trials + FORCE_ERROR**2)
    return deviation * student_score(freedom) / BAND_SCORE


_PATCH: Final = Observable("patch_length", noise=EDGE_READING, relative=math.hypot(LAW_DOUBT, 0.5 * PRINT_SCATTER))
_RAMP: Final = Observable("ramp", noise=0.25e-3, relative=PRINT_SCATTER)

MEASUREMENTS: Final[tuple[Measurement, ...]] = (
    Measurement("footprint", "an inked footprint, length and width with a ruler", "evenlay add JOB footprint", 10.0, (_PATCH,)),
    Measurement(
        "footprint-profile", "a footprint read across the pass (depth gauge or scan)", "evenlay add JOB footprint", 20.0, (_PATCH, _RAMP)
    ),
    Measurement(
        "two-weighings", "two coupons weighed before and after", "evenlay add JOB weight", 30.0,
        (Observable("removal_coefficient", relative=weighing_noise(2)),),
    ),
    Measurement(
        "roughness", "five roughness traces on a coupon", "enter the Ra in the job file", 10.0,
        (Observable("roughness", relative=0.07),),
    ),
    Measurement(
        "repeat", "one pass in raking light over three belt turns: how much of it comes back", "enter the share in the job file", 30.0,
        (Observable("unrepeated_share", noise=0.06),),
    ),
    Measurement(
        "joint", "the belt's thickness at the joint and beside it", "enter the joint step in the job file", 5.0,
        (Observable("joint_step", noise=5e-6),),
    ),
    Measurement(
        "runout", "the wheel's run-out with a dial gauge", "enter the run-out in the job file", 5.0,
        (Observable("wheel_runout", noise=5e-6),),
    ),
    Measurement(
        "inflation", "the inflation with a gauge", "enter the inflation in the job file", 2.0,
        (Observable("inflation", noise=1e3, relative=0.02),),
    ),
    Measurement(
        "hardness", "the cover's hardness with a durometer, five readings", "enter the hardness in the job file", 3.0,
        (Observable("modulus", relative=0.12),),
    ),
    Measurement(
        "force", "the force with a spring scale, three readings", "enter the force error in the job file", 10.0,
        (Observable("force_error", noise=0.01),),
    ),
    Measurement(
        "path", "the path: a scriber in place of the belt, its line against a straight edge", "enter the path error in the job file", 30.0,
        (Observable("path_error", noise=0.05e-3, relative=0.1),),
    ),
    Measurement(
        "wander", "the belt's wander on the wheel, filmed against a mark for a minute", "enter the wander in the job file", 10.0,
        (Observable("belt_wander", noise=0.1e-3, relative=0.1),),
    ),
    Measurement(
        "takeover", "a ladder of one to six light passes across an old finish",
        "enter it as the metal moved (belt.texture_memory) in the job file", 45.0,
        (Observable("texture_memory", relative=0.12),),
    ),
    Measurement(
        "light-lobe", "brightness of a coupon tilted in steps, along and across", "enter the slopes in the job file", 25.0,
        (
            Observable("slope_across", relative=0.1),
            Observable("slope_along", relative=0.1),
            Observable("luminance_floor", relative=0.2),
        ),
    ),
    Measurement(
        "feed-log", "the controller's log of the delivered feed", "enter the feed dip in the job file", 10.0,
        (Observable("feed_dip", noise=0.01),),
    ),
    Measurement(
        "limit-sample", "one limit sample judged by who accepts the work", "enter the verdict in the job file", 20.0,
        (Observable("eye", relative=0.25),),
    ),
)  # fmt: skip
"""All of them, in the order in which ties are named. Noise of footprints and weighings is that of `evenlay.evidence`."""
