"""The documentation is complete, current, and what it shows runs."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import evenlay.physics
from evenlay.cli.exits import Exit
from evenlay.data import sources
from evenlay.decisions.causes import REGISTER
from evenlay.decisions.situation import UNKNOWN_NAMES
from evenlay.job.records import key_register
from evenlay.quantities.remarks import LEVELS
from evenlay.quantities.units import KINDS

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
SOURCE = ROOT / "src" / "evenlay"
PAGES = sorted(DOCS.rglob("*.md"))
STORIES = [DOCS / "tutorial.md", *sorted((DOCS / "how-to").glob("[a-z]*.md"))]
STORIES = [page for page in STORIES if page.name != "index.md"]


def name_of(page: Path) -> str:
    return str(page.relative_to(DOCS))


def text_of(page: str) -> str:
    return (DOCS / page).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def scripts() -> Iterator[Mapping[str, ModuleType]]:
    sys.path.insert(0, str(DOCS))
    try:
        yield {name: importlib.import_module(name) for name in ("generate", "read_off", "run_pages")}
    finally:
        sys.path.remove(str(DOCS))


def headings(text: str) -> list[str]:
    return [line.lstrip("#").strip().strip("`") for line in text.splitlines() if line.startswith("#")]


def anchors(page: Path) -> set[str]:
    """Anchors of a page's headings, as the builder makes them."""
    return {re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-") for heading in headings(page.read_text(encoding="utf-8"))}


@pytest.mark.slow
def test_pages_that_the_program_writes_are_current(scripts: Mapping[str, ModuleType]) -> None:
    assert scripts["generate"].stale() == [], "run python docs/generate.py"


def test_a_generated_page_that_somebody_edits_is_found_stale(scripts: Mapping[str, ModuleType], tmp_path: Path, monkeypatch: Any) -> None:
    generate = scripts["generate"]
    pages = {"units.md": generate.PAGES["reference/units.md"]}
    monkeypatch.setattr(generate, "HERE", tmp_path)
    monkeypatch.setattr(generate, "PAGES", pages)
    assert generate.stale() == ["units.md"]
    (tmp_path / "units.md").write_text(pages["units.md"](), encoding="utf-8")
    assert generate.stale() == []
    (tmp_path / "units.md").write_text("edited by hand", encoding="utf-8")
    assert generate.stale() == ["units.md"]


def test_every_command_and_option_is_documented(scripts: Mapping[str, ModuleType]) -> None:
    page = text_of("reference/commands.md")
    for name, command in scripts["read_off"].commands():
        assert f"## {name}\n" in page
        section = page.split(f"## {name}\n", 1)[1].split("\n## ", 1)[0]
        for parameter in command.params:
            for option in parameter.opts if parameter.param_type_name == "option" and parameter.name != "help" else ():
                assert option in section, f"{name} {option}"


def test_every_command_has_help_with_an_example_that_begins_with_its_name(scripts: Mapping[str, ModuleType]) -> None:
    for name, command in scripts["read_off"].commands():
        first = name.rsplit(" ", 1)[1]
        assert re.search(rf"evenlay .*\b{first}\b", command.help), name
        for parameter in command.params:
            assert parameter.name == "help" or parameter.help, f"{name}: {parameter.name} has no help"


@pytest.mark.parametrize("key", key_register())
def test_every_key_of_the_job_file_is_documented(key: str) -> None:
    section, _, name = key.rpartition(".")
    page = text_of("reference/job-file.md")
    title = f"## `[[{section}]]`" if section in ("face", "step") else f"## `[{section}]`"
    assert f"| `{name}` |" in page.split(title + "\n", 1)[1].split("\n## ", 1)[0]


def test_every_unit_is_documented() -> None:
    page = text_of("reference/units.md")
    for kind in KINDS.values():
        for unit in kind.units:
            assert not unit or f"| `{unit}` |" in page


def test_every_exit_is_documented() -> None:
    page = text_of("reference/exits.md")
    for left in Exit:
        assert f"| {left.value} |" in page


def test_every_source_is_documented() -> None:
    assert set(sources()) <= set(headings(text_of("reference/sources.md")))


@pytest.mark.parametrize("cause", REGISTER, ids=lambda cause: cause.key)
def test_every_cause_has_its_theory_with_memory_and_remedy(cause: Any) -> None:
    page = text_of("theory/causes.md")
    section = page.split(f"## {cause.key}\n", 1)[1].split("\n## ", 1)[0]
    for word in ("Spacing", "Chain", "Memory", "Remedy"):
        assert word in section or (cause.key == "feed-dip" and word == "Spacing"), word


def remark_codes() -> dict[str, str]:
    """Every code of a remark in the source, with its module; codes handed through a function are followed to its calls."""
    found: dict[str, str] = {}
    for file in sorted(SOURCE.rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
        handed: dict[str, int] = {"Remark": 0}
        for function in ast.walk(tree):
            if isinstance(function, ast.FunctionDef):
                names = [argument.arg for argument in function.args.args]
                for node in ast.walk(function):
                    inner = node.args[0] if isinstance(node, ast.Call) and node.args and getattr(node.func, "id", "") == "Remark" else None
                    if isinstance(inner, ast.Name) and inner.id in names:
                        handed[function.name] = names.index(inner.id)
        for call in calls:
            name = call.func.id  # type: ignore[attr-defined]
            if name not in handed:
                continue
            given = call.args[handed[name]] if len(call.args) > handed[name] else next(k.value for k in call.keywords if k.arg == "code")
            if isinstance(given, ast.Constant):
                found[str(given.value)] = file.name
            else:
                assert isinstance(given, ast.Name) and len(handed) > 1, f"{file.name}:{call.lineno}: the code of a remark must be readable"
    return found


CODES = remark_codes()


def test_remarks_are_found_in_the_source() -> None:
    assert len(CODES) > 40
    assert CODES["footprint-noisy"] == "footprint.py"  # handed through a function


@pytest.mark.parametrize("code", sorted(CODES))
def test_every_remark_says_what_it_means_why_what_to_do_and_its_source(code: str) -> None:
    page = text_of("reference/remarks.md")
    assert f"### {code}\n" in page, f"{code} of {CODES[code]} has no section"
    section = page.split(f"### {code}\n", 1)[1].split("\n### ", 1)[0].split("\n## ", 1)[0]
    for part in ("Level", "What it means", "Why it matters", "What to do", "Source"):
        said = re.search(rf"^{part}: (.+)$", section, re.MULTILINE)
        assert said and len(said[1]) > 3, part
    levels = re.search(r"^Level: (.+)\.$", section, re.MULTILINE)
    assert levels and set(levels[1].split(" or ")) <= set(LEVELS)


def test_no_remark_is_documented_that_the_program_does_not_make() -> None:
    listed = [line.removeprefix("### ") for line in text_of("reference/remarks.md").splitlines() if line.startswith("### ")]
    assert sorted(listed) == sorted(CODES)


def parameter_names() -> set[str]:
    found = set()
    for module in pkgutil.walk_packages(evenlay.physics.__path__, "evenlay.physics."):
        loaded = importlib.import_module(module.name)
        for name, function in vars(loaded).items():
            if inspect.isfunction(function) and not name.startswith("_") and function.__module__ == module.name:
                found |= set(inspect.signature(function).parameters)
    return found


def test_every_unknown_and_every_parameter_of_the_physics_stands_in_the_glossary() -> None:
    words = set(re.findall(r"`(\w+)`", text_of("reference/glossary.md")))
    assert sorted({*UNKNOWN_NAMES, *parameter_names()} - words) == []


def test_decision_records_have_their_head_and_their_four_parts() -> None:
    records = sorted((DOCS / "decisions").glob("[0-9]*.md"))
    assert [record.name[:4] for record in records] == [f"{number:04d}" for number in range(1, len(records) + 1)]
    for record in records:
        lines = record.read_text(encoding="utf-8").splitlines()
        assert lines[0].startswith(f"# {record.name[:4]} ")
        assert re.fullmatch(r"- Status: (proposed|accepted|withdrawn.*|replaced by \d{4})", lines[2])
        assert re.fullmatch(r"- Date: \d{4}-\d\d-\d\d", lines[3])
        assert [line for line in lines if line.startswith("## ")] == [
            "## Context",
            "## Choice",
            "## Rejected",
            "## What would change our mind",
        ]


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_inside_the_documentation_resolve(page: Path) -> None:
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    for target in re.findall(r"\]\(([^)]+)\)", text):
        assert not target.startswith(("http:", "https:")), "the pages are read off line"
        file, _, anchor = target.partition("#")
        aim = (page.parent / file).resolve() if file else page
        assert aim.is_file(), f"{name_of(page)} points at {target}"
        assert not anchor or anchor in anchors(aim), f"{name_of(page)} points at {target}"


@pytest.mark.slow
@pytest.mark.parametrize("page", STORIES, ids=name_of)
def test_commands_on_a_page_run_and_print_what_it_shows(page: Path, scripts: Mapping[str, ModuleType], tmp_path: Path) -> None:
    from evenlay.__main__ import _draw

    outcomes = scripts["run_pages"].run_page(page, tmp_path, _draw)
    assert outcomes, "a page without a command tells no story"
    wrong = [f"$ {outcome.command.line}: {each}" for outcome in outcomes for each in outcome.wrong()]
    assert wrong == []


def test_a_page_that_shows_what_is_not_printed_or_states_a_wrong_exit_is_caught(scripts: Mapping[str, ModuleType], tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("```console\n$ evenlay check nowhere   # exit 4\nall is well\n```\n", encoding="utf-8")
    (tmp_path / "home").mkdir()
    (outcome,) = scripts["run_pages"].run_page(page, tmp_path / "home", lambda plan: {})
    assert outcome.wrong() == ["exit 2, the page says 4", "does not print 'all is well'"]


def test_no_page_shows_a_command_that_no_test_runs() -> None:
    for page in PAGES:
        if page not in STORIES:
            assert "$ evenlay" not in page.read_text(encoding="utf-8"), name_of(page)
