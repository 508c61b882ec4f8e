"""Readings round one turn as a sum of harmonics, and a rotor moved round its hub."""

from __future__ import annotations

import cmath
import math
from functools import cached_property

from calculators.contract.judge import compare

NEGLIGIBLE = 1e-9  # of the greatest reading: binary floats never cancel out quite


class Turn:
    """Readings at equal steps round one turn, in mm; angles in degrees from the first, in the order of the readings."""

    def __init__(self, readings: list[float]):
        self.readings = readings

    @cached_property
    def coefficients(self) -> list[complex]:
        """cₘ of Σ cₘ·e^(imθ), m = 0 … n/2; of an even count the last is the cosine's."""
        n = len(self.readings)
        return [sum(r * cmath.exp(-2j * math.pi * m * k / n) for k, r in enumerate(self.readings)) / n for m in range(n // 2 + 1)]

    @cached_property
    def tilt(self) -> complex:
        """The once-per-turn part as A − iB of A·cos θ + B·sin θ; zero where it is only rounding."""
        found = 2 * self.coefficients[1]
        return 0j if abs(found) <= NEGLIGIBLE * max(map(abs, self.readings), default=0) else found

    @property
    def amplitude(self) -> float:
        """Half of the once-per-turn part, peak to peak."""
        return abs(self.tilt)

    @property
    def angle(self) -> float | None:
        """Where the once-per-turn part is highest, from 0 to less than 360; None without such a part."""
        if not self.tilt:
            return None
        degrees = math.degrees(-cmath.phase(self.tilt)) % 360
        return 0.0 if compare(degrees, 360) == 0 or compare(degrees, 0) == 0 else degrees

    @property
    def remainder(self) -> float:
        """Peak to peak of the readings without their mean and their once-per-turn part."""
        n, mean = len(self.readings), self.coefficients[0].real
        left = [r - mean - _wave(self.tilt, 2 * math.pi * k / n) for k, r in enumerate(self.readings)]
        return peak_to_peak(left)

    def at(self, degrees: float) -> float:
        """The reading at any angle, by trigonometric interpolation."""
        n, angle = len(self.readings), math.radians(degrees)
        total = self.coefficients[0].real
        for m, coefficient in enumerate(self.coefficients[1:], 1):
            if 2 * m == n:
                total += coefficient.real * math.cos(m * angle)
            else:
                total += 2 * _wave(coefficient, m * angle)
        return total

    def grid(self, turned: float = 0.0) -> list[float]:
        """The readings at every degree, moved on by an angle."""
        return [self.at(degree - turned) for degree in range(360)]

    def without(self, hub: list[float]) -> Turn:
        """What is left of the readings at each place without the hub's."""
        return Turn([reading - under for reading, under in zip(self.readings, hub, strict=True)])

    def scaled(self, ratio: float) -> list[float]:
        """A hub's readings at the radius of the rotor: only the tilt grows with the radius."""
        n = len(self.readings)
        return [r + (ratio - 1) * _wave(self.tilt, 2 * math.pi * k / n) for k, r in enumerate(self.readings)]


def _wave(coefficient: complex, angle: float) -> float:
    """A·cos + B·sin of A − iB."""
    return coefficient.real * math.cos(angle) - coefficient.imag * math.sin(angle)


def indexed(turn: Turn, hub: Turn, ratio: float, studs: int) -> tuple[list[list[float]], int]:
    """The readings at every degree with the rotor moved by 0, 1, … studs in their order, and the index that runs truest.

    Of equal runouts the shortest move is best, then the one in the order of the readings.
    """
    under = hub.scaled(ratio)
    rotor, hub_grid = turn.without(under), Turn(under).grid()
    curves = [[a + b for a, b in zip(hub_grid, rotor.grid(index * 360 / studs), strict=True)] for index in range(studs)]
    best = 0
    for index in sorted(range(1, studs), key=lambda index: (min(index, studs - index), index)):
        if compare(peak_to_peak(curves[index]), peak_to_peak(curves[best])) < 0:
            best = index
    return curves, best


def peak_to_peak(values: list[float]) -> float:
    """Greatest less least; zero where only rounding is left."""
    return 0.0 if compare(max(values), min(values)) == 0 else max(values) - min(values)


def shortest_move(index: int, studs: int) -> tuple[int, bool]:
    """How many studs to move at least for an index, and whether in the order of the readings."""
    return (index, True) if index <= studs - index else (studs - index, False)
