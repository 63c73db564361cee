"""Chatter: a vibration at a frequency of its own."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import swing_strength
from evenlay.decisions.causes.cause import Cause, Pitch, Strength, Unmeasured
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import Settings, Setup, State
from evenlay.physics.marks import chatter_pitch

Array = NDArray[np.float64]


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    if math.isnan(setup.chatter_frequency):
        return ()
    pitch = chatter_pitch(feed=settings.feed, frequency=setup.chatter_frequency)
    return (Pitch("every cycle", np.full(patch_length.shape, pitch)),)


def _strength(state: State, eye: Eye) -> Strength | Unmeasured:
    frequency = state.setup.chatter_frequency
    if math.isnan(frequency):
        return Unmeasured("its frequency (microphone on the spindle) and the swing of the force")
    if not np.any(state.unknowns.chatter_share > 0.0):
        return Unmeasured(f"the swing of the force at {frequency:.0f} Hz, from a force log sampled at {4 * frequency:.0f} Hz or faster")
    return swing_strength(
        state,
        eye,
        pressure_swings=(state.unknowns.chatter_share,),
        pitch=float(chatter_pitch(feed=state.settings.feed, frequency=frequency)),
        first_links=(),
        rests_on=("chatter_share",),
    )


CAUSE = Cause(
    key="chatter",
    label="chatter",
    direction="along",
    memory="texture and relief",
    place="where the arm or the sheet is weakest",
    remedy="stiffer pose, back the sheet, damp, lower the gain of the force control, change the speed",
    remedy_cost="a stiffer pose may need the part moved; a lower gain holds the force less well",
    check="Change the wheel speed by a quarter: chatter keeps its frequency, forced marks follow the rpm.",
    pitches=_pitches,
    strength=_strength,
)
