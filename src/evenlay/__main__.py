"""Where the command line and the pages meet: ``evenlay`` and ``python -m evenlay``."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from evenlay.answers.sample import Sampled
    from evenlay.answers.surface_numbers import SurfaceAnswer
    from evenlay.job.plan_record import PlanRecord


def main() -> None:
    """Run the command and leave with its exit code."""
    from evenlay.cli.app import run

    left = run(sys.argv[1:], draw=_draw)
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, a pager) has seen enough: that is no failure, and Python must not complain on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(left)


def _draw(answer: PlanRecord | Sampled | SurfaceAnswer) -> Mapping[str, bytes]:
    # Drawing loads a plotting library of a second or two: only when pictures are asked for.
    if hasattr(answer, "marks"):
        from evenlay.pages.figures import plan_pictures

        return plan_pictures(answer)
    if hasattr(answer, "view"):
        from evenlay.pages.surface_page import surface_pictures

        return surface_pictures(answer)
    from evenlay.pages.sample_sheet import sample_pictures

    return sample_pictures(answer)


if __name__ == "__main__":
    main()
