"""Words of the screens: bands, columns, 80 characters."""

import itertools

import pytest

from evenlay.answers.plan_files import Planned
from evenlay.cli.plan_screen import show_chain, show_plan
from evenlay.cli.progress import progress_bar
from evenlay.cli.screens import LEVEL_WORDS, WIDTH, band, quantity, remarks, say, table
from evenlay.job.answer_parts import NotKnown, Number, RemarkRecord
from evenlay.quantities.known import KNOWN_ORDER
from evenlay.quantities.remarks import LEVELS


def number(value, low, high, kind="length", known="guess"):
    return Number(value=value, low=low, high=high, kind=kind, known=known)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (number(0.021, 0.018, 0.024), "21 mm (18 to 24 mm), guess"),
        (number(40.0, 40.0, 40.0, "force", "asked"), "40 N"),
        (number(40.0, 40.0, 40.0, "force", "handbook"), "40 N, handbook"),
        (number(0.0210, 0.02100001, 0.02100002), "21 mm, guess"),
        (number(0.5, 0.25, 0.75, "share"), "50 % (25 to 75 %), guess"),
        (number(1.5, 0.5, 2.5, "ratio"), "1.5 (0.5 to 2.5), guess"),
    ],
)
def test_a_number_is_shown_with_band_and_way_of_knowing_in_few_words(given, words):
    assert band(given) == words


def test_a_band_stays_in_the_unit_of_its_centre():
    assert band(number(100.0, 30.0, 4000.0, "time")) == "100 s (30 to 4000 s), guess"


def test_inches_are_shown_when_asked():
    assert "in" in band(number(0.0254, 0.02, 0.03), inch=True)
    assert "mm" not in band(number(0.0254, 0.02, 0.03), inch=True)
    assert quantity(0.0254, "length", inch=True).startswith("1 in")


def lines_of(capsys):
    return capsys.readouterr().out.splitlines()


def test_a_paragraph_never_passes_80_columns_and_keeps_every_word(capsys):
    words = " ".join(f"word{index}" for index in range(60))
    say(words, indent="  ", hang="      ")
    lines = lines_of(capsys)
    assert max(len(line) for line in lines) <= WIDTH == 80
    assert lines[0].startswith("  word0")
    assert all(line.startswith("      word") for line in lines[1:])
    assert " ".join(" ".join(lines).split()) == words


def test_a_word_longer_than_the_line_is_not_broken(capsys):
    path = "/a/very/long/path/" + "x" * 90
    say(f"Written: {path}")
    assert path in lines_of(capsys)


def test_nothing_is_an_empty_line(capsys):
    say()
    assert lines_of(capsys) == [""]


def test_the_last_column_wraps_under_itself(capsys):
    table([("a", "b", "last " * 30)], widths=(6, 8))
    lines = lines_of(capsys)
    assert lines[0].startswith("  a     b       last")
    assert all(line.startswith(" " * 16 + "last") for line in lines[1:])
    assert max(map(len, lines)) <= 80


def test_a_cell_as_wide_as_its_column_keeps_a_space_to_the_next(capsys):
    table([("0.0006 to 0.0331", "guess", "joint")], widths=(15, 10))
    assert "0.0331 guess" in lines_of(capsys)[0]


def test_an_empty_last_cell_is_a_dash(capsys):
    table([("a", "")], widths=(6,))
    assert lines_of(capsys)[0].split() == ["a", "-"]


def test_remarks_of_the_asked_levels_are_printed_with_code_and_source(capsys):
    every = [RemarkRecord(code=f"code-{level}", level=level, message="Message.", source="somewhere") for level in reversed(LEVELS)]
    assert set(LEVEL_WORDS) == set(LEVELS)
    remarks(every, levels=("stop", "gap"))
    assert lines_of(capsys) == ["STOP: Message. [code-stop; somewhere]", "gap: Message. [code-gap; somewhere]"]
    remarks(every, levels=LEVELS)
    assert len(lines_of(capsys)) == len(LEVELS)


@pytest.mark.parametrize(("inch", "every"), list(itertools.product([False, True], repeat=2)))
def test_a_plan_fits_80_columns_in_either_system(lid_plan, capsys, inch, every):
    show_plan(Planned(lid_plan, (), (), False), inch=inch, every=every)
    lines = lines_of(capsys)
    assert max(map(len, lines)) <= 80
    text = " ".join(" ".join(lines).split())
    assert lid_plan.rests_on in text
    assert lid_plan.headline in text
    for mark in lid_plan.marks:
        assert mark.label in text
    assert ("in/s" in text or "ft/min" in text) is inch


def test_a_stop_shows_no_settings(lid_plan, capsys):
    stop = RemarkRecord(code="rim-speed-above-rating", level="stop", message="Too fast.", source="plate")
    show_plan(Planned(lid_plan.model_copy(update={"remarks": (stop,)}), (), (), False))
    text = capsys.readouterr().out
    assert "STOP: Too fast." in text
    assert "nothing is handed out" in text
    assert "step-over" not in text
    assert "just-visible" not in text


def test_a_chain_shows_every_link_with_its_way_of_knowing(lid_plan, capsys):
    for mark in lid_plan.marks:
        show_chain(mark)
        lines = lines_of(capsys)
        text = " ".join(" ".join(lines).split())
        assert max(map(len, lines)) <= 80
        for link in mark.chain:
            assert link.name in text
            assert band(link.number) in text
        if isinstance(mark.strength, NotKnown):
            assert mark.strength.measure in text
        assert mark.remedy_cost in text
        assert not mark.chain or any(known in text for known in KNOWN_ORDER)


def test_progress_goes_on_and_writes_nothing_where_no_terminal_looks_on(capsys):
    clock = itertools.count(0.0, 10.0)
    with progress_bar("choosing", clock=lambda: next(clock)) as progress:
        assert all(progress(done, 5) for done in range(5))
    assert capsys.readouterr() == ("", "")


def test_progress_on_a_terminal_is_written_to_the_error_stream_at_most_five_times_a_second(capsys, monkeypatch):
    import sys

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    clock = itertools.count(0.0, 0.1)
    with progress_bar("choosing", clock=lambda: next(clock)) as progress:
        for done in range(40):
            progress(done, 40)
    out, err = capsys.readouterr()
    assert out == ""
    shown = err.count("choosing")
    assert 0 < shown <= 16
    assert err.endswith("\r")
