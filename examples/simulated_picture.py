"""
Lines seen in the simulated picture against the closed form of the plan: belts of several lengths, one pass, 0.6 m, worst light.

    python examples/simulated_picture.py [--seeds 3] [--threads 2] [--cuts-only]

Prints tables for docs/theory/viewing-of-the-simulated-picture.md. P120 grains that plough and
leave the published Ra, unless --cuts-only: then the base set of the trial, where every groove comes off whole.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from evenlay.physics.grains import GrainPass, GrainPopulation, Strip, Track, cut_surface, even_pressing, graded_population, grow_belt
from evenlay.physics.lines import BeltMotion, GrainTrace, RoundSet, belt_line_visibility
from evenlay.physics.renewal import groove_coefficient, takeover_depth, texture_line_gain
from evenlay.physics.texture import grain_engagement
from evenlay.physics.viewing import (
    FacetFinish,
    contrast_gains,
    facet_groups,
    repeating_visibility,
    surface_picture,
    worst_lighting,
)

PRESSURE, MODULUS, PATCH, WIDTH, SAMPLES = 1e5, 5e6 / 0.75, 0.02, 0.062, 4e-6
CUTTING = GrainPopulation(density=15e6, height_sd=30e-6, base_radius=60e-6, edge_radius=15e-6)
PLOUGHING = graded_population(125e-6, strength=1.0)
GROOVE = groove_coefficient(attack_angle=PLOUGHING.attack_angle, hardness=129 * 9.80665e6)
MEMORY = {True: 1.1e-6, False: 2.2e-6}
"""Depth of metal moved that renews the texture, where grains plough and where they only cut: docs/theory/grain-by-grain.md. [m]"""
DISTANCE, PIXEL = 0.6, 1e-4
FINISH = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05)
SPEED, FEED = 5.0, 0.2
BELTS = ((0.3, 0.15e-3), (0.5, 0.2e-3), (1.0, 0.4e-3), (2.0, 0.4e-3))
"""Belt lengths, and the rows that they need: short belts finer ones."""


@dataclass(frozen=True)
class Trial:
    """One belt, speed and feed; ``anew`` grows another belt for the second turn, so that nothing repeats; ``wander`` is that of a hand."""

    name: str
    length: float = 0.5
    speed: float = SPEED
    feed: float = FEED
    k: float = 1e-10
    groove: float | None = None
    rows: float = 0.2e-3
    anew: bool = False
    wander: float = 0.0
    turns: int = 2

    @property
    def grains(self) -> GrainPopulation:
        return PLOUGHING if self.groove else CUTTING

    @property
    def turn(self) -> float:
        return self.feed * self.length / self.speed

    @property
    def stock(self) -> float:
        return self.k * PRESSURE * PATCH * self.speed / self.feed


def trials(k: float, groove: float | None) -> list[Trial]:
    """Belts of the trial, the same belt faster fed and slower turned, two row spacings, and the belt that never comes back."""
    return [
        *(Trial(f"belt {length} m", length, rows=rows, k=k, groove=groove) for length, rows in BELTS),
        Trial("0.5 m, feed x 4", feed=4.0 * FEED, rows=0.4e-3, k=k, groove=groove),
        Trial("0.5 m, belt at half the speed, k x 2 (same stock)", speed=0.5 * SPEED, k=2.0 * k, groove=groove),
        Trial("0.5 m, rows 0.4 mm", rows=0.4e-3, k=k, groove=groove),
        Trial("0.5 m, rows 0.1 mm", rows=0.1e-3, k=k, groove=groove),
        Trial("0.5 m, grown anew each turn", k=k, groove=groove, anew=True),
        Trial("0.5 m, led by hand", k=k, groove=groove, rows=0.4e-3, wander=2e-3, turns=4),
    ]


def simulated_map(trial: Trial, seed: int) -> tuple[np.ndarray, float]:
    """Height map of a few turns, and the spacing of rows: one row more than fits, so that later turns are sampled between the first."""
    half = 0.5 * WIDTH + 1e-3 + 4.0 * trial.wander
    wheel = even_pressing(pressure=PRESSURE, width=0.12, patch_length=PATCH, contact_modulus=MODULUS)
    rows = trial.turns * max(round(trial.turn / trial.rows), 12) + (not trial.anew)
    spacing = trial.turns * trial.turn / rows
    ratio = trial.speed / trial.feed
    start = float(np.random.default_rng(seed).uniform(0.0, trial.length))
    parts = []
    for part in range(1 + trial.anew):
        belt = grow_belt(trial.grains, length=trial.length, width=0.1, seed=seed + 500 * part, low=-half, high=half)
        along = trial.turns * trial.turn / (1 + trial.anew)
        strip = Strip(along, WIDTH, spacing, SAMPLES, start_across=-0.5 * WIDTH)
        drift = wandering(trial, along, seed)
        one = GrainPass(belt, wheel, trial.k, ratio, arc_start=start, sideways=drift, groove_coefficient=trial.groove)
        done = cut_surface(strip, (one,), balance=np.inf)
        assert done is not None
        parts.append(done.height)
    return np.concatenate(parts), spacing


def wandering(trial: Trial, length: float, seed: int) -> Track:
    """Sideways drift that forgets itself over 0.1 m, cut at three standard deviations."""
    along = np.arange(-0.05, length + 0.05, 1e-3)
    draw = np.random.default_rng(seed + 77).standard_normal(along.size)
    kept = np.exp(-1e-3 / 0.1)
    place = np.empty(along.size)
    last = draw[0]
    for index, one in enumerate(draw):
        last = kept * last + np.sqrt(1.0 - kept**2) * one
        place[index] = last
    return Track(along, trial.wander * np.clip(place, -3.0, 3.0))


@dataclass(frozen=True)
class Seen:
    """What one belt's picture shows."""

    visibility: float
    control: float
    followed: float
    followed_control: float
    half_rows: float
    slope: float
    tilt: float


def seen(trial: Trial, seed: int) -> Seen:
    """Cut, light, look."""
    height, rows = simulated_map(trial, seed)
    size = {"spacing": SAMPLES, "row_spacing": rows}
    light = worst_lighting(height, **size, material=FINISH, distance=DISTANCE, repeat=trial.turn)
    picture = surface_picture(height, **size, pixel=PIXEL, light=light, material=FINISH)
    scale = {"pixel_across": picture.pixel_across, "pixel_along": picture.pixel_along, "repeat": trial.turn, "distance": DISTANCE}
    still = repeating_visibility(picture.contrast, **scale)
    followed = repeating_visibility(picture.contrast, **scale, follow=3e-3 if trial.wander else 1e-3)
    slope = facet_groups(height, **size).slope_rms
    return Seen(still.visibility, still.control, followed.visibility, followed.control, still.half_rows, slope, abs(light.tilt_across))


def closed(trial: Trial, slope: float, tilt: float) -> float:
    """Closed form, with the picture's own slopes and light."""
    p = trial.grains
    law = grain_engagement(
        pressure=PRESSURE, grain_density=p.density, height_sd=p.height_sd, tip_radius=p.base_radius, contact_modulus=MODULUS
    )
    groove, memory = trial.groove or trial.k, MEMORY[trial.groove is not None]
    gain = texture_line_gain(
        texture_memory=memory, moved_per_arc=groove * PRESSURE, active_density=law.active_density, belt_length=trial.length
    )
    takeover = takeover_depth(texture_memory=memory, removal_coefficient=trial.k, groove_coefficient=groove)
    lines = belt_line_visibility(
        motion=BeltMotion(trial.length, trial.speed, trial.feed, PATCH),
        grains=GrainTrace(law.active_density, law.fill_depth, takeover),
        rounds=RoundSet([trial.stock], [0.0], gain, wander=trial.wander),
        gains=contrast_gains(slope_rms=slope, facet_spread=FINISH.facet_spread, floor=FINISH.floor, tilt=tilt),
        distance=DISTANCE,
    )
    return float(lines.visibility[0])


def main() -> None:
    """Print one row per trial."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--cuts-only", action="store_true")
    asked = parser.parse_args()
    k, groove = (1e-10, None) if asked.cuts_only else (1e-11, GROOVE)
    seen(Trial("warm", 0.1, k=k, groove=groove), 1)
    print("| | Λ mm | picture | control | followed (control) | every other row | closed form | ratio | slopes | light |")
    print("|---|" + "---|" * 9)
    for trial in trials(k, groove):
        with ThreadPoolExecutor(asked.threads) as pool:
            found = list(pool.map(lambda seed, trial=trial: seen(trial, seed), range(1, asked.seeds + 1)))
        each = np.array([[getattr(one, name) for name in Seen.__dataclass_fields__] for one in found])
        mean, spread = each.mean(axis=0), each[:, 0].std(ddof=1) / np.sqrt(asked.seeds) if asked.seeds > 1 else np.nan
        expected = closed(trial, float(mean[5]), float(mean[6]))
        print(
            f"| {trial.name} | {1e3 * trial.turn:.0f} | {mean[0]:.2f} ± {spread:.2f} | {mean[1]:.2f} | {mean[2]:.2f} ({mean[3]:.2f}) "
            f"| {mean[4]:.2f} | {expected:.2f} | {mean[0] / expected:.2f} | {mean[5]:.3f} | {np.degrees(mean[6]):.0f}° |",
            flush=True,
        )


if __name__ == "__main__":
    main()
