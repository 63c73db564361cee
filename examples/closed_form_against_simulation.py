"""
Lines in closed form against lines grain by grain, per band of pitch, with the scatter over belts.

    python examples/closed_form_against_simulation.py [--seeds 12] [--threads 2] [--write]

Prints one table for relief and one for texture; --write keeps them, with every belt's own number, where the docs and the tests read them.
"""

from __future__ import annotations

import argparse
import math
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from evenlay.physics.grains import GrainPass, GrainPopulation, Strip, cut_surface, dither, even_pressing, graded_population, grow_belt
from evenlay.physics.grains.persistence import BANDS, averaged_columns, band_density, persistent_density, slope_power, texture_swing
from evenlay.physics.lines import dither_power, filtered_power, mixed_power, relief_amplitudes, texture_amplitudes
from evenlay.physics.renewal import groove_coefficient, takeover_depth, texture_line_gain
from evenlay.physics.texture import grain_engagement

ROOT = Path(__file__).parents[1]
KEPT = ROOT / "tests" / "reference" / "lines_by_simulation.toml"
PATCH, WIDTH, HARDNESS = 0.02, 0.062, 129 * 9.80665e6
FEWEST_ROWS = 24
"""Rows in a turn of the belt, at least; four to the arc that renews the texture, whatever that takes."""
MEMORY = {201e-6: 1.37e-6, 125e-6: 1.1e-6, 82e-6: 1.17e-6, 58.5e-6: 1.46e-6}
"""Depth of metal moved that renews the texture, by grain: data/grades.toml. [m]"""
SHIFTS = (0.0, 0.0037, -0.0053, 0.0017)


@dataclass(frozen=True)
class Trial:
    """One set-up. ``moved``: depth of metal that each round moves [m]."""

    name: str
    grain: float = 125e-6
    length: float = 0.5
    k: float = 1e-11
    pressure: float = 1e5
    modulus: float = 5e6 / 0.75
    offsets: tuple[float, ...] = (0.0,)
    moved: tuple[float, ...] = (8e-6,)
    swing: float = 0.0
    ploughs: bool = True
    claimed: bool = True
    population: GrainPopulation | None = field(default=None)

    @property
    def grains(self) -> GrainPopulation:
        """Grains that leave the published Ra, or those given."""
        return self.population or graded_population(self.grain, strength=1.0)

    @property
    def groove(self) -> float:
        """k_g. [m2/N]"""
        return max(groove_coefficient(attack_angle=self.grains.attack_angle, hardness=HARDNESS), self.k) if self.ploughs else self.k

    @property
    def depths(self) -> tuple[float, ...]:
        """Metal moved by each round. [m]"""
        return self.moved if len(self.moved) == len(self.offsets) else self.moved * len(self.offsets)

    @property
    def rows(self) -> int:
        """Rows in a turn of the belt."""
        return max(math.ceil(4.0 * self.length * self.groove * self.pressure / MEMORY[self.grain]), FEWEST_ROWS)

    def engaged(self):
        """Closed form of the engagement."""
        p = self.grains
        return grain_engagement(
            pressure=self.pressure, grain_density=p.density, height_sd=p.height_sd, tip_radius=p.base_radius, contact_modulus=self.modulus
        )


TRIALS = (
    *(Trial(f"{n} round{'s' * (n > 1)}, shifted", offsets=SHIFTS[:n]) for n in (1, 2, 3, 4)),
    *(Trial(f"{n} rounds, unshifted", offsets=(0.0,) * n) for n in (2, 4)),
    Trial("2 rounds 2 mm apart", offsets=(0.0, 0.002)),
    Trial("heavy, then a tenth of it 2 mm beside", offsets=(0.0, 0.002), moved=(8e-6, 0.8e-6)),
    Trial("4 rounds, each lighter, shifted", offsets=SHIFTS, moved=(8e-6, 1.2e-6, 0.6e-6, 0.4e-6)),
    Trial("1 round, belt 1 m", length=1.0),
    Trial("2 rounds, belt 1 m", length=1.0, offsets=SHIFTS[:2]),
    Trial("1 round, dither 1 mm over 0.2 m", swing=1e-3, claimed=False),
    Trial("P80", grain=201e-6),
    Trial("P180", grain=82e-6),
    Trial("P240", grain=58.5e-6),
    Trial("k 3e-11", k=3e-11),
    Trial("0.03 MPa", pressure=3e4),
    Trial("0.3 MPa", pressure=3e5),
    Trial("E* 1.3 MPa", modulus=1.3e6),
    Trial("E* 40 MPa", modulus=4e7),
    Trial(
        "nothing ploughed, k 1e-10",
        k=1e-10,
        ploughs=False,
        claimed=False,
        population=GrainPopulation(density=15e6, height_sd=30e-6, base_radius=60e-6, edge_radius=15e-6),
    ),
)


def simulated(trial: Trial, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Densities of relief and of texture by band."""
    half = 0.5 * WIDTH + 1e-3 + trial.swing + max(abs(place) for place in trial.offsets)
    belt = grow_belt(trial.grains, length=trial.length, width=0.1, seed=seed, low=-half, high=half)
    ratio = max(trial.depths) / (trial.groove * trial.pressure * PATCH)
    turn = trial.length / ratio
    length = 8.0 * turn if trial.swing else turn
    rows = (8 if trial.swing else 1) * trial.rows
    samples = trial.grain / 30.0
    strip = Strip(length, WIDTH, length / rows, samples, start_across=-0.5 * WIDTH)
    draw = np.random.default_rng(seed + 1000)
    passes = tuple(
        GrainPass(
            belt,
            even_pressing(
                pressure=trial.pressure, width=0.12, patch_length=PATCH * moved / max(trial.depths), contact_modulus=trial.modulus
            ),
            trial.k,
            ratio,
            place,
            float(draw.uniform(0.0, trial.length)),
            sideways=dither(amplitude=trial.swing, wavelength=0.2, length=length, phase=float(draw.uniform(0.0, 6.28))),
            groove_coefficient=trial.groove,
        )
        for place, moved in zip(trial.offsets, trial.depths, strict=True)
    )
    done = cut_surface(strip, passes, balance=np.inf)
    assert done is not None
    points = round(50e-6 / samples)
    columns = averaged_columns(done.height, points)
    f, relief = persistent_density(columns[::2], columns[1::2], points * samples)
    swing = texture_swing(slope_power(done.height, samples, 2 * points))
    ft, texture = persistent_density(swing[::2], swing[1::2], 2 * points * samples)
    return band_density(f, relief), band_density(ft, texture)


def closed(trial: Trial) -> tuple[np.ndarray, np.ndarray]:
    """The same from the closed form."""
    law = trial.engaged()
    density = float(law.active_density)
    removal = np.asarray(trial.depths) * trial.k / trial.groove
    f = np.arange(1.0 / WIDTH, 2100.0, 1.0 / WIDTH)
    base = 2.0 / (density * trial.length) * dither_power(frequency=f, amplitude=trial.swing)[0]
    depth = relief_amplitudes(removal=removal, fill_depth=law.fill_depth)[0]
    relief = base * filtered_power(depth, offsets=trial.offsets, frequency=f)[0]
    memory = MEMORY[trial.grain]
    gain = texture_line_gain(
        texture_memory=memory, moved_per_arc=trial.groove * trial.pressure, active_density=density, belt_length=trial.length
    )
    takeover = takeover_depth(texture_memory=memory, removal_coefficient=trial.k, groove_coefficient=trial.groove)
    tap = texture_amplitudes(removal=removal, takeover=takeover)
    ideal = filtered_power(tap, offsets=trial.offsets, frequency=f)
    texture = base * float(gain) * mixed_power(ideal=ideal, own=np.sum(tap * tap, axis=-1))[0]
    return band_density(f, relief), band_density(f, texture)


def ratios(trial: Trial, seeds: range, threads: int) -> tuple[np.ndarray, np.ndarray]:
    """Simulation over closed form, relief and texture, each ``(seeds, bands)``."""
    with ThreadPoolExecutor(threads) as pool:
        found = list(pool.map(lambda seed: simulated(trial, seed), seeds))
    expected = closed(trial)
    return tuple(np.array([one[which] for one in found]) / expected[which] for which in (0, 1))


def main() -> None:
    """Print two tables: simulation over closed form, relief and texture."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=12)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    simulated(replace(TRIALS[0], length=0.05), 1)
    kept = [f"# Made by examples/closed_form_against_simulation.py; one row a belt, seeds 1 to {asked.seeds}.\n"]
    tables: dict[str, list[str]] = {"relief": [], "texture": []}
    for trial in TRIALS:
        start = time.perf_counter()
        found = dict(zip(tables, ratios(trial, range(1, asked.seeds + 1), asked.threads), strict=True))
        kept.append(f'[[trial]]\nname = "{trial.name}"\nclaimed = {str(trial.claimed).lower()}')
        for name, ratio in found.items():
            error = ratio.std(0, ddof=1) / np.sqrt(asked.seeds)
            cells = " | ".join(f"{m:.2f} ± {e:.2f}" for m, e in zip(ratio.mean(0), error, strict=True))
            tables[name].append(f"| {trial.name} | {cells} |")
            kept.append(f"{name} = [")
            kept.extend("    [" + ", ".join(f"{value:.4f}" for value in row) + "]," for row in ratio)
            kept.append("]")
        kept.append("")
        print(f"{time.perf_counter() - start:5.1f} s  relief  {tables['relief'][-1]}\n         texture {tables['texture'][-1]}", flush=True)
    heads = "| | " + " | ".join(f"{1e3 * short:g}-{1e3 * long:g} mm" for short, long in BANDS) + f" |\n|---|{'---|' * len(BANDS)}"
    page = {name: f"{heads}\n" + "\n".join(rows) + "\n" for name, rows in tables.items()}
    for name, text in page.items():
        print(f"\n{name}: simulation over closed form\n\n{text}")
    if asked.write:
        KEPT.write_text("\n".join(kept), encoding="utf-8")


if __name__ == "__main__":
    main()
