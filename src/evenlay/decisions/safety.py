"""Stops, withheld hand-outs and cautions. Not a risk assessment: local rules and licensed practice come first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from evenlay.quantities.remarks import LEVELS, Remark

DEFER: Final = "Not a risk assessment: local codes, the maker's plate and licensed practice decide."
"""Shown under every set of cautions."""

NEVER_WITH_ALUMINIUM: Final = frozenset({"iron and steel only", "mixed"})
"""Collectors that take iron: aluminium dust must not meet it."""


ALUMINIUM_ONLY: Final = "aluminium only"
"""A collector that other metals must not use: it is taken to hold aluminium dust already."""


WITHOUT_PLATE: Final = frozenset({"slack", "platen"})
"""Kinds that press with no wheel of their own: only the belt's own marking bounds their speed."""


@dataclass(frozen=True)
class SafetyFacts:
    """
    What the safety rules read. NaN means nobody has entered it.

    Parameters
    ----------
    wheel_kind : str
    rim_speed : float
        Belt and rim speed that is set. [m/s]
    plate_speed, belt_rated_speed : float
        Highest speed on the wheel's plate, and on the belt. [m/s]
    sleeve_minimum : float
        Lowest speed at which an expander is taken to hold its belt without a slip test. [m/s]
    sleeve_formula : float
        Lowest speed from the plate or the grip formula alone: below it the belt is known to slip. [m/s]
    slip_test : float
        Lowest speed at which the sleeve was seen to hold in a slip test. [m/s]
    aluminium : bool
        Whether the part is aluminium.
    other_metals : tuple of str
        Metals that share the dust collector, as declared.
    collector : str
        As declared.
    wet : bool
        Wet collector or wet process.
    face_temperature : float
        Highest face temperature expected. [degC]
    """

    wheel_kind: str
    rim_speed: float
    plate_speed: float
    belt_rated_speed: float
    sleeve_minimum: float
    sleeve_formula: float
    slip_test: float
    aluminium: bool
    other_metals: tuple[str, ...]
    collector: str
    wet: bool
    face_temperature: float


def safety_remarks(facts: SafetyFacts) -> tuple[Remark, ...]:
    """
    Every safety remark that the facts call for.

    Parameters
    ----------
    facts : SafetyFacts

    Returns
    -------
    tuple of Remark
        Stops first, then what is withheld, then cautions (always some: wheels and belts can hurt whatever the plan).
    """
    found = (*_speed_remarks(facts), *_sleeve_remarks(facts), *_dust_remarks(facts), *_cautions(facts))
    return tuple(sorted(found, key=lambda remark: -LEVELS.index(remark.level)))


def _speed_remarks(facts: SafetyFacts) -> tuple[Remark, ...]:
    found: list[Remark] = []
    for what, limit, key in (
        ("wheel's plate", facts.plate_speed, "wheel.plate_speed"),
        ("belt's marking", facts.belt_rated_speed, "belt.rated_speed"),
    ):
        if facts.rim_speed > limit:
            found.append(
                Remark(
                    "rim-speed-above-rating",
                    "stop",
                    f"The rim would run at {facts.rim_speed:.1f} m/s; the {what} allows {limit:.1f} m/s. "
                    "Lower the belt speed or fit a wheel and belt rated for it.",
                    "osha-1910-215; en-13743 marking: never above the rated speed",
                    key,
                )
            )
    if facts.wheel_kind in WITHOUT_PLATE and math.isnan(facts.belt_rated_speed):
        found.append(
            Remark(
                "belt-rating-not-entered",
                "withheld",
                "A belt on this machine runs over pulleys that evenlay does not know, and nobody has entered the speed printed on it, so "
                f"{facts.rim_speed:.1f} m/s cannot be checked. Read it and enter rated_speed; until then nothing is handed out.",
                "en-13743 marking",
                "belt.rated_speed",
            )
        )
    if math.isnan(facts.plate_speed) and facts.wheel_kind not in WITHOUT_PLATE:
        found.append(
            Remark(
                "plate-rating-not-entered",
                "withheld",
                f"Nobody has entered the rating on the wheel's plate, so {facts.rim_speed:.1f} m/s cannot be checked. "
                "Read the plate and enter plate_speed or plate_rpm; until then nothing is handed out.",
                "osha-1910-215; en-13743 marking",
                "wheel.plate_speed",
            )
        )
    return tuple(found)


def _sleeve_remarks(facts: SafetyFacts) -> tuple[Remark, ...]:
    if facts.wheel_kind != "expander":
        return ()
    tested = not math.isnan(facts.slip_test)
    holds_from = facts.slip_test if tested else facts.sleeve_minimum
    if facts.rim_speed < holds_from:
        known = "the slip test found that it holds from" if tested else "without a slip test it is taken to hold only from"
        return (
            Remark(
                "sleeve-below-holding-speed",
                "stop" if tested or facts.rim_speed < facts.sleeve_formula else "withheld",
                f"At {facts.rim_speed:.1f} m/s the belt may slip on the expander or leave it: {known} {holds_from:.1f} m/s. "
                "Run faster, enter a slip test, or use a pneumatic or solid wheel, which has no such minimum.",
                "derived: grip of an expanding sleeve; common practice 8 to 12 m/s, no source",
                "settings.speed",
            ),
        )
    return ()


def _dust_remarks(facts: SafetyFacts) -> tuple[Remark, ...]:
    metals = {*facts.other_metals, "aluminium"} if facts.aluminium else set(facts.other_metals)
    if facts.collector == ALUMINIUM_ONLY and not facts.aluminium:
        metals.add("aluminium")
    if "aluminium" not in metals:
        return ()
    iron = len(metals) > 1 or not facts.aluminium or facts.collector in NEVER_WITH_ALUMINIUM
    if iron:
        return (
            Remark(
                "aluminium-with-iron-dust",
                "stop",
                "Aluminium and iron or steel dust would meet in one collector: they can react violently, and sparks from steel "
                "light aluminium dust. Give aluminium its own collector and its own belts and wheels.",
                "nfpa-484 (now in nfpa-660): dedicated collector for aluminium",
                "dust.collector",
            ),
        )
    if facts.collector == "not declared":
        return (
            Remark(
                "collector-not-declared",
                "withheld",
                "This is aluminium and nobody has said where its dust goes. Declare the collector ([dust] collector) and the metals "
                "that share it; until then nothing is handed out.",
                "nfpa-484 (now in nfpa-660): dedicated collector for aluminium",
                "dust.collector",
            ),
        )
    return ()


def _cautions(facts: SafetyFacts) -> tuple[Remark, ...]:
    found = [
        Remark(
            "belt-break-zone",
            "caution",
            "A belt that breaks is thrown in its running direction: keep people out of that line, guard the wheel, inspect belt and "
            "wheel before mounting, and let a new belt run without load first.",
            "osha-1910-215; wac-296-806-405",
        ),
        Remark(
            "robot-guarding",
            "caution",
            "A robot with a spinning abrasive is not made safe by limiting its force: fence or monitor the cell, reduce speed in teaching.",
            "iso-10218-1 and -2 (2025)",
        ),
        Remark(
            "dust-and-noise",
            "caution",
            "Extract at the wheel, wear ear, eye and breathing protection: dust of stainless carries chromium and nickel.",
            "osha-1910-1026; niosh guidance",
        ),
    ]
    if facts.aluminium:
        found.append(
            Remark(
                "aluminium-dust",
                "caution",
                "Aluminium dust can explode, and wet aluminium sludge gives off hydrogen: bonded metal ducts, no build-up, no vacuum "
                "cleaner that is not made for it" + (", and vent the wet collector when idle." if facts.wet else "."),
                "nfpa-484 (now in nfpa-660)",
            )
        )
    if facts.face_temperature > HOT_TO_TOUCH:
        found.append(
            Remark(
                "hot-part",
                "caution",
                f"The face may reach {facts.face_temperature:.0f} °C: let it cool or wear gloves before handling.",
                "iso-13732-1: metal above about 51 °C burns skin on long contact (from memory)",
            )
        )
    return tuple(found)


HOT_TO_TOUCH: Final = 51.0
"""Burn threshold for long contact with bare metal (ISO 13732-1, from memory). [degC]"""
