"""Rows of the validation page: published values from ``tests/reference``, ours beside them, and the error."""

from __future__ import annotations

import importlib
import math
import tomllib
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

TESTS: Final = Path(__file__).parents[1] / "tests"


@dataclass(frozen=True)
class Row:
    """One published check: what, the source's value, ours, the error, the tolerance of the test, the test."""

    what: str
    source: str
    theirs: str
    ours: str
    error: str
    allowed: str
    test: str


def reference(name: str) -> dict[str, Any]:
    """One table of the tests."""
    return tomllib.loads((TESTS / "reference" / name).read_text(encoding="utf-8"))


def worst(what: str, source: str, pairs: Iterable[tuple[str, float, float]], allowed: float, test: str) -> Row:
    """Row of the pair that differs most: name, theirs, ours."""
    every = list(pairs)
    name, theirs, ours = max(every, key=lambda pair: abs(pair[2] / pair[1] - 1.0))
    off = abs(ours / theirs - 1.0)
    shown = "below 1e-9" if off < 1e-9 else f"{100.0 * off:.2g} %"
    count = f"; {len(every)} values, worst at {name}" if len(every) > 1 else ""
    return Row(f"{what}{count}", source, f"{theirs:.5g}", f"{ours:.5g}", shown, f"{100.0 * allowed:.3g} %", test)


def contact() -> list[Row]:
    """Layers, Hertz, rubber, rings."""
    from evenlay.physics.contact.bedding import bonded_cover, strip_contact
    from evenlay.physics.contact.elastic import (
        contact_modulus,
        line_contact,
        point_contact,
        shore_a_modulus,
        shore_a_modulus_log_linear,
    )
    from evenlay.physics.contact.ellipse import elliptical_contact
    from evenlay.physics.contact.layer import layer_contact_at
    from evenlay.physics.contact.turning import ring_stress

    layer, worked = reference("bonded-layer.toml"), reference("contact-worked.toml")

    def exact(nu: float, a: float) -> float:
        return float(layer_contact_at(half_width=a, radius=1.0, modulus=1.0, poisson=nu, thickness=1.0).load_per_width)

    def fast(nu: float, a: float, depth: float) -> float:
        cover = bonded_cover(modulus=1.0, poisson=nu, thickness=1.0)
        return float(strip_contact(cover, flattening=np.array([depth * a**2]), radius=1.0).half_width[0])

    rows = [(f"ν {row[0]:.2f}, a/b {row[1]:g}", row) for row in layer["rows"]]
    points, lines, ellipses = (worked[f"hertz-{kind}"] for kind in ("point", "line", "ellipse"))
    shore = worked["shore"]
    rubber = {row[1]: contact_modulus(modulus=shore_a_modulus(row[1]), poisson=0.5) for row in lines["rows"]}
    return [
        worst(
            "Bonded rubber layer, load, reference solver",
            "johnson-1985, bonded-layer-compliance",
            ((name, row[2], exact(row[0], row[1])) for name, row in rows),
            layer["tolerance"],
            "test_bonded_layer.py",
        ),
        worst(
            "Bonded rubber layer, half-length, law used in plans",
            "johnson-1985, bonded-layer-compliance",
            ((name, row[1], fast(row[0], row[1], row[7])) for name, row in rows),
            layer["tolerance"],
            "test_bonded_layer.py",
        ),
        worst(
            "Sphere on flat, half-width [mm]",
            "johnson-1985",
            (
                (
                    f"{radius:g} mm, {force:.4g} N",
                    half,
                    1e3 * float(point_contact(force=force, effective_radius=1e-3 * radius, contact_modulus=1e6 * modulus).half_length),
                )
                for radius, modulus, force, half, _, _ in points["rows"]
            ),
            points["tolerance"],
            "test_hertz.py",
        ),
        worst(
            "Rubber wheel as a line contact, patch [mm]",
            "johnson-1985",
            (
                (
                    f"{radius:g} mm, {hardness:g} Shore A",
                    patch,
                    2e3
                    * float(
                        line_contact(
                            load_per_width=40.0 / 0.030, effective_radius=1e-3 * radius, contact_modulus=rubber[hardness]
                        ).half_width
                    ),
                )
                for radius, hardness, patch, _ in lines["rows"]
            ),
            lines["tolerance"],
            "test_hertz.py",
        ),
        worst(
            "Elliptical contact, half-length [mm]",
            "johnson-1985",
            (
                (
                    f"{across:g} mm across",
                    a,
                    1e3
                    * float(
                        elliptical_contact(force=40.0, radius_along=0.100, radius_across=1e-3 * across, contact_modulus=2e6).half_length
                    ),
                )
                for across, a, _, _, _ in ellipses["rows"]
            ),
            ellipses["tolerance"],
            "test_hertz.py",
        ),
        worst(
            "Modulus from Shore A, Gent [MPa]",
            "gent-1958",
            ((f"{row[0]:g} Shore A", row[1], 1e-6 * float(shore_a_modulus(row[0]))) for row in shore["rows"]),
            shore["tolerance"],
            "test_gent_moduli.py",
        ),
        worst(
            "Modulus from Shore A, log-linear [MPa]",
            "shore-log-linear",
            ((f"{row[0]:g} Shore A", row[2], 1e-6 * float(shore_a_modulus_log_linear(row[0]))) for row in shore["rows"]),
            shore["tolerance"],
            "test_gent_moduli.py",
        ),
        worst(
            "Steel ring of 220 mm radius at 6000 rpm, stress [MPa]",
            "thin-ring-problems",
            [("", 150.0, 1e-6 * float(ring_stress(density=7850.0, speed=200.0 * math.pi * 0.220)))],
            2e-3,
            "test_ring_stress.py",
        ),
    ]


def removal() -> list[Row]:
    """Removal, drive, speeds, marks."""
    from evenlay.physics.drive import air_motor_peak_power, shaft_power
    from evenlay.physics.removal import mean_pass_removal
    from evenlay.physics.ripple import even_offsets, ripple
    from evenlay.physics.speeds import rim_speed

    runs, speeds = reference("belt-42crmo.toml"), reference("belt_speeds.toml")
    first, _, third = runs["row"]

    def work(row: dict[str, float]) -> float:
        return float(
            mean_pass_removal(
                removal_coefficient=1e-11, belt_speed=row["rotation"] / 60.0, force=row["force"], feed=row["feed"] * 1e-3, width=0.05
            )
        )

    y = np.linspace(-0.03, 0.03, 60001)
    shape = np.clip((0.0275 - np.abs(y)) / 0.005, 0.0, 1.0)[None, :]
    swings = [
        (
            f"{rounds} round{'s' if rounds > 1 else ''}",
            percent,
            100.0
            * float(ripple(y=y, shape=shape, step_over=0.035, offsets=even_offsets(step_over=0.035, rounds=rounds)).peak_to_valley[0]),
        )
        for rounds, percent in ((1, 70.0), (2, 17.5), (3, 15.6), (4, 8.8))
    ]
    return [
        worst(
            "42CrMo, robot and belt: depth of run V3 from V1 [mm]",
            "metals-2025-42crmo",
            [("", third["depth"], first["depth"] * work(third) / work(first))],
            runs["tolerance"],
            "test_belt_42crmo.py, test_robotic_belt_grinding.py",
        ),
        worst(
            "Belt speeds of the handbook [m/s]",
            "machinerys-handbook-31",
            (
                (f"{row['metal']}, {row['work']}", metres, feet * 0.00508)
                for row in speeds["row"]
                for feet, metres in zip(row["fpm"], row["mps"], strict=True)
            ),
            speeds["tolerance"] / 20.0,
            "test_machinerys_handbook_31.py",
        ),
        worst(
            "Wheel of 115 mm at 13286 rpm [m/s]",
            "machinerys-handbook-31",
            [("", 80.0, float(rim_speed(diameter=0.115, rotation=13286 / 60)))],
            0.005 / 80.0,
            "test_machinerys_handbook_31.py",
        ),
        worst(
            "10 N·m at 955 rpm [W]",
            "air-motor-sizing",
            [("", 1000.0, float(shaft_power(torque=10.0, rotation=955 / 60)))],
            1e-3,
            "test_air_motor_sizing.py",
        ),
        worst(
            "Air motor, most power over stall torque × free speed / 4",
            "air-motor-sizing",
            [("", 1.0, float(air_motor_peak_power(free_rotation=50.0, stall_torque=2.0)) / (2.0 * 2.0 * math.pi * 50.0 / 4.0))],
            1e-6,
            "test_air_motor_sizing.py",
        ),
        worst("Ripple of 50/5/35 mm from peak to valley [%]", "derived", swings, 6e-3, "unit/physics/test_ripple.py"),
    ]


def light() -> list[Row]:
    """Reflectance and the eye."""
    from evenlay.physics.viewing import contrast_sensitivity, fresnel_reflectance

    glass, tables = reference("fresnel.toml"), reference("contrast_sensitivity.toml")
    eye = tables["watson_ahumada"]
    ours = contrast_sensitivity(np.asarray(eye["frequency"], dtype=np.float64))
    reflected = fresnel_reflectance(np.radians(glass["angle_degrees"]), index=glass["index"])
    return [
        worst(
            "Reflectance of the reference glass",
            "iso-2813",
            (
                (f"{angle:g}°", theirs, float(mine))
                for angle, theirs, mine in zip(glass["angle_degrees"], glass["reflectance"], reflected, strict=True)
            ),
            glass["tolerance"],
            "test_iso_2813_reflectance.py",
        ),
        worst(
            "Contrast sensitivity",
            "watson-ahumada-2005",
            (
                (f"{f:g} cycles/degree", theirs, float(mine))
                for f, theirs, mine in zip(eye["frequency"], eye["sensitivity"], ours, strict=True)
            ),
            eye["tolerance"],
            "test_watson_ahumada_2005.py",
        ),
        _lobe(),
        _modelfest(),
        _trial_lines(),
    ]


def _lobe() -> Row:
    """The lobe of light against a renderer's rough conductor, on a level face, without what is the same all over a picture."""
    from evenlay.physics.viewing import FacetFinish, FacetGroups, Lighting, facet_luminance

    table = reference("renderer_lobe.toml")
    pairs = []
    for row in table["row"]:
        if row["lean"] != 0.0:
            continue
        tilts = np.radians([row["tilt_across_degrees"], row["tilt_along_degrees"]])
        finish = FacetFinish(slope_along=row["slope_along"], facet_spread=0.0, floor=0.0, reference_slope=0.09)
        groups = FacetGroups(np.zeros((1, 1)), np.full((1, 1), row["slope_across"] ** 2), 80e-6, 4e-4)
        mine = float(facet_luminance(groups, light=Lighting(*map(float, tilts)), material=finish)[0, 0])
        upright = 1.0 / float(1.0 + np.sum(np.tan(tilts) ** 2)) ** 2
        same = 4.0 * float(np.cos(np.radians(table["eye_across_degrees"]))) * upright * 2.0 * np.pi * row["slope_along"] * 0.09
        where = f"slopes {row['slope_across']:g}, light at {row['tilt_across_degrees']:g}° and {row['tilt_along_degrees']:g}°"
        pairs.append((where, row["value"] * same, mine))
    return worst("Lobe of a renderer's rough conductor", "renderer-rough-conductor", pairs, 1e-5, "test_renderer_lobe.py")


def _modelfest() -> Row:
    """Errors of the observer over 34 stimuli, drawn by the test-only package that carries the data."""
    from evenlay.physics.viewing import picture_visibility

    table = reference("modelfest.toml")
    errors = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package's own, on import and on drawing
        stimuli = importlib.import_module("stimupy.papers.modelfest")
        for name in stimuli.__all__[:34]:
            drawn = getattr(stimuli, name)()
            measured = np.mean([np.asarray(drawn["experimental_data"][f"thresholds{run}"], dtype=float) for run in (1, 2, 3, 4)])
            seen = picture_visibility(2.0 * np.asarray(drawn["img"], dtype=float) - 1.0, pixels_per_degree=table["pixels_per_degree"])
            errors[name] = 20.0 * float(np.log10(seen) - measured)
    rms = math.sqrt(sum(error**2 for error in errors.values()) / len(errors))
    far = max(errors, key=lambda name: abs(errors[name]))
    return Row(
        f"Thresholds of ModelFest stimuli 1 to 34; worst at {far}",
        "carney-1999",
        "16 observers",
        "standard observer",
        f"{rms:.2f} dB rms, {abs(errors[far]):.2f} dB worst",
        f"{table['tolerance_rms_db']} dB rms, {table['tolerance_worst_db']} dB worst",
        "test_modelfest_1999.py",
    )


def _trial_lines() -> Row:
    """Closed form of single passes against the trial simulation."""
    from evenlay.physics.lines import BeltMotion, GrainTrace, RoundSet, belt_line_visibility
    from evenlay.physics.texture import grain_engagement
    from evenlay.physics.viewing import contrast_gains

    trial = reference("line_trial.toml")
    setup, belts = trial["setup"], trial["belts"]
    engaged = grain_engagement(
        pressure=setup["pressure"],
        grain_density=setup["grain_density"],
        height_sd=setup["height_sd"],
        tip_radius=setup["tip_radius"],
        contact_modulus=setup["young_modulus"] / (1.0 - setup["poisson"] ** 2),
    )
    ours = [
        float(
            belt_line_visibility(
                motion=BeltMotion([length], setup["speed"], setup["feed"], setup["patch_length"]),
                grains=GrainTrace(engaged.active_density, engaged.fill_depth, setup["takeover_depth"], 0.0),
                rounds=RoundSet([setup["removal"]], [0.0], trial["line_gain"]["gain"][-1]),
                gains=contrast_gains(slope_rms=setup["slope_rms"], facet_spread=setup["facet_spread"], floor=setup["floor"]),
                distance=0.6,
            ).visibility[0]
        )
        for length in belts["length"]
    ]
    ratios = [
        f"{one / mine:.2f}" if one == two else f"{one / mine:.2f} to {two / mine:.2f}"
        for one, two, mine in zip(belts["low"], belts["high"], ours, strict=True)
    ]
    low, high = trial["ratio"]
    return Row(
        "Lines of single passes, belts of " + ", ".join(f"{each:g}" for each in belts["length"]) + " m [times just-visible]",
        "line-trial-simulation",
        ", ".join(f"{one:g}" if one == two else f"{one:g} to {two:g}" for one, two in zip(belts["low"], belts["high"], strict=True)),
        ", ".join(f"{each:.2g}" for each in ours),
        "theirs over ours " + ", ".join(ratios),
        f"meets {low} to {high}, {100 * trial['print_rounding']:.0f} % more for printing; the order",
        "test_line_trial_simulation.py",
    )


def heat() -> list[Row]:
    """Moving band, worked pass, tint."""
    from evenlay.physics.moving_band import band_flash, band_heat

    table = reference("jaeger_band.toml")
    one = table["pass"]
    found = band_heat(np.asarray(table["peclet"]))

    def rise(index: int) -> float:
        spread = one["conductivity"][index] / (one["density"][index] * one["heat"][index])
        usual = {"heat_flux": one["heat_flux"], "conductivity": one["conductivity"][index], "diffusivity": spread}
        return float(band_flash(half_length=one["half_length"], feed=one["feed"], **usual))

    return [
        worst(
            "Moving band, peak",
            "jaeger-1942, carslaw-jaeger-1959",
            (
                (f"L = {number:g}", theirs, float(mine))
                for number, theirs, mine in zip(table["peclet"], table["peak"], found.peak, strict=True)
            ),
            table["tolerance"],
            "test_jaeger_1942.py",
        ),
        worst(
            "Moving band, mean",
            "jaeger-1942, carslaw-jaeger-1959",
            (
                (f"L = {number:g}", theirs, float(mine))
                for number, theirs, mine in zip(table["peclet"], table["mean"], found.mean, strict=True)
            ),
            table["tolerance"],
            "test_jaeger_1942.py",
        ),
        worst(
            "Pass of 400 W, flash [K]",
            "jaeger-1942, carslaw-jaeger-1959",
            ((metal, one["rise"][index], rise(index)) for index, metal in enumerate(one["metal"])),
            one["tolerance"],
            "test_jaeger_1942.py",
        ),
    ]


GROUPS: Final[dict[str, Callable[[], list[Row]]]] = {
    "Contact": contact,
    "Removal, speeds and drive": removal,
    "Light and eye": light,
    "Heat": heat,
}
"""Rows by chapter of the page."""


def first_line(file: Path) -> str:
    """What a test file says of its source in its first line."""
    text = file.read_text(encoding="utf-8").split('"""')[1].strip()
    return text.split("\n\n")[0].replace("\n", " ")
