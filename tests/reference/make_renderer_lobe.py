"""
Writes renderer_lobe.toml: the reflectance of a rough conductor of a general renderer, for slopes and lights of a brushed face.

Run by hand where the renderer is installed (its wheel is 60 MB, so the tests read the table instead):

    python tests/reference/make_renderer_lobe.py
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from pathlib import Path

EYE = 10.0
"""Eye from the normal, across the grain. [degrees]"""
SLOPES = ((0.06, 0.09), (0.06, 0.099), (0.06, 0.13), (0.03, 0.05))
"""Slope rms along and across. [-]"""
TILTS = ((0.0, 0.0), (5.0, 0.0), (-5.0, 0.0), (9.0, 0.0), (12.6, 0.0), (16.0, 0.0), (0.0, 4.0), (9.0, 4.0))
"""Half vector from the normal, across and along. [degrees]"""
LEANS = (0.0, 0.02, -0.02)
"""Tangent of the angle by which the face's own normal leans across, towards positive tilts. [-]"""


def slanted(across: float, along: float) -> tuple[float, float, float]:
    """Unit vector whose slopes are the tangents of two angles [degrees]: x along, y across."""
    x, y = (sin(radians(angle)) / cos(radians(angle)) for angle in (along, across))
    size = sqrt(1.0 + x * x + y * y)
    return x / size, y / size, 1.0 / size


def main() -> None:
    """Evaluate and write."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    eye = slanted(EYE, 0.0)
    lines = [
        "# Reflectance times cosine of a rough conductor, Beckmann distribution of slopes, no Fresnel loss.",
        "# Written by make_renderer_lobe.py.",
        f'generator = "mitsuba {mi.__version__}, variant scalar_rgb, bsdf roughconductor, distribution beckmann, material none"',
        'settings = "alpha_u, alpha_v = sqrt(2) x slope rms along, across; the lamp mirrors the eye in the half vector"',
        f"eye_across_degrees = {EYE}",
        "",
    ]
    for along, across in SLOPES:
        lobe = {"type": "roughconductor", "distribution": "beckmann", "material": "none"}
        bsdf = mi.load_dict({**lobe, "alpha_u": sqrt(2.0) * along, "alpha_v": sqrt(2.0) * across})
        for tilt_across, tilt_along in TILTS:
            for lean in LEANS:
                half = slanted(tilt_across, tilt_along)
                facing = sum(a * b for a, b in zip(eye, half, strict=True))
                lamp = tuple(2.0 * facing * a - b for a, b in zip(half, eye, strict=True))
                size = sqrt(1.0 + lean**2)
                normal = mi.Vector3f(0.0, lean / size, 1.0 / size)
                frame = mi.Frame3f(mi.Vector3f(1.0, 0.0, 0.0), mi.Vector3f(0.0, 1.0 / size, -lean / size), normal)
                where = mi.SurfaceInteraction3f()
                where.sh_frame = frame
                where.wi = frame.to_local(mi.Vector3f(*eye))
                out = frame.to_local(mi.Vector3f(*lamp))
                value = bsdf.eval(mi.BSDFContext(), where, out)[0]
                lines += [
                    "[[row]]",
                    f"slope_along = {along}",
                    f"slope_across = {across}",
                    f"tilt_across_degrees = {tilt_across}",
                    f"tilt_along_degrees = {tilt_along}",
                    f"lean = {lean}",
                    f"value = {value:.6g}",
                    "",
                ]
    (Path(__file__).parent / "renderer_lobe.toml").write_text("\n".join(lines), encoding="utf-8")


if __name__ == "__main__":
    main()
