"""What a command could not do, told in one sentence, never as a trace of the program."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, Final

import typer
from typer.exceptions import TyperException

from evenlay.cli.exits import Exit

INTERRUPTED: Final = 130
"""What the library of the command line gives back, instead of raising, when Ctrl-C was pressed. [-]"""


def guarded(command: Callable[[], Any]) -> int:
    """
    Run a command and tell what it could not do, in one sentence each.

    Parameters
    ----------
    command : callable
        Gives its exit code.

    Returns
    -------
    int
        One of `Exit`; what is no finding about the input is raised again.
    """
    from evenlay.quantities.errors import InputProblems

    try:
        left = command()
        if left == INTERRUPTED:
            raise KeyboardInterrupt
    except InputProblems as problems:
        for problem in problems.problems:
            typer.echo(str(problem), err=True)
        return Exit.INPUT_PROBLEMS
    except typer.Abort:
        return Exit.INPUT_PROBLEMS
    except KeyboardInterrupt:
        typer.echo("Stopped; nothing was written.", err=True)
        return Exit.INPUT_PROBLEMS
    except SystemExit:
        # The library leaves so, and only so, when the reader of a pipe has gone: no failure of ours.
        return Exit.ANSWER
    except BrokenPipeError:
        sys.stderr.close()
        return Exit.ANSWER
    except Exception as error:
        return _other(error)
    return int(left) if isinstance(left, int) else Exit.ANSWER


def _other(error: Exception) -> int:
    if isinstance(error, typer.Exit):
        return int(error.exit_code)
    if isinstance(error, TyperException):
        # Usage problems know how to say themselves; they differ in class from release to release of the library.
        said = getattr(error, "format_message", error.__str__)()
        typer.echo(said, err=True)
        typer.echo("See evenlay --help.", err=True)
        return Exit.INPUT_PROBLEMS
    from evenlay.answers.plan import NoPlan, Stopped

    if isinstance(error, NoPlan):
        from evenlay.cli.screens import show_no_plan

        return show_no_plan(error)
    if isinstance(error, ValueError):
        # A model refused its input: a finding about the set-up, told as one, never as a trace of the program.
        typer.echo(f"This set-up cannot be worked out: {error}. Nothing was written; check the job file against its how-to.", err=True)
        return Exit.INPUT_PROBLEMS
    if isinstance(error, Stopped):
        typer.echo("Stopped; nothing was written.", err=True)
        return Exit.INPUT_PROBLEMS
    if isinstance(error, OSError):
        typer.echo(f"{error.filename or 'A file'}: it cannot be read or written ({error.strerror or error}).", err=True)
        return Exit.INPUT_PROBLEMS
    raise error
