"""Sections through the wheel end, along the axle, outboard on the right; contours as (x, radius)."""

from __future__ import annotations

from .pen import THIN, Drawing, Point, Section

_VIEW = "Section along the axle, outboard on the right."


def tapered_bearing(section: Section, x_large: float, x_small: float, bore: float, outside: float, tint: bool = False) -> None:
    """A tapered roller bearing: cup, cone and rollers; the large ends of the rollers at x_large."""
    way = 1 if x_small > x_large else -1
    height = outside - bore
    cup = [bore + height * k for k in (0.86, 0.64)]  # raceway of the cup, large end then small
    cone = [bore + height * k for k in (0.42, 0.27)]  # raceway of the cone
    a, b = x_large + 5 * way, x_small - 3 * way  # ends of the rollers
    section.cut(
        [(x_large + 3 * way, outside), (x_small, outside), (x_small, cup[1]), (x_large + 3 * way, cup[0])],
        "tint-cut" if tint else "cut-fine",
        THIN + 0.6,
    )
    rib = bore + height * 0.58
    section.cut(
        [
            (x_large - 2 * way, bore), (x_small + 2 * way, bore), (x_small + 2 * way, cone[1] + 2), (b, cone[1] + 2), (b, cone[1]),
            (a, cone[0]), (a, rib), (x_large - 2 * way, rib),
        ],
        "tint-cut-fine" if tint else "cut-fine-back",
        THIN + 0.6,
    )  # fmt: skip
    section.cut([(a, cone[0]), (b, cone[1]), (b, cup[1] - 0.4), (a, cup[0] - 0.8)], "paper", THIN + 0.6)


def _disc(section: Section, hat: list[Point], fill: str = "tint-cut") -> None:
    """A vented disc: the outboard cheek is one piece with the hat, vanes join the inboard one."""
    section.ring(190, 88, 200, 138, "paper", THIN)  # a passage between two vanes
    section.ring(182, 88, 190, 138, fill)
    section.cut([(208, 138), (200, 138), *hat], fill)


def _knuckle(section: Section, inner: float, outer: float = 116) -> None:
    section.ring(96, inner, 132, outer, "cut-back")


def _hub_unit(section: Section, tint: bool = False) -> None:
    """A closed hub unit: outer ring with its mounting flange, two rows of balls, hub with wheel flange."""
    section.cut(
        [(104, 42), (196, 42), (196, 58), (148, 58), (148, 82), (132, 82), (132, 58), (104, 58)], "tint-cut" if tint else "cut-fine"
    )
    section.cut(
        [(104, 14), (254, 14), (268, 14), (268, 32), (254, 32), (254, 72), (238, 72), (238, 34), (226, 30), (104, 30)],
        "tint-cut-fine" if tint else "cut",
    )
    for x in (124, 176):
        section.balls(x, 36, 9.5)
    for side in (-1, 1):  # bolt from behind
        y = section.axis + side * 70
        section.drawing.rect(82, y - 9, 96, y + 9)
        section.drawing.rect(96, y - 5, 150, y + 5, "paper", THIN)


def _studs(section: Section, r: float, start: float = 236, seat: float = 262) -> None:
    for side in (-1, 1):
        y = section.axis + side * r
        section.drawing.rect(start - 7, y - 9, start, y + 9)
        section.drawing.rect(start, y - 5.5, seat, y + 5.5, "paper", THIN)
        section.drawing.thread(seat, y - 5.5, 312, y + 5.5)


def _base(title: str, description: str) -> tuple[Drawing, Section]:
    drawing = Drawing(title, f"{_VIEW} {description}")
    return drawing, Section(drawing)


def rotor_slip_on() -> Drawing:
    d, s = _base(
        "Slip-on rotor",
        "The rotor hat sits on the hub flange over wheel studs or the holes of wheel bolts, with a gap round the hub "
        "register, and comes off straight outboard.",
    )
    _knuckle(s, 60)
    _hub_unit(s)
    _studs(s, 54, start=238)
    _disc(s, [(200, 76), (254, 76), (254, 35), (262, 35), (262, 84), (208, 84)])
    for side in (-1, 1):
        d.rect(254, 150 + side * 54 - 5.5, 262, 150 + side * 54 + 5.5, "paper", THIN)
    d.center_line((60, 150), (350, 150))
    d.arrow((330, 66), (378, 66), 4)
    d.arrow((330, 234), (378, 234), 4)
    return d


def spindle(s: Section) -> None:
    """The spindle of a hub rotor, with its knuckle."""
    s.ring(70, 40, 104, 112, "cut-back")
    s.shaft([(70, 40), (104, 40), (122, 30), (130, 24), (182, 24), (190, 21), (232, 17), (276, 17), (276, 13), (312, 13)])
    s.drawing.thread(276, s.axis - 13, 312, s.axis + 13)


HUB_CASTING: list[Point] = [
    (208, 138), (200, 138), (200, 78), (238, 78), (238, 62), (132, 56), (132, 47), (180, 47), (180, 32), (236, 32), (236, 38), (272, 38),
    (272, 50), (252, 54), (252, 86), (208, 86),
]  # fmt: skip


def hub_and_bearings(s: Section, tint_bearings: bool = False, tint_hub: bool = False) -> None:
    """Hub casting with its disc, two tapered roller bearings with their small ends facing each other, seal, nut."""
    fill = "tint-cut" if tint_hub else "cut"
    s.ring(190, 90, 200, 138, "paper", THIN)
    s.ring(182, 90, 190, 138, fill)
    s.cut(HUB_CASTING, fill)
    tapered_bearing(s, 142, 180, 24, 47, tint_bearings)
    tapered_bearing(s, 270, 236, 17, 38, tint_bearings)
    s.ring(130, 29, 137, 47, "ink", THIN)  # seal


def rotor_hub() -> Drawing:
    d, s = _base(
        "Hub rotor",
        "Rotor and hub are one piece, with studs or threads for the wheel, turning on two tapered roller bearings on a spindle, under a dust cap.",
    )
    spindle(s)
    hub_and_bearings(s, tint_hub=True)
    s.ring(276, 13, 281, 26, "paper", THIN + 0.6)  # washer
    s.ring(281, 13, 297, 25, "cut-fine")  # nut
    for side in (-1, 1):
        y = 150 + side * 70
        d.rect(230, y - 9, 238, y + 9)
        d.rect(238, y - 5.5, 252, y + 5.5, "paper", THIN)
        d.thread(252, y - 5.5, 312, y + 5.5)
    cap = [(264, 38), (276, 38), (276, 36), (318, 34), (326, 26), (328, 0)]
    d.path("M" + "L".join(f"{x} {150 - r}" for x, r in cap) + "L" + "L".join(f"{x} {150 + r}" for x, r in reversed(cap)), "none", 3.4)
    d.center_line((50, 150), (350, 150))
    d.arrow((338, 48), (386, 48), 4)
    d.arrow((338, 252), (386, 252), 4)
    return d


def rotor_captured() -> Drawing:
    d, s = _base("Captured rotor", "The rotor sits behind the hub flange and is bolted to it from behind; it comes off only with the hub.")
    _knuckle(s, 60)
    _hub_unit(s)
    s.ring(238, 34, 254, 92, "cut")  # the flange reaches over the rotor
    _disc(s, [(200, 84), (226, 84), (226, 46), (238, 46), (238, 92), (208, 92)])
    for side in (-1, 1):
        y = 150 + side * 66
        d.rect(212, y - 9, 226, y + 9, "tint")  # bolt from behind
        d.rect(226, y - 5, 250, y + 5, "paper", THIN)
        y = 150 + side * 82
        d.thread(254, y - 5.5, 312, y + 5.5)
        d.arrow((150, 150 + side * 100), (196, 150 + side * 70), 3)
    d.center_line((60, 150), (350, 150))
    return d


def bearing_tapered_roller() -> Drawing:
    d, s = _base("Tapered roller bearings", "Two tapered roller bearings face each other in the hub, set by a nut on the spindle.")
    s.shaft([(40, 46), (70, 46), (86, 36), (170, 36), (190, 32), (250, 26), (320, 26), (320, 20), (372, 20)])
    d.thread(320, 130, 372, 170)
    s.cut(
        [
            (72, 84),
            (72, 71),
            (156, 71),
            (156, 48),
            (246, 48),
            (246, 57),
            (314, 57),
            (314, 74),
            (290, 80),
            (290, 118),
            (268, 118),
            (268, 92),
        ],
        "cut",
    )
    tapered_bearing(s, 88, 156, 36, 71, tint=True)
    tapered_bearing(s, 308, 246, 26, 57, tint=True)
    s.ring(72, 44, 82, 71, "ink", THIN)
    s.ring(320, 20, 327, 40, "paper", THIN + 0.6)
    s.ring(327, 20, 350, 38, "cut-fine")
    d.center_line((20, 150), (390, 150))
    return d


def bearing_hub_unit() -> Drawing:
    d, s = _base(
        "Hub unit", "A closed bearing unit with its own wheel flange, held to the knuckle by bolts from behind; nothing can be adjusted."
    )
    _knuckle(s, 60, 120)
    _hub_unit(s, tint=True)
    _studs(s, 54, start=238, seat=254)
    d.center_line((60, 150), (350, 150))
    return d


def bearing_pressed() -> Drawing:
    d, s = _base("Pressed cartridge", "A closed bearing pressed into the knuckle behind a snap ring, with the hub pressed into it.")
    s.cut(
        [
            (96, 60),
            (198, 60),
            (198, 66),
            (206, 66),
            (206, 74),
            (190, 84),
            (150, 84),
            (140, 122),
            (110, 122),
            (110, 84),
            (88, 84),
            (88, 52),
            (96, 52),
        ],
        "cut-back",
    )
    s.ring(198, 56, 204, 67, "ink", 0)  # snap ring in its groove
    s.ring(98, 46, 196, 60, "tint-cut")
    s.ring(98, 24, 196, 36, "tint-cut-fine")
    for x in (122, 172):
        s.balls(x, 41, 10)
    s.cut([(98, 12), (262, 12), (262, 34), (248, 34), (248, 92), (230, 92), (230, 40), (212, 34), (200, 24), (98, 24)], "cut")
    _studs(s, 70, start=230, seat=248)
    d.center_line((60, 150), (350, 150))
    return d
