"""bearing-grease against a handbook's top-up rule, published bearing dimensions and an independent computing."""

from __future__ import annotations

from decimal import Decimal

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand

PI = Decimal("3.14159265358979323846")
# Bearing LM67048/LM67010: 31.75 × 59.131 × 15.875 mm, as bearing makers' tables print it.
LM67048 = {"bore": "31.75 mm", "outside_diameter": "59.131 mm", "width": "15.875 mm"}


def run(system="metric", **given):
    return catalogue()["bearing-grease"].run(system, **given)


def envelope_ml(bore: str, outside: str, width: str) -> Decimal:
    """The ring between two cylinders, in decimal arithmetic, mm → mL."""
    return PI / 4 * Decimal(width) * (Decimal(outside) ** 2 - Decimal(bore) ** 2) / 1000


def test_top_up_is_the_handbooks():
    # The Tribology Handbook p. A20.5: 0.005·D·B g, D and B in mm; 4.694 g for this bearing.
    found = run(**LM67048).values["relube_mass"]
    assert f"{found.value:.3f}" == "4.694" and found.unit == "g"


def test_top_up_agrees_with_the_inch_form():
    # Trade press on machinery lubrication: 0.114·D·B oz, D and B in inches: 0.1659 oz; the two forms agree to 0.2 %.
    found = run("inch", bore="1.25", outside_diameter="2.328", width="0.625").values["relube_mass"]
    assert found.value / 28.349523125 == pytest.approx(0.114 * 2.328 * 0.625, rel=0.003)
    assert found.text == "0.166\N{NO-BREAK SPACE}oz (4.69\N{NO-BREAK SPACE}g)"


@pytest.mark.parametrize("bore, outside, width", [("30", "62", "17.25"), ("25", "52", "16.25"), ("25", "47", "15"), ("30", "55", "17")])
def test_top_up_of_metric_bearings_agrees_with_the_inch_form(bore, outside, width):
    # 30206, 30205, 32005X, 32006X (ISO 355 boundary dimensions, as a parts library tabulates them) by the trade press's 0.114·D·B oz, D and B in inches
    found = run(bore=f"{bore} mm", outside_diameter=f"{outside} mm", width=f"{width} mm").values["relube_mass"]
    assert found.value / 28.349523125 == pytest.approx(0.114 * float(outside) / 25.4 * float(width) / 25.4, rel=0.003)


@pytest.mark.parametrize("bore, outside, width", [("31.75", "59.131", "15.875"), ("30", "62", "17.25"), ("45.242", "73.431", "19.558")])
def test_envelope_is_a_ring(bore, outside, width):
    # LM67048, 30206 (30 × 62 × 17.25, ISO 355 boundary dimensions) and LM102949 (from memory); geometry in decimals.
    found = run(bore=f"{bore} mm", outside_diameter=f"{outside} mm", width=f"{width} mm").values["envelope_volume"]
    assert found.value == pytest.approx(float(envelope_ml(bore, outside, width)), rel=1e-9)
    assert found.unit == "mL"


def test_free_space_is_envelope_less_steel():
    # Archimedes: 0.18 kg of steel at 7.85 g/cm³ takes 180/7.85 mL.
    values = run(**LM67048, mass="180 g").values
    free = envelope_ml("31.75", "59.131", "15.875") - Decimal(180) / Decimal("7.85")
    assert values["free_volume"].value == pytest.approx(float(free), rel=1e-9)
    assert values["grease_volume"].value == pytest.approx(float(free), rel=1e-9)
    assert values["grease_mass"].value == pytest.approx(float(free * Decimal("0.90")), rel=1e-9)


def test_cavity_and_shares_add_up():
    values = run(**LM67048, mass="180 g", fill_fraction="40 %", cavity_volume="60", cavity_fraction="0.3", grease_density="0.95").values
    free = envelope_ml("31.75", "59.131", "15.875") - Decimal(180) / Decimal("7.85")
    volume = free * Decimal("0.4") + Decimal("60") * Decimal("0.3")
    assert values["grease_volume"].value == pytest.approx(float(volume), rel=1e-9)
    assert values["grease_mass"].value == pytest.approx(float(volume * Decimal("0.95")), rel=1e-9)


def test_both_systems_give_one_amount():
    # 1 lb = 0.45359237 kg, 1 in = 25.4 mm, exact.
    metric = run(bore="31.75", outside_diameter="63.5", width="19.05", mass="0.226796185").values
    inch = run("inch", bore="1.25", outside_diameter="2.5", width="0.75", mass="0.5").values
    for name in metric:
        assert inch[name].value == pytest.approx(metric[name].value, rel=1e-9), name


def test_without_mass_nothing_is_guessed():
    result = run(**LM67048)
    assert result.verdict is None
    for name in ("free_volume", "grease_volume", "grease_mass"):
        assert result.values[name].value is None and "mass" in result.values[name].text
    assert "steel_density" not in result.inputs


@pytest.mark.parametrize("given, missing", [({"cavity_volume": "60"}, "share"), ({"cavity_fraction": "0.3"}, "volume")])
def test_half_a_cavity_is_not_guessed(given, missing):
    values = run(**LM67048, mass="180 g", **given).values
    assert values["grease_volume"].value is None and missing in values["grease_volume"].text
    assert values["free_volume"].value is not None


def test_says_what_the_top_up_is_not():
    # Common practice: bearing full, hub cavity in part; the nipple figure is no hand packing.
    notes = " ".join(run(**LM67048).notes)
    assert "nipple" in notes and "not the amount of a hand packing" in notes and "only in part" in notes


def test_a_cavity_filled_to_the_brim_is_warned_of():
    notes = " ".join(run(**LM67048, mass="180 g", cavity_volume="60", cavity_fraction="90 %").notes)
    assert "no room" in notes


def test_refusals():
    with pytest.raises(Contradiction, match="bore: the bore"):
        run(bore="62", outside_diameter="30", width="17")
    with pytest.raises(Contradiction, match="no room for rollers"):
        run(bore="30", outside_diameter="35", width="17")
    with pytest.raises(Contradiction, match="more steel than its envelope"):
        run(**LM67048, mass="0.4 kg")
    with pytest.raises(OutOfBand, match="outside_diameter"):
        run(bore="31.75", outside_diameter="591 mm", width="15.875")
    with pytest.raises(MissingInput, match="width: missing"):
        run(bore="31.75", outside_diameter="59.131")


def test_slips_are_asked_about():
    with pytest.raises(AmbiguousEntry) as caught:
        run(**LM67048, mass="170")
    assert [c.entry for c in caught.value.candidates] == ["170 g"]
    with pytest.raises(AmbiguousEntry, match="kg or lb"):  # 0.17 kg typed into a field in lb
        run("inch", **LM67048, mass="0.17")
    with pytest.raises(AmbiguousEntry, match="per cent"):
        run(**LM67048, fill_fraction="30")
    with pytest.raises(AmbiguousEntry, match="bore"):
        run(bore="1.25", outside_diameter="59.131", width="15.875")


def test_worked_example():
    catalogue()["bearing-grease"].worked_example()
