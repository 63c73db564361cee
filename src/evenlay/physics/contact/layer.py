"""Reference solver: a rigid cylinder pressed into a bonded elastic layer, plane strain (slow and exact; the fast law is fitted to it)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


FAR: Final = 40.0
"""Distance at which a strip of pressure is no longer felt, in layer thicknesses. [-]"""


THINNEST: Final = 16.0
"""Longest half-width that the solver takes, in layer thicknesses. [-]"""


@dataclass(frozen=True)
class LayerContact:
    """
    Contact of a cylinder with a bonded layer.

    Attributes
    ----------
    half_width : float
        :math:`a`, half the patch length. [m]
    peak_pressure : float
        :math:`p_0`, in the middle of the patch. [Pa]
    load_per_width : float
        :math:`q = \\int p\\,dx`. [N/m]
    flattening : float
        :math:`\\delta`, approach of the cylinder from first touch. [m]
    """

    half_width: float
    peak_pressure: float
    load_per_width: float
    flattening: float


def layer_compliance(wavenumber: Array, *, poisson: float) -> Array:
    r"""
    Surface compliance of a bonded layer of unit thickness and unit modulus for one Fourier component of pressure.

    Parameters
    ----------
    wavenumber : ndarray
        :math:`z = k b`, ``>= 0``. [-]
    poisson : float
        :math:`\nu`, ``0..0.5``. [-]

    Returns
    -------
    ndarray
        :math:`u E / (p b)`, the settlement for unit pressure. [-]

    Notes
    -----
    :math:`\frac{2(1-\nu^2)}{z}\,\frac{(3-4\nu)\sinh 2z - 2z}{(3-4\nu)\cosh 2z + 2z^2 + 5 - 12\nu + 8\nu^2}`. Limits (tests): thickness
    over one-dimensional modulus for :math:`z \to 0` (:math:`z^2` when incompressible) and the half-plane for :math:`z \to \infty`.

    References
    ----------
    johnson-1985, ch. 5; bonded-layer-compliance.
    """
    z = np.maximum(np.asarray(wavenumber, dtype=np.float64), 1e-3)
    stiff = 3.0 - 4.0 * poisson
    grow = np.exp(-2.0 * z)  # everything divided by cosh-like exp(2 z), so that nothing overflows
    sinh, cosh = 0.5 * (1.0 - grow * grow), 0.5 * (1.0 + grow * grow)
    above = stiff * sinh - 2.0 * z * grow
    below = stiff * cosh + (2.0 * z * z + 5.0 - 12.0 * poisson + 8.0 * poisson**2) * grow
    exact: Array = 2.0 * (1.0 - poisson**2) / z * above / below
    return exact


@lru_cache(maxsize=1)
def _quadrature() -> tuple[Array, Array]:
    node, weight = np.polynomial.legendre.leggauss(560)
    return np.asarray(node, dtype=np.float64), np.asarray(weight, dtype=np.float64)


def layer_kernel(distance: Array, cell: float, *, poisson: float) -> Array:
    r"""
    Settlement at a distance from a strip of unit pressure, bonded layer of unit thickness and modulus.

    Parameters
    ----------
    distance : ndarray
        From the middle of the strip, ``>= 0``. [layer thicknesses]
    cell : float
        Width of the strip. [layer thicknesses]
    poisson : float
        :math:`\nu`, ``0..0.5``. [-]

    Returns
    -------
    ndarray
        Settlement :math:`u E/(p b)`. [-]

    Notes
    -----
    The part :math:`2(1-\nu^2)\tanh(z)/z`, which holds the logarithm under the strip, has the transform :math:`\frac{1}{\pi}\ln\coth(\pi
    x/4)` and is integrated over the strip in closed form near it; what is left of the compliance dies out before :math:`z = 24` and is
    summed by Gauss-Legendre quadrature.

    References
    ----------
    bonded-layer-compliance (derived).
    """
    front = 2.0 * (1.0 - poisson**2)
    half = 0.5 * cell
    low, high = distance - half, distance + half
    with np.errstate(divide="ignore", invalid="ignore"):
        log_mean = -(high * np.log(high) - low * np.log(np.abs(low)) - cell) / cell
        argument = 0.25 * np.pi * distance
        smooth = np.where(distance > 0.0, np.log(distance) - np.log(np.tanh(argument)), -np.log(0.25 * np.pi))
    logarithm = (log_mean + smooth) / np.pi
    node, weight = _quadrature()
    z: Array = 12.0 * (node + 1.0)
    rest = layer_compliance(z, poisson=poisson) - front * np.tanh(z) / z
    share = rest * 12.0 * weight * np.sinc(z * half / np.pi) * cell / np.pi
    remainder = np.array([float(np.sum(share * np.cos(z * x))) if x < FAR else 0.0 for x in distance])
    kernel: Array = front * logarithm * cell + remainder
    return kernel


def _solve(target: float, *, poisson: float, points: int) -> tuple[Array, Array, float]:
    """Pressure over E b / R on a window, for flattening ``target`` = d R / b^2: conjugate gradients on the touching cells (by FFT)."""
    reach = 1.02 * np.sqrt(target / 0.155)  # a never exceeds this: d R / a^2 >= 1/6 whatever the layer
    cell = 2.0 * reach / points
    x = (np.arange(points) + 0.5) * cell - reach
    kernel = layer_kernel(np.arange(points) * cell, cell, poisson=poisson)
    spectrum = np.fft.rfft(np.concatenate([kernel, [0.0], kernel[:0:-1]]))

    def settle(pressure: Array) -> Array:
        return np.fft.irfft(spectrum * np.fft.rfft(pressure, 2 * points), 2 * points)[:points]

    gap_free = target - 0.5 * x * x
    pressure = np.where(gap_free > 0.0, gap_free, 0.0)
    touching = pressure > 0.0
    step: Array = np.zeros(points)
    last, restart = 1.0, True
    for _ in range(2000):
        residual = np.where(touching, settle(pressure) - gap_free, 0.0)
        size = float(np.sum(residual * residual))
        step = residual + (0.0 if restart else size / last) * step
        step = np.where(touching, step, 0.0)
        last = size
        answer = settle(step)
        slope = float(np.sum(step * answer))
        length = float(np.sum(residual * step)) / slope
        before = pressure
        pressure = np.maximum(pressure - length * step, 0.0)
        full = settle(pressure) - gap_free
        joining = (pressure <= 0.0) & (full < 0.0)
        restart = bool(np.any(joining)) or bool(np.any(touching & (pressure <= 0.0)))
        pressure = np.where(joining, pressure - length * full, pressure)
        touching = pressure > 0.0
        if float(np.max(np.abs(pressure - before))) < 1e-8 * float(np.max(pressure)):
            return x, pressure, cell
    raise ArithmeticError("the search for the contact pressure did not close")


def _edge(x: Array, pressure: Array) -> float:
    """Half-width between grid points: near its edge the squared pressure falls on a straight line."""
    inside = np.flatnonzero(pressure > 0.0)[-6:-1]
    square = pressure[inside] ** 2
    middle, mean = float(np.mean(x[inside])), float(np.mean(square))
    fall = float(np.sum((x[inside] - middle) * (square - mean)) / np.sum((x[inside] - middle) ** 2))
    return middle - mean / fall


def layer_contact(
    *, flattening: float, radius: float, modulus: float, poisson: float, thickness: float, points: int = 1024
) -> LayerContact:
    r"""
    Contact of a rigid cylinder with an elastic layer bonded to a rigid hub, frictionless, plane strain.

    Parameters
    ----------
    flattening : float
        :math:`\delta`, ``>= 0``, at most 200 :math:`b^2/R`. [m]
    radius : float
        :math:`R` of the cylinder (effective radius: wheel and part). ``> 0``. [m]
    modulus, poisson, thickness : float
        :math:`E` [Pa], :math:`\nu` (``0..0.5``) and :math:`b` [m] of the layer. ``> 0``.
    points : int
        Cells across the window, ``>= 256``. [-]

    Returns
    -------
    LayerContact
        All zero at zero flattening.

    Raises
    ------
    ValueError
        If an argument is outside its range, NaN or infinite.
    ArithmeticError
        If the search does not close.

    Notes
    -----
    Exact spectral compliance; unknown pressure in equal cells, active set inside a conjugate-gradient search, products by FFT. With 1024
    cells the results lie within 0.2 % of a Chebyshev series (unit tests).

    References
    ----------
    polonsky-keer-1999 (active set and conjugate gradients); johnson-1985, ch. 5; bonded-layer-compliance.
    """
    sizes = (radius, modulus, thickness)
    if not (0.0 <= flattening < inf and all(0.0 < size < inf for size in sizes) and 0.0 <= poisson <= 0.5 and points >= 256):
        raise ValueError(
            f"layer_contact needs flattening >= 0, sizes > 0 and Poisson's ratio in 0..0.5; got {flattening}, {sizes}, {poisson}"
        )
    if flattening * radius > 200.0 * thickness**2:
        raise ValueError("the layer is too thin for this flattening: the solver takes d R / b^2 up to 200")
    if flattening == 0.0:
        return LayerContact(0.0, 0.0, 0.0, 0.0)
    x, pressure, cell = _solve(flattening * radius / thickness**2, poisson=poisson, points=points)
    middle = points // 2
    scale = modulus * thickness / radius
    return LayerContact(
        half_width=thickness * _edge(x, pressure),
        peak_pressure=scale * float(np.mean(pressure[middle - 1 : middle + 1])),
        load_per_width=scale * thickness * cell * float(np.sum(pressure)),
        flattening=flattening,
    )


def layer_contact_at(
    *, half_width: float, radius: float, modulus: float, poisson: float, thickness: float, points: int = 1024
) -> LayerContact:
    """
    As `layer_contact`, for a wanted half-width.

    Parameters
    ----------
    half_width : float
        Wanted :math:`a`, ``> 0`` and at most 16 :math:`b`. [m]
    radius, modulus, poisson, thickness, points
        As in `layer_contact`.

    Returns
    -------
    LayerContact
        Its half-width meets the wanted one to 1e-6 of itself.

    Raises
    ------
    ValueError
        As `layer_contact`, or if the half-width is out of range.
    ArithmeticError
        If the search does not close.

    References
    ----------
    bonded-layer-compliance.
    """
    if not 0.0 < half_width <= THINNEST * thickness:
        raise ValueError(f"half_width must be > 0 and at most {THINNEST:g} layer thicknesses, not {half_width}")

    def contact(flattening: float) -> LayerContact:
        return layer_contact(flattening=flattening, radius=radius, modulus=modulus, poisson=poisson, thickness=thickness, points=points)

    found = contact(0.45 * half_width**2 / radius)
    power = 0.5
    for _ in range(40):
        ratio = half_width / found.half_width
        if abs(ratio - 1.0) < 1e-6:
            return found
        following = contact(found.flattening * ratio ** (1.0 / power))
        change = np.log(following.flattening / found.flattening)
        power = float(np.clip(np.log(following.half_width / found.half_width) / change, 0.3, 0.9))
        found = following
    raise ArithmeticError("the search for the half-width did not close")
