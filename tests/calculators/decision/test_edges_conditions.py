"""What the condition language refuses: every form that is not one of those its description lists."""

from __future__ import annotations

import pytest

from calculators.decision.when import normal_form, values_of


@pytest.mark.parametrize("raw", [[], ["hub"], [{"nut": "castle"}, "hub"], "hub", None, 3, ({"nut": "castle"},)])
def test_neither_a_mapping_nor_a_list_of_mappings(raw):
    with pytest.raises(ValueError, match="a condition is written as a question with its answer"):
        normal_form(raw)


@pytest.mark.parametrize("wanted", [[], [1], ["hub", 1], 3, None, ("hub",)])
def test_neither_a_value_nor_a_list_of_values(wanted):
    with pytest.raises(ValueError, match="rotor: expected one answer or a list of answers, such as "):
        normal_form({"rotor": wanted})


@pytest.mark.parametrize("raw", [{}, [{}], {"not": {}}])
def test_an_empty_mapping(raw):
    with pytest.raises(ValueError, match="an empty condition"):
        normal_form(raw)


def test_normal_form_by_hand():
    assert normal_form({"nut": "castle"}) == [{"nut": ["castle"]}]
    assert normal_form([{"nut": ["castle", "hex", "castle"]}, {"abs": "by-wire", "not": {"nut": "hex"}}]) == [
        {"nut": ["castle", "hex"]}, {"abs": ["by-wire"], "not": [{"nut": ["hex"]}]},
    ]  # fmt: skip


def test_the_values_a_condition_names():
    condition = normal_form({"nut": ["castle", "hex"], "not": {"abs": "by-wire"}})
    assert list(values_of(condition)) == [("nut", "castle"), ("nut", "hex"), ("abs", "by-wire")]
    assert list(values_of(None)) == []
