"""Files that are no surface, or a damaged or hostile one: one sentence, bounded memory."""

import hashlib
import io
import os
import struct
import tracemalloc
import warnings
import zipfile
import zlib

import numpy as np
import pytest

from evenlay.files.surfaces import image, open_surface, write_surface
from evenlay.files.surfaces.grid import MOST_POINTS
from evenlay.files.surfaces.sdf import read_sdf
from evenlay.files.surfaces.x3p import read_x3p
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.quantities.errors import InputProblems

NAN = float("nan")
SURFACE = Surface([[0.0, 1e-6, NAN], [2e-6, 0.0, 1e-7]], 4e-6, 5e-4, along="y", source="drawn")
ENDINGS = (".x3p", ".sdf", ".csv", ".png")


def sentence(content, tmp_path, read=open_surface):
    path = tmp_path / "surface.dat"
    path.write_bytes(content)
    with pytest.raises(InputProblems) as raised:
        read(path)
    text = str(raised.value).removeprefix(f"{path}: ")
    assert "\n" not in text
    assert text.endswith((".", "?"))
    return text


def written(ending, tmp_path, surface=SURFACE):
    path = tmp_path / f"written{ending}"
    write_surface(path, surface)
    return path.read_bytes()


# --- any format ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".x3p", ".sdf", ".png"])
def test_a_file_cut_off_anywhere_is_refused(ending, tmp_path):
    whole = written(ending, tmp_path, Surface(SURFACE.height, 4e-6, 5e-4))
    for length in range(1, len(whole)):
        sentence(whole[:length], tmp_path)


def test_an_empty_file_a_folder_and_no_file_are_sentences(tmp_path):
    assert sentence(b"", tmp_path).startswith("the file is empty")
    for path, found in (
        (tmp_path, "this is a folder"),
        (tmp_path / "no", "there is no such file"),
        (tmp_path / "a\0b", "cannot be used|no such"),
    ):
        with pytest.raises(InputProblems, match=found):
            open_surface(path)


def test_a_pipe_is_not_opened(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputProblems, match="not a regular file"):
        open_surface(tmp_path / "pipe")


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "this is a JPEG picture of brightness, without heights"),
        (b"II*\x00\x08\x00\x00\x00", "this is a TIFF picture of brightness, without heights"),
        (b"BM\x3a\x00\x00\x00", "this is a BMP picture of brightness, without heights"),
        (b"%PDF-1.7", "this is a PDF;"),
        (b"\x00\x01\x02\x03", "NUL byte"),
        (b"\xc3\x28\xff\xff", "is not text in UTF-8"),
    ],
)
def test_what_is_no_surface_at_all_is_named(content, found, tmp_path):
    assert found in sentence(content, tmp_path)


def test_a_surface_too_large_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "huge.sdf"
    with path.open("wb") as file:
        file.write(b"bISO-1.0")
        file.truncate(400_000_000)
    for read in (open_surface, read_sdf, read_x3p):
        with pytest.raises(InputProblems, match="larger than 320 MB"):
            read(path)


def measured_peak(call):
    tracemalloc.start()
    call()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


# --- X3P -------------------------------------------------------------------------------------------------------------


def x3p(tmp_path, index=lambda text: text, data=lambda content: content, surface=SURFACE, mend=True, method=zipfile.ZIP_DEFLATED, more=()):
    """A written X3P with its index or data changed, checksums mended unless told otherwise."""
    with zipfile.ZipFile(io.BytesIO(written(".x3p", tmp_path, surface))) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    old = hashlib.md5(members["bindata/data.bin"]).hexdigest()
    members["bindata/data.bin"] = data(members["bindata/data.bin"])
    text = members["main.xml"].decode()
    if mend:
        text = text.replace(old, hashlib.md5(members["bindata/data.bin"]).hexdigest())
    members["main.xml"] = index(text).encode()
    if mend:
        members["md5checksum.hex"] = hashlib.md5(members["main.xml"]).hexdigest().encode() + b" *main.xml"
    members |= dict(more)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return packed.getvalue()


def test_the_changed_x3p_of_these_tests_is_itself_read(tmp_path):
    (tmp_path / "a").write_bytes(x3p(tmp_path))
    assert np.array_equal(open_surface(tmp_path / "a").height, SURFACE.height, equal_nan=True)


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        (
            "ISO5436 - 2000",
            "ISO5436 - 2099",
            "its revision is 'ISO5436 - 2099'; known revisions are ISO5436 - 2000 and ISO25178-72:2017/DAM1",
        ),
        ("4e-06", "-4e-06", "the increment of axis CX is '-4e-06'"),
        ("4e-06", "nan", "the increment of axis CX is 'nan'"),
        ("4e-06", "1_0", "the increment of axis CX is '1_0'"),
        ("4e-06", "40", "the spacing along x is 40 m"),
        ("0.0005", "0", "the increment of axis CY is '0'"),
        ("<Increment>1.0<", "<Increment>-1.0<", "the increment of axis CZ is '-1.0'"),
        ("<SizeX>3<", "<SizeX>1000000000<", "it declares 1000000000 × 2 points; a surface has at most 30 million"),
        ("<SizeX>3<", "<SizeX>99999999999999999999<", "SizeX in main.xml is '99999999999999999999'"),
        ("<SizeX>3<", "<SizeX>1<", "it declares 1 × 2 points"),
        ("<SizeY>2<", "<SizeY>0<", "it declares 3 × 0 points"),
        ("<SizeX>3<", "<SizeX>4<", "'bindata/data.bin' has 48 bytes where the index declares 64"),
        ("<SizeX>3<", "<SizeX>2<", "'bindata/data.bin' has more than 32 bytes where the index declares 32"),
        ("<SizeZ>1<", "<SizeZ>2<", "it holds 2 layers on top of each other"),
        ("<FeatureType>SUR", "<FeatureType>XYZ", "does not say whether it is a surface"),
        ("<AxisType>A", "<AxisType>I", "its heights are not stored"),
        ("<AxisType>A", "<AxisType>Q", "axis CZ in main.xml is of type 'Q'"),
        ("<AxisType>A</AxisType><DataType>D", "<AxisType>A</AxisType><DataType>Q", "axis CZ in main.xml stores 'Q'"),
        ("bindata/data.bin", "../../etc/passwd", "'../../etc/passwd' is not in it"),
        ("bindata/data.bin", "http://example.org/data.bin", "is not in it"),
        ("<DataLink>", "<OtherLink>", "main.xml is not XML"),
        ("p:ISO5436_2", "p:Something", "main.xml is about 'Something'"),
        ('encoding="UTF-8"?>', 'encoding="UTF-8"?><!DOCTYPE a [<!ENTITY b "c">]>', "declares its own document type"),
        ('encoding="UTF-8"', 'encoding="klingon"', "main.xml is not XML"),
        ("<Record4>", "<a>" * 40 + "</a>" * 40 + "<Record4>", "lie more than 24 deep"),
    ],
)
def test_an_x3p_index_that_cannot_be_is_one_sentence(old, new, found, tmp_path):
    assert found in sentence(x3p(tmp_path, index=lambda text: text.replace(old, new)), tmp_path)


def in_index(datums, axes="D"):
    """Turn the link to the heights into heights in the index."""

    def change(text):
        begin, end = text.index("<DataLink>"), text.index("</DataLink>") + len("</DataLink>")
        listed = "".join(f"<Datum>{datum}</Datum>" for datum in datums)
        text = text[:begin] + f"<DataList>{listed}</DataList>" + text[end:]
        return text.replace("<AxisType>A</AxisType><DataType>D", f"<AxisType>A</AxisType><DataType>{axes}")

    return change


def test_heights_in_the_index_are_read(tmp_path):
    (tmp_path / "a").write_bytes(x3p(tmp_path, index=in_index(["", "1e-6", "2e-6", "nan", "0", "3e-6"])))
    assert np.array_equal(open_surface(tmp_path / "a").height, [[NAN, 1e-6, 2e-6], [NAN, 0.0, 3e-6]], equal_nan=True)


def test_points_with_positions_of_their_own_are_read_though_the_first_are_missing(tmp_path):
    def index(text):
        text = in_index(["", "1e-6;1", "2e-6;2", "0;3", "1e-6;4", "2e-6;5"])(text)
        return text.replace("<CX><AxisType>I</AxisType>", "<CX><AxisType>A</AxisType>").replace("<Increment>4e-06<", "<Increment>1.0<")

    (tmp_path / "a").write_bytes(x3p(tmp_path, index=index))
    read = open_surface(tmp_path / "a")
    assert np.array_equal(read.height, [[NAN, 1.0, 2.0], [3.0, 4.0, 5.0]], equal_nan=True)
    assert read.spacing_x == 1e-6


@pytest.mark.parametrize(
    ("datums", "axes", "found"),
    [
        (["1", "2"], "D", "main.xml holds 2 points where it declares 6"),
        (["", "1;2", "3;4", "1;2", "", "1;2"], "D", "points in main.xml have 2 values where the axes need 1"),
        (["1", "1;2", "3", "4", "5", "6"], "D", "point 2 in main.xml has 2 values, others have 1"),
        (["1", "x", "3", "4", "5", "6"], "D", "point 2 in main.xml is not a number"),
        (["1", "1.5", "3", "4", "5", "6"], "I", "main.xml holds fractions where the axis stores whole numbers"),
        (["", "", "", "", "", ""], "D", "no point of it was measured"),
        (["1", "1e300", "3", "4", "5", "6"], "D", "a height is 1e+300 m"),
    ],
)
def test_heights_in_the_index_that_cannot_be_are_one_sentence(datums, axes, found, tmp_path):
    assert found in sentence(x3p(tmp_path, index=in_index(datums, axes)), tmp_path)


def test_a_wrong_checksum_of_index_or_heights_is_refused(tmp_path):
    flipped = x3p(tmp_path, data=lambda content: content[:-1] + bytes([content[-1] ^ 1]), mend=False)
    assert "the checksum of 'bindata/data.bin' does not fit; the file is damaged or was changed" in sentence(flipped, tmp_path)
    changed = x3p(tmp_path, index=lambda text: text.replace("4e-06", "5e-06"), mend=False)
    assert "the checksum of main.xml does not fit" in sentence(changed, tmp_path)


def test_an_x3p_of_missing_points_alone_is_refused(tmp_path):
    nothing = x3p(tmp_path, data=lambda content: np.full(6, NAN).tobytes())
    assert sentence(nothing, tmp_path).startswith("no point of it was measured")


def test_a_written_x3p_bears_no_time_of_writing(tmp_path):
    with zipfile.ZipFile(io.BytesIO(written(".x3p", tmp_path))) as archive:
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_positions_that_are_all_missing_or_too_far_are_refused(tmp_path):
    def index(datums):
        def change(text):
            return in_index(datums)(text).replace("<CX><AxisType>I</AxisType>", "<CX><AxisType>A</AxisType>").replace("4e-06", "1.0")

        return change

    nowhere = ["nan;1", "1e-6;1", "2e-6;2", "nan;3", "1e-6;4", "2e-6;5"]
    assert "positions along x are missing" in sentence(x3p(tmp_path, index=index(nowhere)), tmp_path)
    far = ["-1e308;1", "0;1", "1e308;2", "-1e308;3", "0;4", "1e308;5"]
    assert "positions along x are no lengths on a piece" in sentence(x3p(tmp_path, index=index(far)), tmp_path)


def test_a_picture_of_very_many_parts_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(image, "MOST_CHUNKS", 3)
    assert "the picture has more than 3 parts" in sentence(written(".png", tmp_path), tmp_path)


def test_a_file_that_grows_while_it_is_read_is_refused(tmp_path, monkeypatch):
    from evenlay.files.surfaces import grid

    (tmp_path / "a").write_bytes(b"1,2,3\n")
    monkeypatch.setattr(grid, "size_of", lambda *_: 3)
    with pytest.raises(InputProblems, match="it changed while it was read"):
        grid.content_of(tmp_path / "a", 10, "text")


def test_a_zip_that_is_no_x3p_is_refused(tmp_path):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
    assert sentence(packed.getvalue(), tmp_path).startswith("'main.xml' is not in it; give an X3P file")


def test_an_encrypted_x3p_is_refused(tmp_path):
    content = bytearray(x3p(tmp_path))
    for magic, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = content.find(magic)
        while at >= 0:
            content[at + offset] |= 1
            at = content.find(magic, at + 4)
    assert "it is encrypted" in sentence(bytes(content), tmp_path)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_packing_that_cannot_be_bounded_is_refused(method, tmp_path):
    assert "packed by a method that X3P does not use" in sentence(x3p(tmp_path, method=method), tmp_path)


def test_a_zip_bomb_is_refused_in_bounded_memory(tmp_path):
    heights = x3p(tmp_path, data=lambda content: bytes(60_000_000), mend=False)
    index = x3p(tmp_path, index=lambda text: text + " " * 70_000_000)
    assert len(heights) < 100_000
    for content, found in ((heights, "has more than 48 bytes"), (index, "main.xml unpacks to more than 64 MB")):
        peak = measured_peak(lambda content=content, found=found: sentence(content, tmp_path).index(found))
        assert peak < 40e6


def test_a_zip_of_very_many_files_is_refused_before_its_directory_is_read(tmp_path):
    packed = x3p(tmp_path, more=[(f"f{number}", b"") for number in range(1100)])
    assert "it holds more than 1000 files" in sentence(packed, tmp_path)


def test_validity_bits_mark_points_least_significant_bit_first(tmp_path):
    link = "<ValidPointsLink>bindata\\valid.bin</ValidPointsLink><MD5ChecksumValidPoints>{}</MD5ChecksumValidPoints></DataLink>"
    bits = bytes([0b011110])
    digest = hashlib.md5(bits).hexdigest()
    changed = x3p(tmp_path, index=lambda text: text.replace("</DataLink>", link.format(digest)), more=[("bindata/valid.bin", bits)])
    (tmp_path / "a").write_bytes(changed)
    assert np.isnan(open_surface(tmp_path / "a").height).tolist() == [[True, False, True], [False, False, True]]
    wrong = x3p(tmp_path, index=lambda text: text.replace("</DataLink>", link.format("0" * 32)), more=[("bindata/valid.bin", bits)])
    assert "the checksum of 'bindata/valid.bin' does not fit" in sentence(wrong, tmp_path)


# --- SDF -------------------------------------------------------------------------------------------------------------


def binary_sdf(*, revision=b"ISO-1.0", points=3, profiles=2, x=4e-6, y=5e-4, z=1.0, compression=0, kind=7, check=0, data=None):
    layout = "<10s12s12sII4d3B" if revision == b"ISO-2.0" else "<10s12s12sHH4d3B"
    head = struct.pack(layout, b"a", b"0" * 12, b"0" * 12, points, profiles, x, y, z, -1.0, compression, kind, check)
    return b"b" + revision + head + (np.arange(6.0) * 1e-6 if data is None else data).tobytes()


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"revision": b"ISO-9.9"}, "its revision is 'ISO-9.9'; known revisions are ISO-1.0, ISO-2.0, BCR-1.0"),
        ({"x": -4e-6}, "the spacing along x is -4e-06 m; a spacing is above 0"),
        ({"y": NAN}, "the spacing along y is nan m"),
        ({"x": 0.0}, "the spacing along x is 0 m"),
        ({"z": -1.0}, "its Zscale is -1"),
        ({"z": float("inf")}, "its Zscale is inf"),
        ({"compression": 1}, "its heights are compressed"),
        ({"check": 1}, "it carries checksums of its own kind"),
        ({"kind": 0}, "its data type is 0; ISO-1.0 has 5, 6, 7"),
        ({"kind": 200}, "its data type is 200"),
        ({"points": 65535, "profiles": 65535}, "it declares 65535 × 65535 points; a surface has at most 30 million"),
        ({"revision": b"ISO-2.0", "points": 10**9, "profiles": 1}, "it declares 1000000000 × 1 points"),
        ({"points": 4}, "it declares 4 × 2 points and ends before them"),
        ({"points": 0}, "it declares 0 × 2 points"),
        ({"data": np.full(6, NAN)}, "no point of it was measured"),
        ({"data": np.full(6, np.finfo(float).min)}, "no point of it was measured"),
        (
            {"data": np.arange(6.0) * 1e302},
            "a height is 5e+302 m; heights are within 100 m; check the unit and the mark for missing points",
        ),
        ({"data": np.array([0, 1, np.inf, 0, 0, 0])}, "a height is inf m"),
    ],
)
def test_a_binary_sdf_that_cannot_be_is_one_sentence(changes, found, tmp_path):
    assert found in sentence(binary_sdf(**changes), tmp_path)


TEXT_SDF = """aISO-1.0
ManufacID = a
CreateDate = 010120260000
ModDate = 010120260000
NumPoints = 3
NumProfiles = 2
Xscale = 4e-6
Yscale = 5e-4
Zscale = 1e-9
Zresolution = -1
Compression = 0
DataType = 6
CheckType = 0
*
1 2 3
4 BAD 6
*
*
"""


def test_the_text_sdf_of_these_tests_is_itself_read(tmp_path):
    for ends in ("\n", "\r\n", "\r"):
        (tmp_path / "a").write_bytes(b"\xef\xbb\xbf" + TEXT_SDF.replace("\n", ends).encode())
        assert np.array_equal(open_surface(tmp_path / "a").height, np.array([[1, 2, 3], [4, NAN, 6]]) * 1e-9, equal_nan=True)


def test_a_bcr_text_has_remarks_names_for_codes_and_its_first_row_at_the_far_end(tmp_path):
    text = TEXT_SDF.replace("aISO-1.0", "aBCR-1.0 ; remark").replace("DataType = 6", "DataType = INTEGER ; 16 bits")
    text = text.replace("Compression = 0", "Compression = NULL").replace("4 BAD 6", "4 32767 6 ; 7 8")
    (tmp_path / "a").write_text(text)
    assert np.array_equal(open_surface(tmp_path / "a").height, np.array([[4, NAN, 6], [1, 2, 3]]) * 1e-9, equal_nan=True)


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("aISO-1.0", "aISO-1.0 more", "its first line holds more than the name"),
        ("NumPoints = 3\n", "", "NumPoints is missing in its header"),
        ("NumPoints = 3", "NumPoints = 1000000000", "it declares 1000000000 × 2 points"),
        ("NumPoints = 3", "NumPoints = -3", "NumPoints in its header is '-3'"),
        ("NumPoints = 3", "NumPoints = 4", "it declares 4 × 2 points and holds 6"),
        ("NumPoints = 3", "NumPoints = 9000", "it declares 9000 × 2 points and ends before them"),
        ("NumPoints = 3", "NumPoints = 2", "it declares 2 × 2 points and holds more"),
        ("Xscale = 4e-6", "Xscale = -4e-6", "the spacing along x is -4e-06 m"),
        ("Xscale = 4e-6", "Xscale = nan", "Xscale in its header is 'nan'"),
        ("Xscale = 4e-6", "Xscale = 4e-", "Xscale in its header is '4e-'"),
        ("Zscale = 1e-9", "Zscale = 0", "its Zscale is 0"),
        ("Compression = 0", "Compression = RLL", "Compression in its header is 'RLL'"),
        ("4 BAD 6", "4 1.5 6", "a height is a fraction"),
        ("4 BAD 6", "4 1_5 6", "is not a number"),
        ("4 BAD 6", "4 0x5 6", "is not a number"),
        ("*\n*\n", "*\n", ""),
        ("*\n", "", "the line of one star that ends header or heights is missing"),
    ],
)
def test_a_text_sdf_that_cannot_be_is_one_sentence(old, new, found, tmp_path):
    content = TEXT_SDF.replace(old, new).encode()
    if found:
        assert found in sentence(content, tmp_path)
    else:  # the last star may be missing: nothing that counts stands behind the heights
        (tmp_path / "a").write_bytes(content)
        assert open_surface(tmp_path / "a").missing == 1


def test_what_does_not_begin_as_the_format_is_refused_by_its_reader(tmp_path):
    assert "does not begin as an SDF" in sentence(b"1,2,3", tmp_path, read_sdf)
    assert "does not begin as a PNG" in sentence(b"1,2,3", tmp_path, image.read_height_image)
    assert "cannot be unpacked" in sentence(b"1,2,3", tmp_path, read_x3p)


# --- pictures --------------------------------------------------------------------------------------------------------


def picture(grey, texts):
    """A PNG from a library, with text chunks."""
    from PIL import Image
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    for name, text in texts.items():
        info.add_text(name, text)
    stream = io.BytesIO()
    Image.fromarray(grey).save(stream, "PNG", pnginfo=info)
    return stream.getvalue()


SCALE = {"SpacingX": "4e-6", "SpacingY": "5e-4", "HeightLowest": "-1e-6", "HeightStep": "1e-9"}


def test_a_picture_of_heights_saved_by_another_program_is_read(tmp_path):
    grey = np.random.default_rng(3).integers(0, 65536, (40, 30), dtype=np.uint16)
    (tmp_path / "a").write_bytes(picture(grey, SCALE))
    wanted = np.where(grey == 0, NAN, -1e-6 + (grey - 1.0) * 1e-9)
    assert open_surface(tmp_path / "a").height == pytest.approx(wanted, rel=1e-12, abs=1e-20, nan_ok=True)


@pytest.mark.parametrize(
    ("grey", "changes", "found"),
    [
        (
            np.ones((4, 4), np.uint8),
            dict.fromkeys(SCALE),
            "says no SpacingX and no SpacingY and no HeightLowest and no HeightStep, so its grey is brightness",
        ),
        (np.ones((4, 4), np.uint16), {"HeightStep": None}, "the picture says no HeightStep, so its grey is brightness and not height"),
        (np.ones((4, 4), np.uint8), {}, "it has 8 bits of grey"),
        (np.ones((4, 4, 3), np.uint8), {}, "it has 8 bits of colour"),
        (np.ones((4, 4), np.uint16), {"SpacingX": "-4e-6"}, "the spacing along x is -4e-06 m"),
        (np.ones((4, 4), np.uint16), {"SpacingX": "inf"}, "says no SpacingX"),
        (np.ones((4, 4), np.uint16), {"HeightLowest": "1e9"}, "a height is 1e+09 m"),
        (np.zeros((4, 4), np.uint16), {}, "no point of it was measured"),
        (np.ones((4, 1), np.uint16), {}, "it declares 1 × 4 points"),
    ],
)
def test_a_picture_that_holds_no_heights_is_one_sentence(grey, changes, found, tmp_path):
    texts = {name: text for name, text in (SCALE | changes).items() if text is not None}
    assert found in sentence(picture(grey, texts), tmp_path)


def chunked(*chunks):
    body = b"".join(struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks)
    return image.SIGNATURE + body


SCALE_CHUNKS = [(b"tEXt", f"{name}\0{text}".encode()) for name, text in SCALE.items()]


@pytest.mark.parametrize(
    ("chunks", "found"),
    [
        ([], "the picture is cut off"),
        ([(b"IEND", b"")], "no head or no pixels"),
        (
            [(b"IHDR", struct.pack(">IIBBBBB", 10**9, 1, 16, 0, 0, 0, 0)), (b"IDAT", b"x"), (b"IEND", b"")],
            "it declares 1000000000 × 1 points",
        ),
        ([(b"IHDR", struct.pack(">IIBBBBB", 4, 4, 16, 0, 0, 0, 0)), (b"IDAT", b"xx"), (b"IEND", b"")], "its pixels cannot be unpacked"),
        (
            [(b"IHDR", struct.pack(">IIBBBBB", 4, 4, 16, 0, 0, 0, 0)), (b"IDAT", zlib.compress(b"\0" * 9)), (b"IEND", b"")],
            "less than",
        ),
        ([(b"IHDR", struct.pack(">IIBBBBB", 4, 4, 16, 0, 9, 9, 9)), (b"IDAT", zlib.compress(b"\0" * 36)), (b"IEND", b"")], ""),
    ],
)
def test_a_damaged_picture_is_one_sentence(chunks, found, tmp_path):
    assert found in sentence(chunked(*SCALE_CHUNKS, *chunks), tmp_path)


def test_a_part_of_a_picture_with_a_wrong_checksum_is_refused(tmp_path):
    content = bytearray(written(".png", tmp_path))
    content[content.index(b"SpacingX") + 9] ^= 1
    assert "the checksum of a part of the picture does not fit" in sentence(bytes(content), tmp_path)


def test_a_picture_that_unpacks_to_more_than_it_declares_stays_small(tmp_path):
    bomb = zlib.compress(bytes(100_000_000))
    head = (b"IHDR", struct.pack(">IIBBBBB", 4, 4, 16, 0, 0, 0, 0))
    (tmp_path / "a").write_bytes(chunked(head, *SCALE_CHUNKS, (b"IDAT", bomb), (b"zTXt", b"a\0\0" + bomb), (b"IEND", b"")))

    def read():
        with pytest.raises(InputProblems, match="its pixels unpack to more than its size needs"):
            open_surface(tmp_path / "a")

    assert measured_peak(read) < 20e6


def test_an_interlaced_picture_is_refused(tmp_path):
    head = (b"IHDR", struct.pack(">IIBBBBB", 4, 4, 16, 0, 0, 0, 1))
    content = chunked(head, *SCALE_CHUNKS, (b"IDAT", zlib.compress(bytes(36))), (b"IEND", b""))
    assert "its rows are interlaced" in sentence(content, tmp_path)


# --- text ------------------------------------------------------------------------------------------------------------

TABLE = "# spacing x = 4 µm\n# spacing y = 0.5 mm\n# height unit = µm\n"


def test_a_table_of_heights_is_read_with_any_separator(tmp_path):
    for rows in (
        "0,1.5,2\n3,,-1e-1\n",
        "0;1,5;2\n3;;-0,1\n",
        "0\t1.5\t2\n3\t\t-0.1\n",
        "0 1.5 2\n3 NaN -0.1\n",
        "0, 1.5 ,2\n\n# remark\n3,BAD,-0.1\n",
    ):
        (tmp_path / "a").write_text(TABLE + rows, encoding="utf-8")
        read = open_surface(tmp_path / "a")
        assert np.array_equal(read.height, [[0.0, 1.5e-6, 2e-6], [3e-6, NAN, -1e-7]], equal_nan=True)
        assert (read.spacing_x, read.spacing_y) == (4e-6, 5e-4)


def test_a_table_in_utf16_and_inches_is_read(tmp_path):
    (tmp_path / "a").write_text("# spacing x = 0.001 in\n# height unit = µin\n100, 200\n", encoding="utf-16")
    read = open_surface(tmp_path / "a")
    assert read.is_trace
    assert read.height[0] == pytest.approx([2.54e-6, 5.08e-6], rel=1e-15, abs=0)
    assert read.spacing_x == pytest.approx(2.54e-5, rel=1e-15, abs=0)


def test_one_number_a_line_is_a_trace(tmp_path):
    (tmp_path / "a").write_text("# spacing x = 0.5 um\n# height unit = nm\n100\n200\n\n300\n", encoding="utf-8")
    assert open_surface(tmp_path / "a").height.tolist() == [[1e-7, 2e-7, 3e-7]]


def test_a_trace_in_columns_is_read(tmp_path):
    for text in (
        "x [mm],height [um]\n0,1\n0.004,2\n0.008,\n",
        "height (µm);position (mm)\n1;0\n2;0,004\n;0,008\n",
        "x [mm]  z [um]\n0 1\n0.004 2\n0.008 nan\n",
    ):
        (tmp_path / "a").write_text(text, encoding="utf-8")
        read = open_surface(tmp_path / "a")
        assert np.array_equal(read.height, [[1e-6, 2e-6, NAN]], equal_nan=True)
        assert read.spacing_x == pytest.approx(4e-6, rel=1e-15, abs=0)


def test_heights_alone_in_a_column_need_their_spacing(tmp_path):
    (tmp_path / "a").write_text("# spacing x = 1 µm\nheight [µm]\n1\n2\n", encoding="utf-8")
    assert open_surface(tmp_path / "a").spacing_x == 1e-6
    assert "spacing x: the distance between columns is not given" in sentence(b"height [um]\n1\n2\n", tmp_path)


def test_points_in_any_order_are_put_on_their_grid(tmp_path):
    rng = np.random.default_rng(5)
    height = rng.normal(size=(5, 7))
    rows = [
        f"{4 * j + rng.uniform(-0.1, 0.1):.3f},{500 * i},{float(height[i, j])!r}" for i in range(5) for j in range(7) if (i, j) != (2, 3)
    ]
    rng.shuffle(rows)
    (tmp_path / "a").write_text("x [um],y [um],z [um]\n" + "\n".join(rows) + "\n", encoding="utf-8")
    read = open_surface(tmp_path / "a")
    assert (read.spacing_x, read.spacing_y) == pytest.approx((4e-6, 5e-4), rel=0.02)
    height[2, 3] = NAN
    assert read.height == pytest.approx(height * 1e-6, rel=1e-14, abs=0, nan_ok=True)


def test_points_on_one_row_are_a_trace(tmp_path):
    (tmp_path / "a").write_text("x [um],y [um],z [um]\n2,7,1\n0,7,1\n1,7,5\n", encoding="utf-8")
    assert open_surface(tmp_path / "a").height == pytest.approx(np.array([[1e-6, 5e-6, 1e-6]]), rel=1e-15, abs=0)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("# height unit = µm\n1,2\n3,4\n", "the distance between columns is not given"),
        ("# spacing x = 4 µm\n# height unit = µm\n1,2\n3,4\n", "there are 2 rows and no spacing between them"),
        ("# spacing x = -4 µm\n# height unit = µm\n1,2\n", 'spacing x: "-4 µm" is no spacing'),
        ("# spacing x = 4\n# height unit = µm\n1,2\n", 'spacing x: "4" is no spacing'),
        ("# spacing x = 4 N\n# height unit = µm\n1,2\n", 'spacing x: "4 N" is no spacing'),
        ("# spacing x = 4.5.6 µm\n# height unit = µm\n1,2\n", "is no spacing"),
        ("# spacing x = 40 m\n# height unit = µm\n1,2\n", "the spacing along x is 40 m"),
        ("# spacing x = 4 µm\n# height unit = bar\n1,2\n", "height unit: the unit of the heights is bar"),
        (TABLE, "there is nothing but remarks"),
        (TABLE + "1,2\n3\n", "surface.dat line 5: 1 cells where the others have 2"),
        (TABLE + "1,2\n\n3,four\n", "surface.dat line 6: a cell is not a number"),
        (TABLE + "1,2\n3,1_0\n", "surface.dat line 5: a cell is not a number"),
        (TABLE + "1,2\n3,inf\n", "line 5: a cell is not a number|a height is inf"),
        (TABLE + "1,2\n3,1e999\n", "a height is inf m"),
        (TABLE + "nan,nan\n,bad\n", "no point of it was measured"),
        (TABLE + "1\n", "it declares 1 × 1 points"),
        ("x [mm],height [µm]\n", "there is a header and no row"),
        ("x [mm],height\n0,1\n", "height: this column has no unit"),
        ("x [mm],height [N]\n0,1\n", "height: this column has the unit N"),
        ("x [mm],heigth [µm]\n0,1\n", "heigth: unknown column; columns are x, y and height. Did you mean height?"),
        ("x [mm],intensity [%]\n0,1\n", "intensity: this is brightness, not height"),
        ("x [mm],x [mm],height [µm]\n0,1,1\n", "x: this column stands twice"),
        ("x [mm],y [mm]\n0,1\n", "height: this column is missing"),
        ("y [mm],height [mm]\n0,1\n", "x: this column is missing"),
        ("x [mm],height [µm]\n0,1\n0.004,2\n0.03,2\n", "positions along x are not in even steps"),
        ("x [mm],height [µm]\n0,1\n-0.004,2\n", "positions along x do not rise"),
        ("x [mm],height [µm]\n0,1\n,2\n0.008,1\n", "positions along x are missing"),
        ("# spacing x = 5 µm\nx [mm],height [µm]\n0,1\n0.004,2\n0.008,1\n", "its remark says spacing x = 5e-06 m, its positions 4e-06 m"),
        (
            "x [m],y [m],z [m]\n0,0,1\n1,1,1\n2,2,1\n3,3,1\n4,4,0\n5,5,0\n6,6,0\n7,7,0\n8,8,0\n9,9,0\n10,10,0\n",
            "11 points would need a grid of 11 × 11",
        ),
        ("x [m],y [m],z [m]\n0,0,1\n1,0,1\n1,0,1\n", "two points lie on the same place"),
        ("x [m],y [m],z [m]\n0,0,1\n,0,1\n1,0,1\n", "a position along x is missing"),
        ("x [m],y [m],z [m]\n0,0,1\n1,0,1\n2.5,0,1\n3,0,1\n4,0,1\n", "positions along x are not in even steps"),
        ("x [m],y [m],z [m]\n-1e308,0,1\n1e308,0,1\n", "positions along x are no lengths on a piece"),
    ],
)
def test_a_text_that_cannot_be_is_one_sentence(text, found, tmp_path):
    got = sentence(text.encode(), tmp_path)
    assert any(part in got for part in found.split("|"))


def test_everything_that_a_table_lacks_is_said_at_once(tmp_path):
    path = tmp_path / "a"
    path.write_text("1,2\n", encoding="utf-8")
    with pytest.raises(InputProblems) as raised:
        open_surface(path)
    assert [one.key for one in raised.value.problems] == ["spacing x", "height unit"]


def test_a_very_long_line_is_refused_before_it_is_cut_up(tmp_path):
    for text in (TABLE + "1," * 2_100_000 + "1\n", TABLE + "1,2\n" + "1," * 2_100_000, " " * 3_000_000 + "[x\n1,2\n"):
        path = tmp_path / "a"
        path.write_text(text, encoding="utf-8")

        def read(path=path):
            with pytest.raises(InputProblems):
                open_surface(path)

        assert measured_peak(read) < 60e6


def test_more_heights_than_are_read_are_refused(tmp_path, monkeypatch):
    from evenlay.files.surfaces import text

    assert MOST_POINTS >= 25_000 * 1000  # 100 mm at 4 µm, a thousand rows
    monkeypatch.setattr(text, "MOST_POINTS", 5)
    assert "it has more than 0 million heights" in sentence((TABLE + "1,2\n3,4\n5,6\n").encode(), tmp_path)


def test_no_reader_warns(tmp_path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        (tmp_path / "a").write_bytes(binary_sdf() + b"Source = C:\\quick\\path\r\nGrainAlong = z\r\n")
        read = open_surface(tmp_path / "a")
    assert (read.along, read.source) == ("", "C:\\quick\\path")
