"""Re-derives the table of the fast bedding law from the reference solver and prints it (about 20 seconds)."""

from __future__ import annotations

import numpy as np

from evenlay.physics.contact.layer import layer_contact

LOW, HIGH = 0.0035, 35.0  # range of d R / b^2
STEPS, SOFT = 13, 9  # Chebyshev degrees in ln(d R / b^2) and in sqrt(1 - 2 nu)
TOP = np.sqrt(1.0 - 2.0 * 0.30)


def samples() -> tuple[np.ndarray, ...]:
    node = np.cos(np.pi * (np.arange(STEPS + 1) + 0.5) / (STEPS + 1))
    other = np.cos(np.pi * (np.arange(SOFT + 1) + 0.5) / (SOFT + 1))
    load, width, peak = (np.zeros((STEPS + 1, SOFT + 1)) for _ in range(3))
    for i, s in enumerate(node):
        zeta = np.exp(0.5 * (np.log(LOW) + np.log(HIGH)) + 0.5 * s * np.log(HIGH / LOW))
        for j, t in enumerate(other):
            poisson = 0.5 * (1.0 - (0.5 * TOP * (t + 1.0)) ** 2)
            found = layer_contact(flattening=zeta, radius=1.0, modulus=1.0, poisson=poisson, thickness=1.0, points=2048)
            load[i, j] = np.log(found.load_per_width)
            width[i, j] = np.log(found.half_width)
            peak[i, j] = found.peak_pressure * found.half_width / found.load_per_width
    return node, other, load, width, peak


def series(values: np.ndarray, node: np.ndarray, other: np.ndarray) -> np.ndarray:
    first = np.polynomial.chebyshev.chebvander(node, STEPS)
    second = np.polynomial.chebyshev.chebvander(other, SOFT)
    return np.linalg.solve(first, np.linalg.solve(second, values.T).T)


def powers(table: np.ndarray) -> np.ndarray:
    """From Chebyshev polynomials to powers, in both variables: quicker to sum."""
    first, second = (np.zeros((count, count)) for count in table.shape)
    for basis in (first, second):
        for k in range(len(basis)):
            basis[k, : k + 1] = np.polynomial.chebyshev.cheb2poly(np.eye(len(basis))[k])[: k + 1]
    return np.einsum("ij,ik,kl->jl", first, table, second)


def main() -> None:
    node, other, *tables = samples()
    kept = {"LOAD": (13, 9), "WIDTH": (12, 9), "PEAK": (12, 8)}
    for (name, (rows, columns)), values in zip(kept.items(), tables, strict=True):
        print(f"{name} = (")
        for row in powers(series(values, node, other)[:rows, :columns]):
            print("    (" + ", ".join(f"{c:.9g}" for c in row) + "),")
        print(")")


if __name__ == "__main__":
    main()
