"""What the pistons push back into the reservoir when new pads go in, and how much to draw off first."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.bands import BANDS
from calculators.contract.cross_checks import ask_or_note
from calculators.contract.declaration import Example, calculator
from calculators.contract.guard import in_hard
from calculators.contract.inputs import Input
from calculators.contract.judge import ADJUST, CANNOT_TELL, WITHIN, Judgement, above
from calculators.contract.printing import entry_text
from calculators.contract.result import Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE, GEOMETRY
from calculators.contract.units import Quantity

SLIDING, FIXED = "sliding", "fixed"
NOTHING = Quantity(0, "mL")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A stack that can have changed so far, pistons on both sides, and room for the new stack."""
    notes = []
    change = entries["new_stack"].quantity - entries["old_stack"].quantity
    if not in_hard(BANDS["stack change"], change):
        notes += ask_or_note(
            entries, ["old_stack", "new_stack"], "new and old stack differ by more than pads and rotor wear (−5 to 35 mm, −0.20 to 1.38 in)"
        )
    fixed = entries["caliper"].value == FIXED
    if fixed and len(entries["piston_diameters"]) % 2:
        notes += ask_or_note(
            entries, ["piston_diameters"], "a fixed caliper has as many pistons on one side as on the other; list all of them"
        )
    extension = entries.get("extension_now")
    if extension and above(change / 2 if fixed else change, extension.quantity):
        notes += ask_or_note(
            entries, ["extension_now"], f"the pistons stand out {entry_text(extension)}, too little to make room for the new stack"
        )
    return notes


@calculator(
    title="Reservoir level",
    purpose="Reckon how much fluid the pistons push back when new pads go in, and how much to draw off before they do.",
    source=[GEOMETRY, COMMON_PRACTICE],
    values=[
        Value("piston_travel", "mm", "Travel of each piston", signed=("{} outward", "{}", "{} inward")),
        Value("displaced_volume", "mL", "Fluid pushed back, pads in place"),
        Value("displaced_peak", "mL", "Fluid pushed back, pistons fully home"),
        Value("level_rise", "mm", "Level in the reservoir", signed=("falls by {}", "stays: {}", "rises by {}")),
        Value("draw_off", "mL", "Fluid to draw off first"),
    ],
    formula=[
        "travel: sliding caliper = new stack − old stack; fixed caliper = half of that for each piston",
        "pushed back, pads in place = sum of π/4 × piston diameter² × travel × calipers",
        "pushed back, pistons fully home = sum of π/4 × piston diameter² × extension now × calipers",
        "level = pushed back with pads in place / area of the reservoir",
        "draw off = the larger of the two − headroom, not below 0; without the extension it is at least that",
        "cannot tell: the extension is not given and pads in place alone do not overflow it; adjust: something to draw off, or a level that falls and must be topped up; else within",
    ],
    limits_of_model=[
        "Count only the calipers that are worked on together and drain into the same reservoir.",
        "Fluid that leaves through an open bleeder does not reach the reservoir: with the bleeder open the figure is the most there can be.",
        "A new caliper pushes nothing back: its pistons are home and it takes fluid instead.",
        "A divided reservoir spills from its smaller chamber first; enter that chamber's headroom and area.",
        "The level says nothing about a leak: fluid is not used up, it follows the worn pads.",
    ],
    cautions=["piston-pressed-unseen", "fluid-on-paint"],
    example=Example(
        given={
            "caliper": "sliding", "piston_diameters": "54", "calipers": "2", "old_stack": "38", "new_stack": "52",
            "headroom": "40", "extension_now": "18", "reservoir_area": "30",
        },
        printed={
            "piston_travel": "14.0 mm (0.551 in) inward", "displaced_volume": "64.1 mL (2.17 US fl oz)",
            "displaced_peak": "82.4 mL (2.79 US fl oz)", "level_rise": "rises by 21.4 mm (0.842 in)",
            "draw_off": "42.4 mL (1.44 US fl oz)", "verdict": "adjust",
        },
        where="2290.22 mm² for a 54 mm piston, from the definition; 2 × 2290.22 mm² × 14 and 18 mm worked by hand; stacks invented",
    ),
    cross_check=cross_check,
)  # fmt: skip
def reservoir_level(
    caliper: Annotated[str, Input(choices=(SLIDING, FIXED), help="Sliding: pistons on one side. Fixed: pistons on both.")],
    piston_diameters: Annotated[
        list[Quantity], Input(["mm", "in"], "All pistons of one caliper; of a fixed one those of both sides.", "piston diameter")
    ],
    calipers: Annotated[int, Input(help="How many calipers get new pads.", band="calipers")],
    old_stack: Annotated[
        Quantity, Input(["mm", "in"], "Both old pads with their plates and shims, and the rotor between.", "pad and rotor stack")
    ],
    new_stack: Annotated[Quantity, Input(["mm", "in"], "The same with what will be fitted.", "pad and rotor stack")],
    headroom: Annotated[
        Quantity, Input(["mL", "US fl oz"], "What the reservoir still takes up to MAX; 0 where it stands there.", "fluid volume")
    ],
    extension_now: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"],
            "How far each piston stands out now: what goes back when it is pushed fully home.",
            "piston extension",
            "Piston extension now",
        ),
    ] = None,
    reservoir_area: Annotated[
        Quantity | None, Input(["cm²", "in²"], "Length × width of the reservoir inside.", "reservoir area", "Area of the reservoir")
    ] = None,
) -> Answer:
    """The formulas of `reservoir-level`; lengths, areas and volumes in any unit."""
    travel = new_stack - old_stack if caliper == SLIDING else (new_stack - old_stack) / 2
    area = sum((math.pi / 4 * diameter**2 for diameter in piston_diameters), Quantity(0, "mm**2")) * calipers
    displaced = (area * travel).to("mL")
    peak = None if extension_now is None else (area * extension_now).to("mL")
    draw_off = max(displaced if peak is None else max(displaced, peak), headroom) - headroom
    falls = above(NOTHING, displaced)
    answer = Answer(
        values={
            "piston_travel": travel,
            "displaced_volume": displaced,
            "displaced_peak": Missing("needs how far the pistons stand out now") if peak is None else peak,
            "level_rise": Missing("needs the area of the reservoir") if reservoir_area is None else (displaced / reservoir_area).to("mm"),
            "draw_off": Missing("needs how far the pistons stand out now")
            if peak is None and not falls and not above(draw_off, NOTHING)
            else draw_off.to("mL"),
        },
        judgements=_judge(
            draw_off, falls, peak is not None, "displaced_volume" if peak is None or above(displaced, peak) else "displaced_peak"
        ),
        notes=["A new caliper pushes nothing back.", "Fluid that was drawn off is not used again."],
    )
    if peak is None:
        answer.notes.append("Pistons pushed fully home push back more than this: enter how far they stand out now.")
    return answer


def _judge(draw_off: Quantity, falls: bool, known_peak: bool, most: str) -> list[Judgement]:
    """Draw off, top up, or neither; `most` names the value that may overflow. Pistons pressed fully home push back more than
    pads in place do: how much is not known without their extension."""
    found = []
    if above(draw_off, NOTHING):
        least = "" if known_peak else "at least "
        text = f"the reservoir takes {{headroom}} and {{{most}}} may come back: draw off {least}{{draw_off}} before the pistons are pressed home"
        found.append(Judgement(ADJUST, text, {"draw_off": (NOTHING,), most: ("headroom",)}))
    elif not known_peak and not falls:
        text = (
            "the reservoir takes {headroom}, but pistons pressed fully home may push back more than that: enter how far they stand out now"
        )
        found.append(Judgement(CANNOT_TELL, text))
    if falls:
        found.append(
            Judgement(ADJUST, "the new stack is thinner than the old one, so the level falls once the pads are in place: top up to MAX")
        )
    return found or [Judgement(WITHIN, f"the reservoir takes {{headroom}} and {{{most}}} comes back", {most: ("headroom",)})]
