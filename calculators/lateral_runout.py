"""Lateral runout of a rotor, its once-per-turn part, and the best place of the rotor on its studs."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, out_of_line, spread
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction, MissingInput
from calculators.contract.figure import GRAY, INK, LINE, PAPER, QUIET, SIZE, THICK, THIN, TINT, WIDTH, Figure, Point, entered
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import ADJUST, BEYOND, WITHIN, Judgement, above, upper_limit
from calculators.contract.printing import entry_text
from calculators.contract.result import DIFFERENCE, PLAIN, Answer, Missing, Printer, Value
from calculators.contract.sources import COMMON_PRACTICE, FOURIER, ISO_14253_1, TM_9_2320_289_34
from calculators.contract.units import Quantity
from calculators.shared.harmonics import Turn, indexed, peak_to_peak, shortest_move

FEWEST, ENOUGH, MOST = 5, 8, 72
INDEXED = ("index_runouts", "best_index", "best_index_runout")
FAR_APART = Quantity(0.2, "mm")  # less than that one odd reading may well be
LARGE_SHARE = 0.25  # of the limit: a remainder of the hub that large is dirt, rust or a bruise


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Enough readings; hub readings at the same places, with what it takes to use them."""
    readings, hub = entries["readings"], entries.get("hub_readings")
    if not FEWEST <= len(readings) <= MOST:
        raise Contradiction(
            f"{len(readings)} readings; expected {ENOUGH} to {MOST} at equal steps round one turn ({FEWEST} at the very least)",
            input="readings", typed="; ".join(reading.typed for reading in readings),
        )  # fmt: skip
    notes = []
    for name in ("readings", "hub_readings"):
        listed = entries.get(name) or []
        if listed and spread(listed) > FAR_APART and (odd := out_of_line(listed)):
            notes += ask_or_note(
                entries, [name], f"one reading, {entry_text(odd)}, stands alone: a slip, or dirt under the tip; read it again"
            )
    if hub is None:
        return notes
    if len(hub) != len(readings):
        raise Contradiction(
            f"{len(hub)} hub readings for {len(readings)} of the rotor; expected the same places, from the same start mark",
            input="hub_readings", typed="; ".join(reading.typed for reading in hub),
        )  # fmt: skip
    for name, example in (("studs", "5"), ("radius_ratio", "1.6")):
        if name not in entries:
            raise MissingInput(f"missing; hub readings need it, for example {example}", input=name)
    return notes


@calculator(
    title="Lateral runout",
    purpose="Judge a rotor's runout on the vehicle, find its high spot, and with hub readings the wheel studs or bolt holes on which the rotor runs truest.",
    source=[TM_9_2320_289_34.at("p. 7-3"), FOURIER, ISO_14253_1, COMMON_PRACTICE],
    values=[
        Value("total_runout", "mm", digits=DIFFERENCE),
        Value("once_per_turn", "mm", "Once-per-turn part (a tilt)", DIFFERENCE),
        Value("high_spot_angle", "°", "High spot of the tilt, from the first reading in the order of the readings"),
        Value("remainder", "mm", "What is left without the tilt", DIFFERENCE),
        Value("index_runouts", "mm", "Runout with the rotor moved by 0, 1, 2 … wheel studs or bolt holes", DIFFERENCE, is_list=True),
        Value("best_index", "", "Wheel studs or bolt holes to move the rotor, in the order of the readings", PLAIN),
        Value("best_index_runout", "mm", "Runout there, by reckoning", DIFFERENCE),
    ],
    formula=[
        "total runout = greatest reading − least reading; its uncertainty is √2·U",
        "within: runout + √2·U ≤ limit; beyond: runout − √2·U > limit; else too close to tell",
        "A = (2/n)·Σ rᵢ·cos θᵢ, B = (2/n)·Σ rᵢ·sin θᵢ, θᵢ = 360°·i/n",
        "once per turn = 2·√(A² + B²); high spot at the angle of (A, B)",
        "remainder = peak to peak of reading − mean − A·cos θ − B·sin θ",
        "hub′ = hub + (radius ratio − 1) × the once-per-turn part of the hub; rotor = reading − hub′",
        "moved by k wheel studs or bolt holes: y(θ) = hub′(θ) + rotor(θ − k·360°/studs), peak to peak on a 1° grid, between readings by trigonometric interpolation",
        "best: the least runout; of equals the shortest move",
        "over the limit: adjust where the best index is within, else beyond",
    ],
    limits_of_model=[
        "Readings at equal steps round one turn, bearings without play, rotor held flat by all its wheel nuts or bolts, indicator 1 in (25 mm) from the edge.",
        "Hub readings on a clean bare hub, from the same start mark and the same wheel stud or bolt hole.",
        "Only the hub's tilt grows with the radius; the rest of the hub's readings is taken as it is.",
        "The indexed runouts are a reckoning from both sets of readings: between the readings the curve may pass above them, and the rotor is measured again.",
        "A rotor that hangs on screws or a hub rotor cannot be indexed.",
    ],
    cautions=["vehicle-falls", "hot-parts"],
    example=Example(
        given={
            "readings": "0.0200; 0.0247; 0.0150; -0.0035; -0.0200; -0.0247; -0.0150; 0.0035 mm", "limit": "0.025", "tool_uncertainty": "0.002",
            "studs": "4", "hub_readings": "0.0200; 0.0141; 0.0000; -0.0141; -0.0200; -0.0141; 0.0000; 0.0141 mm", "radius_ratio": "1",
        },
        printed={"total_runout": "0.04940 mm (0.0019449 in)", "high_spot_angle": "36.9°", "best_index": "1", "verdict": "adjust"},
        where="vector sums: tilts of 40 µm at 0° (hub) and 30 µm at 90° (rotor) make 50 µm at 36.87°; moved on by one of four studs they oppose and leave 10 µm",
    ),
    cross_check=cross_check,
)  # fmt: skip
def lateral_runout(
    readings: Annotated[
        list[Quantity],
        Input(
            ["mm", "in"],
            "Dial readings at equal steps round one turn, eight or more, with their sign.",
            "runout readings",
            negative=True,
            sets_decimals=True,
        ),
    ],
    limit: Annotated[Quantity, Input(["mm", "in"], "The most runout on the vehicle, from the maker.", "runout limit", "Runout limit")],
    tool_uncertainty: Annotated[
        Quantity,
        Input(["mm", "in"], "Expanded (k = 2); blank for half of the last digit.", "tool uncertainty", default=HalfLastDigit("readings")),
    ] = FILLED_IN,
    studs: Annotated[
        int | None, Input(help="Wheel studs or bolt holes of the hub.", label="Wheel studs or bolt holes", band="studs")
    ] = None,
    hub_readings: Annotated[
        list[Quantity] | None,
        Input(
            ["mm", "in"],
            "Dial readings of the bare hub face at the same places, from the same start mark.",
            "runout readings",
            negative=True,
        ),
    ] = None,
    radius_ratio: Annotated[
        Quantity | None,
        Input(help="Radius of the indicator on the rotor ÷ its radius on the hub face, 1 or more.", band="radius ratio", kind="ratio"),
    ] = None,
) -> Answer:
    """The formulas of `lateral-runout`; lengths in any unit of length."""
    turn = Turn([reading.to("mm").magnitude for reading in readings])
    hub = None if hub_readings is None else Turn([reading.to("mm").magnitude for reading in hub_readings])
    of_two = math.sqrt(2) * tool_uncertainty
    total = max(readings) - min(readings)
    judged = upper_limit("total_runout", "runout", "limit", "the limit", total, limit, of_two)
    answer = Answer(
        values={
            "total_runout": total,
            "once_per_turn": Quantity(2 * turn.amplitude, "mm"),
            "high_spot_angle": Missing("no once-per-turn part, so no high spot") if turn.angle is None else Quantity(turn.angle, "degree"),
            "remainder": Quantity(turn.remainder, "mm"),
        },
        judgements=[judged],
        notes=_notes(turn, hub, limit),
    )
    if hub is None or studs is None or radius_ratio is None:
        answer.values |= dict.fromkeys(
            INDEXED, Missing("needs hub readings, the number of wheel studs or bolt holes, and the radius ratio")
        )
        answer.figure = lambda printer: _draw(printer, turn, limit)
        return answer
    ratio = radius_ratio.to("dimensionless").magnitude
    curves, best = indexed(turn, hub, ratio, studs)
    runouts = [Quantity(peak_to_peak(curve), "mm") for curve in curves]
    at_best = runouts[best]
    answer.values |= {"index_runouts": runouts, "best_index": best, "best_index_runout": at_best}
    answer.held_against = {"best_index_runout": ("limit",), "index_runouts": ("limit",)}
    answer.figure = lambda printer: _draw(printer, turn, limit, curves[best], best)
    if judged.code == BEYOND and best:
        _say_where_to_move(answer, judged, best, studs, upper_limit("best_index_runout", "", "limit", "", at_best, limit, of_two).code)
    elif best == 0:
        answer.notes.append("No other index is better than the one it stands on.")
    else:
        answer.notes.append(f"By reckoning it would run truest {_move(best, studs)}: {{best_index_runout}}.")
    return answer


def _say_where_to_move(answer: Answer, judged: Judgement, best: int, studs: int, code_there: str) -> None:
    """Over the limit: whether the best index would do."""
    where = _move(best, studs)
    if code_there == WITHIN:
        text = f"runout {{total_runout}} is over the limit {{limit}}: move the rotor {where}, which leaves {{best_index_runout}} by reckoning; then measure again"
        answer.judgements = [Judgement(ADJUST, text, judged.held_against)]
    else:
        answer.afterthought = f"No index is surely within: the best, {where}, leaves {{best_index_runout}}."


def _move(index: int, studs: int) -> str:
    """A move in shop terms. Readings count against the way the wheel is turned under the indicator."""
    steps, onward = shortest_move(index, studs)
    way = "against the way the wheel was turned for the readings" if onward else "the way the wheel was turned for the readings"
    return f"by {_places(steps)}, {way}"


def _places(count: int) -> str:
    """Where a rotor can stand on its hub, true for a hub with studs and for one with threads for wheel bolts."""
    return f"{count} {'wheel stud or bolt hole' if count == 1 else 'wheel studs or bolt holes'}"


def _notes(turn: Turn, hub: Turn | None, limit: Quantity) -> list[str]:
    notes = []
    if len(turn.readings) < ENOUGH:
        notes.append(f"Fewer than {ENOUGH} readings: a rotor with lobes may look like a tilted one.")
    if above(Quantity(turn.remainder, "mm"), limit):
        notes.append("What is left without the tilt is over the limit by itself: no index takes it away.")
    if hub is not None and above(Quantity(hub.remainder, "mm"), LARGE_SHARE * limit):
        notes.append("The hub face is uneven beside its tilt: clean it to bare metal and measure both again before the rotor is moved.")
    if hub is not None:
        notes.append(
            "Readings count against the way the wheel is turned: mark the rotor and its wheel stud or bolt hole before it comes off."
        )
    return notes


def _draw(printer: Printer, turn: Turn, limit: Quantity, moved: list[float] | None = None, best: int = 0) -> str:
    """The readings round the rotor, the high spot, and the best index dashed; deviations are drawn far larger than they are."""
    center, base, swing = (WIDTH / 2, 166.0), 98.0, 36.0
    middle = (max(turn.readings) + min(turn.readings)) / 2
    half_limit = limit.to("mm").magnitude / 2
    curves = [turn.grid(), *([moved] if moved else [])]
    most = max(half_limit, *(abs(y - middle) for y in curves[0]), *(abs(y - _middle(curves[-1])) for y in curves[-1]))
    scale = swing / most

    def at(angle: float, radius: float) -> Point:
        turned = math.radians(angle)
        return center[0] + radius * math.sin(turned), center[1] - radius * math.cos(turned)

    def curve(values: list[float]) -> list[Point]:
        return [at(angle, base + scale * (y - _middle(values))) for angle, y in enumerate([*values, values[0]])]

    key = [
        f"Line: runout {printer.short('total_runout', printer.answer.values['total_runout'])}",
        f"Grey ring: limit {entered(printer, 'limit')}",
    ]
    key += [] if turn.angle is None else ["Knob: high spot of the tilt"]
    key += ["Dashed: with the rotor moved on by", _places(best)] if moved and best else []
    high = "" if turn.angle is None else f" High spot of the tilt at {printer.value('high_spot_angle').text} from the first."
    drawing = Figure(
        WIDTH,
        326 + LINE * len(key) + 8,
        "Runout round the rotor",
        f"Readings round one turn, the first on top, in order clockwise. {'; '.join(key[:2])}.{high}",
    )
    drawing.circle(center, base + scale * half_limit, GRAY, 0.8, QUIET)
    drawing.circle(center, base - scale * half_limit, PAPER, 0.8, QUIET)
    if moved and best:
        drawing.line(curve(moved), THIN * 1.5, INK, dashed=True)
    drawing.line(curve(curves[0]), THICK)
    count = len(turn.readings)
    for k, reading in enumerate(turn.readings):
        drawing.circle(at(360 * k / count, base + scale * (reading - middle)), 4, INK, 0.5)
        if count <= 24 or k == 0:
            x, y = at(360 * k / count, base + swing + 17)
            drawing.text((x, y + SIZE / 3), str(k + 1), strong=k == 0)
    if turn.angle is not None:
        drawing.line([at(turn.angle, 0), at(turn.angle, base - swing - 6)], THICK)
        drawing.circle(at(turn.angle, base - swing - 6), 6, TINT, THICK)
    drawing.circle(center, 4, INK, 0.5)
    for k, words in enumerate(key, 1):
        drawing.text((center[0], 326 + LINE * k), words)
    return drawing.svg()


def _middle(values: list[float]) -> float:
    return (max(values) + min(values)) / 2
