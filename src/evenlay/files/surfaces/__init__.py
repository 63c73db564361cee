"""Measured and drawn surfaces as files: X3P, SDF, text, 16-bit pictures of heights."""

from evenlay.files.surfaces.opened import open_surface, write_surface

__all__ = ["open_surface", "write_surface"]
