"""Numbers of a surface, drawn or measured."""

from evenlay.physics.surface_numbers.numbers import SurfaceNumber, SurfaceNumbers
from evenlay.physics.surface_numbers.reading import rows_across, surface_numbers
from evenlay.physics.surface_numbers.settings import EDITIONS, Edition, Setting, setting, setting_for
from evenlay.physics.surface_numbers.surface import Grain, Surface, trace

__all__ = [
    "EDITIONS",
    "Edition",
    "Grain",
    "Setting",
    "Surface",
    "SurfaceNumber",
    "SurfaceNumbers",
    "rows_across",
    "setting",
    "setting_for",
    "surface_numbers",
    "trace",
]
