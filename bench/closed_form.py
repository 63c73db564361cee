"""Closed-form evaluations per second, one being one candidate x draw x cause, against a plain loop over the draws."""

from __future__ import annotations

import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from time import perf_counter

import numpy as np

from evenlay.answers.case import case_of
from evenlay.decisions.causes import Strength
from evenlay.decisions.evaluate import Evaluation, evaluate, workbench
from evenlay.decisions.situation import Draws, Settings, draw_unknowns
from evenlay.files.jobfile import write_job
from evenlay.job.starting import NewJob
from evenlay.physics.ripple import even_offsets
from evenlay.quantities.draws import COUNT

Row = tuple[str, float, str]


def candidates() -> list[Settings]:
    """Eight candidates of one to four rounds."""
    found = []
    for rounds in (1, 2, 3, 4):
        for step in (0.050, 0.025):
            offsets = tuple(float(shift) for shift in even_offsets(step_over=step, rounds=rounds))
            found.append(Settings(40.0, 18.0, 0.12, step, offsets))
    return found


def evaluations(found: Evaluation) -> int:
    """Draws times causes of known strength."""
    return found.state.unknowns.count * sum(isinstance(strength, Strength) for strength in found.strengths.values())


def rows() -> list[Row]:
    """One thread, two threads, and a plain loop draw by draw, in one run."""
    with tempfile.TemporaryDirectory() as place:
        job = Path(place) / "lids"
        write_job(job, NewJob(name="lids", size="420 mm x 300 mm", grain="along 420 mm"))
        case = case_of(job)
    draws = draw_unknowns(case.values, count=COUNT, seed=1)
    pool = candidates()

    def all_of(part: list[Settings], on: Draws) -> int:
        bench = workbench(case.setup, on.unknowns, on.weights, case.bounds)
        return sum(evaluations(evaluate(bench, settings)) for settings in part)

    start = perf_counter()
    done = all_of(pool, draws)
    one = done / (perf_counter() - start)
    start = perf_counter()
    with ThreadPoolExecutor(2) as threads:
        done = sum(threads.map(lambda part: all_of(part, draws), (pool[::2], pool[1::2])))
    two = done / (perf_counter() - start)
    few = 12
    start = perf_counter()
    count = 0
    for row in range(few):
        single = draws.unknowns.rows(np.array([row]))
        bench = workbench(case.setup, single, draws.weights, case.bounds)
        count += sum(evaluations(evaluate(bench, settings)) for settings in pool)
    plain = count / (perf_counter() - start)
    return [
        ("closed form: evaluations, one thread", one, "/s"),
        ("closed form: evaluations, two threads (goal 20 000)", two, "/s"),
        ("closed form: two threads over one", two / one, "times"),
        ("closed form: plain loop over the draws", plain, "/s"),
        ("closed form: draws together over plain loop", one / plain, "times"),
    ]
