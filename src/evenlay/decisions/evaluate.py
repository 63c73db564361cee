"""One candidate, over all draws and causes: how much each line shows, how long it takes, which limits it breaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.causes import REGISTER, Link, Strength, Unmeasured, overlap
from evenlay.decisions.causes.wheel import WITHOUT_WHEEL
from evenlay.decisions.eye import Eye, Light, eye_of, light_of
from evenlay.decisions.face import lay_of
from evenlay.decisions.recipe import Score
from evenlay.decisions.sensitivity import weighted_quantile
from evenlay.decisions.situation import Contacts, Settings, Setup, State, Unknowns, state_of
from evenlay.physics.contact.wheels import NoContact
from evenlay.physics.drive import air_motor_speed, power, torque
from evenlay.surface.passes import cycle_time

Array = NDArray[np.float64]

NERVOUS: Final = 2.0
"""Factor on the path error for the sensitive twin of a score."""

STRENGTH_AT_MAX: Final = 0.95
"""Share of readings that must stay below a limit under the maximum rule: none may exceed, taken as 5 % risk."""

SIXTEEN_PERCENT: Final = 0.84
"""Share of readings that must stay below a limit under the 16 % rule."""


INCOMING_LEFT: Final = 0.05
"""Most of the incoming texture that may be left for a face to count as finished: three take-over depths. Guess."""


INCOMING: Final = f"incoming texture that is left ({100.0 * INCOMING_LEFT:.0f} % may be)"
"""Name of that limit."""


@dataclass(frozen=True)
class Bounds:
    """
    Limits a plan must keep; infinite where nobody set one.

    Parameters
    ----------
    removal : float
        Most stock that may go. [m]
    roughness : float
        Highest Ra. [m]
    sixteen_percent : bool
        Whether 16 % of readings may lie above `roughness`; otherwise none.
    power, torque : float
        Of a governed drive. [W], [N m]
    rotation : float
        Highest of a governed drive's wheel. [1/s]
    free_rotation, stall_torque : float
        Of an air motor; NaN for a servo. [1/s], [N m]
    target : float
        Visibility no line may pass. [times just-visible]
    probability : float
        With which every line stays under it. [-]
    eye_counts : bool
        Whether the eye's own threshold is calibrated and so belongs to the level.
    """

    removal: float
    roughness: float
    sixteen_percent: bool
    power: float
    torque: float
    rotation: float
    free_rotation: float
    stall_torque: float
    target: float
    probability: float
    eye_counts: bool


class Seen(Protocol):
    """What limits are judged by: the state and the eye, without the strength of any line."""

    @property
    def state(self) -> State: ...  # noqa: D102

    @property
    def eye(self) -> Eye: ...  # noqa: D102


@dataclass(frozen=True)
class Sketch:
    """State and eye alone: enough for limits, and quick."""

    state: State
    eye: Eye


@dataclass(frozen=True)
class Evaluation:
    """State, eye and the strength of every cause, by key; ``worst`` over the causes for each draw, ``(n,)``."""

    state: State
    eye: Eye
    strengths: Mapping[str, Strength | Unmeasured]
    worst: Array
    binding: str


@dataclass(frozen=True)
class Workbench:
    """
    What does not depend on the settings, worked out once for many candidates.

    ``solved`` gathers contacts by force and speed; the same candidate gives the same bytes with it or without.
    """

    setup: Setup
    unknowns: Unknowns
    weights: Array
    bounds: Bounds
    light: Light
    solved: Contacts


def workbench(setup: Setup, unknowns: Unknowns, weights: Array, bounds: Bounds) -> Workbench:
    """
    Lay out the bench for a set-up.

    Parameters
    ----------
    setup : Setup
    unknowns : Unknowns
        Over the draws, row 0 central.
    weights : numpy.ndarray
        Of rows 1 and on.
    bounds : Bounds

    Returns
    -------
    Workbench
    """
    return Workbench(setup, unknowns, weights, bounds, light_of(setup, unknowns), {})


def quantile(draws: Array, probability: float, weights: Array) -> float:
    """Quantile of weighted draws, without the central row."""
    return float(weighted_quantile(draws, (probability,), weights)[0])


def evaluate(bench: Workbench, settings: Settings) -> Evaluation:
    """
    Strength of every cause under given settings.

    Parameters
    ----------
    bench : Workbench
    settings : Settings

    Returns
    -------
    Evaluation

    Raises
    ------
    NoContact
        If the wheel cannot touch the face.
    """
    return _evaluated(bench, _sketched(bench, settings))


def _sketched(bench: Workbench, settings: Settings) -> Sketch:
    state = state_of(bench.setup, bench.unknowns, settings, solved=bench.solved)
    return Sketch(state, eye_of(state, bench.light))


def _evaluated(bench: Workbench, sketch: Sketch) -> Evaluation:
    state, eye = sketch.state, sketch.eye
    strengths = {cause.key: _calibrated(cause.strength(state, eye), bench) for cause in REGISTER}
    known = {key: strength.visibility for key, strength in strengths.items() if isinstance(strength, Strength)}
    worst = np.max(np.stack(list(known.values())), axis=0)
    binding = max(known, key=lambda key: float(known[key][0]))
    return Evaluation(state, eye, strengths, worst, binding)


def _calibrated(strength: Strength | Unmeasured, bench: Workbench) -> Strength | Unmeasured:
    """Put the eye's own factor on a strength, once a limit sample has measured it; until then it stands apart."""
    if isinstance(strength, Unmeasured) or not bench.bounds.eye_counts:
        return strength
    seen = strength.visibility * bench.unknowns.eye
    link = Link("times just-visible, by the limit sample", seen, "ratio", (*strength.chain[-1].rests_on, "eye"))
    return replace(strength, visibility=seen, chain=(*strength.chain, link))


def passes_of(state: State) -> int:
    """Passes over the whole face, all rounds."""
    setup = state.setup
    past = tuple(np.inf if side in setup.free_edges else 0.0 for side in ("left", "right"))
    return int(lay_of(state, setup.face_across, (past[0], past[1])).centres.size)


def face_time(state: State) -> float:
    """Time for the face with all run-ons and turns. [s]"""
    setup = state.setup
    return cycle_time(
        passes=passes_of(state), length=setup.face_along, feed=state.settings.feed, run_on=setup.run_on, turn_time=setup.turn_time
    )


@dataclass(frozen=True)
class Margin:
    """
    A quantity against its limit, in the limit's own unit.

    ``central`` at the central values; ``likely`` the one kept with the asked probability (for Ra: by its rule).
    """

    name: str
    central: float
    likely: float
    limit: float


def margins_of(evaluation: Seen, bounds: Bounds, weights: Array) -> tuple[Margin, ...]:
    """
    Every limited quantity of a candidate.

    Parameters
    ----------
    evaluation : Evaluation or Sketch
    bounds : Bounds
    weights : numpy.ndarray
        Of the draws, ``(n - 1,)``.

    Returns
    -------
    tuple of Margin
    """
    state = evaluation.state
    unknowns, settings, setup = state.unknowns, state.settings, state.setup

    def margin(name: str, values: Array, limit: float, share: float = bounds.probability) -> Margin:
        return Margin(name, float(values[0]), quantile(values[1:], share, weights), limit)

    asked = torque(force=settings.force, friction=unknowns.friction, diameter=setup.wheel_diameter)
    taken = power(force=settings.force, friction=unknowns.friction, speed=settings.speed)
    runout = 0.0 if setup.wheel_kind in WITHOUT_WHEEL else unknowns.wheel_runout
    swing = np.asarray(0.5 * runout * state.last.stiffness / settings.forces[-1])
    rows = [
        margin("stock removed", state.removal, bounds.removal),
        margin("Ra", unknowns.roughness, bounds.roughness, SIXTEEN_PERCENT if bounds.sixteen_percent else STRENGTH_AT_MAX),
        margin("drive power", taken, bounds.power),
        margin("drive torque", asked, bounds.torque),
        margin("rotation of the wheel", np.full(1 + weights.size, settings.speed / (np.pi * setup.wheel_diameter)), bounds.rotation),
        margin("wheel lifting off at its run-out", swing, 1.0),
        margin(INCOMING, 1.0 - evaluation.eye.lines.owned_share, INCOMING_LEFT),
    ]
    if not np.isnan(bounds.free_rotation):
        turning = air_motor_speed(free_rotation=bounds.free_rotation, stall_torque=bounds.stall_torque, torque=asked)
        short_by = settings.speed / np.maximum(np.pi * setup.wheel_diameter * turning.rotation, 1e-9)
        rows.append(margin("belt speed against what the air motor reaches under load", short_by, 1.0))
    return tuple(rows)


def breaches_of(evaluation: Seen, bounds: Bounds, weights: Array) -> tuple[tuple[str, float], ...]:
    """
    Limits that a candidate breaks at its central values, each with its excess as a share of the limit.

    A limit that only the band reaches is at risk, not broken (see `at_risk`): an unknown is to be measured, not refused.
    """
    margins = margins_of(evaluation, bounds, weights)
    return tuple((each.name, each.central / each.limit - 1.0) for each in margins if each.central > each.limit)


def at_risk(evaluation: Evaluation, bounds: Bounds, weights: Array) -> tuple[Margin, ...]:
    """Limits kept at the central values, but not with the asked probability."""
    return tuple(each for each in margins_of(evaluation, bounds, weights) if each.central <= each.limit < each.likely)


def level_of(bench: Workbench, seen: Array) -> float:
    """
    Visibility that is kept with the asked probability. [times just-visible]

    Parameters
    ----------
    bench : Workbench
    seen : numpy.ndarray
        Visibility over the draws, row 0 central.
    """
    return quantile(seen[1:], bench.bounds.probability, bench.weights)


NOTHING_TOUCHES: Final = Score(np.inf, np.inf, np.inf, "contact", (("contact", np.inf),))
"""Score where the wheel cannot touch the face."""


def outline(bench: Workbench, settings: Settings) -> tuple[float, float]:
    """
    Time of a candidate, and a level it cannot be below: that of the belt's own lines alone. Quick.

    Parameters
    ----------
    bench : Workbench
    settings : Settings

    Returns
    -------
    tuple of float
        [s], [times just-visible]; infinite where the wheel cannot touch.
    """
    try:
        state = state_of(bench.setup, bench.unknowns, settings, solved=bench.solved)
    except NoContact:
        return np.inf, np.inf
    seen = eye_of(state, bench.light).lines.visibility
    return face_time(state), level_of(bench, seen * bench.unknowns.eye if bench.bounds.eye_counts else seen)


def score(bench: Workbench, settings: Settings, *, thorough: bool = False) -> Score:
    """
    Worth of a candidate for choosing.

    Parameters
    ----------
    bench : Workbench
    settings : Settings
    thorough : bool
        Whether to work out the level with twice the path error; otherwise it is taken as the level itself.

    Returns
    -------
    Score
        With a breach "contact" when the wheel cannot touch the face. Where a limit is broken, and not thorough, the level is
        not worked out: infinite.
    """
    try:
        sketch = _sketched(bench, settings)
    except NoContact:
        return NOTHING_TOUCHES
    breaches = () if thorough else breaches_of(sketch, bench.bounds, bench.weights)
    if breaches:
        return Score(face_time(sketch.state), np.inf, np.inf, "limit", breaches)
    return score_of(bench, _evaluated(bench, sketch), thorough=thorough)


def score_of(bench: Workbench, found: Evaluation, *, thorough: bool = False) -> Score:
    """
    Worth of a candidate that has been evaluated.

    Parameters
    ----------
    bench : Workbench
    found : Evaluation
    thorough : bool
        As in `score`.

    Returns
    -------
    Score
    """
    level = level_of(bench, found.worst)
    nervous = level
    if thorough:
        shaky = replace(found.state, lateral_sd=np.hypot(NERVOUS * bench.unknowns.path_error, bench.unknowns.belt_wander))
        twin = _calibrated(overlap.CAUSE.strength(shaky, found.eye), bench)
        nervous = level_of(bench, np.maximum(found.worst, twin.visibility) if isinstance(twin, Strength) else found.worst)
    return Score(face_time(found.state), level, nervous, found.binding, breaches_of(found, bench.bounds, bench.weights))
