"""Compiled kernels: one row across the grain meets the grains of one pass."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.grains.compiled import compiled
from evenlay.physics.grains.tip import HALF, HALF_NEAR, LOWEST, SHIFT, ZERO, Job, Marks, Singles, Tip, meet

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

PAD: Final = 32
"""Samples beyond each end of a row, so low that nothing touches them. [-]"""
BLOCK: Final = 1 << SHIFT
"""Samples that share one bound on their height. [-]"""
REFRESH: Final = 8
"""Steps of arc between two looks for the bounds. [-]"""
PRIMING: Final = 3
"""Sweeps without cutting that find the first separation of a pass. [-]"""
GAIN: Final = 0.3
"""Share of the error of force that the separation makes good in the next step of arc. [-]"""
FORCE, SQUARE, CUT, MET, WIDE, OPEN, ASKED = 0, 1, 2, 3, 4, 5, 6
TALLIES: Final = 7


class Grains(NamedTuple):
    """Grains of a belt in the order of its arc: place [m], height [m], curve [1/m], reach [m]."""

    place: Singles
    height: Singles
    curve: Singles
    reach: Singles


class Press(NamedTuple):
    """
    How a pass presses, on nodes across the row.

    Pressure across the belt on even points [Pa]; separation [m] and engaged share [-] by the logarithm of pressure; averaging between nodes
    [-]; place [m] and width [m] of the nodes.
    """

    profile: Floats
    profile_first: float
    profile_spacing: float
    law: Floats
    law_first: float
    law_step: float
    blend: Floats
    node: Floats
    cell: Floats


class Cut(NamedTuple):
    """
    Numbers of a pass.

    Spacing of samples [m]; spring of a grain [N/m]; removal coefficient and groove coefficient [m2/N]; grains per area [1/m2]; step of
    arc [m]; number of the pass; nodes per sample [-].
    """

    spacing: float
    spring: float
    removal: float
    groove: float
    density: float
    step: float
    number: int
    per_node: float


class Course(NamedTuple):
    """Along the arc of one row: first grain of each step and after the last [-], shift of the belt [m] and share of the pressure [-]."""

    first: Counts
    shift: Floats
    strength: Floats


class Sifted(NamedTuple):
    """Grains of a step that may cut: number in the belt, place in samples, height of the tip if nothing held it [m]."""

    number: NDArray[np.int32]
    place: Singles
    free: Singles


class State(NamedTuple):
    """Scratch of one row: level, pressure, force (as tip travel) and separation at nodes, bounds by block, grains of a step."""

    level: Floats
    pressure: Floats
    force: Floats
    separation: Singles
    bound: Singles
    sifted: Sifted


@compiled
def find_bounds(height: Singles, bound: Singles) -> None:
    """Highest sample of each block and its two neighbours: heights only fall, but for ridges, which raise it themselves."""
    blocks = bound.size
    previous = LOWEST
    current = LOWEST
    for block in range(blocks + 1):
        top = LOWEST
        if block < blocks:
            for j in range(block << SHIFT, min((block + 1) << SHIFT, height.size)):
                top = max(top, height[j])
        if block > 0:
            bound[block - 1] = max(max(previous, current), top)
        previous = current
        current = top


@compiled
def sift(grains: Grains, cut: Cut, state: State, span: tuple[int, int, float], samples: int, sifted: Sifted) -> tuple[int, int]:
    """Keep, in the order of the arc, the grains that stand inside the row and reach below the bound; how many, and how many came past."""
    first, last, shift = span
    per_sample = np.float32(1.0 / cut.spacing)
    offset = np.float32(shift / cut.spacing)
    per_node = np.float32(cut.per_node)
    separation = state.separation
    bound = state.bound
    count = grains.place.size
    end = np.float32(samples)
    kept = 0
    met = 0
    while first < last:
        start = first % count
        stop = min(start + last - first, count)
        for index in range(start, stop):
            place = grains.place[index] * per_sample + offset
            inside = (place >= ZERO) & (place < end)
            place = place if inside else ZERO
            across = place * per_node
            node = int(across)
            left = separation[node]
            free = left + (across - np.float32(node)) * (separation[node + 1] - left) - grains.height[index]
            sifted.number[kept] = index
            sifted.place[kept] = place
            sifted.free[kept] = free
            kept += int(inside & (free < bound[(int(place) + PAD) >> SHIFT]))
            met += int(inside)
        first += stop - start
    return kept, met


@compiled
def sweep(height: Singles, owner: Marks, grains: Grains, cut: Cut, state: State, span: tuple[int, int, float], tally: Floats) -> None:
    """Let the grains first..last of the belt, shifted across, meet the row; cut only where ``tally`` has room for it."""
    job = Job(tally.size > 0, owner.size > 0, cut.number, np.float32(1.0 - cut.removal / cut.groove))
    sifted = state.sifted
    kept, met = sift(grains, cut, state, span, height.size - 2 * PAD, sifted)
    per_sample = np.float32(1.0 / cut.spacing)
    to_curve = np.float32(cut.spacing * cut.spacing)
    per_node = np.float32(cut.per_node)
    kappa = np.float32(cut.groove * cut.spring / cut.spacing)
    usual = np.float32(1e-7)
    total = 0.0
    square = 0.0
    touched = 0
    wide = 0
    unsolved = 0
    for one in range(kept):
        grain = sifted.number[one]
        place = sifted.place[one]
        sample = int(place) + PAD
        at = place + np.float32(PAD + HALF_NEAR - 1 - sample)
        tip = Tip(at, grains.curve[grain] * to_curve, grains.reach[grain] * per_sample, sifted.free[one], kappa)
        pushed, good, far, depth = meet(height, owner, state.bound, sample, tip, job, usual)
        usual = HALF * (usual + depth)
        travel = np.float64(pushed)
        state.force[int(place * per_node + HALF)] += travel
        total += travel
        square += travel * travel
        touched += 1 if pushed > ZERO else 0
        wide += 1 if far else 0
        unsolved += 0 if good else 1
    if job.cutting:
        tally[FORCE] += total
        tally[SQUARE] += square
        tally[CUT] += touched
        tally[MET] += met
        tally[WIDE] += wide
        tally[OPEN] += unsolved


@compiled
def law_at(press: Press, pressure: float, column: int) -> float:
    """Separation (column 0) or engaged share (column 1) at a pressure, straight between the points of the table."""
    place = (np.log(pressure) - press.law_first) / press.law_step
    place = min(max(place, 0.0), press.law.shape[0] - 1.000001)
    row = int(place)
    part = place - row
    return float(press.law[row, column] + part * (press.law[row + 1, column] - press.law[row, column]))


@compiled
def profile_at(press: Press, place: float) -> float:
    """Pressure at a place across the belt; none beyond its ends. [Pa]"""
    where = (place - press.profile_first) / press.profile_spacing
    if not (where >= 0.0 and where < press.profile.size - 1.0):
        return 0.0
    left = int(where)
    return float(press.profile[left] + (where - left) * (press.profile[left + 1] - press.profile[left]))


@compiled
def set_separation(press: Press, state: State, shift: float, strength: float) -> None:
    """Pressure and separation at every node for the next step; out of reach where nothing presses."""
    for j in range(press.node.size):
        pressure = strength * profile_at(press, press.node[j] - shift)
        state.pressure[j] = pressure
        if pressure > 0.0:
            state.separation[j] = np.float32(state.level[j] + law_at(press, pressure, 0))
        else:
            state.separation[j] = np.float32(1.0)


@compiled
def correct_level(press: Press, cut: Cut, state: State, gain: float, fall: float) -> None:
    """Follow the metal down and make good a share of the error of force, averaged between nodes as stiffly as the wheel does."""
    nodes = press.node.size
    error = np.empty(nodes)
    stiff = np.empty(nodes)
    for j in range(nodes):
        area = cut.step * press.cell[j]
        error[j] = state.pressure[j] * area / cut.spring - state.force[j]
        stiff[j] = cut.density * area * law_at(press, state.pressure[j], 1) if state.pressure[j] > 0.0 else 0.0
    for j in range(nodes):
        wrong = 0.0
        resist = 0.0
        pressure = 0.0
        for i in range(nodes):
            wrong += press.blend[j, i] * error[i]
            resist += press.blend[j, i] * stiff[i]
            pressure += press.blend[j, i] * state.pressure[i]
        if resist > 0.0:
            state.level[j] -= gain * wrong / resist
        state.level[j] -= fall * pressure


@compiled
def start_level(height: Singles, press: Press, cut: Cut, state: State) -> None:
    """Mean height around each node, averaged as stiffly as the wheel does: where a pass begins."""
    nodes = press.node.size
    samples = height.size - 2 * PAD
    mean = np.zeros(nodes)
    for j in range(nodes):
        low = max(int((j - 0.5) / cut.per_node), 0)
        high = min(int((j + 0.5) / cut.per_node) + 1, samples)
        total = 0.0
        for i in range(low, high):
            total += height[PAD + i]
        mean[j] = total / max(high - low, 1)
    for j in range(nodes):
        total = 0.0
        for i in range(nodes):
            total += press.blend[j, i] * mean[i]
        state.level[j] = total


@compiled
def cut_row(height: Singles, owner: Marks, grains: Grains, press: Press, cut: Cut, course: Course, tally: Floats) -> None:
    """
    Run one pass over one row.

    Parameters
    ----------
    height : numpy.ndarray
        Row with `PAD` samples more at each end; lowered in place. [m]
    owner : numpy.ndarray
        Pass that cut each sample last, or empty.
    grains, press, cut, course
        The belt, the wheel, the numbers of the pass and the arc that this row meets.
    tally : numpy.ndarray
        Sums of travel, of its square, grains cutting and met, wide windows, tips not solved, and area asked by pressure.
    """
    nodes = press.node.size
    blocks = (height.size + BLOCK - 1) >> SHIFT
    most = 1
    for step in range(course.shift.size):
        most = max(most, course.first[step + 1] - course.first[step] + 1)
    sifted = Sifted(np.empty(most, np.int32), np.empty(most, np.float32), np.empty(most, np.float32))
    state = State(np.zeros(nodes), np.zeros(nodes), np.zeros(nodes), np.zeros(nodes + 1, np.float32), np.zeros(blocks, np.float32), sifted)
    start_level(height, press, cut, state)
    find_bounds(height, state.bound)
    nothing = np.zeros(0)
    for _ in range(PRIMING):
        state.force[:] = 0.0
        set_separation(press, state, course.shift[0], course.strength[0])
        state.separation[nodes] = state.separation[nodes - 1]
        sweep(height, owner, grains, cut, state, (course.first[0], course.first[1], course.shift[0]), nothing)
        correct_level(press, cut, state, 1.0, 0.0)
    for step in range(course.shift.size):
        state.force[:] = 0.0
        set_separation(press, state, course.shift[step], course.strength[step])
        state.separation[nodes] = state.separation[nodes - 1]
        if step % REFRESH == 0:
            find_bounds(height, state.bound)
        sweep(height, owner, grains, cut, state, (course.first[step], course.first[step + 1], course.shift[step]), tally)
        correct_level(press, cut, state, GAIN, cut.removal * cut.step)
        for j in range(nodes):
            tally[ASKED] += cut.removal * state.pressure[j] * cut.step * press.cell[j]
