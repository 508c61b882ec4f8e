"""How much brake fluid fills lines, calipers and reservoir, how much a flush takes, and how many bottles that is."""

from __future__ import annotations

import math
from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import rounded_up
from calculators.contract.result import PLAIN, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, GEOMETRY, NIST_SP_811
from calculators.contract.units import Quantity

AT_LEAST = "at least "


@calculator(
    title="Brake fluid volume",
    purpose="Reckon how much fluid fills the lines, calipers and reservoir, how much a flush takes, and how many bottles to have ready.",
    source=[GEOMETRY, NIST_SP_811, COMMON_PRACTICE],
    values=[
        Value("line_volume", "mL", "Fluid in the lines"),
        Value("caliper_volume", "mL", "Fluid behind the pistons"),
        Value("system_volume", "mL", "Fluid in the system", before=AT_LEAST),
        Value("fluid_needed", "mL", before=AT_LEAST),
        Value("bottles", "", digits=PLAIN, before=AT_LEAST),
    ],
    formula=[
        "line volume = sum of π/4 × bore² × length",
        "caliper volume = sum of π/4 × piston diameter² × extension",
        "system = lines + calipers + reservoir",
        "fluid needed = system × flush multiple × (1 + waste)",
        "bottles = fluid needed / bottle, rounded up",
    ],
    limits_of_model=[
        "Master cylinder and ABS unit are not counted: the true figure is higher.",
        "Hoses swell and bores vary; a list with one entry holds for all.",
        "A flush multiple of 1 only fills the system; it does not say when the old fluid is out.",
    ],
    cautions=["reservoir-runs-dry", "wrong-fluid"],
    example=Example(
        given={
            "line_bores": "0.1315 in", "line_lengths": "3; 3", "piston_diameters": "54; 54", "piston_extensions": "12",
            "reservoir": "250", "flush_multiple": "2", "waste": "10 %", "bottle": "500",
        },
        printed={
            "line_volume": "52.6 mL (1.78 US fl oz)", "caliper_volume": "55.0 mL (1.86 US fl oz)",
            "system_volume": "at least 358 mL (12.1 US fl oz)", "fluid_needed": "at least 787 mL (26.6 US fl oz)",
            "bottles": "at least 2", "verdict": "none",
        },
        where="8.762 mL a metre of 3/16 in tube with 0.028 in wall and 2290.22 mm² for 54 mm, from exact definitions; the rest invented",
    ),
)  # fmt: skip
def fluid_volume(
    line_bores: Annotated[
        list[Quantity],
        Input(["mm", "in"], "Inside diameter of each run of line or hose, or one for all.", "line bore", "Bores of the lines"),
    ],
    line_lengths: Annotated[
        list[Quantity],
        Input(
            ["m", "ft"], "Length of each run, in the same order, or one for all.", "line length", "Lengths of the lines", also=["mm", "in"]
        ),
    ],
    piston_diameters: Annotated[list[Quantity], Input(["mm", "in"], "Every piston that is to be filled.", "piston diameter")],
    piston_extensions: Annotated[
        list[Quantity], Input(["mm", "in"], "How far each piston stands out of its bore, or one for all.", "piston extension")
    ],
    reservoir: Annotated[Quantity, Input(["mL", "US fl oz"], "What the reservoir holds up to MAX.", "reservoir volume", "Reservoir")],
    flush_multiple: Annotated[
        Quantity,
        Input(help="How many fillings a flush takes; 1 fills the system once.", band="flush multiple", kind="number", default="1"),
    ] = FILLED_IN,
    waste: Annotated[
        Quantity,
        Input(help="Share that is spilled or left in the bottle, for example 10 %.", band="waste", kind="share", default="0"),
    ] = FILLED_IN,
    bottle: Annotated[Quantity | None, Input(["mL", "US fl oz"], "What one sealed bottle holds.", "bottle", "Bottle size")] = None,
) -> Answer:
    """The formulas of `fluid-volume`; lengths and volumes in any unit. Raises Contradiction."""
    lines = _cylinders(line_bores, line_lengths, "line_lengths", "lengths", "bores")
    calipers = _cylinders(piston_diameters, piston_extensions, "piston_extensions", "extensions", "piston diameters")
    system = lines + calipers + reservoir
    needed = system * flush_multiple.to("dimensionless").magnitude * (1 + waste.to("dimensionless").magnitude)
    answer = Answer(
        values={
            "line_volume": lines,
            "caliper_volume": calipers,
            "system_volume": system,
            "fluid_needed": needed,
            "bottles": Missing("needs the bottle size"),
        },
        notes=["At least: master cylinder and ABS unit are not counted."],
    )
    if bottle is not None:
        count = answer.values["bottles"] = rounded_up((needed / bottle).to("dimensionless").magnitude)
        answer.held_against = {"fluid_needed": (bottle * (count - 1), bottle * count)}
    return answer


def _cylinders(diameters: list[Quantity], lengths: list[Quantity], name: str, lengths_word: str, diameters_word: str) -> Quantity:
    """The volume of all cylinders; a list with one entry holds for all. Raises Contradiction."""
    most = max(len(diameters), len(lengths))
    if {len(diameters), len(lengths)} - {1, most}:
        raise Contradiction(
            f"{len(lengths)} {lengths_word} for {len(diameters)} {diameters_word}; expected one each, or one entry for all", input=name
        )
    pairs = zip(diameters * (most // len(diameters)), lengths * (most // len(lengths)), strict=True)
    return sum((math.pi / 4 * diameter**2 * length for diameter, length in pairs), Quantity(0, "mL")).to("mL")
