"""A stretch of the face, away from its edges: stock removed, texture and tilt after all rounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.lateral import lateral_offsets
from evenlay.decisions.situation import State
from evenlay.surface.passes import FaceState, Footprint, Lay, face_state, footprint, lay, relief_tilt

Array = NDArray[np.float64]

MOST_POINTS: Final = 900
"""Most points of a stretch; it is narrowed to hold them."""

STEPS_SEEN: Final = 5.0
"""Least width of the stretch. [step-overs]"""

APERTURES_SEEN: Final = 5.0
"""Least width of the stretch, as what the eye takes in at once (its aperture's standard deviation, 0.63°)."""

APERTURE: Final = 0.010948
"""Aperture of the standard observer: one standard deviation, 0.6273°. [rad]"""


@dataclass(frozen=True)
class Window:
    """
    A stretch across the grain.

    ``face`` over the draws, on an even grid of ``spacing`` [m]; ``tilt`` of the relief, ``(n, ny)`` [rad]; ``passes``
    those that meet the face.
    """

    face: FaceState
    tilt: Array
    spacing: float
    passes: Lay


def footprints_of(state: State) -> tuple[Footprint, ...]:
    """Return what one pass of each round does; pressures as a share of the last round's peak."""
    settings, unknowns = state.settings, state.unknowns
    reference = state.last.peak_pressure
    return tuple(
        footprint(
            y=contact.profile.y,
            load_per_width=force * contact.profile.shape,
            removal_coefficient=unknowns.removal_coefficient,
            belt_speed=settings.speed,
            feed=settings.feed,
            pressure=contact.peak_pressure / reference,
        )
        for contact, force in zip(state.contacts, settings.forces, strict=True)
    )


def lay_of(state: State, across: float, past: tuple[float, float]) -> Lay:
    """Return the passes over a face of a given width, footprint at its central values."""
    profile = state.last.profile
    return lay(
        face_across=across,
        step_over=state.settings.step_over,
        offsets=state.settings.offsets,
        half_depth_width=float(profile.half_depth_width[0]),
        ramp=float(profile.ramp[0]),
        run_past=past,
    )


def face_window(state: State) -> Window:
    """
    Stretch from the middle of an endless lay, as wide as the eye takes in, no wider than the face.

    Parameters
    ----------
    state : State

    Returns
    -------
    Window
        Free of the face's edges, whose own rise of pressure is reported apart.
    """
    setup = state.setup
    wanted = max(STEPS_SEEN * state.settings.step_over, APERTURES_SEEN * APERTURE * setup.distance)
    width = min(wanted, max(setup.face_across, 1.5 * state.settings.step_over))
    passes = lay_of(state, width, (np.inf, np.inf))
    # Points as far apart as the footprint's own (a hundredth of the belt): a pass is then laid without interpolating anew.
    spacing = state.last.profile.dy
    count = min(int(width / spacing) + 1, MOST_POINTS)
    return _cut(state, passes, np.asarray(spacing * np.arange(count), dtype=np.float64))


def whole_face(state: State) -> Window:
    """
    Whole face from edge to edge, the force taken back where the belt hangs over a free edge.

    What happens when it is not taken back is reported apart, as the rise of pressure there.

    Parameters
    ----------
    state : State

    Returns
    -------
    Window
        On the footprint's own spacing, or on `MOST_POINTS` where the face is too wide for it.
    """
    setup = state.setup
    past = tuple(np.inf if side in setup.free_edges else 0.0 for side in ("left", "right"))
    passes = lay_of(state, setup.face_across, (past[0], past[1]))
    count = int(setup.face_across / state.last.profile.dy) + 1
    if count > MOST_POINTS:
        return _cut(state, passes, np.asarray(np.linspace(0.0, setup.face_across, MOST_POINTS), dtype=np.float64))
    return _cut(state, passes, np.asarray(state.last.profile.dy * np.arange(count), dtype=np.float64))


def _cut(state: State, passes: Lay, places: Array) -> Window:
    unknowns = state.unknowns
    face = face_state(
        face=places,
        passes=passes,
        footprints=footprints_of(state),
        takeover_depth=state.takeover_depth,
        pressure_exponent=unknowns.pressure_exponent,
        incoming_slope=unknowns.incoming_slope,
        lateral=lateral_offsets(lateral_sd=state.lateral_sd, passes=passes.centres.size),
    )
    return Window(face, relief_tilt(face), float(places[1] - places[0]), passes)
