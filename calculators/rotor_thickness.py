"""Rotor thickness against the discard mark: may it stay, may it be cut, how long will it last."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, furthest, must_be_less, spread
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import CANNOT_TELL, WITHIN, Judgement, above, at_most, conformance_probability, lower_limit, upper_limit
from calculators.contract.printing import entry_text
from calculators.contract.result import CHANCE, DIFFERENCE, DOWN, PLAIN, READING, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, ISO_14253_1, JCGM_106, TM_9_2320_289_34
from calculators.contract.units import Quantity
from calculators.shared.rotor_section import draw
from calculators.shared.wear import distance_left, thinnest_at_next, wear_since_new

NOTHING = Quantity(0, "mm")
ENOUGH_READINGS = 8


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Discard, machine-to and new in order; readings that agree with each other and with the sheet."""
    must_be_less(entries, "discard", "the discard thickness", "new", "the new thickness")
    must_be_less(entries, "discard", "the discard thickness", "machine_to", "the machine-to thickness", or_equal=True)
    must_be_less(entries, "machine_to", "the machine-to thickness", "new", "the new thickness")
    readings, discard, new = entries["readings"], entries["discard"], entries.get("new")
    notes = []
    if "points" in entries and entries["points"].value < len(readings):
        raise Contradiction(
            f"{entries['points'].value} places, and {len(readings)} readings of them; enter how many places the readings come from, for example 8",
            input="points",
            typed=entries["points"].typed,
        )
    if spread(readings) > Quantity(1, "mm"):
        odd = entry_text(furthest(readings))
        notes += ask_or_note(entries, ["readings"], f"the readings differ by more than 1 mm (0.04 in); the odd one is {odd}")
    if any(abs(reading.quantity - discard.quantity) > Quantity(15, "mm") for reading in readings):
        notes += ask_or_note(entries, ["readings", "discard"], "a reading is more than 15 mm (0.6 in) from the discard thickness")
    if new and any(reading.quantity > new.quantity + Quantity(0.3, "mm") for reading in readings):
        notes += ask_or_note(entries, ["readings", "new"], f"a reading is thicker than the new rotor, {entry_text(new)}")
    if new and not 0.80 <= (discard.quantity / new.quantity).to("dimensionless").magnitude <= 0.98:
        notes += ask_or_note(entries, ["discard", "new"], "the discard thickness is usually 80 to 98 % of the new one")
    return notes


@calculator(
    title="Rotor thickness",
    purpose="Judge the thinnest reading against the discard thickness, and say whether the rotor may be machined "
    "and how long it will last.",
    source=[TM_9_2320_289_34.at("p. 7-3"), ISO_14253_1, JCGM_106.at("7.2"), COMMON_PRACTICE],
    values=[
        Value("thinnest", "mm", digits=READING),
        Value("margin", "mm", "Margin over discard", DIFFERENCE),
        Value("variation", "mm", "Thickness variation", DIFFERENCE),
        Value("conformance_probability", "", "Chance that the rotor is thicker than discard", CHANCE),
        Value("thickness_after_cut", "mm", digits=DIFFERENCE),
        Value("may_be_machined", "", digits=PLAIN),
        Value("deepest_cut", "mm", "Deepest cut a side that may be taken", DOWN),
        Value("wear_per_distance", "mm/km", "Wear since new", shown_in=("mm per 1000 km", "in per 1000 mi")),
        Value("distance_left", "km", "Distance left to discard"),
        Value("thinnest_at_next", "mm", "Thinnest at the next check", DIFFERENCE),
    ],
    formula=[
        "thinnest = least reading − groove depth (both faces together)",
        "margin = thinnest − discard",
        "variation = greatest reading − least reading, of two readings or more; its uncertainty is √2·U",
        "within: thinnest − U > discard; beyond: thinnest + U ≤ discard; else too close to tell",
        "deepest cut a side = (thinnest − U − machine-to) / 2; may be machined: it is above 0, and the planned cut is not deeper",
        "thickness after cut = thinnest − 2 × cut per side",
        "wear = (new − thinnest) / distance run; distance left = margin / wear",
        "thinnest at next check = thinnest − wear × distance to it",
        "chance = Φ(margin / (U/2))",
    ],
    limits_of_model=[
        "Flat jaws read too thick over a lip or grooves: enter the groove depth, or use pointed jaws.",
        "Wear is taken as even since new; hard use wears faster.",
        "Measure a cold rotor: a hot one reads too thick.",
        "Thickness says nothing about cracks, heat spots or runout.",
    ],
    cautions=["brake-dust", "hot-parts"],
    example=Example(
        given={
            "readings": "1.2402; 1.2401; 1.2403; 1.2402; 1.2400; 1.2401; 1.2402; 1.2403", "discard": "1.215",
            "machine_to": "1.230", "variation_limit": "0.0005", "tool_uncertainty": "0.0001", "cut_per_side": "0.004",
        },
        printed={
            "thinnest": "1.2400 in (31.496 mm)", "margin": "0.02500 in (0.6350 mm)", "variation": "0.00030 in (0.0076 mm)",
            "thickness_after_cut": "1.23200 in (31.2928 mm)", "may_be_machined": "yes", "deepest_cut": "0.00495 in (0.1257 mm)", "verdict": "within",
        },
        where="limits from TM 9-2320-289-34 p. 7-3; readings invented; worked by hand",
        system="inch",
    ),
    cross_check=cross_check,
)  # fmt: skip
def rotor_thickness(
    readings: Annotated[
        list[Quantity],
        Input(["mm", "in"], "Thickness at equal steps round the rotor, eight or more.", "rotor thickness", sets_decimals=True),
    ],
    discard: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "Stamped or cast on the rotor; the maker's figure wins.",
            "rotor thickness",
            "Discard thickness",
            sets_decimals=True,
        ),
    ],
    machine_to: Annotated[
        Quantity | None,
        Input(["mm", "in"], "The least thickness after machining.", "rotor thickness", "Machine-to thickness", sets_decimals=True),
    ] = None,
    new: Annotated[
        Quantity | None, Input(["mm", "in"], "Thickness of a new rotor.", "rotor thickness", "New thickness", sets_decimals=True)
    ] = None,
    variation_limit: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"], "The most the readings may differ.", "thickness variation limit", without="the thickness variation is not judged"
        ),
    ] = None,
    tool_uncertainty: Annotated[
        Quantity,
        Input(["mm", "in"], "Expanded (k = 2); blank for half of the last digit.", "tool uncertainty", default=HalfLastDigit("readings")),
    ] = FILLED_IN,
    points: Annotated[
        int | None,
        Input(
            help="Where only the least and the greatest reading are entered: of how many places they are.",
            band="points",
            label="Places measured",
        ),
    ] = None,
    groove_depth: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"],
            "Depth of lip or grooves the jaws bridged, both faces together.",
            "scoring depth",
            without="no lip and no grooves are assumed",
        ),
    ] = None,
    cut_per_side: Annotated[Quantity | None, Input(["mm", "in"], "Depth of the intended cut on each face.", "cut per side")] = None,
    distance_run: Annotated[Quantity | None, Input(["km", "mi"], "Distance driven since the rotor was new.", "driven distance")] = None,
    distance_next: Annotated[
        Quantity | None, Input(["km", "mi"], "Distance to the next check.", "driven distance", "Distance to the next check")
    ] = None,
) -> Answer:
    """The formulas of `rotor-thickness`; lengths in any unit of length. Raises Contradiction."""
    thinnest = min(readings) - (NOTHING if groove_depth is None else groove_depth)
    if at_most(thinnest, NOTHING):
        raise Contradiction(
            "the grooves cannot be as deep as the rotor is thick; write the depth, for example 0.3 mm", input="groove_depth"
        )
    margin = thinnest - discard
    variation = Missing("needs two readings or more") if len(readings) < 2 else max(readings) - min(readings)
    after_cut = None if cut_per_side is None else thinnest - 2 * cut_per_side
    probability = conformance_probability(margin, tool_uncertainty)

    judgements = [lower_limit("thinnest", "thinnest", "discard", "the discard thickness", thinnest, discard, tool_uncertainty)]
    if variation_limit is not None and isinstance(variation, Missing):
        judgements.append(Judgement(CANNOT_TELL, "one reading tells no thickness variation, which has a limit: measure all round"))
    elif variation_limit is not None and not isinstance(variation, Missing):
        judgements.append(
            upper_limit(
                "variation",
                "thickness variation",
                "variation_limit",
                "its limit",
                variation,
                variation_limit,
                math.sqrt(2) * tool_uncertainty,
            )
        )
    wear = wear_since_new(new, thinnest, distance_run)
    at_next = thinnest_at_next(thinnest, wear, distance_next)
    answer = Answer(
        values={
            "thinnest": thinnest,
            "margin": margin,
            "variation": variation,
            "conformance_probability": Missing("needs a tool uncertainty above 0") if probability is None else probability,
            "thickness_after_cut": Missing("needs the cut per side") if after_cut is None else after_cut,
            **_machining(thinnest, tool_uncertainty, cut_per_side, machine_to, discard),
            "wear_per_distance": wear,
            "distance_left": distance_left(margin, wear),
            "thinnest_at_next": at_next,
        },
        judgements=judgements,
        held_against={
            "margin": (NOTHING,),
            "thinnest_at_next": (discard,),
            "thickness_after_cut": (discard, *([machine_to] if machine_to is not None else [])),
            "deepest_cut": (NOTHING,) if cut_per_side is None else (NOTHING, cut_per_side),
            "distance_left": () if distance_next is None else (distance_next,),
        },
        figure=lambda printer: draw(
            printer, thinnest, tool_uncertainty, {"new": new, "machine_to": machine_to, "discard": discard}, after_cut
        ),
    )
    if after_cut is not None and at_most(after_cut, discard):
        answer.foreword = "Do not take the planned cut: {cut_per_side} a side leaves {thickness_after_cut}, which is not above the discard thickness {discard}."
    lasts = isinstance(at_next, Missing) or above(at_next, discard)
    said = [] if lasts else ["It will not last to the next check: {thinnest_at_next} by then."]
    said += ["Keep: {margin} left over discard."] if all(judgement.code == WITHIN for judgement in judgements) else []
    answer.afterthought = " ".join([*said, _machining_in_words(answer.values, machine_to)]).strip()
    if (len(readings) if points is None else points) < ENOUGH_READINGS:
        answer.notes.append(f"Fewer than {ENOUGH_READINGS} readings: the thinnest place may have been missed.")
    return answer


def _machining(thinnest: Quantity, u: Quantity, cut: Quantity | None, machine_to: Quantity | None, discard: Quantity) -> dict[str, Any]:
    """Whether the rotor may be turned, and how deep at most; the answer is no wherever it is certain without the machine-to
    thickness, which is never under discard."""
    if machine_to is None:
        no = at_most(thinnest - u - (NOTHING if cut is None else 2 * cut), discard)
        needs = Missing("needs the machine-to thickness")
        return {"may_be_machined": False if no else needs, "deepest_cut": NOTHING if no and cut is None else needs}
    deepest = max((thinnest - u - machine_to) / 2, NOTHING)
    return {"may_be_machined": above(deepest, NOTHING) and (cut is None or at_most(cut, deepest)), "deepest_cut": deepest}


def _machining_in_words(values: dict[str, Any], machine_to: Quantity | None) -> str:
    """The answer to “may I turn it?”; nothing where it is not known."""
    if isinstance(values["may_be_machined"], Missing):
        return ""
    limit = "the discard thickness {discard}" if machine_to is None else "the machine-to thickness {machine_to}"
    if values["may_be_machined"]:
        return f"Machine: yes, {{deepest_cut}} a side at most, down to {limit}."
    if isinstance(values["deepest_cut"], Missing) or above(values["deepest_cut"], NOTHING):
        most = "" if isinstance(values["deepest_cut"], Missing) else "; {deepest_cut} a side at most"
        return f"Machine: no, not by {{cut_per_side}} a side: that goes under {limit}{most}."
    return f"Machine: no, {{thinnest}} less ± {{tool_uncertainty}} is not above {limit}."
