"""The chain shared by every cause that swings the pressure along the grain."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.cause import Link, Strength
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import State
from evenlay.physics.response import patch_response

Array = NDArray[np.float64]

FLOOR_REMOVAL = 1e-12
"""Removal of a pass below which nothing is cut; keeps the response defined. [m]"""


def last_pass_removal(state: State) -> Array:
    """Stock removed by one pass of the last round in the middle of its footprint. [m]"""
    shape = state.last.profile.shape
    peak = shape.max(axis=1)
    settings = state.settings
    depth = state.unknowns.removal_coefficient * settings.speed / settings.feed * settings.forces[-1] * peak
    return np.asarray(np.maximum(depth, FLOOR_REMOVAL))


def swing_strength(
    state: State,
    eye: Eye,
    *,
    pressure_swings: tuple[Array, ...],
    pitch: float,
    first_links: tuple[Link, ...],
    rests_on: tuple[str, ...],
) -> Strength:
    r"""
    Visibility of a swing in pressure that repeats along the grain.

    Parameters
    ----------
    state : State
    eye : Eye
    pressure_swings : tuple of numpy.ndarray
        Amplitude of each harmonic of :math:`\delta p/p`, each ``(n,)``. [-]
    pitch : float
        Spacing of the first harmonic. [m]
    first_links : tuple of Link
        Links before the pressure (a step, a run-out).
    rests_on : tuple of str
        Unknowns of those links.

    Returns
    -------
    Strength
        Chain: pressure, roughness of slopes, tilt of the relief, contrast.
    """
    unknowns = state.unknowns
    patch, depth = state.last.patch_length, last_pass_removal(state)
    contrasts, slopes, tilts = [], [], []
    for order, swing in enumerate(pressure_swings, start=1):
        spacing = pitch / order
        texture = patch_response(patch_length=patch, pitch=spacing, removal=depth, memory_depth=state.takeover_depth)
        relief = patch_response(patch_length=patch, pitch=spacing, removal=depth, memory_depth=np.inf)
        slope = unknowns.pressure_exponent * swing * texture
        tilt = 2.0 * np.pi / spacing * depth * swing * relief
        slopes.append(slope)
        tilts.append(tilt)
        # A quarter turn lies between a height and its slope, so the two contrasts add as squares.
        contrasts.append(np.hypot(eye.slope_gain * slope, eye.tilt_gain_along * tilt))
    seen = eye.grating(pitch=pitch, contrasts=tuple(contrasts))
    chain = (
        *first_links,
        Link("swing of the pressure", pressure_swings[0], "share", rests_on),
        Link(
            "swing of the slopes",
            slopes[0],
            "share",
            (*rests_on, "pressure_exponent", "texture_memory", "groove_coefficient", "removal_coefficient"),
        ),
        Link("tilt of the relief", tilts[0], "angle", (*rests_on, "removal_coefficient")),
        Link("contrast at the worst tilt", contrasts[0], "share", (*rests_on, "pressure_exponent", *EYE_UNKNOWNS)),
        Link(
            "times just-visible, masked by the texture", seen, "ratio", (*rests_on, "pressure_exponent", *EYE_UNKNOWNS, "unrepeated_share")
        ),
    )
    return Strength(seen, chain)


EYE_UNKNOWNS = ("slope_across", "slope_along", "facet_spread", "luminance_floor")
"""Unknowns on which every contrast rests."""
