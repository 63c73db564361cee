"""Pages, tables and code as text."""

from __future__ import annotations

from typing import Final

WRITTEN: Final = "<!-- Written by docs/generate.py. Change the program or the script, not this page. -->"


def page(title: str, *parts: str) -> str:
    """One page from its parts."""
    return "\n\n".join((WRITTEN, f"# {title}", *(part.strip("\n") for part in parts if part))) + "\n"


def table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """A table; upright strokes inside cells are escaped."""

    def line(cells: tuple[str, ...]) -> str:
        return "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") or " " for cell in cells) + " |"

    return "\n".join((line(head), "|" + "---|" * len(head), *(line(row) for row in rows)))


def code(text: str) -> str:
    """Text as code, in a cell."""
    return f"`{text}`" if text else ""
