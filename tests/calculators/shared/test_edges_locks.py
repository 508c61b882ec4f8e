"""Locks of a nut and readings round a turn at their edges, by hand."""

from __future__ import annotations

import math

import pytest

from calculators.shared.harmonics import Turn, indexed, peak_to_peak, shortest_move
from calculators.shared.locks import Locks, gaps, is_even, lock_angles

UNEVEN = lock_angles(6, 2, 45)  # 0, 45, 60, 105, … 300, 345


@pytest.mark.parametrize("slots", [6, 12, 14, 18, 22])
def test_a_second_hole_on_the_locks_of_the_first_adds_none(slots):
    for k in range(1, slots):
        assert len(lock_angles(slots, 2, k * 360 / slots)) == slots


def test_uneven_locks():
    assert gaps(UNEVEN)[-2:] == [45, 15] and gaps(UNEVEN)[:2] == [45, 15]
    assert not is_even(UNEVEN) and is_even(lock_angles(6))


@pytest.mark.parametrize(
    "angle, number", [(-40, -3), (-30, -3), (-29, -2), (-15, -2), (-14, -1), (0, -1), (30, -1), (31, 0), (45, 0), (46, 1)]
)
def test_the_first_lock_from_an_angle(angle, number):
    # With lock 0 at 45°, those before it stand at 30, −15 and −30°.
    locks = Locks(UNEVEN, 45.0)
    assert [locks.angle(n) for n in (-3, -2, -1, 0, 1)] == [-30, -15, 30, 45, 90]
    assert locks.first_from(angle) == number


def test_how_many_locks_away():
    between = Locks(UNEVEN, 45.0)
    assert between.standing is None
    assert [between.positions(n) for n in (-3, -2, -1, 0, 1)] == [-2, -1, 1, 2, 3]
    at_one = Locks(lock_angles(6), 0.0)
    assert at_one.standing == 0 and [at_one.positions(n) for n in (-1, 0, 1, 2)] == [-1, 0, 1, 2]


def test_between_readings_the_mean_is_kept():
    turn = Turn([2.0, 3.0, 2.0, 1.0])  # 2 + sin θ
    assert [turn.at(angle) for angle in (0, 45, 90, 210)] == pytest.approx([2, 2 + math.sqrt(0.5), 3, 1.5])
    assert Turn([5.0] * 6).at(17) == pytest.approx(5)
    assert turn.angle == pytest.approx(90) and turn.amplitude == pytest.approx(1) and turn.remainder == pytest.approx(0, abs=1e-12)


def test_of_equal_runouts_the_shortest_move_is_best():
    # Two equal tilts 72·k + δ apart, of five studs. δ = −72°: studs 3 and 4 leave the same; 4 is one stud back.
    def tilt(degrees: float) -> list[float]:
        return [math.cos(math.radians(36 * k - degrees)) for k in range(10)]

    hub = Turn(tilt(0))
    found = {}
    for shift in (-72, 72):
        rotor = [a + b for a, b in zip(hub.readings, tilt(shift))]
        curves, found[shift] = indexed(Turn(rotor), hub, 1.0, 5)
        peaks = [peak_to_peak(curve) for curve in curves]
        assert sum(peak == pytest.approx(min(peaks)) for peak in peaks) == 2
    assert sorted(found.values()) == [1, 4]


def test_shortest_move():
    assert [shortest_move(index, 5) for index in range(5)] == [(0, True), (1, True), (2, True), (2, False), (1, False)]
    assert shortest_move(2, 4) == (2, True)
