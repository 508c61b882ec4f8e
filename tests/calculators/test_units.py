"""The registry of units against exact definitions (NIST SP 811, Appendix B) and published pairs."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from calculators.unit_lines import OTHER_UNIT
from calculators.units import UNITS_OF, Quantity, adopt, kind_of, other_unit, unit_named

INCH = Fraction(254, 10_000)  # m, exact since 1959
POUND = Fraction(45_359_237, 100_000_000)  # kg, exact since 1959
GRAVITY = Fraction(980_665, 100_000)  # m/s², 3rd CGPM 1901
GALLON = 231 * INCH**3  # m³, US
FLUID_OUNCE = GALLON / 128

# kind, from, to, factor: worked from the definitions above in exact fractions, not with pint.
FACTORS = [
    ("length", "in", "mm", 1000 * INCH),
    ("length", "thou", "mm", INCH),
    ("length", "ft", "m", 12 * INCH),
    ("distance", "mi", "km", 63_360 * INCH / 1000),
    ("wear", "in/mi", "mm/km", 1000 * INCH / (63_360 * INCH / 1000)),
    ("area", "in²", "mm²", (1000 * INCH) ** 2),
    ("volume", "US fl oz", "mL", FLUID_OUNCE * 10**6),
    ("volume", "US pt", "mL", 16 * FLUID_OUNCE * 10**6),
    ("volume", "US qt", "mL", 32 * FLUID_OUNCE * 10**6),
    ("volume", "US gal", "L", GALLON * 1000),
    ("volume", "in³", "cm³", (100 * INCH) ** 3),
    ("mass", "lb", "kg", POUND),
    ("mass", "oz", "g", POUND * 1000 / 16),
    ("weight", "N", "kg", 1 / GRAVITY),
    ("force", "lbf", "N", POUND * GRAVITY),
    ("force", "kgf", "N", GRAVITY),
    ("torque", "lbf·ft", "N·m", POUND * GRAVITY * 12 * INCH),
    ("torque", "lbf·in", "N·m", POUND * GRAVITY * INCH),
    ("torque", "kgf·m", "N·m", GRAVITY),
    ("pressure", "psi", "kPa", POUND * GRAVITY / INCH**2 / 1000),
    ("pressure", "bar", "MPa", Fraction(1, 10)),
    ("speed", "mph", "km/h", 63_360 * INCH / 1000),
    ("acceleration", "ft/s²", "m/s²", 12 * INCH),
    ("energy", "ft·lbf", "J", POUND * GRAVITY * 12 * INCH),
    ("flow", "US fl oz/min", "mL/min", FLUID_OUNCE * 10**6),
    ("time", "h", "min", Fraction(60)),
    ("density", "lb/in³", "g/cm³", POUND * 1000 / (100 * INCH) ** 3),
    ("temperature difference", "delta °F", "K", Fraction(5, 9)),
    ("angle", "turn", "°", Fraction(360)),
]


@pytest.mark.parametrize("kind, start, end, factor", FACTORS)
def test_factor_is_the_exact_definition(kind, start, end, factor):
    found = unit_named(end, kind).magnitude(unit_named(start, kind).quantity(1))
    assert found == pytest.approx(float(factor), rel=1e-12)


@pytest.mark.parametrize(
    "kind, start, end, printed",
    [
        ("torque", "lbf·ft", "N·m", "1.3558179483314"),  # scipy.constants 1.17.1, pound_force × foot
        ("torque", "lbf·in", "N·m", "0.1129848290276"),  # the same
        ("pressure", "psi", "kPa", "6.894757293168"),  # scipy.constants.psi
        ("pressure", "bar", "psi", "14.50377377"),
        ("volume", "US fl oz", "mL", "29.5735295625"),  # exact
        ("volume", "US pt", "mL", "473.176473"),
        ("force", "lbf", "N", "4.4482216152605"),  # exact
    ],
)
def test_factor_as_printed_in_tables(kind, start, end, printed):
    found = unit_named(end, kind).magnitude(unit_named(start, kind).quantity(1))
    decimals = len(printed.partition(".")[2])
    assert f"{found:.{decimals}f}" == printed


@pytest.mark.parametrize(
    "fahrenheit, celsius",
    [(401, 205), (284, 140), (446, 230), (311, 155), (500, 260), (356, 180)],  # 49 CFR 571.116 S5.1, both columns
)
def test_temperatures_of_the_fluid_standard(fahrenheit, celsius):
    degrees_f, degrees_c = unit_named("°F"), unit_named("°C")
    assert degrees_c.magnitude(degrees_f.quantity(fahrenheit)) == pytest.approx(celsius, abs=1e-9)
    assert degrees_f.magnitude(degrees_c.quantity(celsius)) == pytest.approx(fahrenheit, abs=1e-9)


@pytest.mark.parametrize(
    "threads, millimetres",
    [(16, "1.5875"), (14, "1.8143"), (20, "1.2700"), (12, "2.1167")],  # 25.4 / n, ASME B1.1 threads
)
def test_threads_per_inch(threads, millimetres):
    tpi, mm = unit_named("TPI"), unit_named("mm")
    assert f"{mm.magnitude(tpi.quantity(threads)):.4f}" == millimetres
    assert tpi.magnitude(mm.quantity(25.4 / threads)) == pytest.approx(threads, rel=1e-12)


def test_every_unit_goes_there_and_back():
    for kind, units in UNITS_OF.items():
        for unit in units.values():
            assert unit.magnitude(unit.quantity(2.5)) == pytest.approx(2.5, rel=1e-12), (kind, unit.symbol)


def test_every_fixed_unit_has_the_dimension_of_its_other_unit():
    for metric in OTHER_UNIT:
        assert unit_named(metric).quantity(1).check(other_unit(metric).quantity(1).dimensionality), metric


@pytest.mark.parametrize("pair, kind", [(["mm", "in"], "length"), (["mm", "TPI"], "pitch"), (["°C", "°F"], "temperature"), (["m", "ft"], "length")])
def test_kind_follows_from_the_pair_of_units(pair, kind):
    assert kind_of(pair) == kind


def test_an_unknown_pair_of_units_has_no_kind():
    with pytest.raises(LookupError, match="no kind of entry"):
        kind_of(["mm", "psi"])


@pytest.mark.parametrize("number, unit, symbol, expected", [(3, "foot_pound", "N·m", 4.0674538449942), (212, "degree_Fahrenheit", "°C", 100), (1, "mile", "km", 1.609344)])
def test_quantities_of_pints_own_registry_are_understood(number, unit, symbol, expected):
    foreign = pint.UnitRegistry().Quantity(number, unit)
    assert unit_named(symbol).magnitude(adopt(foreign)) == pytest.approx(expected, rel=1e-12)


def test_torque_and_length_do_not_mix():
    with pytest.raises(pint.DimensionalityError):
        unit_named("mm").magnitude(Quantity(1, "newton * meter"))
