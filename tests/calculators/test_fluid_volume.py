"""fluid-volume. Cylinders from exact definitions: 3/16 in tube of 3.340 mm bore holds 8.762 mL a metre; piston areas by π/4·d²."""

from __future__ import annotations

from decimal import Decimal, getcontext

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand

FLUID = catalogue()["fluid-volume"]
PI = Decimal("3.14159265358979323846264338327950288")
INCH = Decimal("25.4")
getcontext().prec = 30

ONE = {"line_bores": "3.34 mm", "line_lengths": "1 m", "piston_diameters": "54 mm", "piston_extensions": "10 mm", "reservoir": "250 mL"}


def run(system="metric", **given):
    return FLUID.run(system=system, **(ONE | given))


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def cylinder(diameter_mm: Decimal, length_mm: Decimal) -> float:
    """Millilitres, without pint or floats."""
    return float(PI / 4 * diameter_mm**2 * length_mm / 1000)


def test_worked_example_is_recomputed():
    FLUID.worked_example()


def test_a_metre_of_three_sixteenths_tube():
    # outside 3/16 in, wall 0.028 in: bore 0.1315 in = 3.340 mm, 8.762 mL a metre
    bore = Decimal("0.1875") - 2 * Decimal("0.028")
    assert f"{float(bore * INCH):.3f}" == "3.340"
    result = run(line_bores=f"{bore} in")
    assert f"{value(result, 'line_volume'):.3f}" == "8.762"
    assert value(result, "line_volume") == pytest.approx(cylinder(bore * INCH, Decimal(1000)), rel=1e-11)


@pytest.mark.parametrize(
    "bore, area",  # mm², as tabulated for caliper and master cylinder bores
    [
        ("7/8 in", "387.95"),
        ("1 in", "506.71"),
        ("15/16 in", "445.35"),
        ("13/16 in", "334.51"),
        ("54 mm", "2290.22"),
        ("57 mm", "2551.76"),
        ("60 mm", "2827.43"),
    ],
)
def test_piston_areas(bore, area):
    result = run(piston_diameters=bore, piston_extensions="10 mm")
    assert f"{value(result, 'caliper_volume') * 100:.2f}" == area  # mL over 10 mm


def test_sums_and_products_worked_by_hand():
    result = run(
        line_bores="3.34 mm; 4 mm", line_lengths="3.2 m; 1.5 m", piston_diameters="54 mm; 54 mm; 38 mm; 38 mm", piston_extensions="12 mm; 12 mm; 8 mm; 8 mm",
        reservoir="300 mL", flush_multiple="2", waste="15 %", bottle="500 mL",
    )  # fmt: skip
    lines = cylinder(Decimal("3.34"), Decimal(3200)) + cylinder(Decimal(4), Decimal(1500))
    calipers = 2 * cylinder(Decimal(54), Decimal(12)) + 2 * cylinder(Decimal(38), Decimal(8))
    needed = (lines + calipers + 300) * 2 * 1.15
    for name, expected in {
        "line_volume": lines,
        "caliper_volume": calipers,
        "system_volume": lines + calipers + 300,
        "fluid_needed": needed,
    }.items():
        assert value(result, name) == pytest.approx(expected, rel=1e-11), name
        assert result.values[name].unit == "mL"
    assert value(result, "bottles") == 2  # 991 mL
    assert result.verdict is None


def test_one_entry_holds_for_all():
    lengths = "3.2 m; 3.4 m; 1.1 m; 1.2 m"
    assert value(run(line_lengths=lengths), "line_volume") == pytest.approx(
        value(run(line_bores="3.34 mm; 3.34 mm; 3.34 mm; 3.34 mm", line_lengths=lengths), "line_volume")
    )
    assert value(run(piston_diameters="54 mm; 60 mm"), "caliper_volume") == pytest.approx(
        cylinder(Decimal(54), Decimal(10)) + cylinder(Decimal(60), Decimal(10))
    )


def test_defaults_are_one_filling_and_no_waste():
    result = run()
    assert value(result, "fluid_needed") == value(result, "system_volume")
    assert result.inputs["flush_multiple"]["default"] is True
    assert result.inputs["waste"]["default"] is True


def test_bottles_need_a_bottle():
    result = run()
    assert value(result, "bottles") is None
    assert "bottle" in result.values["bottles"].text


@pytest.mark.parametrize("bottle, bottles", [("500 mL", 1), ("250 mL", 2), ("1 qt", 1), ("12 US fl oz", 1)])
def test_bottles_are_rounded_up(bottle, bottles):
    # 8.76 + 22.90 + 250 = 281.7 mL; a US quart is 946.35 mL, 12 US fl oz 354.88 mL
    assert value(run(bottle=bottle), "bottles") == bottles
    assert isinstance(value(run(bottle=bottle), "bottles"), int)


def test_an_exact_count_of_bottles_is_not_rounded_up_for_the_last_bit():
    # no pistons out, so that reservoir and flush alone count: (line + 241.2…) made exact by the reservoir
    line = cylinder(Decimal("3.34"), Decimal(1000))
    result = run(piston_extensions="0", reservoir=f"{300 - line:.12f} mL", flush_multiple="3", bottle="300 mL")
    assert value(result, "bottles") == 3


def test_the_result_is_printed_as_at_least():
    result = run(bottle="500 mL")
    for name in ("system_volume", "fluid_needed", "bottles"):
        assert result.values[name].text.startswith("at least ")
    assert any("master cylinder and ABS unit are not counted" in note for note in result.notes)


def test_three_figures_in_both_systems():
    # 281.664 mL / 29.5735 = 9.52 US fl oz
    assert plain(run().values["system_volume"].text) == "at least 282 mL (9.52 US fl oz)"
    assert plain(run(system="inch").values["system_volume"].text) == "at least 9.52 US fl oz (282 mL)"


def test_us_pints():
    assert value(run(reservoir="1/2 pt", piston_extensions="0"), "system_volume") == pytest.approx(
        236.5882365 + cylinder(Decimal("3.34"), Decimal(1000))
    )


@pytest.mark.parametrize(
    "given, input",
    [
        ({"line_bores": "3 mm; 4 mm", "line_lengths": "1 m; 2 m; 3 m"}, "line_lengths"),
        ({"piston_diameters": "54 mm; 54 mm", "piston_extensions": "1 mm; 2 mm; 3 mm"}, "piston_extensions"),
    ],
)
def test_lists_of_different_length_are_refused(given, input):
    with pytest.raises(Contradiction, match="one entry for all") as caught:
        run(**given)
    assert caught.value.input == input


@pytest.mark.parametrize(
    "given, entries",
    [
        ({"line_lengths": "3200"}, ["3200 mm"]),
        ({"line_bores": "0.131"}, ["0.131 in"]),
        ({"piston_diameters": "2.125"}, ["2.125 in"]),
        ({"waste": "10"}, ["10 %"]),
    ],
)
def test_slips_are_asked_about(given, entries):
    with pytest.raises(AmbiguousEntry) as caught:
        run(**given)
    assert [candidate.entry for candidate in caught.value.candidates][: len(entries)] == entries


def test_a_half_inch_of_extension_in_a_millimetre_field_is_asked_about():
    with pytest.raises(AmbiguousEntry) as caught:
        run(piston_extensions="0.5")
    assert {candidate.entry for candidate in caught.value.candidates} == {"0.5 mm", "0.5 in"}


def test_impossible_parts_and_missing_entries():
    with pytest.raises(OutOfBand):
        run(line_bores="12 mm")
    with pytest.raises(MissingInput, match="reservoir"):
        run(reservoir="")
