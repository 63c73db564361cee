"""Grain by grain: encounters per second on one and two threads, memory, whole samples, and against a plain NumPy way."""

from __future__ import annotations

import resource
from time import perf_counter

import numpy as np

from evenlay.physics.grains import CutSurface, GrainPass, GrainPopulation, Strip, cut_surface, even_pressing, graded_population, grow_belt
from evenlay.physics.grains.belt import Belt
from evenlay.physics.renewal import groove_coefficient

Row = tuple[str, float, str]

POPULATION = GrainPopulation(density=15e6, height_sd=30e-6, base_radius=60e-6, edge_radius=15e-6)
PRESSURE, MODULUS, PATCH, REMOVAL = 1e5, 5e6 / 0.75, 0.02, 1e-11
PLOUGHING = graded_population(82e-6, strength=1.0)
GROOVE = groove_coefficient(attack_angle=PLOUGHING.attack_angle, hardness=129 * 9.80665e6)
"""P180 grains that leave the published Ra on 304."""


def run(strip: Strip, *, arc: float, rounds: int, threads: int, belt: Belt, groove: float | None = None) -> tuple[CutSurface, float]:
    """Shifted rounds over a strip, and the seconds they took."""
    wheel = even_pressing(pressure=PRESSURE, width=strip.width + 0.02, patch_length=PATCH, contact_modulus=MODULUS)
    passes = tuple(GrainPass(belt, wheel, REMOVAL, arc / PATCH, 0.0, 0.037 * j, groove_coefficient=groove) for j in range(rounds))
    start = perf_counter()
    done = cut_surface(strip, passes, threads=threads)
    assert done is not None
    return done, perf_counter() - start


def plain_way(belt: Belt, strip: Strip, grains: int) -> float:
    """Grains per second with NumPy on each grain's window, separation held."""
    samples, spring = strip.samples, 2.0 * MODULUS * POPULATION.base_radius
    height = np.zeros(strip.sample_count + 64)
    kappa = REMOVAL * spring / samples
    level = 7.5e-6
    start = perf_counter()
    for j in range(grains):
        at = (float(belt.place[j]) - strip.start_across) / samples + 32
        free = level - float(belt.height[j])
        if not 32 <= at < height.size - 32 or free >= height.max():
            continue
        low = int(at) - 7
        away = np.abs(np.arange(16) + low - at)
        near = np.minimum(away, belt.reach[j] / samples)
        rise = belt.curve[j] * samples**2 * near * (away - 0.5 * near)
        under = height[low : low + 16] - rise
        order = np.sort(under)[::-1]
        count = np.arange(1, 17)
        apex = float(np.max((kappa * free + np.cumsum(order)) / (kappa + count)))
        height[low : low + 16] = np.minimum(height[low : low + 16], apex + rise)
    return grains / (perf_counter() - start)


def rows() -> list[Row]:
    """Everything; about a minute."""
    belt = grow_belt(POPULATION, length=0.5, width=0.05, seed=1)
    part = Strip(0.01, 0.05, 0.5e-3, 4e-6, start_across=-0.025)
    run(Strip(0.001, 0.05, 0.5e-3, 4e-6, start_across=-0.025), arc=0.5, rounds=1, threads=1, belt=belt)
    speed = {}
    for threads in (1, 2):
        best = min((run(part, arc=0.5, rounds=3, threads=threads, belt=belt) for _ in range(3)), key=lambda pair: pair[1])
        speed[threads] = best[0].met / best[1]
    whole, seconds = run(Strip(0.1, 0.05, 0.5e-3, 4e-6, start_across=-0.025), arc=0.5, rounds=6, threads=2, belt=belt)
    satin, satin_seconds = run(part, arc=3.0, rounds=6, threads=2, belt=belt)
    small = grow_belt(POPULATION, length=0.5, width=0.05, seed=1, low=-0.0105, high=0.0105)
    live = Strip(0.02, 0.02, 0.5e-3, 4e-6, start_across=-0.01)
    _, live_seconds = run(live, arc=0.5, rounds=1, threads=2, belt=small)
    plain = plain_way(belt, part, 40000)
    sparse = grow_belt(PLOUGHING, length=1.5, width=0.05, seed=1)
    fine = Strip(0.01, 0.05, 0.2e-3, 82e-6 / 30.0, start_across=-0.025)
    ploughed, ploughed_seconds = run(fine, arc=3.0, rounds=1, threads=2, belt=sparse, groove=GROOVE)
    return [
        ("grains, encounters a second, one thread", speed[1] / 1e6, "million/s"),
        ("grains, encounters a second, two threads", speed[2] / 1e6, "million/s"),
        ("grains, two threads over one", speed[2] / speed[1], "times"),
        ("grains, one thread over plain NumPy", speed[1] / plain, "times"),
        ("grains, 100 x 50 mm, six rounds, 0.5 m of arc", seconds, "s"),
        ("grains, encounters of that sample", whole.met / 1e6, "million"),
        ("grains, 100 x 50 mm, six rounds, 3 m of arc, from a tenth of it", 10.0 * satin_seconds, "s"),
        ("grains, encounters of that tenth", satin.met / 1e6, "million"),
        ("grains, 20 mm x 20 mm strip, one round of 0.5 m, warm", live_seconds, "s"),
        ("grains that plough (P180, nearly all cut), encounters a second, two threads", ploughed.met / ploughed_seconds / 1e6, "million/s"),
        ("grains that plough, 100 x 50 mm, six rounds, 3 m of arc, rows of 0.2 mm, from a sixtieth", 60.0 * ploughed_seconds, "s"),
        ("grains, most memory of the process", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0, "MB"),
    ]


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:<68} {value:10.4g} {unit}", flush=True)
