"""Wrong files and wrong words, through the commands: one clear sentence each, never a traceback, nothing written or lost."""

import contextlib
import io
import re
import tracemalloc

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenlay.answers.start import start_job
from evenlay.cli.app import run

PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(200)
SENTENCE = re.compile(r"[^\n]{10,600}[.?]$")


def assert_sentences(said, *, least=1):
    """Exit 2, nothing on the screen, one sentence a line where errors go."""
    assert said.code == 2
    assert said.out == ""
    lines = said.err.splitlines()
    assert len(lines) >= least
    for line in lines:
        assert SENTENCE.fullmatch(line), line
        assert "Traceback" not in line and "Error" not in line and not re.search(r"[\x00-\x08\x1b]", line)
    return said.err


# The job file


def rewritten(content):
    return lambda folder: (folder / "job.toml").write_bytes(content)


def replaced(old, new):
    def wrong(folder):
        file = folder / "job.toml"
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new), encoding="utf-8")

    return wrong


def removed(folder):
    (folder / "job.toml").unlink()


def a_folder_instead(folder):
    (folder / "job.toml").unlink()
    (folder / "job.toml").mkdir()


def utf_16_without_a_mark(folder):
    file = folder / "job.toml"
    file.write_bytes(file.read_text(encoding="utf-8").encode("utf-16-le"))


WRONG_JOBS = {
    "empty": (rewritten(b""), "the file is empty"),
    "blank": (rewritten(b"\n \n\t\n"), "the file is empty"),
    "a picture": (rewritten(PNG), "this is a PNG picture"),
    "a zip": (rewritten(b"PK\x03\x04" + bytes(100)), "zip"),
    "a NUL byte": (replaced('name = "job"', 'name = "j\x00b"'), "NUL byte in line"),
    "UTF-16 without a mark": (utf_16_without_a_mark, "NUL byte|is not text"),
    "Latin-1": (rewritten('schema = 1\n[job]\nname = "Fläche"\n'.encode("latin-1")), "is not text in UTF-8"),
    "three megabytes": (rewritten(b"# much\n" * 430_000), "larger than"),
    "no file": (removed, "there is no job.toml in this folder"),
    "a folder": (a_folder_instead, "this is a folder|not a regular file|cannot be read"),
    "not a number": (replaced('force = "40 N"', 'force = "nan N"'), "force"),
    "a bare not a number": (replaced('force = "40 N"', "force = nan"), "force"),
    "infinity": (replaced('force = "40 N"', "force = inf"), "force"),
    "1e308": (replaced('feed = "120 mm/s"', 'feed = "1e308 mm/s"'), "feed"),
    "a negative width": (replaced('size = "420 mm x 300 mm"', 'size = "420 mm x -300 mm"'), "size"),
    "a negative force": (replaced('force = "40 N"', 'force = "-40 N"'), "force"),
    "an unknown key": (replaced('force = "40 N"', 'forse = "40 N"'), "forse.*force"),
    "an unknown section": (replaced("[viewing]", "[veiwing]"), "veiwing.*viewing"),
    "a wrong unit": (replaced('feed = "120 mm/s"', 'feed = "120 N"'), '"120 N" is a force'),
    "a bare number": (replaced('force = "40 N"', "force = 40"), "40 is a bare number"),
    "a bare grit": (replaced('grit = "P180"', 'grit = "180"'), "P180.*US 180"),
    "a bare number for a grit": (replaced('grit = "P180"', "grit = 180"), "P180.*US 180"),
    "grain along neither side": (replaced('grain = "along 420 mm"', 'grain = "along 410 mm"'), "must name one of its two sides"),
    "a quote left open": (replaced('force = "40 N"', 'force = "40 N'), "not closed|not TOML"),
    "a key twice": (replaced('force = "40 N"', 'force = "40 N"\nforce = "41 N"'), "twice"),
    "a later schema": (replaced("schema = 1", "schema = 99"), "schema"),
    "a hostile depth": (rewritten(b"a = " + b"[" * 5000), "not TOML"),
}


@pytest.mark.parametrize("wrong", WRONG_JOBS)
def test_a_wrong_job_file_is_a_sentence_from_every_command(evenlay, make_job, everything_in, wrong):
    folder = make_job()
    spoil, words = WRONG_JOBS[wrong]
    spoil(folder)
    before = everything_in(folder)
    for command in (
        ("check", folder),
        ("plan", folder),
        ("plan", folder, "--set", 'feed="100 mm/s"', "--json"),
        ("why", folder, "--spacing", "4 mm"),
        ("add", folder, "footprint", "--length", "19 mm", "--width", "50 mm"),
        ("add", folder, "weight", "--before", "8 g", "--after", "7 g", "--passes", "1", "--length", "1 m", "--resolution", "0.1 g"),
        ("add", folder, "depth", "--depth", "12 µm"),
    ):
        assert re.search(words, assert_sentences(evenlay(*command))), command
    assert_sentences(evenlay("undo", folder))
    assert everything_in(folder) == before


def test_utf_16_with_its_mark_is_read(evenlay, make_job):
    folder = make_job()
    file = folder / "job.toml"
    file.write_bytes(file.read_text(encoding="utf-8").encode("utf-16"))
    assert evenlay("check", folder).code == 0


def test_every_problem_of_a_job_file_is_said_at_once(evenlay, make_job):
    folder = make_job()
    for old, new in (
        ('force = "40 N"', 'force = "40 kg"'),
        ('feed = "120 mm/s"', "feed = 120"),
        ('grit = "P180"', 'grit = "180"'),
        ("[dust]", "[dusty]"),
    ):
        replaced(old, new)(folder)
    said = assert_sentences(evenlay("check", folder), least=4)
    for word in ("force", "feed", "grit", "dusty"):
        assert word in said
    assert re.search(r"job.toml line \d+", said)


@pytest.mark.parametrize("where", ["nowhere", "nowhere/deeper", "\N{SNOWMAN}", "-", "."])
def test_a_folder_without_a_job_is_a_sentence(evenlay, tmp_path, monkeypatch, where):
    monkeypatch.chdir(tmp_path)
    for command in (("check", where), ("plan", where), ("undo", where), ("why", where, "--spacing", "4 mm")):
        assert_sentences(evenlay(*command))
    assert not list(tmp_path.iterdir())


def test_a_job_may_not_be_made_where_a_file_stands(evenlay, tmp_path, everything_in):
    file = tmp_path / "taken"
    file.write_text("mine", encoding="utf-8")
    given = ("--face", "420 mm x 300 mm", "--grain", "along 420 mm")
    for where in (file, file / "deeper"):
        assert_sentences(evenlay("start", where, *given))
        assert_sentences(evenlay("start", where, "--example"))
    assert list(everything_in(tmp_path).values()) == [b"mine"]


def test_a_plan_that_cannot_be_written_is_a_sentence(evenlay, make_job):
    folder = make_job()
    (folder / "plan.json").mkdir()
    assert_sentences(evenlay("plan", folder))
    (folder / "plan.json").rmdir()
    (folder / "pictures").write_text("not a folder", encoding="utf-8")
    assert_sentences(evenlay("plan", folder, draw=lambda plan: {"a.png": b"x"}))


TOO_DEEP = pytest.param(b"[" * 100_000)


@pytest.mark.parametrize("left", [b"", b"{", b'{"settings": 1}', PNG, TOO_DEEP, b'{"settings": {"force": NaN}}'])
def test_a_broken_old_plan_does_not_stand_in_the_way(evenlay, make_job, left):
    folder = make_job(settings={"taper": "choose", "rounds": "1", "offsets": "choose"})
    (folder / "plan.json").write_bytes(left)
    assert evenlay("why", folder, "--spacing", "10 mm", "--along").code == 0
    assert evenlay("plan", folder).code == 0
    assert (folder / "plan.json").read_bytes().startswith(b'{\n "stamp"')


# Tables


HEAD = "y [mm],depth [um]\n"
WRONG_TABLES = {
    "missing": (None, "there is no such file"),
    "empty": (b"", "the file is empty"),
    "a picture": (PNG, "this is a PNG picture"),
    "NUL bytes": (b"y [mm],depth [um]\n0,1\x00\n", "NUL byte in line 2"),
    "not a number": ((HEAD + "0,1\n1,nan\n2,1\n").encode(), "line 3.*not a usable number"),
    "infinite": ((HEAD + "0,1\n1,1e999\n2,1\n").encode(), "line 3.*not a usable number"),
    "words": ((HEAD + "0,1\n1,deep\n").encode(), 'line 3.*"deep" is not a number'),
    "an empty cell": ((HEAD + "0,1\n1,\n").encode(), "line 3.*an empty cell"),
    "ragged": ((HEAD + "0,1\n1,2,3\n").encode(), "line 3.*3 cells where the header has 2"),
    "header only": (HEAD.encode(), "there is a header and no row"),
    "no header": (b"0,1\n1,2\n", "unknown column"),
    "one row": ((HEAD + "0,1\n").encode(), "."),
    "no unit": (b"y,depth\n0,1\n1,2\n", "no unit"),
    "wrong unit": (b"y [N],depth [um]\n0,1\n1,2\n", "the unit N of a force"),
    "both depth and darkness": (b"y [mm],depth [um],darkness\n0,1,1\n1,2,1\n", "both depth and darkness"),
    "an open quote": (b'y [mm],depth [um]\n0,"1\n1,2\n', "."),
    "all alike": ((HEAD + "".join(f"{y},0\n" for y in range(-40, 41))).encode(), "."),
}


@pytest.mark.parametrize("wrong", WRONG_TABLES)
def test_a_wrong_table_is_a_sentence_and_adds_nothing(evenlay, make_job, everything_in, tmp_path, wrong):
    folder, file = make_job(), tmp_path / "table.csv"
    content, words = WRONG_TABLES[wrong]
    if content is not None:
        file.write_bytes(content)
    before = everything_in(folder)
    assert re.search(words, assert_sentences(evenlay("add", folder, "footprint", "--file", file)))
    assert everything_in(folder) == before
    for other in ("weight", "depth"):
        assert_sentences(evenlay("add", folder, other, "--file", file, *(("--resolution", "0.1 g") if other == "weight" else ())))
    assert everything_in(folder) == before


def test_utf_16_tables_with_semicolons_and_decimal_commas_are_read(evenlay, make_job, tmp_path):
    file = tmp_path / "table.csv"
    rows = "".join(f"{y};{10.0 * min(1.0, max(0.0, (27.0 - abs(y)) / 6.0)):.1f}\n".replace(".", ",") for y in range(-40, 41))
    file.write_bytes(("y [mm];depth [µm]\n" + rows).encode("utf-16"))
    assert evenlay("add", make_job(), "footprint", "--file", file).code == 0


@pytest.mark.parametrize("kind", ["footprint", "weight", "depth"])
def test_two_hundred_megabytes_are_refused_without_reading_them(evenlay, make_job, everything_in, tmp_path, kind):
    folder, file = make_job(), tmp_path / "huge.csv"
    with file.open("wb") as huge:
        huge.write(HEAD.encode())
        huge.truncate(200_000_000)
    before = everything_in(folder)
    tracemalloc.start()
    try:
        said = evenlay("add", folder, kind, "--file", file, *(("--resolution", "0.1 g") if kind == "weight" else ()))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert "larger than 5 MB" in assert_sentences(said)
    assert peak < 40e6
    assert everything_in(folder) == before


def test_a_job_of_two_hundred_megabytes_is_refused_without_reading_it(evenlay, make_job):
    folder = make_job()
    with (folder / "job.toml").open("r+b") as huge:
        huge.truncate(200_000_000)
    assert "larger than" in assert_sentences(evenlay("check", folder))


# Options


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--length", "19"), "--length.*no unit"),
        (("--length", "19 kg"), "--length.*is a mass"),
        (("--length", "-19 mm"), "--length.*not above zero"),
        (("--length", "nan mm"), "--length"),
        (("--length", "1e308 mm"), "--length"),
        (("--length", ""), "."),
        (("--length", "19 mm", "--force", "40 mm"), "--force.*is a length"),
        (("--length", "19 mm", "--width", "0 mm"), "--width.*not above zero"),
        (("--length", "19 mm", "--inflation", "40 N"), "--inflation.*is a force"),
        (("--length", "19 mm", "--belt-metres", "5 s"), "--belt-metres.*is a time"),
        (("--length", "19 mm", "--step", "nope"), 'no step "nope"'),
        ((), "something is missing"),
    ],
)
def test_a_wrong_option_of_a_footprint_names_it(evenlay, make_job, everything_in, options, words):
    folder = make_job()
    before = everything_in(folder)
    assert re.search(words, assert_sentences(evenlay("add", folder, "footprint", *options)))
    assert everything_in(folder) == before


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"--before": "812 N"}, "--before.*is a force"),
        ({"--after": "900 g"}, "heavier after than before"),
        ({"--passes": "0"}, "passes"),
        ({"--passes": "-1"}, "passes"),
        ({"--length": "420"}, "--length.*no unit"),
        ({"--resolution": "1 mm"}, "--resolution.*is a length"),
        ({"--speed": "3 kg"}, "--speed"),
        ({"--feed": "inf m/s"}, "--feed"),
        ({"--repeats": "0"}, "repeats"),
    ],
)
def test_a_wrong_option_of_a_weighing_names_it(evenlay, make_job, everything_in, changes, words):
    folder = make_job()
    before = everything_in(folder)
    given = {"--before": "812.4 g", "--after": "810.9 g", "--passes": "10", "--length": "420 mm", "--resolution": "0.1 g", **changes}
    said = evenlay("add", folder, "weight", *(part for pair in given.items() for part in pair))
    assert re.search(words, assert_sentences(said))
    assert everything_in(folder) == before


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ("feed", 'write key="value"'),
        ("feed=", "feed"),
        ("feed=12", "12 is a bare number"),
        ("feed=120 N", "is a force"),
        ("nosuch=12 mm", "no such key"),
        ("belt.grit=180", "P180.*US 180"),
        ("face.size=1e308 mm x 1 mm", "size"),
        ("=", "."),
        ("feed={ value = 1 }", "feed"),
        ("feed=[", "."),
        ("step[9].settings.feed=1 mm/s", "step"),
        ("rounds=100000000000000000000000000000", "rounds"),
    ],
)
def test_a_wrong_change_names_it(evenlay, make_job, everything_in, changes, words):
    folder = make_job()
    before = everything_in(folder)
    assert re.search(words, assert_sentences(evenlay("plan", folder, "--set", changes)))
    assert everything_in(folder) == before


@pytest.mark.parametrize(
    "command",
    [
        ("frobnicate",),
        ("check",),
        ("plan", "a", "b"),
        ("why", "a"),
        ("check", "a", "--frob"),
        ("add", "a"),
        ("add", "a", "photo"),
        ("plan", "a", "--set"),
    ],
)
def test_a_command_that_is_not_one_points_to_help(evenlay, command):
    said = evenlay(*command)
    assert (said.code, said.out) == (2, "")
    assert said.err.endswith("See evenlay --help.\n")
    assert "Traceback" not in said.err


# Anything at all

LETTERS = st.characters(blacklist_characters="\x00")
TEXTS = st.one_of(
    st.text(LETTERS, max_size=30),
    st.from_regex(r"-?[0-9]{1,4}(\.[0-9]{1,3})?(e[0-9]{1,3})? ?(mm|N|m/s|mm/s|g|µm|bar|rpm|%|in|x|furlong)", fullmatch=True),
    st.sampled_from(
        ["nan mm", "inf N", "1e308 m", "--", "-", "=", "..", "P180", "US 180", "180", "choose", "420 mm x 300 mm", "along 420 mm", "\udc80"]
    ),
)
OPTIONS = {
    ("start",): ("--face", "--grain", "--alloy", "--sheet", "--asked", "--wheel", "--curvature", "--radius"),
    ("check", "JOB"): ("--face", "--step"),
    ("plan", "JOB", "--set", "rounds=0"): ("--set", "--why-visible", "--face", "--step"),
    ("why", "JOB"): ("--spacing", "--tolerance", "--face", "--step"),
    ("add", "JOB", "footprint"): ("--file", "--length", "--width", "--force", "--inflation", "--step", "--who", "--note", "--belt-metres"),
    ("add", "JOB", "weight"): (
        "--before",
        "--after",
        "--passes",
        "--length",
        "--resolution",
        "--repeats",
        "--force",
        "--speed",
        "--feed",
        "--file",
    ),
    ("add", "JOB", "depth"): ("--depth", "--width", "--passes", "--force", "--speed", "--feed", "--ra", "--name", "--file"),
    ("undo", "JOB"): ("--reason",),
}


@pytest.fixture(scope="module")
def standing_job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("anything") / "job"
    start_job(
        folder,
        face="420 mm x 300 mm",
        grain="along 420 mm",
        alloy="304",
        sheet="1.5 mm",
        asked="",
        wheel="pneumatic",
        curvature="flat",
        radius="",
    )
    return folder


def quiet(arguments):
    """Exit code, with both outputs swallowed as a pipe in UTF-8 would take them."""
    out, err = io.TextIOWrapper(io.BytesIO(), "utf-8"), io.TextIOWrapper(io.BytesIO(), "utf-8", errors="backslashreplace")
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(arguments, draw=lambda plan: {})
    err.flush()
    return code, err.buffer.getvalue().decode()


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.one_of(TEXTS, st.sampled_from(["start", "check", "why", "add", "undo", "footprint", "weight", "--json", "--help", "--face"])),
        max_size=6,
    )
)
def test_no_list_of_arguments_gives_a_traceback(tmp_path_factory, arguments):
    with contextlib.chdir(tmp_path_factory.getbasetemp()):
        code, err = quiet(arguments)
    assert code in (0, 2, 3, 4)
    assert "Traceback" not in err


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_text_of_an_option_gives_a_traceback(standing_job, data):
    command = data.draw(st.sampled_from(sorted(OPTIONS)))
    chosen = data.draw(st.lists(st.tuples(st.sampled_from(OPTIONS[command]), TEXTS), min_size=1, max_size=6))
    arguments = [str(standing_job) if part == "JOB" else part for part in command]
    code, err = quiet([*arguments, *(part for pair in chosen for part in pair)])
    assert code in (0, 2, 3, 4)
    if code == 2:
        assert err.strip()
