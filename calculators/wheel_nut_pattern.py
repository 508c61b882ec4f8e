"""The order in which wheel nuts are tightened, in stages, and when they are torqued again."""

from __future__ import annotations

import math
from typing import Annotated

from calculators.contract.declaration import Example, calculator
from calculators.contract.figure import GRAY, LINE, PAPER, QUIET, SIZE, THICK, TINT, WIDTH, Figure
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.result import PLAIN, READING, TENS, Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, TM_5_2330_378, TM_5_3820_256
from calculators.contract.units import Quantity

# Studs numbered clockwise. Opposite to opposite where there is an opposite, else as far across as the next free stud is.
SEQUENCES = {
    3: (1, 2, 3),
    4: (1, 3, 2, 4),
    5: (1, 3, 5, 2, 4),
    6: (1, 4, 2, 5, 3, 6),
    7: (1, 4, 7, 3, 6, 2, 5),
    8: (1, 5, 3, 7, 2, 6, 4, 8),
    9: (1, 5, 9, 4, 8, 3, 7, 2, 6),
    10: (1, 6, 3, 8, 5, 10, 2, 7, 4, 9),
    11: (1, 6, 11, 5, 10, 4, 9, 3, 8, 2, 7),
    12: (1, 7, 3, 9, 5, 11, 2, 8, 4, 10, 6, 12),
}
RETORQUE_FROM, RETORQUE_TO = Quantity(80, "km"), Quantity(160, "km")  # 50 and 100 miles


@calculator(
    title="Wheel nut order",
    purpose="Show the order and the stages in which wheel nuts or bolts are tightened, and the distance after which they are torqued again.",
    source=[TM_5_3820_256.at("p. 3-37"), TM_5_2330_378.at("p. 3-23"), COMMON_PRACTICE],
    values=[
        Value("sequence", "", "Order of the wheel studs or bolt holes, numbered clockwise", PLAIN, is_list=True),
        Value("stage_torques", "N·m", "Torque of each stage", READING, is_list=True),
        Value("retorque_from", "km", "Torque again not before", TENS),
        Value("retorque_to", "km", "Torque again not after", TENS),
    ],
    formula=[
        "order: across the wheel, never round it",
        "torque of stage k = torque × k / stages, each stage in the whole order",
        "torque again after 80 to 160 km (50 to 100 miles)",
    ],
    limits_of_model=[
        "The maker's order, torque, stages and distance win.",
        "Clean, dry threads and faces unless the maker says otherwise; seats of the right shape.",
        "The first stage seats the nuts or bolts by hand tools with the wheel off the ground; the last is done with it on the ground.",
        "Torque sticks and impact tools are no torque wrench.",
    ],
    cautions=["wheel-comes-loose"],
    example=Example(
        given={"studs": "5", "torque": "120", "stages": "3"},
        printed={
            "sequence": "1; 3; 5; 2; 4", "stage_torques": "40 N·m (29.5 lbf·ft); 80 N·m (59.0 lbf·ft); 120 N·m (88.5 lbf·ft)",
            "retorque_from": "80 km (50 mi)", "retorque_to": "160 km (100 mi)", "verdict": "none",
        },
        where="the five-pointed star; thirds of an invented torque; 50 to 100 miles from TM 5-2330-378-14&P",
    ),
)  # fmt: skip
def wheel_nut_pattern(
    studs: Annotated[int, Input(help="Wheel studs or bolt holes of the hub.", label="Wheel studs or bolt holes", band="studs")],
    torque: Annotated[
        Quantity,
        Input(["N·m", "lbf·ft"], "The vehicle maker's figure for this wheel.", "torque, wheel nut", "Final torque", sets_decimals=True),
    ],
    stages: Annotated[int, Input(help="In how many rounds the torque is reached.", band="tightening stages", default="3")] = FILLED_IN,
) -> Answer:
    """The table and the stages of `wheel-nut-pattern`; torque in any unit."""
    sequence = SEQUENCES[studs]
    return Answer(
        values={
            "sequence": list(sequence),
            "stage_torques": [torque * k / stages for k in range(1, stages + 1)],
            "retorque_from": RETORQUE_FROM,
            "retorque_to": RETORQUE_TO,
        },
        notes=[
            "Run every nut or bolt down by hand until it seats, in the same order, before the first stage.",
            "Tell the driver of the second torque in writing.",
        ],
        figure=lambda printer: _figure(sequence),
    )


CIRCLE, STUD = 116.0, 24.0


def _figure(sequence: tuple[int, ...]) -> str:
    """The wheel from outside: place in the order inside each stud or bolt hole, its number outside."""
    order = ", ".join(map(str, sequence))
    figure = Figure(
        WIDTH,
        WIDTH + 2 * LINE,
        "Order of the wheel nuts or bolts",
        f"Wheel studs or bolt holes numbered clockwise from the top, tightened in the order {order}.",
    )
    center = WIDTH / 2
    places = {stud: math.tau * (stud - 1) / len(sequence) for stud in sequence}

    def at(stud: int, radius: float) -> tuple[float, float]:
        return center + radius * math.sin(places[stud]), center - radius * math.cos(places[stud])

    figure.circle((center, center), CIRCLE + STUD + 4, GRAY, 1.2)
    figure.circle((center, center), 34, PAPER, 1.2)
    figure.line([at(stud, CIRCLE) for stud in sequence], 1.2, QUIET, dashed=True)
    for place, stud in enumerate(sequence, 1):
        figure.circle(at(stud, CIRCLE), STUD, TINT if place == 1 else PAPER, THICK)
        x, y = at(stud, CIRCLE)
        figure.text((x, y + 8), f"{place}", strong=True, size=22)
        x, y = at(stud, CIRCLE + STUD + 18)
        figure.text((x, y + SIZE / 3), f"{stud}")
    figure.text((center, WIDTH + 0.6 * LINE), "In the circles: the order.")
    figure.text((center, WIDTH + 1.6 * LINE), "Outside: number of stud or bolt hole.")
    return figure.svg()
