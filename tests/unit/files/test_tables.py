"""Tables that people measured: units in the header, every way of writing CSV, every wrong one in a sentence."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenlay.files.tables import DEPTHS, PROFILE, WEIGHINGS, read_profile, read_table
from evenlay.quantities.errors import InputProblems

GOOD = "# inked print, 40 N\ny [mm],depth [um]\n-1,0.5\n0,2.5\n\n1,0.75\n"


def written(tmp_path, content):
    path = tmp_path / "print.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return path


@pytest.mark.parametrize(
    "content",
    [
        GOOD,
        GOOD.replace("\n", "\r\n"),
        "\ufeff" + GOOD,
        GOOD.encode("utf-16"),
        "y [mm];depth [um]\n-1;0,5\n0;2,5\n1;0,75\n",
        "y [mm];depth [um]\n-1;0.5\n0;2.5\n1;0.75\n",
        "Position (mm)\tDepth (µm)\n-1\t0.5\n0\t2.5\n1\t0.75\n",
        'across [cm],"removed [mm]"\n-0.1,0.0005\n0,0.0025\n0.1,0.00075\n',
    ],
)
def test_every_usual_way_of_writing_a_profile_is_read(tmp_path, content):
    y, (depth,), dark = read_profile(written(tmp_path, content))
    assert y == pytest.approx((-1e-3, 0.0, 1e-3))
    assert depth == pytest.approx((0.5e-6, 2.5e-6, 0.75e-6))
    assert not dark


def test_several_prints_and_darkness_are_read(tmp_path):
    y, columns, dark = read_profile(written(tmp_path, "y [in],darkness 1 [%],darkness 2\n0,10,0.2\n1,20,0.4\n"))
    assert y == pytest.approx((0, 0.0254))
    assert columns == (pytest.approx((0.1, 0.2)), pytest.approx((0.2, 0.4)))
    assert dark


def test_weighings_are_read_in_their_units(tmp_path):
    text = "coupon,before [g],after [g],passes,length [mm],force [N],belt speed [m/s],feed [mm/s]\nA,100.1,100.0,20,300,40,18,120\n"
    table = read_table(written(tmp_path, text), WEIGHINGS, what="weighings")
    assert table.texts["name"] == ("A",)
    assert table.one("before") == pytest.approx((0.1001,))
    assert table.one("passes") == (20.0,)
    assert table.one("feed") == pytest.approx((0.12,))
    assert table.lines == (2,)


def test_published_runs_are_read_in_their_units(tmp_path):
    text = "run,depth [mm],width [mm],force [N],speed [m/s],feed [mm/s],Ra [um]\n1,1.82,25,70,30,20,3.85\n"
    table = read_table(written(tmp_path, text), DEPTHS, what="runs")
    assert table.one("roughness") == pytest.approx((3.85e-6,))


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("", "{path}: the file is empty; give a profile across the pass as CSV as plain text in UTF-8."),
        ("# nothing\n#\n", "{path}: there is nothing but remarks; give a header and rows."),
        ("y [mm],depth [um]\n", "{path}: there is a header and no row; give a profile across the pass with at least one row."),
        (
            "y,depth [um]\n0,1\n",
            'print.csv line 1: y: this column has no unit; write the unit in the header, as "y [mm]"; '
            "units are mm, cm, m, µm, nm, in, ft, µin.",
        ),
        (
            "y [mm],depth [N]\n0,1\n",
            'print.csv line 1: depth: this column has the unit N of a force; write the unit in the header, as "depth [mm]"; '
            "units are mm, cm, m, µm, nm, in, ft, µin.",
        ),
        ("y [mm],dept [um]\n0,1\n", "print.csv line 1: dept: unknown column; columns are y, depth, darkness. Did you mean depth?"),
        ("y [mm]\n0\n", '{path}: there is no column depth or darkness; write a header as "y [mm],depth [um]" or "y [mm],darkness".'),
        (
            "y [mm],depth [um],darkness\n0,1,1\n",
            '{path}: there are both depth and darkness; write a header as "y [mm],depth [um]" or "y [mm],darkness".',
        ),
        ("y [mm],y [mm],depth [um]\n0,0,1\n", "print.csv line 1: y: this column stands twice; leave one out."),
        ("depth [um]\n1\n", 'print.csv line 1: y: this column is missing; the header needs "y [mm]".'),
        ("y [mm],depth [um]\n0,1\n0,1,2\n", "print.csv line 3: 3 cells where the header has 2; give every row as many cells."),
        ("y [mm],depth [um]\n0,nan\n", 'print.csv line 2: depth: "nan" is not a usable number; write a number.'),
        ("y [mm],depth [um]\n0,-inf\n", 'print.csv line 2: depth: "-inf" is not a usable number; write a number.'),
        ("y [mm],depth [um]\n0,1e308\n", 'print.csv line 2: depth: "1e308" is not a usable number; write a number.'),
        ("y [mm],depth [um]\n0,\n", "print.csv line 2: depth: an empty cell; write a number."),
        ("y [mm],depth [um]\n0,one\n", 'print.csv line 2: depth: "one" is not a number; write a number.'),
        ("y [mm],depth [um]\n0,1_000\n", 'print.csv line 2: depth: "1_000" is not a number; write a number.'),
        ('y [mm],depth [um]\n0,"1\n', "print.csv line 2: this is not CSV (unexpected end of data); check the quotes."),
        (
            "y [mm],depth [um]\n0,\x00\n",
            "{path}: there is a NUL byte in line 2; give a profile across the pass as CSV as plain text in UTF-8.",
        ),
        (
            b"\xff\xd8\xff\xe0JFIF",
            "{path}: this is a JPEG picture; give a profile across the pass as CSV as plain text in UTF-8.",
        ),
    ],
)
def test_a_wrong_table_says_where_and_why(tmp_path, content, sentence):
    path = written(tmp_path, content)
    with pytest.raises(InputProblems) as caught:
        read_profile(path)
    assert str(caught.value) == sentence.format(path=path)


def test_all_wrong_cells_are_said_up_to_ten(tmp_path):
    rows = "".join(f"{i},x\n" for i in range(30))
    with pytest.raises(InputProblems) as caught:
        read_profile(written(tmp_path, "y [mm],depth [um]\n" + rows))
    assert len(caught.value.problems) == 10


def test_a_table_of_200_megabytes_is_refused_without_reading_it(tmp_path):
    path = tmp_path / "print.csv"
    with path.open("wb") as file:
        file.write(b"y [mm],depth [um]\n")
        file.truncate(200_000_000)
    with pytest.raises(InputProblems) as caught:
        read_profile(path)
    assert str(caught.value) == f"{path}: it is larger than 5 MB; a profile across the pass as CSV is at most 5 MB."


def test_more_rows_than_a_table_may_have_are_refused(tmp_path):
    path = written(tmp_path, "y [mm],depth [um]\n" + "1,2\n" * 200_001)
    with pytest.raises(InputProblems, match="it has more than 200000 rows; a table has at most 200000 rows; thin it out"):
        read_profile(path)


@given(content=st.binary(max_size=300))
@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_give_a_table_or_problems(tmp_path, content):
    path = written(tmp_path, content)
    with pytest.raises(InputProblems):
        read_profile(path)


@given(cells=st.lists(st.lists(st.text(alphabet='0123456789.,;\t"-+eE nainf\n#', max_size=8), min_size=1, max_size=4), max_size=6))
@settings(deadline=None, max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_rows_under_a_good_header_give_numbers_or_problems(tmp_path, cells):
    text = "y [mm],depth [um]\n" + "\n".join(",".join(row) for row in cells) + "\n"
    try:
        table = read_table(written(tmp_path, text), PROFILE, what="a profile")
    except InputProblems as problems:
        assert all(problem.allowed for problem in problems.problems)
    else:
        assert len(table.one("y")) == len(table.lines)


@given(rows=st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=1, max_size=30))
@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_numbers_round_trip_through_a_table(tmp_path, rows):
    text = "y [mm];depth [um]\n" + "".join(f"{y!r};{d!r}\n".replace(".", ",") for y, d in rows)
    y, (depth,), _ = read_profile(written(tmp_path, text))
    assert y == pytest.approx([row[0] * 1e-3 for row in rows], rel=1e-15)
    assert depth == pytest.approx([row[1] * 1e-6 for row in rows], rel=1e-15)
