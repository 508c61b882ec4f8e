"""convert against the exact factors of NIST SP 811 App. B (decimals and fractions), and pairs printed in regulations and manuals."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, EntryError, MissingInput, UnreadableEntry

CONVERT = catalogue()["convert"]
INCH, POUND, GRAVITY = Fraction("0.0254"), Fraction("0.45359237"), Fraction("9.80665")  # exact by definition
FORCE = POUND * GRAVITY
GALLON = 231 * INCH**3


def run(entry, to, system="metric"):
    return CONVERT.run(system=system, entry=entry, to=to)


def number(entry, to):
    return run(entry, to).values["value"].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    CONVERT.worked_example()


@pytest.mark.parametrize("entry, to, exact", [
    ("1 in", "mm", INCH * 1000),
    ("1 ft", "m", 12 * INCH),
    ("1 mi", "km", 63360 * INCH / 1000),
    ("2 thou", "µm", Fraction("50.8")),
    ("1 lb", "kg", POUND),
    ("1 oz", "g", POUND / 16 * 1000),
    ("1 lbf", "N", FORCE),
    ("1 lbf·ft", "N·m", FORCE * 12 * INCH),
    ("1 lbf·in", "N·m", FORCE * INCH),
    ("1 kgf·m", "N·m", GRAVITY),
    ("1 psi", "kPa", FORCE / INCH**2 / 1000),
    ("1 bar", "psi", 100_000 / (FORCE / INCH**2)),
    ("1 US gal", "L", GALLON * 1000),
    ("1 qt", "mL", GALLON / 4 * 1_000_000),
    ("1 pt", "mL", GALLON / 8 * 1_000_000),
    ("1 US fl oz", "mL", GALLON / 128 * 1_000_000),
    ("1/2 pt", "mL", GALLON / 16 * 1_000_000),
    ("1 in²", "mm²", INCH**2 * 1_000_000),
    ("50 mph", "km/h", 50 * 63360 * INCH / 1000),
    ("16 TPI", "mm", INCH * 1000 / 16),
    ("3/4-16", "mm", INCH * 1000 / 16),
    ("1 ft·lbf", "J", FORCE * 12 * INCH),
    ("36 delta °F", "K", Fraction(20)),
    ("10 K", "delta °F", Fraction(18)),
    ("1 turn", "°", Fraction(360)),
    ("2 h", "min", Fraction(120)),
])  # fmt: skip
def test_exact_factors(entry, to, exact):
    assert number(entry, to) == pytest.approx(float(exact), rel=1e-11)


@pytest.mark.parametrize("entry, to, printed", [
    ("1 lbf·ft", "N·m", "1.3558179483"), ("1 psi", "kPa", "6.8947572932"), ("1 bar", "psi", "14.50377377"),
    ("1 US fl oz", "mL", "29.5735295625"), ("1 pt", "mL", "473.176473"), ("1 lbf", "N", "4.4482216153"),
])  # fmt: skip
def test_factors_as_published(entry, to, printed):
    # NIST SP 811, App. B.8 and its definitions, to the digits of the table
    assert f"{number(entry, to):.{len(printed.partition('.')[2])}f}" == printed


@pytest.mark.parametrize(
    "celsius, fahrenheit", [(205, 401), (140, 284), (230, 446), (155, 311), (260, 500), (180, 356), (-40, -40), (100, 212)]
)
def test_temperatures_of_regulation(celsius, fahrenheit):
    # the pairs printed in 49 CFR 571.116; −40 and 100 by definition of the scale
    assert number(f"{celsius} °C", "°F") == pytest.approx(fahrenheit, abs=1e-9)
    assert number(f"{fahrenheit} °F", "C") == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize("entry, to, text", [
    ("1.215 in", "mm", "30.86"),           # TM 9-2320-289-34 p. 7-3: 1.215 in (30.86 mm)
    ("1.230 in", "mm", "31.24"),           # the same: 31.24
    ("50 lbf·ft", "N·m", "68"),            # TM 9-2320-289-20 p. 8-4: 50 lb-ft (68 N·m)
    ("160 lb-ft", "Nm", "217"),            # the same: 217
    ("30 psi", "kPa", "207"),              # TM 9-2320-280-34: 30 psi (207 kPa)
])  # fmt: skip
def test_pairs_of_army_manuals(entry, to, text):
    result = number(entry, to)
    assert f"{result:.{len(text.partition('.')[2])}f}" == text


@pytest.mark.parametrize("entry, to, text", [
    ("24.1 mm", "in", "0.9488 in"), ("35 Nm", "ft-lb", "25.81 lbf·ft"), ("0.949 in", "mm", "24.10 mm"),
    ("0.5 mi", "ft", "2640 ft"), ("M12", "in", "0.4724 in"), ("15/16\"", "mm", "23.813 mm"),
])  # fmt: skip
def test_printing_is_as_fine_as_the_entry_and_four_figures_at_least(entry, to, text):
    # worked by hand: 0.949 × 25.4 = 24.1046, its last digit is worth 0.03 mm; 25.4 mm, 1.3558179 N·m, 5280 ft
    for system in ("metric", "inch"):
        assert plain(run(entry, to, system).values["value"].text) == text


def test_the_unit_of_the_value_is_the_unit_asked_for():
    result = run("24.1 mm", "inches")
    assert result.values["value"].unit == "in" and result.verdict is None
    assert any("Unrounded: 0.948818897638" in plain(note) for note in result.notes)


@pytest.mark.parametrize(
    "entry, to, kind", [("16 oz", "mL", 473.176473), ("16 oz", "g", 453.59237), ("50 lb", "N", 222.411080763), ("50 lb", "kg", 22.6796185)]
)
def test_one_spelling_of_two_kinds_is_told_by_the_unit_asked_for(entry, to, kind):
    assert number(entry, to) == pytest.approx(kind, rel=1e-9)


@pytest.mark.parametrize(
    "entry, to, back", [("7.31 mm", "in", "mm"), ("88 lbf·ft", "N·m", "lbf·ft"), ("612 psi", "bar", "psi"), ("3.3 US qt", "L", "US qt")]
)
def test_there_and_back(entry, to, back):
    there = number(entry, to)
    assert number(f"{there:.12f} {to}", back) == pytest.approx(float(entry.split()[0]), rel=1e-10)


def test_quantities_of_pint():
    assert number(pint.UnitRegistry().Quantity(2, "inch"), "mm") == pytest.approx(50.8)


@pytest.mark.parametrize("entry, to, error, says", [
    ("24.1", "in", UnreadableEntry, "has no unit"),
    ("24.1 mm", "bar", UnreadableEntry, "expected one of mm, in"),
    ("10 °C", "K", UnreadableEntry, "for differences"),
    ("1 N", "kg", UnreadableEntry, "expected one of N"),         # a force is no mass
    ("24.1 foo", "in", UnreadableEntry, "not known here"),
    ("24.1 mm", "foo", UnreadableEntry, "expected one of"),
    ("24.1", "zzz", UnreadableEntry, "expected one of"),
    ("1,500 mm", "in", AmbiguousEntry, "more than one way"),
    ("11/4 in", "mm", AmbiguousEntry, "more than one way"),
    ("0 mm", "TPI", UnreadableEntry, "no threads"),
    ("0 TPI", "mm", UnreadableEntry, "above 0"),
    ("-300 °C", "°F", Contradiction, "nothing is colder"),
    ("-5 N·m", "lbf·ft", UnreadableEntry, "below zero"),
    ("5 mPa", "psi", UnreadableEntry, "write MPa"),
    ("1e3 mm", "in", UnreadableEntry, "powers of ten"),
    ("inf mm", "in", UnreadableEntry, "not a number"),
    ("", "in", MissingInput, "missing"),
    ("24.1 mm", "", MissingInput, "missing"),
])  # fmt: skip
def test_refusals_and_questions(entry, to, error, says):
    with pytest.raises(error, match=says) as caught:
        run(entry, to)
    assert isinstance(caught.value, EntryError) and "\n" not in str(caught.value)
