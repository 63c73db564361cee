"""The wheel itself: run-out once a turn, and its harmonics."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.along import swing_strength
from evenlay.decisions.causes.cause import Cause, Link, Pitch, Strength, Unmeasured
from evenlay.decisions.eye import Eye
from evenlay.decisions.situation import CONTACT_UNKNOWNS, Settings, Setup, State
from evenlay.physics.marks import wheel_pitch

Array = NDArray[np.float64]

SHOWN_HARMONICS = 3

LIFTS_OFF = 1.0
"""Swing of the pressure at which the wheel leaves the face once a turn; it cannot swing further. [-]"""
WITHOUT_WHEEL = frozenset({"slack", "platen"})


def _has_wheel(setup: Setup) -> bool:
    return setup.wheel_kind not in WITHOUT_WHEEL


def _pitches(setup: Setup, settings: Settings, patch_length: Array) -> tuple[Pitch, ...]:
    if not _has_wheel(setup):
        return ()
    names = ("once a turn of the wheel", "twice a turn", "three times a turn")
    return tuple(
        Pitch(
            names[order - 1],
            np.full(
                patch_length.shape,
                wheel_pitch(feed=settings.feed, diameter=setup.wheel_diameter, belt_speed=settings.speed, harmonic=order),
            ),
        )
        for order in range(1, SHOWN_HARMONICS + 1)
    )


def _strength(state: State, eye: Eye) -> Strength | Unmeasured:
    if not _has_wheel(state.setup):
        return Unmeasured("nothing: no wheel stands behind the belt here")
    contact = state.last
    # Run-out is read from lowest to highest, so the swing is half of it.
    swing = np.minimum(0.5 * state.unknowns.wheel_runout * contact.stiffness / state.settings.forces[-1], LIFTS_OFF)
    return swing_strength(
        state,
        eye,
        pressure_swings=(swing,),
        pitch=float(
            wheel_pitch(feed=state.settings.feed, diameter=state.setup.wheel_diameter, belt_speed=state.settings.speed, harmonic=1)
        ),
        first_links=(Link("run-out of the wheel", state.unknowns.wheel_runout, "length", ("wheel_runout",)),),
        rests_on=("wheel_runout", *CONTACT_UNKNOWNS[state.setup.wheel_kind]),
    )


CAUSE = Cause(
    key="wheel",
    label="wheel once round",
    direction="along",
    memory="texture and relief",
    place="everywhere, once for every turn of the wheel; the harmonics' strength is not known: dress and chalk the wheel",
    remedy="true the wheel at working speed with light pressure, balance it, re-inflate",
    remedy_cost="some minutes and a little of the cover",
    check="Turn the wheel on its shaft, or re-true it, and look again: only this line changes.",
    pitches=_pitches,
    strength=_strength,
    applies=_has_wheel,
)
