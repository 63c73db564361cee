"""Progress of work over a second, with a stop."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(words: str, *, clock: Callable[[], float] = time.monotonic) -> Iterator[Callable[[int, int], bool]]:
    """
    Progress callback that writes to a terminal's error stream, at most five times a second, after the first second.

    Parameters
    ----------
    words : str
        What is being done.
    clock : callable
        Seconds; handed in by tests.

    Yields
    ------
    callable
        ``progress(done, total) -> go on?``; always goes on: the stop is Ctrl-C, which discards the partial result.
    """
    started, shown = clock(), [0.0]
    live = sys.stderr.isatty()

    def progress(done: int, total: int) -> bool:
        now = clock()
        if live and now - started > 1.0 and now - shown[0] > 0.2:
            shown[0] = now
            print(f"\r{words}: {100 * done // total:3d} %  (Ctrl-C stops, nothing is lost)", end="", file=sys.stderr, flush=True)  # noqa: T201
        return True

    try:
        yield progress
    finally:
        if shown[0]:
            print("\r" + " " * 60 + "\r", end="", file=sys.stderr, flush=True)  # noqa: T201
