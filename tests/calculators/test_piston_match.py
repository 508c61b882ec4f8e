"""piston-match against tables of piston areas and textbook hydraulics."""

from __future__ import annotations

from decimal import Decimal

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

PI = Decimal("3.14159265358979323846")


def run(system="metric", **given):
    return catalogue()["piston-match"].run(system, **given)


@pytest.mark.parametrize("diameter, area", [("54", "2290.22"), ("57", "2551.76"), ("60", "2827.43"), ("1 in", "506.71")])
def test_published_areas(diameter, area):
    # Tables of piston areas, mm².
    values = run(pistons_old=diameter, pistons_new=diameter).values
    assert f"{values['area_old'].value:.2f}" == area == f"{values['area_new'].value:.2f}"
    assert values["ratio"].value == 1


@pytest.mark.parametrize("psi, pounds", [("200", 400), ("400", 800)])
def test_published_force_on_two_square_inches(psi, pounds):
    # Trade press: 400 lbf on 2 in² is 200 psi. Two square inches are a bore of √(8/π) in; 1 lbf = 4.4482216152605 N.
    bore = (Decimal(8) / PI).sqrt()
    found = run("inch", pistons_old=f"{bore:.12f} in", pistons_new=f"{bore:.12f} in", pressure=psi).values["clamp_new"]
    assert found.value / 4.4482216152605 == pytest.approx(pounds, rel=1e-9)
    assert found.unit == "N" and found.text.startswith(f"{pounds}\N{NO-BREAK SPACE}lbf")


def test_force_is_pressure_times_area():
    # 70 bar = 7 N/mm²: 7 × 2290.22 mm².
    values = run(pistons_old="54", pistons_new="57", pressure="70").values
    assert values["clamp_old"].value == pytest.approx(7 * 2290.22, rel=1e-5)
    assert values["clamp_new"].value == pytest.approx(7 * 2551.76, rel=1e-5)


def test_two_small_pistons_against_one():
    # (38² + 38²)/54² = 2888/2916, in fractions.
    result = run(pistons_old="54", pistons_new="38; 38")
    assert result.values["ratio"].value == pytest.approx(2888 / 2916, rel=1e-12)
    assert result.verdict.code == "within"


def test_another_size_is_beyond():
    # (57/54)² = 1.1142.
    result = run(pistons_old="54", pistons_new="57")
    assert f"{result.values['ratio'].value:.4f}" == "1.1142"
    assert result.verdict.code == "beyond" and "outside" in result.verdict.text
    assert run(pistons_old="57", pistons_new="54").verdict.code == "beyond"


def test_the_edge_counts_as_within():
    # (51/50)² = 1.0404 exactly; a hair less tolerance is beyond, and is printed apart.
    assert run(pistons_old="50", pistons_new="51", tolerance="4.04 %").verdict.code == "within"
    beyond = run(pistons_old="50", pistons_new="51", tolerance="4.039 %")
    assert beyond.verdict.code == "beyond" and beyond.values["ratio"].text == "1.04040"
    # 50 → 49: 0.9604 exactly.
    assert run(pistons_old="50", pistons_new="49", tolerance="0.0396").verdict.code == "within"
    assert run(pistons_old="50", pistons_new="49", tolerance="3.959 %").verdict.code == "beyond"


def test_without_pressure_no_force():
    values = run(pistons_old="54", pistons_new="54").values
    for name in ("clamp_old", "clamp_new"):
        assert values[name].value is None and "pressure" in values[name].text


def test_default_tolerance_is_two_per_cent():
    inputs = run(pistons_old="54", pistons_new="54").inputs
    assert inputs["tolerance"]["text"] == "2\N{NO-BREAK SPACE}%" and inputs["tolerance"]["default"] is True


def test_slips_and_refusals():
    with pytest.raises(AmbiguousEntry) as caught:
        run(pistons_old="54", pistons_new="54", tolerance="2")
    assert caught.value.candidates[0].entry == "2 %"
    with pytest.raises(AmbiguousEntry, match=r"pistons_new.*2\.125"):
        run(pistons_old="54", pistons_new="2.125")
    with pytest.raises(OutOfBand, match="tolerance"):
        run(pistons_old="54", pistons_new="54", tolerance="40 %")
    with pytest.raises(UnreadableEntry, match="pistons_old"):
        run(pistons_old="54; x", pistons_new="54")
    with pytest.raises(MissingInput, match="pistons_new"):
        run(pistons_old="54")


def test_worked_example():
    catalogue()["piston-match"].worked_example()
