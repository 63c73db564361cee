import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.evidence.combine import Likelihood
from evenlay.evidence.stiffness import Print, refit_ramp, refit_stiffness
from evenlay.physics.contact.kinds import Wheel
from evenlay.physics.contact.wheels import pass_contact
from evenlay.quantities.known import Value

CASING = Value(20e6, 5e6, 100e6, "guess", "day zero")
RAMP = Value(5e-3, 2e-3, 12e-3, "guess", "day zero")
DRUM = Wheel(kind="pneumatic", diameter=0.150, width=0.050, inflation=30e3, casing_stiffness=20e6, edge_ramp=5e-3)
SOLID = Wheel(kind="solid", diameter=0.150, width=0.050, modulus=1.5e6, poisson=0.49, cover_thickness=0.012, edge_ramp=5e-3)
MODULUS = Value(1.5e6, 0.8e6, 3.0e6, "handbook", "Shore A")


def contact(wheel, force, **changes):
    arrays = {name: np.atleast_1d(value) for name, value in changes.items()}
    return pass_contact(replace(wheel, **arrays), force=np.array([force]), speed=np.array([0.0]), curvature_along=0.0, curvature_across=0.0)


def patch(wheel, force, *, noise=0.3e-3, **changes):
    return Likelihood(float(contact(wheel, force, **changes).patch_length[0]), noise, 0.0, math.inf, "print")


@pytest.mark.parametrize("true", [8e6, 20e6, 60e6])
def test_a_print_brings_the_casing_back_and_narrows_it(true):
    prints = [Print(force, patch_length=patch(DRUM, force, casing_stiffness=true)) for force in (25.0, 40.0)]
    found = refit_stiffness(wheel=DRUM, prior=CASING, prints=prints)
    assert found.name == "casing_stiffness"
    assert found.value.low < true < found.value.high
    assert found.narrowing < 0.6
    assert found.value.known == "fitted"
    assert found.remarks == ()


def test_a_solid_cover_learns_its_modulus():
    found = refit_stiffness(wheel=SOLID, prior=MODULUS, prints=[Print(40.0, patch_length=patch(SOLID, 40.0, modulus=2.2e6))])
    assert found.name == "modulus"
    assert found.value.low < 2.2e6 < found.value.high
    assert found.value.number > MODULUS.number


def test_the_draws_of_the_wheel_do_not_matter_only_its_central_values():
    many = replace(DRUM, casing_stiffness=np.array([20e6, 1e6, 9e7]), inflation=np.array([30e3, 10e3, 60e3]))
    prints = [Print(40.0, patch_length=patch(DRUM, 40.0))]
    assert refit_stiffness(wheel=many, prior=CASING, prints=prints) == refit_stiffness(wheel=DRUM, prior=CASING, prints=prints)


def test_a_print_at_another_inflation_is_solved_at_that_inflation():
    seen = patch(DRUM, 40.0, casing_stiffness=40e6, inflation=60e3)
    found = refit_stiffness(wheel=DRUM, prior=CASING, prints=[Print(40.0, inflation=60e3, patch_length=seen)])
    assert found.settings == ((40.0, 80e3),)
    assert found.value.low < 40e6 < found.value.high


def test_the_refit_is_wider_away_from_its_force_and_inflation():
    found = refit_stiffness(wheel=DRUM, prior=CASING, prints=[Print(force, patch_length=patch(DRUM, force)) for force in (25.0, 40.0)])

    def width(**at):
        value = found.at(**at)
        return math.log(value.high / value.low)

    assert width(force=30.0, inflation=30e3) == pytest.approx(math.log(found.value.high / found.value.low))
    assert width(force=40.0, inflation=30e3) < width(force=80.0, inflation=30e3) < width(force=160.0, inflation=30e3)
    assert width(force=40.0, inflation=30e3) < width(force=40.0, inflation=90e3)
    assert width(force=1e6, inflation=30e3) == pytest.approx(math.log(20.0), rel=0.01)


def test_a_solid_wheels_refit_knows_only_force():
    found = refit_stiffness(wheel=SOLID, prior=MODULUS, prints=[Print(40.0, patch_length=patch(SOLID, 40.0))])
    assert found.settings == ((40.0,),)
    assert found.at(force=40.0).number == found.value.number


def test_many_prints_do_not_average_the_doubt_of_the_law_away():
    prints = [Print(40.0, patch_length=patch(DRUM, 40.0, noise=1e-5))] * 50
    few = refit_stiffness(wheel=DRUM, prior=CASING, prints=prints[:1])
    many = refit_stiffness(wheel=DRUM, prior=CASING, prints=prints)
    assert many.narrowing == pytest.approx(few.narrowing, rel=0.02)


def test_a_patch_no_stiffness_can_make_is_called_out():
    odd = Print(40.0, patch_length=Likelihood(0.060, 0.3e-3))
    codes = [remark.code for remark in refit_stiffness(wheel=DRUM, prior=CASING, prints=[odd], where="step.wheel").remarks]
    assert "footprint-out-of-reach" in codes


def test_a_patch_longer_than_expected_is_a_surprise():
    narrow = Value(20e6, 18e6, 22e6, "measured", "bench")
    long = Print(40.0, patch_length=Likelihood(float(contact(DRUM, 40.0).patch_length[0]) * 1.15, 0.1e-3))
    codes = [remark.code for remark in refit_stiffness(wheel=DRUM, prior=narrow, prints=[long]).remarks]
    assert codes[0] == "evidence-surprise"


def test_a_blunt_ruler_tells_little_and_says_so():
    found = refit_stiffness(wheel=DRUM, prior=CASING, prints=[Print(40.0, patch_length=patch(DRUM, 40.0, noise=0.02))])
    assert [remark.code for remark in found.remarks] == ["footprint-tells-little"]
    assert found.value.known == "guess"


def test_the_measured_ramp_comes_back_at_the_settings_of_the_print():
    seen = contact(DRUM, 40.0, edge_ramp=7e-3).profile.ramp[0]
    found = refit_ramp(wheel=DRUM, prior=RAMP, prints=[Print(40.0, ramp=Likelihood(float(seen), 1e-5, 0.01))])
    assert found.value.known == "measured"
    assert found.value.number == pytest.approx(7e-3, rel=0.01)
    again = contact(DRUM, 40.0, edge_ramp=found.value.number).profile.ramp[0]
    assert again == pytest.approx(seen, rel=0.01)


def test_prints_without_the_reading_change_nothing():
    bare = refit_stiffness(wheel=DRUM, prior=CASING, prints=[Print(40.0)])
    assert bare.value is CASING
    assert bare.at(force=10.0, inflation=30e3) is CASING
    assert refit_ramp(wheel=DRUM, prior=RAMP, prints=[]).value is RAMP


def test_a_slack_belt_has_no_stiffness_to_refit():
    slack = Wheel(kind="slack", diameter=0.1, width=0.05, belt_tension=2e3, edge_ramp=5e-3)
    with pytest.raises(ValueError, match="no stiffness"):
        refit_stiffness(wheel=slack, prior=CASING, prints=[])


@pytest.mark.parametrize("wrong", [{"force": 0.0}, {"force": math.nan}, {"force": 40.0, "speed": -1.0}, {"force": 40.0, "speed": math.nan}])
def test_a_print_at_settings_that_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match="a print needs"):
        Print(**wrong)
