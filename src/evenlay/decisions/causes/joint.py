"""The belt's joint: one thicker place a turn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import swing_strength
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import CONTACT_UNKNOWNS, Settings, Setup, State
from evenlay.physics.marks import joint_pitch
from evenlay.physics.response import pulse_harmonic

Array = NDArray[np.float64]

HARMONICS = 4

JOINT_LENGTH = 0.015
"""Length of a joint along the belt: a taped butt joint of 15 to 20 mm (common practice, no source). [m]"""


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    pitch = joint_pitch(feed=settings.feed, belt_length=setup.belt_length, belt_speed=settings.speed)
    return (Pitch("every turn of the belt", np.full(patch_length.shape, pitch)),)


def _joined(setup: Setup) -> bool:
    return setup.belt_joined


def _strength(state: State, eye: Eye) -> Strength:
    contact = state.last
    linear = state.unknowns.joint_step * contact.stiffness / state.settings.forces[-1]
    # The joint cannot carry more than the whole load: from there on the rest of the patch has lifted off.
    most = np.maximum(contact.patch_length / JOINT_LENGTH - 1.0, 1.0)
    swing = linear / (1.0 + linear / most)
    # The joint is under the wheel for c / v of every turn L / v.
    duty = np.minimum(contact.patch_length / state.setup.belt_length, 1.0)
    return swing_strength(
        state,
        eye,
        pressure_swings=tuple(swing * pulse_harmonic(harmonic=order, duty=duty) for order in range(1, HARMONICS + 1)),
        pitch=state.repeat_length,
        first_links=(
            Link("step in thickness at the joint", state.unknowns.joint_step, "length", ("joint_step",)),
            Link("rise of the pressure while it passes", swing, "share", ("joint_step", *CONTACT_UNKNOWNS[state.setup.wheel_kind])),
        ),
        rests_on=("joint_step", *CONTACT_UNKNOWNS[state.setup.wheel_kind]),
    )


CAUSE = Cause(
    key="joint",
    label="belt joint",
    direction="along",
    memory="texture and relief",
    place="everywhere, once for every turn of the belt",
    remedy="butt-tape joint, softer wheel, faster belt or slower feed",
    remedy_cost="a slower feed costs time in proportion; a softer wheel costs sharpness at edges",
    check="Chalk the joint and count its arrivals against the lines, or fit a belt of another length.",
    pitches=_pitches,
    strength=_strength,
    applies=_joined,
)
