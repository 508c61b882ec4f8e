"""Where a dial indicator stands."""

from __future__ import annotations

import math

from .pen import THIN, Drawing, Point, Section
from .wheel_ends import hub_and_bearings, spindle


def _indicator(d: Drawing, x: float, y: float, tip: Point) -> None:
    """A dial indicator with its plunger running to the tip, horizontally."""
    way = 1 if tip[0] > x else -1
    d.rect(*_ordered(x + 28 * way, tip[0] - 10 * way, y - 5, y + 5), "paper", THIN + 0.6)
    d.line((tip[0] - 10 * way, y), tip, width=3)
    d.circle(x, y, 30, "tint")
    d.circle(x, y, 23, "paper", THIN)
    for k in range(12):
        a = math.radians(30 * k)
        d.line((x + 18 * math.cos(a), y + 18 * math.sin(a)), (x + 22 * math.cos(a), y + 22 * math.sin(a)), width=1.4)
    d.line((x, y), (x + 9, y - 14), width=2.4)
    d.circle(x, y, 3, "ink", 0)


def _ordered(x1: float, x2: float, y1: float, y2: float) -> tuple[float, float, float, float]:
    return min(x1, x2), y1, max(x1, x2), y2


def indicator_on_hub() -> Drawing:
    d = Drawing(
        "Dial indicator on the hub",
        "Section along the spindle: the indicator's base is clamped to the end of the spindle, its plunger "
        "runs parallel to the spindle onto the hub face; the rotor is pushed and pulled straight.",
    )
    s = Section(d)
    spindle(s)
    hub_and_bearings(s)
    s.ring(276, 13, 281, 26, "paper", THIN + 0.6)
    s.ring(281, 13, 297, 25, "cut-fine")
    d.center_line((50, 150), (326, 150))
    d.rect(300, 138, 326, 162, "tint")  # clamp on the spindle's end
    d.line((322, 140), (350, 108), (350, 96), width=5)
    _indicator(d, 350, 70, (253, 70))
    d.arrow((150, 30), (178, 30), 3, both=False)
    d.arrow((150, 30), (122, 30), 3)
    d.arrow((150, 270), (178, 270), 3)
    d.arrow((150, 270), (122, 270), 3)
    d.mark(1, (326, 222), (314, 160))
    d.mark(2, (290, 28), (278, 70))
    d.mark(3, (226, 34), (251, 70))
    d.mark(4, (92, 24), (118, 30))
    d.legend("base on spindle", "plunger, parallel", "hub face", "push and pull")
    return d


def indicator_on_rotor() -> Drawing:
    d = Drawing(
        "Dial indicator on the rotor",
        "Seen from the front, outboard on the right: the rotor is held flat by nuts and spacers, the "
        "indicator's plunger stands square on the rotor face just inside its edge.",
    )
    d.rect(40, 60, 76, 276, "cut-back")  # knuckle
    d.rect(76, 130, 190, 170, "paper")
    d.path("M168 20H176V280H168ZM186 20H194V280H186Z", "grey")
    d.rect(176, 22, 186, 278, "paper", THIN)
    d.rect(194, 86, 240, 214, "grey")
    for y in (112, 188):
        d.thread(240, y - 6, 292, y + 6)
        d.rect(240, y - 14, 252, y + 14, "paper", THIN + 0.6)  # spacer
        d.rect(252, y - 16, 272, y + 16)
        d.line((252, y - 6), (272, y - 6))
        d.line((252, y + 6), (272, y + 6))
    d.rect(240, 132, 268, 168, "paper")
    _indicator(d, 300, 44, (195, 44))
    d.line((300, 74), (336, 96), (336, 286), width=5)
    d.rect(300, 280, 372, 294, "tint")
    d.arc_arrow(130, 250, 22, 200, -20, 3)
    d.mark(1, (360, 190), (336, 200))
    d.mark(2, (236, 18), (218, 44))
    d.mark(3, (300, 150), (264, 118))
    d.mark(4, (104, 282), (118, 232))
    d.legend("base, rigid", "plunger, square", "all nuts, spacers", "one full turn")
    return d


def indicator_on_flange() -> Drawing:
    d = Drawing(
        "Dial indicator on the hub flange",
        "Seen from the front, outboard on the right, the rotor off: the indicator's base stands on the knuckle's side, its plunger square "
        "to the bare flange between its studs or holes and its edge.",
        286,
    )
    d.rect(60, 40, 104, 262, "cut-back")  # knuckle
    d.rect(104, 104, 186, 196)
    d.rect(186, 62, 208, 238, "tint")
    d.rect(208, 124, 226, 176)
    for y in (98, 202):
        d.thread(208, y - 7, 262, y + 7)
    _indicator(d, 310, 74, (209, 74))
    d.line((310, 104), (346, 124), (346, 256), width=5)
    d.path("M346 256V272H82V262", "none", 5)
    d.arc_arrow(146, 150, 22, 200, -20, 3)
    d.mark(1, (376, 190), (346, 196))
    d.mark(2, (250, 26), (232, 74))
    d.mark(3, (150, 40), (196, 76))
    d.mark(4, (32, 150), (130, 134))
    d.legend("base on knuckle", "plunger square", "bare flange", "one slow turn")
    return d
