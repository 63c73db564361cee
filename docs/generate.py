"""
Pages that the program writes about itself: ``python docs/generate.py`` writes them, ``--check`` names those that are stale.

A test does the same check, so a page never tells of a command, key, unit or source that is not there.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent
sys.path.insert(0, str(HERE))

import published  # noqa: E402 - the folder of this script is no package
import simulated  # noqa: E402
from paper import code, page, table  # noqa: E402
from read_off import commands_page, job_file_page, plan_json_page  # noqa: E402

# Units ---------------------------------------------------------------------------------------------------------------


def units_page() -> str:
    """The table of units: kinds, units, factors, other spellings."""
    from evenlay.quantities.units import KINDS, OFFSETS, SPELLINGS

    rows = []
    for name, kind in KINDS.items():
        others = sorted(written for written, unit in SPELLINGS.items() if unit in kind.units and written not in kind.units)
        units = ", ".join(f"`{unit}`" if unit else "none" for unit in kind.units)
        rows.append((f"<a id='{name}'></a>{name.replace('_', ' ')}", units, code(kind.example), ", ".join(code(each) for each in others)))
    factors = [
        (code(unit), kind.word, f"{factor:.10g}" + (f", then add {OFFSETS[unit]:.10g}" if unit in OFFSETS else ""))
        for kind in KINDS.values()
        for unit, factor in kind.units.items()
        if unit
    ]
    return page(
        "Units",
        "Quantities are text with their unit, metric or inch, everywhere a quantity is read: job file, options, table headers. A number "
        "without a unit is refused, except ratios and counts. Inside, everything is SI; a rotation is in turns per second.",
        "A size is two lengths: `420 mm x 300 mm`, `16.5 x 12 in`. A grit always carries its scale: `P180` (FEPA, ISO 6344) or `US 180` "
        "(the older American scale); a bare `180` is refused, because the two scales part above 220.",
        "## Kinds",
        table(("kind", "units", "example", "other spellings"), rows),
        "## Factors",
        "SI = number × factor.",
        table(("unit", "of", "factor"), factors),
    )


# Causes and measurements ---------------------------------------------------------------------------------------------


def causes_page() -> str:
    """The register of causes: what each prints, remembers, and how it is cured and checked."""
    from evenlay.decisions.causes import REGISTER

    parts = [
        "Every cause of lines the program knows. How each strength is worked out stands in [causes](../theory/causes.md). "
        "`across` means that the spacing is measured across the grain, so the lines run along it; `along` the reverse.",
    ]
    for cause in REGISTER:
        parts += [
            f"## {cause.key}",
            table(
                (cause.label, ""),
                [
                    ("spacing measured", cause.direction),
                    ("memory", cause.memory),
                    ("place", cause.place),
                    ("remedy", cause.remedy),
                    ("what the remedy costs", cause.remedy_cost),
                    ("check", cause.check),
                ],
            ),
        ]
    return page("Causes", *parts)


def measurements_page() -> str:
    """The register of measurements that a plan may ask for."""
    from evenlay.decisions.measurements import MEASUREMENTS
    from evenlay.decisions.situation import TRADE_NAMES

    rows = [
        (
            code(each.name),
            each.title,
            f"{each.minutes:.0f}",
            ", ".join(TRADE_NAMES.get(seen.quantity, seen.quantity.replace("_", " ")) for seen in each.observables),
            each.how,
        )
        for each in MEASUREMENTS
    ]
    return page(
        "Measurements",
        "What `plan` may name under *measure next*. Minutes are guesses. How much a band would shrink is worked out from the instrument's "
        "noise ([what is known](../theory/known.md)).",
        table(("name", "what", "minutes", "what it reads", "where the reading goes"), rows),
    )


# Sources -------------------------------------------------------------------------------------------------------------


def sources_page() -> str:
    """Every source the program cites."""
    from evenlay.data import sources

    parts = [
        "Every source that a formula, a shipped value or a remark cites. `read`: somebody read the page. `from memory`: the number is "
        "remembered and waits for the page. `derived`: worked out here, with the derivation in the docstring or under *theory*.",
    ]
    for key, entry in sorted(sources().items()):
        about = ", ".join(str(entry[name]) for name in ("author", "year", "pages") if entry.get(name))
        parts += [
            f"## {key}",
            f"{entry['title']}. {about}. Status: {entry['status']}." + (f" {entry['note']}" if entry.get("note") else ""),
        ]
    return page("Sources", *parts)


# Decisions -----------------------------------------------------------------------------------------------------------


def decisions_page() -> str:
    """Index of the numbered records."""
    rows = []
    names = []
    for file in sorted((HERE / "decisions").glob("[0-9]*.md")):
        lines = file.read_text(encoding="utf-8").splitlines()
        head = {line.split(":", 1)[0].strip("- "): line.split(":", 1)[1].strip() for line in lines[:8] if ":" in line}
        title = lines[0].removeprefix("# ")
        rows.append((file.name[:4], f"[{title.split(' ', 1)[1]}]({file.name})", head.get("Status", ""), head.get("Date", "")))
        names.append(file.stem)
    toc = "```{toctree}\n:hidden:\n:maxdepth: 1\n\n" + "\n".join(names) + "\n```"
    return page(
        "Decisions", "Why the house is built as it is. Withdrawn records stay.", table(("number", "what", "status", "date"), rows), toc
    )


# Validation ----------------------------------------------------------------------------------------------------------


def validation_page() -> str:
    """Published values, ours beside them; then every test file of a source."""
    parts = [
        "Each row is a published value that the tests hold us to. Of a table with many values the worst is shown. *Ours* is worked out "
        "when this page is written, from the same tables in `tests/reference` as the tests; *allowed* is the tolerance of the test, whose "
        "reason stands beside it. `test_...` files lie in `tests/validation` unless said. Sources: [sources](reference/sources.md).",
        "What these rows do not show: that brushed metal follows the laws. No constant of belts on stainless and no human threshold on "
        "brushed metal is published well enough for that; those are bands until you measure.",
    ]
    for name, rows in published.GROUPS.items():
        cells = [(row.what, row.source, row.theirs, row.ours, row.error, row.allowed, code(row.test)) for row in rows()]
        parts += [f"## {name}", table(("what", "source", "source's value", "ours", "error", "allowed", "test"), cells)]
    files = sorted((published.TESTS / "validation").glob("test_*.py"))
    parts += [
        "## Every source that is tested",
        table(("test", "source"), [(code(file.name), published.first_line(file)) for file in files]),
    ]
    return page("Validation", *parts)


PAGES: Final[Mapping[str, Callable[[], str]]] = {
    "reference/commands.md": commands_page,
    "reference/job-file.md": job_file_page,
    "reference/units.md": units_page,
    "reference/causes.md": causes_page,
    "reference/measurements.md": measurements_page,
    "reference/plan-json.md": plan_json_page,
    "reference/sources.md": sources_page,
    "decisions/index.md": decisions_page,
    "validation.md": validation_page,
    "validation-lines.md": simulated.lines_page,
}
"""Every generated page and what makes it."""


def stale() -> list[str]:
    """Pages whose file is not what the program would write now."""
    return [name for name, make in PAGES.items() if not (HERE / name).is_file() or (HERE / name).read_text(encoding="utf-8") != make()]


def main() -> int:
    """Write the pages, or name the stale ones."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="name stale pages and write nothing")
    if parser.parse_args().check:
        for name in stale():
            print(f"stale: docs/{name}; run python docs/generate.py")
        return 1 if stale() else 0
    for name in stale():
        (HERE / name).write_text(PAGES[name](), encoding="utf-8")
        print(f"wrote docs/{name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
