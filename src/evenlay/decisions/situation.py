"""What a plan is evaluated for: the set-up, its unknowns as draws, the settings, and the state they lead to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.wheels import PassContact, Wheel, pass_contact
from evenlay.physics.renewal import takeover_depth
from evenlay.quantities.draws import lattice
from evenlay.quantities.known import Value, normal_score

Array = NDArray[np.float64]

MEDIAN: Final = 0.5


@dataclass(frozen=True)
class Unknowns:
    """
    Uncertain quantities, each an array of shape ``(n,)``: element 0 holds the central values, the others are draws.

    All in SI; lengths in m, slopes and shares without unit.
    """

    removal_coefficient: Array
    friction: Array
    modulus: Array
    poisson: Array
    cover_thickness: Array
    belt_tension: Array
    casing_stiffness: Array
    inflation: Array
    edge_ramp: Array
    closing_pressure: Array
    grip_friction: Array
    grain_density: Array
    grain_height_sd: Array
    grain_tip_radius: Array
    roughness: Array
    texture_memory: Array
    groove_coefficient: Array
    line_gain: Array
    pressure_exponent: Array
    feed_exponent: Array
    slope_across: Array
    slope_along: Array
    facet_spread: Array
    luminance_floor: Array
    unrepeated_share: Array
    incoming_slope: Array
    joint_step: Array
    wheel_runout: Array
    path_error: Array
    belt_wander: Array
    hand_wander: Array
    force_error: Array
    feed_dip: Array
    chatter_share: Array
    eye: Array

    @property
    def count(self) -> int:
        """Number of rows, the central one included."""
        return int(self.removal_coefficient.size)

    def rows(self, index: slice | Array) -> Unknowns:
        """Return the same unknowns for some rows only."""
        return Unknowns(**{field.name: getattr(self, field.name)[index] for field in fields(self)})


UNKNOWN_NAMES: Final = tuple(field.name for field in fields(Unknowns))

TRADE_NAMES: Final[Mapping[str, str]] = {
    "removal_coefficient": "how fast the belt cuts",
    "friction": "friction of belt on metal",
    "modulus": "hardness of the cover",
    "poisson": "bulging of the cover",
    "cover_thickness": "thickness of the cover",
    "belt_tension": "tension of the belt",
    "casing_stiffness": "stiffness of the casing",
    "inflation": "inflation",
    "edge_ramp": "ramp at the belt's edge",
    "closing_pressure": "closing pressure of the expander",
    "grip_friction": "grip of the sleeve",
    "grain_density": "grains per area of belt",
    "grain_height_sd": "scatter of the grain heights",
    "grain_tip_radius": "sharpness of the grains",
    "roughness": "Ra this belt leaves",
    "texture_memory": "metal moved that renews the texture",
    "groove_coefficient": "metal that the grains move",
    "line_gain": "strength of the belt's own lines",
    "pressure_exponent": "roughness against pressure",
    "feed_exponent": "roughness against feed",
    "slope_across": "slopes of the grain, across",
    "slope_along": "slopes of the grain, along",
    "facet_spread": "spread of the facets",
    "luminance_floor": "stray light in the grain",
    "unrepeated_share": "share of the texture that does not repeat",
    "incoming_slope": "texture of the incoming sheet",
    "joint_step": "thickness step at the joint",
    "wheel_runout": "run-out of the wheel",
    "path_error": "path error across the pass",
    "belt_wander": "wander of the belt on the wheel",
    "hand_wander": "wander of the hand",
    "force_error": "error of the force",
    "feed_dip": "dip of the feed",
    "chatter_share": "force swing in chatter",
    "eye": "the eye's threshold on this finish",
}
"""Each unknown in words of the trade; a test checks that none is missing."""


CONTACT_UNKNOWNS: Final[Mapping[str, tuple[str, ...]]] = {
    "solid": ("modulus", "poisson", "cover_thickness", "belt_tension"),
    "pneumatic": ("inflation", "casing_stiffness"),
    "expander": ("modulus", "poisson", "cover_thickness", "closing_pressure"),
    "slack": ("belt_tension",),
    "platen": ("modulus", "poisson", "cover_thickness", "belt_tension"),
    "nonwoven": ("modulus", "poisson", "cover_thickness", "belt_tension"),
}
"""Unknowns on which the contact of each wheel kind rests, beside the ramp."""

UNDER_THE_GRAINS: Final = ("modulus", "poisson")
"""Unknowns that say how the backing gives way under single grains, for every kind."""

HELD_WITHIN: Final[Mapping[str, tuple[float, float]]] = {
    "poisson": (0.0, 0.5),
    "unrepeated_share": (0.0, 1.0),
    "luminance_floor": (1e-4, 1.0),
    "feed_dip": (0.0, 0.95),
    "chatter_share": (0.0, 1.0),
}
"""Bounds that nature sets: the few draws that a band's tail would put beyond are held at the bound."""


@dataclass(frozen=True)
class Draws:
    """
    Unknowns with what they were drawn from.

    ``scores`` has shape ``(n - 1, d)``: the normal scores of the `active` unknowns (those with a band), in their order.
    ``weights`` has shape ``(n - 1,)`` and sums to 1: equal until a joint posterior replaces the independent bands.
    """

    unknowns: Unknowns
    active: tuple[str, ...]
    scores: Array
    weights: Array


def draw_unknowns(values: Mapping[str, Value], *, count: int, seed: int) -> Draws:
    """
    Draw every uncertain quantity over its band.

    Parameters
    ----------
    values : mapping of str to Value
        One per name in `UNKNOWN_NAMES`. [SI]
    count : int
        Number of draws besides the central row (a prime). [-]
    seed : int
        Same seed, same bytes. [-]

    Returns
    -------
    Draws
        Row 0 is central; 1 to ``count`` are quasi-random.

    Raises
    ------
    ValueError
        If a name is missing or unknown.
    """
    if set(values) != set(UNKNOWN_NAMES):
        raise ValueError(f"unknowns missing or not known: {sorted(set(values) ^ set(UNKNOWN_NAMES))}")
    points = lattice(count=count, dimensions=len(UNKNOWN_NAMES), seed=seed)
    active = tuple(name for name in UNKNOWN_NAMES if values[name].high > values[name].low)
    arrays = {
        name: np.concatenate([[values[name].number], _held(name, values[name].quantile(points[:, column]))])
        for column, name in enumerate(UNKNOWN_NAMES)
    }
    columns = [UNKNOWN_NAMES.index(name) for name in active]
    return Draws(Unknowns(**arrays), active, normal_score(points[:, columns]), np.full(count, 1.0 / count))


def _held(name: str, draws: Array) -> Array:
    low, high = HELD_WITHIN.get(name, (-np.inf, np.inf))
    return np.asarray(np.minimum(np.maximum(draws, low), high))


def central_unknowns(values: Mapping[str, Value]) -> Unknowns:
    """Return the central values alone, as one row."""
    return Unknowns(**{name: np.array([values[name].number]) for name in UNKNOWN_NAMES})


@dataclass(frozen=True)
class Setup:
    """
    Set-up of one face and one step: what is given, not chosen. Scalars in SI.

    ``curvature_along`` and ``curvature_across`` are signed: convex positive, hollow negative, flat 0 [1/m].
    Quantities that no one gave are NaN where their field says so.
    """

    wheel_kind: str
    wheel_diameter: float
    contact_width: float
    crown_curvature: float
    belt_mass: float
    rubber_density: float
    rubber_free_thickness: float
    rubber_mean_radius: float
    belt_length: float
    face_along: float
    face_across: float
    curvature_along: float
    curvature_across: float
    free_edges: tuple[str, ...]
    distance: float
    luminance: float
    lamp_tilt: float
    """Tilt of the half vector from the normal; NaN: the worst tilt is found. [rad]"""
    dither: float
    dither_length: float
    run_on: float
    turn_time: float
    feed_dip_length: float
    """Length over which the feed dips; NaN when nobody measured it. [m]"""
    chatter_frequency: float
    """NaN when nobody measured it. [Hz]"""
    device_bandwidth: float
    """NaN when not stated. [Hz]"""
    belt_joined: bool = True
    """Whether the belt has a joint; a seamless one has none to print."""


@dataclass(frozen=True)
class Settings:
    """
    What can be set: force of the first round [N], belt speed [m/s], feed [m/s], step-over [m], rounds, their offsets [m]
    and the taper: each later round's force as a share of the one before.
    """

    force: float
    speed: float
    feed: float
    step_over: float
    offsets: tuple[float, ...]
    taper: float = 1.0

    @property
    def rounds(self) -> int:
        """Number of rounds: one per offset."""
        return len(self.offsets)

    @property
    def forces(self) -> tuple[float, ...]:
        """Force of each round. [N]"""
        return tuple(self.force * self.taper**index for index in range(self.rounds))

    def with_(self, **changes: float | tuple[float, ...]) -> Settings:
        """Return the same settings with some changed."""
        return replace(self, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True)
class State:
    """What the settings lead to, over the draws; causes read from it. Arrays ``(n,)`` unless said."""

    setup: Setup
    unknowns: Unknowns
    settings: Settings
    contacts: tuple[PassContact, ...]
    """One per round."""
    round_removal: Array
    """Mean stock removed by each round, shape ``(n, rounds)``. [m]"""
    takeover_depth: Array
    """Removal that renews the texture by 63 %. [m]"""
    repeat_length: float
    """Travel in one turn of the belt, f L / v. [m]"""
    lateral_sd: Array
    """Standard deviation of where a pass lies, path error and belt wander together. [m]"""

    @property
    def last(self) -> PassContact:
        """Contact of the last round, whose texture stays."""
        return self.contacts[-1]

    @property
    def removal(self) -> Array:
        """Mean stock removed by all rounds. [m]"""
        return np.asarray(self.round_removal.sum(axis=1))


def wheel_of(setup: Setup, unknowns: Unknowns) -> Wheel:
    """Return the wheel of a set-up with its uncertain parts as arrays."""
    return Wheel(
        kind=setup.wheel_kind,
        diameter=setup.wheel_diameter,
        width=setup.contact_width,
        crown_curvature=setup.crown_curvature,
        modulus=unknowns.modulus,
        poisson=unknowns.poisson,
        cover_thickness=unknowns.cover_thickness,
        casing_stiffness=unknowns.casing_stiffness,
        inflation=unknowns.inflation,
        belt_tension=unknowns.belt_tension,
        rubber_density=np.full(1, setup.rubber_density),
        rubber_free_thickness=np.full(1, setup.rubber_free_thickness),
        rubber_mean_radius=np.full(1, setup.rubber_mean_radius),
        belt_mass=np.full(1, setup.belt_mass),
        closing_pressure=unknowns.closing_pressure,
        grip_friction=unknowns.grip_friction,
        edge_ramp=unknowns.edge_ramp,
    )


Contacts = dict[tuple[float, float], PassContact]
"""Contacts already solved for one set-up and its unknowns, by force and belt speed."""


def state_of(setup: Setup, unknowns: Unknowns, settings: Settings, *, solved: Contacts | None = None) -> State:
    """
    Contact, removal and lateral scatter that the settings lead to.

    Parameters
    ----------
    setup : Setup
    unknowns : Unknowns
        Arrays ``(n,)``.
    settings : Settings
    solved : dict, optional
        Contacts solved before for the same set-up and unknowns; new ones are put into it.

    Returns
    -------
    State
        Over the same draws.

    Raises
    ------
    ValueError
        From the contact model, when the wheel cannot touch this face at all.
    """
    wheel = wheel_of(setup, unknowns)
    speed = np.full(unknowns.count, settings.speed)
    found: Contacts = {} if solved is None else solved
    for force in settings.forces:
        if (force, settings.speed) not in found:
            found[force, settings.speed] = pass_contact(
                wheel,
                force=np.full(unknowns.count, force),
                speed=speed,
                curvature_along=setup.curvature_along,
                curvature_across=setup.curvature_across,
            )
    removal = np.stack(
        [unknowns.removal_coefficient * settings.speed * force / (settings.feed * settings.step_over) for force in settings.forces],
        axis=1,
    )
    return State(
        setup=setup,
        unknowns=unknowns,
        settings=settings,
        contacts=tuple(found[force, settings.speed] for force in settings.forces),
        round_removal=removal,
        takeover_depth=takeover_depth(
            texture_memory=unknowns.texture_memory,
            removal_coefficient=unknowns.removal_coefficient,
            groove_coefficient=unknowns.groove_coefficient,
        ),
        repeat_length=settings.feed * setup.belt_length / settings.speed,
        lateral_sd=np.hypot(unknowns.path_error, unknowns.belt_wander),
    )
