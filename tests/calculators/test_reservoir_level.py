"""reservoir-level against piston areas from the definition, computed in decimals."""

from __future__ import annotations

from decimal import Decimal

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

PI = Decimal("3.14159265358979323846")
SLIDING = {"caliper": "sliding", "piston_diameters": "54", "calipers": "2", "old_stack": "38", "new_stack": "52", "headroom": "40"}


def run(system="metric", **given):
    return catalogue()["reservoir-level"].run(system, **given)


def area_mm2(diameter: str) -> Decimal:
    """π d²/4 in mm²; 54 mm 2290.22, 57 mm 2551.76, 60 mm 2827.43 in tables of piston areas."""
    return PI / 4 * Decimal(diameter) ** 2


@pytest.mark.parametrize(
    "diameter, area",
    [("54", "2290.22"), ("57", "2551.76"), ("60", "2827.43"), ("1 in", "506.71"), ("15/16 in", "445.35"), ("1 1/8 in", "641.30")],
)
def test_one_millimetre_of_a_sliding_piston(diameter, area):
    # Tables of piston areas, mm²; one caliper, 1 mm of travel: as many microlitres.
    found = run(caliper="sliding", piston_diameters=diameter, calipers="1", old_stack="40", new_stack="41", headroom="40").values[
        "displaced_volume"
    ]
    assert f"{found.value * 1000:.2f}" == area


def test_seven_eighths_piston_in_inches():
    # 7/8 in: 0.6013 in² (tables); 1/2 in of travel is 0.30066 in³; US fl oz = 231/128 in³, exact.
    found = run("inch", caliper="sliding", piston_diameters="7/8", calipers="1", old_stack="1.5", new_stack="2.0", headroom="2")
    ounces = found.values["displaced_volume"].value / 29.5735295625
    assert ounces == pytest.approx(0.6013 * 0.5 * 128 / 231, rel=1e-4)
    assert found.values["piston_travel"].value == pytest.approx(12.7, rel=1e-12)


def test_fixed_caliper_moves_each_piston_half_way():
    # Four pistons, 5 mm more stack: 4 × A × 2.5 mm, and two such calipers.
    values = run(caliper="fixed", piston_diameters="38; 38; 38; 38", calipers="2", old_stack="45", new_stack="50", headroom="50").values
    assert values["piston_travel"].value == 2.5
    assert values["displaced_volume"].value == pytest.approx(float(2 * 4 * area_mm2("38") * Decimal("2.5") / 1000), rel=1e-9)


def test_pistons_pushed_home_decide():
    # 2 × 2290.22 mm² × 18 mm = 82.448 mL against 40 mL of room.
    result = run(**SLIDING, extension_now="18", reservoir_area="30")
    peak = 2 * area_mm2("54") * 18 / 1000
    values = result.values
    assert values["displaced_peak"].value == pytest.approx(float(peak), rel=1e-9)
    assert values["draw_off"].value == pytest.approx(float(peak - 40), rel=1e-9)
    assert values["level_rise"].value == pytest.approx(float(2 * area_mm2("54") * 14 / 3000), rel=1e-9)  # mm³ over 30 cm²
    assert result.verdict.code == "adjust" and "draw off" in result.verdict.text


def test_room_enough_is_within():
    result = run(**SLIDING | {"headroom": "83"}, extension_now="18")
    assert result.values["draw_off"].value == 0
    assert result.verdict.code == "within"


def test_exactly_full_is_within():
    # No room and nothing pushed back: nothing to do.
    result = run(**SLIDING | {"new_stack": "38", "headroom": "0"}, extension_now="0")
    assert result.values["draw_off"].value == 0 and result.verdict.code == "within"


def test_without_the_extension_enough_room_cannot_be_told():
    # 2 × 2290.22 mm² × 14 mm = 64.1 mL fits into 70 mL; pushed home from 27 mm the pistons give 123.7 mL: 53.7 mL to draw off
    known = run(**SLIDING | {"headroom": "70"}, extension_now="27")
    assert known.verdict.code == "adjust" and known.values["draw_off"].value == pytest.approx(
        float(2 * area_mm2("54") * 27 / 1000 - 70), rel=1e-9
    )
    unknown = run(**SLIDING | {"headroom": "70"})
    assert unknown.verdict.code == "cannot-tell" and "how far they stand out" in unknown.verdict.text
    assert unknown.values["draw_off"].value is None
    assert "at least" in run(**SLIDING).verdict.text  # 64.1 mL into 40 mL: to be drawn off, whatever the extension


def test_thinner_stack_is_topped_up_never_drawn_off():
    result = run(**SLIDING | {"old_stack": "40", "new_stack": "38"}, reservoir_area="30")
    assert result.values["piston_travel"].value == -2 and "outward" in result.values["piston_travel"].text
    assert result.values["displaced_volume"].value == pytest.approx(-float(4 * area_mm2("54") / 1000), rel=1e-9)
    assert result.values["draw_off"].value == 0
    assert "falls by" in result.values["level_rise"].text
    assert result.verdict.code == "adjust" and "top up" in result.verdict.text and "draw off" not in result.verdict.text


def test_what_is_missing_is_said():
    values = run(**SLIDING).values
    assert values["displaced_peak"].value is None and "stand out" in values["displaced_peak"].text
    assert values["level_rise"].value is None and "area" in values["level_rise"].text
    assert any("fully home" in note for note in run(**SLIDING).notes)


def test_a_new_caliper_pushes_nothing_back():
    assert any("new caliper" in note for note in run(**SLIDING).notes)


def test_slips_are_asked_about():
    with pytest.raises(AmbiguousEntry, match="old_stack"):  # inches in a field in mm
        run(**SLIDING | {"old_stack": "1.5"})
    with pytest.raises(AmbiguousEntry, match="list all of them"):  # one side of a fixed caliper
        run(**SLIDING | {"caliper": "fixed", "piston_diameters": "38"})
    with pytest.raises(AmbiguousEntry, match="too little to make room"):
        run(**SLIDING, extension_now="5")
    with pytest.raises(AmbiguousEntry, match="differ by more"):
        run(**SLIDING | {"new_stack": "90"})
    typed = run(**SLIDING | {"caliper": "fixed", "piston_diameters": "38 mm"})  # asked once: the unit is the answer
    assert any("list all of them" in note for note in typed.notes)


def test_refusals():
    with pytest.raises(UnreadableEntry, match="caliper.*sliding, fixed"):
        run(**SLIDING | {"caliper": "floating disc"})
    with pytest.raises(UnreadableEntry, match="calipers.*whole number"):
        run(**SLIDING | {"calipers": "1.5"})
    with pytest.raises(OutOfBand, match="new_stack"):
        run(**SLIDING | {"new_stack": "520 mm"})
    with pytest.raises(MissingInput, match="headroom"):
        run(**{name: text for name, text in SLIDING.items() if name != "headroom"})


def test_worked_example():
    catalogue()["reservoir-level"].worked_example()
