"""From footprints to the wheel: stiffness from patch lengths, the belt's edge ramp from measured ramps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np

from evenlay.evidence.combine import SURPRISE, Array, Likelihood, score_band, value_at_scores
from evenlay.evidence.effective import away, setting_distance
from evenlay.physics.contact.kinds import Wheel
from evenlay.physics.contact.wheels import pass_contact
from evenlay.quantities.known import BAND_SCORE, Known, Value
from evenlay.quantities.remarks import Remark

STIFFNESS_OF: Final = {
    "solid": "modulus",
    "pneumatic": "casing_stiffness",
    "expander": "modulus",
    "platen": "modulus",
    "nonwoven": "modulus",
}
"""What a patch length refits, by kind of wheel; a slack belt has no stiffness to refit."""

LAW_DOUBT: Final = 0.045
"""Standard deviation of a predicted patch length, shared by all prints of a wheel: 3 % of the contact law, and 5 % of force. Guess. [-]"""

KNOTS: Final = 121
"""Scores at which the contact is solved; between them a straight line."""

PRESSURE_SHIFT: Final = 20e3
"""Added to an inflation before its logarithm is taken, as in the ramp's law: the casing's own share. [Pa]"""


@dataclass(frozen=True)
class Print:
    """
    One print of a wheel on a face, and the settings it was made at.

    Parameters
    ----------
    force : float
        ``> 0``. [N]
    speed : float
        Belt speed; 0 for a wheel at rest. [m/s]
    inflation : float
        Of a pneumatic wheel, gauge; NaN when it was the wheel's own. [Pa]
    curvature_along, curvature_across : float
        Of the part: convex positive. [1/m]
    patch_length, ramp : Likelihood or None
        What was read. [m]

    Raises
    ------
    ValueError
        If the force is not above zero or the speed is negative.
    """

    force: float
    speed: float = 0.0
    inflation: float = math.nan
    curvature_along: float = 0.0
    curvature_across: float = 0.0
    patch_length: Likelihood | None = None
    ramp: Likelihood | None = None

    def __post_init__(self) -> None:  # noqa: D105
        if not (0.0 < self.force < math.inf and 0.0 <= self.speed < math.inf):
            raise ValueError(f"a print needs a force above zero and a speed of zero or more, not {self.force} and {self.speed}")


@dataclass(frozen=True)
class Refit:
    """
    A wheel's property refitted from prints.

    ``name`` of the `Wheel` field; ``value`` where it was measured; ``prior``; ``settings``: force [N], and inflation plus
    `PRESSURE_SHIFT` [Pa] of a pneumatic wheel, of each print used; ``narrowing`` of the band in the prior's scores;
    ``surprise`` in standard deviations; ``remarks``.
    """

    name: str
    value: Value
    prior: Value
    settings: tuple[tuple[float, ...], ...]
    narrowing: float
    surprise: float
    remarks: tuple[Remark, ...]

    def at(self, *, force: float, inflation: float = math.nan) -> Value:
        """
        Value at other settings: wider, and back towards the prior, the further from the prints.

        Parameters
        ----------
        force : float
            ``> 0``. [N]
        inflation : float
            Of a pneumatic wheel, gauge; not used for others. [Pa]

        Returns
        -------
        Value
            See `evenlay.evidence.effective.away`.
        """
        if not self.settings:
            return self.value
        here = (force, inflation + PRESSURE_SHIFT) if len(self.settings[0]) == 2 else (force,)
        return away(self.value, self.prior, distance=setting_distance(here, self.settings))


def refit_stiffness(*, wheel: Wheel, prior: Value, prints: Sequence[Print], where: str = "") -> Refit:
    """
    Stiffness of a wheel from measured patch lengths.

    Parameters
    ----------
    wheel : Wheel
        Its central values are used; the field being refitted is replaced.
    prior : Value
        Casing stiffness [Pa/m] of a pneumatic wheel, cover modulus [Pa] of the others, before.
    prints : sequence of Print
        Those without a patch length are passed over.
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    Refit
        ``known`` of its value is ``fitted``: the contact law stands between the print and the stiffness.

    Raises
    ------
    ValueError
        If the kind of wheel has no stiffness (slack belt), or a print cannot touch.

    Notes
    -----
    On the prior's normal scores, as `evenlay.evidence.combine.posterior`, with the patch length predicted by the contact law at each. The
    law's own doubt `LAW_DOUBT` is shared: it is added to the mean of the prints, not to each.

    References
    ----------
    Derived.
    """
    if wheel.kind not in STIFFNESS_OF:
        raise ValueError(f"a {wheel.kind} belt has no stiffness that a patch length could refit; its tension sets the patch")
    used = [(each, each.patch_length) for each in prints if each.patch_length is not None]
    return _refit(wheel, STIFFNESS_OF[wheel.kind], prior, used, "patch_length", where)


def refit_ramp(*, wheel: Wheel, prior: Value, prints: Sequence[Print], where: str = "") -> Refit:
    """
    Edge ramp of a wheel at reference conditions from measured full ramps.

    Parameters
    ----------
    wheel : Wheel
        Its central values are used; refit the stiffness first.
    prior : Value
        Full ramp at reference conditions, before. [m]
    prints : sequence of Print
        Those without a ramp are passed over.
    where : str
        Dotted job-file key, for remarks.

    Returns
    -------
    Refit
        ``known`` is ``measured``: the same ramp comes back at the settings of the print.

    Notes
    -----
    As `refit_stiffness`, through the load profile of a pass: crown, inflation and cover have their share of a measured ramp, the
    rest is the belt's edge.
    """
    used = [(each, each.ramp) for each in prints if each.ramp is not None]
    return _refit(wheel, "edge_ramp", prior, used, "ramp", where)


def _refit(wheel: Wheel, name: str, prior: Value, used: Sequence[tuple[Print, Likelihood]], what: str, where: str) -> Refit:
    if not used or not prior.high > prior.low:
        return Refit(name, prior, prior, (), 1.0, 0.0, ())
    knots = np.asarray(np.linspace(-4.0, 4.0, KNOTS), dtype=np.float64)
    trial = value_at_scores(prior, knots)
    tables = [_predicted(wheel, name, trial, each, what) for each, _ in used]
    law = LAW_DOUBT * math.sqrt(len(used)) if what == "patch_length" else 0.0
    # As noise, not in proportion: the shared doubt must not enter once per print into how likely a shorter patch is.
    readings = [replace(reading, noise=math.hypot(reading.noise, law * reading.number)) for _, reading in used]
    beyond = [index for index, (table, reading) in enumerate(zip(tables, readings, strict=True)) if _out_of_reach(table, reading)]
    if beyond:
        said = tuple(_reach_remark(tables[index], readings[index], what, where) for index in beyond)
        rest = _refit(wheel, name, prior, [one for index, one in enumerate(used) if index not in beyond], what, where)
        return replace(rest, remarks=said + rest.remarks)

    def log_likelihood(score: Array) -> Array:
        total = np.zeros_like(score)
        for table, reading in zip(tables, readings, strict=True):
            total = total + reading.log_density(np.interp(score, knots, table))
        return total

    low, middle, high = score_band(log_likelihood)
    narrowing = (high - low) / (2.0 * BAND_SCORE)
    surprise = max((_surprise(table, reading, knots) for table, reading in zip(tables, readings, strict=True)), key=abs)
    known: Known = "measured" if what == "ramp" else "fitted"
    numbers = value_at_scores(prior, [low, middle, high])
    count = len(used)
    source = f"{count} footprint{'s' if count > 1 else ''}" + (" through the contact law" if what == "patch_length" else "")
    value = Value(float(numbers[1]), float(numbers[0]), float(numbers[2]), known if narrowing < 0.9 else prior.known, source)
    settings = tuple(_setting(wheel, each) for each, _ in used)
    return Refit(name, value, prior, settings, narrowing, surprise, _remarks(surprise, narrowing, what, where))


def _predicted(wheel: Wheel, name: str, trial: Array, made: Print, what: str) -> Array:
    """Patch length or mean full ramp at the settings of a print, for trial values of one property."""
    central = {entry.name: getattr(wheel, entry.name)[:1] for entry in fields(wheel) if isinstance(getattr(wheel, entry.name), np.ndarray)}
    if not math.isnan(made.inflation):
        central["inflation"] = np.array([made.inflation])
    probe = replace(wheel, **{**central, name: trial})
    contact = pass_contact(
        probe,
        force=np.array([made.force]),
        speed=np.array([made.speed]),
        curvature_along=made.curvature_along,
        curvature_across=made.curvature_across,
    )
    found = contact.patch_length if what == "patch_length" else contact.profile.ramp
    return np.asarray(np.broadcast_to(found, trial.shape), dtype=np.float64)


def _surprise(table: Array, reading: Likelihood, knots: Array) -> float:
    expected, up, down = np.interp([0.0, 1.0, -1.0], knots, table)
    return float((reading.number - expected) / math.hypot(float(reading.deviation(expected)), 0.5 * (up - down)))


def _setting(wheel: Wheel, made: Print) -> tuple[float, ...]:
    if wheel.kind != "pneumatic":
        return (made.force,)
    inflation = float(wheel.inflation[0]) if math.isnan(made.inflation) else made.inflation
    return made.force, inflation + PRESSURE_SHIFT


def _out_of_reach(table: Array, reading: Likelihood) -> bool:
    reach = SURPRISE * float(reading.deviation(reading.number))
    return bool(reading.number - reach > table.max() or reading.number + reach < table.min())


WORDS: Final = {"patch_length": "patch", "ramp": "ramp"}


def _reach_remark(table: Array, reading: Likelihood, what: str, where: str) -> Remark:
    message = (
        f"a {WORDS[what]} of {reading.number * 1e3:.3g} mm lies outside of the {table.min() * 1e3:.3g} to {table.max() * 1e3:.3g} mm "
        "that this wheel can make at any stiffness: it is left out, not averaged in. Check force, inflation and diameter of the print."
    )
    return Remark("footprint-out-of-reach", "caution", message, "contact law", where)


def _remarks(surprise: float, narrowing: float, what: str, where: str) -> tuple[Remark, ...]:
    said: list[Remark] = []
    if abs(surprise) > SURPRISE:
        way = "longer" if surprise > 0.0 else "shorter"
        message = (
            f"the measured {WORDS[what]} is {way} than expected ({abs(surprise):.1f} standard deviations). Check the settings of the print."
        )
        said.append(Remark("evidence-surprise", "caution", message, "contact law", where))
    if narrowing > 0.9:
        message = f"this {WORDS[what]} hardly narrows what was known: at these settings other things set it."
        said.append(Remark("footprint-tells-little", "note", message, "contact law", where))
    return tuple(said)
