"""What stands between pedal and wheel: seen from the left side, the pedal on the left, the wheel's brake on the right."""

from __future__ import annotations

import math

from .pen import Drawing

_VIEW = "Seen from the side, the pedal on the left and one wheel's brake on the right."


def _pedal(d: Drawing) -> None:
    d.rect(78, 14, 86, 196, "grey")  # bulkhead
    d.line((48, 22), (40, 92), (28, 146), width=6)
    d.circle(48, 22, 6)
    d.rect(12, 144, 42, 154, "ink")


def _wheel_brake(d: Drawing, sensor: bool) -> None:
    x, y = 334, 126
    d.circle(x, y, 56, "grey")
    d.circle(x, y, 24)
    if sensor:
        for k in range(20):
            a = math.radians(18 * k)
            d.line((x + 24 * math.cos(a), y + 24 * math.sin(a)), (x + 31 * math.cos(a), y + 31 * math.sin(a)), width=3.4)
    d.path(f"M{x - 62} {y - 26}Q{x - 46} {y - 62} {x - 8} {y - 64}V{y - 36}Q{x - 28} {y - 32} {x - 36} {y - 14}Z")


def _booster_and_master(d: Drawing) -> None:
    d.line((42, 78), (90, 78), width=4)
    d.path("M86 44Q128 30 132 64V92Q128 126 86 112Z")
    d.rect(132, 66, 196, 90)
    d.path("M140 66V54H190V66", "paper")
    d.rect(136, 30, 194, 54)
    d.rect(152, 22, 178, 30, "grey")


def _sensor(d: Drawing, to: str) -> None:
    """The sensor below the toothed ring, and its cable to the control unit."""
    d.poly([(326, 160), (342, 160), (342, 184), (326, 184)], "tint")
    d.path(f"M334 184V204H{to}", "none", 2.4, dash="7 5")


def no_antilock() -> Drawing:
    d = Drawing(
        "No antilock", f"{_VIEW} Booster, master cylinder and a line to the brake; no unit between them and no sensor at the wheel.", 214
    )
    _pedal(d)
    _booster_and_master(d)
    _wheel_brake(d, False)
    d.path("M164 90V112H240V84H276", "none", 4)
    return d


def antilock() -> Drawing:
    d = Drawing(
        "Antilock, pedal linked",
        f"{_VIEW} The pedal pushes the master cylinder through its booster; a unit with pump, valves and plug stands in the line, and a "
        "sensor at the wheel is wired to it.",
        214,
    )
    _pedal(d)
    _booster_and_master(d)
    _wheel_brake(d, True)
    d.path("M164 90V134", "none", 4)
    d.path("M192 134V118H240V84H276", "none", 4)
    d.rect(142, 134, 206, 178, "tint")
    d.circle(224, 156, 18, "tint")
    d.rect(116, 142, 142, 170, "grey")
    _sensor(d, "128V170")
    return d


def by_wire() -> Drawing:
    d = Drawing(
        "Brake-by-wire or accumulator",
        f"{_VIEW} A unit with motor and pressure store makes the pressure; the pedal only gives a signal, or shares the work.",
        214,
    )
    _pedal(d)
    _wheel_brake(d, True)
    d.line((42, 78), (90, 78), width=4)
    d.rect(86, 62, 112, 94)
    d.path("M112 78H126V122", "none", 2.4, dash="7 5")
    d.rect(132, 66, 214, 132, "tint")
    d.rect(136, 30, 194, 54)
    d.rect(152, 22, 178, 30, "grey")
    d.path("M146 66V54M182 66V54", "none", 4)
    d.path("M146 132V164Q146 178 160 178H188Q202 178 202 164V132", "tint")  # motor
    d.circle(234, 46, 22, "tint")  # pressure store
    d.path("M234 68V84H214", "none", 5)
    d.path("M214 110H244V84H276", "none", 4)
    d.rect(112, 112, 132, 130, "grey")
    _sensor(d, "122V130")
    return d
