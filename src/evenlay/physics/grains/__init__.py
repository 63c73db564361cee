"""The finish grain by grain: a belt of grains, passes, and the height map that they leave."""

from evenlay.physics.grains.belt import Belt, GrainPopulation, coat_variation, grow_belt
from evenlay.physics.grains.calibration import GrainCalibration, calibrated_grains, graded_population
from evenlay.physics.grains.passes import GrainPass, Pressing, Strip, Track, dither, even_pressing, pressing, row_spacing, sample_spacing
from evenlay.physics.grains.surface import CutSurface, PassTally, cut_surface, fits_strip

__all__ = [
    "Belt",
    "CutSurface",
    "GrainCalibration",
    "GrainPass",
    "GrainPopulation",
    "PassTally",
    "Pressing",
    "Strip",
    "Track",
    "calibrated_grains",
    "coat_variation",
    "cut_surface",
    "dither",
    "even_pressing",
    "fits_strip",
    "graded_population",
    "grow_belt",
    "pressing",
    "row_spacing",
    "sample_spacing",
]
