"""Spacings that stand out: found where they are, not found where none is."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.pitches import pitches
from evenlay.physics.surface_numbers.spectrum import Spectrum, height_spectrum

X = np.arange(8000) * 1e-5


def noise(seed, rows=1):
    return np.random.default_rng(seed).normal(size=(rows, X.size))


def test_a_line_is_found_at_its_pitch_with_its_amplitude_and_a_band_that_holds_it():
    held = found = 0
    amplitudes = []
    for seed in range(120):
        pitch = 1.9e-3 * (1 + 0.2 * (seed / 120))
        lines = pitches(height_spectrum(noise(seed) + 0.2 * np.sin(2 * np.pi * X / pitch + seed), spacing=1e-5))
        if lines:
            found += 1
            held += lines[0].low <= pitch <= lines[0].high
            amplitudes.append(lines[0].amplitude)
    assert found >= 115
    assert 0.85 <= held / found <= 1.0
    assert np.mean(amplitudes) == pytest.approx(0.2, rel=0.05)


@pytest.mark.parametrize("rows", [1, 10])
def test_noise_shows_no_line_more_often_than_said(rows):
    false = sum(bool(pitches(height_spectrum(noise(seed, rows), spacing=1e-5), false_alarm=0.05)) for seed in range(200))
    # 5 % of 200 are 10, and three standard deviations of that 9
    assert false <= 19


def test_averaging_rows_shows_what_one_row_hides():
    line = 0.07 * np.sin(2 * np.pi * X / 2.1e-3)
    one, many = (height_spectrum(noise(3, rows) + line, spacing=1e-5) for rows in (1, 40))
    assert pitches(one) == ()
    (found,) = pitches(many)
    assert found.pitch == pytest.approx(2.1e-3, rel=0.01)
    persistent = height_spectrum(np.mean(noise(3, 40) + line, axis=0), spacing=1e-5)
    assert pitches(persistent)[0].ratio > 5 * found.ratio


def test_harmonics_are_told_as_multiples_of_the_longest_pitch():
    saw = sum(np.sin(2 * np.pi * n * X / 5e-3 + n) / n for n in (1, 2, 3, 4))
    found = pitches(height_spectrum(0.05 * noise(4) + saw, spacing=1e-5))
    assert [each.multiple for each in found] == [1, 2, 3, 4]
    for each in found:
        assert each.base == pytest.approx(5e-3, rel=0.01)
        assert each.amplitude == pytest.approx(1 / each.multiple, rel=0.03)


def test_two_lines_that_are_no_multiples_stand_each_for_themselves():
    z = 0.05 * noise(5) + np.sin(2 * np.pi * X / 5e-3) + 0.5 * np.sin(2 * np.pi * X / 3.3e-3)
    found = pitches(height_spectrum(z, spacing=1e-5))
    assert [(each.multiple, round(each.pitch * 1e3, 1)) for each in found] == [(1, 5.0), (1, 3.3)]


def test_only_the_pitches_asked_for_are_looked_for():
    z = 0.05 * noise(6) + np.sin(2 * np.pi * X / 5e-3) + np.sin(2 * np.pi * X / 0.5e-3)
    spectrum = height_spectrum(z, spacing=1e-5)
    assert {round(each.pitch * 1e3, 1) for each in pitches(spectrum)} == {0.5, 5.0}
    assert {round(each.pitch * 1e3, 1) for each in pitches(spectrum, longest=2e-3)} == {0.5}
    assert {round(each.pitch * 1e3, 1) for each in pitches(spectrum, shortest=0.9e-3)} == {5.0}


def test_a_trace_that_is_too_short_names_nothing():
    z = np.sin(2 * np.pi * X[:500] / 1e-3)
    assert pitches(height_spectrum(z, spacing=1e-5)) == ()


def test_a_spectrum_of_nothing_names_nothing():
    assert pitches(height_spectrum(np.zeros(8000), spacing=1e-5)) == ()
    hollow = Spectrum(np.arange(1.0, 401.0) * 10, np.zeros(400), 0.1, 1e-4, 1)
    assert pitches(hollow) == ()


def test_what_is_no_probability_and_no_length_is_refused():
    spectrum = height_spectrum(noise(7), spacing=1e-5)
    for wrong in (0.0, 0.5, np.nan):
        with pytest.raises(ValueError, match=r"must lie between 0 and 0\.5"):
            pitches(spectrum, false_alarm=wrong)
    with pytest.raises(ValueError, match="shortest must be positive"):
        pitches(spectrum, shortest=0.0)
    with pytest.raises(ValueError, match="longest must be positive"):
        pitches(spectrum, longest=np.nan)
