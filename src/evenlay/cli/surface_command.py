"""The command ``evenlay surface``: parse, one answer, print, write the picture."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from evenlay.cli.exits import Exit


def surface(  # noqa: PLR0913 - a command has one argument per option: that is how they are declared
    context: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A trace or height map: X3P, SDF, text, or 16-bit PNG of heights.")],
    cut_off: Annotated[str, typer.Option("--cut-off", help='Cut-off where it is agreed, as "0.8 mm"; else by the edition.')] = "",
    limit: Annotated[str, typer.Option("--limit", help='Largest Ra allowed, as "0.8 µm": it sets the cut-off.')] = "",
    edition: Annotated[str, typer.Option("--edition", help="21920 (ISO 21920-3, in force) or 4288 (ISO 4288, older drawings).")] = "21920",
    grain: Annotated[
        str,
        typer.Option("--grain", help="Axis the grain runs along, x or y; else as the file says, else by its look. A trace runs along x."),
    ] = "",
    job: Annotated[Path | None, typer.Option("--job", help="Job whose causes are offered each spacing found.")] = None,
    face: Annotated[str | None, typer.Option("--face", help="Face of that job, by its id; else the first.")] = None,
    step: Annotated[str | None, typer.Option("--step", help="Step of that job, by its id; else the first.")] = None,
    after: Annotated[
        Path | None, typer.Option("--after", help="The same face after a step that smooths (non-woven): what it left.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Write the surface as .x3p, .sdf, .csv, .txt or .png of heights.")] = None,
    picture: Annotated[Path | None, typer.Option("--picture", help="Draw map, row and spectrum to this .png.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON to standard output.")] = False,
    inch: Annotated[bool, typer.Option("--inch", help="Show inch units.")] = False,
) -> int:
    """
    Read any surface file: its numbers by the standard, its bands, its spacings and which cause of a job prints them.

    evenlay surface trace.csv --cut-off "0.8 mm" --job lids
    """
    from evenlay.answers.surface_files import write_picture
    from evenlay.answers.surface_numbers import read_surface_file
    from evenlay.cli.screens import print_json
    from evenlay.cli.surface_screen import show_surface

    asked = {"cut_off": cut_off, "limit": limit, "edition": edition, "grain": grain}
    answer = read_surface_file(file, asked=asked, after=after, out=out, job=job, place={"face": face, "step": step})
    record = answer.record if picture is None else write_picture(answer, picture, draw=context.obj)
    print_json(record) if json else show_surface(record, inch=inch)
    return Exit.ANSWER
