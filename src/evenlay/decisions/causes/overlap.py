"""Overlap of neighbouring passes: ripple of the stock removed, and single edges of the last cut."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import EYE_UNKNOWNS
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength
from evenlay.decisions.eye import Eye
from evenlay.decisions.face import Window, face_window
from evenlay.decisions.situation import Settings, Setup, State
from evenlay.physics.viewing.luminance import contrast_gains, luminance_contrast
from evenlay.physics.viewing.observer import observer_visibility

Array = NDArray[np.float64]

RESTS_ON = (
    "edge_ramp",
    "path_error",
    "belt_wander",
    "removal_coefficient",
    "texture_memory",
    "groove_coefficient",
    "pressure_exponent",
    "incoming_slope",
)


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    whole = Pitch("step-over", np.full(patch_length.shape, settings.step_over))
    if settings.rounds == 1:
        return (whole,)
    part = np.full(patch_length.shape, settings.step_over / settings.rounds)
    return (whole, Pitch(f"step-over over {settings.rounds} rounds", part))


def face_luminance(state: State, window: Window) -> tuple[Array, Array]:
    """
    Luminance contrast across the window at the worst tilt, for both signs of the tilt.

    Parameters
    ----------
    state : State
    window : Window

    Returns
    -------
    tuple of numpy.ndarray
        Two arrays ``(n, ny)``: lamp tilted to the one and to the other side. [-]
    """
    unknowns = state.unknowns
    slope = window.face.slope
    fixed = state.setup.lamp_tilt
    gains = contrast_gains(
        slope_rms=unknowns.slope_across,
        facet_spread=unknowns.facet_spread,
        floor=unknowns.luminance_floor,
        tilt=None if np.isnan(fixed) else np.full(unknowns.count, fixed),
        roughness_change=np.std(np.log(np.maximum(slope, 1e-6)), axis=1),
        tilt_change=np.std(window.tilt, axis=1),
    )
    pictures = tuple(
        luminance_contrast(
            slope_rms=unknowns.slope_across[:, None] * np.maximum(slope, 1e-6),
            local_tilt=window.tilt,
            lamp_tilt=sign * gains.tilt,
            facet_spread=unknowns.facet_spread,
            floor=unknowns.luminance_floor,
            reference=unknowns.slope_across,
        )
        for sign in (1.0, -1.0)
    )
    return pictures[0], pictures[1]


def _strength(state: State, eye: Eye) -> Strength:
    window = face_window(state)
    one, other = face_luminance(state, window)
    seen = np.maximum(
        *(
            observer_visibility(picture, spacing=window.spacing, distance=state.setup.distance, noise=eye.noise_across)
            for picture in (one, other)
        )
    )
    mean = window.face.removal.mean(axis=1)
    unevenness = window.face.removal.std(axis=1) / mean
    slopes = np.std(np.log(np.maximum(window.face.slope, 1e-6)), axis=1)
    contrast = np.maximum(one.std(axis=1), other.std(axis=1))
    chain = (
        Link("sideways error of a pass", state.lateral_sd, "length", ("path_error", "belt_wander")),
        Link("unevenness of the stock removed, rms", unevenness, "share", RESTS_ON[:3]),
        Link("unevenness of the slopes, rms", slopes, "share", RESTS_ON),
        Link("tilt of the relief, rms", np.std(window.tilt, axis=1), "angle", RESTS_ON[:4]),
        Link("contrast at the worst tilt, rms", contrast, "share", (*RESTS_ON, *EYE_UNKNOWNS)),
        Link("times just-visible, masked by the texture", seen, "ratio", (*RESTS_ON, *EYE_UNKNOWNS, "unrepeated_share")),
    )
    return Strength(seen, chain, claim=(0.3, 2.3))


CAUSE = Cause(
    key="overlap",
    label="overlap of passes",
    direction="across",
    memory="texture for the edges of the last cut, relief for the ripple",
    place="at the edges of the passes, all over the face",
    remedy="a softer belt edge first (crown, lower inflation, chamfer), then a step-over of width x rounds / whole number, "
    "then lighter last rounds, each shifted",
    remedy_cost="each round costs its time again; a softer edge rounds the edges of the part",
    check="Run one round with another step-over: this spacing follows it, a belt line does not.",
    pitches=_pitches,
    strength=_strength,
)
