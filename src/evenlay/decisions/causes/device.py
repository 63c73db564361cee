"""The force device: what it is too slow to hold."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import swing_strength
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength, Unmeasured
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import Settings, Setup, State
from evenlay.physics.marks import bandwidth_length

Array = NDArray[np.float64]


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    if math.isnan(setup.device_bandwidth):
        return ()
    length = bandwidth_length(feed=settings.feed, bandwidth=setup.device_bandwidth)
    return (Pitch("travel in one cycle at its bandwidth", np.full(patch_length.shape, length)),)


def _strength(state: State, eye: Eye) -> Strength | Unmeasured:
    if math.isnan(state.setup.device_bandwidth):
        return Unmeasured("the device's bandwidth (step the force) and its force error (scale under the wheel)")
    error = state.unknowns.force_error
    swing = error / state.settings.forces[-1]
    strength = swing_strength(
        state,
        eye,
        pressure_swings=(swing,),
        pitch=float(bandwidth_length(feed=state.settings.feed, bandwidth=state.setup.device_bandwidth)),
        first_links=(Link("error of the force, as if all of it sat at the bandwidth: an upper bound", error, "force", ("force_error",)),),
        rests_on=("force_error",),
    )
    return strength


CAUSE = Cause(
    key="device",
    label="force device too slow",
    direction="along",
    memory="texture and relief",
    place="after edges, waves of the sheet and changes of direction",
    remedy="a faster device, a slower feed, a better path so that it has less to do",
    remedy_cost="a slower feed costs time in proportion",
    check="Run one stroke at half the feed: this spacing halves, and the same waves of the force log lie under it.",
    pitches=_pitches,
    strength=_strength,
)
