"""Brake forces of the two wheels of an axle, from a roller tester: how far apart, and how much of the axle's weight."""

from __future__ import annotations

from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.judge import CANNOT_TELL, Judgement, above, upper_limit
from calculators.contract.result import SHARE, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, NIST_SP_811
from calculators.contract.units import Quantity

NOTHING = Quantity(0, "N")
EXACT = Quantity(0, "")


@calculator(
    title="Brake balance",
    purpose="Compare the brake forces of the two wheels of an axle, and their sum with the weight on that axle.",
    source=[COMMON_PRACTICE, NIST_SP_811],
    values=[
        Value("difference", "", "Difference, of the larger", SHARE),
        Value("total", "N", "Brake force of the axle"),
        Value("efficiency", "", "Brake force over axle weight", SHARE),
    ],
    formula=[
        "difference = |left − right| / the larger of the two",
        "total = left + right",
        "efficiency of this axle = total / (axle weight × 9.80665 m/s², where the weight is in kg)",
        "beyond: difference over the limit; both forces 0: cannot tell; else within",
    ],
    limits_of_model=[
        "Both forces at the same pedal force and the same moment, before a wheel locks; tyres at their pressure, rollers dry.",
        "The efficiency is that of this axle; the vehicle's is the sum of all axles over the whole weight.",
        "The limit is the law's or the tester's; this page knows none. Some rules take the difference of the sum and not of the larger.",
        "Equal forces can be equally low: compare the total with the maker's or the law's figure too.",
    ],
    cautions=["not-the-makers-manual", "road-test-traffic"],
    example=Example(
        given={"left": "2400", "right": "1800", "limit": "30 %", "axle_weight": "800"},
        printed={"difference": "25.0 %", "total": "4200 N (944 lbf)", "efficiency": "53.5 %", "verdict": "within"},
        where="600/2400 and 4200/(800 × 9.80665), worked by hand; all figures invented",
    ),
)  # fmt: skip
def brake_balance(
    left: Annotated[
        Quantity, Input(["N", "lbf"], "Brake force of the left wheel.", "axle brake force", "Left brake force", kind="force", also=["kN"])
    ],
    right: Annotated[
        Quantity,
        Input(
            ["N", "lbf"],
            "Brake force of the right wheel, at the same moment.",
            "axle brake force",
            "Right brake force",
            kind="force",
            also=["kN"],
        ),
    ],
    limit: Annotated[
        Quantity,
        Input(
            help="The most the two may differ, of the larger, for example 30 %.",
            band="imbalance limit",
            label="Most difference",
            kind="share",
        ),
    ],
    axle_weight: Annotated[
        Quantity | None, Input(["kg", "lb"], "Weight on this axle as tested: kg, lb or N.", "axle weight", kind="weight", also=["N"])
    ] = None,
) -> Answer:
    """The formulas of `brake-balance`; forces in any unit, the weight as a mass (N over standard gravity)."""
    total, larger = left + right, max(left, right)
    answer = Answer(
        values={
            "difference": Missing("no brake force at either wheel"),
            "total": total,
            "efficiency": Missing("needs the weight on the axle"),
        },
        notes=["Same pedal force on both wheels, read before either locks."],
    )
    if axle_weight is not None:
        answer.values["efficiency"] = (total / (axle_weight * Quantity(1, "standard_gravity"))).to("dimensionless")
        answer.notes.append("The efficiency is this axle's, not the vehicle's.")
    if not above(larger, NOTHING):
        text = "no brake force at either wheel: the brake was not applied, or does not work at all; do not drive"
        answer.judgements = [Judgement(CANNOT_TELL, text)]
        return answer
    difference = answer.values["difference"] = (abs(left - right) / larger).to("dimensionless")
    answer.judgements = [upper_limit("difference", "difference between left and right", "limit", "its limit", difference, limit, EXACT)]
    return answer
