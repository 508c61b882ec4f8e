"""Where a reading is taken, and what goes where in the hub."""

from __future__ import annotations

import math

from .pen import THIN, Drawing, Section, on


def drag_by_cord() -> Drawing:
    d = Drawing(
        "Drag read with a spring balance",
        "From outboard: a cord is wound round the studs, or round the hat where there are none, and drawn off at a right angle to its radius by a spring balance, until the rotor "
        "turns slowly and evenly.",
        232,
    )
    x, y, r = 122, 116, 50
    d.circle(x, y, 106, "grey")
    d.circle(x, y, 70)
    d.circle(x, y, 20, "paper", THIN)
    d.circle(x, y, r, "none", 4)
    for k in range(5):
        d.circle(*on(x, y, 43, 72 * k - 90), 7, "ink", 0)
    d.line((x, y - r), (262, y - r), width=4)
    d.circle(268, y - r, 7)
    d.rect(275, y - r - 12, 350, y - r + 12, "tint")
    for k in range(6):
        d.line((284 + 11 * k, y - r - 12), (284 + 11 * k, y - r - 3))
    d.circle(358, y - r, 7)
    d.arrow((294, 116), (352, 116), 4)
    d.arc_arrow(x, y, 88, -140, -40, 3)
    d.mark(1, (250, 28), (226, y - r))
    d.mark(2, (330, 28), (318, y - r))
    d.mark(3, (226, 196), (on(x, y, 43, 54)))
    d.legend("cord", "spring balance", "studs or hat")
    return d


def eight_points() -> Drawing:
    d = Drawing(
        "Eight points of thickness",
        "The rotor face with eight points, an eighth of a turn apart, on a circle well inside the worn edge; "
        "left, the rotor from its edge with the micrometer at that radius.",
        328,
    )
    x, y, ring = 258, 150, 102
    d.circle(x, y, 136, "grey")
    d.circle(x, y, 130, "none", THIN)
    d.circle(x, y, 74, "paper")
    d.circle(x, y, 28, "paper")
    for k in range(5):
        a = math.radians(72 * k - 90)
        d.circle(x + 51 * math.cos(a), y + 51 * math.sin(a), 7, "paper", THIN + 0.6)
    d.circle(x, y, ring, "none", THIN, dash="6 4")
    for k in range(8):
        a = math.radians(45 * k - 90)
        d.mark(k + 1, (x + ring * math.cos(a), y + ring * math.sin(a)))
    # From its edge: the friction faces are worn, a lip is left outside and inside of them.
    d.poly(
        [(58, 28), (74, 28), (74, 34), (72, 34), (72, 78), (74, 78), (74, 286), (58, 286), (58, 78), (60, 78), (60, 34), (58, 34)], "cut"
    )
    reach = y - ring
    d.line((76, reach), (x - 12, reach), width=1, dash="4 4")
    d.path(f"M30 {reach + 14}V30Q30 8 52 8H82Q104 8 104 30V{reach + 14}H92V30Q92 20 82 20H52Q42 20 42 30V{reach + 14}Z", "tint")
    d.rect(42, reach - 4, 60, reach + 4, "paper", THIN + 0.6)
    d.rect(72, reach - 4, 92, reach + 4, "paper", THIN + 0.6)
    d.rect(104, reach - 10, 138, reach + 10, "paper")
    for k in range(4):
        d.line((110 + 7 * k, reach - 10), (110 + 7 * k, reach - 3))
    d.text(200, 316, "eight points, 45° apart, on one radius")
    return d


def pad_readings() -> Drawing:
    d = Drawing(
        "Where to read a pad",
        "A pad from its friction side, the rotor running over it from the leading end on the left to the trailing end on "
        "the right. Two readings: leading end, trailing end. Four readings in this order: 1 leading end at the outer edge, "
        "2 leading end at the inner edge, 3 trailing end at the outer edge, 4 trailing end at the inner edge. Beside it the pad "
        "from its edge: the lining is read without the backing plate.",
        312,
    )
    d.path("M34 66H58V44Q140 16 222 44V66H246V138H222V172H58V138H34Z", "paper")
    d.path("M66 62Q140 36 214 62V160H66Z", "tint")
    d.line((140, 49), (140, 160), width=THIN)
    d.mark(1, (84, 78))
    d.mark(2, (84, 142))
    d.mark(3, (196, 78))
    d.mark(4, (196, 142))
    d.poly([(310, 40), (322, 40), (322, 180), (310, 180)], "paper")
    d.poly([(322, 50), (346, 50), (340, 170), (322, 170)], "tint-cut")
    d.line((322, 32), (322, 18), width=1)
    d.line((346, 46), (346, 18), width=1)
    d.arrow((334, 22), (346, 22), 1.6)
    d.arrow((334, 22), (322, 22), 1.6)
    d.line((322, 176), (322, 204), width=1)
    d.line((340, 174), (340, 204), width=1)
    d.arrow((300, 200), (322, 200), 1.6)
    d.arrow((362, 200), (340, 200), 1.6)
    d.text(84, 196, "leading")
    d.text(196, 196, "trailing")
    d.arrow((40, 12), (240, 12))
    d.text(331, 228, "lining only")
    d.text(200, 256, "arrow: rotor travel; outer edge on top")
    d.text(200, 280, "two readings: leading, trailing")
    d.text(200, 304, "four readings: 1, 2, 3, 4")
    return d


def race_order() -> Drawing:
    d = Drawing(
        "Order in the hub",
        "The hub in section with its parts drawn out along the spindle: the small ends of both sets of rollers face each other.",
        250,
    )
    s = Section(d, 118)
    s.cut(
        [
            (150, 62),
            (150, 52),
            (178, 52),
            (178, 36),
            (222, 36),
            (222, 42),
            (250, 42),
            (250, 56),
            (240, 60),
            (240, 86),
            (226, 86),
            (226, 68),
        ],
        "cut",
    )
    _cup(s, 128, 150, 52, 44, 36)
    _cup(s, 272, 252, 42, 35, 28)
    _cone(s, 84, 112, 26, 44, 36)
    _cone(s, 316, 290, 20, 35, 28)
    s.ring(58, 32, 66, 52, "ink", THIN)
    s.ring(332, 15, 338, 32, "paper", THIN + 0.6)
    s.ring(350, 15, 368, 30, "cut-fine")
    d.center_line((20, 118), (390, 118))
    for n, x, top in ((1, 62, 66), (2, 96, 62), (3, 138, 58), (4, 200, 66), (5, 262, 48), (6, 304, 48), (7, 335, 40), (8, 362, 36)):
        d.mark(n, (x, 190 if n == 7 else 216), (x, 118 + top - 14))
    d.legend(
        "grease seal",
        "inner cone",
        "inner race",
        "hub",
        "outer race",
        "outer cone",
        "washer",
        "nut",
    )
    return d


def _cup(s: Section, large: float, small: float, outside: float, r_large: float, r_small: float) -> None:
    s.cut([(large, outside), (small, outside), (small, r_small), (large, r_large)], "tint-cut")


def _cone(s: Section, large: float, small: float, bore: float, r_large: float, r_small: float) -> None:
    way = 1 if small > large else -1
    mid_l, mid_s = bore + (r_large - bore) * 0.45, bore + (r_small - bore) * 0.35
    s.cut(
        [
            (large - 6 * way, bore),
            (small + 4 * way, bore),
            (small + 4 * way, mid_s + 2),
            (small, mid_s),
            (large, mid_l),
            (large, mid_l + 5),
            (large - 6 * way, mid_l + 5),
        ],
        "tint-cut-fine",
    )
    s.cut(
        [(large + 1.5 * way, mid_l), (small - 1.5 * way, mid_s), (small - 1.5 * way, r_small), (large + 1.5 * way, r_large)],
        "paper",
        THIN + 0.6,
    )


def cone_packing() -> Drawing:
    d = Drawing(
        "Packing a cone",
        "Section of a cone held wide end down against the palm: grease goes in at the wide end until it comes "
        "out between the rollers at the narrow end.",
        290,
    )
    y_wide, y_small = 196, 92
    for side in (-1, 1):

        def x(r: float, side: int = side) -> float:
            return 200 + side * r

        d.poly(
            [
                (x(48), y_wide + 16),
                (x(48), y_small - 10),
                (x(62), y_small - 10),
                (x(62), y_small),
                (x(60), y_small),
                (x(78), y_wide),
                (x(92), y_wide),
                (x(92), y_wide + 16),
            ],
            "cut-fine",
        )
        d.poly([(x(63), y_small + 3), (x(88), y_small - 3), (x(110), y_wide - 6), (x(81), y_wide - 2)], "tint")
        d.poly([(x(88), y_small - 14), (x(94), y_small - 14), (x(118), y_wide + 2), (x(112), y_wide + 2)], "paper", THIN + 0.6)
        d.arrow((x(104), y_wide + 54), (x(101), y_wide + 6), 4)
        d.path(f"M{x(64)} {y_small - 8}q{4 * side} -14 {10 * side} -4q{6 * side} -14 {12 * side} 2z", "ink", 0)
    d.line((200, 66), (200, 230), width=1, dash="14 4 3 4")
    d.path("M60 262Q130 232 200 240Q270 232 340 262", "none", 3)
    d.mark(1, (28, 240), (92, 234))
    d.mark(2, (44, 60), (120, 82))
    d.mark(3, (364, 120), (308, 132))
    d.mark(4, (372, 232), (322, 254))
    d.legend("grease in here", "until it shows", "cage", "palm")
    return d
