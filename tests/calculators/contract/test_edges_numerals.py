"""Numbers at their edges; the readings by hand."""

from __future__ import annotations

import pytest

from calculators.contract.numerals import Number, NumberError, NumberQuestion, read_number


@pytest.mark.parametrize("text, value, again, decimals, denominator", [
    ("15/16", 0.9375, "15/16", 0, 16),
    ("1 1/32", 1.03125, "1 1/32", 0, 32),
    ("0 1/2", 0.5, "1/2", 0, 2),
    ("-1/4", -0.25, "-1/4", 0, 4),
    ("0/8", 0.0, "0", 0, 8),
    ("+.5", 0.5, "0.5", 1, 1),
    ("007.50", 7.5, "7.50", 2, 1),
    ("12", 12.0, "12", 0, 1),
])  # fmt: skip
def test_value_text_and_how_finely(text, value, again, decimals, denominator):
    number = read_number(text)
    assert (number.value, number.text, number.decimals, number.denominator) == (value, again, decimals, denominator)


def test_a_number_without_more_is_a_whole_one():
    assert Number(7.0, "7").step == 1.0 and Number(7.0, "7").fineness == (0, 1)


@pytest.mark.parametrize("text, readings", [
    ("11/4", ["2 3/4", "1 1/4"]),
    ("8/4", ["2"]),
    ("115/16", ["7 3/16", "1 15/16", "11 5/16"]),
    ("105/16", ["6 9/16", "10 5/16"]),  # 1 05/16 is not written so
    ("-11/4", ["-2 3/4", "-1 1/4"]),
    ("4/4", ["1"]),
    ("144/4", ["36"]),  # 1 44/4 and 14 4/4 are not proper
    ("1,500", ["1.500", "1500"]),
    ("0123,500", ["123.500"]),
    ("1,234,567", ["1234567"]),
])  # fmt: skip
def test_what_a_person_is_asked(text, readings):
    with pytest.raises(NumberQuestion) as asked:
        read_number(text)
    assert [number.text for number in asked.value.readings] == readings


@pytest.mark.parametrize("text", ["1 5/4", "1/0", "1 4/4", "1.5/4", "1,2,3", "1.2.3", ".", "", "1234567890123456"])
def test_no_number(text):
    with pytest.raises(NumberError):
        read_number(text)


def test_fifteen_digits_are_taken():
    assert read_number("123456789012345").value == 123456789012345


@pytest.mark.parametrize("text, value", [("12,500", 12500), ("12 500", 12500), ("12 500,5", 12500.5), ("1,234.5", 1234.5)])
def test_thousands_in_a_driven_distance(text, value):
    assert read_number(text, driven_distance=True).value == value


@pytest.mark.parametrize("text, value", [("0,500", 0.5), (",500", 0.5), ("1,50", 1.5), ("1,234.5", 1234.5)])
def test_a_comma_that_needs_no_question(text, value):
    assert read_number(text).value == value


@pytest.mark.parametrize("text, step", [("1/2", 0.5), ("3 1/4", 0.25), ("15/16", 0.0625), ("24.1", 0.1), ("24", 1.0), ("24.10", 0.01)])
def test_one_step_of_an_entry(text, step):
    assert read_number(text).step == pytest.approx(step)
