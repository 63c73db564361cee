"""Measured and drawn surfaces as files: X3P, SDF, text, 16-bit pictures of heights."""
