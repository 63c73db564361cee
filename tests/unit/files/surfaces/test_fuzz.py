"""Any bytes at all: a surface or one sentence a problem, never another exception."""

import io
import tempfile
import zipfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenlay.files.surfaces import open_surface, sdf, write_surface
from evenlay.physics.surface_numbers.surface import Surface, trace
from evenlay.quantities.errors import InputProblems

SURFACE = Surface([[0.0, 1e-6, float("nan")], [2e-6, 0.0, 1e-7]], 4e-6, 5e-4, along="y", source="drawn")

PLAIN = settings(max_examples=150, deadline=None)


def opened(content):
    with tempfile.NamedTemporaryFile() as file:
        file.write(content)
        file.flush()
        try:
            surface = open_surface(Path(file.name))
        except InputProblems as error:
            for problem in error.problems:
                assert "\n" not in str(problem)
                assert len(str(problem)) < 600
                assert "Traceback" not in str(problem)
            return None
    assert np.isfinite(surface.height[surface.measured]).all()
    return surface


def written(ending, surface=SURFACE):
    with tempfile.TemporaryDirectory() as folder:
        write_surface(Path(folder) / f"a{ending}", surface)
        return (Path(folder) / f"a{ending}").read_bytes()


WHOLE = [written(ending) for ending in (".x3p", ".sdf", ".csv", ".png")]
WHOLE += [
    written(".csv", trace([0.0, 1e-6, 2e-6], spacing=1e-6)),
    sdf._as_text(SURFACE, ""),
    b"x [um],y [um],z [um]\n0,0,1\n1,0,2\n0,1,1\n1,1,5\n",
]


@st.composite
def changed(draw, whole):
    """A good file with a few places overwritten, cut out, doubled or cut off."""
    content = bytearray(whole)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, max(len(content) - 1, 0)))
        way = draw(st.sampled_from(["set", "insert", "delete", "double", "cut"]))
        if way == "set" and content:
            content[at] = draw(st.integers(0, 255))
        elif way == "insert":
            content[at:at] = draw(
                st.one_of(st.binary(max_size=8), st.sampled_from([b"-", b"e9", b"nan", b"0" * 30, b"\n", b",", b"*", b"<!--", b"\0"]))
            )
        elif way == "delete":
            del content[at : at + draw(st.integers(1, 20))]
        elif way == "double":
            content[at:at] = content[at : at + draw(st.integers(1, 40))]
        else:
            del content[at:]
    return bytes(content)


@pytest.mark.parametrize("whole", WHOLE, ids=["x3p", "sdf", "csv", "png", "trace", "sdf text", "points"])
@given(data=st.data())
@PLAIN
def test_a_changed_file_is_a_surface_or_a_sentence(whole, data):
    opened(data.draw(changed(whole)))


@given(
    head=st.sampled_from(
        [
            b"",
            b"PK\x03\x04",
            b"bISO-1.0",
            b"bISO-2.0",
            b"bBCR-1.0",
            b"aISO-1.0\n",
            b"\x89PNG\r\n\x1a\n",
            b"# spacing x = 1 mm\n",
            b"\xff\xfe",
        ]
    ),
    tail=st.binary(max_size=300),
)
@PLAIN
def test_any_bytes_are_a_surface_or_a_sentence(head, tail):
    opened(head + tail)


MEMBERS = {}
with zipfile.ZipFile(io.BytesIO(WHOLE[0])) as _archive:
    MEMBERS = {name: _archive.read(name) for name in _archive.namelist()}


@given(data=st.data())
@PLAIN
def test_an_x3p_with_a_changed_index_is_a_surface_or_a_sentence(data):
    """Changes inside the zip, past its own checksums."""
    members = dict(MEMBERS)
    del members["md5checksum.hex"]
    name = data.draw(st.sampled_from(sorted(members)))
    members[name] = data.draw(changed(members[name]))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for one, content in members.items():
            archive.writestr(one, content)
    opened(packed.getvalue())


WORDS = st.sampled_from(
    [
        "1",
        "-2.5",
        "1e-3",
        "1e400",
        "nan",
        "BAD",
        "",
        "x",
        "y",
        "z",
        "height",
        "[um]",
        "[mm]",
        ",",
        ";",
        "\t",
        " ",
        "\n",
        "\n",
        "#",
        "=",
        "spacing x",
        "spacing y",
        "height unit",
        "µm",
        "intensity",
        "(",
        "[",
        "]",
        "_",
        "inf",
    ]
)


@given(words=st.lists(WORDS, max_size=60))
@settings(max_examples=400, deadline=None)
def test_any_text_of_the_words_of_the_format_is_a_surface_or_a_sentence(words):
    opened("".join(words).encode())


@given(words=st.lists(WORDS, max_size=60))
@settings(max_examples=200, deadline=None)
def test_any_rows_below_good_remarks_are_a_surface_or_a_sentence(words):
    opened(("# spacing x = 4 µm\n# spacing y = 1 mm\n# height unit = µm\n" + "".join(words)).encode())


FIELDS = st.fixed_dictionaries(
    {
        "NumPoints": st.sampled_from(["2", "3", "0", "-1", "1e3", "999999999999", "x"]),
        "NumProfiles": st.sampled_from(["1", "2", "0", "65535"]),
        "Xscale": st.sampled_from(["1e-6", "-1e-6", "0", "inf", "1e400", ".", "5e-324"]),
        "Yscale": st.sampled_from(["1e-6", "nan", "0"]),
        "Zscale": st.sampled_from(["1", "1e308", "-1", "5e-324"]),
        "DataType": st.sampled_from(["3", "5", "6", "7", "DOUBLE", "INTEGER", "9"]),
        "Compression": st.sampled_from(["0", "1", "NULL"]),
        "CheckType": st.sampled_from(["0", "1", "NONE"]),
    }
)


@given(
    revision=st.sampled_from(["ISO-1.0", "ISO-2.0", "BCR-1.0"]),
    fields=FIELDS,
    cells=st.lists(st.sampled_from(["1", "-2", "1.5", "BAD", "nan", "1e308", "1e400", "x", "*", ";", "32767", "inf"]), max_size=7),
)
@settings(max_examples=300, deadline=None)
def test_any_fields_of_an_sdf_are_a_surface_or_a_sentence(revision, fields, cells):
    text = f"a{revision}\n" + "".join(f"{name} = {value}\n" for name, value in fields.items()) + "*\n" + "\n".join(cells) + "\n*\n*\n"
    opened(text.encode())
