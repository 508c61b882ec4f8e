"""Where a hose or a line joins: sections with the caliper below."""

from __future__ import annotations

import math

from .pen import THIN, Drawing, Point, on


def hose_banjo() -> Drawing:
    d = Drawing(
        "Banjo hose end",
        "Section through a banjo: a banjo bolt holds the ring of the hose between two new crush washers; its cross hole feeds the ring.",
        262,
    )
    d.path("M60 178H178V252H60ZM222 178H340V252H222Z", "cut")  # caliper with threaded hole
    d.path("M178 178H222V252H178Z", "paper", 0)
    d.thread(178, 178, 222, 240, 6)
    for y in (70, 158):
        d.rect(140, y, 182, y + 14, "tint")
        d.rect(218, y, 260, y + 14, "tint")
    d.path("M140 84H174V158H140Z", "cut-back")  # ring of the hose end
    d.path("M226 84H260V104H360V138H260V158H226Z", "cut-back")
    d.path("M226 112H360V130H226Z", "paper", THIN + 0.6)
    d.path("M360 98H392V144H360Z", "grey")
    d.poly([(182, 70), (218, 70), (218, 178), (182, 178)], "paper")
    d.poly([(146, 26), (254, 26), (254, 70), (146, 70)], "paper")
    d.line((176, 26), (176, 70))
    d.line((224, 26), (224, 70))
    d.path("M194 240V121H182M206 240V121H218", "none", THIN, dash="5 3")
    d.path("M182 113H218M182 129H218", "none", THIN, dash="5 3")
    d.path("M300 121H206Q200 121 200 128V222", "none", 3)
    d.arrow((200, 200), (200, 232), 3)
    d.mark(1, (96, 48), (150, 48))
    d.mark(2, (60, 104), (150, 77))
    d.mark(2, (60, 140), (150, 165))
    d.mark(3, (320, 66), (318, 108))
    d.mark(4, (36, 220), (84, 216))
    d.legend("banjo bolt", "two new washers", "ring of the hose", "caliper")
    return d


def hose_screwed() -> Drawing:
    d = Drawing(
        "Hose end screwed in",
        "Section through the caliper: the end of the hose has its own hex and threads straight into the caliper on a crush washer; "
        "the whole hose turns with it.",
        262,
    )
    d.path("M60 178H178V252H60ZM222 178H340V252H222Z", "cut")
    d.path("M178 178H222V252H178Z", "paper", 0)
    d.thread(178, 178, 222, 236, 6)
    d.rect(158, 164, 242, 178, "tint")
    d.tube("M200 4V60", 44, "grey")
    d.rect(166, 46, 234, 112)  # crimped sleeve
    for y in (62, 78, 94):
        d.line((166, y), (234, y), width=THIN)
    d.rect(146, 112, 254, 164)
    d.line((174, 112), (174, 164))
    d.line((226, 112), (226, 164))
    d.path("M193 60V236M207 60V236", "none", THIN, dash="5 3")
    d.path("M160 18Q162 36 200 36Q238 36 241 22", "none", 3)
    d.head((240, 34), (242, 16), 11)
    d.mark(1, (300, 22), (216, 14))
    d.mark(2, (310, 118), (244, 138))
    d.mark(3, (96, 128), (166, 171))
    d.mark(4, (36, 220), (84, 216))
    d.legend("hose", "its own hex", "washer, if any", "caliper")
    return d


# ---- A line in its port: right half as (across, down from the top of the nut), mirrored ----

_DOUBLE: dict[str, list[Point]] = {
    "line": [(10, -40), (20, -40), (20, 80), (46, 106), (37, 115), (10, 88)],
    "nut": [(21, 0), (60, 0), (60, 36), (50, 36), (50, 107), (46.5, 106.5), (21, 81.5)],
    "port": [(50, 42), (84, 42), (84, 150), (10, 150), (10, 90), (44, 124), (50, 124)],
}
_BUBBLE: dict[str, list[Point]] = {
    "line": [(10, -40), (20, -40), (20, 72), (36, 73), (43, 80), (43, 90), (18, 115), (10, 115), (10, 105), (29, 87), (27, 83), (10, 82)],
    "nut": [(21, 0), (60, 0), (60, 36), (50, 36), (50, 72), (21, 72)],
    "port": [(50, 42), (84, 42), (84, 150), (10, 150), (10, 124), (50, 84)],
}


def _flared(d: Drawing, x: float, y: float, kind: dict[str, list[Point]]) -> None:
    for part, fill in (("port", "cut-back"), ("nut", "cut-fine"), ("line", "tint-cut-fine")):
        for side in (-1, 1):
            d.poly([(x + side * across, y + down) for across, down in kind[part]], fill, THIN + 0.8)
    if kind is _DOUBLE:  # where the metal is folded back
        for side in (-1, 1):
            d.line((x + side * 15, y + 84), (x + side * 41.5, y + 110.5))
    for side in (-1, 1):  # thread
        d.line((x + side * 50, y + 42), (x + side * 50, y + 72), width=5)
    d.center_line((x, y - 42), (x, y + 156))


def hose_pipe_union() -> Drawing:
    d = Drawing(
        "Pipe union",
        "Section through the caliper: a short brake line runs into the port and is pressed on its seat by a small tube nut.",
        222,
    )
    _flared(d, 200, 60, _DOUBLE)
    d.mark(1, (290, 34), (215, 36))
    d.mark(2, (310, 84), (246, 84))
    d.mark(3, (70, 104), (166, 164))
    d.mark(4, (338, 176), (266, 180))
    d.legend("brake line", "tube nut", "flare on its seat", "caliper")
    return d


def line_flares() -> Drawing:
    d = Drawing(
        "Two kinds of flare",
        "Sections: a double flare opens like a funnel on a raised cone; a bubble flare is round like a button in a hollow cone. Neither "
        "seals on the seat of the other.",
        262,
    )
    for x, kind, name, seat in ((104, _DOUBLE, "double flare", "on a raised cone"), (296, _BUBBLE, "bubble flare", "in a hollow cone")):
        _flared(d, x, 46, kind)
        d.text(x, 224, name, weight=600)
        d.text(x, 247, seat)
    return d


def hose_twist() -> Drawing:
    d = Drawing(
        "Hose without and with a twist",
        "Two hoses: on the left the printed line runs straight from end to end; on the right it winds round the hose, which is twisted.",
        230,
    )
    for x, name in ((110, "straight"), (290, "twisted")):
        d.rect(x - 20, 8, x + 20, 36)
        d.rect(x - 13, 36, x + 13, 52, "grey")
        d.rect(x - 16, 52, x + 16, 164, "tint")
        d.rect(x - 13, 164, x + 13, 180, "grey")
        d.rect(x - 20, 180, x + 20, 200)
        d.text(x, 224, name, weight=600)
    d.line((110, 52), (110, 164), width=4)
    for k in range(4):
        d.line((274, 76 + 28 * k), (306, 56 + 28 * k), width=4)
    d.mark(1, (40, 108), (108, 108))
    d.mark(1, (360, 108), (294, 92))
    d.legend("printed line of the hose", columns=1)
    return d


def crowfoot() -> Drawing:
    d = Drawing(
        "Crowfoot on a torque wrench",
        "From above: in line with the wrench the crowfoot makes the lever longer, and the nut gets more than the wrench shows; at a right "
        "angle the lever keeps its length.",
        242,
    )
    for y, square in ((36, False), (186, True)):
        d.rect(20, y - 9, 250, y + 9, "grey")
        d.rect(20, y - 13, 96, y + 13)
        nut = (264, y - 70) if square else (336, y)
        ux, uy = (nut[0] - 264) / math.dist(nut, (264, y)), (nut[1] - y) / math.dist(nut, (264, y))
        arm = [(264 + ux * a - uy * b, y + uy * a + ux * b) for a, b in ((0, -9), (48, -9), (48, 9), (0, 9))]
        d.poly(arm, "tint")
        d.circle(*nut, 24, "tint")
        d.poly([on(*nut, 13, 60 * k + (0 if square else 30)) for k in range(6)])
        d.circle(264, y, 17)
        d.rect(258, y - 6, 270, y + 6, "grey")
    d.text(150, 84, "in line: the nut gets more")
    d.text(150, 232, "square: the nut gets the setting")
    return d
