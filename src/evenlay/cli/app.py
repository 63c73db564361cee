"""The ``evenlay`` command: every subcommand is parse, one answer, print, exit code."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Final

import typer

from evenlay.cli.exits import Exit
from evenlay.cli.guard import guarded
from evenlay.cli.surface_command import surface

app = typer.Typer(
    name="evenlay",
    help="Plan an even linear grain with a belt and a robot, and know which line will show, from which cause, and what to change.",
    no_args_is_help=False,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
add_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, subcommand_metavar="KIND [OPTIONS]")
app.add_typer(add_app, name="add")

JobFolder = Annotated[Path, typer.Argument(metavar="JOB", help="Job folder, as made by evenlay start.")]
FaceName = Annotated[str | None, typer.Option("--face", help="Face to answer for, by its id; else the first.")]
StepName = Annotated[str | None, typer.Option("--step", help="Step to answer for, by its id; else the first.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON to standard output.")]
Inch = Annotated[bool, typer.Option("--inch", help="Show inch units.")]
Changes = Annotated[list[str] | None, typer.Option("--set", help='Try a change without editing, as feed="120 mm/s"; may be repeated.')]
Who = Annotated[str, typer.Option("--who", help="Who measured.")]
Note = Annotated[str, typer.Option("--note", help="What is worth remembering.")]
BeltMetres = Annotated[str, typer.Option("--belt-metres", help='Travel on this belt so far, as "1200 m".')]
Times = Annotated[str | None, typer.Option("--force", help='Force, as "40 N"; else that of the job.')]


@app.callback(invoke_without_command=True)
def entry(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Say what can be done next when nothing was asked."""
    if version:
        from evenlay import __version__

        typer.echo(f"evenlay {__version__}")
    elif context.invoked_subcommand is None:
        typer.echo(NEXT)


NEXT = """evenlay plans an even linear grain, and says which line will show.
Three things to do next:

  evenlay start lids --face "420 mm x 300 mm" --grain "along 420 mm" \\
    --alloy 304 --sheet "1.5 mm"    make a job from two dimensions
  evenlay start --example           copy the example job to look at
  evenlay --help                    every command
"""


@app.command()
def start(
    job: Annotated[Path | None, typer.Argument(metavar="[JOB]", help="Folder to make.")] = None,
    face: Annotated[str, typer.Option("--face", help='Size of the face, as "420 mm x 300 mm".')] = "",
    grain: Annotated[str, typer.Option("--grain", help='Grain direction, as "along 420 mm" or "across 420 mm".')] = "",
    alloy: Annotated[str, typer.Option("--alloy", help="304, 316, 430, 5052, 6061 or carbon steel.")] = "304",
    sheet: Annotated[str, typer.Option("--sheet", help='Thickness, as "1.5 mm".')] = "",
    asked: Annotated[str, typer.Option("--asked", help="The customer's sentence, word for word.")] = "",
    wheel: Annotated[str, typer.Option("--wheel", help="solid, pneumatic, expander, slack, platen or nonwoven.")] = "pneumatic",
    curvature: Annotated[str, typer.Option("--curvature", help='"flat", "convex along", "hollow across" and so on.')] = "flat",
    radius: Annotated[str, typer.Option("--radius", help="Radius of a curved face.")] = "",
    example: Annotated[bool, typer.Option("--example", help="Copy the example job instead (--alloy 6061 for the aluminium one).")] = False,
) -> None:
    """
    Make a job folder: complete, commented, every value not given standing with its band.

    evenlay start lids --face "420 mm x 300 mm" --grain "along 420 mm" --alloy 304 --sheet "1.5 mm"
    """
    from evenlay.answers.start import start_example, start_job
    from evenlay.cli.screens import show_start

    if example:
        made = start_example(job, alloy=alloy)
    else:
        made = start_job(
            job, face=face, grain=grain, alloy=alloy, sheet=sheet, asked=asked, wheel=wheel, curvature=curvature, radius=radius
        )
    show_start(made)


@app.command()
def check(
    job: JobFolder,
    face: FaceName = None,
    step: StepName = None,
    json: AsJson = False,
    inch: Inch = False,
    every: Annotated[bool, typer.Option("--all", help="Print the remedy of every mark, and what it costs.")] = False,
) -> int:
    """
    What geometry and clocks alone can say: speeds, patch length, every mark's spacing, clear speeds, reach, stops, gaps.

    evenlay check lids
    """
    from evenlay.answers.check import check_job
    from evenlay.cli.check_screen import show_check
    from evenlay.cli.screens import print_json

    answer = check_job(job, face_id=face, step_id=step)
    print_json(answer) if json else show_check(answer, inch=inch, every=every)
    return Exit.STOP if any(remark.level == "stop" for remark in answer.remarks) else Exit.ANSWER


@app.command()
def plan(
    context: typer.Context,
    job: JobFolder,
    face: FaceName = None,
    step: StepName = None,
    changes: Changes = None,
    why_visible: Annotated[str, typer.Option("--why-visible", help="Print the chain of one cause to the eye, as overlap.")] = "",
    json: AsJson = False,
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Write the three pictures.")] = True,
    inch: Inch = False,
    every: Annotated[bool, typer.Option("--all", help="Print every remark and every chain.")] = False,
) -> int:
    """
    Evaluate what is set, choose what is left open, and say how much each line will show.

    evenlay plan lids --set feed="120 mm/s"
    """
    from evenlay.answers.plan_files import known_cause, planned
    from evenlay.cli.plan_screen import show_plan
    from evenlay.cli.progress import progress_bar
    from evenlay.cli.screens import print_json

    cause = known_cause(why_visible) if why_visible else ""
    with progress_bar("choosing") as progress:
        answer = planned(job, changes=changes or [], face_id=face, step_id=step, draw=context.obj if pictures else None, progress=progress)
    if json:
        print_json(answer.plan, only=None if _plan_exit(answer) != Exit.STOP else UNDER_A_STOP)
    else:
        show_plan(answer, why_visible=cause, inch=inch, every=every)
    return _plan_exit(answer)


UNDER_A_STOP: Final = frozenset({"stamp", "job", "face", "step", "rests_on", "remarks", "handed_out"})
"""What is printed of a plan while a stop stands: no settings."""


def _plan_exit(answer: Any) -> int:
    if any(remark.level == "stop" for remark in answer.plan.remarks):
        return Exit.STOP
    missed = answer.plan.calibrated and answer.plan.level > answer.plan.target
    return Exit.NO_PLAN if answer.plan.breaches or missed else Exit.ANSWER


@app.command()
def sample(
    context: typer.Context,
    job: JobFolder,
    size: Annotated[str, typer.Option("--size", help='Size of the piece, along the grain first, as "100 mm x 50 mm".')],
    out: Annotated[Path | None, typer.Option("--out", help="Folder for map, picture and numbers; else sample in the job folder.")] = None,
    at: Annotated[str, typer.Option("--at", help='Its corner on the face, along and across, as "50 mm, 20 mm"; else the middle.')] = "",
    light: Annotated[
        str, typer.Option("--light", help='Tilt of the half vector across the grain, as "30°"; else where lines show most.')
    ] = "",
    face: FaceName = None,
    step: StepName = None,
    changes: Changes = None,
    vary: Annotated[str, typer.Option("--vary", help="Variants side by side, as feed=60,120,240mm/s.")] = "",
    compare: Annotated[Path | None, typer.Option("--compare", help="A measured surface to lay beside: X3P, SDF, text or PNG.")] = None,
    before: Annotated[Path | None, typer.Option("--before", help="A surface measured before a non-woven step, across the grain.")] = None,
    after: Annotated[Path | None, typer.Option("--after", help="The same face after it: the sample is smoothed as it was.")] = None,
    dpi: Annotated[int, typer.Option("--dpi", help="Dots per inch of the print, 100 to 1200.")] = 300,
    seed: Annotated[int | None, typer.Option("--seed", help="Seed of all chance; else that of the job.")] = None,
    threads: Annotated[int | None, typer.Option("--threads", help="Threads, 1 to 64; the bytes are the same for any.")] = None,
    json: AsJson = False,
) -> int:
    """
    Draw what the face will look like, cut grain by grain from the plan: map, picture at true scale, and numbers.

    evenlay sample lids --size "100 mm x 50 mm" --out lids/sample
    """
    from evenlay.cli.sample_run import draw_sample

    asked = {"size": size, "at": at, "light": light, "dpi": dpi, "seed": seed, "threads": threads, "vary": vary, "compare": compare}
    asked |= {"before": before, "after": after}
    about = {"changes": changes or [], "face_id": face, "step_id": step}
    return draw_sample(job, out=out, asked=asked, about=about, draw=context.obj, json=json)


@app.command()
def why(
    job: JobFolder,
    spacing: Annotated[str, typer.Option("--spacing", help='Spacing measured on the face, as "4.1 mm".')],
    along: Annotated[bool, typer.Option("--along/--across", help="Whether the spacing was measured along or across the grain.")] = False,
    tolerance: Annotated[str, typer.Option("--tolerance", help='How well it was measured, as "3 %".')] = "3 %",
    face: FaceName = None,
    step: StepName = None,
    json: AsJson = False,
    inch: Inch = False,
) -> int:
    """
    Rank the causes that could have printed a spacing, and name the one check that separates the two best.

    evenlay why lids --spacing "10 mm" --along
    """
    from evenlay.answers.why import why_spacing
    from evenlay.cli.screens import print_json, show_why

    answer = why_spacing(job, spacing=spacing, along=along, tolerance=tolerance, face_id=face, step_id=step)
    print_json(answer) if json else show_why(answer, inch=inch)
    return Exit.ANSWER


app.command()(surface)


@add_app.callback()
def add(context: typer.Context, job: JobFolder) -> None:
    """Add what was measured to a job: it is kept for good, and every plan uses it."""
    context.obj = job


@add_app.command("footprint")
def add_footprint(
    context: typer.Context,
    file: Annotated[Path | None, typer.Option("--file", help="CSV of depth or darkness across the pass.")] = None,
    length: Annotated[list[str] | None, typer.Option("--length", help='Length of the print along the grain, as "15 mm".')] = None,
    width: Annotated[list[str] | None, typer.Option("--width", help='Width of the print across, edge to edge, as "52 mm".')] = None,
    force: Times = None,
    inflation: Annotated[str, typer.Option("--inflation", help="Inflation at the print, if not that of the job.")] = "",
    on_face: Annotated[bool, typer.Option("--on-face", help="The print was made on the curved face itself, not on a flat coupon.")] = False,
    step: StepName = None,
    who: Who = "",
    note: Note = "",
    belt_metres: BeltMetres = "",
) -> int:
    """
    Add an inked footprint: three numbers, a CSV across the pass, or both.

    evenlay add lids footprint --length "15 mm" --width "52 mm" --force "40 N" --file footprint.csv
    """
    from evenlay.answers.add import add_footprint_to
    from evenlay.cli.screens import show_added

    about = {"step": step, "who": who, "note": note, "belt_metres": belt_metres}
    show_added(
        add_footprint_to(
            context.obj,
            file=file,
            lengths=length or [],
            widths=width or [],
            made={"force": force, "inflation": inflation, "on_face": "yes" if on_face else None},
            about=about,
        )
    )
    return Exit.ANSWER


@add_app.command("weight")
def add_weight(
    context: typer.Context,
    before: Annotated[list[str] | None, typer.Option("--before", help='Weight before, as "812.4 g"; repeat for more readings.')] = None,
    after: Annotated[list[str] | None, typer.Option("--after", help="Weight after; repeat for more readings.")] = None,
    passes: Annotated[int | None, typer.Option("--passes", help="Passes cut between.")] = None,
    length: Annotated[str, typer.Option("--length", help="Length of one pass on the metal.")] = "",
    resolution: Annotated[str, typer.Option("--resolution", help='One division of the scale, as "0.1 g".')] = "",
    repeats: Annotated[int, typer.Option("--repeats", help="Readings behind each number, if only means were noted.")] = 1,
    force: Times = None,
    speed: Annotated[str, typer.Option("--speed", help="Belt speed; else that of the job.")] = "",
    feed: Annotated[str, typer.Option("--feed", help="Feed; else that of the job.")] = "",
    file: Annotated[Path | None, typer.Option("--file", help="CSV of weighings, one coupon a row.")] = None,
    step: StepName = None,
    who: Who = "",
    note: Note = "",
    belt_metres: BeltMetres = "",
) -> int:
    """
    Add a weighing: what a coupon lost gives how fast the belt cuts, and says whether that scale could have seen it.

    evenlay add lids weight --before "812.4 g" --after "810.9 g" --passes 10 --length "420 mm" --resolution "0.1 g"
    """
    from evenlay.answers.add import add_weight_to
    from evenlay.cli.screens import show_added

    about = {"step": step, "who": who, "note": note, "belt_metres": belt_metres}
    cut = {"length": length, "force": force, "speed": speed, "feed": feed, "resolution": resolution}
    show_added(
        add_weight_to(context.obj, file=file, before=before or [], after=after or [], passes=passes, repeats=repeats, cut=cut, about=about)
    )
    return Exit.ANSWER


@add_app.command("depth")
def add_depth(
    context: typer.Context,
    depth: Annotated[str, typer.Option("--depth", help='Depth removed, mean over the cut, as "12 µm".')] = "",
    width: Annotated[str, typer.Option("--width", help="Half-depth width of the cut; else the contact width.")] = "",
    passes: Annotated[int, typer.Option("--passes", help="Passes cut.")] = 1,
    force: Times = None,
    speed: Annotated[str, typer.Option("--speed", help="Belt speed, or rpm of the wheel; else that of the job.")] = "",
    feed: Annotated[str, typer.Option("--feed", help="Feed; else that of the job.")] = "",
    roughness: Annotated[str, typer.Option("--ra", help="Ra read on the cut, if any.")] = "",
    name: Annotated[str, typer.Option("--name", help="What this run is called.")] = "",
    file: Annotated[Path | None, typer.Option("--file", help="CSV of runs, one a row.")] = None,
    step: StepName = None,
    who: Who = "",
    note: Note = "",
    belt_metres: BeltMetres = "",
) -> int:
    """
    Add a removed depth (thickness or step height); runs that contradict the others are named, never averaged in.

    evenlay add lids depth --depth "12 µm" --passes 5 --force "40 N" --feed "120 mm/s" --speed "18 m/s"
    """
    from evenlay.answers.add import add_depth_to
    from evenlay.cli.screens import show_added

    about = {"step": step, "who": who, "note": note, "belt_metres": belt_metres}
    cut = {"depth": depth, "width": width, "force": force, "speed": speed, "feed": feed, "roughness": roughness, "name": name}
    show_added(add_depth_to(context.obj, file=file, passes=passes, cut=cut, about=about))
    return Exit.ANSWER


@app.command()
def undo(job: JobFolder, reason: Annotated[str, typer.Option("--reason", help="Why it is taken back.")] = "") -> int:
    """
    Take the last addition back; the entry stays in the log, marked as taken back.

    evenlay undo lids --reason "wrong force"
    """
    from evenlay.answers.add import undo_last
    from evenlay.cli.screens import show_undone

    show_undone(undo_last(job, reason=reason))
    return Exit.ANSWER


def run(arguments: Sequence[str], *, draw: Callable[[Any], Mapping[str, bytes]]) -> int:
    """
    Run the command line.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name.
    draw : callable
        From a plan to its pictures; handed in, because this room knows no page.

    Returns
    -------
    int
        One of `Exit`.
    """
    return guarded(lambda: app(args=list(arguments), obj=draw, standalone_mode=False, prog_name="evenlay"))
