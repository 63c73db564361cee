"""
Run the commands that stand in a page: ``python docs/run_pages.py docs/tutorial.md`` shows what they print.

A page is a story told in one folder, from top to bottom:

- in a ``console`` block, a line that begins with ``$ evenlay`` is run; ``# exit 2`` at its end says that it leaves that code,
  else 0; lines below it are what it prints, numbers apart, with ``...`` where lines are left out;
- a ``toml`` block whose first line is ``# lids/job.toml`` changes those keys of that job file;
- a ``text`` block whose first line is ``# name.csv`` is written to that file.
"""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import tomlkit

Draw = Callable[[Any], Mapping[str, bytes]]

FENCE: Final = re.compile(r"^```(?P<kind>console|toml|text)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
NUMBER: Final = re.compile(r"\d[\d.,]*(?:e[+-]?\d+)?")
EXIT: Final = re.compile(r"\s+# exit (?P<code>\d)$")


@dataclass(frozen=True)
class Command:
    """One command of a page, the exit it states and the lines it shows."""

    line: str
    exit: int
    shown: tuple[str, ...]


@dataclass(frozen=True)
class Outcome:
    """What a command really did."""

    command: Command
    exit: int
    printed: str

    def wrong(self) -> list[str]:
        """What the page says and the program does not do."""
        found = [] if self.exit == self.command.exit else [f"exit {self.exit}, the page says {self.command.exit}"]
        printed = shape(self.printed)
        at = 0
        for line in self.command.shown:
            where = printed.find(shape(line), at)
            if where < 0:
                found.append(f"does not print {line.strip()!r}")
            else:
                at = where
        return found


def shape(text: str) -> str:
    """Text with every number replaced and every gap made one space: what stays when only values move."""
    return " ".join(NUMBER.sub("#", text).split())


def blocks(text: str) -> Iterator[tuple[str, str]]:
    """Kind and body of every block of a page that is run."""
    for found in FENCE.finditer(text):
        yield found["kind"], found["body"]


def commands(body: str) -> list[Command]:
    """Commands of one console block."""
    made: list[Command] = []
    joined = body.replace("\\\n", " ")
    for line in joined.splitlines():
        if line.startswith("$ "):
            stated = EXIT.search(line)
            made.append(Command(EXIT.sub("", line[2:]), int(stated["code"]) if stated else 0, ()))
        elif made and line.strip() and line.strip() != "...":
            last = made[-1]
            made[-1] = Command(last.line, last.exit, (*last.shown, line))
    return made


def put(document: Any, table: Mapping[str, Any]) -> None:
    """Put a table's values into a job document; a list of sections takes them in its first."""
    for key, value in table.items():
        if isinstance(value, dict) and "value" not in value:
            inner = document.setdefault(key, {})
            put(inner[0] if isinstance(inner, list) else inner, value)
        elif isinstance(value, dict):
            entry = tomlkit.inline_table()
            entry.update(value)
            document[key] = entry
        else:
            document[key] = value


def run_page(file: Path, home: Path, draw: Draw) -> list[Outcome]:
    """
    Run a page's blocks in order in an empty folder.

    Parameters
    ----------
    file : Path
        The page.
    home : Path
        Empty folder to work in.
    draw : callable
        From a plan to its pictures.
    """
    from evenlay.cli.app import run

    done: list[Outcome] = []
    with contextlib.chdir(home):
        for kind, body in blocks(file.read_text(encoding="utf-8")):
            first = body.partition("\n")[0].removeprefix("# ").strip()
            if kind == "text" and body.startswith("# "):
                Path(first).write_text(body, encoding="utf-8")
            elif kind == "toml" and first.endswith("job.toml"):
                document = tomlkit.parse(Path(first).read_text(encoding="utf-8"))
                put(document, tomllib.loads(body))
                Path(first).write_text(tomlkit.dumps(document), encoding="utf-8")
            elif kind == "console":
                for command in commands(body):
                    printed = io.StringIO()
                    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
                        left = run(shlex.split(command.line)[1:], draw=draw)
                    done.append(Outcome(command, left, printed.getvalue()))
    return done


def main() -> None:
    """Print what the commands of the pages named print."""
    from evenlay.__main__ import _draw

    for name in sys.argv[1:]:
        with tempfile.TemporaryDirectory() as home:
            for outcome in run_page(Path(name).resolve(), Path(home), _draw):
                print(f"$ {outcome.command.line}  # exit {outcome.exit}\n{outcome.printed}")
                for wrong in outcome.wrong():
                    print(f"!! {wrong}")


if __name__ == "__main__":
    main()
