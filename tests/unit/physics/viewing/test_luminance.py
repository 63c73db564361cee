from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing import contrast_gains, fresnel_reflectance, half_vector_tilt, luminance_contrast

LIGHT = {"facet_spread": [0.03], "floor": [0.05], "reference": [0.09]}


def gain_by_difference(tilt: float, *, roughness: float = 0.0, local: float = 0.0) -> float:
    """Second way: two facets of the face, one with the change and one without, by the exact luminance."""
    contrast = luminance_contrast(slope_rms=[[0.09, 0.09 * (1.0 + roughness)]], local_tilt=[[0.0, local]], lamp_tilt=[tilt], **LIGHT)
    return float((contrast[0, 1] - contrast[0, 0]) / (1.0 + contrast[0, 0]))


@pytest.mark.parametrize("tilt", [0.0, 0.05, 0.15, 0.25])
def test_gains_are_the_slopes_of_the_exact_luminance(tilt: float) -> None:
    gains = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05, tilt=tilt)
    assert float(gains.sigma) == pytest.approx(gain_by_difference(tilt, roughness=1e-5) / 1e-5, rel=1e-3, abs=1e-4)
    # tilt is small, so the tangent's own slope 1 + tan^2 stays below 7 %
    assert float(gains.theta) == pytest.approx(gain_by_difference(tilt, local=1e-6) / 1e-6, rel=0.08, abs=1e-4)


def test_the_roughness_gain_vanishes_where_the_tangent_equals_the_spread() -> None:
    null = np.arctan(np.hypot(0.09, 0.03))
    assert float(contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05, tilt=null).sigma) == pytest.approx(0.0, abs=1e-12)
    exact = gain_by_difference(float(null), roughness=0.1)
    assert abs(exact) > 1e-4, "real facets still show a change there"


def test_the_worst_tilt_beats_a_fine_search() -> None:
    found = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05)
    tilts = np.linspace(0.0, 0.4, 4001)
    searched = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05, tilt=tilts)
    assert float(np.abs(found.sigma)) == pytest.approx(float(np.max(np.abs(searched.sigma))), rel=1e-3)
    for_tilt = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05, roughness_change=0.0, tilt_change=1.0)
    assert float(for_tilt.theta) == pytest.approx(float(np.max(searched.theta)), rel=1e-3)
    assert float(for_tilt.tilt) < float(found.tilt)


def test_a_floor_that_is_added_keeps_the_gain_bounded_and_more_of_it_lowers_it() -> None:
    gains = [float(contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=floor).sigma) for floor in (0.02, 0.05, 0.10)]
    assert gains == sorted(gains, reverse=True)
    with pytest.raises(ValueError, match="floor"):
        contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.0)


def test_clipping_instead_of_adding_would_nearly_double_the_gain() -> None:
    reach = np.linspace(0.0, 3.6, 3601)
    lobe = np.exp(-0.5 * reach**2)
    clipped = np.max(np.where(lobe > 0.05, (reach**2 - 1.0) * 0.9, 0.0))
    added = float(contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05).sigma)
    assert 1.8 < clipped / added < 2.2


def test_gains_come_per_draw() -> None:
    gains = contrast_gains(slope_rms=np.asarray([0.07, 0.09, 0.12]), facet_spread=0.03, floor=np.asarray([0.05, 0.03, 0.05]))
    assert gains.sigma.shape == gains.theta.shape == gains.tilt.shape == (3,)
    one = contrast_gains(slope_rms=0.12, facet_spread=0.03, floor=0.05)
    assert float(gains.sigma[2]) == float(one.sigma)
    assert float(gains.tilt[2]) == float(one.tilt)


def test_an_even_face_has_no_contrast_from_any_side() -> None:
    contrast = luminance_contrast(slope_rms=np.full((2, 5), 0.09), local_tilt=0.0, lamp_tilt=[-0.2, 0.2], **LIGHT)
    np.testing.assert_allclose(contrast, 0.0, atol=1e-15)


def test_turning_the_lamp_round_turns_the_tilt_round() -> None:
    tilt = np.asarray([[0.0, 0.01, -0.02]])
    one = luminance_contrast(slope_rms=0.09, local_tilt=tilt, lamp_tilt=[0.2], **LIGHT)
    other = luminance_contrast(slope_rms=0.09, local_tilt=-tilt, lamp_tilt=[-0.2], **LIGHT)
    np.testing.assert_allclose(one, other, rtol=1e-12)
    assert one[0, 1] > one[0, 0] > one[0, 2]


def test_a_lamp_mirrored_into_the_eye_has_no_tilt() -> None:
    assert float(half_vector_tilt(lamp=0.5, eye=0.5)) == 0.0


@pytest.mark.parametrize(("angle", "index"), [(-0.1, 1.5), (1.6, 1.5), (0.1, 0.9), (np.nan, 1.5)])
def test_reflectance_refuses_what_it_cannot_mean(angle: float, index: float) -> None:
    with pytest.raises(ValueError, match=r"angle|index"):
        fresnel_reflectance(angle, index=index)
