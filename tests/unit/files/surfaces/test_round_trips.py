"""Every format gives back what was written, missing points with it."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from evenlay.files.surfaces import open_surface, sdf, write_surface
from evenlay.files.surfaces.image import HIGHEST_GREY
from evenlay.physics.surface_numbers.surface import Surface, trace
from evenlay.quantities.errors import InputProblems

EXACT = (".x3p", ".sdf", ".csv", ".txt")

HEIGHTS = st.one_of(st.just(float("nan")), st.floats(-1e-3, 1e-3, allow_nan=False), st.sampled_from([0.0, -0.0, 5e-324, 1e-9]))
SPACINGS = st.floats(1e-9, 1e-2)


@st.composite
def surfaces(draw):
    rows, across = draw(st.integers(1, 4)), draw(st.integers(2, 5))
    height = draw(hnp.arrays(np.float64, (rows, across), elements=HEIGHTS))
    if np.all(np.isnan(height)):
        height[0, 0] = 1e-6
    second = draw(SPACINGS) if rows > 1 else 0.0
    words = draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=12))
    return Surface(height, draw(SPACINGS), second, along=draw(st.sampled_from(["x", "y", ""])), source=words)


def same_bits(a, b):
    return np.array_equal(np.where(np.isnan(a), np.nan, a).view(np.uint64), np.where(np.isnan(b), np.nan, b).view(np.uint64))


@pytest.mark.parametrize("ending", EXACT)
@given(surface=surfaces())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_heights_spacings_grain_and_source_come_back_bit_for_bit(ending, surface, tmp_path):
    path = tmp_path / f"surface{ending}"
    write_surface(path, surface)
    read = open_surface(path)
    assert same_bits(read.height, surface.height)
    assert (read.spacing_x, read.spacing_y, read.along) == (surface.spacing_x, surface.spacing_y, surface.along)
    assert read.source == (surface.source or path.name)


@given(surface=surfaces())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_text_sdf_keeps_every_bit_too(surface, tmp_path):
    path = tmp_path / "surface.sdf"
    path.write_bytes(sdf._as_text(surface, ""))
    read = open_surface(path)
    assert same_bits(read.height, surface.height)
    assert (read.spacing_x, read.spacing_y) == (surface.spacing_x, surface.spacing_y)


def test_an_sdf_too_wide_for_the_binary_header_is_written_as_text(tmp_path):
    surface = trace(np.linspace(0.0, 1e-6, sdf.MOST_ACROSS + 1), spacing=1e-6)
    write_surface(tmp_path / "wide.sdf", surface)
    assert (tmp_path / "wide.sdf").read_bytes().startswith(b"aISO-1.0\r\n")
    assert same_bits(open_surface(tmp_path / "wide.sdf").height, surface.height)


@given(surface=surfaces())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_picture_keeps_heights_to_half_a_grey_step_and_what_was_read_from_it_to_the_grey(surface, tmp_path):
    first, second = tmp_path / "first.png", tmp_path / "second.png"
    write_surface(first, surface)
    read = open_surface(first)
    span = np.nanmax(surface.height) - np.nanmin(surface.height)
    step = span / (HIGHEST_GREY - 1)
    assert np.array_equal(np.isnan(read.height), np.isnan(surface.height))
    # Half a step, and rounding of the sum lowest + greys x step.
    assert np.nanmax(np.abs(read.height - surface.height)) <= 0.5 * step * (1 + 1e-9) + 4e-16 * np.nanmax(np.abs(surface.height)) + 1e-300
    assert (read.spacing_x, read.spacing_y, read.along) == (surface.spacing_x, surface.spacing_y, surface.along)
    if step > 1e-12 * np.nanmax(np.abs(surface.height)) and step > 1e-300:
        write_surface(second, read)
        again = open_surface(second)
        assert np.nanmax(np.abs(again.height - read.height)) <= 1e-6 * step + 1e-15 * np.nanmax(np.abs(read.height))


@pytest.mark.parametrize("ending", [*EXACT, ".png"])
def test_the_same_surface_gives_the_same_bytes(ending, tmp_path):
    surface = Surface([[0.0, 1e-6, float("nan")], [2e-6, 0.0, 1e-7]], 4e-6, 5e-4, along="y", source="drawn")
    for name in ("a", "b"):
        write_surface(tmp_path / f"{name}{ending}", surface)
    assert (tmp_path / f"a{ending}").read_bytes() == (tmp_path / f"b{ending}").read_bytes()


def test_the_format_is_told_by_the_content_and_not_by_the_name(tmp_path):
    surface = Surface([[0.0, 1e-6], [2e-6, 0.0]], 4e-6, 5e-4)
    for ending in (".x3p", ".sdf", ".csv", ".png"):
        write_surface(tmp_path / f"a{ending}", surface)
        (tmp_path / f"a{ending}").rename(tmp_path / "surface.dat")
        assert open_surface(tmp_path / "surface.dat").height.shape == (2, 2)


def test_an_unknown_ending_is_refused_with_the_known_ones(tmp_path):
    with pytest.raises(InputProblems, match=r"not written as \.jpg; end the name in \.x3p, \.sdf, \.csv, \.txt, \.png"):
        write_surface(tmp_path / "a.jpg", trace([0.0, 1.0], spacing=1.0))


def test_a_folder_that_is_not_there_is_a_sentence(tmp_path):
    with pytest.raises(InputProblems, match="cannot be written"):
        write_surface(tmp_path / "no" / "a.sdf", trace([0.0, 1.0], spacing=1.0))


@pytest.mark.parametrize("ending", [*EXACT, ".png"])
@pytest.mark.parametrize("source", [" spaces at both ends ", "two\nlines\tand \\n", "Größe = 1 # „x“", "\x85\u2028\U0001f600"])
def test_a_source_of_any_words_comes_back_from_every_format(ending, source, tmp_path):
    path = tmp_path / f"surface{ending}"
    write_surface(path, trace([0.0, 1e-6], spacing=1e-6, source=source))
    assert open_surface(path).source == source
