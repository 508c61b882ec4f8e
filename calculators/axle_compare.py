"""One reading of the left wheel end beside the same reading of the right one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note
from calculators.contract.declaration import Example, calculator
from calculators.contract.entries import typed_in
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import compare, size_limit
from calculators.contract.result import DIFFERENCE, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, ISO_14253_1
from calculators.contract.units import Quantity

SIZE, HEIGHT, TEMPERATURE, DIFFERENCE_KIND = "size", "height", "temperature", "temperature difference"
READINGS = ("left", "right", "limit", "tool_uncertainty")
SLIP = 15  # a millimetre and an inch are 25.4 apart; two sides of an axle are not


def inputs_for(given: Mapping[str, Any], inputs: dict[str, Input]) -> dict[str, Input]:
    """The inputs for the quantity that was named; without one, temperatures where a unit of temperature was typed."""
    named = str(given.get("quantity") or "").strip().casefold()
    if not named and any(typed_in(given.get(name), kind) for name in READINGS for kind in (TEMPERATURE, DIFFERENCE_KIND)):
        named = TEMPERATURE
    left, right, limit, uncertainty = (inputs[name] for name in READINGS)
    if named == HEIGHT:
        kinds = [
            replace(left, help="Height of the left wheel arch over the middle of its hub.", band="ride height"),
            replace(right, help="The same height at the right side.", band="ride height"),
            replace(limit, help="The most the two heights may differ.", band="ride height limit"),
            replace(uncertainty, band="ride height uncertainty"),
        ]
    elif named == TEMPERATURE:
        scale, steps = ("°C", "°F"), ("K", "delta °F")
        kinds = [
            replace(left, units=scale, kind=TEMPERATURE, help="Temperature of the left side.", band="rotor temperature", negative=True),
            replace(right, units=scale, kind=TEMPERATURE, help="Temperature of the right side.", band="rotor temperature", negative=True),
            replace(
                limit,
                units=steps,
                kind=DIFFERENCE_KIND,
                help="The most the two temperatures may differ: 20 K is 20 °C apart.",
                band="side temperature limit",
            ),
            replace(uncertainty, units=steps, kind=DIFFERENCE_KIND, band="temperature uncertainty"),
        ]
    else:
        return inputs
    return inputs | dict(zip(READINGS, kinds, strict=True))


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Two lengths of one kind lie near each other; one of them in the wrong unit does not."""
    left, right = entries["left"].quantity, entries["right"].quantity
    low, high = sorted((left, right))
    if left.check("[length]") and low.magnitude > 0 and high > SLIP * low:
        return ask_or_note(entries, ["left", "right"], f"the two readings differ more than {SLIP} times; one may be in the other unit")
    return []


@calculator(
    title="Left against right",
    purpose="Compare one reading of both sides of an axle, such as lining, rotor thickness, play, ride height or temperature, with the most they may differ.",
    source=[ISO_14253_1, COMMON_PRACTICE],
    values=[
        Value("difference", "mm", "Left less right", DIFFERENCE, signed=("{}, right more", "{}", "{}, left more")),
        Value("ratio", "", "Left divided by right"),
    ],
    formula=[
        "difference = left − right; ratio = left / right",
        "within: size of the difference + √2·U ≤ limit; beyond: size − √2·U > limit; else too close to tell",
    ],
    limits_of_model=[
        "Both readings with the same tool, at the same place, in the same state: both cold, or both after the same stops.",
        "Sizes of a wheel end, ride heights or temperatures, as named; a difference of temperatures is in K or delta °F.",
        "Two sides that agree may both be wrong: each keeps its own limit too.",
    ],
    cautions=["pads-over-stuck-slide", "hot-parts"],
    example=Example(
        given={"left": "7.4", "right": "5.1", "limit": "1.6", "tool_uncertainty": "0.05"},
        printed={"difference": "2.30 mm (0.0906 in), left more", "ratio": "1.45", "verdict": "beyond"},
        where="readings invented; worked by hand: 7.4 − 5.1 = 2.3, 2.3/25.4 = 0.09055, 7.4/5.1 = 1.451; 1.6 mm (1/16 in) is common practice",
    ),
    cross_check=cross_check,
    inputs_for=inputs_for,
)  # fmt: skip
def axle_compare(
    left: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "One reading of the left side; a temperature with its unit, for example 150 °C.",
            "side reading",
            sets_decimals=True,
        ),
    ],
    right: Annotated[Quantity, Input(["mm", "in"], "The same reading of the right side.", "side reading", sets_decimals=True)],
    limit: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "The most they may differ; of temperatures for example 20 K or 36 delta °F.",
            "side difference limit",
            "Most difference",
            sets_decimals=True,
        ),
    ],
    tool_uncertainty: Annotated[
        Quantity,
        Input(
            ["mm", "in"], "Expanded (k = 2); blank for half of the last digit.", "tool uncertainty", default=HalfLastDigit("left", "right")
        ),
    ] = FILLED_IN,
    quantity: Annotated[
        str | None,
        Input(help="What is compared: the size of a part, the ride height, or a temperature.", choices=(SIZE, HEIGHT, TEMPERATURE)),
    ] = None,
) -> Answer:
    """The rule of `axle-compare`: two lengths, or two temperatures with limit and uncertainty as differences."""
    del quantity  # it says how the other entries are read
    ratio: Any = Missing("the right reading is 0")
    if left.check("[temperature]"):
        left, right = left.to("kelvin"), right.to("kelvin")
        ratio = Missing("a ratio of temperatures says nothing")
    elif compare(right.magnitude, 0) != 0:
        ratio = (left / right).to("dimensionless")
    difference = left - right
    return Answer(
        values={"difference": difference, "ratio": ratio},
        judgements=[
            size_limit("difference", "difference", "limit", "the most they may differ,", difference, limit, math.sqrt(2) * tool_uncertainty)
        ],
        units={"difference": "K"} if difference.check("[temperature]") else {},
    )
