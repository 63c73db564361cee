import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.evidence.depth import DepthRun, consistency, removal_from_depth
from evenlay.evidence.weighing import Run

RUN = Run(force=40.0, speed=18.0, feed=0.12, length=0.4, passes=10)


def cut(name, coefficient=1e-11, run=RUN, width=0.05):
    return DepthRun(name, coefficient * run.work / (run.length * width), width, run)


def test_the_coefficient_is_that_of_the_depth_whatever_length_and_passes():
    for run in (RUN, replace(RUN, length=1.3), replace(RUN, passes=3), replace(RUN, sense=1.0)):
        assert cut("a", run=run).coefficient == pytest.approx(1e-11)
        depth = 1e-11 * run.force * (run.speed + run.sense * run.feed) / run.feed * run.passes / 0.05
        assert cut("a", run=run).depth == pytest.approx(depth)


def test_runs_that_agree_are_averaged_in_the_logarithm():
    found = consistency([cut("a", 1e-11), cut("b", 1.1e-11)])
    assert found.agreeing == (0, 1)
    assert found.coefficient == pytest.approx(1e-11 * math.sqrt(1.1))
    assert found.spread == pytest.approx(0.1)
    assert found.remarks == ()


def test_one_run_agrees_with_itself():
    assert consistency([cut("a")]).agreeing == (0,)


def test_the_odd_one_out_is_named_with_its_factor_and_each_value_that_would_reconcile_it():
    wrong = cut("c", run=replace(RUN, force=45.0))
    wrong = replace(wrong, run=replace(wrong.run, feed=0.012))
    found = consistency([cut("a"), cut("b", 1.05e-11), wrong])
    assert found.agreeing == (0, 1)
    (misfit,) = found.misfits
    assert misfit.name == "c"
    assert misfit.factor == pytest.approx(0.1 / math.sqrt(1.05))
    assert misfit.likely == "feed"
    for name, value in misfit.reconciled:
        mended = replace(wrong, depth=value) if name == "depth" else replace(wrong, run=replace(wrong.run, **{name: value}))
        assert mended.coefficient == pytest.approx(found.coefficient)
    assert "c removed 9.8 times more" not in found.remarks[0].message
    assert "c removed 10 times less than a, b" in found.remarks[0].message


def test_a_run_that_removed_too_much_is_said_to_have_removed_more():
    found = consistency([cut("a"), cut("b"), cut("c", 5e-11)])
    assert "5 times more" in found.remarks[0].message


def test_two_runs_that_disagree_cannot_say_which_is_wrong():
    found = consistency([cut("a"), cut("b", 4e-11)], where="evidence")
    assert found.agreeing == ()
    assert math.isnan(found.coefficient)
    assert [remark.code for remark in found.remarks] == ["runs-disagree"]
    assert found.remarks[0].where == "evidence"


def test_two_pairs_that_disagree_decide_nothing():
    assert consistency([cut("a"), cut("b"), cut("c", 4e-11), cut("d", 4e-11)]).agreeing == ()


def test_a_larger_group_outvotes_a_smaller_one():
    found = consistency([cut("a"), cut("b"), cut("c"), cut("d", 4e-11), cut("e", 4e-11)])
    assert found.agreeing == (0, 1, 2)
    assert [misfit.name for misfit in found.misfits] == ["d", "e"]


def test_learning_leaves_the_misfit_out_and_takes_the_shared_errors_once():
    likelihood, found = removal_from_depth([cut("a"), cut("b"), cut("c", 6e-11)])
    assert found.agreeing == (0, 1)
    assert likelihood.number == pytest.approx(1e-11)
    many, _ = removal_from_depth([cut(str(index)) for index in range(50)], width_error=0.05, force_error=0.05)
    assert many.relative == pytest.approx(math.hypot(0.05, 0.05), rel=0.05)


def test_disagreement_without_a_majority_is_learnt_as_a_band_that_holds_both():
    likelihood, _ = removal_from_depth([cut("a"), cut("b", 4e-11)])
    band = likelihood.value()
    assert band.low < 1e-11
    assert band.high > 4e-11


@pytest.mark.parametrize("wrong", [{"depth": 0.0}, {"depth": math.nan}, {"width": -1.0}, {"width": math.inf}])
def test_sizes_that_cannot_be_are_refused(wrong):
    with pytest.raises(ValueError, match="depth and width"):
        replace(cut("a"), **wrong)


def test_no_run_and_no_scatter_are_refused():
    with pytest.raises(ValueError, match="no run"):
        consistency([])
    with pytest.raises(ValueError, match="scatter"):
        consistency([cut("a")], scatter=math.nan)


def test_with_the_stated_scatter_good_runs_are_hardly_ever_called_misfits():
    random = np.random.default_rng(4)
    called = sum(
        bool(consistency([cut(str(i), 1e-11 * math.exp(0.1 * random.standard_normal())) for i in range(4)]).misfits) for _ in range(300)
    )
    assert called <= 15
