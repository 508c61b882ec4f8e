"""Entries at their edges; conversions by hand: 1 ft = 12 in, 1 US gallon = 231 in³, 1 in = 25.4 mm."""

from __future__ import annotations

import pytest

from calculators.contract.entries import EntryTextError, read_entry, split_list, typed_in
from calculators.contract.units import Quantity, unit_named


def length(text: str):
    return read_entry(text, "length", unit_named("mm"))


@pytest.mark.parametrize("text, inches", [("3 ft 11 in", 47), ("3' 11.5\"", 47.5), ("0 ft 0 in", 0), ("2 ft 1/2 in", 24.5)])
def test_feet_and_inches(text, inches):
    entry = length(text)
    assert entry.quantity.to("inch").magnitude == pytest.approx(inches) and entry.unit.symbol == "in"


@pytest.mark.parametrize("text", ["3 ft 12 in", "3 ft 12.0 in", "1' 13\""])
def test_twelve_inches_after_feet_are_refused(text):
    with pytest.raises(EntryTextError, match="12 inches or more after feet"):
        length(text)


def test_a_us_measure_may_say_so():
    entry = read_entry("1 US fl oz", "volume", unit_named("ml"))
    # 231 in³ / 128 = 29.5735 ml
    assert entry.quantity.to("milliliter").magnitude == pytest.approx(29.5735, rel=1e-5)
    with pytest.raises(EntryTextError, match="is not known here"):
        read_entry("1 US widget", "volume", unit_named("ml"))


@pytest.mark.parametrize("given, typed", [
    ("5 mm", True), ("5", False), ("5 kg", False), ("", False), (5, False), (5.0, False), (None, False), ("1,500 mm", True), ("x", False),
    (Quantity(5, "mm"), True), (Quantity(5, "kg"), False),
])  # fmt: skip
def test_whether_a_unit_was_typed(given, typed):
    assert typed_in(given, "length") is typed


@pytest.mark.parametrize("text, pieces", [
    ("24.1; 24.0", ["24.1", "24.0"]), ("24.1 24.0 24.2", ["24.1", "24.0", "24.2"]), ("24,1, 24,0", ["24,1", "24,0"]),
    ("24.1\n24.0\n", ["24.1", "24.0"]), ("1 1/32", ["1 1/32"]), ("15/16; 1 1/32", ["15/16", "1 1/32"]), ("- 0.02", ["-0.02"]),
    ("+ 0.02 -0.01", ["+0.02", "-0.01"]), ("3 ft 4 in", ["3 ft 4 in"]),
])  # fmt: skip
def test_lists(text, pieces):
    assert split_list(text) == pieces


@pytest.mark.parametrize("text", ["24.1;; 24.0", "15/16 1 1/32", "0.02 - 0.01", "3 ft 4 in 5"])
def test_lists_that_cannot_be_parted(text):
    with pytest.raises(EntryTextError):
        split_list(text)


@pytest.mark.parametrize("text", ["1/2-0", "M10"])
def test_no_pitch(text):
    with pytest.raises(EntryTextError):
        read_entry(text, "pitch", unit_named("mm"))


@pytest.mark.parametrize("text, pitch", [("1/2-20", 1.27), ("20 TPI", 1.27), ("M12x1.5", 1.5), ("M 12 × 1,25", 1.25), ("#10-32", 0.79375)])
def test_pitches_in_millimetres(text, pitch):
    assert read_entry(text, "pitch", unit_named("mm")).quantity.to("mm").magnitude == pytest.approx(pitch)


@pytest.mark.parametrize("text, size", [("M12", 12), ("M12x1.5", 12), ("1/2-20", 12.7), ('5/16"', 7.9375)])
def test_diameters_in_millimetres(text, size):
    assert read_entry(text, "diameter", unit_named("mm")).quantity.to("mm").magnitude == pytest.approx(size)


def test_a_share_over_one_is_asked_about_and_one_is_not():
    from calculators.contract.entries import ShareQuestion

    whole = unit_named("", "share")
    assert read_entry("1", "share", whole).number.value == 1
    assert read_entry("10 %", "share", whole).quantity.to("dimensionless").magnitude == pytest.approx(0.1)
    with pytest.raises(ShareQuestion):
        read_entry("1.01", "share", whole)


def test_us_before_any_unit():
    assert read_entry("3 US lb", "mass", unit_named("kg")).unit.symbol == "lb"


def test_a_quantity_of_a_unit_not_known_here_has_none_that_counts():
    class Widget:
        magnitude, units = 5.0, "widget"

    assert typed_in(Widget(), "length") is False


def test_a_text_that_is_no_number_has_no_unit_typed():
    assert typed_in("nan mm", "length") is False and typed_in("5e3 mm", "length") is False
