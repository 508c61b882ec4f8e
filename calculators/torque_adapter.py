"""What to set a torque wrench to when an adapter makes its lever longer or shorter."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import CANNOT_TELL, WITHIN, Judgement, above, at_most, compare_quantities
from calculators.contract.printing import entry_text, to_significant, with_unit
from calculators.contract.result import Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, LEVER, TM_9_254
from calculators.contract.units import Quantity

NOTHING = Quantity(0, "mm")
INCH_POUND = Quantity(1, "force_pound * inch")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A wrench longer than its adapter, with a range in order."""
    must_be_less(entries, "wrench_min", "the wrench's least setting", "wrench_max", "its greatest setting")
    wrench, adapter = entries["wrench_length"], entries["adapter_length"]
    if compare_quantities(adapter.quantity, wrench.quantity) >= 0:
        return ask_or_note(
            entries,
            ["adapter_length", "wrench_length"],
            f"the adapter, {entry_text(adapter)}, is not shorter than the wrench, {entry_text(wrench)}",
        )
    return []


@calculator(
    title="Torque wrench with an adapter",
    purpose="Find what to set the torque wrench to so that the fastener gets its torque through a crowfoot or another offset adapter.",
    source=[TM_9_254.at("figure 46"), LEVER, COMMON_PRACTICE],
    values=[Value("setting", "N·m", "Set the wrench to")],
    formula=[
        "setting = target × L / (L + E × cos α)",
        "L = wrench, drive to the middle of the grip; E = adapter, drive to the fastener; α = 0 straight out, 90° to the side, 180° back over the handle",
        "cannot tell: the setting is outside the wrench's range",
    ],
    limits_of_model=[
        "The hand pulls at the middle of the grip, square to the wrench; a pipe over the handle makes the figure wrong.",
        "A straight extension between drive and socket changes nothing and is not entered.",
        "At 90° to the wrench an adapter changes nothing either.",
        "A wrench whose maker gives a correction of his own follows that.",
        "The target is the maker's figure for this fastener; it is never found here.",
    ],
    cautions=["hollow-bolt"],
    example=Example(
        given={"target": "50", "wrench_length": "16", "adapter_length": "2", "wrench_min": "10", "wrench_max": "80"},
        printed={"setting": "44.4 lbf·ft (60.3 N·m)", "verdict": "within"},
        where="50 × 16/18 = 44.44, as printed in a torque wrench's manual; the range is invented",
        system="inch",
    ),
    cross_check=cross_check,
)  # fmt: skip
def torque_adapter(
    target: Annotated[
        Quantity,
        Input(["N·m", "lbf·ft"], "What the fastener must get, from the maker.", "torque, any", "Torque at the fastener", also=["lbf·in"]),
    ],
    wrench_length: Annotated[
        Quantity, Input(["mm", "in"], "From the middle of the square drive to the middle of the grip.", "wrench length")
    ],
    adapter_length: Annotated[
        Quantity, Input(["mm", "in"], "From the middle of the square drive to the middle of the fastener.", "adapter length")
    ],
    adapter_angle: Annotated[
        Quantity,
        Input(
            ["°", "°"],
            "Between wrench and adapter: 0 straight out, 90 to the side, 180 back over the handle.",
            "adapter angle",
            negative=True,
            default="0",
            without="straight out (0°) is assumed",
        ),
    ] = FILLED_IN,
    wrench_min: Annotated[
        Quantity | None,
        Input(
            ["N·m", "lbf·ft"],
            "The least the wrench can be set to.",
            "wrench range",
            "Least setting of the wrench",
            also=["lbf·in"],
            without="whether the wrench goes that low is not judged",
        ),
    ] = None,
    wrench_max: Annotated[
        Quantity | None,
        Input(
            ["N·m", "lbf·ft"],
            "The most the wrench can be set to.",
            "wrench range",
            "Greatest setting of the wrench",
            also=["lbf·in"],
            without="whether the wrench goes that high is not judged",
        ),
    ] = None,
) -> Answer:
    """The formula of `torque-adapter`; torques and lengths in any unit. Raises Contradiction."""
    lever = wrench_length + adapter_length * math.cos(adapter_angle.to("radian").magnitude)
    if at_most(lever, NOTHING):
        raise Contradiction(
            "an adapter that points back as far as the wrench is long leaves no lever; turn it to the side, for example 90°",
            input="adapter_length",
        )
    setting = target * (wrench_length / lever).to("dimensionless").magnitude
    judgements = []
    if wrench_max is not None and above(setting, wrench_max):
        text = "the setting {setting} is over what the wrench goes to, {wrench_max}: take a bigger wrench"
        judgements.append(Judgement(CANNOT_TELL, text, {"setting": ("wrench_max",)}))
    elif wrench_min is not None and above(wrench_min, setting):
        text = "the setting {setting} is under what the wrench starts at, {wrench_min}: take a smaller wrench"
        judgements.append(Judgement(CANNOT_TELL, text, {"setting": ("wrench_min",)}))
    elif wrench_min is not None and wrench_max is not None:
        text = "the wrench can be set to {setting}; its range is {wrench_min} to {wrench_max}"
        judgements.append(Judgement(WITHIN, text, {"setting": ("wrench_min", "wrench_max")}))
    notes = ["Write down the torque at the fastener, not the setting; set the wrench back when the adapter is off."]
    if at_most(lever, wrench_length) and at_most(wrench_length, lever):
        notes.append("At 90° the adapter changes nothing.")
    if target.units == INCH_POUND.units:
        notes.append(
            f"In the unit of the target: {with_unit(to_significant(float((setting / INCH_POUND).to('dimensionless').magnitude), 4), 'lbf·in')}."
        )
    return Answer({"setting": setting}, judgements, notes)
