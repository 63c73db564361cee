"""Curves for the pictures: across the grain on one ruler, and along it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.answers.sections import whole_face_numbers
from evenlay.decisions.causes.overlap import face_luminance
from evenlay.decisions.evaluate import Evaluation
from evenlay.decisions.face import whole_face
from evenlay.job.answer_parts import MarkRecord, Number
from evenlay.job.plan_record import AlongRuler, Ruler

Array = NDArray[np.float64]

POINTS_ALONG: Final = 600
SHORTEST_ALONG: Final = 0.06
"""Least length of the ruler along the grain. [m]"""


def floats(values: Array, digits: int = 6) -> tuple[float, ...]:
    """Array as plain numbers with so many significant digits: files stay small and the same everywhere."""
    return tuple(float(f"{value:.{digits}g}") for value in values)


def across_ruler(evaluation: Evaluation) -> Ruler:
    """
    Passes, footprint, stock removed, last cut and light across the whole face.

    Parameters
    ----------
    evaluation : Evaluation

    Returns
    -------
    Ruler
        Belt edges of the central draw, its path errors included.
    """
    state = evaluation.state
    window = whole_face(state)
    removal, low, high = whole_face_numbers(window)
    one, other = face_luminance(state, window)
    light = one[0] if one[0].std() >= other[0].std() else other[0]
    profile = state.last.profile
    half = 0.5 * (float(profile.half_depth_width[0]) + float(profile.ramp[0]))
    return Ruler(
        position=floats(window.face.face),
        passes=tuple(
            (int(number), round(float(centre), 6), round(float(centre) - half, 6), round(float(centre) + half, 6))
            for centre, number in zip(window.passes.centres, window.passes.rounds, strict=True)
        ),
        removal=floats(removal),
        removal_low=floats(low),
        removal_high=floats(high),
        last_cut=tuple(int(number) for number in window.face.last_cut),
        luminance=floats(light),
        footprint_position=floats(profile.y + 0.5 * state.setup.face_across),
        footprint=floats(profile.shape[0] / profile.shape[0].max()),
    )


def along_ruler(evaluation: Evaluation, marks: tuple[MarkRecord, ...]) -> AlongRuler:
    """
    Light along the grain that each cause of known strength prints, first harmonic.

    Parameters
    ----------
    evaluation : Evaluation
    marks : tuple of MarkRecord

    Returns
    -------
    AlongRuler
    """
    drawn = [mark for mark in marks if mark.direction == "along" and isinstance(mark.strength, Number) and mark.pitches]
    longest = max([mark.pitches[0][1].value for mark in drawn], default=SHORTEST_ALONG)
    length = min(max(3.0 * longest, SHORTEST_ALONG), max(evaluation.state.setup.face_along, SHORTEST_ALONG))
    x = np.linspace(0.0, length, POINTS_ALONG)
    curves = []
    for mark in drawn:
        contrast = next(link.number.value for link in mark.chain if link.name.startswith("contrast"))
        label = f"{mark.label}, every {1e3 * mark.pitches[0][1].value:.1f} mm"
        curves.append((label, floats(contrast * np.cos(2.0 * np.pi * x / mark.pitches[0][1].value))))
    return AlongRuler(position=floats(x), curves=tuple(curves), patch_length=float(evaluation.state.last.patch_length[0]))
