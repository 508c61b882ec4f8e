"""What an input takes and refuses at its edges."""

from __future__ import annotations

import pytest

from calculators.contract.errors import AmbiguousEntry, UnreadableEntry
from calculators.contract.inputs import MOST_CHARACTERS, MOST_ENTRIES, HalfLastDigit, Input, shortened
from calculators.contract.units import Quantity

LIST = Input(["mm", "in"], name="x", is_list=True)
LENGTH = Input(["mm", "in"], name="x")
PITCH = Input(["mm", "TPI"], name="x", also=["in"])


def test_a_unit_on_the_last_alone_holds_for_all():
    assert [e.again for e in LIST.read("1; 2; 3 in", "metric")] == ["1 in", "2 in", "3 in"]


@pytest.mark.parametrize("text", ["1; 2 in; 3 in", "1 in; 2; 3", "1 in; 2; 3 in", "1; 2 mm; 3"])
def test_units_on_some_entries_are_refused(text):
    with pytest.raises(UnreadableEntry, match="has no unit and others have"):
        LIST.read(text, "metric")


@pytest.mark.parametrize("given, again", [
    (Quantity(1.5, "inch"), "1.5 in"), (Quantity(24.1, "mm"), "24.1 mm"), (Quantity(0, "mm"), "0 mm"), (Quantity(1e-7, "mm"), "0.0000001 mm"),
])  # fmt: skip
def test_a_quantity_keeps_a_unit_the_shop_writes(given, again):
    entry = LENGTH.read(given, "metric")
    assert entry.again == again and entry.unit_typed


def test_a_quantity_for_a_pitch_is_a_length_not_a_count():
    entry = PITCH.read(Quantity(0.05, "inch"), "metric")
    assert entry.unit.symbol == "in" and entry.quantity.to("mm").magnitude == pytest.approx(1.27)


@pytest.mark.parametrize("given", [Quantity(1, "kg"), Quantity(float("nan"), "mm"), Quantity(float("inf"), "mm")])
def test_a_quantity_that_does_not_fit(given):
    with pytest.raises(UnreadableEntry):
        LENGTH.read(given, "metric")


def test_as_many_entries_and_characters_as_are_taken():
    assert len(LIST.read("1;" * (MOST_ENTRIES - 1) + "1 mm", "metric")) == MOST_ENTRIES
    with pytest.raises(UnreadableEntry, match=f"^x: {MOST_ENTRIES + 1} entries; the most is {MOST_ENTRIES}"):
        LIST.read([1] * (MOST_ENTRIES + 1), "metric")
    assert LIST.read(" " * (MOST_CHARACTERS - 1) + "1", "metric")[0].number.value == 1
    assert LENGTH.read(" " * (MOST_CHARACTERS - 1) + "1", "metric").number.value == 1
    for spec in (LIST, LENGTH):
        with pytest.raises(UnreadableEntry, match=f"{MOST_CHARACTERS + 1} characters"):
            spec.read(" " * MOST_CHARACTERS + "1", "metric")


@pytest.mark.parametrize("given", [True, None, {}, [], [1, 2], b"1"])
def test_one_entry_is_text_a_number_or_a_quantity(given):
    with pytest.raises(UnreadableEntry):
        LENGTH.read(given, "metric")


def test_zero_is_not_below_zero():
    assert LENGTH.read("0", "metric").number.value == 0
    with pytest.raises(UnreadableEntry, match="it cannot be below zero"):
        LENGTH.read("-0.001", "metric")


# Half of the last digit of what was read most finely; of two as fine, the coarser unit: 0.01 in is more than 0.01 mm.
@pytest.mark.parametrize("texts, half, unit", [
    (["24.1 mm", "24.05 mm"], 0.005, "mm"), (["0.949 in"], 0.0005, "in"), (["15/16 in"], 1 / 32, "in"),
    (["1.01 mm", "0.04 in"], 0.005, "in"), (["24 mm"], 0.5, "mm"), (["3.5 mm", "5/16 in"], 0.05, "mm"),
])  # fmt: skip
def test_half_of_the_last_digit(texts, half, unit):
    entry = HalfLastDigit("x").entry([LENGTH.read(text, "metric") for text in texts])
    assert (entry.number.value, entry.unit.symbol, entry.default) == (pytest.approx(half), unit, True)
    assert float(entry.number.text) == pytest.approx(half, rel=0.01)


def test_the_whole_numbers_of_an_input():
    spec = Input(name="x", type="integer", kind="number")
    assert spec.read("999999", "metric").value == 999_999
    for text in ("1000000", "1.5", "-1", "", "1 mm"):
        with pytest.raises(UnreadableEntry, match="it is not a whole number"):
            spec.read(text, "metric")


def test_choices_are_found_by_their_last_word_and_a_near_one_is_named():
    spec = Input(choices=["DOT 3", "DOT 5.1", "mineral"], name="x", type="choice")
    assert [spec.read(text, "metric").value for text in ("dot3", "DOT_5.1", "5.1", "Mineral")] == ["DOT 3", "DOT 5.1", "DOT 5.1", "mineral"]
    with pytest.raises(UnreadableEntry, match="none of the choices; did you mean mineral"):
        spec.read("minerall", "metric")
    with pytest.raises(UnreadableEntry, match="none of the choices; expected one of DOT 3, DOT 5.1, mineral"):
        spec.read("zzz", "metric")


def test_a_share_over_one_is_asked_about():
    spec = Input(["", ""], name="x", kind="share")
    with pytest.raises(AmbiguousEntry) as asked:
        spec.read("1.5", "metric")
    assert [(c.entry, c.text) for c in asked.value.candidates] == [("1.5 %", "1.5 %, which is 0.015"), ("150 %", "150 %, which is 1.5")]


def test_text_cut_to_a_line():
    assert shortened("a" * 60) == "a" * 60
    assert shortened("a" * 61) == "a" * 59 + "…"
    assert shortened("a \n b") == "a b"


@pytest.mark.parametrize("spec, expected", [
    (LIST, "one length or more, for example 1 mm"), (LENGTH, "a length, for example 1 mm"),
    (Input(["°", "°"], name="x", kind="angle"), "an angle, for example 1 °"),
    (Input(["mm", "in"], name="x", examples=("7 mm", "0.3 in")), "a length, for example 7 mm"),
])  # fmt: skip
def test_what_is_expected(spec, expected):
    assert spec.expected("metric") == expected


@pytest.mark.parametrize("text", ["0 TPI", "-1 TPI", "1/2-0"])
def test_a_count_of_threads_is_above_zero(text):
    with pytest.raises(UnreadableEntry):
        PITCH.read(text, "metric")
