"""Visibility of the lines that the belt's own grains print, from grains to eye."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.lines.rounds import (
    dither_power,
    filtered_power,
    mixed_power,
    relief_amplitudes,
    round_weights,
    texture_amplitudes,
)
from evenlay.physics.lines.spectra import persistent_line_psd, repeat_length, wander_coherence
from evenlay.physics.response import patch_response
from evenlay.physics.viewing import (
    APERTURE_LENGTH,
    ContrastGains,
    MaskingNoise,
    degrees_per_metre,
    harmonic_orders,
    noise_scale,
    random_line_visibility,
    repeat_harmonics,
)
from evenlay.physics.viewing.sensitivity import APERTURE

Floats = NDArray[np.float64]

LOWEST: Final = 0.1
HIGHEST: Final = 60.0
"""Band of frequencies that is summed; the eye sees nothing beyond. [cycles/deg]"""
POINTS: Final = 96
"""Frequencies, evenly spaced in the logarithm: a few tenths of a per cent against 4000. [-]"""
TURNS_SEEN: Final = 2.0
"""Repeats that a face must hold before a belt line can be told from chance. [-]"""
CONTROL_FLOOR: Final = 0.3
CONTROL_FLOOR_FOLLOWED: Final = 0.7
"""What a picture with no repeat at all gives by chance, with its blocks in place and followed sideways. [times just-visible]"""
TINY: Final = 1e-300
FOUND: Final = 1.5
"""A line below this many times the control is not found. [-]"""


@dataclass(frozen=True)
class BeltMotion:
    """
    How the belt meets the face; each field scalar or ``(n,)``, all ``> 0``.

    Parameters
    ----------
    belt_length : array_like
        L, once round. [m]
    speed : array_like
        v, of the belt. [m/s]
    feed : array_like
        f. [m/s]
    patch_length : array_like
        c, along the grain. [m]
    """

    belt_length: ArrayLike
    speed: ArrayLike
    feed: ArrayLike
    patch_length: ArrayLike


@dataclass(frozen=True)
class GrainTrace:
    """
    What the grains leave; each field scalar or ``(n,)``.

    Parameters
    ----------
    active_density : array_like
        n_a, ``> 0``. [1/m2]
    fill_depth : array_like
        d_K, ``> 0``. [m]
    takeover_depth : array_like
        d_r, ``> 0``. [m]
    unrepeated_share : array_like
        epsilon: share of the texture's power that does not come back from belt turn to belt turn, 0 to 1. [-]
    """

    active_density: ArrayLike
    fill_depth: ArrayLike
    takeover_depth: ArrayLike
    unrepeated_share: ArrayLike = 0.0


@dataclass(frozen=True)
class RoundSet:
    """
    The rounds of one step, in the order of cutting.

    Parameters
    ----------
    removal : array_like
        Stock removed by each round where it covers the face, shape ``(n, N)`` or ``(N,)``, ``> 0``. [m]
    offsets : array_like
        Position of each round's belt across the grain, shape ``(N,)``. [m]
    line_gain : array_like
        C^2: power of each round's texture lines over that of the belt's own density, scalar, ``(n, 1)`` or ``(n, N)``, ``> 0``. [-]
    offset_error : array_like
        Standard deviation of that position, scalar or ``(n,)``, ``>= 0``. [m]
    wander : array_like
        Standard deviation of the sideways drift, which forgets itself over 0.1 m, scalar or ``(n,)``, ``>= 0``: 0 for a robot, about 2 mm
        for a hand. [m]
    dither : array_like
        Amplitude of a slow sideways swing, scalar or ``(n,)``, ``>= 0``; the caller checks that it is slow. [m]
    """

    removal: ArrayLike
    offsets: ArrayLike
    line_gain: ArrayLike
    offset_error: ArrayLike = 0.0
    wander: ArrayLike = 0.0
    dither: ArrayLike = 0.0


@dataclass(frozen=True)
class BeltLines:
    """
    The chain from grains to eye for the lines of one belt.

    Parameters
    ----------
    frequency : numpy.ndarray
        Across the grain, shape ``(m,)``. [cycles/m]
    texture_density : numpy.ndarray
        Persistent density of the relative swing of slope roughness, shape ``(n, m)``. [m]
    relief_density : numpy.ndarray
        Persistent density of the relief's tilt, shape ``(n, m)``. [rad^2 m]
    contrast_density : numpy.ndarray
        Persistent density S of luminance contrast, shape ``(n, m)``. [m]
    noise : MaskingNoise
        What the rest of the same texture puts in front of marks across the grain.
    repeat_length : numpy.ndarray
        Lambda, shape ``(n,)``. [m]
    owned_share : numpy.ndarray
        Share of the final texture that these rounds own together, shape ``(n,)``. [-]
    last_share : numpy.ndarray
        Share that the last round owns, shape ``(n,)``. [-]
    noise_along : MaskingNoise
        What the texture puts in front of marks along the grain (joint, wheel, dips).
    plain_visibility : numpy.ndarray
        Times just-visible without masking, shape ``(n,)``. [-]
    visibility : numpy.ndarray
        Times just-visible, shape ``(n,)``; 0 where the face is shorter than two repeats. [-]
    """

    frequency: Floats
    texture_density: Floats
    relief_density: Floats
    contrast_density: Floats
    noise: MaskingNoise
    repeat_length: Floats
    owned_share: Floats
    last_share: Floats
    noise_along: MaskingNoise
    plain_visibility: Floats
    visibility: Floats


def line_frequencies(distance: float, *, points: int = POINTS) -> Floats:
    """
    Frequencies on the face over which lines are summed.

    Parameters
    ----------
    distance : float
        Eye to face, ``> 0``. [m]
    points : int
        ``>= 2``. [-]

    Returns
    -------
    numpy.ndarray
        From 0.1 to 60 cycles per degree, evenly spaced in the logarithm. [cycles/m]

    Examples
    --------
    >>> line_frequencies(0.6, points=2).round(1)
    array([   9.5, 5729.6])
    """
    return np.asarray(np.geomspace(LOWEST, HIGHEST, points) * float(degrees_per_metre(distance)))


def belt_line_visibility(
    *,
    motion: BeltMotion,
    grains: GrainTrace,
    rounds: RoundSet,
    gains: ContrastGains,
    distance: float,
    face_length: float = np.inf,
) -> BeltLines:
    r"""
    Times just-visible of the lines that a belt prints along the grain, with the numbers of the chain.

    Parameters
    ----------
    motion : BeltMotion
        Belt length, speed, feed and patch length.
    grains : GrainTrace
        Active grains, memories of relief and texture, share that does not repeat.
    rounds : RoundSet
        Removal and offset of each round, errors, wander, dither.
    gains : ContrastGains
        From slopes to luminance contrast at the viewing angle.
    distance : float
        Eye to face, ``> 0``. [m]
    face_length : float
        Along the grain, ``> 0``. [m]

    Returns
    -------
    BeltLines
        Arrays over the draws.

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Per harmonic of the repeat the belt has the relative density :math:`2/(n_aL)`. Texture: taps :math:`C_ja_j` of `texture_amplitudes`
    through `mixed_power`; relief: depths :math:`a_j` of `relief_amplitudes` through the ideal filter, turned into tilt by :math:`2\pi f`:

    .. math:: S = (1-\epsilon)\,\frac{2}{n_aL}\left[g_\sigma^2 P_t(f) + g_\theta^2(2\pi f)^2P_r(f)\right]J_0^2(2\pi fa)\,e^{-\Lambda/X}

    .. math::

        N_{ext} = \frac{\ell}{2}\,\frac{2}{n_aL}\sum_{t,r} g^2P^0
        \left[(1-\epsilon)(\Theta + K - e^{-\Lambda/X}) + \epsilon\Lambda/\ell\right]

    with :math:`P^0` the power that is the same in every harmonic (no filter: rounds meet at random phases along the grain). The
    harmonics in :math:`\Theta` are weighted by the patch: :math:`\mathrm{sinc}^2` for relief, and for texture the response of a surface
    that forgets all but the last :math:`c\,d_r/d` of it. K and :math:`e^{-\Lambda/X}` are the two coherences of `wander_coherence`.
    The whole texture is in front of the eye as noise, whoever owns it.

    References
    ----------
    derived; watson-ahumada-2005; pelli-1981; gain and filter of texture from grain-simulation.

    Examples
    --------
    >>> from evenlay.physics.viewing import contrast_gains
    >>> lines = belt_line_visibility(
    ...     motion=BeltMotion(belt_length=[0.5, 2.0], speed=5.0, feed=0.2, patch_length=0.02),
    ...     grains=GrainTrace(active_density=3.6e6, fill_depth=21e-6, takeover_depth=0.6e-6),
    ...     rounds=RoundSet(removal=[20e-6], offsets=[0.0], line_gain=0.5),
    ...     gains=contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05),
    ...     distance=0.6,
    ... )
    >>> bool(lines.visibility[0] > 4.0 * lines.visibility[1])
    True
    """
    f = line_frequencies(distance)
    angle = float(degrees_per_metre(distance))
    turn = np.atleast_1d(repeat_length(belt_length=motion.belt_length, speed=motion.speed, feed=motion.feed))
    base = np.atleast_1d(persistent_line_psd(active_density=grains.active_density, belt_length=motion.belt_length))[:, None]
    epsilon = np.atleast_1d(np.asarray(grains.unrepeated_share, dtype=np.float64))[:, None]
    if not np.all((epsilon >= 0.0) & (epsilon <= 1.0)):
        raise ValueError("unrepeated_share must be >= 0 and <= 1")
    if not face_length > 0.0:
        raise ValueError("face_length must be > 0")
    coherence = wander_coherence(frequency=f, wander=rounds.wander, repeat=turn, aperture=APERTURE / angle)
    laid = _laid(f, grains, rounds)
    steady = (1.0 - epsilon) * base * coherence[0] * dither_power(frequency=f, amplitude=rounds.dither)
    texture = np.asarray(steady * laid.texture)
    relief = np.asarray(steady * (2.0 * pi * f) ** 2 * laid.relief)
    sigma = np.atleast_1d(gains.sigma)[:, None] ** 2
    theta = np.atleast_1d(gains.theta)[:, None] ** 2
    contrast = np.asarray(sigma * texture + theta * relief)
    harmonics = _harmonics(turn * angle, motion, laid, grains)
    fresh = epsilon * (turn * angle / APERTURE_LENGTH)[:, None] + (1.0 - epsilon) * (coherence[1] - coherence[0])
    seen_texture = base * sigma * laid.own_texture[:, None]
    seen_relief = base * theta * (2.0 * pi * f) ** 2 * laid.own_relief[:, None]
    rest = seen_texture * ((1.0 - epsilon) * harmonics[0] + fresh) + seen_relief * ((1.0 - epsilon) * harmonics[1] + fresh)
    noise = _as_noise(f, 0.5 * APERTURE_LENGTH * angle * rest, contrast.shape)
    long_enough = face_length >= TURNS_SEEN * turn
    plain = random_line_visibility(frequency=f, contrast_density=contrast, distance=distance)
    masked = random_line_visibility(frequency=f, contrast_density=contrast, distance=distance, noise=noise)
    return BeltLines(
        frequency=f,
        texture_density=texture,
        relief_density=relief,
        contrast_density=contrast,
        noise=noise,
        noise_along=_as_noise(f, _density_along(f, angle, seen_texture, turn, epsilon), contrast.shape),
        repeat_length=turn,
        owned_share=np.asarray(np.sum(laid.weights, axis=-1)),
        last_share=np.asarray(laid.weights[:, -1]),
        plain_visibility=np.asarray(np.where(long_enough, plain, 0.0)),
        visibility=np.asarray(np.where(long_enough, masked, 0.0)),
    )


@dataclass(frozen=True)
class _Laid:
    """What the rounds laid down together, per unit of the belt's own relative density."""

    weights: Floats
    removal: Floats
    texture: Floats
    relief: Floats
    own_texture: Floats
    own_relief: Floats


def _laid(frequency: Floats, grains: GrainTrace, rounds: RoundSet) -> _Laid:
    """Persistent power over frequency, and the power that every harmonic has, of texture [-] and of relief [m2]."""
    removal = np.atleast_2d(np.asarray(rounds.removal, dtype=np.float64))
    gain = np.asarray(rounds.line_gain, dtype=np.float64)
    if not np.all((gain > 0.0) & (gain < np.inf)):
        raise ValueError("line_gain must be > 0 and finite")
    weights = round_weights(removal=removal, takeover=grains.takeover_depth)
    tap = texture_amplitudes(removal=removal, takeover=grains.takeover_depth) * np.sqrt(gain)
    depth = relief_amplitudes(removal=removal, fill_depth=grains.fill_depth)
    width = frequency * (np.log(frequency[-1] / frequency[0]) / (frequency.size - 1))
    power = filtered_power(
        np.stack(np.broadcast_arrays(tap, depth)),
        offsets=rounds.offsets,
        frequency=frequency,
        offset_error=rounds.offset_error,
        bandwidth=width,
    )
    return _Laid(
        weights=weights,
        removal=np.broadcast_to(removal, weights.shape),
        texture=mixed_power(ideal=power[0], own=np.sum(tap * tap, axis=-1)),
        relief=power[1],
        own_texture=np.asarray(np.sum(weights * gain, axis=-1)),
        own_relief=np.asarray(np.sum(depth * depth, axis=-1)),
    )


def _harmonics(repeat: Floats, motion: BeltMotion, laid: _Laid, grains: GrainTrace) -> tuple[Floats, Floats]:
    """Share of the harmonics of the repeat, of texture and of relief, that the aperture passes as noise, shape ``(n, 1)``."""
    order = harmonic_orders(repeat)
    patch = np.atleast_1d(np.asarray(motion.patch_length, dtype=np.float64))[:, None]
    pitch = repeat_length(belt_length=motion.belt_length, speed=motion.speed, feed=motion.feed)
    pitch = np.atleast_1d(pitch)[:, None] / order
    memory = np.atleast_1d(np.asarray(grains.takeover_depth, dtype=np.float64))[:, None]
    response = patch_response(
        patch_length=patch[:, None], pitch=pitch[:, None], removal=laid.removal[..., None], memory_depth=memory[:, None]
    )
    owned = np.maximum(np.sum(laid.weights, axis=-1), TINY)[:, None]
    kept = np.sum(laid.weights[..., None] * response**2, axis=1) / owned
    texture = repeat_harmonics(repeat, weights=kept)
    relief = repeat_harmonics(repeat, weights=np.sinc(patch / pitch) ** 2)
    return np.asarray(np.atleast_1d(texture)[:, None]), np.asarray(np.atleast_1d(relief)[:, None])


def _density_along(frequency: Floats, angle: float, texture: Floats, turn: Floats, epsilon: Floats) -> Floats:
    """Density of the texture met by marks along the grain [deg^2]: the comb of the repeat, smoothed over an octave; below it, its skirt."""
    repeat = (turn * angle)[:, None]
    short = np.maximum(1.0 / repeat - frequency / angle, 0.0)
    skirt = np.minimum(APERTURE_LENGTH / repeat * np.exp(-((2.0 * pi * APERTURE * short) ** 2)), 1.0)
    comb = np.where(frequency / angle >= 1.0 / repeat, 1.0, skirt)
    level = texture[:, :1] if texture.ndim == 2 else texture
    return np.asarray(0.5 * angle * level * repeat * ((1.0 - epsilon) * comb + epsilon))


def _as_noise(frequency: Floats, density: Floats, shape: tuple[int, ...]) -> MaskingNoise:
    """Noise with one row per draw."""
    return MaskingNoise(frequency=frequency, density=np.asarray(np.broadcast_to(density, shape)), scale=noise_scale())
