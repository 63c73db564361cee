"""From passes to a height map: rows run on their own, so the map has the same bytes on any number of threads."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.grains.kernel import ASKED, CUT, FORCE, MET, OPEN, PAD, SQUARE, TALLIES, WIDE, Course, Cut, Grains, Press, cut_row
from evenlay.physics.grains.passes import GrainPass, Strip
from evenlay.physics.texture import grain_engagement

Floats = NDArray[np.float64]
Progress = Callable[[int, int], bool]

BALANCE: Final = 12e-3
"""Standard deviation of the width over which the wheel and backing share the force. [m]"""
NODES: Final = 0.5e-3
"""Wanted distance between the nodes at which the separation is found. [m]"""
FEWEST_NODES: Final = 8
"""Stretches between nodes across a narrow strip, at least. [-]"""
LAW_POINTS: Final = 400
LAW_RANGE: Final = 1e5
"""Table of the separation: points, and factor from the highest pressure to the lowest. [-]"""
NOTHING: Final = np.float32(-1.0)
"""Height beyond the ends of a row: nothing is touched there. [m]"""
CHUNKS: Final = 16
"""Rows handed to the threads between two calls of the progress, per thread. [-]"""


@dataclass(frozen=True)
class PassTally:
    """
    What one pass did, over all rows.

    Parameters
    ----------
    met, cutting : int
        Grains that came past, and that cut. [-]
    force_integral : float
        Removal coefficient times the force of all grains over the arc: area taken off, summed over rows. [m2]
    asked : float
        Removal coefficient times the pressure over the arc, summed over rows. [m2]
    active_density : float
        rho E[F]^2/E[F^2]. [1/m2]
    mean_force : float
        Mean force of the grains that cut. [N]
    wide, unsolved : int
        Tips that needed a wide window; tips whose equation was not met. [-]
    """

    met: int
    cutting: int
    force_integral: float
    asked: float
    active_density: float
    mean_force: float
    wide: int
    unsolved: int


@dataclass(frozen=True)
class CutSurface:
    """
    A face as the grains left it.

    Parameters
    ----------
    strip : Strip
        Where it lies and how it is sampled.
    height : numpy.ndarray
        Shape ``(rows, samples)``, single precision; 0 is the incoming face. [m]
    last_cut : numpy.ndarray
        Number of the pass that cut each point last, -1 where none did; empty unless asked for.
    tallies : tuple of PassTally
        One for each pass.
    """

    strip: Strip
    height: NDArray[np.float32]
    last_cut: NDArray[np.int16]
    tallies: tuple[PassTally, ...]

    @property
    def removal(self) -> float:
        """Mean stock removed. [m]"""
        return float(-np.mean(self.height, dtype=np.float64))

    @property
    def met(self) -> int:
        """Grain encounters. [-]"""
        return sum(tally.met for tally in self.tallies)


def cut_surface(
    strip: Strip,
    passes: tuple[GrainPass, ...],
    *,
    incoming: NDArray[np.float32] | None = None,
    balance: float = BALANCE,
    keep_last_cut: bool = False,
    threads: int = 1,
    progress: Progress | None = None,
) -> CutSurface | None:
    r"""
    Let the grains of all passes cut a strip of the face.

    Parameters
    ----------
    strip : Strip
        What is drawn.
    passes : tuple of GrainPass
        In the order of cutting.
    incoming : numpy.ndarray, optional
        Heights before, shape ``(rows, samples)``; flat at 0 without. [m]
    balance : float
        Standard deviation of the width over which force is shared: pressure is imposed over wider stretches, separation over narrower
        ones, ``> 0``; infinite shares it over the whole strip. [m]
    keep_last_cut : bool
        Whether to keep which pass cut each point last.
    threads : int
        ``>= 1``. [-]
    progress : callable, optional
        ``progress(rows done, rows)``; returning False stops.

    Returns
    -------
    CutSurface or None
        None when stopped.

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Each row meets the arc A = c v/f of the belt, which starts v/f dx further on for the next row, in steps no longer than c. In a step
    the belt stands s over the face; a grain of height h that would reach s - h is pushed back by t and cuts the chip area
    :math:`A_{chip} = k\,k_b\,t`, solved for the sampled surface without remainder. s follows the metal down by k p per metre of arc
    and makes good 30 % of the error of the force, averaged over ``balance``; three sweeps without cutting find the first s of a pass.

    References
    ----------
    derived; archard-1953 for the proportionality.

    Examples
    --------
    >>> from evenlay.physics.grains import GrainPass, GrainPopulation, Strip, cut_surface, even_pressing, grow_belt
    >>> belt = grow_belt(GrainPopulation(15e6, 30e-6, 60e-6, 15e-6), length=0.5, width=0.01, seed=1)
    >>> wheel = even_pressing(pressure=1e5, width=0.01, patch_length=0.02, contact_modulus=6.67e6)
    >>> done = cut_surface(Strip(0.001, 0.004, 0.0005, 4e-6, start_across=-0.002), (GrainPass(belt, wheel, 1e-11, 25.0),))
    >>> bool(abs(done.removal / 0.5e-6 - 1.0) < 0.03)
    True
    """
    if not balance > 0.0:
        raise ValueError("balance must be > 0")
    if not threads >= 1:
        raise ValueError("threads must be >= 1")
    if len(passes) > np.iinfo(np.int16).max:
        raise ValueError("too many passes")
    height = _incoming(strip, incoming)
    owner = np.full(height.shape if keep_last_cut else (strip.row_count, 0), -1, np.int16)
    tally = np.zeros((strip.row_count, len(passes), TALLIES))
    work = [_work(strip, one, number, balance) for number, one in enumerate(passes)]

    def run(rows: range) -> None:
        for row in rows:
            for number, (grains, press, cut, courses) in enumerate(work):
                cut_row(height[row], owner[row], grains, press, cut, _course(courses, row), tally[row, number])

    if not _in_threads(run, strip.row_count, threads, progress or (lambda done, total: True)):
        return None
    low = PAD + strip.margin_samples
    belt_width = strip.row_count * (height.shape[1] - 2 * PAD) * strip.samples
    kept = slice(low, low + strip.sample_count)
    return CutSurface(
        strip=strip,
        height=np.ascontiguousarray(height[:, kept]),
        last_cut=np.ascontiguousarray(owner[:, kept]) if keep_last_cut else owner,
        tallies=tuple(_tally(work[j][2], np.sum(tally[:, j], axis=0), one.arc * belt_width) for j, one in enumerate(passes)),
    )


def _in_threads(run: Callable[[range], None], rows: int, threads: int, go_on: Progress) -> bool:
    """Run all rows, a few at a time; whether it got to the end."""
    if threads == 1:
        for row in range(rows):
            if not go_on(row, rows):
                return False
            run(range(row, row + 1))
        return go_on(rows, rows)
    with ThreadPoolExecutor(threads) as pool:
        for first in range(0, rows, CHUNKS * threads):
            if not go_on(first, rows):
                return False
            part = range(first, min(first + CHUNKS * threads, rows))
            for waiting in [pool.submit(run, range(row, row + 1)) for row in part]:
                waiting.result()
    return go_on(rows, rows)


def _incoming(strip: Strip, incoming: NDArray[np.float32] | None) -> NDArray[np.float32]:
    """Rows with margins (the outermost heights go on) and pads."""
    margin = strip.margin_samples
    height: NDArray[np.float32] = np.zeros((strip.row_count, strip.sample_count + 2 * margin), np.float32)
    if incoming is not None:
        if incoming.shape != (strip.row_count, strip.sample_count) or not np.all(np.isfinite(incoming)):
            raise ValueError("incoming must be finite and of shape (rows, samples)")
        height = np.pad(incoming.astype(np.float32), ((0, 0), (margin, margin)), mode="edge")
    return np.pad(height, ((0, 0), (PAD, PAD)), constant_values=NOTHING)


Courses = tuple[NDArray[np.int64], Floats, Floats]
Work = tuple[Grains, Press, Cut, Courses]


def _work(strip: Strip, one: GrainPass, number: int, balance: float) -> Work:
    """Arrays and numbers that the kernel needs for a pass."""
    belt, wheel = one.belt, one.pressing
    spring = 2.0 * wheel.contact_modulus * belt.population.base_radius
    steps = max(int(np.ceil(one.arc / wheel.patch_length - 1e-9)), len(wheel.along))
    start = strip.start_across - strip.margin_samples * strip.samples
    samples = strip.sample_count + 2 * strip.margin_samples
    press = _press(one, spring, samples * strip.samples, balance)
    cut = Cut(
        strip.samples,
        spring,
        one.removal_coefficient,
        one.groove_coefficient or one.removal_coefficient,
        belt.population.density,
        one.arc / steps,
        number,
        (press.node.size - 1) / samples,
    )
    grains = Grains(belt.place, belt.height, belt.curve, belt.reach)
    return grains, press, cut, _courses(strip, one, steps, start)


def _press(one: GrainPass, spring: float, width: float, balance: float) -> Press:
    """Profile, separation law and nodes."""
    wheel, grains = one.pressing, one.belt.population
    top = float(np.max(wheel.pressure)) * max(*wheel.along, 1.0) * max(float(np.max(one.strength.value)), 1.0)
    logs = np.linspace(np.log(top / LAW_RANGE), np.log(top), LAW_POINTS)
    law = grain_engagement(
        pressure=np.exp(logs),
        grain_density=grains.density,
        height_sd=grains.height_sd,
        tip_radius=grains.base_radius,
        contact_modulus=wheel.contact_modulus,
    )
    nodes = max(round(width / NODES), FEWEST_NODES) + 1
    spacing = width / (nodes - 1)
    place = np.arange(nodes) * spacing
    cell = np.full(nodes, spacing)
    cell[[0, -1]] *= 0.5
    apart = (place[:, None] - place) / balance
    blend = np.exp(-0.5 * apart * apart) * cell
    return Press(
        np.ascontiguousarray(wheel.pressure, dtype=np.float64),
        float(wheel.place[0]),
        float(wheel.place[1] - wheel.place[0]),
        np.ascontiguousarray(np.stack([law.separation * grains.height_sd, law.engaged_share], axis=1)),
        float(logs[0]),
        float(logs[1] - logs[0]),
        np.ascontiguousarray(blend / np.sum(blend, axis=1, keepdims=True)),
        np.asarray(place, dtype=np.float64),
        cell,
    )


def _courses(strip: Strip, one: GrainPass, steps: int, start: float) -> Courses:
    """For all rows: first grain of each step, shift of the belt from the row's first sample, share of the pressure."""
    belt = one.belt
    along = strip.along
    sense = 1.0 if one.forward else -1.0
    edge = one.arc_start + sense * one.speed_over_feed * along[:, None] + np.linspace(0.0, one.arc, steps + 1)
    turn = np.floor(edge / belt.length)
    first = turn.astype(np.int64) * belt.count + np.searchsorted(belt.arc, edge - turn * belt.length)
    first -= np.floor_divide(first[:, :1], max(belt.count, 1)) * belt.count
    share = (np.arange(steps) + 0.5) / steps
    tool = along[:, None] + sense * (share - 0.5) * one.pressing.patch_length
    patch = np.asarray(one.pressing.along)[np.minimum((share * len(one.pressing.along)).astype(int), len(one.pressing.along) - 1)]
    shift = one.centre + one.sideways.at(tool) - start
    strength = np.maximum(one.strength.at(tool), 0.0) * (patch / np.mean(patch))
    return np.ascontiguousarray(first), np.ascontiguousarray(shift), np.ascontiguousarray(strength)


def _course(courses: Courses, row: int) -> Course:
    """One row of it."""
    return Course(courses[0][row], courses[1][row], courses[2][row])


def _tally(cut: Cut, sums: Floats, area: float) -> PassTally:
    """Sums over rows into what a pass did; ``area`` is the area of belt that came past, all rows together."""
    cutting, travel = sums[CUT], sums[FORCE]
    return PassTally(
        met=int(sums[MET]),
        cutting=int(cutting),
        force_integral=float(cut.removal * cut.spring * travel),
        asked=float(sums[ASKED]),
        active_density=float(travel**2 / (area * sums[SQUARE])) if cutting > 0.0 else 0.0,
        mean_force=float(cut.spring * travel / cutting) if cutting > 0.0 else 0.0,
        wide=int(sums[WIDE]),
        unsolved=int(sums[OPEN]),
    )


def fits_strip(strip: Strip, centre: float, sideways: float = 0.0) -> tuple[float, float]:
    """
    Range across the belt that can meet a strip.

    Parameters
    ----------
    strip : Strip
        What is drawn.
    centre : float
        Place across of the middle of the belt. [m]
    sideways : float
        Largest shift beside it, ``>= 0``. [m]

    Returns
    -------
    tuple of float
        ``low`` and ``high`` for `grow_belt`. [m]
    """
    if not 0.0 <= sideways < inf:
        raise ValueError("sideways must be >= 0 and finite")
    low = strip.start_across - strip.margin - sideways - centre
    return low, low + strip.width + 2.0 * (strip.margin + sideways + strip.samples)
