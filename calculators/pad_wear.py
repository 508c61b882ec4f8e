"""Pad lining against its limit, how the two pads of a brake wore, and how long they will last."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, must_be_less, spread
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.figure import GRAY, LINE, PAPER, SIZE, THICK, THIN, TINT, WIDTH, Figure
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import Judgement, above, at_most, lower_limit, size_limit
from calculators.contract.printing import entry_text
from calculators.contract.result import DIFFERENCE, PLAIN, READING, Answer, Missing, Printer, Value
from calculators.contract.sources import CFR_393_47, CFR_570, COMMON_PRACTICE, ISO_14253_1, TRADE_PAD_WEAR
from calculators.contract.units import Quantity
from calculators.shared.wear import distance_left, thinnest_at_next, wear_since_new

NOTHING = Quantity(0, "mm")
USUAL_TAPER = Quantity(1.0, "mm")
USUAL_DIFFERENCE = Quantity(1.6, "mm")
BONDED_FLOOR = Quantity(1 / 16, "inch")
EVEN, TAPERED, ACROSS, INNER_MORE, OUTER_MORE = "even", "tapered", "tapered across", "inner worn more", "outer worn more"
CAUSES = {
    TAPERED: "Tapered: look for a stuck or bent pin, a worn bushing, or a pad that binds in the bracket.",
    ACROSS: "Tapered across, from one edge to the other: look for a caliper or bracket that is bent, loose or spread, a piston that presses askew, or a coned rotor.",
    INNER_MORE: "Inner pad worn more: the piston or its seal does not return, pins or pads are stuck, or pressure stays in the line.",
    OUTER_MORE: "Outer pad worn more: pins or bushings are stuck, or pads are stuck in the bracket.",
}
ACROSS_WORDS = ("{}, thinner at the outer edge", "{}", "{}, thinner at the inner edge")
PLACES = (
    "one reading; two: leading end, trailing end; or four: leading outer edge, leading inner edge, trailing outer edge, trailing inner edge"
)
TAPER_WORDS = ("{}, thinner at the leading end", "{}", "{}, thinner at the trailing end")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Limit below new; readings at known places, none thicker than new; one pad's readings near each other."""
    for name in ("inner", "outer"):
        if len(entries[name]) not in (1, 2, 4):
            raise Contradiction(
                f"{len(entries[name])} readings of one pad; expected {PLACES}, for example 8.0; 7.9; 7.6; 7.5",
                input=name, typed="; ".join(reading.typed for reading in entries[name]),
            )  # fmt: skip
    must_be_less(entries, "limit", "the lining limit", "new", "the new lining")
    new, notes = entries.get("new"), []
    for name in ("inner", "outer"):
        if new and any(reading.quantity > new.quantity + Quantity(0.3, "mm") for reading in entries[name]):
            notes += ask_or_note(entries, [name, "new"], f"a reading of the {name} pad is thicker than the new lining, {entry_text(new)}")
        if spread(entries[name]) > Quantity(6, "mm"):
            notes += ask_or_note(entries, [name], f"the readings of the {name} pad differ by more than 6 mm (0.24 in)")
    return notes


@calculator(
    title="Pad wear",
    purpose="Judge the thinnest lining of the two pads against its limit, and tell from how they wore what to look for.",
    source=[CFR_570.at("§570.59(c)"), CFR_393_47, TRADE_PAD_WEAR, ISO_14253_1, COMMON_PRACTICE],
    values=[
        Value("thinnest", "mm", "Thinnest lining", READING),
        Value("margin", "mm", "Margin over the limit", DIFFERENCE),
        Value("inner_taper", "mm", "Taper of the inner pad", DIFFERENCE, signed=TAPER_WORDS),
        Value("outer_taper", "mm", "Taper of the outer pad", DIFFERENCE, signed=TAPER_WORDS),
        Value("inner_taper_across", "mm", "Taper across the inner pad", DIFFERENCE, signed=ACROSS_WORDS),
        Value("outer_taper_across", "mm", "Taper across the outer pad", DIFFERENCE, signed=ACROSS_WORDS),
        Value("inner_outer_difference", "mm", "Inner pad against outer pad", DIFFERENCE, signed=("{}, inner thinner", "{}", "{}, outer thinner")),
        Value("pattern", "", "How the pads wore", PLAIN),
        Value("wear_per_distance", "mm/km", "Wear since new", shown_in=("mm per 1000 km", "in per 1000 mi")),
        Value("distance_left", "km", "Distance left to the limit"),
        Value("thinnest_at_next", "mm", "Thinnest at the next check", DIFFERENCE),
    ],
    formula=[
        "thinnest = least reading of both pads; margin = thinnest − limit",
        "within: thinnest − U > limit; beyond: thinnest + U ≤ limit; else too close to tell",
        "two readings of a pad: leading end, trailing end; four: leading outer edge, leading inner edge, trailing outer edge, trailing inner edge",
        "taper = leading end − trailing end; of four readings along the edge where it is greater",
        "taper across = outer edge − inner edge, at the end where it is greater",
        "inner against outer = mean of the inner readings − mean of the outer readings",
        "taper and inner against outer are judged by their size, with √2·U, where their limit is given",
        "the pattern takes 1.0 mm of taper, along or across, and 1.6 mm between the pads where no limit is given",
        "wear = (new − thinnest) / distance run; distance left = margin / wear",
        "thinnest at next check = thinnest − wear × distance to it",
    ],
    limits_of_model=[
        "Measure the lining only, without backing plate and shim; over rivets, measure to the rivet head.",
        "Wear is taken as even since new; hard use wears faster.",
        "The pattern says where to look, not what is wrong; it gives no verdict.",
        "Thickness says nothing about cracks, glazing, or lining that comes off its plate.",
        "The law's least thickness is not the maker's limit: use the greater one.",
    ],
    cautions=["pads-over-stuck-slide", "brake-dust", "hot-parts"],
    example=Example(
        given={
            "inner": "4.2; 4.1; 3.6; 3.5", "outer": "6.0; 5.9; 5.8; 5.8", "limit": "2.0", "new": "11", "distance_run": "45,000",
            "distance_next": "15,000", "caliper": "sliding",
        },
        printed={
            "thinnest": "3.5 mm (0.138 in)", "margin": "1.50 mm (0.0591 in)",
            "inner_taper": "0.60 mm (0.0236 in), thinner at the trailing end", "inner_taper_across": "0.10 mm (0.0039 in), thinner at the inner edge",
            "outer_taper": "0.20 mm (0.0079 in), thinner at the trailing end",
            "inner_outer_difference": "2.03 mm (0.0797 in), inner thinner", "pattern": "inner worn more",
            "wear_per_distance": "0.167 mm per 1000 km (0.0106 in per 1000 mi)", "distance_left": "9000 km (5590 mi)",
            "thinnest_at_next": "1.00 mm (0.0394 in)", "verdict": "within",
        },
        where="readings invented; worked by hand: (11 − 3.5)/45,000 km, 1.5/that = 9000 km, 3.5 − 15,000 × that = 1.0 mm",
    ),
    cross_check=cross_check,
)  # fmt: skip
def pad_wear(
    inner: Annotated[
        list[Quantity],
        Input(
            ["mm", "in"],
            "Lining of the inner pad without its plate. Two: leading end, trailing end. Four: leading outer edge, leading inner edge, trailing outer edge, trailing inner edge.",
            "pad lining",
            "Inner pad",
            sets_decimals=True,
        ),
    ],
    outer: Annotated[
        list[Quantity],
        Input(
            ["mm", "in"],
            "Lining of the outer pad without its plate, at the same places in the same order.",
            "pad lining",
            "Outer pad",
            sets_decimals=True,
        ),
    ],
    limit: Annotated[
        Quantity, Input(["mm", "in"], "The least lining; the maker's figure wins.", "pad lining limit", "Lining limit", sets_decimals=True)
    ],
    new: Annotated[Quantity | None, Input(["mm", "in"], "Lining of a new pad without its plate.", "pad lining new", "New lining")] = None,
    taper_limit: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"],
            "The most one pad may differ from end to end, or from edge to edge.",
            "pad difference limit",
            without="the taper is not judged",
        ),
    ] = None,
    difference_limit: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"],
            "The most inner and outer pad may differ.",
            "pad difference limit",
            "Limit between inner and outer",
            without="inner against outer is not judged",
        ),
    ] = None,
    tool_uncertainty: Annotated[
        Quantity,
        Input(
            ["mm", "in"], "Expanded (k = 2); blank for half of the last digit.", "tool uncertainty", default=HalfLastDigit("inner", "outer")
        ),
    ] = FILLED_IN,
    distance_run: Annotated[Quantity | None, Input(["km", "mi"], "Distance driven since the pads were new.", "driven distance")] = None,
    distance_next: Annotated[
        Quantity | None, Input(["km", "mi"], "Distance to the next check.", "driven distance", "Distance to the next check")
    ] = None,
    caliper: Annotated[str | None, Input(help="Tells what the pattern may mean.", choices=["sliding", "fixed"])] = None,
) -> Answer:
    """The formulas of `pad-wear`; lengths in any unit of length."""
    thinnest = min(*inner, *outer)
    tapers = {"inner_taper": _taper(inner), "outer_taper": _taper(outer)}
    across = {"inner_taper_across": _taper_across(inner), "outer_taper_across": _taper_across(outer)}
    difference = _mean(inner) - _mean(outer)
    pattern = _pattern(tapers, across, difference, taper_limit, difference_limit)
    wear = wear_since_new(new, thinnest, distance_run)
    at_next = thinnest_at_next(thinnest, wear, distance_next)
    answer = Answer(
        values={
            "thinnest": thinnest,
            "margin": thinnest - limit,
            **{name: Missing("needs a reading at each end") if taper is None else taper for name, taper in tapers.items()},
            **{name: Missing("needs four readings: both edges at both ends") if taper is None else taper for name, taper in across.items()},
            "inner_outer_difference": difference,
            "pattern": "; ".join(pattern),
            "wear_per_distance": wear,
            "distance_left": distance_left(thinnest - limit, wear),
            "thinnest_at_next": at_next,
        },
        judgements=[
            lower_limit("thinnest", "thinnest lining", "limit", "the lining limit", thinnest, limit, tool_uncertainty),
            *_judge_sizes(tapers | across, difference, taper_limit, difference_limit, tool_uncertainty),
        ],
        notes=_notes(pattern, caliper, limit, [*inner, *outer], tapers, across),
        held_against={"margin": (NOTHING,), "thinnest_at_next": (limit,)},
        figure=lambda printer: _draw(printer, inner, outer, limit, new),
    )
    if not isinstance(at_next, Missing) and at_most(at_next, limit):
        gone = "worn through" if at_most(at_next, NOTHING) else "{thinnest_at_next}"
        answer.afterthought = f"They will not last to the next check: {gone} by then."
    return answer


def _mean(readings: list[Quantity]) -> Quantity:
    return Quantity(math.fsum(reading.to("mm").magnitude for reading in readings) / len(readings), "mm")


def _taper(readings: list[Quantity]) -> Quantity | None:
    """Leading end less trailing end; of four readings along the edge where they differ more."""
    if len(readings) < 4:
        return readings[0] - readings[-1] if len(readings) > 1 else None
    leading_outer, leading_inner, trailing_outer, trailing_inner = readings
    return _greater(leading_outer - trailing_outer, leading_inner - trailing_inner)


def _taper_across(readings: list[Quantity]) -> Quantity | None:
    """Outer edge less inner edge, at the end where they differ more; None without four readings."""
    if len(readings) < 4:
        return None
    leading_outer, leading_inner, trailing_outer, trailing_inner = readings
    return _greater(leading_outer - leading_inner, trailing_outer - trailing_inner)


def _greater(one: Quantity, other: Quantity) -> Quantity:
    return other if above(abs(other), abs(one)) else one


def _pattern(
    tapers: dict[str, Any], across: dict[str, Any], difference: Quantity, taper_limit: Quantity | None, difference_limit: Quantity | None
) -> list[str]:
    """How the pads wore, by the limits given or by the usual figures."""
    most_taper = USUAL_TAPER if taper_limit is None else taper_limit
    most_difference = USUAL_DIFFERENCE if difference_limit is None else difference_limit
    found = [TAPERED] if any(taper is not None and above(abs(taper), most_taper) for taper in tapers.values()) else []
    found += [ACROSS] if any(taper is not None and above(abs(taper), most_taper) for taper in across.values()) else []
    if above(abs(difference), most_difference):
        found.append(INNER_MORE if difference < NOTHING else OUTER_MORE)
    return found or [EVEN]


def _judge_sizes(
    tapers: dict[str, Any], difference: Quantity, taper_limit: Quantity | None, difference_limit: Quantity | None, u: Quantity
) -> list[Judgement]:
    of_two = math.sqrt(2) * u
    found = []
    for name, taper in tapers.items():
        if taper is not None and taper_limit is not None:
            found.append(size_limit(name, name.replace("_", " "), "taper_limit", "the taper limit", taper, taper_limit, of_two))
    if difference_limit is not None:
        found.append(
            size_limit(
                "inner_outer_difference", "inner against outer", "difference_limit", "their limit", difference, difference_limit, of_two
            )
        )
    return found


def _notes(
    pattern: list[str], caliper: str | None, limit: Quantity, readings: list[Quantity], tapers: dict[str, Any], across: dict[str, Any]
) -> list[str]:
    notes = [CAUSES[word] for word in pattern if word in CAUSES]
    if caliper == "fixed" and pattern != [EVEN]:
        notes.append("Fixed caliper: a stuck piston may be on the side of the thick pad.")
    if any(taper is None for taper in tapers.values()):
        notes.append("One reading of a pad tells no taper: measure both ends.")
    elif any(taper is None for taper in across.values()):
        notes.append(
            "Two readings of a pad tell the taper along it, not across it: measure both edges at both ends where it looks worn askew."
        )
    if any(at_most(reading, NOTHING) for reading in readings):
        notes.append("No lining is left: look at the rotor face for damage by the plate.")
    if above(BONDED_FLOOR, limit):
        notes.append(
            "The limit is under 1/16 in (1.6 mm), the least of 49 CFR 570.59(c) for bonded lining of vehicles over 10,000 lb; 1/32 in (0.8 mm) counts over a rivet head."
        )
    return notes


def _draw(printer: Printer, inner: list[Quantity], outer: list[Quantity], limit: Quantity, new: Quantity | None) -> str:
    """Both pads side by side: plates outside, linings towards the rotor, leading end on top, the limit dashed.

    Of four readings each end is drawn at its thinner edge, and both its figures stand beside it.
    """
    top, bottom, deepest, middle = 58.0, 218.0, 50.0, WIDTH / 2
    thickest = max(*inner, *outer, 1.2 * limit, *([] if new is None else [new]))
    dashed = f"limit {printer.short('thinnest', limit)}"
    said = "; ".join(
        f"{word} {', '.join(printer.short('thinnest', reading) for reading in readings)}"
        for word, readings in (("inner", inner), ("outer", outer))
    )
    lines = ["Leading end on top", *(["Figures: outer edge over inner edge"] if 4 in (len(inner), len(outer)) else []), f"Dashed: {dashed}"]
    drawing = Figure(
        WIDTH,
        bottom + (1.2 + len(lines)) * LINE,
        "Inner and outer pad",
        f"Lining from the leading end to the trailing end: {said}; {dashed}.",
    )
    drawing.shape([(middle - 8, top - 22), (middle + 8, top - 22), (middle + 8, bottom + 16), (middle - 8, bottom + 16)], GRAY, THIN)
    drawing.text((middle, 24), "rotor")
    for readings, plate, way, word in ((inner, middle - 70, 1, "Inner"), (outer, middle + 70, -1, "Outer")):
        ends = [readings[:2], readings[2:]] if len(readings) == 4 else [[reading] for reading in readings]
        heights = _heights(len(ends), top, bottom)
        depths = [plate + way * deepest * _share(min(end), thickest) for end in ends]
        edge = [(depths[0], top), *zip(depths, heights), (depths[-1], bottom)]
        drawing.shape([(plate, top), *edge, (plate, bottom)], TINT)
        drawing.shape([(plate, top - 8), (plate - way * 12, top - 8), (plate - way * 12, bottom + 8), (plate, bottom + 8)], PAPER)
        at_limit = plate + way * deepest * _share(limit, thickest)
        drawing.line([(at_limit, top - 12), (at_limit, bottom + 12)], THICK, dashed=True)
        drawing.text((plate - way * 2, 24), word, strong=True)
        for height, end in zip(heights, ends, strict=True):
            drawing.line([(plate - way * 12, height), (plate - way * 18, height)], THIN)
            for line, reading in enumerate(end):
                at = height + SIZE / 3 + (line if height < (top + bottom) / 2 else line - len(end) + 1) * LINE
                drawing.text((plate - way * 21, at), printer.short("thinnest", reading), "end" if way > 0 else "start")
    for line, words in enumerate(lines):
        drawing.text((middle, bottom + (1.8 + line) * LINE), words)
    return drawing.svg()


def _share(length: Quantity, of: Quantity) -> float:
    return (length / of).to("dimensionless").magnitude


def _heights(count: int, top: float, bottom: float) -> list[float]:
    """Where the readings stand along a pad: from end to end, one alone in the middle."""
    if count == 1:
        return [(top + bottom) / 2]
    return [top + 6 + (bottom - top - 12) * k / (count - 1) for k in range(count)]
