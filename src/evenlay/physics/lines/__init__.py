"""Lines that a belt prints along the grain: spectra, rounds as a filter, and how visible they are."""

from evenlay.physics.lines.belt import (
    CONTROL_FLOOR,
    CONTROL_FLOOR_FOLLOWED,
    FOUND,
    BeltLines,
    BeltMotion,
    GrainTrace,
    RoundSet,
    belt_line_visibility,
    line_frequencies,
)
from evenlay.physics.lines.rounds import (
    bessel_zero,
    dither_is_slow,
    dither_power,
    filtered_power,
    mixed_power,
    relief_amplitudes,
    round_weights,
    texture_amplitudes,
)
from evenlay.physics.lines.spectra import persistent_line_psd, repeat_length, row_line_psd, shared_arc, wander_coherence

__all__ = [
    "CONTROL_FLOOR",
    "CONTROL_FLOOR_FOLLOWED",
    "FOUND",
    "BeltLines",
    "BeltMotion",
    "GrainTrace",
    "RoundSet",
    "belt_line_visibility",
    "bessel_zero",
    "dither_is_slow",
    "dither_power",
    "filtered_power",
    "line_frequencies",
    "mixed_power",
    "persistent_line_psd",
    "relief_amplitudes",
    "repeat_length",
    "round_weights",
    "row_line_psd",
    "shared_arc",
    "texture_amplitudes",
    "wander_coherence",
]
