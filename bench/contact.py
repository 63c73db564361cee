"""Contact: solves per second, reference and fast, the error between them, and against a general-purpose contact library."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from time import perf_counter

import numpy as np

from evenlay.physics.contact.bedding import bonded_cover, strip_contact, strip_peak_pressure
from evenlay.physics.contact.elastic import point_contact
from evenlay.physics.contact.kinds import Wheel
from evenlay.physics.contact.layer import layer_contact
from evenlay.physics.contact.wheels import pass_contact

Row = tuple[str, float, str]


def seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of a few runs."""
    best = np.inf
    for _ in range(repeats):
        start = perf_counter()
        work()
        best = min(best, perf_counter() - start)
    return best


def layers() -> list[Row]:
    """Reference against fast law over a/b of about 0.05 to 8."""
    rng = np.random.default_rng(7)
    depth = np.exp(rng.uniform(np.log(0.006), np.log(30.0), 40))
    poisson = 0.5 - 0.5 * (0.632 * rng.uniform(0.0, 1.0, 40)) ** 2
    start = perf_counter()
    exact = [layer_contact(flattening=d, radius=1.0, modulus=1.0, poisson=n, thickness=1.0) for d, n in zip(depth, poisson, strict=True)]
    slow = (perf_counter() - start) / depth.size
    cover = bonded_cover(modulus=np.ones(40), poisson=poisson, thickness=np.ones(40))
    found = strip_contact(cover, flattening=depth, radius=1.0)
    peak = strip_peak_pressure(cover, flattening=depth, radius=1.0)
    many = bonded_cover(modulus=np.ones(20000), poisson=np.resize(poisson, 20000), thickness=np.ones(20000))
    deep = np.resize(depth, 20000)
    fast = seconds(lambda: strip_contact(many, flattening=deep, radius=1.0)) / 20000

    def worst(values: np.ndarray, name: str) -> float:
        return 100.0 * float(np.max(np.abs(values / np.array([getattr(one, name) for one in exact]) - 1.0)))

    return [
        ("contact, bonded layer, reference", 1.0 / slow, "solves/s"),
        ("contact, bonded layer, fast law", 1.0 / fast, "solves/s"),
        ("contact, fast over reference", slow / fast, "times"),
        ("contact, fast against reference, worst load", worst(found.load_per_width, "load_per_width"), "%"),
        ("contact, fast against reference, worst half-width", worst(found.half_width, "half_width"), "%"),
        ("contact, fast against reference, worst peak", worst(peak, "peak_pressure"), "%"),
    ]


def passes() -> list[Row]:
    """Whole passes over 521 draws: profile, patch, stiffness."""
    rng = np.random.default_rng(11)

    def spread(value: float, factor: float = 1.5) -> np.ndarray:
        return value * factor ** rng.uniform(-1.0, 1.0, 521)

    shape = {"diameter": 0.15, "width": 0.05, "edge_ramp": spread(0.005)}
    drum = Wheel(kind="pneumatic", inflation=spread(30e3), casing_stiffness=spread(20e6), **shape)
    rubber = Wheel(kind="solid", modulus=spread(1.7e6), poisson=0.49, cover_thickness=spread(0.015, 1.1), **shape)
    force = spread(40.0, 1.2)
    found = []
    for name, wheel in (("pneumatic", drum), ("solid", rubber)):
        for place, across in (("flat", 0.0), ("crowned", 1.0)):
            took = seconds(lambda wheel=wheel, across=across: pass_contact(wheel, force=force, speed=18.0, curvature_across=across), 12)
            found.append((f"contact of a pass, {name}, {place}, 521 draws", 1e3 * took, "ms"))
    return found


def library() -> list[Row]:
    """A sphere on a half-space, the case that a general-purpose contact library solves too."""
    try:
        from ContactMechanics import FreeFFTElasticHalfSpace
        from ContactMechanics.ReferenceSolutions import Hertz
        from ContactMechanics.Systems import NonSmoothContactSystem
        from SurfaceTopography import make_sphere
    except ImportError:
        return [("contact library", float("nan"), "not installed")]
    force, radius, modulus = 40.0, 0.1, 2e6
    half, peak = Hertz.radius_and_pressure(force, radius, modulus)
    ours = point_contact(force=force, effective_radius=radius, contact_modulus=modulus)
    rows = [
        ("contact, point: half-width over library's Hertz", float(ours.half_length) / float(half), "times"),
        ("contact, point: peak over library's Hertz", float(ours.peak_pressure) / float(peak), "times"),
    ]
    points, size = (128, 128), (4.0 * float(half), 4.0 * float(half))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        system = NonSmoothContactSystem(
            substrate=FreeFFTElasticHalfSpace(points, modulus, size), surface=make_sphere(radius, points, size, standoff=float("inf"))
        )
        start = perf_counter()
        system.minimize_proxy(offset=float(ours.approach), pentol=1e-6 * float(ours.approach))
        took = perf_counter() - start
        carried = float(-system.substrate.force.sum())
    rows.append(("contact, point: force of library's solver over ours", abs(carried) / force, "times"))
    rows.append(("contact, point: library's solver", 1.0 / took, "solves/s"))
    closed = seconds(lambda: point_contact(force=np.full(1000, force), effective_radius=radius, contact_modulus=modulus)) / 1000
    rows.append(("contact, point: ours in closed form", 1.0 / closed, "solves/s"))
    return rows


def rows() -> list[Row]:
    """Every line of this bench: what, value, unit."""
    return layers() + passes() + library()


if __name__ == "__main__":
    for name, value, unit in rows():
        print(f"{name:55s} {value:14.6g} {unit}")
