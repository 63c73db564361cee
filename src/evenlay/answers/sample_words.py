"""Words that go with a drawn sample wherever it goes: caption, chain, source."""

from __future__ import annotations

import math

from evenlay.answers.case import KEY_OF_UNKNOWN, Case
from evenlay.answers.sample_options import Variant
from evenlay.decisions.drawn_grains import DrawnGrains
from evenlay.job.plan_record import PlanRecord
from evenlay.physics.viewing.facets import Lighting
from evenlay.quantities.units import format_quantity


def light_words(light: Lighting, *, searched: bool) -> str:
    """Where lamp and eye stand, in words."""
    how = "the light that shows lines most" if searched else "as asked"
    return f"light: half vector {math.degrees(light.tilt_across):.0f}° across the grain, {how}"


def caption_of(plan: PlanRecord, case: Case, grains: DrawnGrains, *, light: Lighting, searched: bool) -> str:
    """
    Caption of a sample.

    Parameters
    ----------
    plan : PlanRecord
    case : Case
    grains : DrawnGrains
    light : Lighting
    searched : bool
        Whether the light is the one that shows lines most.

    Returns
    -------
    str
        Begins with "drawn sample" and says on what it rests.
    """
    ra = case.values["roughness"]
    fitted = (
        f"grains fitted to Ra {format_quantity(ra.number, 'length')} ({ra.known})" if grains.fitted else "grains as the job states them"
    )
    far = format_quantity(case.setup.distance, "length")
    return (
        f"Drawn sample, not a photograph: {plan.job}, face {plan.face}, step {plan.step}. {plan.rests_on} Cut grain by grain; {fitted}; "
        f"{light_words(light, searched=searched)}; eye at {far}. Print at 100 %: the ruler tells whether it is true to scale."
    )


def chain_of(case: Case, plan: PlanRecord, grains: DrawnGrains, *, passes: int) -> tuple[str, ...]:
    """
    From belt to picture, a sentence a link, each with how it is known.

    Parameters
    ----------
    case : Case
    plan : PlanRecord
    grains : DrawnGrains
    passes : int
        That reach the piece.

    Returns
    -------
    tuple of str
    """
    population = grains.population
    angle, hard = f"{population.attack_angle:.0f}°", case.effective["alloy.hardness"]
    if grains.fitted:
        made = f"fitted, {grains.strength:.2f} steps from day zero, to k, hardness ({hard.known}) and Ra ({case.values['roughness'].known})"
    else:
        made = f"as stated ({', '.join(sorted({case.effective[key].known for key in ('belt.grain_density', 'belt.grain_height_sd')}))})"
    patch = plan.contact.patch_length
    touched = f"{passes} passes reach the piece, {plan.settings.rounds} rounds"
    heights = f"heights scatter by {population.height_sd * 1e6:.2g} µm"
    return (
        f"belt: {population.density * 1e-6:.2g} grains/mm², {heights}, attack angle {angle}: {made}",
        f"contact: patch {format_quantity(patch.value, 'length')}, {patch.known}; {touched}",
        f"cut: how fast the belt cuts, {case.values['removal_coefficient'].known} ({KEY_OF_UNKNOWN['removal_coefficient']})",
        f"sheet before: slopes {case.values['incoming_slope'].number:.2g} times those of the finish, {case.values['incoming_slope'].known}",
        "belt's place at the start of each pass, path error, belt wander and force error: drawn by chance from the seed",
        f"light: slopes of the map; along the grain {case.values['slope_along'].known}, facet spread {case.values['facet_spread'].known}",
    )


def source_of(plan: PlanRecord, variant: Variant, *, seed: int) -> str:
    """Where the heights come from, for the file's own record."""
    change = f", {variant.title}" if variant.title else ""
    return f"evenlay drawn sample: {plan.job}, face {plan.face}, step {plan.step}{change}, seed {seed}; {plan.rests_on}"
