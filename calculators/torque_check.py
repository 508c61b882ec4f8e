"""Whether a fastener got its torque, as far as the wrench that tightened it can tell."""

from __future__ import annotations

from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.judge import BEYOND, CANNOT_TELL, TOO_CLOSE, WITHIN, Judgement, above, at_most, compare, lower_limit, upper_limit
from calculators.contract.result import DIFFERENCE, SHARE, Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, ISO_6789_1, ISO_14253_1, NIST_SP_811
from calculators.contract.units import Quantity

TEN = Quantity(10, "N*m")
ABOVE_TEN, UP_TO_TEN = 0.04, 0.06  # ISO 6789-1, type II class A, of the reading
READ_AS = 4  # the scale is read to a quarter of the tolerance: as near as that, a reading is the figure
UNIT_FACTORS = {"N·m and lbf·ft": 1.3558179483, "lbf·ft and lbf·in": 12.0, "N·m and lbf·in": 8.850745767}


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A window with its ends in order; torques as far apart as two units are, or three times, ask for their units."""
    must_be_less(entries, "target", "the least torque", "target_max", "the most")
    target, actual = entries["target"].quantity, entries["actual"].quantity
    units = _as_units_differ(actual, target)
    if units:
        return ask_or_note(entries, ["actual", "target"], f"the torques differ as {units} do; one may have been read in the other unit")
    if above(actual, 3 * target) or above(target, 3 * actual):
        return ask_or_note(entries, ["actual", "target"], "the torques differ more than three times")
    return []


@calculator(
    title="Torque against its target",
    purpose="Judge the torque that a fastener got against the maker's figure or window, by what the wrench may err.",
    source=[ISO_6789_1.at("type II, class A"), ISO_14253_1, NIST_SP_811.at("B.8"), COMMON_PRACTICE],
    values=[
        Value("difference", "N·m", "Actual less target", DIFFERENCE, signed=("{} low", "{}", "{} high")),
        Value("deviation", "", "Difference as a share of the target", SHARE, signed=("{} low", "{}", "{} high")),
        Value("uncertainty", "N·m", "The wrench may err by", DIFFERENCE, before="± "),
        Value("least", "N·m", "Least that the fastener may have got", DIFFERENCE),
        Value("most", "N·m", "Most that it may have got", DIFFERENCE),
    ],
    formula=[
        "U = tool tolerance × actual; without an entry 4 % above 10 N·m (7.4 lbf·ft), 6 % up to there",
        "least = actual − U; most = actual + U",
        "one figure: within from target − U/4 to target + U; beyond where actual + U < target (low) or actual − U > target (high); else, below the figure, too close to tell",
        "a window: within where least > target and most ≤ its upper end; beyond where all of least to most lies outside; else too close to tell",
        "a window narrower than the wrench can prove: cannot tell",
        "difference = actual − target, or − the middle of the window",
    ],
    limits_of_model=[
        "A figure without a window is an aim: the wrench must reach it. A reading that is low by less than the wrench may err is pulled once more.",
        "The tolerance holds for a wrench in good order, used inside its range, below which it says nothing.",
        "A wrench of another class, a beam or a dial may err more: enter its tolerance, best from its certificate.",
        "With an adapter, enter what the fastener got and not the setting.",
        "Torque says little about clamping force: oil, dirt and a used lock nut change it. Torque and angle, or «snug», are not judged here.",
        "The target is the maker's figure for this fastener; it is never found here.",
    ],
    cautions=["hollow-bolt"],
    example=Example(
        given={"target": "110", "actual": "104"},
        printed={"difference": "6.0 N·m (4.43 lbf·ft) low", "deviation": "5.45 % low", "uncertainty": "± 4.2 N·m (3.07 lbf·ft)", "least": "99.8 N·m (73.64 lbf·ft)",
                 "most": "108.2 N·m (79.77 lbf·ft)", "verdict": "beyond"},
        where="figures invented; worked by hand: 0.04 × 104 = 4.16; 104 + 4.16 is still below 110; 6/110 = 5.45 %",
    ),
    cross_check=cross_check,
)  # fmt: skip
def torque_check(
    target: Annotated[
        Quantity,
        Input(
            ["N·m", "lbf·ft"],
            "The maker's figure for this fastener; of a window, the least.",
            "torque, any",
            "Target",
            also=["lbf·in"],
            sets_decimals=True,
        ),
    ],
    actual: Annotated[
        Quantity,
        Input(["N·m", "lbf·ft"], "What the wrench read or clicked at.", "torque, any", "Torqued to", also=["lbf·in"], sets_decimals=True),
    ],
    target_max: Annotated[
        Quantity | None,
        Input(
            ["N·m", "lbf·ft"],
            "Only where the maker gives a window: the most.",
            "torque, any",
            "Upper end of the window",
            also=["lbf·in"],
            without="the target is taken as one figure, not as the low end of a window",
        ),
    ] = None,
    tool_tolerance: Annotated[
        Quantity | None,
        Input(
            ["", ""],
            "From the wrench's certificate, in % of its reading; blank for 4 % above 10 N·m, 6 % up to there.",
            "wrench tolerance",
            "Tolerance of the wrench",
            kind="share",
        ),
    ] = None,
) -> Answer:
    """The rules of `torque-check`; torques in any unit, the tolerance as a share of the reading. Raises Contradiction."""
    share = _tolerance(actual) if tool_tolerance is None else tool_tolerance.to("dimensionless").magnitude
    u = actual * share
    aim = target if target_max is None else (target + target_max.to(target.units)) / 2
    difference = actual.to(target.units) - aim
    judgement = _figure(target, actual, u) if target_max is None else _window(target, target_max, actual, u, share)
    notes = []
    if tool_tolerance is None:
        notes.append(
            f"Tolerance of the wrench not given: ± {100 * share:.0f} % of the reading is used, as ISO 6789-1 allows a setting wrench of class A."
        )
    if judgement.code != WITHIN and above(actual, aim):
        notes.append(
            "Too high is not cured by turning back: loosen, look at bolt and thread, replace what is for one use, and torque anew."
        )
    return Answer(
        {
            "difference": difference,
            "deviation": (difference / aim).to("dimensionless"),
            "uncertainty": u,
            "least": actual - u,
            "most": actual + u,
        },
        [judgement],
        notes,
        held_against={"least": ("target",), "most": ("target",) if target_max is None else ("target_max",)},
    )


def _tolerance(actual: Quantity) -> float:
    """What ISO 6789-1 allows a setting wrench (type II, class A); by the reading, since the wrench's range is not known."""
    return UP_TO_TEN if at_most(actual, TEN) else ABOVE_TEN


def _figure(target: Quantity, actual: Quantity, u: Quantity) -> Judgement:
    """One figure: reached, with no more above it than the wrench may err."""
    held = {"actual": ("target",)}
    if above(target, actual + u):
        return Judgement(BEYOND, "low: {actual} is under the target {target} by more than this wrench may err ({uncertainty})", held)
    if above(actual - u, target):
        return Judgement(BEYOND, "high: {actual} is over the target {target} by more than this wrench may err ({uncertainty})", held)
    if above(target, actual + u / READ_AS):
        return Judgement(
            TOO_CLOSE,
            "{actual} is low of the target {target}, by less than this wrench may err ({uncertainty}): pull once more to the target, and treat it as low until then",
            held,
        )
    return Judgement(WITHIN, "{actual} reaches the target {target}, as near as this wrench can tell ({uncertainty})", held)


def _window(low: Quantity, high: Quantity, actual: Quantity, u: Quantity, share: float) -> Judgement:
    """A window with two ends, each judged by ISO 14253-1."""
    held = {"actual": ("target", "target_max")}
    if at_most(actual + u, low):
        return Judgement(BEYOND, "low: {actual} is under the window from {target} to {target_max}", held)
    if above(actual - u, high):
        return Judgement(BEYOND, "high: {actual} is over the window from {target} to {target_max}", held)
    if at_most(high / (1 + share), low / (1 - share)):
        return Judgement(
            CANNOT_TELL,
            "no reading of a wrench that may err by {uncertainty} can prove the window from {target} to {target_max}: take a finer one, or enter its tolerance from its certificate",
            held,
        )
    codes = {
        lower_limit("actual", "", "target", "", actual, low, u).code,
        upper_limit("actual", "", "target_max", "", actual, high, u).code,
    }
    if codes != {WITHIN}:
        side = (
            "lower"
            if compare(float((actual - low).to(low.units).magnitude), float((high - actual).to(low.units).magnitude)) < 0
            else "upper"
        )
        return Judgement(
            TOO_CLOSE,
            f"{{actual}} is too near the {side} end of the window from {{target}} to {{target_max}} for this wrench ({{uncertainty}}): torque to the middle, and treat it as outside until then",
            held,
        )
    return Judgement(
        WITHIN, "{actual} is inside the window from {target} to {target_max} by more than this wrench may err ({uncertainty})", held
    )


def _as_units_differ(actual: Quantity, aim: Quantity) -> str | None:
    """Two units whose factor lies between the torques, within 3 %."""
    ratio = float((actual / aim).to("dimensionless").magnitude)
    ratio = max(ratio, 1 / ratio)
    return next((units for units, factor in UNIT_FACTORS.items() if abs(ratio / factor - 1) < 0.03), None)
