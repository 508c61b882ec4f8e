"""Do the pistons of another caliper have the area of the old ones: the clamping force and the pedal follow from it."""

from __future__ import annotations

import math
from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import BEYOND, WITHIN, Judgement, at_most
from calculators.contract.result import Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, GEOMETRY, PASCAL
from calculators.contract.units import Quantity

ONE = Quantity(1, "")


@calculator(
    title="Piston match",
    purpose="Compare the piston area of a replacement caliper with the old one, and with it the clamping force at one pressure.",
    source=[GEOMETRY, PASCAL, COMMON_PRACTICE],
    values=[
        Value("area_old", "mm²", "Area of the old pistons"),
        Value("area_new", "mm²", "Area of the new pistons"),
        Value("ratio", "", "New area over old"),
        Value("clamp_old", "N", "Clamping force of the old"),
        Value("clamp_new", "N", "Clamping force of the new"),
    ],
    formula=[
        "area = sum of π/4 × piston diameter²; of a fixed caliper the pistons of one side",
        "ratio = new area / old area",
        "clamping force = pressure × area",
        "beyond: ratio differs from 1 by more than the tolerance; else within",
    ],
    limits_of_model=[
        "The clamping force is what presses one pad; friction and the radius of the pads count too.",
        "More area brakes harder at that wheel, and takes more fluid and a longer pedal; less area the other way round.",
        "Both sides of an axle get the same caliper; the maker's part for the vehicle wins over any arithmetic.",
        "The tolerance of 2 % is common practice for production scatter, and no licence to mix sizes.",
    ],
    cautions=["not-the-makers-manual", "road-test-traffic"],
    example=Example(
        given={"pistons_old": "54", "pistons_new": "57", "pressure": "70"},
        printed={
            "area_old": "2290 mm² (3.55 in²)", "area_new": "2550 mm² (3.96 in²)", "ratio": "1.11", "clamp_old": "16000 N (3600 lbf)",
            "clamp_new": "17900 N (4020 lbf)", "verdict": "beyond",
        },
        where="tables of piston areas: 54 mm 2290.22 mm², 57 mm 2551.76 mm²; the pressure is invented",
    ),
)  # fmt: skip
def piston_match(
    pistons_old: Annotated[
        list[Quantity],
        Input(["mm", "in"], "Pistons of the old caliper; of a fixed one those of one side.", "piston diameter", "Old pistons"),
    ],
    pistons_new: Annotated[
        list[Quantity], Input(["mm", "in"], "Pistons of the new caliper, counted the same way.", "piston diameter", "New pistons")
    ],
    pressure: Annotated[Quantity | None, Input(["bar", "psi"], "Line pressure to compare at.", "line pressure", also=["kPa"])] = None,
    tolerance: Annotated[
        Quantity,
        Input(
            help="How far the areas may differ, for example 2 %.",
            band="match tolerance",
            kind="share",
            default="2 %",
            without="± 2 % is used (common practice)",
        ),
    ] = FILLED_IN,
) -> Answer:
    """The formulas of `piston-match`; diameters and pressure in any unit."""
    old, new = _area(pistons_old), _area(pistons_new)
    ratio, allowed = (new / old).to("dimensionless"), tolerance.to("dimensionless")
    matches = at_most(ratio, ONE + allowed) and at_most(ONE - allowed, ratio)
    text = "{area_new} is {ratio} times the old {area_old}: " + ("within" if matches else "outside") + " the ± {tolerance} allowed"
    needs = Missing("needs the line pressure")
    return Answer(
        values={
            "area_old": old,
            "area_new": new,
            "ratio": ratio,
            "clamp_old": needs if pressure is None else (pressure * old).to("N"),
            "clamp_new": needs if pressure is None else (pressure * new).to("N"),
        },
        judgements=[Judgement(WITHIN if matches else BEYOND, text, {"ratio": (ONE + allowed, ONE - allowed)})],
        notes=[
            "Of a fixed caliper only the pistons of one side are counted, old and new alike.",
            "The same caliper on both sides of the axle.",
        ],
    )


def _area(diameters: list[Quantity]) -> Quantity:
    return sum((math.pi / 4 * diameter**2 for diameter in diameters), Quantity(0, "mm**2")).to("mm**2")
