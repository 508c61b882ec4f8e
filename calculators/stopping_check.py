"""A stop on the road as a mean deceleration, and as the distance it would take from 20 mph."""

from __future__ import annotations

from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note
from calculators.contract.declaration import Example, calculator
from calculators.contract.inputs import Input
from calculators.contract.judge import Judgement, above, at_most, upper_limit
from calculators.contract.printing import to_significant
from calculators.contract.result import SHARE, Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, FMVSS_135, FROM_MEMORY, KINEMATICS
from calculators.contract.units import Quantity

TWENTY_MPH = Quantity(20, "mile / hour")
LEAST, MOST = Quantity(1, "m/s**2"), Quantity(11, "m/s**2")  # what a road vehicle stops with: engineering judgement
EXACT = Quantity(0, "m")


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A deceleration that a road vehicle can have: m and ft, km/h and mph look alike."""
    notes = []
    for name in ("distance", "required_distance"):
        if name not in entries:
            continue
        found = _deceleration(entries["speed"].quantity, entries[name].quantity)
        if not at_most(found, MOST) or not at_most(LEAST, found):
            word = "harder than tyres grip" if above(found, MOST) else "hardly any braking"
            notes += ask_or_note(
                entries,
                [name, "speed"],
                f"that is {to_significant(found.magnitude)} m/s², {word} (1 to 11 m/s² is usual); check m or ft, km/h or mph",
            )
    return notes


@calculator(
    title="Stopping check",
    purpose="Turn a measured stop into a mean deceleration, and into the distance the same braking takes from 20 mph.",
    source=[KINEMATICS, FMVSS_135.at("S7.5"), COMMON_PRACTICE, FROM_MEMORY],
    values=[
        Value("deceleration", "m/s²", "Mean deceleration"),
        Value("fraction_of_g", "", "Of the acceleration of free fall", SHARE),
        Value("equivalent_distance", "m", "Distance from 20 mph (32.2 km/h)"),
    ],
    formula=[
        "deceleration = speed² / (2 × distance)",
        "fraction of g = deceleration / 9.80665 m/s²",
        "distance from 20 mph = distance × (20 mph / speed)²",
        "beyond: distance over the required distance; else within; without a required distance no verdict",
    ],
    limits_of_model=[
        "Distance from where the brake is applied, on a dry, level, hard road; reaction and the way before it do not count.",
        "The deceleration is a mean over the whole stop, so the time until the brake bites makes a short stop look worse.",
        "The required distance must be the one for this very speed. New passenger cars: 70 m from 100 km/h (49 CFR 571.135 S7.5); "
        "vehicles in use up to 10,000 lb: 25 ft from 20 mph (49 CFR 570, from memory: read it before you rely on it).",
        "A short stop does not prove a brake: pull, leaks and pedal feel are judged apart.",
    ],
    cautions=["road-test-traffic", "first-pedal"],
    example=Example(
        given={"speed": "100", "distance": "70", "required_distance": "70"},
        printed={
            "deceleration": "5.51 m/s² (18.1 ft/s²)", "fraction_of_g": "56.2 %", "equivalent_distance": "7.25 m (23.8 ft)", "verdict": "within",
        },
        where="70 m from 100 km/h: 49 CFR 571.135 S7.5; 5.5115 m/s², 0.562 g by v²/2s",
    ),
    cross_check=cross_check,
)  # fmt: skip
def stopping_check(
    speed: Annotated[Quantity, Input(["km/h", "mph"], "When the brake was applied.", "speed")],
    distance: Annotated[Quantity, Input(["m", "ft"], "From there to standstill.", "stopping distance", sets_decimals=True)],
    required_distance: Annotated[
        Quantity | None,
        Input(
            ["m", "ft"],
            "The most allowed from this speed, by law or maker.",
            "stopping distance",
            sets_decimals=True,
            without="the distance is not judged",
        ),
    ] = None,
) -> Answer:
    """The formulas of `stopping-check`; speeds and distances in any unit."""
    deceleration = _deceleration(speed, distance)
    return Answer(
        values={
            "deceleration": deceleration,
            "fraction_of_g": (deceleration / Quantity(1, "standard_gravity")).to("dimensionless"),
            "equivalent_distance": (distance * (TWENTY_MPH / speed) ** 2).to("m"),
        },
        judgements=_judge(distance, required_distance),
        notes=["Measured from where the brake is applied; reaction does not count."],
    )


def _deceleration(speed: Quantity, distance: Quantity) -> Quantity:
    return (speed**2 / (2 * distance)).to("m/s**2")


def _judge(distance: Quantity, required: Quantity | None) -> list[Judgement]:
    if required is None:
        return []
    return [upper_limit("distance", "stopping distance", "required_distance", "the required distance", distance, required, EXACT)]
