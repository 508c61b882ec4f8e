"""Wheel bearings being fitted: sections along their axis."""

from __future__ import annotations

from .pen import THIN, Drawing, Point, on


def hub_unit_sensor() -> Drawing:
    d = Drawing(
        "Hub unit with its sensor",
        "Section along the axle, upper half, outboard on the right: the speed sensor looks at a magnetic ring in the inboard seal of the "
        "unit; the unit is bolted to the knuckle from behind.",
        284,
    )
    d.path("M60 30H116V106H60ZM60 122H116V186H60Z", "cut-back")  # knuckle
    d.path("M116 90H140V106H116ZM116 122H140V178H236V210H84V192H116Z", "cut-fine")  # outer ring, its bolt hole
    d.poly([(84, 232), (278, 232), (292, 224), (292, 150), (316, 150), (316, 270), (84, 270)], "cut")
    for x in (118, 202):
        d.circle(x, 221, 17)
    d.rect(228, 211, 236, 231, "ink", 0)
    d.rect(76, 210, 85, 232, "ink", 0)
    d.rect(72, 211, 78, 231, "tint")
    d.rect(58, 107, 140, 121, "paper", THIN)
    d.rect(40, 98, 60, 130)
    d.rect(48, 150, 60, 234, "grey")  # bracket of the sensor
    d.rect(36, 158, 48, 172)
    d.rect(22, 212, 67, 230, "tint")
    d.tube("M22 221H4", 8, "grey")
    d.rect(278, 166, 292, 190)
    d.thread(316, 171, 384, 185)
    d.rect(292, 171, 316, 185, "paper", THIN)
    d.center_line((10, 279), (390, 279))
    d.text(36, 20, "inboard")
    d.text(350, 20, "outboard")
    d.mark(1, (28, 256), (44, 222))
    d.mark(2, (140, 252), (75, 222))
    d.mark(3, (20, 80), (48, 112))
    d.mark(4, (356, 226), (306, 226))
    d.legend("speed sensor", "magnetic ring", "bolt from behind", "wheel flange")
    return d


def _half(d: Drawing, x: float, points: list[Point], fill: str) -> None:
    """A contour right of an upright axis, and its mirror."""
    for side in (-1, 1):
        d.poly([(x + side * r, y) for r, y in points], fill)


def _cartridge(d: Drawing, x: float, top: float) -> None:
    _half(d, x, [(46, top), (60, top), (60, top + 70), (46, top + 70)], "tint-cut")
    _half(d, x, [(22, top), (34, top), (34, top + 70), (22, top + 70)], "tint-cut-fine")
    for side in (-1, 1):
        for down in (19, 51):
            d.circle(x + side * 40, top + down, 9)


def _knuckle(d: Drawing, x: float) -> None:
    """The bore with its shoulder below and the groove of the snap ring above."""
    _half(d, x, [(60, 120), (88, 120), (88, 220), (50, 220), (50, 208), (60, 208), (60, 138), (66, 138), (66, 130), (60, 130)], "cut-back")


def cartridge_pressed() -> Drawing:
    d = Drawing(
        "Pressing a cartridge bearing",
        "Sections, the press above. Left: the bearing goes into the knuckle, pressed on its outer ring only. Right: the hub goes into the "
        "bearing, whose inner ring is supported from below.",
        312,
    )
    _knuckle(d, 104)
    _cartridge(d, 104, 92)
    _half(d, 104, [(47, 62), (59, 62), (59, 92), (47, 92)], "grey")
    d.rect(42, 46, 166, 62, "grey")
    _half(d, 104, [(66, 220), (88, 220), (88, 246), (66, 246)], "grey")
    d.arrow((104, 8), (104, 42), 4)
    _knuckle(d, 296)
    _cartridge(d, 296, 138)
    _half(d, 296, [(54, 130), (65, 130), (65, 138), (54, 138)], "ink")
    d.path("M222 62H370V80H318V154H274V80H222Z", "cut")
    _half(d, 296, [(23, 208), (33, 208), (33, 246), (23, 246)], "grey")
    d.arrow((296, 8), (296, 58), 4)
    d.mark(1, (20, 92), (41, 134))
    d.mark(2, (200, 166), (240, 134))
    for x, first, second in ((104, "into the knuckle:", "on the outer ring"), (296, "hub into bearing:", "on the inner ring")):
        d.text(x, 272, first)
        d.text(x, 296, second, weight=600)
    d.legend("groove", "snap ring in it")
    return d


def race_feeler() -> Drawing:
    d = Drawing(
        "Is the race home?",
        "Section through the wall of the hub: left, the race lies on its shoulder and the feeler does not enter; right, a gap is left and "
        "the feeler enters.",
        176,
    )
    for left, gap, name in ((8, 0, "home"), (208, 14, "not home")):
        d.path(f"M{left} 14H{left + 184}V96H{left + 104}V66H{left}Z", "cut-back")
        x = left + 104 - gap
        d.poly([(x, 66), (x, 112), (x - 72, 84), (x - 72, 66)], "tint-cut")
        d.path(f"M{x + 2} {97 if not gap else 70}H{x + 6}V128L{x + 26} 150H{x + 16}L{x + 2} 132Z", "ink", 0)
        d.text(left + 50, 150, name, weight=600)
    d.mark(1, (166, 40), (118, 86))
    d.mark(2, (30, 112), (64, 76))
    d.mark(3, (176, 128), (122, 138))
    d.legend("shoulder", "race", "feeler", columns=3)
    return d


def hub_bar() -> Drawing:
    d = Drawing(
        "Hub held by a bar",
        "From outboard: a bar fastened to the hub by two wheel nuts or bolts rests on the floor over a block that carries nothing else, to the "
        "left while the axle nut is loosened, to the right while it is tightened, for a right-hand thread.",
        232,
    )
    for x, way, name in ((138, -1, "loosen"), (262, 1, "tighten")):
        y = 92
        d.circle(x, y, 54, "grey")
        for k in range(5):
            d.circle(*on(x, y, 36, 72 * k - 90), 6, "ink", 0)
        top, next_to_it = on(x, y, 36, -90), on(x, y, 36, -90 + 72 * way)
        d.tube(f"M{x - 12 * way} {y - 44.8:.1f}L{x + 98 * way} {y + 71}", 22)
        for place in (top, next_to_it):
            d.circle(*place, 8)
        d.rect(x + 64 * way, 176, x + 124 * way, 200, "grey")  # a block flat on the floor
        d.line((x + 74 * way, 188), (x + 114 * way, 188))
        d.poly([on(x, y, 15, 60 * j) for j in range(6)])
        d.arc_arrow(x, y, 24, *((100, -60) if way < 0 else (80, 240)), 3)
        d.text(x, 224, name, weight=600)
    d.line((14, 200), (386, 200), width=3)
    return d


def seal_lip() -> Drawing:
    d = Drawing(
        "Grease seal",
        "Section of the hub's rear end, upper half, the bearing on the right: the seal is flush with the hub, its lip and spring face the "
        "bearing and run on a smooth track of the spindle.",
        206,
    )
    d.path("M70 16H340V70H150V60H70Z", "cut-back")  # hub
    d.poly([(156, 70), (300, 70), (300, 104), (156, 82)], "cut-fine")
    d.poly([(146, 166), (306, 166), (306, 150), (292, 150), (290, 142), (160, 130), (160, 118), (146, 118)], "cut-fine")
    d.poly([(164, 129), (286, 140), (286, 104), (164, 86)], "paper", THIN + 0.6)
    d.path("M40 166H384M40 202H384", "none")
    d.poly([(72, 60), (138, 60), (138, 67), (80, 67), (80, 124), (72, 124)], "tint")
    d.poly([(72, 118), (84, 118), (96, 132), (120, 140), (112, 165), (98, 152), (72, 132)], "ink")
    d.circle(116, 134, 8)
    d.mark(1, (30, 56), (74, 84))
    d.mark(2, (40, 140), (100, 154))
    d.mark(3, (126, 96), (117, 132))
    d.mark(4, (200, 186), (114, 168))
    d.legend("rim, flush", "lip, to bearing", "spring of the lip", "track, smooth")
    return d
