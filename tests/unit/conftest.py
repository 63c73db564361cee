"""A job folder and its plan, worked out once for the tests of answers, pages and screens."""

from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from evenlay.answers.case import case_of
from evenlay.answers.plan import complete_settings, plan_job
from evenlay.answers.start import start_job
from evenlay.decisions.evaluate import evaluate, workbench
from evenlay.decisions.situation import draw_unknowns

AS_SET = {
    "force": "40 N",
    "speed": "18 m/s",
    "feed": "120 mm/s",
    "step_over": "25 mm",
    "rounds": "2",
    "offsets": "even",
    "taper": "0.6",
    "limits.removal_max": "30 µm",
    "device.stroke": "20 mm",
}


@dataclass(frozen=True)
class Jobs:
    """Job folders by alloy, wheel and curvature; each made once."""

    home: object

    def folder(self, *, alloy="304", wheel="pneumatic", curvature="flat", radius=""):
        path = self.home / "-".join(part.replace(" ", "_") for part in (alloy, wheel, curvature, radius) if part)
        if not path.exists():
            start_job(
                path,
                face="420 mm x 300 mm",
                grain="along 420 mm",
                alloy=alloy,
                sheet="1.5 mm",
                asked="",
                wheel=wheel,
                curvature=curvature,
                radius=radius,
            )
        return path

    def case(self, *, changes=(), **kind):
        return case_of(self.folder(**kind), changes={**AS_SET, **dict(changes)})

    def worked(self, *, count=31, changes=(), **kind):
        """Case, draws and evaluation with everything set."""
        case = self.case(changes=changes, **kind)
        draws = draw_unknowns(case.values, count=count, seed=1)
        bench = workbench(case.setup, draws.unknowns, draws.weights, case.bounds)
        found = evaluate(bench, complete_settings(case.given))
        return SimpleNamespace(case=case, draws=draws, bench=bench, found=found, state=found.state)

    def plan(self, *, changes=(), **kind):
        return plan_job(self.folder(**kind), changes={**AS_SET, **dict(changes)})


@pytest.fixture(scope="session")
def jobs(tmp_path_factory):
    return Jobs(tmp_path_factory.mktemp("jobs"))


@pytest.fixture(scope="session")
def lid_plan(jobs):
    return jobs.plan()
