"""Pedal reserve: how much of its travel the brake pedal uses up under a set force."""

from __future__ import annotations

from typing import Annotated, Any

from calculators.contract.cross_checks import must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.judge import BEYOND, WITHIN, Judgement, above
from calculators.contract.result import SHARE, Answer, Value
from calculators.contract.sources import CFR_570, COMMON_PRACTICE
from calculators.contract.units import Quantity

MOST_USED = Quantity(0.80, "dimensionless")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Free above applied above stop; a pedal that reaches its stop is a finding and no mistake."""
    must_be_less(entries, "pedal_stop", "the pedal at its stop", "pedal_free", "the free pedal")
    must_be_less(entries, "pedal_applied", "the applied pedal", "pedal_free", "the free pedal")
    must_be_less(entries, "pedal_stop", "the pedal at its stop", "pedal_applied", "the applied pedal", or_equal=True)
    return []


@calculator(
    title="Pedal reserve",
    purpose="Judge how much of the pedal's travel is used up under 50 lb, first stroke, against the 80 % of the inspection rule.",
    source=[CFR_570.at("§570.55(c)"), COMMON_PRACTICE],
    values=[Value("travel_used", "", "Share of the pedal travel used", SHARE)],
    formula=[
        "travel used = (free − applied) / (free − stop), all heights above the floor",
        "within: travel used ≤ 80 %; else beyond",
    ],
    limits_of_model=[
        "Press once with 50 lbf (222 N), engine running where the brake is power-assisted, and read the height while pressing.",
        "The stop is the floor, or whatever else stops the pedal first: carpet, mat, a bracket.",
        "Brake-by-wire pedals press a spring: their travel says nothing about the brakes.",
        "The rule is for vehicles in use over 10,000 lb (4,536 kg); for lighter ones the same figure is common practice, no source. The maker's figure wins.",
    ],
    cautions=["exhaust-gas", "pedal-to-floor", "first-pedal"],
    example=Example(
        given={"pedal_free": "180", "pedal_applied": "80", "pedal_stop": "30"},
        printed={"travel_used": "66.7 %", "verdict": "within"},
        where="80 % from 49 CFR 570.55(c); the heights are invented: 100/150, worked by hand",
    ),
    cross_check=cross_check,
)  # fmt: skip
def pedal_reserve(
    pedal_free: Annotated[Quantity, Input(["mm", "in"], "Height of the pedal above the floor, not pressed.", "pedal height", "Free pedal")],
    pedal_applied: Annotated[
        Quantity,
        Input(
            ["mm", "in"], "Height under 50 lbf (222 N), first stroke, engine running if power-assisted.", "pedal applied", "Applied pedal"
        ),
    ],
    pedal_stop: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "Height where the floor or anything else stops the pedal; 0 where it is the bare floor.",
            "pedal stop",
            "Pedal at its stop",
        ),
    ],
) -> Answer:
    """The formula of `pedal-reserve`; heights in any unit of length."""
    used = ((pedal_free - pedal_applied) / (pedal_free - pedal_stop)).to("dimensionless")
    over = above(used, MOST_USED)
    text = f"the pedal uses {{travel_used}} of its travel, {'over' if over else 'not over'} 80 %"
    answer = Answer(values={"travel_used": used}, judgements=[Judgement(BEYOND if over else WITHIN, text, {"travel_used": (MOST_USED,)})])
    answer.notes.append("At 50 lbf (222 N) of pedal force, first stroke, engine running if power-assisted.")
    if over:
        answer.afterthought = "Look for air, a leak, pads knocked back, end play, or shoes out of adjustment; the vehicle stays off the road until it is found."
    return answer
