"""Cross-checks by hand: the reading furthest from the middle one, and what is asked again."""

from __future__ import annotations

import pytest

from calculators.contract.cross_checks import ask_or_note, furthest, must_be_less, out_of_line, spread
from calculators.contract.errors import AmbiguousEntry, Contradiction
from calculators.contract.inputs import Input

LIST = Input(["mm", "in"], name="x", is_list=True)
LENGTH = Input(["mm", "in"], name="x")


def read(text: str):
    return LIST.read(text, "metric")


# The middle one of the ordered readings, of an even count the upper one; the furthest by its size.
@pytest.mark.parametrize("text, odd", [
    ("8 mm; 10 mm; 10 mm", "8 mm"),
    ("10 mm; 13 mm; 10 mm", "13 mm"),
    ("1 mm; 2 mm; 7 mm; 8 mm; 12 mm", "1 mm"),  # middle 7: 6 below, 5 above
    ("1 mm; 2 mm; 3 mm; 9 mm; 10 mm; 13 mm", "1 mm"),  # middle 9: 8 below, 4 above
])  # fmt: skip
def test_furthest(text, odd):
    assert furthest(read(text)).typed == odd


def test_out_of_line_needs_the_rest_five_times_closer():
    assert out_of_line(read("10 mm; 10.2 mm; 15 mm")).typed == "15 mm"  # 0.2 of 5.0
    assert out_of_line(read("10 mm; 10.9 mm; 15 mm")).typed == "15 mm"  # 0.9 of 5.0
    assert out_of_line(read("10 mm; 11 mm; 15 mm")) is None  # 1.0 of 5.0: exactly a fifth
    assert out_of_line(read("10 mm")) is None


def test_spread():
    assert spread(read("10 mm; 12.5 mm; 11 mm")).to("mm").magnitude == pytest.approx(2.5)


def test_bare_entries_are_asked_about_and_typed_ones_noted():
    with pytest.raises(AmbiguousEntry, match="^x: they differ; type the unit if it is meant$") as asked:
        ask_or_note({"x": read("10; 12")}, ["x"], "they differ")
    assert [c.entry for c in asked.value.candidates] == ["10 mm; 12 mm"]
    assert (asked.value.input, asked.value.typed) == ("x", "10; 12")
    assert ask_or_note({"x": read("10 mm; 12 mm")}, ["x"], "they differ") == ["Check the entries: they differ."]


def test_less_or_equal():
    same = {"low": LENGTH.read("5 mm", "metric"), "high": LENGTH.read("5.0 mm", "metric")}
    must_be_less(same, "low", "the least", "high", "the most", or_equal=True)
    with pytest.raises(Contradiction, match="^low: the least 5.mm must be less than the most 5.0.mm: one of the two is wrong$"):
        must_be_less(same, "low", "the least", "high", "the most")
    over = {"low": LENGTH.read("5.1 mm", "metric"), "high": LENGTH.read("5.0 mm", "metric")}
    with pytest.raises(Contradiction, match="must be not more than"):
        must_be_less(over, "low", "the least", "high", "the most", or_equal=True)
    must_be_less({"low": same["low"]}, "low", "the least", "high", "the most")
    must_be_less({"high": same["low"]}, "low", "the least", "high", "the most")
