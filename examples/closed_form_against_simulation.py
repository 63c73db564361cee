"""
Lines in closed form against lines grain by grain, per band of pitch, with the scatter over belts. Prints tables for the docs.

    python examples/closed_form_against_simulation.py [--seeds 6] [--threads 2]
"""

from __future__ import annotations

import argparse
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from evenlay.physics.grains import GrainPass, GrainPopulation, Strip, cut_surface, dither, even_pressing, grow_belt
from evenlay.physics.grains.persistence import BANDS, averaged_columns, band_density, persistent_density, slope_power, texture_swing
from evenlay.physics.lines import dither_power, filtered_power, relief_amplitudes
from evenlay.physics.renewal import chip_area, renewed_line_gain, renewed_share
from evenlay.physics.texture import grain_engagement

PRESSURE, MODULUS, PATCH, WIDTH = 1e5, 5e6 / 0.75, 0.02, 0.062
BASE = GrainPopulation(density=15e6, height_sd=30e-6, base_radius=60e-6, edge_radius=15e-6)


@dataclass(frozen=True)
class Trial:
    """One set-up."""

    name: str
    population: GrainPopulation = BASE
    grain: float = 120e-6
    length: float = 0.5
    k: float = 1e-10
    offsets: tuple[float, ...] = (0.0,)
    swing: float = 0.0
    speed_over_feed: float = 25.0
    rows: int = 24

    def grains(self):
        """Closed form of the engagement."""
        p = self.population
        return grain_engagement(
            pressure=PRESSURE, grain_density=p.density, height_sd=p.height_sd, tip_radius=p.base_radius, contact_modulus=MODULUS
        )


def grade(size: float) -> GrainPopulation:
    """Day-zero statistics of a grade."""
    return GrainPopulation(density=0.1 / size**2, height_sd=0.2 * size, base_radius=0.25 * size, edge_radius=size / 8.0)


SHIFTS = (0.0, 0.0037, -0.0053, 0.0017)
TRIALS = (
    *(Trial(f"{n} round{'s' * (n > 1)}, shifted", offsets=SHIFTS[:n]) for n in (1, 2, 3, 4)),
    *(Trial(f"{n} rounds, unshifted", offsets=(0.0,) * n) for n in (2, 4)),
    Trial("1 round, belt 1 m", length=1.0),
    Trial("2 rounds 2 mm apart", offsets=(0.0, 0.002)),
    Trial("1 round, dither 1 mm over 0.2 m", swing=1e-3),
    Trial("1 round, k 8e-10", k=8e-10, rows=96),
    Trial("P80", population=grade(201e-6), grain=201e-6),
    Trial("P180", population=grade(82e-6), grain=82e-6),
    Trial("P240", population=grade(58.5e-6), grain=58.5e-6),
)


def simulated(trial: Trial, seed: int) -> tuple[np.ndarray, np.ndarray, float]:
    """Densities of relief and of texture by band, and the removal."""
    half = 0.5 * WIDTH + 1e-3 + trial.swing + max(abs(place) for place in trial.offsets)
    belt = grow_belt(trial.population, length=trial.length, width=0.1, seed=seed, low=-half, high=half)
    wheel = even_pressing(pressure=PRESSURE, width=0.12, patch_length=PATCH, contact_modulus=MODULUS)
    turn = trial.length / trial.speed_over_feed
    length = 0.2 if trial.swing else turn
    rows = 5 * trial.rows if trial.swing else trial.rows
    samples = trial.grain / 30.0
    strip = Strip(length, WIDTH, length / rows, samples, start_across=-0.5 * WIDTH)
    draw = np.random.default_rng(seed + 1000)
    passes = tuple(
        GrainPass(
            belt,
            wheel,
            trial.k,
            trial.speed_over_feed,
            place,
            float(draw.uniform(0.0, trial.length)),
            sideways=dither(amplitude=trial.swing, wavelength=0.2, length=length, phase=float(draw.uniform(0.0, 6.28))),
        )
        for place in trial.offsets
    )
    done = cut_surface(strip, passes, balance=np.inf)
    assert done is not None
    points = round(50e-6 / samples)
    columns = averaged_columns(done.height, points)
    f, relief = persistent_density(columns[::2], columns[1::2], points * samples)
    swing = texture_swing(slope_power(done.height, samples, 2 * points))
    ft, texture = persistent_density(swing[::2], swing[1::2], 2 * points * samples)
    return band_density(f, relief), band_density(ft, texture), done.removal


def closed(trial: Trial, removal: float) -> tuple[np.ndarray, np.ndarray]:
    """The same from the closed form, with the ideal filter of the offsets."""
    grains = trial.grains()
    rounds = len(trial.offsets)
    depth = np.full(rounds, removal / rounds)
    f = np.arange(1.0 / WIDTH, 2100.0, 1.0 / WIDTH)
    base = 2.0 / (float(grains.active_density) * trial.length) * dither_power(frequency=f, amplitude=trial.swing)[0]
    amplitude = relief_amplitudes(removal=depth, fill_depth=grains.fill_depth)[0]
    relief = base * filtered_power(amplitude, offsets=trial.offsets, frequency=f)[0]
    chip = chip_area(removal_coefficient=trial.k, pressure=PRESSURE, active_density=grains.active_density)
    gain = float(renewed_line_gain(chip=chip, active_density=grains.active_density, belt_length=trial.length))
    left = np.cumprod(np.r_[1.0, 1.0 - renewed_share(depth[1:])[::-1]])[::-1]
    shares = renewed_share(depth) * left
    texture = base * gain * filtered_power(shares, offsets=trial.offsets, frequency=f)[0]
    return band_density(f, relief), band_density(f, texture)


def main() -> None:
    """Print two tables: simulation over closed form, relief and texture."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--threads", type=int, default=2)
    asked = parser.parse_args()
    heads = " | ".join(f"{1e3 * short:g}-{1e3 * long:g} mm" for short, long in BANDS)
    lines: dict[str, list[str]] = {"relief": [], "texture": []}
    simulated(replace(TRIALS[0], rows=2), 1)
    for trial in TRIALS:
        with ThreadPoolExecutor(asked.threads) as pool:
            found = list(pool.map(lambda seed, trial=trial: simulated(trial, seed), range(1, asked.seeds + 1)))
        expected = closed(trial, float(np.mean([one[2] for one in found])))
        for which, name in enumerate(("relief", "texture")):
            ratio = np.array([one[which] for one in found]) / expected[which]
            cells = " | ".join(
                f"{m:.2f} ± {e:.2f}" for m, e in zip(ratio.mean(0), ratio.std(0, ddof=1) / np.sqrt(asked.seeds), strict=True)
            )
            lines[name].append(f"| {trial.name} | {cells} |")
            print(name, lines[name][-1], flush=True)
    for name, rows in lines.items():
        print(f"\n{name}: simulation over closed form\n\n| | {heads} |\n|---|{'---|' * len(BANDS)}")
        print("\n".join(rows))


if __name__ == "__main__":
    main()
