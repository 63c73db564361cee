"""
Make the three invented traces of the counter lid: ``python examples/invented_traces.py``.

Nobody measured them: they are random grooves with what a set-up like the example's could print, so that ``evenlay surface`` has
something to read that shows every part of its answer. The same script gives the same bytes.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).resolve().parent.parent / "src" / "evenlay" / "data" / "examples" / "counter-lid"


def grooves(points: int, *, spacing: float, width: float, height: float, seed: int) -> NDArray[np.float64]:
    """Random heights [m] smoothed over a groove's width [m], with this rms [m]."""
    bell = np.hanning(max(round(2.0 * width / spacing), 3))
    drawn = np.convolve(np.random.default_rng(seed).normal(size=points + bell.size - 1), bell, "valid")
    return height * drawn / np.std(drawn)


def write(name: str, heights: NDArray[np.float64], *, spacing: str, along: str, source: str) -> None:
    """Heights as whole nanometres under the remarks that the reader asks for."""
    lines = [f"# spacing x = {spacing}", f"# grain along = {along}", f"# source = {source}", "height [nm]"]
    lines += [str(round(height * 1e9)) for height in heights]
    (FOLDER / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Write the three."""
    across = grooves(2601, spacing=8e-6, width=40e-6, height=0.4e-6, seed=4)
    write("trace-across.csv", across, spacing="8 µm", along="y", source="invented: random grooves, across the grain")
    waves = np.fft.rfft(across)
    pitch = 1.0 / np.maximum(np.fft.rfftfreq(across.size, 8e-6), 1e-9)
    left = np.interp(np.log(pitch), np.log([40e-6, 200e-6, 1e-3, 5e-3]), [0.45, 0.6, 0.85, 1.0])
    after = np.fft.irfft(waves * left, across.size) + grooves(2601, spacing=8e-6, width=30e-6, height=0.02e-6, seed=5)
    write("trace-after-nonwoven.csv", after, spacing="8 µm", along="y", source="invented: the same grooves, their fine waves shrunk")
    place = np.arange(2501) * 20e-6
    along = grooves(2501, spacing=20e-6, width=150e-6, height=0.06e-6, seed=6) + 0.09e-6 * np.sin(2.0 * np.pi * place / 3.14e-3)
    write("trace-along.csv", along, spacing="20 µm", along="x", source="invented: along the grain, with a wave of 3.14 mm")


if __name__ == "__main__":
    main()
