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
        "unevenness with path error": (0.235089, 0.0826157, 0.448593),
        "power": (288, 215.744, 431.506),
        "hottest": (336.051, 325.227, 357.598),
        "time": (406.333, 342.733, 521.167),
        "worst line": (18.0159, 7.41999, 29.921),
        "overlap": (18.0159, 7.11683, 29.921),
        "belt-lines": (4.63763, 2.9348, 7.99609),
        "device": (2.53198, 0.351256, 8.18046),
        "wheel": (1.20728, 0.267639, 3.74563),
        "joint": (0.0479202, 0.00387771, 0.171821),
        "level": (26.786,),
    },
    "6061": {
        "patch length": (0.0114175, 0.00978405, 0.0120274),
        "half-depth width": (0.0289942, 0.0269244, 0.0294354),
        "ramp": (0.0181339, 0.0162744, 0.0195108),
        "stock removed": (4.8e-06, 1.60311e-06, 1.44295e-05),
        "unevenness with path error": (0.221237, 0.12682, 0.447527),
        "power": (120, 89.8935, 179.794),
        "hottest": (310.506, 306.388, 319.872),
        "time": (123.9, 100.8, 166.6),
        "worst line": (11.2712, 4.06395, 19.6726),
        "overlap": (11.2712, 4.06395, 19.6726),
        "wheel": (1.92734, 0.389884, 7.01125),
        "device": (1.3209, 0.193397, 4.33205),
        "belt-lines": (2.63129, 1.80014, 3.89908),
        "joint": (0.0523919, 0.00502131, 0.173163),
        "level": (18.2187,),
    },
}


@pytest.mark.parametrize(("alloy", "name"), [(alloy, name) for alloy, rows in PINS.items() for name in rows])
def test_the_examples_stand_where_they_stood(numbers, alloy, name):
    assert numbers(alloy)[name] == pytest.approx(PINS[alloy][name], rel=TOLERANCE, abs=1e-12)


def test_every_number_of_the_examples_is_pinned(numbers):
    for alloy in AS_SET:
        assert set(numbers(alloy)) == set(PINS[alloy])
