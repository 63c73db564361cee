"""Dips of the feed: the robot slows and cuts deeper."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import EYE_UNKNOWNS, last_pass_removal
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength, Unmeasured
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import Settings, Setup, State
from evenlay.physics.removal import feed_dip_removal

Array = NDArray[np.float64]


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    if math.isnan(setup.feed_dip_length):
        return ()
    return (Pitch("length of the dip, once", np.full(patch_length.shape, 2.0 * setup.feed_dip_length)),)


def _strength(state: State, eye: Eye) -> Strength | Unmeasured:
    dip = state.unknowns.feed_dip
    if math.isnan(state.setup.feed_dip_length) or not np.any(dip > 0.0):
        return Unmeasured("depth and length of the dip, from the robot's speed log")
    extra = feed_dip_removal(dip)
    depth = last_pass_removal(state)
    length = state.setup.feed_dip_length
    # A dip down and up again over its length, as half a wave: slope of the relief at its flanks, and the little that
    # the texture follows the feed.
    tilt = np.pi / length * depth * extra
    slope = np.abs(state.unknowns.feed_exponent) * dip
    contrast = np.hypot(eye.slope_gain * slope, eye.tilt_gain_along * tilt)
    seen = eye.grating(pitch=2.0 * length, contrasts=(contrast,))
    chain = (
        Link("dip of the feed", dip, "share", ("feed_dip",)),
        Link("local over-removal", extra, "share", ("feed_dip",)),
        Link("swing of the slopes", slope, "share", ("feed_dip", "feed_exponent")),
        Link("tilt of the relief", tilt, "angle", ("feed_dip", "removal_coefficient")),
        Link("contrast at the worst tilt", contrast, "share", ("feed_dip", "feed_exponent", *EYE_UNKNOWNS)),
        Link("times just-visible, masked by the texture", seen, "ratio", ("feed_dip", "feed_exponent", *EYE_UNKNOWNS, "unrepeated_share")),
    )
    return Strength(seen, chain)


CAUSE = Cause(
    key="feed-dip",
    label="dip of the feed",
    direction="along",
    memory="relief; the texture hardly follows the feed",
    place="where the robot slows: wrist turns, near-singular poses, corners",
    remedy="a pose away from singular ones, blended corners, turns off the face",
    remedy_cost="a change of the path; longer run-off",
    check="Log the feed and lay it beside the face: a dip has a place, not a spacing.",
    pitches=_pitches,
    strength=_strength,
)
