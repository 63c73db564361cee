"""From an inked or profiled footprint to its half-depth width and its full ramp."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenlay.evidence.combine import Array, Likelihood
from evenlay.evidence.outline import Outline, fit_trapezoid
from evenlay.quantities.known import Value
from evenlay.quantities.remarks import Remark

FEWEST: Final = 12
"""Fewest points across a footprint that can be fitted."""

PRINT_SCATTER: Final = 0.05
"""Standard deviation of the ramp from one print to the next. Guess. [-]"""

RULER: Final = 0.005
"""Standard deviation of the scale of the positions. Guess. [-]"""

DARKNESS_DOUBT: Final = 0.2
"""Standard deviation added to a ramp read from darkness: ink does not darken in proportion to pressure. Guess. [-]"""

EDGE_READING: Final = 0.6e-3
"""Standard deviation of reading the edge-to-edge size of a print with a ruler: plus or minus 1 mm at 90 %. Guess. [m]"""

PRINT_FREEDOM: Final = 4.0
"""How many prints the fit's own error is worth against the scatter several prints show. [-]"""

SOURCE: Final = "common practice, no source"


@dataclass(frozen=True)
class FootprintFit:
    """
    Trapezoid through a footprint.

    ``half_depth_width``, ``ramp`` (mean of both full 0-100 % ramps), ``ramp_left``, ``ramp_right`` [m] and ``asymmetry`` (right minus
    left over their sum) [-] as values; ``width_likelihood`` and ``ramp_likelihood`` to combine with what was known before;
    ``centre`` [m], ``height`` and ``baseline`` [unit of the depth], ``tilt`` of the plateau over the width [-], ``noise`` over the
    plateau [-]; ``remarks``: its doubts.
    """

    half_depth_width: Value
    ramp: Value
    ramp_left: Value
    ramp_right: Value
    asymmetry: Value
    width_likelihood: Likelihood
    ramp_likelihood: Likelihood
    centre: float
    height: float
    baseline: float
    tilt: float
    noise: float
    remarks: tuple[Remark, ...]


def fit_profile(y: Array, depth: Array | Sequence[Array], *, from_darkness: bool = False, where: str = "") -> FootprintFit:
    r"""
    Half-depth width, full ramp and asymmetry of a noisy, uneven footprint.

    Parameters
    ----------
    y : numpy.ndarray
        Positions across the pass, at least `FEWEST`, in any order. [m]
    depth : numpy.ndarray or sequence of them
        Depth or darkness there, growing inwards; several prints as rows of shape (prints, m). [any unit]
    from_darkness : bool
        The reading is darkness of ink, not depth.
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    FootprintFit
        Doubts as remarks.

    Raises
    ------
    ValueError
        If there are fewer than `FEWEST` points, a number is NaN or infinite, all positions are the same, or no footprint stands
        out of the baseline.

    Notes
    -----
    Model :math:`b + T(y)\,[h + g\,(y - y_c)/w]` with T a trapezoid with its own ramp on each side: least squares from several
    starts, then each side's edge and ramp averaged over all that fit (flat in both): mean and deviation. The noise is the
    residuals'; neighbours that err alike (unevenness) count as fewer points: the variance is multiplied by
    :math:`(1 + \rho_1)/(1 - \rho_1)`. One print more or less differs by `PRINT_SCATTER`; several prints show their own scatter.

    References
    ----------
    Derived; marquardt-1963 for the fit; bartlett-1946 (from memory) for neighbours that err alike.

    Examples
    --------
    >>> from evenlay.evidence.outline import trapezoid
    >>> y = np.linspace(-0.04, 0.04, 161)
    >>> fit = fit_profile(y, 3e-6 * trapezoid(y, left=-0.025, right=0.025, ramp_left=0.005, ramp_right=0.005))
    >>> round(fit.half_depth_width.number, 4), round(fit.ramp.number, 4)
    (0.05, 0.005)
    """
    position = np.asarray(y, dtype=np.float64)
    prints = np.atleast_2d(np.asarray(depth, dtype=np.float64))
    if position.ndim != 1 or prints.ndim != 2 or prints.shape[1] != position.size:
        raise ValueError(f"{position.size} positions and depths of shape {prints.shape} do not belong together")
    if position.size < FEWEST:
        raise ValueError(f"{position.size} points are too few for a footprint; at least {FEWEST} across it, some outside on both sides")
    if not (np.all(np.isfinite(position)) and np.all(np.isfinite(prints))):
        raise ValueError("every position and depth of a footprint must be a finite number")
    order = np.argsort(position, kind="stable")
    position = position[order]
    if not position[-1] > position[0]:
        raise ValueError("all positions of the footprint are the same")
    singles = [fit_trapezoid(position, one[order]) for one in prints]
    return _summary(singles, from_darkness=from_darkness, where=where)


def _summary(singles: Sequence[Outline], *, from_darkness: bool, where: str) -> FootprintFit:
    sizes = np.stack([one.sizes for one in singles])
    mean = np.mean(sizes, axis=0)
    ramps = 0.5 * (sizes[:, 1] + sizes[:, 2])
    inner = np.mean(np.stack([one.variances for one in singles]), axis=0)
    doubt = math.hypot(PRINT_SCATTER, DARKNESS_DOUBT if from_darkness else 0.0)
    freedom = PRINT_FREEDOM + len(singles) - 1 if len(singles) > 1 else math.inf
    words = f"footprint, {len(singles)} print{'s' if len(singles) > 1 else ''}{' read from darkness' if from_darkness else ''}"

    def likelihood(numbers: Array, variance: float, share: float) -> Likelihood:
        count = numbers.size
        if count > 1:
            shown = float(np.sum((numbers - np.mean(numbers)) ** 2))
            variance = (PRINT_FREEDOM * variance + shown) / (PRINT_FREEDOM + count - 1)
        noise = math.sqrt(max(variance / count, 0.0))
        return Likelihood(float(np.mean(numbers)), noise, share, freedom, words)

    own = PRINT_SCATTER / math.sqrt(len(singles)) if not from_darkness else math.hypot(PRINT_SCATTER / math.sqrt(len(singles)), doubt)
    ramp = likelihood(ramps, float(inner[1] + inner[2]) / 4.0, own)
    width = likelihood(sizes[:, 0], float(inner[0]), RULER)
    left = likelihood(sizes[:, 1], float(inner[1]), own)
    right = likelihood(sizes[:, 2], float(inner[2]), own)
    total = float(mean[1] + mean[2])
    skew_variance = 4.0 * float(mean[2] ** 2 * inner[1] + mean[1] ** 2 * inner[2]) / total**4
    skew_error = math.sqrt(skew_variance / len(singles) + 1e-12)
    skew = (sizes[:, 2] - sizes[:, 1]) / (sizes[:, 2] + sizes[:, 1])
    first = singles[0]
    return FootprintFit(
        half_depth_width=width.value(),
        ramp=_positive(ramp),
        ramp_left=_positive(left),
        ramp_right=_positive(right),
        asymmetry=Likelihood(float(np.mean(skew)), skew_error, 0.0, freedom, words).value(),
        width_likelihood=width,
        ramp_likelihood=ramp,
        centre=first.centre,
        height=first.height,
        baseline=first.baseline,
        tilt=first.tilt,
        noise=max(one.noise for one in singles),
        remarks=_doubts(singles, from_darkness=from_darkness, where=where),
    )


def _positive(likelihood: Likelihood) -> Value:
    """Band of a length: never below zero."""
    value = likelihood.value()
    return Value(value.number, max(value.low, 0.0), value.high, value.known, value.source)


def _doubts(singles: Sequence[Outline], *, from_darkness: bool, where: str) -> tuple[Remark, ...]:
    said: list[Remark] = []

    def say(code: str, level: str, message: str) -> None:
        said.append(Remark(code, "caution" if level == "caution" else "note", message, SOURCE, where))

    if any(min(one.inside) < 3 for one in singles):
        spacing = max(one.spacing for one in singles) * 1e3
        say(
            "footprint-few-points",
            "caution",
            f"fewer than three points lie on a ramp (spacing {spacing:.2g} mm): the ramp is hardly seen. Read closer together.",
        )
    if any(min(one.outside) < 3 for one in singles):
        say(
            "footprint-no-baseline",
            "caution",
            "the profile hardly reaches bare metal on both sides: the ramp may be cut off. Read further out.",
        )
    if any(one.noise > 0.3 for one in singles):
        say(
            "footprint-noisy",
            "caution",
            "noise is more than 30 % of the depth. Cut the footprint deeper (more passes on one place), or read it three times.",
        )
    if any(one.dip > 0.25 for one in singles):
        say(
            "footprint-two-humps",
            "caution",
            "the footprint has two humps: a hollow or slotted wheel, or two prints over each other. One trapezoid does not describe it.",
        )
    if any(abs(one.tilt) > max(0.15, 3.0 * one.tilt_error) for one in singles):
        say(
            "footprint-tilted",
            "note",
            f"one side is {max(abs(one.tilt) for one in singles):.0%} deeper than the other: the wheel stood tilted. Square it up.",
        )
    if any(one.unrest > 0.6 for one in singles):
        say("footprint-uneven", "note", "neighbouring points err alike (uneven footprint): the band is widened for it.")
    if any(float(one.sizes[1] + one.sizes[2]) > 1.8 * float(one.sizes[0]) for one in singles):
        say("footprint-no-plateau", "note", "the ramps meet: there is no flat part, and width and ramp are hard to tell apart.")
    if from_darkness:
        say("footprint-from-darkness", "note", "darkness of ink is not in proportion to pressure: the ramp's band is widened by 20 %.")
    return tuple(said)


@dataclass(frozen=True)
class PrintSizes:
    """What a ruler on a print says: likelihoods of ``patch_length`` and ``half_depth_width`` [m], and ``remarks``."""

    patch_length: Likelihood
    half_depth_width: Likelihood
    remarks: tuple[Remark, ...]


def from_lengths(
    *, lengths: Sequence[float], widths: Sequence[float], ramp: Value, reading: float = EDGE_READING, where: str = ""
) -> PrintSizes:
    """
    Patch length and half-depth width from a print measured with a ruler.

    Parameters
    ----------
    lengths : sequence of float
        Length of the print along the grain, one or several readings, ``> 0``. [m]
    widths : sequence of float
        Width of the print across, edge to edge, ``> 0``. [m]
    ramp : Value
        Full ramp as it is known. [m]
    reading : float
        Standard deviation of one edge-to-edge reading. [m]
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    PrintSizes
        Ready to combine with what was known.

    Raises
    ------
    ValueError
        If a size is missing, not above zero or NaN.

    Notes
    -----
    Ink shows where pressure is above a small share of its plateau, between 0 and 30 %: the printed width is the half-depth width
    plus 0.4 to 1 ramp. So the half-depth width is the printed one less 0.7 ramp, and the ramp's own doubt is in its band.
    """
    for name, sizes in (("length", lengths), ("width", widths)):
        if len(sizes) == 0 or not all(0.0 < size < math.inf for size in sizes):
            raise ValueError(f"the print's {name} must be above zero, not {list(sizes)}")
    count_along, count_across = len(lengths), len(widths)
    ramp_error = math.hypot(0.7 * (ramp.high - ramp.low) / 3.29, 0.17 * ramp.number)
    width = float(np.mean(widths)) - 0.7 * ramp.number
    remarks: tuple[Remark, ...] = ()
    if not width > 0.25 * float(np.mean(widths)):
        width = 0.5 * float(np.mean(widths))
        message = f"a print {np.mean(widths) * 1e3:.3g} mm wide leaves little between ramps of {ramp.number * 1e3:.3g} mm: read a profile."
        remarks = (Remark("footprint-no-plateau", "caution", message, SOURCE, where),)
    return PrintSizes(
        _reading(lengths, reading, 0.0, f"print, {count_along} reading{'s' if count_along > 1 else ''} of its length"),
        Likelihood(
            width,
            math.hypot(_reading(widths, reading, 0.0, "").noise, ramp_error),
            RULER,
            math.inf,
            f"print, {count_across} reading{'s' if count_across > 1 else ''} of its width, less 0.7 ramp",
        ),
        remarks,
    )


def _reading(sizes: Sequence[float], reading: float, bias: float, source: str) -> Likelihood:
    count = len(sizes)
    if count == 1:
        return Likelihood(float(sizes[0]), math.hypot(reading, bias), PRINT_SCATTER / 2.0, math.inf, source)
    shown = float(np.sum((np.array(sizes) - np.mean(sizes)) ** 2))
    variance = (PRINT_FREEDOM * reading**2 + shown) / (PRINT_FREEDOM + count - 1)
    noise = math.sqrt(variance / count + bias**2)
    return Likelihood(float(np.mean(sizes)), noise, PRINT_SCATTER / 2.0, PRINT_FREEDOM + count - 1, source)
