"""Entries as a shop writes them. What each means is arithmetic or the usage of the trade, no source needed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calculators.contract.errors import AmbiguousEntry, EntryError, UnreadableEntry
from calculators.contract.inputs import Input
from calculators.contract.units import Quantity

KINDS = {  # kind → the input that reads it, metric unit first
    "length": Input(["mm", "in"]),
    "dial": Input(["mm", "in"], negative=True),
    "diameter": Input(["mm", "in"], kind="diameter"),
    "pitch": Input(["mm", "TPI"]),
    "torque": Input(["N·m", "lbf·ft"]),
    "volume": Input(["mL", "US fl oz"]),
    "speed": Input(["km/h", "mph"]),
    "distance": Input(["km", "mi"]),
    "temperature": Input(["°C", "°F"], negative=True),
    "ratio": Input(kind="ratio"),
    "share": Input(kind="share"),
    "pressure": Input(["bar", "psi"]),
    "angle": Input(["°", "°"]),
}
FLUID = replace(Input(choices=["DOT 3", "DOT 4", "DOT 5", "DOT 5.1"]), name="grade", type="choice")
SLOTS = replace(Input(band="nut slots"), name="nut_slots", type="integer")


def read(kind, text, system="metric", is_list=False):
    return replace(KINDS[kind], name="entry", is_list=is_list).read(text, system)


READ = [  # kind, as typed, number, its unit
    ("length", "24.1", 24.1, "mm"),
    ("length", "24,1", 24.1, "mm"),
    ("length", "24.1 mm", 24.1, "mm"),
    ("length", "24.1mm", 24.1, "mm"),
    ("length", "24.1 MM", 24.1, "mm"),
    ("length", "24,1 mm", 24.1, "mm"),
    ("length", " 24.1 ", 24.1, "mm"),
    ("length", "24.1\u00a0mm", 24.1, "mm"),
    ("length", "0.949 in", 0.949, "in"),
    ("length", '.949"', 0.949, "in"),
    ("length", ".949″", 0.949, "in"),
    ("length", ".949''", 0.949, "in"),
    ("length", ".949 inches", 0.949, "in"),
    ("length", "0,949", 0.949, "mm"),
    ("length", ",949", 0.949, "mm"),
    ("length", "0,949 in", 0.949, "in"),
    ("length", "15/16", 0.9375, "mm"),
    ("length", "15/16 in", 0.9375, "in"),
    ("length", "1 1/32 in", 1.03125, "in"),
    ("length", "1-1/32 in", 1.03125, "in"),
    ("length", "1½ in", 1.5, "in"),
    ("length", "½ in", 0.5, "in"),
    ("length", '3/32"', 0.09375, "in"),
    ("length", "3⁄32 in", 0.09375, "in"),
    ("length", "0.002", 0.002, "mm"),
    ("length", "2 thou", 0.002, "in"),
    ("length", "2 thousandths", 0.002, "in"),
    ("length", "13 µm", 0.013, "mm"),
    ("length", "13 um", 0.013, "mm"),
    ("length", "13 microns", 0.013, "mm"),
    ("length", "1,234.5", 1234.5, "mm"),
    ("length", "1,5000", 1.5, "mm"),
    ("length", "10 ft 6 in", 126, "in"),
    ("length", "10' 6\"", 126, "in"),
    ("dial", "-0.02", -0.02, "mm"),
    ("dial", "−0.02", -0.02, "mm"),
    ("dial", "+0.02", 0.02, "mm"),
    ("dial", "− 1 1/2 thou", -0.0015, "in"),
    ("torque", "35 N·m", 35, "N·m"),
    ("torque", "35 Nm", 35, "N·m"),
    ("torque", "35 N-m", 35, "N·m"),
    ("torque", "35 N m", 35, "N·m"),
    ("torque", "26 ft-lb", 26, "lbf·ft"),
    ("torque", "26 ft-lbs", 26, "lbf·ft"),
    ("torque", "26 ft.lb.", 26, "lbf·ft"),
    ("torque", "26 lb-ft", 26, "lbf·ft"),
    ("torque", "26 lbf·ft", 26, "lbf·ft"),
    ("torque", "26 foot-pounds", 26, "lbf·ft"),
    ("torque", "312 in-lb", 26, "lbf·ft"),
    ("torque", "312 in-lbs", 26, "lbf·ft"),
    ("torque", "312 lb-in", 26, "lbf·ft"),
    ("torque", "312 inch-pounds", 26, "lbf·ft"),
    ("torque", "5 kgf·m", 5 * 9.80665, "N·m"),
    ("volume", "1/2 pt", 8, "US fl oz"),
    ("volume", "500 ml", 500, "mL"),
    ("volume", "0.5 L", 500, "mL"),
    ("volume", "500 cc", 500, "mL"),
    ("volume", "12 oz", 12, "US fl oz"),
    ("volume", "12 fl. oz.", 12, "US fl oz"),
    ("volume", "1 qt", 32, "US fl oz"),
    ("pitch", "16 TPI", 25.4 / 16, "mm"),
    ("pitch", "16 t.p.i.", 25.4 / 16, "mm"),
    ("pitch", "3/4-16", 25.4 / 16, "mm"),
    ("pitch", "3/4-16 UNF", 25.4 / 16, "mm"),
    ("pitch", '3/4"-16 UNF-2A', 25.4 / 16, "mm"),
    ("pitch", "1-14 UNS", 25.4 / 14, "mm"),
    ("pitch", "1 1/4-12", 25.4 / 12, "mm"),
    ("pitch", "1.5 mm", 1.5, "mm"),
    ("pitch", "M24x1.5", 1.5, "mm"),
    ("pitch", "M24 × 1,5", 1.5, "mm"),
    ("diameter", "M12", 12, "mm"),
    ("diameter", "m12", 12, "mm"),
    ("diameter", "M12x1.5", 12, "mm"),
    ("diameter", "1/2-20", 0.5, "in"),
    ("speed", "50 mph", 50, "mph"),
    ("speed", "50 km/h", 50, "km/h"),
    ("temperature", "300 °F", 300, "°F"),
    ("temperature", "300F", 300, "°F"),
    ("temperature", "150 C", 150, "°C"),
    ("temperature", "-40", -40, "°C"),
    ("ratio", "4:1", 4, ""),
    ("ratio", "4,2 : 1", 4.2, ""),
    ("share", "0.1", 0.1, ""),
    ("share", "10 %", 0.1, ""),
    ("share", "10%", 0.1, ""),
    ("share", "150 %", 1.5, ""),
    ("share", "1", 1, ""),
    ("distance", "60,000", 60_000, "km"),
    ("distance", "60 000", 60_000, "km"),
    ("distance", "60,000 mi", 60_000, "mi"),
    ("distance", "60,000.5", 60_000.5, "km"),
    ("distance", "1,500", 1500, "km"),
    ("distance", "37,5", 37.5, "km"),
    ("pressure", "7 MPa", 70, "bar"),
    ("pressure", "700 kPa", 7, "bar"),
    ("pressure", "1000 psi", 1000, "psi"),
    ("angle", "1/4 turn", 90, "°"),
    ("angle", "15°", 15, "°"),
    ("angle", "15 deg", 15, "°"),
]


@pytest.mark.parametrize(("kind", "text", "number", "unit"), READ, ids=[f"{k}: {t}" for k, t, _, _ in READ])
def test_an_entry_is_read_as_the_shop_means_it(kind, text, number, unit):
    found = read(kind, text).quantity
    symbol = {"N·m": "N*m", "lbf·ft": "lbf*ft", "US fl oz": "fluid_ounce", "°C": "degC", "°F": "degF", "mph": "mile/hour",
              "km/h": "km/hour", "°": "degree", "": "dimensionless"}.get(unit, unit)  # fmt: skip
    assert found.to(symbol).magnitude == pytest.approx(number, rel=1e-12, abs=1e-12)


REFUSED = [  # kind, as typed, a word of the reason
    ("length", "1e3", "powers of ten"),
    ("length", "2.41E1 mm", "powers of ten"),
    ("length", "2 × 10 mm", "powers of ten"),
    ("length", "nan", "not a number"),
    ("length", "NaN mm", "not a number"),
    ("length", "inf", "not a number"),
    ("length", "-Infinity", "not a number"),
    ("length", "∞", "number"),
    ("length", "-5", "below zero"),
    ("length", "−5", "below zero"),
    ("length", "mm", "number"),
    ("length", "abc", "number"),
    ("length", "24.", "point"),
    ("length", "24.1.2", "do not make a number"),
    ("length", "12,34.5", "do not make a number"),
    ("length", "1.234,5", "do not make a number"),
    ("length", "24.1 bar", "pressure"),
    ("length", "24.1 furlongs", "not known"),
    ("length", "24-25", "range"),
    ("length", "24.1; 24.0", "one entry"),
    ("length", "1/0", "0 below"),
    ("length", "1_000", "not known"),
    ("length", "0x10", ""),
    ("length", "24.1±0.1", "not known"),
    ("length", "٣ mm", "number"),
    ("length", "9999999999999999", "15 digits"),
    ("length", "__import__('os')", "number"),
    ("pressure", "7 mPa", "thousandth of a pascal"),
    ("pressure", "7 mpa", "thousandth of a pascal"),
    ("pitch", "M24", "pitch"),
    ("pitch", "0 TPI", "above 0"),
    ("pitch", "3/4-0", "above 0"),
    ("ratio", "1:4", ""),
    ("temperature", "20 K", "difference"),
    ("torque", "35 N", "force"),
    ("volume", "1 imperial pint", "not known"),
]


@pytest.mark.parametrize(("kind", "text", "reason"), REFUSED, ids=[f"{k}: {t}" for k, t, _ in REFUSED])
def test_what_is_no_entry_is_refused_in_one_line_with_an_example(kind, text, reason):
    with pytest.raises(UnreadableEntry) as caught:
        read(kind, text)
    line = str(caught.value)
    assert line.startswith("entry: ") and reason in line and "for example" in line and "\n" not in line
    assert caught.value.typed == text.strip()


ASKED = [  # kind, as typed, the ways to read it
    ("length", "1,500", ["1.500 mm", "1500 mm"]),
    ("length", "12,345 mm", ["12.345 mm", "12345 mm"]),
    ("length", "1,500 in", ["1.500 in", "1500 in"]),
    ("dial", "-1,500", ["-1.500 mm", "-1500 mm"]),
    ("length", "11/4", ["2 3/4 mm", "1 1/4 mm"]),
    ("length", "11/4 in", ["2 3/4 in", "1 1/4 in"]),
    ("length", "115/16 in", ["7 3/16 in", "1 15/16 in", "11 5/16 in"]),
    ("share", "10", ["10 %", "1000 %"]),
    ("share", "1.5", ["1.5 %", "150 %"]),
]


@pytest.mark.parametrize(("kind", "text", "ways"), ASKED, ids=[f"{k}: {t}" for k, t, _ in ASKED])
def test_an_entry_with_two_meanings_is_asked_about(kind, text, ways):
    with pytest.raises(AmbiguousEntry) as caught:
        read(kind, text)
    assert [candidate.entry for candidate in caught.value.candidates] == ways
    for way in ways:
        assert read(kind, way)  # every candidate can be typed as it stands


LISTS = [  # as typed, the readings in mm
    ("24.1; 24.0", [24.1, 24.0]),
    ("24.1;24.0;", [24.1, 24.0]),
    ("24.1\n24.0\n", [24.1, 24.0]),
    ("24.1\r\n24.0", [24.1, 24.0]),
    ("24.1, 24.0", [24.1, 24.0]),
    ("24,1, 24,0", [24.1, 24.0]),
    ("24,1; 24,0", [24.1, 24.0]),
    ("24.1 24.0", [24.1, 24.0]),
    ("24,1 24,0", [24.1, 24.0]),
    ("24.1 mm 24.0 mm", [24.1, 24.0]),
    ("24.1; 24.0 mm", [24.1, 24.0]),
    ("1; 2 in", [25.4, 50.8]),
    ("1 in; 2 mm", [25.4, 2]),
    ("1 1/2 in", [38.1]),
    ("1 1/2; 3/4 in", [38.1, 19.05]),
    ("1 1/2, 3/4 in", [38.1, 19.05]),
    ("-0.02 0.01 −0.03", [-0.02, 0.01, -0.03]),
    ("2 thou 3 thou", [0.0508, 0.0762]),
    (["24.1", "24.0 mm"], [24.1, 24.0]),
    ([24.1, 24], [24.1, 24]),
    ((Quantity(1, "inch"), "2 mm"), [25.4, 2]),
    ("24.1", [24.1]),
]


@pytest.mark.parametrize(("text", "readings"), LISTS, ids=[repr(t) for t, _ in LISTS])
def test_a_list_is_read(text, readings):
    found = [entry.quantity.to("mm").magnitude for entry in read("dial", text, is_list=True)]
    assert found == pytest.approx(readings, rel=1e-12)


NO_LISTS = [
    ("24.1 mm; 24.0", "put the unit on all"),
    ('0.949" 0.950', "put the unit on all"),
    ("15/16 1 1/32", "semicolons"),
    ("24.1;;24.0", "empty place"),
    ("; 24.1", "empty place"),
    ("24.1; abc", "number"),
    ("24.1,24.0", "do not make a number"),
    ("0.02 - 0.01", "sign"),
    (["24.1; 24.0"], "one entry"),
    ([True], "not numbers"),
    ([None], "text or a quantity"),
    ([Quantity(1, "degree")], "does not fit"),
    (["1"] * 401, "401 entries"),
    ("1 " * 1500, "characters"),
]


@pytest.mark.parametrize(("text", "reason"), NO_LISTS, ids=[repr(t)[:40] for t, _ in NO_LISTS])
def test_a_list_that_cannot_be_read_is_refused(text, reason):
    with pytest.raises(UnreadableEntry, match=reason):
        read("dial", text, is_list=True)


def test_all_doubtful_entries_of_a_list_are_asked_about_at_once():
    with pytest.raises(AmbiguousEntry) as caught:
        read("length", "24,100; 24,000", is_list=True)
    assert [candidate.entry for candidate in caught.value.candidates] == ["24.100 mm; 24.000 mm", "24100 mm; 24000 mm"]


def test_a_bare_number_is_in_the_units_of_the_job():
    assert read("length", "1", "inch").quantity.to("mm").magnitude == pytest.approx(25.4, rel=1e-15)
    assert read("pitch", "16", "inch").quantity.to("mm").magnitude == pytest.approx(1.5875, rel=1e-15)
    assert read("torque", "26", "inch").quantity.to("lbf*ft").magnitude == pytest.approx(26, rel=1e-15)


@pytest.mark.parametrize("number", [1e-5, 24.1, 2.5e-7, 5, 123456.75])
def test_a_number_of_the_library_is_read_without_loss(number):
    assert read("length", number).quantity.magnitude == number


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -1.0, True, None, {}, object()])
def test_what_is_no_number_of_the_library_is_refused(number):
    with pytest.raises(EntryError):
        read("length", number)


@pytest.mark.parametrize(
    ("typed", "grade"), [("DOT 4", "DOT 4"), ("dot4", "DOT 4"), ("4", "DOT 4"), ("dot-5.1", "DOT 5.1"), ("5.1", "DOT 5.1"), ("5", "DOT 5")]
)
def test_a_choice_is_read(typed, grade):
    assert FLUID.read(typed, "metric").value == grade


@pytest.mark.parametrize("typed", ["DOT", "DOT 6", "51", "", "DOT 4 or 5"])
def test_what_is_no_choice_is_refused_with_the_choices(typed):
    with pytest.raises(UnreadableEntry, match="one of DOT 3, DOT 4, DOT 5, DOT 5.1"):
        FLUID.read(typed, "metric")


@pytest.mark.parametrize("typed", ["6.0", "six", "-6", "3", "19", "6 slots", "", True, 6.0, "1e1", "٦"])
def test_a_count_is_a_whole_number_in_its_band(typed):
    with pytest.raises(UnreadableEntry, match="a whole number from 4 to 18, for example 6"):
        SLOTS.read(typed, "metric")


def test_a_count_is_read():
    assert SLOTS.read(" 6 ", "metric").value == SLOTS.read(6, "inch").value == 6
