"""Units against their exact definitions, and against pint's own registry.

International yard and pound agreement, 1959; US gallon of 231 cubic inches; standard gravity 9.80665 m/s²; figures
as printed in NIST SP 811, Appendix B. Computed here from those definitions with whole numbers.
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from calculators.contract.units import UNITS_OF, adopt, other_unit, registry, unit_named

INCH = Fraction(254, 10)  # mm, exact
POUND = Fraction(45359237, 100_000_000)  # kg, exact
GRAVITY = Fraction(980665, 100_000)  # m/s², exact
POUND_FORCE = POUND * GRAVITY  # N

EXACT = [  # a unit of the shop, in which unit, how many
    ("in", "mm", INCH),
    ("thou", "mm", INCH / 1000),
    ("ft", "m", INCH * 12 / 1000),
    ("mi", "km", Fraction(1609344, 1_000_000)),
    ("lbf·ft", "N·m", POUND_FORCE * INCH * 12 / 1000),
    ("lbf·in", "N·m", POUND_FORCE * INCH / 1000),
    ("kgf·m", "N·m", GRAVITY),
    ("psi", "kPa", POUND_FORCE / (INCH / 1000) ** 2 / 1000),
    ("bar", "kPa", Fraction(100)),
    ("lb", "kg", POUND),
    ("oz", "g", POUND * 1000 / 16),
    ("lbf", "N", POUND_FORCE),
    ("US gal", "mL", 231 * INCH**3 / 1000),
    ("US qt", "mL", 231 * INCH**3 / 4000),
    ("US pt", "mL", 231 * INCH**3 / 8000),
    ("US fl oz", "mL", 231 * INCH**3 / 128_000),
    ("in²", "mm²", INCH**2),
    ("mph", "km/h", Fraction(1609344, 1_000_000)),
    ("delta °F", "K", Fraction(5, 9)),
    ("turn", "°", Fraction(360)),
]

PRINTED = [  # the same in figures as printed (NIST SP 811, App. B)
    ("lbf·ft", "N·m", 1.3558179483314),
    ("lbf·in", "N·m", 0.1129848290276),
    ("psi", "kPa", 6.894757293168),
    ("mi", "km", 1.609344),
    ("US fl oz", "mL", 29.5735295625),
    ("US pt", "mL", 473.176473),
    ("US qt", "mL", 946.352946),
    ("kgf·m", "N·m", 9.80665),
    ("lb", "kg", 0.45359237),
    ("lbf", "N", 4.4482216152605),
]


@pytest.mark.parametrize(("symbol", "target", "number"), [*EXACT, *PRINTED])
def test_a_unit_is_what_its_definition_says(symbol, target, number):
    found = unit_named(target).magnitude(unit_named(symbol).quantity(1))
    assert found == pytest.approx(float(number), rel=1e-13 if isinstance(number, Fraction) else 1e-12)


# 49 CFR 571.116 prints both columns for the boiling points of brake fluid (read in secondary copies; the pairs are exact).
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(401, 205), (284, 140), (446, 230), (311, 155), (500, 260), (356, 180), (32, 0), (212, 100), (-40, -40)]
)
def test_a_temperature_is_what_the_fluid_standard_prints(fahrenheit, celsius):
    assert unit_named("°C").magnitude(unit_named("°F").quantity(fahrenheit)) == pytest.approx(celsius, abs=1e-9)
    assert unit_named("°F").magnitude(unit_named("°C").quantity(celsius)) == pytest.approx(fahrenheit, abs=1e-9)


def test_threads_per_inch_count_the_other_way():
    assert unit_named("mm").magnitude(unit_named("TPI").quantity(16)) == pytest.approx(25.4 / 16, rel=1e-15)
    assert unit_named("TPI").magnitude(unit_named("mm").quantity(1.5875)) == pytest.approx(16, rel=1e-12)


def test_the_small_registry_agrees_with_the_full_one_of_pint():
    """The inch of mercury and the Btu are conventional and printed to 7 figures; all others are exact."""
    full, compared = pint.UnitRegistry(), 0
    for spellings in UNITS_OF.values():
        for unit in set(spellings.values()):
            if unit.inverse or "thousand" in unit.expression:
                continue
            base = registry.Quantity(1.0, unit.expression).to_base_units()
            expected = full.Quantity(1.0, unit.expression).to(str(base.units))
            assert base.magnitude == pytest.approx(expected.magnitude, rel=2e-6 if unit.symbol.startswith(("inHg", "Btu")) else 1e-12), unit
            compared += 1
    assert compared > 50


def test_an_ounce_of_a_result_is_a_mass():
    assert other_unit("g").quantity(1).to("gram").magnitude == pytest.approx(28.349523125, rel=1e-15)  # NIST SP 811


def test_a_quantity_of_another_registry_is_understood():
    other = pint.UnitRegistry()
    assert adopt(other.Quantity(0.949, "inch")).to("mm").magnitude == pytest.approx(24.1046, rel=1e-12)
    assert adopt(other.Quantity(284, "degF")).to("degC").magnitude == pytest.approx(140, abs=1e-9)
