"""Numbers of a surface, drawn or measured."""

from evenlay.physics.surface_numbers.surface import Grain, Surface, trace

__all__ = ["Grain", "Surface", "trace"]
