"""What swings along one pass of a drawn sample: pressure (joint, wheel, chatter, dip, force error) and place (dither, hand)."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isnan, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes.joint import JOINT_LENGTH
from evenlay.decisions.causes.wheel import LIFTS_OFF, WITHOUT_WHEEL
from evenlay.decisions.situation import State
from evenlay.physics.grains.passes import Track
from evenlay.physics.marks import chatter_pitch, wheel_pitch
from evenlay.physics.removal import feed_dip_removal

Floats = NDArray[np.float64]

POINTS_A_SWING: Final = 16
"""Points of a track to one swing. [-]"""
HAND_STEP: Final = 5e-3
"""Length of one step of a hand's drift. [m]"""
HAND_LENGTH: Final = 0.1
"""Length over which the hand's wander is stated. [m]"""
HELD_WITHIN: Final = 2.5
"""Scores are held within this many standard deviations."""
ARC, WHEEL, CHATTER, FORCE, HAND = range(5)
"""What has a stream of its own in each pass."""


@dataclass(frozen=True)
class Stretch:
    """
    Piece of the path over which a track is needed.

    ``low`` to ``high`` along the face, ``low < high`` [m]; ``middle`` of the drawn piece [m].
    """

    low: float
    high: float
    middle: float


@dataclass(frozen=True)
class PassLuck:
    """
    Which pass of which sample: chance is drawn from seed and number alone, whatever piece is drawn.

    ``seed`` ``>= 0``; ``number`` of the pass in its lay, from 0.
    """

    seed: int
    number: int

    def stream(self, of: int) -> np.random.Generator:
        """Own stream of one kind of chance; the belt's cells keep the second word of the counter at 0."""
        return np.random.Generator(np.random.Philox(key=self.seed, counter=[0, 1, of, self.number]))


def arc_start(belt_length: float, luck: PassLuck) -> float:
    """
    Place on the belt that first meets the face: nobody controls it, so it is drawn evenly.

    Parameters
    ----------
    belt_length : float
        ``> 0``. [m]
    luck : PassLuck

    Returns
    -------
    float
        0 to the belt length. [m]
    """
    return float(belt_length * luck.stream(ARC).random())


def joint_swing(state: State, force: float) -> float:
    """
    Rise of the pressure while the joint is under the wheel, as in `evenlay.decisions.causes.joint`.

    Parameters
    ----------
    state : State
        Row 0 counts.
    force : float
        Of the pass. [N]

    Returns
    -------
    float
        Over the mean pressure. [-]
    """
    contact = state.contacts[state.settings.forces.index(force)]
    linear = float(state.unknowns.joint_step[0] * contact.stiffness[0]) / force
    most = max(float(contact.patch_length[0]) / JOINT_LENGTH - 1.0, 1.0)
    return linear / (1.0 + linear / most) if state.setup.belt_joined else 0.0


def wheel_swing(state: State, force: float) -> float:
    """
    Swing of the pressure once a turn of the wheel, as in `evenlay.decisions.causes.wheel`.

    Parameters
    ----------
    state : State
        Row 0 counts.
    force : float
        Of the pass. [N]

    Returns
    -------
    float
        Amplitude over the mean pressure, at most 1. [-]
    """
    if state.setup.wheel_kind in WITHOUT_WHEEL:
        return 0.0
    contact = state.contacts[state.settings.forces.index(force)]
    return min(0.5 * float(state.unknowns.wheel_runout[0] * contact.stiffness[0]) / force, LIFTS_OFF)


def strength_track(state: State, *, force: float, start: float, forward: bool, stretch: Stretch, luck: PassLuck) -> Track:
    r"""
    Pressure along one pass, over its mean.

    Parameters
    ----------
    state : State
        Row 0 counts.
    force : float
        Of the pass. [N]
    start : float
        Place on the belt that first meets the start of the face; its joint lies at 0. [m]
    forward : bool
        Whether the tool travels towards the rising places.
    stretch : Stretch
        Where it is needed.
    luck : PassLuck
        Phase of the wheel and of chatter, and the error of the force.

    Returns
    -------
    Track
        Its mean is 1 but for the error of the force and a dip of the feed.

    Notes
    -----
    The joint is under the patch while the tool moves on by :math:`cf/v`; it comes and goes as a triangle of that half-base, because it is
    about as long as the patch. A dip of the feed is drawn as what it takes off more, in half a wave, in the middle of the piece: its place
    is not stated. Derived.
    """
    settings, setup = state.settings, state.setup
    per_arc = settings.feed / settings.speed
    patch = float(state.contacts[settings.forces.index(force)].patch_length[0])
    sense = 1.0 if forward else -1.0
    swings = [
        (pitch, share, of)
        for pitch, share, of in (
            (_wheel_pitch(state), wheel_swing(state, force), WHEEL),
            (_chatter_pitch(state), _chatter_share(state), CHATTER),
        )
        # What swings within one step of the belt under the patch is averaged out there.
        if share > 0.0 and pitch > 2.0 * patch * per_arc
    ]
    joint = joint_swing(state, force)
    turn = setup.belt_length * per_arc
    met = sense * (-(start + 0.5 * patch / per_arc)) * per_arc
    knots = _joint_knots(stretch, met, turn, patch * per_arc) if joint > 0.0 else np.empty(0)
    if has_dip(state):
        knots = np.concatenate([knots, stretch.middle + setup.feed_dip_length * np.array([-0.5, 0.0, 0.5])])
    finest = [pitch for pitch, _, _ in swings] + ([2.0 * setup.feed_dip_length] if has_dip(state) else [])
    places = _places(stretch, min(finest, default=stretch.high - stretch.low), knots)
    value = np.full(places.size, 1.0 + _force_error(state, force, luck))
    for pitch, share, of in swings:
        value += share * np.sin(2.0 * pi * (places / pitch + luck.stream(of).random()))
    if joint > 0.0:
        away = np.abs((places - met + 0.5 * turn) % turn - 0.5 * turn)
        value += joint * (np.maximum(1.0 - away / (patch * per_arc), 0.0) - min(patch / setup.belt_length, 1.0))
    return Track(places, np.asarray(value + _dip(state, places, stretch.middle)))


def _joint_knots(stretch: Stretch, met: float, turn: float, half: float) -> Floats:
    """Corners of the triangles: before, at and after each arrival of the joint."""
    first, last = ceil((stretch.low - met) / turn) - 1, ceil((stretch.high - met) / turn) + 1
    arrivals = met + turn * np.arange(first, last)
    return np.asarray((arrivals[:, None] + np.array([-half, 0.0, half])).ravel())


def _places(stretch: Stretch, pitch: float, knots: Floats) -> Floats:
    count = max(ceil(POINTS_A_SWING * (stretch.high - stretch.low) / pitch), POINTS_A_SWING) + 1
    even = np.linspace(stretch.low, stretch.high, count)
    return np.asarray(np.unique(np.concatenate([even, knots[(knots > stretch.low) & (knots < stretch.high)]])), dtype=np.float64)


def _force_error(state: State, force: float, luck: PassLuck) -> float:
    score = float(np.clip(luck.stream(FORCE).standard_normal(), -HELD_WITHIN, HELD_WITHIN))
    return max(score * float(state.unknowns.force_error[0]) / force, -0.95)


def _wheel_pitch(state: State) -> float:
    settings = state.settings
    return float(wheel_pitch(feed=settings.feed, diameter=state.setup.wheel_diameter, belt_speed=settings.speed))


def _chatter_pitch(state: State) -> float:
    frequency = state.setup.chatter_frequency
    return 0.0 if isnan(frequency) else float(chatter_pitch(feed=state.settings.feed, frequency=frequency))


def _chatter_share(state: State) -> float:
    return 0.0 if isnan(state.setup.chatter_frequency) else float(state.unknowns.chatter_share[0])


def has_dip(state: State) -> bool:
    """Whether depth and length of a dip of the feed are stated."""
    return not isnan(state.setup.feed_dip_length) and float(state.unknowns.feed_dip[0]) > 0.0


def _dip(state: State, places: Floats, middle: float) -> Floats:
    if not has_dip(state):
        return np.zeros(places.size)
    share = (places - middle) / state.setup.feed_dip_length
    inside = np.abs(share) < 0.5
    return np.asarray(
        np.where(inside, float(feed_dip_removal(state.unknowns.feed_dip[0])) * np.cos(pi * np.where(inside, share, 0.0)), 0.0)
    )


def sideways_track(state: State, *, stretch: Stretch, luck: PassLuck) -> Track:
    """
    Sideways swing of one pass about its centre: the dither, the same in every pass, and the drift of a hand.

    Parameters
    ----------
    state : State
        Row 0 counts.
    stretch : Stretch
        Where it is needed.
    luck : PassLuck
        The hand's drift, a random walk from the start of the face.

    Returns
    -------
    Track
        Level 0 for a robot without dither. [m]
    """
    setup, wander = state.setup, float(state.unknowns.hand_wander[0])
    pitch = setup.dither_length if setup.dither > 0.0 else stretch.high - stretch.low
    steps = ceil(max(setup.face_along, HAND_STEP) / HAND_STEP)
    turns: Floats = np.asarray(np.arange(steps + 1 if wander > 0.0 else 0) * HAND_STEP, dtype=np.float64)
    places = _places(stretch, 0.5 * pitch, turns)
    value = setup.dither * np.sin(2.0 * pi * places / setup.dither_length) if setup.dither > 0.0 else np.zeros(places.size)
    if wander > 0.0:
        walk = np.concatenate([[0.0], np.cumsum(luck.stream(HAND).standard_normal(steps))]) * wander * np.sqrt(HAND_STEP / HAND_LENGTH)
        value = value + np.interp(places, turns, walk - np.mean(walk))
    return Track(places, np.asarray(value))
