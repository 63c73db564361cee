"""Pages read off the program: commands, the job file, plan.json."""

from __future__ import annotations

import inspect
import types
import typing
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Final, Literal

from paper import code, page, table

# Commands ------------------------------------------------------------------------------------------------------------


def commands() -> Iterator[tuple[str, Any]]:
    """Every command by its full name, in the order of the help."""
    import typer.main

    from evenlay.cli.app import app

    def walk(name: str, command: Any) -> Iterator[tuple[str, Any]]:
        inner = getattr(command, "commands", None)
        if inner is None:
            yield name, command
            return
        for each in inner.values():
            yield from walk(f"{name} {each.name}", each)

    yield from walk("evenlay", typer.main.get_command(app))


def commands_page() -> str:
    """Every command with its arguments and options, from the program's own help."""
    parts = [
        "Every command takes a job folder (`surface` a file), prints one screen and leaves an exit code ([exits](exits.md)). "
        "`evenlay COMMAND --help` shows the same as this page. `evenlay --version` prints the version.",
    ]
    for name, command in commands():
        lines = [line.strip() for line in inspect.cleandoc(command.help or "").splitlines()]
        words = " ".join(line for line in lines if line and not line.startswith("evenlay "))
        example = next((line for line in lines if line.startswith("evenlay ")), "")
        rows = [
            (code(_spelling(parameter)), getattr(parameter, "help", None) or "", _default(parameter))
            for parameter in command.params
            if parameter.name != "help"
        ]
        if name.startswith("evenlay add "):
            rows.insert(0, (code("JOB"), "Job folder; stands before the kind: `" + name.replace("add ", "add JOB ", 1) + "`.", "needed"))
        parts += [
            f"## {name}",
            words,
            f"```\n{example}\n```" if example else "",
            table(("argument or option", "what", "if left out"), rows),
        ]
    return page("Commands", *parts)


def _spelling(parameter: Any) -> str:
    if parameter.param_type_name == "argument":
        return str(parameter.metavar or parameter.name.upper()).strip("[]")
    return " / ".join((*parameter.opts, *parameter.secondary_opts))


def _default(parameter: Any) -> str:
    if parameter.required:
        return "needed"
    value = parameter.default
    if callable(value) or value is None or value in ("", (), []) or "Sentinel" in type(value).__name__:
        return ""
    if isinstance(value, bool):
        named = parameter.opts if value else parameter.secondary_opts
        return code(named[0]) if named else ""
    return code(str(value))


# The job file --------------------------------------------------------------------------------------------------------

SECTION_WORDS: Final[Mapping[str, str]] = {
    "job": "What was asked for, and how sure the plan must be.",
    "part": "The metal.",
    "face": "One section `[[face]]` for each face, each with an id.",
    "viewing": "From where, in what light and by whom the face is judged.",
    "step": "One section `[[step]]` for each step, in the order done; the sections below belong to it.",
    "step.wheel": "What backs the belt.",
    "step.belt": "The belt.",
    "step.drive": "What turns the wheel.",
    "step.settings": 'What can be set. Any of these may be `"choose"`: the plan then looks for the best.',
    "step.model": "What this belt does to this metal. `evenlay add` measures the first ones.",
    "path": "The path of the tool over the face.",
    "device": "What holds the force.",
    "limits": "What the plan must keep, and the ranges in which it may choose.",
    "dust": "Where the dust goes.",
}


def job_file_page() -> str:
    """Every key of the job file: meaning, what may stand there, the value that ships, with its band, how it is known and its source."""
    from evenlay.job.records import SCHEMA, SECTIONS, key_register

    keys = key_register()
    parts = [
        f"A job is a folder with a file `job.toml` (`schema = {SCHEMA}`). `evenlay start` writes it complete: every value that was "
        "not given stands there with its band, how it is known and where it comes from. Every quantity is text with its "
        "unit ([units](units.md)).",
        "A value is a text, or a table:",
        '```toml\nforce = "35 N"\n'
        'force = { value = "35 N", low = "31 N", high = "39 N", known = "measured", source = "spring scale, 3 readings" }\n```',
        "`low` and `high` are its 5 % and 95 % points. `known` is `guess`, `handbook`, `fitted`, `measured` or `asked` "
        '([what is known](../theory/known.md)). `for = "P180"` says that the value holds for that grit (alloy, wheel) only: it gives way '
        "to the shipped value when the job no longer has it. Bare text has no band.",
        "Unknown keys are refused with the nearest known one. All problems are listed at once. "
        "Values that depend on alloy, wheel or incoming finish are listed for each; those that follow from the grit for three grits. "
        "Where `[limits]` says nothing, force, feed and belt speed may be chosen within the band of their starting values in "
        "`[step.settings]`.",
    ]
    for section in SECTIONS:
        rows = [
            (code(key.rsplit(".", 1)[1]), field.meaning, _allowed(field)) for key, field in keys.items() if key.rsplit(".", 1)[0] == section
        ]
        name = f"[[{section}]]" if section in ("face", "step") else f"[{section}]"
        parts += [f"## `{name}`", SECTION_WORDS[section], table(("key", "meaning", "what may stand there"), rows)]
        shipped = [row for row in shipped_rows() if row[0].rsplit(".", 1)[0] == section]
        if shipped:
            cells = [(code(key.rsplit(".", 1)[1]), *rest) for key, *rest in shipped]
            parts += ["Shipped:", table(("key", "for", "value", "band", "known", "source"), cells)]
    return page("The job file", *parts)


def _allowed(field: Any) -> str:
    """What may stand in a field; for quantities kind and range, because the units of a kind stand on their own page."""
    from evenlay.job.amounts import Amount
    from evenlay.quantities.units import KINDS

    if not isinstance(field, Amount):
        return str(field.allowed())
    words = "".join(f', or "{word}"' for word in field.words)
    return f"{KINDS[field.kind].word} from {field.lowest} to {field.highest}{words}"


def shipped_rows() -> list[tuple[str, str, str, str, str, str]]:
    """Dotted key, what it holds for, value, band, how known, source; from the shipped tables of day zero and of wheels."""
    from evenlay.data import load
    from evenlay.job.records import key_register

    known = set(key_register())
    rows = []

    def put(key: str, holds_for: str, entry: Any) -> None:
        if isinstance(entry, Mapping) and "value" in entry and key in known:
            band = f"{entry['low']} to {entry['high']}" if "low" in entry else ""
            rows.append((key, holds_for, str(entry["value"]), band, str(entry["known"]), str(entry["source"])))
        elif isinstance(entry, Mapping) and "value" not in entry:
            for name, inner in entry.items():
                put(key, str(name), inner)

    for section, entries in load("dayzero").items():
        dotted = f"step.{section}" if section in ("wheel", "belt", "drive", "settings", "model") else section
        for name, entry in entries.items():
            put(f"{dotted}.{name}", "", entry)
    for kind, entries in load("wheels").items():
        if isinstance(entries, Mapping):
            for name, entry in entries.items():
                put(f"step.wheel.{name}", "" if kind in ("all", "any", "common") else kind, entry)
    for alloy, entries in load("alloys").items():
        if isinstance(entries, Mapping):
            put("step.model.removal_coefficient", str(alloy), entries.get("removal_coefficient"))
    return [*rows, *_grain_rows()]


def _grain_rows() -> list[tuple[str, str, str, str, str, str]]:
    """What a grit suggests, for three grits."""
    from evenlay.job.amounts import SHIPPED, written
    from evenlay.job.effective import kind_of
    from evenlay.job.shipped import grain_values
    from evenlay.quantities.grit import Grit

    rows = []
    for number in (80, 180, 320):
        for key, value in grain_values(Grit("P", number)).items():
            if key != "belt.median_grain":
                text = written(value, kind_of(key), 3)
                band = f"{text['low']} to {text['high']}"
                rows.append((f"step.{key}", f"P{number}", text["value"], band, value.known, value.source.removeprefix(SHIPPED)))
    return rows


# plan.json -----------------------------------------------------------------------------------------------------------


def plan_json_page() -> str:
    """The schema of plan.json, from the records."""
    from evenlay.job.answer_parts import Stamp
    from evenlay.job.plan_record import PlanRecord

    version = typing.get_args(Stamp.model_fields["schema_version"].annotation)[0]
    parts = [
        f"`evenlay plan` writes `plan.json` into the job folder; `plan --json` prints the same. Version of this schema: "
        f"`stamp.schema_version = {version}`. A version keeps its keys and their meaning; later versions may add keys. "
        "All numbers are SI: m, N, m/s, Pa, s, K, W, N·m, radians, shares as parts of one. There is no NaN. "
        "The file is written whole or not at all.",
        'A *not known yet* stands as `{"not_known": true, "measure": "..."}` where nobody has measured what the number needs.',
    ]
    done: set[str] = set()
    queue: list[Any] = [PlanRecord]
    while queue:
        record = queue.pop(0)
        if record.__name__ in done:
            continue
        done.add(record.__name__)
        rows = []
        for name, field in record.model_fields.items():
            words, inner = _type_words(field.annotation)
            rows.append((code(name), words, "may be left out" if not field.is_required() else ""))
            queue += inner
        about = _prose(inspect.cleandoc(record.__doc__ or ""))
        parts += [f"## {record.__name__}", about, table(("key", "type", ""), rows)]
    return page("plan.json", *parts)


def _prose(text: str) -> str:
    return text.replace("``", "`")


def _type_words(kind: Any) -> tuple[str, list[Any]]:
    """A type in words, and the records inside it."""
    origin, inside = typing.get_origin(kind), typing.get_args(kind)
    if origin is Annotated:
        return _type_words(inside[0])
    if origin is Literal:
        return "one of " + ", ".join(code(str(each)) for each in inside), []
    if origin in (typing.Union, types.UnionType):
        made = [_type_words(each) for each in inside]
        return " or ".join(words for words, _ in made), [each for _, found in made for each in found]
    if origin is tuple:
        if len(inside) == 2 and inside[1] is Ellipsis:
            words, found = _type_words(inside[0])
            return f"list of {words}", found
        made = [_type_words(each) for each in inside]
        return "[" + ", ".join(words for words, _ in made) + "]", [each for _, found in made for each in found]
    if hasattr(kind, "model_fields"):
        return f"[{kind.__name__}](#{kind.__name__.lower()})", [kind]
    names = {float: "number", int: "whole number", str: "text", bool: "true or false", type(None): "null"}
    return names.get(kind, str(kind)), []
