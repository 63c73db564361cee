"""What a lay of passes leaves on a face: stock removed, texture and last cut."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.removal import grid_step, pass_removal, profile_at
from evenlay.surface.positions import Lay, cycle_time, lay, least_passes, pass_positions

__all__ = [
    "FAINTEST",
    "INCOMING",
    "FaceState",
    "Footprint",
    "Lay",
    "cut_edges",
    "cycle_time",
    "edge_load",
    "face_state",
    "footprint",
    "lay",
    "least_passes",
    "pass_positions",
    "relief_tilt",
]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

INCOMING: Final = -1
"""Last cut of a point that no pass has taken over."""

FAINTEST: Final = 1e-9
"""Pressure, as a share of the reference, below which the texture law is not followed further down."""


@dataclass(frozen=True)
class Footprint:
    """
    What one pass of a round does across its width.

    ``y``: even grid about the pass's centre, shape ``(ny,)`` [m]. ``depth``: stock removed, shape ``(n, ny)`` [m].
    ``pressure``: as a share of the reference pressure, shape ``(n, ny)`` [-].
    """

    y: Array
    depth: Array
    pressure: Array


@dataclass(frozen=True)
class FaceState:
    """
    What a lay of passes leaves on a face.

    ``removal``: stock removed, shape ``(n, nf)`` [m]. ``slope``: rms of the texture's slopes against those that the
    reference pressure cuts, shape ``(n, nf)`` [-]. ``last_cut``: index of the pass that owns most of the texture at a
    point of the central draw, or `INCOMING`, shape ``(nf,)``. ``share``: the share of the texture that it owns, ``(nf,)`` [-].
    """

    face: Array
    removal: Array
    slope: Array
    last_cut: Indices
    share: Array


def footprint(
    *, y: Array, load_per_width: Array, removal_coefficient: ArrayLike, belt_speed: ArrayLike, feed: ArrayLike, pressure: ArrayLike = 1.0
) -> Footprint:
    r"""
    Footprint of one pass from its load per width.

    Parameters
    ----------
    y : numpy.ndarray
        Even grid about the pass's centre, shape ``(ny,)``. [m]
    load_per_width : numpy.ndarray
        :math:`q(y)`, shape ``(n, ny)``, ``>= 0``. [N/m]
    removal_coefficient, belt_speed, feed : array_like
        As in `evenlay.physics.removal.pass_removal`, shape ``(n,)`` or scalar. [m2/N], [m/s], [m/s]
    pressure : array_like, optional
        Pressure of this pass where its load is highest, as a share of the reference pressure, ``(n,)`` or scalar. [-]

    Returns
    -------
    Footprint
        Pressure falls with the load per width: the patch keeps its length across the pass. On a crowned wheel the patch
        shortens too, so there the fall is overstated.

    Raises
    ------
    ValueError
        As `pass_removal`, or if a profile is empty or the pressure not positive.

    Examples
    --------
    >>> one = footprint(y=np.array([-0.1, 0.0, 0.1]), load_per_width=np.array([[0.0, 800.0, 0.0]]),
    ...                 removal_coefficient=1e-11, belt_speed=20.0, feed=0.2)
    >>> one.depth, one.pressure
    (array([[0.e+00, 8.e-07, 0.e+00]]), array([[0., 1., 0.]]))
    """
    depth = pass_removal(removal_coefficient=removal_coefficient, belt_speed=belt_speed, feed=feed, load_per_width=load_per_width)
    grid_step(y, depth)
    peak, level = np.max(load_per_width, axis=1), np.asarray(pressure, dtype=np.float64)
    if not (np.all(peak > 0.0) and np.all((level > 0.0) & (level < np.inf))):
        raise ValueError("a footprint carries some load, at a positive pressure")
    return Footprint(y, depth, load_per_width * (level / peak)[:, None])


def edge_load(*, passes: Lay, footprints: tuple[Footprint, ...], face_across: float) -> Lay:
    r"""
    Same lay with the force kept where the belt hangs over an edge: what is on the face carries all of it.

    Parameters
    ----------
    passes : Lay
        The lay.
    footprints : tuple of Footprint
        One per round.
    face_across : float
        ``> 0``. [m]

    Returns
    -------
    Lay
        ``load`` multiplied by whole load over load on the face, shape ``(n, P)``; 1 inside the face.

    Raises
    ------
    ValueError
        If a pass does not touch the face at all.

    Notes
    -----
    Load balance only (derived): the profile on the face is scaled, not tilted. Keeps the volume at
    :math:`k F \times` sliding length.

    Examples
    --------
    >>> y = np.linspace(-0.03, 0.03, 61)
    >>> box = Footprint(y, (abs(y) < 0.0255)[None] * 1e-6, (abs(y) < 0.0255)[None] * 1.0)
    >>> at_edge = Lay(np.array([0.0, 0.05]), np.array([0, 0]), np.ones(2))
    >>> edge_load(passes=at_edge, footprints=(box,), face_across=0.1).load.round(1)
    array([[2., 1.]])
    """
    factor = np.ones((footprints[0].depth.shape[0], passes.centres.size))
    for index, (centre, number) in enumerate(zip(passes.centres, passes.rounds, strict=True)):
        part = footprints[number]
        running = _running_load(part)
        ends = np.array([-centre, face_across - centre])
        carried = profile_at(y=part.y, shape=running, at=np.clip(ends, part.y[0], part.y[-1]))
        on_face = carried[:, 1] - carried[:, 0]
        if not np.all(on_face > 0.0):
            raise ValueError("a pass lies off the face altogether")
        factor[:, index] = running[:, -1] / on_face
    return replace(passes, load=factor * passes.load)


def face_state(
    *,
    face: Array,
    passes: Lay,
    footprints: tuple[Footprint, ...],
    takeover_depth: ArrayLike,
    pressure_exponent: ArrayLike,
    incoming_slope: ArrayLike,
    lateral: Array | None = None,
) -> FaceState:
    r"""
    Stock removed, texture and last cut after all passes, cut one after another.

    Parameters
    ----------
    face : numpy.ndarray
        Places across the grain from the first edge, rising, shape ``(nf,)``. [m]
    passes : Lay
        The passes in their order.
    footprints : tuple of Footprint
        One per round.
    takeover_depth : array_like
        :math:`d_r`: removal after which 63 % of the texture is new, ``(n,)`` or scalar, ``> 0``. [m]
    pressure_exponent : array_like
        :math:`a`: slopes grow as pressure to this power, ``(n,)`` or scalar, ``>= 0``. [-]
    incoming_slope : array_like
        Slopes of the sheet before, against those cut at the reference pressure, ``(n,)`` or scalar, ``>= 0``. [-]
    lateral : numpy.ndarray, optional
        How far each pass lies off, shape ``(n, P)``. [m]

    Returns
    -------
    FaceState
        Slopes exactly the incoming ones where nothing is removed.

    Raises
    ------
    ValueError
        If shapes do not match or an input is out of range or NaN.

    Notes
    -----
    A pass that removes d renews the share :math:`1 - e^{-d/d_r}` of the texture, with slopes
    :math:`\sigma_0 (p/p_0)^a`: :math:`\sigma \leftarrow \sigma + (\sigma_{pass} - \sigma)(1 - e^{-d/d_r})`. A pass owns
    what later ones leave of its share; the largest share is the last cut. Derived; the takeover law and the exponent
    come from a grain-by-grain simulation (key trial-simulation).

    Examples
    --------
    >>> y = np.linspace(-0.03, 0.03, 121)
    >>> box = np.clip((0.0275 - abs(y)) / 0.005, 0, 1)[None]
    >>> after = face_state(face=np.array([0.0, 0.1]), passes=Lay(np.array([0.0]), np.array([0]), np.ones(1)),
    ...     footprints=(Footprint(y, 5e-6 * box, box),), takeover_depth=1e-6, pressure_exponent=0.1, incoming_slope=2.0)
    >>> after.slope.round(2), after.last_cut
    (array([[1.01, 2.  ]]), array([ 0, -1]))
    """
    count = footprints[0].depth.shape[0]
    memory = _draws("takeover_depth", takeover_depth, count, above_zero=True)
    power = _draws("pressure_exponent", pressure_exponent, count)
    off = _lateral(lateral, count, passes.centres.size)
    load = np.broadcast_to(passes.load, (count, passes.centres.size))
    reach = 0.0 if off is None else float(np.max(np.ptp(off, axis=0), initial=0.0))
    looks = [_look_up(part, power, face, reach) for part in footprints]
    removal = np.zeros((count, face.size))
    slope = np.repeat(_draws("incoming_slope", incoming_slope, count)[:, None], face.size, axis=1)
    last_cut, share = np.full(face.size, INCOMING, dtype=np.intp), np.ones(face.size)
    for index, (centre, number) in enumerate(zip(passes.centres, passes.rounds, strict=True)):
        look = looks[number]
        where = np.full(count, centre) if off is None else centre + off[:, index]
        near = slice(*np.searchsorted(face, (np.min(where) + look.first, np.max(where) + look.last)))
        depth, new = look.at(face[near], where)
        if not np.all(load[:, index] == 1.0):
            depth, new = depth * load[:, index, None], new * load[:, index, None] ** power[:, None]
        taken = -np.expm1(depth / -memory[:, None])
        removal[:, near] += depth
        slope[:, near] += (new - slope[:, near]) * taken
        share[near] *= 1.0 - taken[0]
        wins = taken[0] > share[near]
        last_cut[near] = np.where(wins, index, last_cut[near])
        share[near] = np.where(wins, taken[0], share[near])
    return FaceState(face, removal, slope, last_cut, share)


@dataclass(frozen=True)
class _LookUp:
    """
    Depth and cut texture of a footprint, one look-up for both.

    ``table``: shape ``(n, 2, size)``, each draw's grid with ``pad`` points of no depth added at either end, so that places
    beyond the grid need no question of their own; ``first`` to ``last``: where the grid lies [m]. ``in_step``: the face's
    points stand as far apart as the grid's, so that a draw's stretch of the face is one stretch of its grid, shifted.
    """

    table: Array
    pad: int
    first: float
    last: float
    step: float
    in_step: bool

    def at(self, face: Array, where: Array) -> tuple[Array, Array]:
        """Depth [m] and slope of the texture [-] on a stretch of the face ``(m,)`` for centres ``(n,)`` [m]; two ``(n, m)``."""
        if face.size == 0:
            empty = np.zeros((where.size, 0))
            return empty, empty
        draws = np.arange(where.size)[:, None]
        if self.in_step:
            start = (face[0] - where - self.first) / self.step + self.pad
            whole = np.floor(start).astype(np.intp)
            part = (start - whole)[:, None, None]
            stretches = np.lib.stride_tricks.sliding_window_view(self.table, face.size + 1, axis=2)
            block = stretches[draws, np.arange(2)[None, :], whole[:, None]]
            found = block[..., :-1] + (block[..., 1:] - block[..., :-1]) * part
            return found[:, 0], found[:, 1]
        place = (face - where[:, None] - self.first) / self.step + self.pad
        place = np.minimum(np.maximum(place, 0.0), self.table.shape[2] - 1.0)
        index = np.minimum(place.astype(np.intp), self.table.shape[2] - 2)
        share = place - index
        depth, cut = (
            low + (self.table[draws, which, index + 1] - low) * share for which in (0, 1) for low in (self.table[draws, which, index],)
        )
        return depth, cut


def _look_up(part: Footprint, power: Array, face: Array, reach: float) -> _LookUp:
    step = grid_step(part.y, part.depth)
    cut = np.maximum(part.pressure, FAINTEST) ** power[:, None]
    in_step = face.size > 1 and bool(np.all(np.abs(np.diff(face) - step) <= 1e-9 * step))
    # In step, a stretch may begin this far before the grid and end as far behind it: what the draws' centres differ by.
    pad = int(np.ceil(reach / step)) + 3 if in_step else 1
    sides = ((0, 0), (pad, pad))
    table = np.stack([np.pad(part.depth, sides), np.pad(cut, sides, mode="edge")], axis=1)
    return _LookUp(table, pad, float(part.y[0]), float(part.y[-1]), step, in_step)


def cut_edges(state: FaceState) -> Array:
    """
    Where the last cut changes from one pass to another.

    Parameters
    ----------
    state : FaceState
        Of the central draw.

    Returns
    -------
    numpy.ndarray
        Places half way between the two points, rising. [m]

    Examples
    --------
    >>> face = np.array([0.0, 0.01, 0.02])
    >>> cut_edges(FaceState(face, np.zeros((1, 3)), np.ones((1, 3)), np.array([0, 0, 1]), np.ones(3)))
    array([0.015])
    """
    jump = np.flatnonzero(np.diff(state.last_cut))
    return np.asarray(0.5 * (state.face[jump] + state.face[jump + 1]))


def relief_tilt(state: FaceState) -> Array:
    """
    Tilt of the face about the grain direction that the uneven removal leaves.

    Parameters
    ----------
    state : FaceState
        Three points of the face at least.

    Returns
    -------
    numpy.ndarray
        Slope of the surface, positive where it rises with y, shape ``(n, nf)``. [rad]

    Examples
    --------
    >>> face = np.array([0.0, 0.01, 0.02])
    >>> relief_tilt(FaceState(face, np.array([[0.0, 1e-6, 2e-6]]), np.ones((1, 3)), np.zeros(3, dtype=np.intp), np.ones(3)))
    array([[-1.e-04, -1.e-04, -1.e-04]])
    """
    return np.asarray(-np.gradient(state.removal, state.face, axis=1))


def _running_load(part: Footprint) -> Array:
    """Load from the first grid point up to each, on any scale, shape ``(n, ny)``."""
    pieces = 0.5 * (part.depth[:, 1:] + part.depth[:, :-1])
    return np.concatenate([np.zeros((part.depth.shape[0], 1)), np.cumsum(pieces, axis=1)], axis=1)


def _lateral(lateral: Array | None, count: int, passes: int) -> Array | None:
    if lateral is not None and not (lateral.shape == (count, passes) and np.all(np.isfinite(lateral))):
        raise ValueError("lateral errors are one finite number for each draw and pass")
    return lateral


def _draws(name: str, value: ArrayLike, count: int, *, above_zero: bool = False) -> Array:
    array = np.broadcast_to(np.asarray(value, dtype=np.float64), (count,))
    if not (np.all((array >= 0.0) & (array < np.inf)) and (not above_zero or np.all(array > 0.0))):
        raise ValueError(f"{name} must be {'positive' if above_zero else 'zero or more'} and finite")
    return array
