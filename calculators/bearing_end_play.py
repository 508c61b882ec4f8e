"""End play of a wheel bearing against its window, and which lock of an adjustable nut lands in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import FILLED_IN, HalfLastDigit, Input
from calculators.contract.judge import (
    ADJUST,
    BEYOND,
    CANNOT_TELL,
    TOO_CLOSE,
    WITHIN,
    Judgement,
    above,
    at_most,
    compare,
    lower_limit,
    upper_limit,
)
from calculators.contract.result import DIFFERENCE, PLAIN, TRIMMED, Answer, Missing, Value
from calculators.contract.sources import ASME_B1_1, COMMON_PRACTICE, GEOMETRY, RP_618A, TM_9_2320_289_20
from calculators.contract.units import Quantity
from calculators.shared.lock_ladder import draw
from calculators.shared.locks import FULL_TURN, Locks, gaps, is_even, lock_angles

NOTHING = Quantity(0, "mm")
TURN = ("loosen by {}", "nothing to turn", "tighten by {}")
TURNED = ("positions_to_turn", "turn_angle", "resulting_end_play", "reachable", "looser_end_play", "tighter_end_play")
WHAT_IT_TAKES = "Where the nut is adjustable, thread pitch and nut slots tell what to do: enter both."
WHAT_TO_TRY = "try another nut lock, the lock seated the other way round, or another nut"
AFTER_LOCKING = (
    "Measure again after locking. A jam nut changes the play: the reading that counts is the one after it is torqued.",
    "By feel, without an indicator, only loosen to a lock; never tighten to one.",
)


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Least below most play; a reading that fits its target."""
    must_be_less(entries, "target_min", "the least end play", "target_max", "the most end play", or_equal=True)
    measured, most = entries["measured"].quantity, entries["target_max"].quantity
    if above(most, NOTHING) and above(measured, 10 * most):
        return ask_or_note(entries, ["measured", "target_max"], "the end play is more than 10 times the most end play")
    return []


@calculator(
    title="Bearing end play",
    purpose="Judge the end play read with a dial indicator, and find the lock position of an adjustable nut that lands in the window.",
    source=[RP_618A, TM_9_2320_289_20.at("p. 8-4"), ASME_B1_1, GEOMETRY, COMMON_PRACTICE],
    values=[
        Value("positions_per_turn", "", "Lock positions in one turn", PLAIN),
        Value("lock_angles", "°", "Lock angles in one turn, tightening from where the nut stands", TRIMMED, is_list=True),
        Value("travel_per_position", "mm", "Travel from one lock to the next"),
        Value("positions_to_turn", "", "Lock positions to turn", PLAIN, signed=TURN),
        Value("turn_angle", "°", "Angle to turn", TRIMMED, signed=TURN),
        Value("resulting_end_play", "mm", "End play that leaves", DIFFERENCE),
        Value("reachable", "mm", "End plays in the window that a lock can reach, loosest first", DIFFERENCE, is_list=True),
        Value("looser_end_play", "mm", "End play at the next looser lock", DIFFERENCE),
        Value("tighter_end_play", "mm", "End play at the next tighter lock (below 0: preload)", DIFFERENCE),
    ],
    formula=[
        "not more than the tool can tell (measured ≤ U), or a preloaded design: cannot tell",
        "in the window: measured − U > least, and measured + U ≤ most; nothing to turn then",
        "M = least common multiple of nut slots and retainer fits",
        "lock positions in one turn = M × the number of different (hole angle mod 360°/M)",
        "end play after turning = measured − pitch × angle / 360°; tightening is above 0",
        "chosen: the lock in the window whose end play, less U, is above 0 and which is nearest the middle of the window; the looser of two",
    ],
    limits_of_model=[
        "Measure with a dial indicator at zero preload; no back-off angle and no torque tells the end play.",
        "The arithmetic only chooses the lock; the reading after locking decides.",
        "The pin goes through both mouths of its hole.",
        "With two holes the angle from the first to the second is counted in the direction of tightening.",
        "Set and check cold: a warm hub changes the play by about 0.03 mm (0.001 in), either way.",
    ],
    cautions=["bearing-preload", "hand-tool-on-bearings"],
    example=Example(
        given={
            "measured": "0.0130", "target_min": "0.001", "target_max": "0.005", "tool_uncertainty": "0.0005",
            "thread_pitch": "3/4-16", "nut_slots": "6",
        },
        printed={
            "positions_per_turn": "6", "travel_per_position": "0.0104 in (0.265 mm)", "positions_to_turn": "tighten by 1",
            "turn_angle": "tighten by 60°", "resulting_end_play": "0.00258 in (0.0656 mm)", "verdict": "adjust",
        },
        where="window from RP 618A; 3/4-16 and six slots: 1/16 in × 60/360 = 0.010417 in, exact; the reading is invented",
        system="inch",
    ),
    cross_check=cross_check,
)  # fmt: skip
def bearing_end_play(
    measured: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "Travel of the dial indicator, always; never from a torque or a back-off angle.",
            "end play",
            "End play measured",
            sets_decimals=True,
        ),
    ],
    target_max: Annotated[
        Quantity, Input(["mm", "in"], "The most end play, from the maker.", "end play, most", "Most end play", negative=True)
    ],
    target_min: Annotated[
        Quantity | None,
        Input(
            ["mm", "in"],
            "The least end play, from the maker.",
            "end play, least",
            "Least end play",
            negative=True,
            without="only the most is judged, and a lock may leave any play above 0",
        ),
    ] = None,
    tool_uncertainty: Annotated[
        Quantity,
        Input(["mm", "in"], "Expanded (k = 2); blank for half of the last digit.", "tool uncertainty", default=HalfLastDigit("measured")),
    ] = FILLED_IN,
    thread_pitch: Annotated[
        Quantity | None,
        Input(["mm", "TPI"], "Of the spindle thread; 3/4-16 will do. Only for an adjustable nut.", "thread pitch", also=["in"]),
    ] = None,
    nut_slots: Annotated[int | None, Input(help="Slots of the nut or its retainer in one turn.", band="nut slots")] = None,
    pin_holes: Annotated[
        int | None,
        Input(
            help="Holes through the spindle; one straight hole counts as one.", band="pin holes", default="1", only_if=("nut_slots", None)
        ),
    ] = None,
    hole_angle: Annotated[
        Quantity | None,
        Input(
            ["°", "°"],
            "From the first hole to the second, where there are two.",
            "hole angle",
            "Angle between the holes",
            default="90",
            only_if=("pin_holes", 2),
            without="90° is used",
        ),
    ] = None,
    retainer_fits: Annotated[
        int | None,
        Input(help="Ways in which a stamped retainer seats on the nut.", band="retainer fits", default="1", only_if=("nut_slots", None)),
    ] = None,
    offset_to_next_lock: Annotated[
        Quantity | None,
        Input(
            ["°", "°"],
            "Degrees still to tighten from where the nut stands to the next lock; 0 where it stands at one.",
            "angle to the next lock",
            default="0",
            only_if=("nut_slots", None),
            without="the nut is taken to stand at a lock position",
        ),
    ] = None,
) -> Answer:
    """The formulas of `bearing-end-play`; lengths in any unit of length. Raises Contradiction."""
    u, least, known_least = tool_uncertainty, NOTHING if target_min is None else target_min, target_min is not None
    locks = _locks(nut_slots, pin_holes, hole_angle, retainer_fits, offset_to_next_lock)
    answer = Answer(
        values=_geometry(locks, thread_pitch, nut_slots) | dict.fromkeys(TURNED, Missing("needs the thread pitch and the nut slots"))
    )
    answer.notes = _notes(locks, nut_slots, pin_holes, hole_angle)

    doubts = _doubts(measured, u, target_max, least, adjustable=nut_slots is not None or thread_pitch is not None)
    if doubts:
        answer.judgements = doubts
        answer.values |= dict.fromkeys(TURNED, Missing("cannot be told before the bearing has play that can be read"))
        return answer
    over = upper_limit("measured", "end play", "target_max", "the most end play", measured, target_max, u)
    under = [lower_limit("measured", "end play", "target_min", "the least end play", measured, least, u)] if known_least else []
    answer.judgements = [*under, over]
    in_window = all(judgement.code == WITHIN for judgement in answer.judgements)
    if nut_slots is None and thread_pitch is None:
        answer.afterthought = "" if in_window else WHAT_IT_TAKES
        return answer
    if locks is None or thread_pitch is None:
        answer.afterthought = "The lock positions need the thread pitch and the nut slots, both."
        return answer
    if not locks.angles:
        answer.values |= dict.fromkeys(TURNED, Missing("this nut has no lock position"))
        if not in_window:
            text = "an odd count of slots has no two opposite ones, so a pin through both mouths of the hole passes nowhere: count the slots again"
            answer.judgements = [Judgement(CANNOT_TELL, text), *_named(answer.judgements)]
        return answer
    window = Window(locks, measured, thread_pitch, least, target_max, u)
    answer.values |= window.values(stay=in_window)
    answer.held_against = dict.fromkeys(TURNED[2:], ("target_max", "target_min") if known_least else ("target_max",))
    answer.figure = lambda printer: draw(printer, window, in_window, known_least)
    _say_where_to_turn(answer, window, in_window, known_least)
    return answer


class Window:
    """The locks of a nut held against the window of end play; lengths inside in mm."""

    def __init__(self, locks: Locks, measured: Quantity, pitch: Quantity, least: Quantity, most: Quantity, u: Quantity):
        self.locks = locks
        self.measured, self.pitch, self.least, self.most, self.u = (q.to("mm").magnitude for q in (measured, pitch, least, most, u))
        self.first = locks.first_from((self.measured - self.most) * FULL_TURN / self.pitch)
        self.reachable = self._reachable()
        self.chosen = self._nearest_middle()

    def end_play(self, number: int) -> float:
        """The end play at a lock, in mm."""
        return self.measured - self.pitch * self.locks.angle(number) / FULL_TURN

    def _reachable(self) -> list[int]:
        """The locks in the window, loosest first; none that may be preload."""
        found, number = [], self.first
        while compare(self.end_play(number), self.least) >= 0 and compare(self.end_play(number), self.u) > 0:
            found.append(number)
            number += 1
        return found

    def _nearest_middle(self) -> int | None:
        middle, best = (self.least + self.most) / 2, None
        for number in self.reachable:
            off = abs(self.end_play(number) - middle)
            if best is None or compare(off, abs(self.end_play(best) - middle)) < 0:
                best = number
        return best

    def values(self, stay: bool) -> dict[str, Any]:
        """The values that say where to turn; `stay`: the nut is right as it stands."""
        shown: dict[str, Any] = {"reachable": [Quantity(self.end_play(number), "mm") for number in self.reachable]}
        if stay:
            at_or_next = self.locks.first_from(0.0)
            tighter = at_or_next if self.locks.standing is None else at_or_next + 1
            shown |= {"positions_to_turn": 0, "turn_angle": Quantity(0.0, "degree"), "resulting_end_play": Quantity(self.measured, "mm")}
            return shown | self._neighbors(at_or_next - 1, tighter)
        if self.chosen is None:
            nowhere = Missing("no lock position lands in the window")
            shown |= dict.fromkeys(("positions_to_turn", "turn_angle", "resulting_end_play"), nowhere)
            return shown | self._neighbors(self.first - 1, self.first)
        shown["positions_to_turn"] = self.locks.positions(self.chosen)
        shown["turn_angle"] = Quantity(self.locks.angle(self.chosen), "degree")
        shown["resulting_end_play"] = Quantity(self.end_play(self.chosen), "mm")
        return shown | self._neighbors(self.chosen - 1, self.chosen + 1)

    def _neighbors(self, looser: int, tighter: int) -> dict[str, Any]:
        return {"looser_end_play": Quantity(self.end_play(looser), "mm"), "tighter_end_play": Quantity(self.end_play(tighter), "mm")}


def _locks(slots: int | None, holes: int | None, hole_angle: Quantity | None, fits: int | None, offset: Quantity | None) -> Locks | None:
    """The locks of the nut; None where its slots are not known. Raises Contradiction."""
    if slots is None or holes is None or fits is None or offset is None:  # the others have defaults beside the slots
        return None
    angles = lock_angles(slots, holes, 90.0 if hole_angle is None else hole_angle.to("degree").magnitude, fits)
    away = offset.to("degree").magnitude
    if angles and compare(away, max(gaps(angles))) > 0:
        raise Contradiction(
            f"{away:.6g}° is further than the next lock can be on this nut; expected 0 to {max(gaps(angles)):.4g}°, for example {min(gaps(angles)) / 2:.3g}°",
            input="offset_to_next_lock", typed=f"{away:.6g}°",
        )  # fmt: skip
    return Locks(angles, away)


def _geometry(locks: Locks | None, pitch: Quantity | None, slots: int | None) -> dict[str, Any]:
    if locks is None:
        return dict.fromkeys(("positions_per_turn", "lock_angles", "travel_per_position"), Missing("needs the nut slots"))
    count = len(locks.angles)
    travel: Any = Missing("needs the thread pitch")
    if not count or not is_even(locks.angles):
        travel = Missing("the locks are unevenly spaced" if count else "this nut has no lock position")
    elif pitch is not None:
        travel = (pitch / count).to("mm")
    turned = [Quantity(angle + locks.offset, "degree") for angle in locks.angles]
    return {"positions_per_turn": count, "lock_angles": turned, "travel_per_position": travel}


def _doubts(measured: Quantity, u: Quantity, most: Quantity, least: Quantity, adjustable: bool) -> list[Judgement]:
    """Why the reading cannot be judged at all."""
    found = []
    if at_most(measured, u):
        again = "loosen the nut by one lock position and measure again" if adjustable else "measure again with a finer indicator"
        found.append(
            Judgement(
                CANNOT_TELL,
                f"end play {{measured}} is not more than the tool can tell (± {{tool_uncertainty}}), so it may be preload: {again}",
            )
        )
    if above(NOTHING, least) or at_most(most, NOTHING):
        found.append(
            Judgement(
                CANNOT_TELL, "a target that is not above 0 is a preloaded design: it is set by the maker's own sequence, not by end play"
            )
        )
    return found


def _notes(locks: Locks | None, slots: int | None, holes: int | None, hole_angle: Quantity | None) -> list[str]:
    if locks is None or slots is None:
        return []
    notes = []
    if hole_angle is not None and holes == 1:
        notes.append("The angle between the holes is not used: there is one hole.")
    if locks.angles and not is_even(locks.angles):
        steps = " and ".join(f"{gap:.4g}°" for gap in gaps(locks.angles)[:2])
        notes.append(
            f"The locks are unevenly spaced, {steps} in turn, counted from a lock at the first hole: see which hole the pin is in."
        )
    if locks.angles and slots % 2:
        notes.append("An odd count of slots has no two opposite ones: see that the pin passes both mouths of the hole.")
    return [*notes, *AFTER_LOCKING]


def _named(judgements: list[Judgement]) -> list[Judgement]:
    """What the reading says by itself, said without deciding."""
    return [Judgement(WITHIN, j.text.partition(" for this tool")[0], j.held_against) for j in judgements]


def _say_where_to_turn(answer: Answer, window: Window, in_window: bool, known_least: bool) -> None:
    """The verdict of the lock positions."""
    if in_window:
        answer.afterthought = "Nothing to turn."
        if window.locks.standing is None:
            answer.afterthought = (
                "But the nut stands between two locks, which leave {looser_end_play} and {tighter_end_play}: a lock must still be found."
            )
        return
    if window.chosen is not None and window.chosen == window.locks.standing:
        return  # too close to a limit, and no lock is better: what the reading says by itself stands
    edges = "{target_min} to {target_max}" if known_least else "0 to {target_max}"
    held: Mapping[str, tuple[str, ...]] = {"measured": ("target_max", "target_min") if known_least else ("target_max",)}
    # Worst first: a play over its limit is so in spite of the other limit's doubt.
    doubted = all(j.code in (TOO_CLOSE, WITHIN) for j in answer.judgements)
    where = "is not surely in" if doubted else "is not in"
    reading = f"end play {{measured}} {where} the window {edges}"
    if window.chosen is None:
        text = (
            f"{reading}, and no lock position lands in it: the neighbours leave {{looser_end_play}} and {{tighter_end_play}}; {WHAT_TO_TRY}"
        )
        if doubted:
            text = f"{text}; or measure again with a finer tool, and treat it as beyond until then"
        answer.judgements = [Judgement(TOO_CLOSE if doubted else BEYOND, text, held)]
    else:
        count = abs(window.locks.positions(window.chosen))
        turn = f"{{turn_angle}}, {count} lock position{'s' if count != 1 else ''}"
        text = f"{reading}: {turn}, which leaves {{resulting_end_play}} by reckoning; then measure again"
        answer.judgements = [Judgement(ADJUST, text, held)]
