"""Published: robotic belt grinding of 42CrMo, Metals 15 (2025) 1265, section 4.2; read."""

import math
import tomllib
from pathlib import Path

import pytest

from evenlay.evidence.combine import posterior
from evenlay.evidence.depth import DepthRun, consistency, removal_from_depth
from evenlay.evidence.weighing import Run
from evenlay.quantities.known import Value

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "belt-42crmo.toml").read_text(encoding="utf-8"))
ROWS = {row["name"]: row for row in TABLE["row"]}

# Not printed: wheel diameter, width of the cut, passes. They scale every row alike, so nothing below depends on them.
DIAMETER, WIDTH, LENGTH = 0.1, 0.02, 0.1
PER_RPM = math.pi * DIAMETER / 60.0
WIDE = Value(1e-9, 1e-11, 1e-7, "guess", "passes not printed: anything is possible")


def run(name, **changed):
    row = ROWS[name] | changed
    speed = row["rotation"] * PER_RPM
    settings = Run(force=row["force"], speed=speed, feed=row["feed"] * 1e-3, length=LENGTH, passes=1)
    return DepthRun(name, row["depth"] * 1e-3, WIDTH, settings)


def predicted_depth(coefficient, name):
    settings = run(name).run
    return coefficient * settings.work / (settings.length * WIDTH)


def test_prestons_scaling_from_the_first_row_lands_within_five_per_cent_of_the_optimum():
    predicted = predicted_depth(run("V1").coefficient, "V3")
    print(f"V3 from V1: {predicted * 1e3:.3f} mm where {ROWS['V3']['depth']} mm is printed ({predicted * 1e3 / 1.975 - 1.0:+.1%})")
    assert predicted * 1e3 == pytest.approx(ROWS["V3"]["depth"], rel=TABLE["tolerance"])


def test_learning_from_the_first_row_predicts_the_optimum_inside_the_band():
    likelihood, _ = removal_from_depth([run("V1")])
    learnt = posterior(WIDE, [likelihood]).value
    low, high = predicted_depth(learnt.low, "V3"), predicted_depth(learnt.high, "V3")
    print(f"band for V3 learnt from V1: {low * 1e3:.2f} to {high * 1e3:.2f} mm; printed {ROWS['V3']['depth']} mm")
    assert learnt.known == "measured"
    assert low * 1e3 < ROWS["V3"]["depth"] < high * 1e3
    assert high / low < 1.7


def test_the_row_printed_with_500_rpm_is_called_inconsistent_and_its_speed_is_named():
    found = consistency([run("V1"), run("V2"), run("V3")])
    assert [("V1", "V2", "V3")[index] for index in found.agreeing] == ["V1", "V3"]
    assert found.spread < 0.05
    (misfit,) = found.misfits
    print(f"V2 off by a factor of {misfit.factor:.2f}; fits with {misfit.likely_value / PER_RPM:.0f} rpm: {found.remarks[0].message}")
    assert misfit.name == "V2"
    assert misfit.factor == pytest.approx(6.6, abs=0.2)
    assert misfit.likely == "speed"
    # Inside the paper's own tolerance window of 3000 to 3500 rpm.
    assert 3000.0 < misfit.likely_value / PER_RPM < 3500.0
    assert "left out, not averaged in" in found.remarks[0].message


def test_the_inconsistent_row_does_not_move_what_is_learnt():
    with_it, _ = removal_from_depth([run("V1"), run("V2"), run("V3")])
    without, _ = removal_from_depth([run("V1"), run("V3")])
    assert with_it.number == without.number
    assert with_it.relative == without.relative


def test_with_a_speed_of_the_window_the_third_row_joins_the_others():
    found = consistency([run("V1"), run("V2", rotation=3500.0), run("V3")])
    assert len(found.agreeing) == 3


def test_order_of_the_rows_does_not_matter():
    assert {misfit.name for misfit in consistency([run("V2"), run("V3"), run("V1")]).misfits} == {"V2"}
