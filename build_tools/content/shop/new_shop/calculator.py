# An invented example that already builds: how much each of two stands carries.
#
# One annotated function under @calculator. Form, reader, help, command of the page and the page itself follow
# from it. The worked example is computed at every build; where it prints something else, the build says so.
# The file and its function have the same name. It imports only from `calculators` and Python's own mathematics.
from __future__ import annotations

from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.judge import BEYOND, WITHIN, Judgement, above
from calculators.contract.result import Answer, Value
from calculators.contract.sources import COMMON_PRACTICE
from calculators.contract.units import Quantity


@calculator(
    title="TITLE (invented example)",
    purpose="Find what each of two stands under an axle carries, and whether its rating allows it.",
    source=COMMON_PRACTICE,
    values=[Value("load", "kg", "Load on each stand")],
    formula=["load = axle load ÷ 2"],
    limits_of_model=["The vehicle stands level, and the axle is loaded evenly from side to side."],
    cautions=["vehicle-falls"],
    example=Example(
        given={"axle_load": "900 kg", "rating": "1000 kg"},
        printed={"load": "450 kg", "verdict": "within"},
        where="900 ÷ 2; both figures are invented",
    ),
)
def MODULE(
    axle_load: Annotated[Quantity, Input(["kg", "lb"], "What the axle weighs, from the plate of the vehicle.")],
    rating: Annotated[Quantity, Input(["kg", "lb"], "What one stand may carry, stamped on it.")],
) -> Answer:
    load = axle_load / 2
    if above(load, rating):
        judgement = Judgement(BEYOND, "{load} on each stand is more than its rating, {rating}", {"load": ("rating",)})
    else:
        judgement = Judgement(WITHIN, "{load} on each stand is within its rating, {rating}", {"load": ("rating",)})
    return Answer({"load": load}, [judgement])
