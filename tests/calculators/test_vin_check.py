"""vin-check against 49 CFR 565.15: its sample, its letter values taken a second time from EBCDIC, and sums by hand.

No number here but the samples of the regulation and of the agency's leaflet is a vehicle's.
"""

from __future__ import annotations

import random
import string

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, UnreadableEntry
from calculators.vin_check import LETTERS

ALLOWED = [sign for sign in string.digits + string.ascii_uppercase if sign not in "IOQ"]


def run(vin, **given):
    return catalogue()["vin-check"].run(vin=vin, **given)


def code(vin, **given):
    return run(vin, **given).verdict.code


def digit_again(vin: str) -> str:
    """The check digit by another way: the low half of each character's EBCDIC code is its value in Table III."""
    values = [sign.encode("cp037")[0] & 15 for sign in vin]
    weights = [8, 7, 6, 5, 4, 3, 2, 10, 0, *range(9, 1, -1)]
    return format(sum(a * b for a, b in zip(values, weights)) % 11, "X").replace("A", "X")


@pytest.mark.parametrize("vin, total, digit", [
    ("1G4AH59H45G118341", 411, "4"),  # 49 CFR 565.15, Table V of earlier editions: sample, 411/11 leaves 4
    ("1J9RP1A36A1644345", 314, "6"),  # the agency's outline for new manufacturers, example under 565.15(c)(4): 314/11 leaves 6
    ("11111111111111111", 89, "1"),  # weights add up to 89 = 8 × 11 + 1, by hand
    ("00000000000000000", 0, "0"),  # nothing but zeros, by hand
    ("0000000XX00000000", 70, "4"),  # X counts 7, times 10: 70 = 6 × 11 + 4, by hand
])  # fmt: skip
def test_samples(vin, total, digit):
    values = run(vin).values
    assert [values["total"].value, values["check_digit"].value, values["position_9"].value] == [total, digit, vin[8]]


def test_ten_is_written_x():
    # 1 at position 8 counts 10: 10 leaves 10, by hand
    result = run("00000001X00000000")
    assert result.values["check_digit"].text == "X" and result.values["remainder"].value == 10 and result.verdict.code == "within"


def test_letter_values_by_ebcdic():
    assert {sign: sign.encode("cp037")[0] & 15 for sign in string.ascii_uppercase if sign not in "IOQ"} == LETTERS


def test_against_a_second_computing():
    r = random.Random(565)
    for _ in range(2000):
        vin = "".join(r.choices(ALLOWED, k=17))
        result = run(vin)
        assert result.values["check_digit"].value == digit_again(vin)
        fits = vin[8] == digit_again(vin)
        assert result.verdict.code == ("within" if fits else "beyond" if vin[0] in "12345" else "cannot-tell")


def test_a_slip_of_one_digit_is_seen():
    # 11 is prime and no weight but that of position 9 is a multiple of it
    for place in range(17):
        for digit in "023456789":
            vin = f"{'1' * place}{digit}{'1' * (16 - place)}"
            assert code(vin, sold_in="USA or Canada") == "beyond", vin


def test_never_wrong_outside_north_america():
    # ISO 3779 leaves position 9 to the maker
    assert code("W1111111111111111") == code("11111111211111111", sold_in="elsewhere") == "cannot-tell"
    assert code("W1111111111111111", sold_in="USA or Canada") == "beyond"
    assert "need not be a check digit" in run("W1111111111111111").verdict.text


@pytest.mark.parametrize("vin", ["1111 1111 1111 1111 1", " 11111111111111111 ", "11111111-111111111", "1111\u00a01111111111111"])
def test_spaces_do_no_harm(vin):
    assert run(vin).inputs["vin"]["text"] == "1" * 17


def test_small_letters():
    assert run("0000000xx00000000").inputs["vin"] == {
        "typed": "0000000xx00000000",
        "value": "0000000XX00000000",
        "unit": "",
        "text": "0000000XX00000000",
        "other": "",
    }


def test_forbidden_letters_are_named_with_their_place_and_asked_about():
    with pytest.raises(AmbiguousEntry, match="I at position 3, O at position 17") as caught:
        run("11i1111111111111O")
    assert caught.value.candidates[0].entry == "11111111111111110" and caught.value.input == "vin"


@pytest.mark.parametrize("vin, says", [
    ("1111111111111111", "it has 16 characters; a VIN has 17"), ("1" * 18, "18 characters"), ("1" * 9000, "characters"), ("1111111111111111é", "“é” at position 17"),
    ("11111111\u202e11111111", "position 9"), ("<b>11111111111111", "“<” at position 1"), ("١١١١١١١١١١١١١١١١١", "position 1"), ("ß" * 17, "position 1"),
])  # fmt: skip
def test_one_line_says_what_is_wrong(vin, says):
    with pytest.raises(UnreadableEntry) as caught:
        run(vin)
    assert says in str(caught.value) and "\n" not in str(caught.value) and caught.value.input == "vin"


def test_worked_example():
    catalogue()["vin-check"].worked_example()
