"""How much grease a wheel bearing and its hub cavity take: the free space of the bearing, and the top-up through a nipple."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import above, at_most
from calculators.contract.printing import entry_text, to_significant
from calculators.contract.result import Answer, Missing, Value
from calculators.contract.sources import BEARING_MAKER_GREASE, COMMON_PRACTICE, FROM_MEMORY, GEOMETRY, TRIBOLOGY_HANDBOOK
from calculators.contract.units import Quantity

LEAST_SECTION = Quantity(8, "mm")  # outside diameter less bore
LEAST_STEEL = 1 / 3  # of the envelope; tapered rollers fill about 70 %, balls about 65 %: from memory
TOP_UP = Quantity(0.005, "g/mm**2")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A ring that has room for rollers, and a mass that fits into it."""
    must_be_less(entries, "bore", "the bore", "outside_diameter", "the outside diameter")
    bore, outside = entries["bore"].quantity, entries["outside_diameter"].quantity
    if not at_most(LEAST_SECTION, outside - bore):
        raise Contradiction(
            f"the outside diameter {entry_text(entries['outside_diameter'])} leaves no room for rollers over the bore {entry_text(entries['bore'])}: "
            "expected at least 8 mm (0.315 in) more than the bore",
            input="outside_diameter", typed=entries["outside_diameter"].typed,
        )  # fmt: skip
    if "mass" not in entries:
        return []
    envelope = _envelope(bore, outside, entries["width"].quantity)
    steel = (entries["mass"].quantity / entries["steel_density"].quantity).to("mL")
    if not above(envelope, steel):
        raise Contradiction(
            f"a bearing of {entry_text(entries['mass'])} is more steel than its envelope of {to_significant(envelope.to('mL').magnitude)} mL can hold: "
            "check mass and unit, for example 0.17 kg",
            input="mass", typed=entries["mass"].typed,
        )  # fmt: skip
    if steel < LEAST_STEEL * envelope:
        return ask_or_note(
            entries,
            ["mass"],
            f"a bearing of {entry_text(entries['mass'])} would be more than two thirds empty; check whether it is kg or lb",
        )
    return []


@calculator(
    title="Wheel bearing grease",
    purpose="Reckon how much grease fills a bearing that is packed by hand, with its share of the hub cavity, and how much tops it up through a nipple.",
    source=[GEOMETRY, TRIBOLOGY_HANDBOOK.at("p. A20.5"), BEARING_MAKER_GREASE, COMMON_PRACTICE, FROM_MEMORY],
    values=[
        Value("envelope_volume", "mL", "Ring between bore and outside"),
        Value("free_volume", "mL", "Free space in the bearing"),
        Value("grease_volume", "mL", "Grease to pack"),
        Value("grease_mass", "g", "Mass of that grease"),
        Value("relube_mass", "g", "Top-up through a nipple, not a hand packing"),
    ],
    formula=[
        "envelope = π/4 × width × (outside diameter² − bore²)",
        "free space = envelope − bearing mass / steel density",
        "grease to pack = free space × fill fraction + cavity volume × cavity fraction",
        "mass of grease = grease to pack × grease density",
        "top-up through a nipple, in g = 0.005 × outside diameter × width, both in mm",
    ],
    limits_of_model=[
        "For one bearing. The maker's amount wins.",
        "The top-up figure is for a bearing with a grease nipple; it is not the amount of a hand packing.",
        "A wheel bearing packed by hand is filled completely, the hub cavity only in part (common practice). "
        "Handbooks of machinery fill 30 to 50 % of the free space of bearings that run fast; then enter that as fill fraction.",
        "The envelope is a plain ring of the assembled width; chamfers and the gap between the rings are not taken off.",
        "Hubs of full-floating axles run in gear oil and are not packed; sealed hub units are not packed either.",
    ],
    cautions=["mixed-greases", "grease-on-friction"],
    example=Example(
        given={"bore": "31.75", "outside_diameter": "59.131", "width": "15.875", "mass": "0.18", "cavity_volume": "60", "cavity_fraction": "30 %"},
        printed={
            "envelope_volume": "31.0 mL (1.05 US fl oz)", "free_volume": "8.10 mL (0.274 US fl oz)",
            "grease_volume": "26.1 mL (0.882 US fl oz)", "grease_mass": "23.5 g (0.828 oz)",
            "relube_mass": "4.69 g (0.166 oz)", "verdict": "none",
        },
        where="bearing LM67048/LM67010, 31.75 × 59.131 × 15.875 mm: 4.694 g by the Tribology Handbook's 0.005·D·B; mass and cavity are invented",
    ),
    cross_check=cross_check,
)  # fmt: skip
def bearing_grease(
    bore: Annotated[Quantity, Input(["mm", "in"], "Inside diameter of the cone.", "bearing bore")],
    outside_diameter: Annotated[Quantity, Input(["mm", "in"], "Outside diameter of the race.", "bearing outside diameter")],
    width: Annotated[Quantity, Input(["mm", "in"], "Width of the assembled bearing, cone and race.", "bearing width")],
    mass: Annotated[
        Quantity | None, Input(["kg", "lb"], "Clean and dry, cone with race; weigh it.", "bearing mass", "Bearing mass", also=["g", "oz"])
    ] = None,
    steel_density: Annotated[
        Quantity | None, Input(["g/cm³", "lb/in³"], "Of bearing steel.", "steel density", default="7.85 g/cm³", only_if=("mass", None))
    ] = None,
    fill_fraction: Annotated[
        Quantity,
        Input(help="Share of the free space to fill; 1 for a bearing packed by hand.", band="fill fraction", kind="share", default="1"),
    ] = FILLED_IN,
    grease_density: Annotated[
        Quantity, Input(["g/cm³", "lb/in³"], "From the grease's data sheet.", "grease density", default="0.90 g/cm³")
    ] = FILLED_IN,
    cavity_volume: Annotated[
        Quantity | None, Input(["mL", "US fl oz"], "Room in the hub between the bearings.", "hub cavity volume", "Hub cavity")
    ] = None,
    cavity_fraction: Annotated[
        Quantity | None,
        Input(
            help="Share of the hub cavity to fill; never all of it.", band="cavity fraction", label="Share of the hub cavity", kind="share"
        ),
    ] = None,
) -> Answer:
    """The formulas of `bearing-grease`; lengths, masses, densities and volumes in any unit."""
    envelope = _envelope(bore, outside_diameter, width)
    answer = Answer(
        values={
            "envelope_volume": envelope,
            **_packing(envelope, mass, steel_density, fill_fraction, grease_density, cavity_volume, cavity_fraction),
            "relube_mass": (TOP_UP * outside_diameter * width).to("g"),
        },
        notes=[
            "{relube_mass} is a top-up through a nipple, not the amount of a hand packing.",
            "Packing by hand: the free space of the bearing full, the hub cavity only in part.",
        ],
    )
    if not isinstance(answer.values["grease_volume"], Missing) and cavity_volume is None:
        answer.notes.append("The grease of the hub cavity is not counted: its volume was not given.")
    if cavity_fraction is not None and above(cavity_fraction, Quantity(0.6, "")):
        answer.notes.append("So full a hub cavity has no room for the grease to expand: it churns, heats up and pushes past the seal.")
    return answer


def _envelope(bore: Quantity, outside: Quantity, width: Quantity) -> Quantity:
    return (math.pi / 4 * width * (outside**2 - bore**2)).to("mL")


def _packing(
    envelope: Quantity, mass: Quantity | None, steel: Quantity | None, fill: Quantity, grease: Quantity,
    cavity: Quantity | None, share: Quantity | None,
) -> dict[str, Any]:  # fmt: skip
    """Free space, and the volume and mass of the grease; of bearing and cavity, never of a part that is not known."""
    if mass is None or steel is None:  # steel_density has a default beside a mass
        return dict.fromkeys(("free_volume", "grease_volume", "grease_mass"), Missing("needs the bearing's mass: weigh it clean and dry"))
    free = (envelope - mass / steel).to("mL")
    if (cavity is None) != (share is None):
        missing = Missing("needs the share of the hub cavity to fill" if share is None else "needs the volume of the hub cavity")
        return {"free_volume": free, "grease_volume": missing, "grease_mass": missing}
    volume = free * fill if cavity is None or share is None else free * fill + cavity * share
    return {"free_volume": free, "grease_volume": volume.to("mL"), "grease_mass": (volume * grease).to("g")}
