"""How much air would explain a longer pedal: Boyle's law on the fluid the extra travel moves."""

from __future__ import annotations

import math
from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.result import Answer, Value
from calculators.contract.sources import BOYLE, COMMON_PRACTICE, GEOMETRY
from calculators.contract.units import Quantity


@calculator(
    title="Trapped air",
    purpose="Reckon how much air would explain the extra pedal travel, against a known-good reading at the same pressure.",
    source=[BOYLE, GEOMETRY, COMMON_PRACTICE],
    values=[
        Value("displaced_volume", "mL", "Extra fluid moved"),
        Value("trapped_air", "mL", "Air at rest that would explain it", before="at most "),
    ],
    formula=[
        "extra fluid moved = extra travel / pedal ratio × π/4 × master bore²",
        "air at rest = extra fluid / (1 − ambient / (ambient + line pressure)); ambient is absolute, line pressure is gauge",
    ],
    limits_of_model=[
        "At most: pistons knocked back by runout or end play, swelling hoses, tapered or new pads and thick shims lengthen the pedal in the same way.",
        "The air stays as warm as the line (isothermal); fluid and metal do not give way.",
        "Compare at the same pressure or pedal force, with the same power assist; a pedal without a known-good reading tells nothing.",
        "Master cylinders with a stepped bore, and by-wire brakes, are outside the model.",
        "It gives no verdict: a pedal that is not hard keeps the vehicle on its stands, whatever the figure.",
    ],
    cautions=["first-pedal", "leak-under-pressure"],
    example=Example(
        given={"extra_travel": "10.2", "pedal_ratio": "4:1", "master_bore": "7/8 in", "line_pressure": "70"},
        printed={
            "displaced_volume": "0.989 mL (0.0335 US fl oz)", "trapped_air": "at most 1.00 mL (0.0339 US fl oz)", "verdict": "none",
        },
        where="1 mL of air shrinks to 0.01427 mL at 70 bar (Boyle), and a 7/8 in bore has 387.95 mm²: 0.99 mL is 2.55 mm of stroke, 10.2 mm at a 4:1 pedal",
    ),
)  # fmt: skip
def trapped_air(
    extra_travel: Annotated[
        Quantity,
        Input(["mm", "in"], "How much further the pedal goes than at the known-good reading.", "pedal travel", "Extra pedal travel"),
    ],
    pedal_ratio: Annotated[
        Quantity, Input(help="Travel of the pedal pad over travel of the push rod, for example 4:1.", band="pedal ratio", kind="ratio")
    ],
    master_bore: Annotated[Quantity, Input(["mm", "in"], "Bore of the master cylinder.", "master bore")],
    line_pressure: Annotated[Quantity, Input(["bar", "psi"], "At both readings, as a gauge shows it.", "line pressure", also=["kPa"])],
    ambient: Annotated[
        Quantity,
        Input(["kPa", "psi"], "Air pressure, absolute; less on a mountain.", "ambient pressure", "Ambient pressure", default="101.325 kPa"),
    ] = FILLED_IN,
) -> Answer:
    """The formulas of `trapped-air`; any units."""
    displaced = extra_travel / pedal_ratio * math.pi / 4 * master_bore**2
    left = (ambient / (ambient + line_pressure)).to("dimensionless").magnitude
    return Answer(
        values={"displaced_volume": displaced.to("mL"), "trapped_air": (displaced / (1 - left)).to("mL")},
        notes=[
            "At most: knock-back, end play and swelling hoses look the same. Look for them first.",
            "A stepped master cylinder is outside this model.",
        ],
    )
