"""What the eye makes of a surface: luminance from slopes, one standard observer, masking by the finish's own texture."""

from evenlay.physics.viewing.facets import FacetFinish, FacetGroups, Lighting, facet_groups, facet_luminance, facet_slopes
from evenlay.physics.viewing.luminance import ContrastGains, contrast_gains, fresnel_reflectance, half_vector_tilt, luminance_contrast
from evenlay.physics.viewing.masking import (
    APERTURE_LENGTH,
    MaskingNoise,
    harmonic_orders,
    masked_sensitivity,
    noise_scale,
    random_line_visibility,
    repeat_harmonics,
    texture_limited_visibility,
)
from evenlay.physics.viewing.observer import edge_threshold_second_opinion, grating_visibility, observer_visibility, picture_visibility
from evenlay.physics.viewing.picture import SurfacePicture, surface_picture, worst_lighting
from evenlay.physics.viewing.repeating import Repeat, RepeatingVisibility, repeating_visibility, shown_lines
from evenlay.physics.viewing.sensitivity import (
    GRATING_GAIN,
    LINE_GAIN,
    VisibleBand,
    contrast_sensitivity,
    cycles_per_degree,
    degrees_per_metre,
    oblique_effect,
    visible_band,
)

__all__ = [
    "APERTURE_LENGTH",
    "GRATING_GAIN",
    "LINE_GAIN",
    "ContrastGains",
    "FacetFinish",
    "FacetGroups",
    "Lighting",
    "MaskingNoise",
    "Repeat",
    "RepeatingVisibility",
    "SurfacePicture",
    "VisibleBand",
    "contrast_gains",
    "contrast_sensitivity",
    "cycles_per_degree",
    "degrees_per_metre",
    "edge_threshold_second_opinion",
    "facet_groups",
    "facet_luminance",
    "facet_slopes",
    "fresnel_reflectance",
    "grating_visibility",
    "half_vector_tilt",
    "harmonic_orders",
    "luminance_contrast",
    "masked_sensitivity",
    "noise_scale",
    "oblique_effect",
    "observer_visibility",
    "picture_visibility",
    "random_line_visibility",
    "repeat_harmonics",
    "repeating_visibility",
    "shown_lines",
    "surface_picture",
    "texture_limited_visibility",
    "visible_band",
    "worst_lighting",
]
