"""axle-compare. Guard bands by ISO 14253-1 with √2·U; factors by NIST SP 811; the rest is worked by hand with fractions here."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, EntryError, MissingInput, OutOfBand, UnreadableEntry

COMPARE = catalogue()["axle-compare"]


def run(system="metric", left="7.4", right="5.1", limit="1.6", **given):
    return COMPARE.run(system=system, left=left, right=right, limit=limit, **given)


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    COMPARE.worked_example()


@pytest.mark.parametrize("left, right", [("7.4", "5.1"), ("5.1", "7.4"), ("22.35", "22.30"), ("0.08", "0.03")])
def test_difference_and_ratio(left, right):
    result = run(left=left, right=right)
    assert value(result, "difference") == pytest.approx(float(Fraction(left) - Fraction(right)), rel=1e-10)
    assert value(result, "ratio") == pytest.approx(float(Fraction(left) / Fraction(right)), rel=1e-10)
    assert result.values["difference"].unit == "mm"


@pytest.mark.parametrize(
    "left, code", [("7.0", "within"), ("7.529", "within"), ("7.530", "too-close"), ("7.670", "too-close"), ("7.671", "beyond")]
)
def test_guard_band(left, code):
    # ISO 14253-1: limit 1.600 mm between the sides, √2·0.05 = 0.07071: 1.52929 and 1.67071 are the edges
    assert run(left=left, right="6.000", limit="1.600", tool_uncertainty="0.05").verdict.code == code


@pytest.mark.parametrize("left, right", [("7.6", "6.0"), ("6.0", "7.6")])
def test_a_difference_at_the_limit_is_within_when_the_tool_is_exact(left, right):
    assert run(left=left, right=right, tool_uncertainty="0").verdict.code == "within"


def test_the_side_is_said_and_the_size_is_judged():
    result = run(left="5.1", right="7.4")
    assert result.verdict.code == "beyond"
    assert "2.30 mm (0.0906 in), right more" in plain(result.values["difference"].text)
    assert value(result, "difference") < 0


def test_temperatures_differ_in_kelvin():
    # 150 °C − 120 °C = 30 K = 54 delta °F (1.8 exactly, NIST SP 811)
    result = run(left="150 °C", right="120 °C", limit="20 K")
    assert value(result, "difference") == pytest.approx(30) and result.values["difference"].unit == "K"
    assert "54.0 delta °F" in plain(result.values["difference"].text)
    assert value(result, "ratio") is None and "says nothing" in result.values["ratio"].text
    assert result.verdict.code == "beyond"


@pytest.mark.parametrize("limit, code", [("27.8 K", "too-close"), ("50 delta °F", "too-close"), ("29 K", "within"), ("20 °C", "beyond")])
def test_fahrenheit_differences(limit, code):
    # 300 °F − 250 °F = 50 delta °F = 27.78 K; U 0.5 °F of each, √2 of it 0.39 K
    result = run("inch", left="300 °F", right="250 °F", limit=limit)
    assert value(result, "difference") == pytest.approx(50 / 1.8)
    assert result.verdict.code == code


def test_one_typed_unit_makes_all_of_them_temperatures():
    assert run(left="150 °C", right="120", limit="20").values["difference"].unit == "K"
    assert run(left="150", right="120", limit="20 °C").values["difference"].unit == "K"
    with pytest.raises(UnreadableEntry, match="of length, not of temperature"):
        run(left="150 °C", right="5 mm", limit="20")


def test_a_named_quantity_gives_every_entry_its_unit():
    hot = run(left="150", right="120", limit="20", quantity="temperature")
    assert value(hot, "difference") == pytest.approx(30) and hot.values["difference"].unit == "K"
    assert plain(hot.inputs["left"]["text"]).startswith("150 °C") and plain(hot.inputs["limit"]["text"]).startswith("20 K")
    hot = run("inch", left="300", right="250", limit="29 K", quantity="temperature")
    assert value(hot, "difference") == pytest.approx(50 / 1.8)
    with pytest.raises(UnreadableEntry, match="temperature"):
        run(left="150 mm", right="120", limit="20", quantity="temperature")
    with pytest.raises(UnreadableEntry, match="of temperature, not of length"):
        run(left="150 °C", right="5", limit="1", quantity="size")


def test_a_ride_height_is_no_size_of_a_wheel_end():
    # 385 mm is no lining, and an everyday height of a wheel arch over the hub: common practice, no source
    result = run(left="385", right="372", limit="10", quantity="height")
    assert value(result, "difference") == pytest.approx(13) and result.verdict.code == "beyond"
    assert run(left="385", right="378", limit="10", tool_uncertainty="1", quantity="height").verdict.code == "within"
    assert run("inch", left="15.2", right="15.0", limit="0.4", quantity="height").verdict.code == "within"
    with pytest.raises(OutOfBand, match="more than any reading of a wheel end"):
        run(left="385 mm", right="372 mm", limit="10 mm", quantity="size")
    with pytest.raises(OutOfBand, match="lower than any wheel arch"):
        run(left="7.4 mm", right="372 mm", limit="10 mm", quantity="height")


@pytest.mark.parametrize(
    "quantity, units", [("size", ["mm", "mm", "mm", "mm"]), ("height", ["mm", "mm", "mm", "mm"]), ("temperature", ["°C", "°C", "K", "K"])]
)
def test_the_declaration_names_the_units_of_each_quantity(quantity, units):
    fields = COMPARE.describe()["quantities"][quantity]
    assert [field["unit"] for field in fields if field["unit"]] == units
    assert all(field["help"] for field in fields)


def test_quantities_of_pint():
    units = pint.UnitRegistry()
    assert run(left=units.Quantity(0.25, "inch"), right=units.Quantity(6, "mm")).values["difference"].value == pytest.approx(0.35)
    hot = run(left=units.Quantity(150, "degC"), right=units.Quantity(120, "degC"), limit="20 K")
    assert hot.values["difference"].value == pytest.approx(30)


def test_null_where_there_is_nothing_to_divide_by():
    result = run(left="0.05", right="0", limit="0.10")
    assert value(result, "ratio") is None and "right reading is 0" in result.values["ratio"].text


def test_the_uncertainty_is_half_of_the_last_digit_of_the_finer_side():
    # 0.05 mm is half of the last digit of 5.1
    result = run(left="7", right="5.1")
    assert plain(result.inputs["tool_uncertainty"]["text"]) == "0.05 mm"
    hot = run(left="150 °C", right="120 °C", limit="20 K")
    assert plain(hot.inputs["tool_uncertainty"]["text"]) == "0.5 K"


@pytest.mark.parametrize("given, error", [
    ({"left": "24.1", "right": "0.949"}, AmbiguousEntry),      # one in mm, one in inches
    ({"limit": "0.015"}, AmbiguousEntry),                      # finer than sides are compared; or 0.015 in
    ({"left": "70 mm"}, OutOfBand),
    ({"left": "900 °C", "limit": "20 K"}, OutOfBand),
    ({"left": "-7.4"}, UnreadableEntry),
    ({"left": "7.4 kg"}, UnreadableEntry),
    ({"limit": ""}, MissingInput),
    ({"left": "NaN"}, UnreadableEntry),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert isinstance(caught.value, EntryError) and "\n" not in str(caught.value)
