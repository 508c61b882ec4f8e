"""How the spindle nut is locked: seen from outboard, along the spindle, and beside it from the side."""

from __future__ import annotations

import math

from .pen import THIN, Drawing, Point


def hexagon(x: float, y: float, r: float, turn: float = 0) -> list[Point]:
    return [(x + r * math.cos(math.radians(60 * k + turn)), y + r * math.sin(math.radians(60 * k + turn))) for k in range(6)]


def _hex_side(d: Drawing, x1: float, x2: float, y: float, r: float, fill: str = "paper") -> None:
    """A hexagon from the side, corners up and down: three faces show."""
    d.rect(x1, y - r, x2, y + r, fill)
    d.line((x1, y - r / 2), (x2, y - r / 2))
    d.line((x1, y + r / 2), (x2, y + r / 2))


def _spindle_side(d: Drawing, y: float, end: float = 372) -> None:
    d.rect(220, y - 20, 250, y + 20, "paper", THIN + 0.6)
    d.thread(250, y - 16, end, y + 16)
    d.rect(246, y - 40, 253, y + 40, "paper", THIN + 0.6)  # washer


def _split_pin_front(d: Drawing, x: float, y: float, reach: float, spindle: float) -> None:
    """A split pin through the spindle: eye at the top, hidden inside, legs bent apart below."""
    d.line((x - 3, y - spindle), (x - 3, y + spindle), dash="5 3")
    d.line((x + 3, y - spindle), (x + 3, y + spindle), dash="5 3")
    d.rect(x - 3.5, y - reach, x + 3.5, y - spindle, "ink", 0)
    d.rect(x - 3.5, y + spindle, x + 3.5, y + reach - 6, "ink", 0)
    d.circle(x, y - reach - 6, 7, "paper", 3)
    d.path(f"M{x - 1.7} {y + reach - 6}q-1 9 -16 8M{x + 1.7} {y + reach - 6}q1 9 16 8", "none", 3.4)


def _slotted_ring(d: Drawing, x: float, y: float, inner: float, outer: float, slots: int, fill: str) -> None:
    """A crown of fingers with slots between them."""
    width = 360 / slots
    for k in range(slots):
        a, b = math.radians(k * width - 90 + width * 0.19), math.radians((k + 1) * width - 90 - width * 0.19)
        points = [(outer, a), (outer, b), (inner, b), (inner, a)]
        (x1, y1), (x2, y2), (x3, y3), (x4, y4) = ((x + r * math.cos(t), y + r * math.sin(t)) for r, t in points)
        d.path(
            f"M{x1:.1f} {y1:.1f}A{outer} {outer} 0 0 1 {x2:.1f} {y2:.1f}L{x3:.1f} {y3:.1f}A{inner} {inner} 0 0 0 {x4:.1f} {y4:.1f}Z", fill
        )


def nut_castle() -> Drawing:
    d = Drawing(
        "Castle nut",
        "The nut itself has six slots; a cotter pin through the spindle lies in two of them. Left from outboard, right from the side.",
        158,
    )
    x, y = 106, 80
    d.poly(hexagon(x, y, 62, 30), "tint")
    d.circle(x, y, 46, "paper", THIN)
    _slotted_ring(d, x, y, 24, 46, 6, "tint")
    d.circle(x, y, 23, "paper")
    _split_pin_front(d, x, y, 50, 23)
    _spindle_side(d, y)
    _hex_side(d, 254, 298, y, 50, "tint")
    d.rect(298, y - 40, 326, y + 40, "tint")
    for k in (-26, 0, 26):  # slots of the crown
        d.rect(304, y + k - 5, 326, y + k + 5, "paper", THIN + 0.6)
    d.circle(315, y, 4.5, "ink", 0)
    return d


def nut_hex_with_lock() -> Drawing:
    d = Drawing(
        "Hex nut with stamped lock",
        "A plain hex nut under a stamped sheet-metal lock with fingers; a cotter pin lies between two "
        "fingers. Left from outboard, right from the side.",
        158,
    )
    x, y = 106, 80
    d.poly(hexagon(x, y, 66, 30), "paper")
    d.poly(hexagon(x, y, 57, 30), "tint")
    d.circle(x, y, 42, "paper", THIN)
    _slotted_ring(d, x, y, 25, 42, 8, "tint")
    d.circle(x, y, 24, "paper")
    _split_pin_front(d, x, y, 48, 24)
    _spindle_side(d, y)
    _hex_side(d, 254, 294, y, 52)
    d.poly([(272, y - 56), (304, y - 56), (304, y - 34), (330, y - 34), (330, y + 34), (304, y + 34), (304, y + 56), (272, y + 56)], "tint")
    for k in (-22, 0, 22):
        d.rect(310, y + k - 4.5, 330, y + k + 4.5, "paper", THIN + 0.6)
    d.circle(320, y, 4.5, "ink", 0)
    return d


def nut_twin() -> Drawing:
    d = Drawing(
        "Twin nut",
        "Two nuts with a lock washer between them: the inner one adjusts the play, the outer one locks it. "
        "Left from outboard, right from the side.",
        158,
    )
    x, y = 106, 80
    d.poly(hexagon(x, y, 64, 30), "tint")
    d.circle(x, y, 50, "none", THIN)
    d.circle(x, y, 26, "paper")
    d.circle(x, y, 21, "none", THIN)
    d.rect(x - 5, y - 27, x + 5, y - 17, "tint", THIN + 0.6)  # tongue of the washer in the keyway
    _spindle_side(d, y, 384)
    _hex_side(d, 254, 290, y, 54)
    d.rect(290, y - 60, 297, y + 60, "paper", THIN + 0.6)  # lock washer, a tab bent over the outer nut
    d.poly([(290, y - 66), (316, y - 66), (316, y - 59), (297, y - 59), (297, y - 52), (290, y - 52)], "paper", THIN + 0.6)
    _hex_side(d, 298, 332, y, 54, "tint")
    return d


def nut_tab_washer() -> Drawing:
    d = Drawing(
        "Tab washer",
        "A sheet-metal washer behind the nut: its tongue lies in the groove of the spindle, and one of its tabs "
        "is bent up against a flat of the nut. Left from outboard, right from the side.",
        158,
    )
    x, y = 106, 80
    for turn in (-60, 60, 120, 180, 240):  # tabs still flat
        a = math.radians(turn)
        u, v = (math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a))
        d.poly([(x + u[0] * r + v[0] * t, y + u[1] * r + v[1] * t) for r, t in ((50, -11), (73, -11), (73, 11), (50, 11))], "tint")
    d.circle(x, y, 62, "tint")
    d.poly(hexagon(x, y, 54, 30))
    d.rect(x + 46.8, y - 13, x + 55, y + 13, "tint")  # the tab that is bent up
    _threaded_end(d, x, y)
    d.rect(x - 5, y - 27, x + 5, y - 17, "tint", THIN + 0.6)
    d.rect(220, y - 20, 250, y + 20, "paper", THIN + 0.6)
    _hex_side(d, 254, 298, y, 54)
    d.thread(298, y - 16, 376, y + 16)
    d.rect(246, y - 73, 254, y + 73, "tint")
    d.rect(246, y - 13, 286, y + 13, "tint")
    return d


def _threaded_end(d: Drawing, x: float, y: float) -> None:
    d.circle(x, y, 26)
    d.circle(x, y, 21, "none", THIN)


def nut_staked() -> Drawing:
    d = Drawing(
        "Staked nut",
        "The thin collar of the nut is driven into the groove of the spindle. Left from outboard, right from the side.",
        158,
    )
    x, y = 106, 80
    d.poly(hexagon(x, y, 62, 30), "tint")
    d.circle(x, y, 42, "tint")
    _threaded_end(d, x, y)
    d.rect(x - 8, y - 26, x + 8, y - 12)  # groove, and the collar driven into it
    d.poly([(x - 12, y - 43), (x + 12, y - 43), (x + 5, y - 15), (x - 5, y - 15)], "ink")
    d.rect(220, y - 20, 250, y + 20, "paper", THIN + 0.6)
    d.rect(246, y - 46, 254, y + 46, "paper", THIN + 0.6)
    _hex_side(d, 254, 300, y, 54, "tint")
    d.rect(300, y - 36, 328, y + 36, "tint")
    d.thread(328, y - 20, 380, y + 20)
    d.rect(328, y - 20, 380, y - 9)
    d.poly([(304, y - 36), (324, y - 36), (318, y - 12), (310, y - 12)], "ink")
    return d
