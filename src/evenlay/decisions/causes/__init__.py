"""Causes of lines: one module each. The register is what screens, reports, ``why`` and the tests loop over."""

from typing import Final

from evenlay.decisions.causes import belt_lines, chatter, device, feed_dip, joint, overlap, wheel
from evenlay.decisions.causes.cause import Cause, Direction, Link, Pitch, Strength, Unmeasured

REGISTER: Final[tuple[Cause, ...]] = (
    overlap.CAUSE,
    belt_lines.CAUSE,
    joint.CAUSE,
    wheel.CAUSE,
    chatter.CAUSE,
    feed_dip.CAUSE,
    device.CAUSE,
)
"""Every cause the program knows, in the order shown when nothing else orders them."""

__all__ = ["REGISTER", "Cause", "Direction", "Link", "Pitch", "Strength", "Unmeasured"]
