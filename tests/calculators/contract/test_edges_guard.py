"""The unit-slip guard at the very edges of its data, and the words of its refusals.

The edges are those the bands declare (`ask_between`: from, to; `ask_span`: below, above); conversions by hand with
1 in = 25.4 mm and 1 lbf·ft = 1.3558 N·m.
"""

from __future__ import annotations

import pytest

from calculators.contract.errors import AmbiguousEntry, OutOfBand
from calculators.contract.inputs import Input

ROTOR = Input(["mm", "in"], band="rotor thickness", name="x", is_list=True)
RUNOUT = Input(["mm", "in"], band="runout readings", name="x", is_list=True, negative=True)
BRAKE_FORCE = Input(["N", "lbf"], band="axle brake force", name="x", also=["kN"])
PISTON_OUT = Input(["mm", "in"], band="piston extension", name="x")
TORQUE = Input(["N·m", "lbf·ft"], band="torque, jam nut", name="x", also=["lbf·in"])


@pytest.mark.parametrize("spec, asked, taken", [(PISTON_OUT, "1.6", "1.61"), (BRAKE_FORCE, "49.99", "50")])
def test_asked_about_up_to_and_with_the_last_value(spec, asked, taken):
    with pytest.raises(AmbiguousEntry):
        spec.read(asked, "metric")
    assert not spec.read(taken, "metric").unit_typed


def test_a_spread_of_exactly_the_edge_is_not_asked_about():
    RUNOUT.read("0.003; -0.003; 0", "metric")
    RUNOUT.read("0.01; -0.01; 0", "inch")
    with pytest.raises(AmbiguousEntry):
        RUNOUT.read("0.003; -0.002; 0", "metric")
    with pytest.raises(AmbiguousEntry):
        RUNOUT.read("0.011; -0.01; 0", "inch")


def test_of_other_units_only_those_in_which_it_is_usual_are_offered():
    # 560 lbf·ft is 759 N·m: no such torque. 560 N·m is rare here (over 550), 560 lbf·in is 63 N·m.
    with pytest.raises(AmbiguousEntry) as asked:
        TORQUE.read("560", "inch")
    assert [candidate.entry for candidate in asked.value.candidates] == ["560 lbf·in"]


def test_a_refusal_gives_the_entry_in_the_other_system_too():
    # 0.945 mm / 25.4 = 0.03720 in; 70 in × 25.4 = 1778 mm.
    with pytest.raises(OutOfBand, match=r"^x: 0\.945.mm \(0\.0372.*in\) is thinner than any rotor: "):
        ROTOR.read("0.945 mm", "metric")
    with pytest.raises(OutOfBand, match=r"^x: 70\.0.in \(1778.*mm\) is thicker than any rotor: "):
        ROTOR.read("70.0 in", "metric")


@pytest.mark.parametrize(
    "text, asked", [("24 1/2", True), ("24 1/4", True), ("24 3/16", True), ("24 1/3", False), ("24 5/6", False), ("24.5", False)]
)
def test_only_the_marks_of_an_inch_rule_are_asked_about_in_millimetres(text, asked):
    if not asked:
        ROTOR.read(text, "metric")
        return
    with pytest.raises(AmbiguousEntry, match="a fraction is mostly one of an inch"):
        ROTOR.read(text, "metric")


@pytest.mark.parametrize(
    "text, said",
    [
        ("0.945; 24.0", r"0\.945.mm is thinner"),
        ("0.945; 0.946", r"0\.945.mm \(and 1 more\) is thinner"),
        ("0.945; 0.946; 0.944", r"0\.945.mm \(and 2 more\) is thinner"),
    ],
)
def test_how_many_more_are_doubtful(text, said):
    with pytest.raises(AmbiguousEntry, match=said):
        ROTOR.read(text, "metric")


def test_the_nearest_unit_is_suggested_before_others():
    # 2000 lbf·ft is 2712 N·m, more than any wheel-end torque; 2000 N·m is too; 2000 lbf·in is 226 N·m.
    with pytest.raises(AmbiguousEntry, match=r"did you mean 2000.lbf·in \(226"):
        TORQUE.read("2000", "inch")


def test_of_two_other_units_the_shops_own_is_suggested_first():
    # 520 lbf·ft is 705 N·m: no such torque. 520 N·m is 383.5 lbf·ft; 520 lbf·in, the rarer unit, is offered after it.
    with pytest.raises(AmbiguousEntry, match=r"did you mean 520.N·m \(38") as asked:
        TORQUE.read("520", "inch")
    assert [candidate.entry for candidate in asked.value.candidates] == ["520 N·m", "520 lbf·in"]
