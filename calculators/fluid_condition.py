"""Condition of brake fluid: a boiling point measured in service against the least of its grade."""

from __future__ import annotations

from typing import Annotated, Any

from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import CANNOT_TELL, Judgement, lower_limit
from calculators.contract.printing import entry_text
from calculators.contract.result import DIFFERENCE, Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, FMVSS_116, FROM_MEMORY, ISO_14253_1
from calculators.contract.units import Quantity
from calculators.shared.brake_fluids import GRADES

NOTHING = Quantity(0, "kelvin")
SILICONE = "DOT 5"
FAR_ABOVE_FRESH = 60  # K above the least of a fresh fluid


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A boiling point no fluid of the grade reaches is a slip of the unit, although it was typed."""
    reading, grade = entries["boiling_point"], GRADES[entries["grade"].value]
    if reading.quantity.to("kelvin").magnitude > grade.dry + 273.15 + FAR_ABOVE_FRESH:
        return [f"Check the unit: {entry_text(reading)} is far above what fresh {grade.name} boils at ({_in_both(grade.dry)} at least)."]
    return []


@calculator(
    title="Brake fluid condition",
    purpose="Judge a measured boiling point by the least that the grade may have with water in it.",
    source=[FMVSS_116.at("S5.1.1, S5.1.2"), ISO_14253_1, COMMON_PRACTICE, FROM_MEMORY],
    values=[
        Value("margin_to_dry", "K", "Margin over the least of fresh fluid", DIFFERENCE),
        Value("margin_to_wet", "K", "Margin over the least of wet fluid", DIFFERENCE),
    ],
    formula=[
        "least boiling points, fresh (dry) / with water (wet): DOT 3 205/140 °C (401/284 °F), DOT 4 230/155 °C (446/311 °F), "
        "DOT 5 and DOT 5.1 260/180 °C (500/356 °F)",
        "margin = boiling point − least of the grade",
        "within: boiling point − U > wet least; beyond: boiling point + U ≤ wet least; else too close to tell",
        "DOT 5: cannot tell",
    ],
    limits_of_model=[
        "The wet figure is a laboratory one, for fluid with 3.7 % water; its use in service is common practice. The maker's interval wins.",
        "The reservoir may hold fresher fluid than the calipers: sample at a caliper too.",
        "Water does not dissolve in silicone fluid (DOT 5): its boiling point does not judge it (from memory).",
        "A boiling point says nothing about mineral oil, dirt or the wrong grade.",
        "Meters and strips that read water, and not the boiling point, need their own table.",
    ],
    cautions=["wrong-fluid", "fluid-in-eyes", "fluid-on-paint"],
    example=Example(
        given={"grade": "DOT 4", "boiling_point": "168 °C", "tool_uncertainty": "3"},
        printed={"margin_to_dry": "-62.0 K (-111.6 delta °F)", "margin_to_wet": "13.0 K (23.4 delta °F)", "verdict": "within"},
        where="230 and 155 °C from 49 CFR 571.116; 168 °C and the uncertainty are invented: 168 − 155 = 13",
    ),
    cross_check=cross_check,
)  # fmt: skip
def fluid_condition(
    grade: Annotated[str, Input(help="The grade on the reservoir cap.", choices=list(GRADES))],
    boiling_point: Annotated[Quantity, Input(["°C", "°F"], "As the tester shows it, with its unit.", "boiling point", sets_decimals=True)],
    tool_uncertainty: Annotated[
        Quantity,
        Input(
            ["K", "delta °F"],
            "Of the tester, expanded (k = 2), as a difference; blank for half of the last digit.",
            "temperature uncertainty",
            default=HalfLastDigit("boiling_point"),
        ),
    ] = FILLED_IN,
) -> Answer:
    """The rule of `fluid-condition`; the boiling point in °C or °F, its uncertainty a difference."""
    fluid = GRADES[grade]
    reading, wet = boiling_point.to("kelvin"), _kelvin(fluid.wet)
    margins = {"margin_to_dry": reading - _kelvin(fluid.dry), "margin_to_wet": reading - wet}
    answer = Answer(values=margins, held_against=dict.fromkeys(margins, (NOTHING,)))
    answer.notes = [
        "Sample at a caliper too: the reservoir may hold fresher fluid.",
        "Mineral oil in the fluid or a swollen cap seal overrides this reading: replace the fluid and what it has met.",
    ]
    if grade == SILICONE:
        text = "water does not dissolve in silicone fluid, so its boiling point {boiling_point} does not judge it: go by its age, clearness and the maker's interval"
        answer.judgements = [Judgement(CANNOT_TELL, text)]
        return answer
    judged = lower_limit("boiling_point", "boiling point", "wet", f"the least of {grade} with water in it,", reading, wet, tool_uncertainty)
    answer.judgements = [Judgement(judged.code, judged.text.replace("{wet}", _in_both(fluid.wet)), {"boiling_point": (wet,)})]
    return answer


def _kelvin(celsius: float) -> Quantity:
    return Quantity(celsius, "degree_Celsius").to("kelvin")


def _in_both(celsius: float) -> str:
    """A figure of the regulation as it is printed there, in °C and °F; the pairs are exact."""
    return f"{celsius:g}\N{NO-BREAK SPACE}°C ({celsius * 9 / 5 + 32:g}\N{NO-BREAK SPACE}°F)"
