"""Odometer: the reading as a number, and the distance driven since an earlier one."""

from __future__ import annotations

from typing import Annotated, Any

from calculators.contract.cross_checks import must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.result import READING, Answer, Missing, Value
from calculators.contract.sources import COMMON_PRACTICE
from calculators.contract.units import Quantity


def cross_check(entries: dict[str, Any]) -> list[str]:
    """An odometer does not run backwards."""
    must_be_less(entries, "before", "the earlier reading", "reading", "the reading now", or_equal=True)
    return []


@calculator(
    title="Odometer",
    purpose="Take the odometer as a number, so that wear can be reckoned per distance at this visit and the next.",
    source=[COMMON_PRACTICE],
    values=[
        Value("odometer", "km", "Odometer", READING),
        Value("driven", "km", "Distance driven since the earlier reading", READING),
    ],
    formula=["distance driven = reading now − earlier reading"],
    limits_of_model=[
        "An instrument cluster that was exchanged starts at another figure; ask the owner.",
        "Read the unit beside the figure: 45,000 may be kilometres or miles.",
    ],
    cautions=["not-the-makers-manual"],
    example=Example(
        given={"reading": "145,000", "before": "100,000"},
        printed={"odometer": "145000 km (90098.8 mi)", "driven": "45000 km (27961.7 mi)", "verdict": "none"},
        where="a subtraction; the figures are invented",
    ),
    cross_check=cross_check,
)
def odometer(
    reading: Annotated[Quantity, Input(["km", "mi"], "What the odometer shows now.", "odometer", "Odometer now", sets_decimals=True)],
    before: Annotated[
        Quantity | None,
        Input(["km", "mi"], "What it showed when the worn part was new, or at the last check.", "odometer", "Earlier reading"),
    ] = None,
) -> Answer:
    """The formula of `odometer`; readings in km or miles."""
    return Answer(values={"odometer": reading, "driven": Missing("needs an earlier reading") if before is None else reading - before})
