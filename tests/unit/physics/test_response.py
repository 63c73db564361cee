"""The patch's response to a swing of pressure, against a plain integral; limits."""

import numpy as np
import pytest
from scipy.integrate import quad

from evenlay.physics.response import patch_response, pulse_harmonic


def integrated(c, pitch, removal, memory):
    """Second way: the normalised Fourier integral of what each place of the patch still weighs."""
    x0 = c * memory / removal
    norm = quad(lambda x: np.exp(-x / x0), 0, c, limit=400)[0]
    real = quad(lambda x: np.exp(-x / x0) * np.cos(2 * np.pi * x / pitch), 0, c, limit=400)[0]
    imag = quad(lambda x: np.exp(-x / x0) * np.sin(2 * np.pi * x / pitch), 0, c, limit=400)[0]
    return np.hypot(real, imag) / norm


@pytest.mark.parametrize("pitch", [0.0011, 0.004, 0.02, 0.3])
@pytest.mark.parametrize("removal", [1e-8, 4e-7, 5e-6])
def test_the_response_is_the_integral_over_the_patch(pitch, removal):
    found = patch_response(patch_length=0.021, pitch=pitch, removal=removal, memory_depth=3e-7)
    assert float(found) == pytest.approx(integrated(0.021, pitch, removal, 3e-7), rel=1e-6, abs=1e-9)


def test_relief_is_the_plain_average_over_the_patch():
    pitch = np.array([0.003, 0.01, 0.5])
    relief = patch_response(patch_length=0.02, pitch=pitch, removal=1e-6, memory_depth=np.inf)
    assert relief == pytest.approx(np.abs(np.sinc(0.02 / pitch)), abs=1e-12)


def test_a_short_memory_keeps_short_spacings_and_a_long_wave_always_stays():
    short = patch_response(patch_length=0.02, pitch=0.004, removal=6e-6, memory_depth=3e-7)
    plain = patch_response(patch_length=0.02, pitch=0.004, removal=6e-6, memory_depth=np.inf)
    assert float(short) > 0.5 > float(plain)
    assert float(patch_response(patch_length=0.02, pitch=1e3, removal=6e-6, memory_depth=3e-7)) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("bad", [{"pitch": 0.0}, {"removal": float("nan")}, {"memory_depth": -1.0}, {"patch_length": 0.0}])
def test_inputs_that_are_not_positive_are_refused(bad):
    good = {"patch_length": 0.02, "pitch": 0.01, "removal": 1e-6, "memory_depth": 1e-6}
    with pytest.raises(ValueError, match="positive"):
        patch_response(**(good | bad))


@pytest.mark.parametrize("harmonic", [1, 2, 5])
def test_pulse_harmonics_are_the_fourier_series_of_a_rectangle(harmonic):
    duty, n = 0.13, 200_000
    t = (np.arange(n) + 0.5) / n
    pulse = t < duty
    plain = 2.0 * np.abs(np.mean(pulse * np.exp(-2j * np.pi * harmonic * t)))
    assert float(pulse_harmonic(harmonic=harmonic, duty=duty)) == pytest.approx(plain, rel=1e-4)


def test_a_duty_above_one_is_refused():
    with pytest.raises(ValueError, match="duty"):
        pulse_harmonic(harmonic=1, duty=1.2)
