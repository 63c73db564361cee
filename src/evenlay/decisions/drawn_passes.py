"""From a plan to the passes of the grain-by-grain simulation, and the map that they leave, piece by piece."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.drawn_grains import DrawnGrains, incoming_rows
from evenlay.decisions.drawn_tracks import PassLuck, Stretch, arc_start, sideways_track, strength_track
from evenlay.decisions.face import lay_of
from evenlay.decisions.lateral import lateral_offsets
from evenlay.decisions.situation import State
from evenlay.physics.grains.belt import grow_belt
from evenlay.physics.grains.passes import GrainPass, Pressing, Strip, Track, pressing, row_spacing, sample_spacing
from evenlay.physics.grains.surface import cut_surface, fits_strip

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Progress = Callable[[int, int], bool]

FINEST: Final = 4e-6
"""Samples across are never wider than this: the light needs half the shortest optical wave. [m]"""
TILE_ROWS: Final = 64
"""Rows simulated at once. [-]"""
CLEAR: Final = 1e-6
"""Share of the peak pressure below which a pass does not touch. [-]"""
UNDRAWN: Final = frozenset({"nonwoven"})
"""Kinds of wheel whose step is not simulated: no law of grains stands behind a web."""


@dataclass(frozen=True)
class Piece:
    """
    What is drawn of a face.

    Parameters
    ----------
    length, width : float
        Along and across the grain, ``> 0``. [m]
    start_along, start_across : float
        Its corner, from the corner of the face. [m]
    """

    length: float
    width: float
    start_along: float
    start_across: float


@dataclass(frozen=True)
class Sheet:
    """
    The sheet as it comes in: slope rms across [-], correlation length [m]; and the seed of all that is chance.
    """

    slope: float
    length: float
    seed: int


@dataclass(frozen=True)
class DrawnPasses:
    """
    A plan made ready for the simulation.

    Parameters
    ----------
    strip : Strip
        The whole piece.
    passes : tuple of GrainPass
        Those that reach it, in the order of cutting; one belt for all.
    rounds : tuple of int
        Round of each, from 0.
    sheet : Sheet
        What they meet.
    """

    strip: Strip
    passes: tuple[GrainPass, ...]
    rounds: tuple[int, ...]
    sheet: Sheet


def piece_strip(state: State, grains: DrawnGrains, piece: Piece) -> Strip:
    """
    Rows and samples of a piece: fine enough for the grains, for the light and for the shortest repeat of the belt.

    Parameters
    ----------
    state : State
    grains : DrawnGrains
    piece : Piece

    Returns
    -------
    Strip
    """
    samples = min(sample_spacing(grains.size), FINEST)
    rows = min(row_spacing([state.repeat_length]), piece.length)
    return Strip(piece.length, piece.width, rows, samples, piece.start_along, piece.start_across)


def drawn_passes(state: State, grains: DrawnGrains, *, piece: Piece, sheet: Sheet) -> DrawnPasses:
    """
    Passes over a piece of the face, as the plan lays them.

    Parameters
    ----------
    state : State
        Settings and unknowns; row 0 counts.
    grains : DrawnGrains
        Of the belt, the same belt in every round.
    piece : Piece
    sheet : Sheet

    Returns
    -------
    DrawnPasses
        None of them where no pass reaches the piece.

    Raises
    ------
    ValueError
        If the step is of a kind that is not simulated.

    Notes
    -----
    Centres and sideways errors are those of the plan's central row. The tool turns after every pass, so passes run there and back. The
    belt's place at the start of a pass is drawn evenly: no robot controls it.
    """
    setup = state.setup
    if setup.wheel_kind in UNDRAWN:
        raise ValueError("a non-woven step is not simulated grain by grain")
    past = tuple(np.inf if side in setup.free_edges else 0.0 for side in ("left", "right"))
    lay = lay_of(state, setup.face_across, (past[0], past[1]))
    lateral = lateral_offsets(lateral_sd=state.lateral_sd, passes=lay.centres.size)[0]
    strip = piece_strip(state, grains, piece)
    wheels = _wheels(state)
    laid: list[_Laid] = []
    for number, (centre, turn) in enumerate(zip(lay.centres + lateral, lay.rounds, strict=True)):
        wheel, luck = wheels[turn], PassLuck(sheet.seed, number)
        low, high = piece.start_along - wheel.patch_length, piece.start_along + piece.length + wheel.patch_length
        stretch = Stretch(low, high, piece.start_along + 0.5 * piece.length)
        sideways = sideways_track(state, stretch=stretch, luck=luck)
        one = _Laid(int(turn), float(centre), arc_start(setup.belt_length, luck), number % 2 == 0, sideways, stretch, luck)
        if _meets(wheel, one, piece):
            laid.append(one)
    return DrawnPasses(strip, _on_one_belt(laid, wheels, grains, strip, state), tuple(one.turn for one in laid), sheet)


@dataclass(frozen=True)
class _Laid:
    """A pass before its belt is grown: its round, place [m], start on the belt [m], sense, sideways swing, stretch and luck."""

    turn: int
    centre: float
    start: float
    forward: bool
    sideways: Track
    stretch: Stretch
    luck: PassLuck

    @property
    def swing(self) -> float:
        """Largest shift beside its centre. [m]"""
        return float(np.max(np.abs(self.sideways.value)))


def _wheels(state: State) -> tuple[Pressing, ...]:
    unknowns = state.unknowns
    modulus = float(unknowns.modulus[0] / (1.0 - unknowns.poisson[0] ** 2))
    return tuple(
        pressing(contact, force=force, contact_modulus=modulus)
        for contact, force in zip(state.contacts, state.settings.forces, strict=True)
    )


def _reach(wheel: Pressing) -> tuple[float, float]:
    """Ends of the pressure across the belt. [m]"""
    touched = np.flatnonzero(wheel.pressure > CLEAR * np.max(wheel.pressure))
    return float(wheel.place[max(touched[0] - 1, 0)]), float(wheel.place[min(touched[-1] + 1, wheel.place.size - 1)])


def _meets(wheel: Pressing, one: _Laid, piece: Piece) -> bool:
    low, high = _reach(wheel)
    right = one.centre + high + one.swing > piece.start_across
    return right and one.centre + low - one.swing < piece.start_across + piece.width


def _on_one_belt(laid: list[_Laid], wheels: tuple[Pressing, ...], grains: DrawnGrains, strip: Strip, state: State) -> tuple[GrainPass, ...]:
    """The passes with the belt that they share, grown only where one of them can meet the piece."""
    if not laid:
        return ()
    settings, setup = state.settings, state.setup
    ends = [fits_strip(strip, one.centre, one.swing) for one in laid]
    belt = grow_belt(
        grains.population,
        length=setup.belt_length,
        width=2.0 * max(abs(end) for wheel in wheels for end in _reach(wheel)),
        seed=laid[0].luck.seed,
        low=min(low for low, _ in ends),
        high=max(high for _, high in ends),
    )
    return tuple(
        GrainPass(
            belt=belt,
            pressing=wheels[one.turn],
            removal_coefficient=float(state.unknowns.removal_coefficient[0]),
            groove_coefficient=grains.groove_coefficient,
            speed_over_feed=settings.speed / settings.feed,
            centre=one.centre,
            arc_start=one.start,
            forward=one.forward,
            sideways=one.sideways,
            strength=strength_track(
                state, force=settings.forces[one.turn], start=one.start, forward=one.forward, stretch=one.stretch, luck=one.luck
            ),
        )
        for one in laid
    )


def expected_removal(drawn: DrawnPasses, across: Floats) -> Floats:
    r"""
    Stock that the closed form says goes at places across the grain: :math:`\sum k\,(v/f)\,q(y)`.

    Parameters
    ----------
    drawn : DrawnPasses
    across : numpy.ndarray
        Places from the corner of the face. [m]

    Returns
    -------
    numpy.ndarray
        Mean along the piece: errors of the force and swings included, sideways swings not. [m]
    """
    total = np.zeros(np.shape(across))
    for one in drawn.passes:
        line_load = one.pressing.pressure * one.pressing.patch_length
        at = np.interp(across - one.centre, one.pressing.place, line_load, left=0.0, right=0.0)
        total += one.removal_coefficient * one.speed_over_feed * at * _mean_strength(one.strength, drawn.strip)
    return np.asarray(total)


def _mean_strength(track: Track, strip: Strip) -> float:
    """Mean of a track over the piece, corner by corner. [-]"""
    low, high = strip.start_along, strip.start_along + strip.length
    corners = np.concatenate([[low], track.along[(track.along > low) & (track.along < high)], [high]])
    value = np.maximum(track.at(corners), 0.0)
    return float(np.sum(0.5 * (value[1:] + value[:-1]) * np.diff(corners)) / (high - low))


def drawn_map(drawn: DrawnPasses, *, threads: int = 1, tile_rows: int = TILE_ROWS, progress: Progress | None = None) -> Singles | None:
    """
    Height map that the passes leave.

    Parameters
    ----------
    drawn : DrawnPasses
    threads : int
        ``>= 1``; the bytes are the same for any. [-]
    tile_rows : int
        Rows simulated at once, ``>= 1``: bounds the memory, leaves the map as it is. [-]
    progress : callable, optional
        ``progress(rows done, rows)``; returning False stops.

    Returns
    -------
    numpy.ndarray or None
        Shape ``(rows, samples)``; 0 is the mean of the incoming sheet. None when stopped. [m]

    Notes
    -----
    Rows do not know of each other, so the map is cut row tile by row tile; across it is whole, because the force is shared across.
    """
    if not tile_rows >= 1:
        raise ValueError("tile_rows must be >= 1")
    strip, sheet, total = drawn.strip, drawn.sheet, drawn.strip.row_count
    whole = np.empty((total, strip.sample_count), np.float32)
    go_on = progress or (lambda done, rows: True)
    for first in range(0, total, tile_rows):
        rows = range(first, min(first + tile_rows, total))
        tile = replace(strip, length=len(rows) * strip.rows, start_along=strip.start_along + first * strip.rows)
        incoming = incoming_rows(
            slope=sheet.slope, length=sheet.length, rows=rows, samples=strip.sample_count, spacing=strip.samples, seed=sheet.seed
        )

        def so_far(done: int, of: int, before: int = first) -> bool:
            return go_on(before + done, total)

        cut = cut_surface(tile, drawn.passes, incoming=incoming, threads=threads, progress=so_far)
        if cut is None:
            return None
        whole[first : first + len(rows)] = cut.height
    return whole
