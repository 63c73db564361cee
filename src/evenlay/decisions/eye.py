"""The eye in front of one finish: gains from slopes to contrast, the belt's own lines, and the texture that masks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.situation import Setup, State, Unknowns
from evenlay.physics.lines.belt import BeltLines, BeltMotion, GrainTrace, RoundSet, belt_line_visibility
from evenlay.physics.lines.rounds import dither_is_slow
from evenlay.physics.renewal import texture_line_gain
from evenlay.physics.texture import GrainEngagement, grain_engagement
from evenlay.physics.viewing import ContrastGains, MaskingNoise, contrast_gains, grating_visibility

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Eye:
    """
    What every cause needs of viewing, over the draws.

    ``slope_gain``: contrast per relative swing of the slopes, shape ``(n,)`` [-]; ``tilt_gain_along``: contrast per
    radian of tilt along the grain [1/rad]; ``lines``: the belt's own lines; ``engaged``: how the grains share the load;
    ``dither_slow``: where the side-to-side motion is slow enough for its closed form.
    """

    distance: float
    slope_gain: Array
    tilt_gain_along: Array
    lines: BeltLines
    engaged: GrainEngagement
    dither_slow: NDArray[np.bool_]

    @property
    def noise_across(self) -> MaskingNoise:
        """Texture met by marks whose spacing lies across the grain."""
        return self.lines.noise

    def grating(self, *, pitch: float, contrasts: tuple[Array, ...]) -> Array:
        """
        Visibility of marks that repeat along the grain, masked by the texture.

        Parameters
        ----------
        pitch : float
            Spacing. [m]
        contrasts : tuple of numpy.ndarray
            Contrast amplitude of each harmonic, ``(n,)``. [-]

        Returns
        -------
        numpy.ndarray
            Times just-visible, ``(n,)``.
        """
        return grating_visibility(np.stack(contrasts, axis=1), pitch=pitch, distance=self.distance, noise=self.lines.noise_along)


@dataclass(frozen=True)
class Light:
    """
    Gains from surface to luminance, over the draws: ``across`` the grain, and ``along`` it where the slopes are flatter.

    They do not depend on the settings. Each at its own worst tilt, so a cause that uses both is taken a little too strong.
    """

    across: ContrastGains
    along: ContrastGains


def light_of(setup: Setup, unknowns: Unknowns) -> Light:
    """
    Gains at the job's tilt of the half vector, or at the worst one.

    Parameters
    ----------
    setup : Setup
    unknowns : Unknowns

    Returns
    -------
    Light
    """
    return Light(_gains(setup, unknowns, along=False), _gains(setup, unknowns, along=True))


def _gains(setup: Setup, unknowns: Unknowns, *, along: bool) -> ContrastGains:
    fixed = setup.lamp_tilt
    return contrast_gains(
        slope_rms=unknowns.slope_along if along else unknowns.slope_across,
        facet_spread=unknowns.facet_spread,
        floor=unknowns.luminance_floor,
        tilt=None if np.isnan(fixed) else np.full(unknowns.count, fixed),
        roughness_change=0.0 if along else 1.0,
        tilt_change=1.0 if along else 0.0,
    )


def _line_gain(state: State, active_density: NDArray[np.float64]) -> NDArray[np.float64]:
    """Power of each round's texture lines over that of the belt's own density, shape ``(n, rounds)``. [-]"""
    moved = state.unknowns.groove_coefficient[:, None] * np.stack([contact.mean_pressure for contact in state.contacts], axis=1)
    return texture_line_gain(
        texture_memory=state.unknowns.texture_memory[:, None],
        moved_per_arc=moved,
        active_density=active_density[:, None],
        belt_length=state.setup.belt_length,
    )


def eye_of(state: State, light: Light) -> Eye:
    """
    Put the eye in front of what a state leaves.

    Parameters
    ----------
    state : State
    light : Light

    Returns
    -------
    Eye
        Over the draws.
    """
    unknowns, setup, settings = state.unknowns, state.setup, state.settings
    gains = light.across
    engaged = grain_engagement(
        pressure=state.last.mean_pressure,
        grain_density=unknowns.grain_density,
        height_sd=unknowns.grain_height_sd,
        tip_radius=unknowns.grain_tip_radius,
        contact_modulus=unknowns.modulus / (1.0 - unknowns.poisson**2),
    )
    motion = BeltMotion(belt_length=setup.belt_length, speed=settings.speed, feed=settings.feed, patch_length=state.last.patch_length)
    grains = GrainTrace(
        active_density=engaged.active_density,
        fill_depth=engaged.fill_depth,
        takeover_depth=state.takeover_depth,
        unrepeated_share=unknowns.unrepeated_share,
    )
    rounds = RoundSet(
        removal=state.round_removal,
        offsets=np.asarray(settings.offsets),
        line_gain=_line_gain(state, engaged.active_density),
        offset_error=state.lateral_sd,
        wander=unknowns.hand_wander,
        dither=setup.dither,
    )
    # The gain of texture lines is itself uncertain; it is a power, so its root goes on the contrast.
    line_gains = replace(gains, sigma=gains.sigma * np.sqrt(unknowns.line_gain))
    slow: NDArray[np.bool_] = np.ones(unknowns.count, dtype=np.bool_)
    if setup.dither > 0.0:
        slow = dither_is_slow(
            amplitude=setup.dither, length=setup.dither_length, patch_length=state.last.patch_length, groove_width=unknowns.grain_tip_radius
        )
    lines = belt_line_visibility(
        motion=motion, grains=grains, rounds=rounds, gains=line_gains, distance=setup.distance, face_length=setup.face_along
    )
    if not np.all(slow):
        still = belt_line_visibility(
            motion=motion,
            grains=grains,
            rounds=replace(rounds, dither=0.0),
            gains=line_gains,
            distance=setup.distance,
            face_length=setup.face_along,
        )
        # Faster than its closed form allows, a swing was seen to take away no more than half of the power it promises.
        half = np.sqrt(0.5 * (lines.visibility**2 + still.visibility**2))
        lines = replace(lines, visibility=np.where(slow, lines.visibility, half))
    return Eye(
        distance=setup.distance,
        slope_gain=np.abs(gains.sigma),
        tilt_gain_along=light.along.theta,
        lines=lines,
        engaged=engaged,
        dither_slow=slow,
    )
