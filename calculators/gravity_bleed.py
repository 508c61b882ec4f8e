"""How fast fluid runs through a brake line by gravity alone, how long a flush takes, and when the reservoir must be topped up."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import MissingInput
from calculators.contract.inputs import Input
from calculators.contract.judge import CANNOT_TELL, Judgement, above, rounded_up
from calculators.contract.printing import to_significant
from calculators.contract.result import PLAIN, Answer, Value
from calculators.contract.sources import ASTM_D341, COMMON_PRACTICE, FMVSS_116, FROM_MEMORY, HAGEN_POISEUILLE
from calculators.contract.units import Quantity
from calculators.shared.brake_fluids import GRADES, least_viscosity

GRAVITY = Quantity(1, "standard_gravity")
LAMINAR = Quantity(2000, "")
THICKER = 2  # the high bound of a grade's viscosity over its low one


@calculator(
    title="Gravity bleeding",
    purpose="Reckon how fast fluid runs through a line by gravity alone, how long a volume takes, and how soon the reservoir must be topped up.",
    source=[HAGEN_POISEUILLE, ASTM_D341, FMVSS_116.at("S5.1.3"), COMMON_PRACTICE, FROM_MEMORY],
    values=[
        Value("flow", "mL/min"),
        Value("reynolds", "", "Reynolds number"),
        Value("time", "min", "Time for the volume"),
        Value("top_up_interval", "min", "Top up at least every"),
        Value("top_ups", "", "Times to top up", PLAIN),
    ],
    formula=[
        "flow = π × g × head × bore⁴ / (128 × viscosity × length)",
        "Reynolds number = 4 × flow / (π × bore × viscosity); over 2,000 the formula does not hold: cannot tell",
        "time = volume / flow; top-up interval = usable fluid of the reservoir / flow",
        "top-ups = volume / usable fluid, rounded up, less one",
        "by grade: log log (viscosity + 0.7) in a straight line over log T through the grade's limits at −40 °C and 100 °C is the low bound, "
        "twice that the high one; flow, Reynolds number and top-up interval from the low bound, time from the high one",
    ],
    limits_of_model=[
        "Rough: one round line of one bore. Hoses, valves and the bleeder make it slower; some systems pass nothing by gravity.",
        "By grade the viscosity is only bounded by the standard's limits; the fluid in the bottle lies somewhere between.",
        "The limit at −40 °C is read from texts that quote the standard for DOT 3 and DOT 4, and from memory for DOT 5 and DOT 5.1.",
        "The head is taken as constant: it falls with the level in the reservoir.",
        "Time says nothing about air: fluid without bubbles from the bleeder and a hard pedal do.",
    ],
    cautions=["reservoir-runs-dry", "bleeder-not-on-top", "fluid-in-eyes"],
    example=Example(
        given={
            "head": "1417.3", "line_bore": "3.34", "line_length": "3", "volume": "250", "reservoir_usable": "100",
            "fluid_viscosity": "14.151",
        },
        printed={
            "flow": "60.0 mL/min (2.03 US fl oz/min)", "reynolds": "26.9", "time": "4.17 min", "top_up_interval": "1.67 min", "top_ups": "2",
            "verdict": "none",
        },
        where="1 mL/s of 0.015 Pa·s and 1060 kg/m³ through 3 m of 3.34 mm bore needs 14,732.85 Pa, which is 1417.3 mm of that fluid: "
        "an open-source fluid-dynamics library (fluids 1.3.1); volumes invented",
    ),
)  # fmt: skip
def gravity_bleed(
    head: Annotated[Quantity, Input(["mm", "in"], "Height from the reservoir's surface down to the outlet of the hose.", "gravity head")],
    line_bore: Annotated[
        Quantity, Input(["mm", "in"], "Inside diameter of the line, the narrowest long piece.", "line bore", "Bore of the line")
    ],
    line_length: Annotated[
        Quantity, Input(["m", "ft"], "From the master cylinder to the bleeder.", "line length", "Length of the line", also=["mm", "in"])
    ],
    volume: Annotated[Quantity, Input(["mL", "US fl oz"], "What shall run out at this bleeder.", "fluid volume")],
    reservoir_usable: Annotated[
        Quantity,
        Input(["mL", "US fl oz"], "From MAX down to MIN, of the smaller chamber.", "reservoir usable", "Usable fluid in the reservoir"),
    ],
    fluid_viscosity: Annotated[
        Quantity | None,
        Input(
            ["mm²/s", "mm²/s"], "Kinematic, at its temperature, from the fluid's data sheet; or enter grade and temperature.", "viscosity"
        ),
    ] = None,
    grade: Annotated[str | None, Input(choices=tuple(GRADES), help="Where the viscosity is not known.")] = None,
    temperature: Annotated[
        Quantity | None, Input(["°C", "°F"], "Of the fluid in the line.", "fluid temperature", "Fluid temperature", negative=True)
    ] = None,
) -> Answer:
    """The formulas of `gravity-bleed`; any units. Raises MissingInput without viscosity, or grade and temperature."""
    thin, thick, notes = _viscosities(fluid_viscosity, grade, temperature)
    flow = _flow(head, line_bore, line_length, thin)
    reynolds = (4 * flow / (math.pi * line_bore * thin)).to("dimensionless")
    answer = Answer(
        values={
            "flow": flow,
            "reynolds": reynolds,
            "time": (volume / _flow(head, line_bore, line_length, thick)).to("minute"),
            "top_up_interval": (reservoir_usable / flow).to("minute"),
            "top_ups": rounded_up((volume / reservoir_usable).to("dimensionless").magnitude) - 1,
        },
        notes=[*notes, "Rough. Hoses, valves and the bleeder make it slower; some systems pass nothing by gravity."],
        held_against={"reynolds": (LAMINAR,)},
    )
    if above(reynolds, LAMINAR):
        text = "Reynolds number {reynolds} is over 2,000: the flow is no longer smooth, and slower than these figures; watch the reservoir"
        answer.judgements = [Judgement(CANNOT_TELL, text)]
    return answer


def _flow(head: Quantity, bore: Quantity, length: Quantity, viscosity: Quantity) -> Quantity:
    """Laminar flow in a round line under its own head."""
    return (math.pi * GRAVITY * head * bore**4 / (128 * viscosity * length)).to("mL/min")


def _viscosities(viscosity: Quantity | None, grade: str | None, temperature: Any) -> tuple[Quantity, Quantity, list[str]]:
    """The low and the high bound of the viscosity, and what to say about them. Raises MissingInput."""
    if viscosity is not None:
        unused = ["The viscosity was entered, so grade and temperature are not used."] if grade or temperature is not None else []
        return viscosity, viscosity, unused
    if grade is None and temperature is None:
        raise MissingInput(
            "missing; expected a viscosity, for example 14 mm²/s, or grade and temperature, for example DOT 4 and 20 °C",
            input="fluid_viscosity",
        )
    if grade is None:
        raise MissingInput(f"missing beside the temperature; expected one of {', '.join(GRADES)}, or a viscosity instead", input="grade")
    if temperature is None:
        raise MissingInput(
            "missing beside the grade; expected the temperature of the fluid, for example 20 °C, or a viscosity instead",
            input="temperature",
        )
    thin = Quantity(least_viscosity(GRADES[grade], temperature.to("kelvin").magnitude), "mm**2/s")
    said = f"{to_significant(thin.magnitude)} to {to_significant(THICKER * thin.magnitude)} mm²/s"
    memory = " The limit of {grade} at −40 °C is from memory." if GRADES[grade].from_memory else ""
    return (
        thin,
        THICKER * thin,
        [
            f"Viscosity of {{grade}} at {{temperature}} roughly {said}: flow and top-up interval by the thin end, time by the thick end.{memory}"
        ],
    )
