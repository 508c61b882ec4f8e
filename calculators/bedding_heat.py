"""How warm a rotor gets over a row of bedding stops."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import must_be_less
from calculators.contract.declaration import Example, calculator
from calculators.contract.figure import PAPER, QUIET, SIZE, THICK, THIN, WIDTH, Figure
from calculators.contract.inputs import FILLED_IN, Input
from calculators.contract.judge import BEYOND, WITHIN, Judgement, above
from calculators.contract.result import Answer, Printer, Value
from calculators.contract.sources import COMMON_PRACTICE, HEAT_BALANCE
from calculators.contract.units import Quantity


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Every stop slows the vehicle down."""
    must_be_less(entries, "speed_to", "the speed after the stop,", "speed_from", "the speed before it,")
    return []


@calculator(
    title="Heat of bedding stops",
    purpose="Reckon how warm the rotor gets over a row of equal stops, so that bedding neither falls short nor burns the brake.",
    source=[HEAT_BALANCE, COMMON_PRACTICE],
    values=[
        Value("energy_per_stop", "J", "Heat into one rotor, each stop"),
        Value("rise_per_stop", "K", "Rise of the rotor, each stop"),
        Value("temperature_after_each_stop", "°C", is_list=True),
        Value("peak", "°C", "Highest temperature"),
    ],
    formula=[
        "heat into one rotor = 1/2 × mass × (from² − to²) × share of this axle × share into the rotor / rotors of the axle",
        "rise ΔT = heat / (rotor mass × specific heat)",
        "after the first stop: start + ΔT",
        "after each next stop: ambient + (last − ambient) × e^(−interval / cooling time) + ΔT",
        "beyond: the highest temperature is over the ceiling",
    ],
    limits_of_model=[
        "One temperature for the whole rotor; its face is far hotter during a stop.",
        "Engine braking, wind and rolling take a part of the work: the true figure is lower.",
        "The cooling time hangs on speed and wind, and must be measured or estimated.",
        "The pads' maker says how to bed them; his procedure wins.",
    ],
    cautions=["bedding-heat", "hot-parts", "road-test-traffic"],
    example=Example(
        given={
            "vehicle_mass": "1500", "speed_from": "100", "speed_to": "0", "axle_share": "70 %", "rotor_mass": "8", "rotors": "2",
            "specific_heat": "460", "stops": "5", "interval": "45 s", "cooling_time": "300 s", "start": "20", "ambient": "20", "ceiling": "400",
        },
        printed={
            "energy_per_stop": "203000 J (149000 ft·lbf)", "rise_per_stop": "55.0 K (99.1 delta °F)", "peak": "228 °C (443 °F)", "verdict": "within",
        },
        where="1500 kg from 100 km/h: 578,704 J; 70 % on two 8 kg rotors of 460 J/(kg·K): 55.04 K, worked by hand; five stops as a geometric series",
    ),
    cross_check=cross_check,
)  # fmt: skip
def bedding_heat(
    vehicle_mass: Annotated[Quantity, Input(["kg", "lb"], "As driven, with driver and load.", "vehicle mass")],
    speed_from: Annotated[Quantity, Input(["km/h", "mph"], "Speed before each stop.", "speed")],
    speed_to: Annotated[Quantity, Input(["km/h", "mph"], "Speed after each stop; 0 for a full stop.", "speed after the stop")],
    axle_share: Annotated[
        Quantity,
        Input(
            help="Share of the braking that this axle does, for example 70 % in front.",
            band="axle share",
            label="Share of this axle",
            kind="share",
        ),
    ],
    rotor_mass: Annotated[Quantity, Input(["kg", "lb"], "Of one rotor, without a hub.", "rotor mass")],
    rotors: Annotated[int, Input(help="Rotors on this axle.", band="rotors")],
    specific_heat: Annotated[
        Quantity, Input(["J/(kg·K)", "Btu/(lb·°F)"], "Grey iron about 450 to 460 J/(kg·K), 0.11 Btu/(lb·°F).", "specific heat")
    ],
    stops: Annotated[int, Input(help="How many stops follow each other.", band="stops")],
    interval: Annotated[
        Quantity, Input(["s", "s"], "From one stop to the next; type s or min.", "stop interval", "Time from stop to stop")
    ],
    cooling_time: Annotated[
        Quantity, Input(["s", "s"], "Time in which the rotor, rolling, loses 63 % of its heat over the air; type s or min.", "cooling time")
    ],
    start: Annotated[
        Quantity,
        Input(
            ["°C", "°F"],
            "Temperature of the rotor before the first stop.",
            "rotor temperature",
            "Rotor before the first stop",
            negative=True,
        ),
    ],
    ambient: Annotated[Quantity, Input(["°C", "°F"], "Temperature of the air.", "ambient temperature", "Air", negative=True)],
    ceiling: Annotated[
        Quantity | None,
        Input(["°C", "°F"], "What the pads' maker allows.", "rotor ceiling temperature", "Ceiling", without="the peak is not judged"),
    ] = None,
    heat_into_rotor: Annotated[
        Quantity,
        Input(
            help="Share of the heat that goes into the rotor; the pads take the rest. All of it is the safe side.",
            band="heat into the rotor",
            kind="share",
            default="1",
        ),
    ] = FILLED_IN,
) -> Answer:
    """The formulas of `bedding-heat`; every entry in any unit of its kind."""
    of_one = axle_share * heat_into_rotor / rotors
    energy = (vehicle_mass * (speed_from**2 - speed_to**2) / 2 * of_one).to("joule")
    rise = (energy / (rotor_mass * specific_heat.to("joule / kilogram / kelvin"))).to("kelvin")
    air = ambient.to("kelvin")
    left = math.exp(-(interval / cooling_time).to("dimensionless").magnitude)
    after = [start.to("kelvin") + rise]
    for _ in range(stops - 1):
        after.append(air + (after[-1] - air) * left + rise)
    peak = max(after)
    answer = Answer(
        {"energy_per_stop": energy, "rise_per_stop": rise, "temperature_after_each_stop": after, "peak": peak},
        notes=["This is the rotor as a whole; its face is far hotter during a stop."],
        figure=lambda printer: _figure(printer, start.to("kelvin"), after, air, left, ceiling),
    )
    if ceiling is not None:
        over = above(peak, ceiling.to("kelvin"))
        text = "the rotor reaches {peak}, " + ("over" if over else "not over") + " the ceiling {ceiling}"
        answer.judgements.append(Judgement(BEYOND if over else WITHIN, text, {"peak": ("ceiling",)}))
    return answer


# ---- the drawing: a row of teeth, up at each stop, down until the next

HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 330.0, 54.0, 8.0, 46.0, 64.0
NICE_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000)
POINTS_OF_A_COOLING = 8


def _figure(printer: Printer, start: Quantity, after: list[Quantity], air: Quantity, left: float, ceiling: Quantity | None) -> str:
    """Temperature over the stops; `left` is what remains of the excess over the air at the next stop."""
    unit = printer.values["peak"].units(printer.system)[0]
    highest = printer.short("peak", max(after))
    figure = Figure(
        WIDTH,
        HEIGHT,
        "Rotor temperature over the stops",
        f"The rotor rises at each of {len(after)} stops and cools between them; the highest is {highest}.",
    )
    shown = [
        unit.magnitude(start),
        *map(unit.magnitude, after),
        unit.magnitude(air),
        *([] if ceiling is None else [unit.magnitude(ceiling)]),
    ]
    step = next(s for s in NICE_STEPS if (max(shown) - min(shown)) / s <= 6 or s == NICE_STEPS[-1])
    low, high = math.floor(min(shown) / step) * step, math.ceil(max(shown) / step) * step

    def x(stop: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * stop / len(after)

    def y(temperature: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (high - temperature) / (high - low)

    for mark in range(low, high + 1, step):
        figure.line([(LEFT, y(mark)), (WIDTH - RIGHT, y(mark))], width=0.6, stroke=QUIET)
        figure.text((LEFT - 8, y(mark) + SIZE / 3), f"{mark}", "end")
    figure.text((LEFT - 8, TOP - 22), unit.symbol, "end")
    if ceiling is not None:
        allowed, words = y(unit.magnitude(ceiling)), f"ceiling {printer.short('peak', ceiling)}"
        ground = [(LEFT + 4, allowed - 6 - SIZE), (LEFT + 8 + SIZE * len(words) / 2, allowed - 6 - SIZE)]
        figure.shape([*ground, *((at, allowed - 3) for at, _ in reversed(ground))], PAPER, 0, PAPER)
        figure.line([(LEFT, allowed), (WIDTH - RIGHT, allowed)], THICK, dashed=True)
        figure.text((LEFT + 6, allowed - 7), words, "start")
    figure.line([(x(at), y(unit.magnitude(temperature))) for at, temperature in _teeth(start, after, air, left)], THICK)
    for number in range(1, len(after) + 1, max(1, math.ceil(len(after) / 9))):
        figure.text((x(number - 0.5), HEIGHT - BOTTOM + 24), f"{number}")
    figure.line([(LEFT, HEIGHT - BOTTOM), (WIDTH - RIGHT, HEIGHT - BOTTOM)], THIN)
    figure.text(((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 10), f"Stops; the highest is {highest}")
    return figure.svg()


def _teeth(start: Quantity, after: list[Quantity], air: Quantity, left: float) -> list[tuple[float, Quantity]]:
    """(place in stops, temperature): each stop stands in the middle of its number, cooling runs from one to the next."""
    points = [(0.0, start), (0.5, start)]
    points_each = POINTS_OF_A_COOLING if len(after) <= 40 else 1
    for number, temperature in enumerate(after):
        until = range(points_each + 1) if number < len(after) - 1 else range(1)
        points += [(number + 0.5 + part / points_each, air + (temperature - air) * left ** (part / points_each)) for part in until]
    return points
