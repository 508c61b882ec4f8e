"""trapped-air against Boyle's law computed in fractions, and published bores."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

BORE_7_8 = 387.95  # mm², 7/8 in: tables of piston areas
PEDAL = {"extra_travel": "10.2", "pedal_ratio": "4:1", "master_bore": "7/8 in", "line_pressure": "70"}


def run(system="metric", **given):
    return catalogue()["trapped-air"].run(system, **given)


@pytest.mark.parametrize("pressure, left", [("10", "0.0920"), ("70", "0.01427"), ("100", "0.01003")])
def test_one_millilitre_of_air_shrinks_by_boyle(pressure, left):
    # Boyle, 101.325 kPa: 1 mL shrinks to 0.0920, 0.01427, 0.01003 mL at 10, 70, 100 bar gauge; the rest is fluid moved.
    values = run(**PEDAL | {"line_pressure": pressure}).values
    moved_by_one = values["displaced_volume"].value / values["trapped_air"].value
    assert f"{1 - moved_by_one:.{len(left) - 2}f}" == left


def test_boyle_in_fractions():
    # V0 = ΔV·(P0 + p)/p, exact for whole numbers: 84 kPa, 5 bar.
    values = run(**PEDAL | {"line_pressure": "5"}, ambient="84").values
    assert values["trapped_air"].value == pytest.approx(values["displaced_volume"].value * float(Fraction(84 + 500, 500)), rel=1e-9)


def test_fluid_moved_by_the_pedal():
    # 0.99 mL over 387.95 mm² is 2.552 mm of stroke, × 4.0 = 10.2 mm of pedal.
    values = run(**PEDAL | {"extra_travel": f"{0.99 * 1000 / BORE_7_8 * 4:.6f} mm"}).values
    assert values["displaced_volume"].value == pytest.approx(0.99, rel=1e-4)


@pytest.mark.parametrize("bore, area", [("7/8", 387.95), ("1", 506.71), ("15/16", 445.35), ("13/16", 334.51)])
def test_published_bores(bore, area):
    # Tables of piston areas, mm²: 2 mm of stroke at a 5:1 pedal.
    found = run(**PEDAL | {"extra_travel": "10 mm", "pedal_ratio": "5", "master_bore": f"{bore} in"}).values["displaced_volume"]
    assert f"{found.value * 1000 / 2:.2f}" == f"{area:.2f}"


def test_it_is_a_most_and_no_verdict():
    result = run(**PEDAL)
    assert result.verdict is None
    assert result.values["trapped_air"].text.startswith("at most ")
    assert "knock-back" in " ".join(result.notes) and "stepped" in " ".join(result.notes)


def test_thin_air_on_a_mountain_takes_less_room_for_itself():
    # At half a bar less ambient pressure the same movement is explained by less air at rest.
    assert run(**PEDAL, ambient="80 kPa").values["trapped_air"].value < run(**PEDAL).values["trapped_air"].value


def test_no_extra_travel_no_air():
    assert run(**PEDAL | {"extra_travel": "0"}).values["trapped_air"].value == 0


def test_both_systems_give_one_volume():
    # 1 psi = 6.894757293168 kPa, 1 in = 25.4 mm.
    metric = run(extra_travel="12.7", pedal_ratio="4", master_bore="25.4", line_pressure="68.94757293168", ambient="96.526602104352").values
    inch = run("inch", extra_travel="0.5", pedal_ratio="4:1", master_bore="1", line_pressure="1000", ambient="14").values
    for name in metric:
        assert inch[name].value == pytest.approx(metric[name].value, rel=1e-9), name


def test_slips_and_refusals():
    with pytest.raises(AmbiguousEntry, match="extra_travel"):
        run(**PEDAL | {"extra_travel": "0.4"})
    with pytest.raises(AmbiguousEntry, match="psi"):
        run(**PEDAL | {"line_pressure": "700"})
    with pytest.raises(OutOfBand, match="ambient"):  # gauge instead of absolute
        run(**PEDAL, ambient="0")
    with pytest.raises(OutOfBand, match="pedal_ratio"):
        run(**PEDAL | {"pedal_ratio": "12:1"})
    with pytest.raises(UnreadableEntry, match="mPa"):
        run(**PEDAL | {"line_pressure": "7 mPa"})
    with pytest.raises(UnreadableEntry, match="below zero"):
        run(**PEDAL | {"extra_travel": "-3"})
    with pytest.raises(MissingInput, match="line_pressure"):
        run(extra_travel="10", pedal_ratio="4", master_bore="22.2")


def test_worked_example():
    catalogue()["trapped-air"].worked_example()
