"""Pins of our own output, no evidence of being right: they say when a change of code has moved the examples.

Everything in both jobs is set, so nothing is chosen. Tolerance 0.5 %: rounding between machines is far below it, and a change
of model that moves an answer by less is not worth a line in the change log. Where a pin moves on purpose, put the new number here
and say why in the commit.
"""

import pytest

from evenlay.answers.plan import plan_job
from evenlay.answers.start import start_example
from evenlay.job.answer_parts import Number

TOLERANCE = 5e-3
AS_SET = {
    "304": {"force": "40 N", "speed": "18 m/s", "feed": "120 mm/s", "step_over": "25 mm", "rounds": "3", "offsets": "even", "taper": "0.7"},
    "6061": {
        "force": "25 N",
        "speed": "12 m/s",
        "feed": "150 mm/s",
        "step_over": "20 mm",
        "rounds": "2",
        "offsets": "even",
        "taper": "0.6",
    },
}


@pytest.fixture(scope="module")
def numbers(tmp_path_factory):
    """Numbers of a plan by short name, as centre, low and high."""
    made = {}

    def of(alloy):
        if alloy not in made:
            folder = tmp_path_factory.mktemp("pins") / alloy
            start_example(folder, alloy=alloy)
            plan = plan_job(folder, changes=AS_SET[alloy])
            rows = {
                "patch length": plan.contact.patch_length,
                "half-depth width": plan.contact.half_depth_width,
                "ramp": plan.contact.ramp,
                "stock removed": plan.removal.total,
                "unevenness with path error": plan.removal.ripple_with_error,
                "power": plan.drive.power,
                "hottest": plan.heat.face,
                "time": plan.time.total,
                "worst line": plan.worst,
                **{mark.key: mark.strength for mark in plan.marks if isinstance(mark.strength, Number)},
            }
            made[alloy] = {name: (number.value, number.low, number.high) for name, number in rows.items()}
            made[alloy]["level"] = (plan.level,)
        return made[alloy]

    return of


PINS = {
    "304": {
        "patch length": (0.0158171, 0.0127035, 0.017332),
        "half-depth width": (0.05, 0.05, 0.05),
        "ramp": (0.00518875, 0.00207022, 0.0124575),
        "stock removed": (5.256e-06, 1.73789e-06, 1.58003e-05),
        "unevenness with path error": (0.235089, 0.0703993, 0.447198),
        "power": (288, 215.744, 431.506),
        "hottest": (336.051, 325.227, 357.598),
        "time": (406.333, 342.733, 521.167),
        "worst line": (6.24432, 1.73719, 13.781),
        "overlap": (6.24432, 1.64256, 13.781),
        "belt-lines": (1.66801, 0.745563, 3.53518),
        "device": (1.22248, 0.214263, 3.63256),
        "wheel": (0.295263, 0.101548, 0.88377),
        "joint": (0.017041, 0.00154938, 0.0608413),
        "level": (11.7941,),
    },
    "6061": {
        "patch length": (0.0114175, 0.00978405, 0.0120274),
        "half-depth width": (0.0289942, 0.0269244, 0.0294354),
        "ramp": (0.0181339, 0.0162744, 0.0195108),
        "stock removed": (4.8e-06, 1.60311e-06, 1.44295e-05),
        "unevenness with path error": (0.221237, 0.120713, 0.436237),
        "power": (120, 89.8935, 179.794),
        "hottest": (310.506, 306.388, 319.872),
        "time": (123.9, 100.8, 166.6),
        "worst line": (7.70739, 1.92249, 16.7804),
        "overlap": (7.70739, 1.91037, 16.7804),
        "wheel": (2.17026, 0.374986, 5.91144),
        "device": (1.34969, 0.216426, 3.61019),
        "belt-lines": (1.19861, 0.681851, 2.04227),
        "joint": (0.0555059, 0.00473521, 0.142026),
        "level": (14.1728,),
    },
}


@pytest.mark.parametrize(("alloy", "name"), [(alloy, name) for alloy, rows in PINS.items() for name in rows])
def test_the_examples_stand_where_they_stood(numbers, alloy, name):
    assert numbers(alloy)[name] == pytest.approx(PINS[alloy][name], rel=TOLERANCE, abs=1e-12)


def test_every_number_of_the_examples_is_pinned(numbers):
    for alloy in AS_SET:
        assert set(numbers(alloy)) == set(PINS[alloy])
