"""Settings that belong to a cut-off; classes themselves are held against their tables in validation."""

import pytest

from evenlay.physics.surface_numbers.settings import CUTOFFS, EDITIONS, TOPS, setting, setting_for


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("cutoff", CUTOFFS)
def test_the_evaluation_length_is_five_sections_and_the_filter_takes_one_cutoff_more(edition, cutoff):
    used = setting(cutoff, edition=edition)
    assert used.section_length == used.cutoff == cutoff
    assert used.evaluation_length == pytest.approx(5 * cutoff)
    assert used.traversing_length == pytest.approx(6 * cutoff)
    assert used.edition == edition
    assert used.spacing < used.short_wave < used.cutoff


def test_the_rule_of_acceptance_is_that_of_the_edition():
    assert setting(0.8e-3).acceptance == "maximum"
    assert setting(0.8e-3, edition="ISO 4288:1996").acceptance == "16 %"


def test_classes_rise_without_a_gap():
    for tops in TOPS.values():
        assert len(tops) == len(CUTOFFS)
        assert list(tops) == sorted(tops)


def test_what_the_standards_do_not_know_is_refused_with_what_they_know():
    with pytest.raises(ValueError, match=r"a cut-off must be one of 0\.08, 0\.25, 0\.8, 2\.5, 8 mm"):
        setting(1e-3)
    with pytest.raises(ValueError, match="edition must be one of ISO 21920-3:2021, ISO 4288:1996"):
        setting(0.8e-3, edition="ISO 1302")
    with pytest.raises(ValueError, match="ISO 21920-3:2021 has no classes for RSm"):
        setting_for("RSm", 1e-4)


@pytest.mark.parametrize("value", [0.0, -1e-6, float("nan"), float("inf"), 0.006e-6, 81e-6])
def test_values_outside_every_class_are_refused(value):
    with pytest.raises(ValueError, match=r"ISO 4288:1996 has no class for Ra"):
        setting_for("Ra", value, edition="ISO 4288:1996")
