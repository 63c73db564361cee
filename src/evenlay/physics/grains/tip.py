"""Compiled kernels: one tip on its spring meets the metal and cuts its groove."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.grains.compiled import compiled

Singles = NDArray[np.float32]
Marks = NDArray[np.int16]
Chip = tuple[np.float32, np.float32]
Met = tuple[np.float32, bool, bool, np.float32]

NEAR: Final = 16
HALF_NEAR: Final = 8
"""Samples around a tip that are tried first. [-]"""
SHIFT: Final = 6
"""Samples that share one bound on their height; as a power of two. [-]"""
MOST_STEPS: Final = 100
"""Most Newton steps of a tip; two to four are usual. [-]"""
ZERO: Final = np.float32(0.0)
ONE: Final = np.float32(1.0)
HALF: Final = np.float32(0.5)
LOWEST: Final = np.float32(-1e30)
TINY: Final = np.float32(1e-30)


class Tip(NamedTuple):
    """One grain over a window: place in samples, curve and reach per sample, height if nothing held it, spring over the metal."""

    at: np.float32
    curve: np.float32
    reach: np.float32
    free: np.float32
    kappa: np.float32


@compiled
def depth_below(j: int, tip: Tip) -> np.float32:
    """Height of the tip's flank at sample j over its apex. [m]"""
    away = abs(np.float32(j) - tip.at)
    near = min(away, tip.reach)
    return tip.curve * near * (away - HALF * near)


@compiled
def touch_near(height: Singles, low: int, tip: Tip) -> np.float32:
    """Apex height at which a tip first touches `NEAR` samples from ``low``. [m]"""
    window = height[low : low + NEAR]
    top = LOWEST
    for j in range(NEAR):
        top = max(top, window[j] - depth_below(j, tip))
    return top


@compiled
def apex_near(height: Singles, low: int, tip: Tip, start: np.float32) -> tuple[np.float32, bool]:
    """Apex height at which chip area is spring travel times removal coefficient, over `NEAR` samples, and whether it was reached."""
    window = height[low : low + NEAR]
    apex = max(start, tip.free)
    last = LOWEST
    for _ in range(MOST_STEPS):
        chip = ZERO
        count = ZERO
        for j in range(NEAR):
            over = window[j] - depth_below(j, tip) - apex
            chip += max(over, ZERO)
            count += ONE if over > ZERO else ZERO
        apex += (chip - tip.kappa * (apex - tip.free)) / (tip.kappa + count)
        if count == last:
            return apex, True
        last = count
    return apex, False


@compiled
def groove_near(height: Singles, low: int, tip: Tip, apex: np.float32) -> Chip:
    """Cut a groove into `NEAR` samples from ``low``; area taken and its middle, from ``low``."""
    window = height[low : low + NEAR]
    chip = ZERO
    moment = ZERO
    for j in range(NEAR):
        floor = apex + depth_below(j, tip)
        over = max(window[j] - floor, ZERO)
        chip += over
        moment += over * np.float32(j)
        window[j] = min(window[j], floor)
    return chip, moment / max(chip, TINY)


@compiled
def mark_near(height: Singles, owner: Marks, low: int, tip: Tip, mark: tuple[np.float32, int]) -> None:
    """Mark what a groove is about to change."""
    apex, number = mark
    for j in range(NEAR):
        if height[low + j] > apex + depth_below(j, tip):
            owner[low + j] = number


@compiled
def apex_wide(height: Singles, span: tuple[int, int], tip: Tip) -> tuple[np.float32, bool]:
    """Apex height over a window of any size; not below the free height where nothing is touched."""
    window = height[span[0] : span[1]]
    top = LOWEST
    for j in range(window.size):
        top = max(top, window[j] - depth_below(j, tip))
    if top <= tip.free:
        return tip.free, True
    apex = tip.free
    last = LOWEST
    for _ in range(MOST_STEPS):
        chip = ZERO
        count = ZERO
        for j in range(window.size):
            over = window[j] - depth_below(j, tip) - apex
            chip += max(over, ZERO)
            count += ONE if over > ZERO else ZERO
        apex += (chip - tip.kappa * (apex - tip.free)) / (tip.kappa + count)
        if count == last:
            return apex, True
        last = count
    return apex, False


@compiled
def groove_wide(height: Singles, owner: Marks, span: tuple[int, int], tip: Tip, mark: tuple[np.float32, int]) -> Chip:
    """Cut a groove of a given apex into a window of any size, and mark what changed where owners are kept; area and middle as above."""
    apex, number = mark
    window = height[span[0] : span[1]]
    chip = ZERO
    moment = ZERO
    for j in range(window.size):
        floor = apex + depth_below(j, tip)
        over = max(window[j] - floor, ZERO)
        chip += over
        moment += over * np.float32(j)
        window[j] = min(window[j], floor)
        if owner.size > 0 and over > ZERO:
            owner[span[0] + j] = number
    return chip, moment / max(chip, TINY)


@compiled
def heap(height: Singles, bound: Singles, groove: tuple[np.float32, np.float32], slope: np.float32, aside: np.float32) -> None:
    """
    Lay the share of a groove's metal that is no chip beside it: a ridge on each side, as wide as the groove and half of what it was deep.

    ``groove``: area (height times samples) and middle (samples) of what the tip took. The height of the ridges is scaled so that their
    samples sum to their area, wherever they stand between samples.
    """
    area, middle = groove
    half = np.sqrt(area / slope)
    base = max(half, ONE)
    crest = half + base
    per_base = ONE / base
    start = max(int(middle - crest - base) + 1, 0)
    stop = min(int(middle + crest + base) + 1, height.size)
    total = TINY
    for j in range(start, stop):
        total += max(ONE - abs(abs(np.float32(j) - middle) - crest) * per_base, ZERO)
    peak = aside * area / total
    top = LOWEST
    for j in range(start, stop):
        away = abs(abs(np.float32(j) - middle) - crest)
        height[j] += peak * max(ONE - away * per_base, ZERO)
        top = max(top, height[j])
    for block in range(max((start >> SHIFT) - 1, 0), min((stop >> SHIFT) + 2, bound.size)):
        bound[block] = max(bound[block], top)


@compiled
def half_window(bound: np.float32, apex: np.float32, tip: Tip) -> int:
    """Samples on each side beyond which the flanks stand clear of every height below the bound."""
    rise = max(bound - apex, ZERO)
    return int(rise / (tip.curve * tip.reach) + HALF * tip.reach) + 2


class Job(NamedTuple):
    """What a sweep does with the tips it solves: whether it cuts, marks what it cuts, with what number, and the share laid aside."""

    cutting: bool
    keeping: bool
    number: int
    aside: np.float32


@compiled
def meet(height: Singles, owner: Marks, bound: Singles, sample: int, tip: Tip, job: Job, usual: np.float32) -> Met:
    """
    Solve one tip, cut its groove and lay aside what is no chip.

    ``sample`` is the sample left of the tip, ``tip.at`` counts from `HALF_NEAR` - 1 samples before it, ``bound`` bounds the heights of
    blocks, ``usual`` is a usual depth of cut. Gives how far the tip is pushed back, whether its equation is met, whether it took a wide
    window, and the depth.
    """
    low = sample - HALF_NEAR + 1
    limit = bound[sample >> SHIFT]
    top = touch_near(height, low, tip)
    apex = tip.free
    good = True
    slope = tip.curve * tip.reach
    if top > tip.free:
        apex, good = apex_near(height, low, tip, top - usual)
    if limit - slope * (np.float32(HALF_NEAR) - HALF * tip.reach) > apex:
        reached = half_window(limit, apex, tip)
        start = max(sample - reached, 0)
        span = (start, min(sample + reached + 1, height.size))
        wider = Tip(tip.at + np.float32(low - start), tip.curve, tip.reach, tip.free, tip.kappa)
        apex, good = apex_wide(height, span, wider)
        if apex > tip.free and job.cutting:
            area, middle = groove_wide(height, owner, span, wider, (apex, job.number))
            if job.aside > ZERO:
                heap(height, bound, (area, middle + np.float32(start)), slope, job.aside)
        return apex - tip.free, good, True, usual
    if top > tip.free and job.cutting:
        if job.keeping:
            mark_near(height, owner, low, tip, (apex, job.number))
        area, middle = groove_near(height, low, tip, apex)
        if job.aside > ZERO:
            heap(height, bound, (area, middle + np.float32(low)), slope, job.aside)
        return apex - tip.free, good, False, top - apex
    return apex - tip.free, good, False, usual
