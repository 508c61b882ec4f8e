"""Brake fluid grades as 49 CFR 571.116 (FMVSS 116) fixes them, as data, and their viscosity between its two limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

COLD, HOT = 233.15, 373.15  # K: −40 °C and 100 °C


@dataclass(frozen=True)
class Grade:
    """A grade: least boiling points dry and wet in °C, most kinematic viscosity at −40 °C and least at 100 °C in mm²/s.

    `from_memory` names what was not read in the regulation or in a text that quotes it.
    """

    name: str
    dry: float
    wet: float
    most_at_cold: float
    least_at_hot: float = 1.5
    from_memory: tuple[str, ...] = ()


GRADES = {
    grade.name: grade
    for grade in (
        Grade("DOT 3", 205, 140, 1500),
        Grade("DOT 4", 230, 155, 1800),
        Grade("DOT 5", 260, 180, 900, from_memory=("most_at_cold",)),
        Grade("DOT 5.1", 260, 180, 900, from_memory=("most_at_cold",)),
    )
}


def viscosity_between(kelvin: float, cold: tuple[float, float], hot: tuple[float, float]) -> float:
    """Kinematic viscosity in mm²/s at a temperature, through two known points (kelvin, mm²/s).

    ASTM D341: log log (ν + 0.7) falls in a straight line over log T. Its small term below 2 mm²/s is left out
    (0.005 mm²/s at 1.5). Raises ValueError for a temperature that is not above 0 K.
    """
    at_cold, at_hot = math.log10(cold[0]), math.log10(hot[0])
    slope = (_double_log(hot[1]) - _double_log(cold[1])) / (at_hot - at_cold)
    return 10**10 ** (_double_log(cold[1]) + slope * (math.log10(kelvin) - at_cold)) - 0.7


def _double_log(viscosity: float) -> float:
    return math.log10(math.log10(viscosity + 0.7))


def least_viscosity(grade: Grade, kelvin: float) -> float:
    """The viscosity through the grade's two limits, in mm²/s: the low bound of what is in the bottle."""
    return viscosity_between(kelvin, (COLD, grade.most_at_cold), (HOT, grade.least_at_hot))
