"""Where a nut on a spindle can be locked: slots, pin holes, and the ways its retainer fits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calculators.contract.judge import compare

FULL_TURN = 360.0


def lock_angles(slots: int, holes: int = 1, hole_angle: float = 90.0, fits: int = 1) -> list[float]:
    """The nut angles, in degrees from 0 to under 360, at which a slot meets a hole; none where no pin can pass.

    A retainer that fits a nut with `slots` slots in `fits` ways meets one hole lcm(slots, fits) times a turn. A pin
    through both mouths of a hole needs two opposite slots, which an odd count never has. A second hole, `hole_angle`
    degrees from the first, adds its own angles unless they fall on those of the first.
    """
    each = math.lcm(slots, fits)
    if each % 2:
        return []
    step = FULL_TURN / each
    starts = [0.0]
    if holes == 2:
        second = hole_angle % step
        if compare(second, 0) != 0 and compare(second, step) != 0:
            starts.append(second)
    return sorted(FULL_TURN * k / each + start for k in range(each) for start in starts)


def gaps(angles: Sequence[float]) -> list[float]:
    """The degrees from each lock to the next one, tightening."""
    return [after - angle for angle, after in zip(angles, [*angles[1:], angles[0] + FULL_TURN], strict=True)]


def is_even(angles: Sequence[float]) -> bool:
    """Whether the locks are evenly spaced."""
    return all(compare(gap, FULL_TURN / len(angles)) == 0 for gap in gaps(angles))


@dataclass(frozen=True)
class Locks:
    """The locks of a nut by number: lock 0 is `offset` degrees away, tightening; the others follow in both directions.

    `angles` are those of one turn, from the first hole, as `lock_angles` gives them.
    """

    angles: Sequence[float]
    offset: float = 0.0

    def angle(self, number: int) -> float:
        """Degrees to turn to this lock: above 0 tightens, below 0 loosens."""
        turns, at = divmod(number, len(self.angles))
        return self.offset + FULL_TURN * turns + self.angles[at]

    def first_from(self, angle: float) -> int:
        """The number of the first lock at or past this angle."""
        number = math.floor((angle - self.offset) / FULL_TURN) * len(self.angles) - 1
        while compare(self.angle(number), angle) < 0:
            number += 1
        return number

    @property
    def standing(self) -> int | None:
        """The number of the lock the nut stands at; None between two."""
        number = self.first_from(0.0)
        return number if compare(self.angle(number), 0.0) == 0 else None

    def positions(self, number: int) -> int:
        """How many locks away: the next one either way is 1 or −1, the one the nut stands at 0."""
        next_one = self.first_from(0.0)
        return number - next_one if self.standing is not None or number < next_one else number - next_one + 1
