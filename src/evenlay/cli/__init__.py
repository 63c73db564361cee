"""Parse, call one answer, print, exit code."""

from __future__ import annotations

import sys


def main() -> None:
    """Entry point of the ``evenlay`` command."""
    from evenlay.cli.app import run

    sys.exit(run(sys.argv[1:]))
