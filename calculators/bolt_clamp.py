"""How hard a torque clamps a bolt, and how near that brings the bolt to its proof load."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note
from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import BEYOND, CANNOT_TELL, WITHIN, Judgement, above
from calculators.contract.printing import entry_text
from calculators.contract.result import SHARE, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, ISO_898_1, SAE_J429, TORQUE_TENSION
from calculators.contract.units import Quantity

TORQUE, ANGLE = "torque", "torque plus angle"
M16 = Quantity(16, "mm")
QUARTER_INCH = Quantity(0.25, "inch")
MOST = Quantity(0.9, "dimensionless")

# Proof stress up to M16 and above. ISO 898-1; 9.8 is standardised up to M16 only.
MPA = {"8.8": (580, 600), "9.8": (650, 650), "10.9": (830, 830), "12.9": (970, 970)}
# Inch bolts from 1/4 to 1 in: SAE J429.
KSI = {"grade 5": 85, "grade 8": 120}


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A pitch that fits its diameter; standard threads have 0.05 to 0.22 of it."""
    ratio = (entries["pitch"].quantity / entries["diameter"].quantity).to("dimensionless").magnitude
    if not 0.04 <= ratio <= 0.24:
        return ask_or_note(
            entries,
            ["pitch", "diameter"],
            f"a pitch of {entry_text(entries['pitch'])} is unusual on a diameter of {entry_text(entries['diameter'])}",
        )
    return []


@calculator(
    title="Clamp force of a bolt",
    purpose="See how hard a torque clamps, and how near it brings the bolt to its proof load. It judges a torque and never sets one: the maker's figure wins.",
    source=[ISO_898_1, SAE_J429, TORQUE_TENSION, COMMON_PRACTICE],
    values=[
        Value("clamp_force", "N"),
        Value("stress_area", "mm²"),
        Value("proof_fraction", "", "Clamp force as a share of the proof load", SHARE),
    ],
    formula=[
        "clamp force = torque / (nut factor × diameter)",
        "stress area: metric classes π/4 × (d − 0.9382 × p)²; inch grades π/4 × (d − 0.9743 / n)², n threads an inch",
        "proof load = proof stress × stress area; 8.8: 580 MPa to M16, 600 above; 9.8: 650; 10.9: 830; 12.9: 970; grade 5: 85 ksi; grade 8: 120 ksi",
        "beyond: clamp force over 90 % of the proof load",
        "torque plus angle: cannot tell",
    ],
    limits_of_model=[
        "Friction decides: in one guideline's example a torque wrench leaves the greatest force 1.8 times the least. The nut factor is an estimate, about 0.2 dry and 0.15 oiled.",
        "A bolt tightened by torque plus angle gets most of its force from the angle, which the torque does not tell.",
        "Hollow bolts (banjo bolts, bleeders), waisted bolts and studs of another class are outside the model.",
        "The thread in the part may strip before the bolt stretches.",
        "No torque is ever set by this figure.",
    ],
    cautions=["hollow-bolt", "wheel-comes-loose"],
    example=Example(
        given={"torque": "126", "diameter": "M12", "pitch": "1.75", "property_class": "10.9", "nut_factor": "0.2"},
        printed={"clamp_force": "52500 N (11800 lbf)", "stress_area": "84.3 mm² (0.131 in²)", "proof_fraction": "75.1 %", "verdict": "within"},
        where="ISO 898-1 prints 84.3 mm² and a proof load of 70,000 N for M12, 10.9; 0.2 × 12 mm × 0.75 × 70,000 N = 126.0 N·m",
    ),
    cross_check=cross_check,
)  # fmt: skip
def bolt_clamp(
    torque: Annotated[Quantity, Input(["N·m", "lbf·ft"], "The maker's figure for this bolt.", "torque, any", also=["lbf·in"])],
    diameter: Annotated[
        Quantity, Input(["mm", "in"], "Of the thread: M12, 12 mm, 1/2 in.", "bolt diameter", "Thread diameter", kind="diameter")
    ],
    pitch: Annotated[
        Quantity,
        Input(["mm", "TPI"], "From crest to crest, or threads an inch; 1/2-20 will do.", "bolt pitch", "Thread pitch", also=["in"]),
    ],
    property_class: Annotated[
        str, Input(choices=(*MPA, *KSI), help="Stamped on the head: numbers on metric bolts, 3 lines for grade 5, 6 lines for grade 8.")
    ],
    nut_factor: Annotated[
        Quantity, Input(help="About 0.2 dry; under 0.12 only where it is oiled and the maker says so.", band="nut factor", kind="number")
    ],
    tightening: Annotated[
        str,
        Input(
            choices=(TORQUE, ANGLE),
            help="Torque alone, or torque and then an angle.",
            default=TORQUE,
            without="torque alone is assumed, no angle after it",
        ),
    ] = FILLED_IN,
) -> Answer:
    """The formulas of `bolt-clamp`; any unit of torque and length."""
    area = stress_area(diameter, pitch, property_class)
    notes = _notes(diameter, pitch, property_class)
    if tightening == ANGLE:
        unknown = Missing("the angle gives most of the force, and the torque does not tell it")
        judgement = Judgement(
            CANNOT_TELL, "the bolt is tightened by torque plus angle: follow the maker's figures, and replace the bolt where he says so"
        )
        return Answer({"clamp_force": unknown, "stress_area": area, "proof_fraction": unknown}, [judgement], notes)
    force = (torque / (nut_factor * diameter)).to("newton")
    fraction = (force / (proof_stress(diameter, property_class) * area)).to("dimensionless")
    over = above(fraction, MOST)
    text = "clamp force {clamp_force} is {proof_fraction} of the proof load, " + (
        "over 90 %: the bolt may stretch for good" if over else "not over 90 %"
    )
    return Answer(
        {"clamp_force": force, "stress_area": area, "proof_fraction": fraction},
        [Judgement(BEYOND if over else WITHIN, text, {"proof_fraction": (MOST,)})],
        ["Friction decides: the true force may well be a quarter more or less.", *notes],
    )


def stress_area(diameter: Quantity, pitch: Quantity, property_class: str) -> Quantity:
    """The area that carries the load. ISO 898-1 for metric classes, ASME B1.1 for inch grades."""
    less = 0.9743 if property_class in KSI else 0.9382
    return (math.pi / 4 * (diameter - less * pitch) ** 2).to("mm**2")


def proof_stress(diameter: Quantity, property_class: str) -> Quantity:
    """The stress a bolt of this class bears without stretching for good."""
    if property_class in KSI:
        return Quantity(1000 * KSI[property_class], "psi")
    return Quantity(MPA[property_class][above(diameter, M16)], "megapascal")


def _notes(diameter: Quantity, pitch: Quantity, property_class: str) -> list[str]:
    """Where a class and its thread do not belong together."""
    notes = []
    if property_class == "9.8" and above(diameter, M16):
        notes.append("Class 9.8 is standardised up to M16 only: see that the marking is read right.")
    if property_class in KSI and above(QUARTER_INCH, diameter):
        notes.append("Inch grades are standardised from 1/4 in: see that the marking is read right.")
    inch_thread = pitch.units == Quantity(1, "inch").units
    if inch_thread != (property_class in KSI):
        notes.append("Numbers such as 10.9 mark metric bolts and lines mark inch bolts: the stress area is reckoned by the marking.")
    return notes
