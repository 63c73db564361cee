"""The sheet of drawn samples: dots are picture elements, true to scale, one exposure."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.image import imread

from evenlay.answers.sample_pictures import Pictured
from evenlay.pages.sample_sheet import sample_figure
from evenlay.physics.viewing.screen import screen_picture, screen_white

DPI = 200
DOT = 0.0254 / DPI


def picture(seed, *, size=(12e-3, 24e-3), level=1.0, title=""):
    draw = np.random.default_rng(seed)
    shape = tuple(round(each / DOT) for each in size)
    return Pictured(title, "Drawn sample, not a photograph: lid. Rests on 3 guesses.", level * (0.5 + 0.5 * draw.random(shape)), DOT)


def dots(pictures, titles=()):
    buffer = io.BytesIO()
    figure = sample_figure(tuple(pictures), list(titles), dpi=DPI)
    figure.savefig(buffer, format="png", dpi=DPI)
    return np.rint(255.0 * imread(io.BytesIO(buffer.getvalue()))[:, :, 0]).astype(np.uint8), figure


def place_of(codes, page):
    """Where a picture stands on a page, to the dot."""
    rows, columns = codes.shape
    for top in range(page.shape[0] - rows + 1):
        for left in np.flatnonzero(page[top, : page.shape[1] - columns + 1] == codes[0, 0]):
            if np.array_equal(page[top : top + rows, left : left + columns], codes):
                return top, int(left)
    return None


def test_every_picture_element_is_one_dot_of_the_print() -> None:
    one = picture(1)
    codes = screen_picture(one.luminance, white=screen_white(one.luminance)).codes
    page, _ = dots([one])
    assert place_of(codes, page) is not None


def test_all_pictures_of_a_sheet_share_one_exposure() -> None:
    bright, dark = picture(1), picture(2, level=0.4)
    white = screen_white(bright.luminance)
    page, _ = dots([bright, dark])
    assert place_of(screen_picture(dark.luminance, white=white).codes, page) is not None
    assert place_of(screen_picture(dark.luminance).codes, page) is None


def test_the_ruler_is_true_to_scale() -> None:
    page, figure = dots([picture(1, size=(12e-3, 60e-3))])
    axes = figure.axes[0]
    low, high = axes.get_xlim()
    wide = axes.get_position().width * figure.get_figwidth() * 25.4
    assert (low, high) == (0.0, 60.0) and wide == pytest.approx(60.0, abs=0.1)
    assert page.shape[1] * DOT == pytest.approx(80e-3, abs=DOT)


def test_samples_go_side_by_side_until_the_sheet_is_wide_and_nothing_is_cut_off() -> None:
    four = [picture(seed, size=(20e-3, 60e-3), title=f"feed {seed} mm/s") for seed in range(4)]
    page, figure = dots(four)
    white = max(screen_white(each.luminance) for each in four)
    places = [place_of(screen_picture(each.luminance, white=white).codes, page) for each in four]
    assert None not in places
    assert places[0][0] == places[1][0] and places[2][0] == places[3][0] > places[0][0] + round(20e-3 / DOT)
    assert {text.get_text() for text in figure.texts} >= {f"feed {seed}\N{NO-BREAK SPACE}mm/s" for seed in range(4)}


def test_the_caption_says_drawn_sample_and_on_what_it_rests() -> None:
    _, figure = dots([picture(1)])
    words = " ".join(text.get_text() for text in figure.texts).replace("\N{NO-BREAK SPACE}", " ")
    assert "Drawn sample, not a photograph" in words and "Rests on 3 guesses." in words


def test_the_same_sheet_gives_the_same_dots() -> None:
    assert np.array_equal(dots([picture(1)])[0], dots([picture(1)])[0])
