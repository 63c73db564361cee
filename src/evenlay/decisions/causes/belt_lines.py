"""The belt's own high spots: lines fixed across every pass, which a rigid robot prints unbroken."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import EYE_UNKNOWNS
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import UNDER_THE_GRAINS, Settings, Setup, State
from evenlay.physics.lines.belt import CONTROL_FLOOR, CONTROL_FLOOR_FOLLOWED
from evenlay.physics.viewing import visible_band

Array = NDArray[np.float64]

GRAINS = ("grain_density", "grain_height_sd", "grain_tip_radius", *UNDER_THE_GRAINS)


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    return ()  # any spacing


def _at_best_seen(state: State, frequency: Array, density: Array) -> Array:
    """Root of the power in one octave around the spacing that the eye sees best: a swing with a size. (n,)."""
    centre = 1.0 / visible_band(state.setup.distance).most_visible
    inside = (frequency > centre / np.sqrt(2.0)) & (frequency < centre * np.sqrt(2.0))
    f, s = frequency[inside], density[:, inside]
    power = np.sum(0.5 * (s[:, 1:] + s[:, :-1]) * np.diff(f), axis=1)
    return np.asarray(np.sqrt(power))


def _strength(state: State, eye: Eye) -> Strength:
    lines = eye.lines
    slope = _at_best_seen(state, lines.frequency, lines.texture_density)
    tilt = _at_best_seen(state, lines.frequency, lines.relief_density)
    contrast = _at_best_seen(state, lines.frequency, lines.contrast_density)
    seen = (*GRAINS, "unrepeated_share", "line_gain", "texture_memory", "groove_coefficient", "removal_coefficient")
    chain = (
        Link("cutting grains per area", eye.engaged.active_density, "area_density", GRAINS),
        Link(
            "share of the texture that the last round owns",
            lines.last_share,
            "share",
            ("texture_memory", "groove_coefficient", "removal_coefficient"),
        ),
        Link("swing of the slopes that repeats, in the octave best seen", slope, "share", seen),
        Link(
            "tilt of the relief that repeats, in the octave best seen", tilt, "angle", (*GRAINS, "unrepeated_share", "removal_coefficient")
        ),
        Link("contrast at the worst tilt, in the octave best seen", contrast, "share", (*seen, *EYE_UNKNOWNS)),
        Link("times just-visible without masking", lines.plain_visibility, "ratio", (*seen, *EYE_UNKNOWNS)),
        Link("times just-visible, masked by the texture", lines.visibility, "ratio", (*seen, *EYE_UNKNOWNS)),
    )
    wandering = bool(np.any(state.unknowns.hand_wander > 0.0))
    control = CONTROL_FLOOR_FOLLOWED if wandering else CONTROL_FLOOR
    return Strength(lines.visibility, chain, control=control, claim=(0.8, 1.3 if wandering else 1.05))


CAUSE = Cause(
    key="belt-lines",
    label="belt high spots",
    direction="across",
    memory="texture for how rough, relief for how deep",
    place="fixed across the belt in every pass, so again at every step-over",
    remedy="a longer belt, a slower belt, a faster feed, lighter last rounds each shifted a little; side-to-side motion",
    remedy_cost="a longer belt needs another machine; a slower belt cuts less a round, so more rounds; shifted rounds cost their time",
    check="Mark one pass's place on the face, shift the belt sideways on the wheel: belt lines shift with it.",
    pitches=_pitches,
    strength=_strength,
)
