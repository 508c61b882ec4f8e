"""The rotor: solid or vented, and how it is made to run true on its hub."""

from __future__ import annotations

import math

from .pen import THIN, Drawing, Section, on


def _edge(d: Drawing, x: float, y: float, r: float, half: float, vented: bool) -> None:
    """The rotor looked at on its edge, its hat to the right; passages between the vanes close up towards top and bottom."""
    d.rect(x + half, y - r * 0.5, x + half + 34, y + r * 0.5)
    d.rect(x - half, y - r, x + half, y + r, "tint")
    for k in range(-8, 8) if vented else ():
        top, bottom = (y + r * math.sin(math.radians(11 * turn)) for turn in (k + 0.18, k + 0.82))
        d.rect(x - half / 2.6, top, x + half / 2.6, bottom, "ink", 0)


def _section(d: Drawing, vented: bool) -> None:
    s = Section(d, 130)
    if vented:
        s.ring(234, 76, 254, 116, "paper", 1.2)
        s.ring(226, 70, 236, 116, "tint-cut")
        s.cut([(264, 116), (252, 116), (252, 66), (300, 66), (300, 40), (308, 40), (308, 74), (264, 74)], "tint-cut")
    else:
        s.cut([(252, 116), (232, 116), (232, 66), (300, 66), (300, 40), (308, 40), (308, 74), (252, 74)], "tint-cut")
    d.center_line((200, 130), (340, 130))


def disc_solid() -> Drawing:
    d = Drawing(
        "Solid rotor", "Left, the rotor on its edge: one plain band. Right, in section along the axle: one thickness of metal.", 260
    )
    _edge(d, 92, 130, 116, 13, False)
    _section(d, False)
    return d


def disc_vented() -> Drawing:
    d = Drawing(
        "Vented rotor",
        "Left, the rotor on its edge: two cheeks with passages between them. Right, in section along the axle: the cheeks are joined by vanes.",
        260,
    )
    _edge(d, 92, 130, 116, 22, True)
    _section(d, True)
    return d


def tapered_plate() -> Drawing:
    d = Drawing(
        "Tapered correction plate",
        "Section along the axle, outboard on the right: a hub flange that leans, and between it and the rotor a plate whose thick side "
        "fills the gap, so that the rotor runs true. The wedge is drawn far too thick.",
        306,
    )
    d.poly([(60, 120), (150, 120), (150, 176), (60, 176)], "cut")
    d.poly([(138, 66), (158, 66), (180, 230), (160, 230)], "cut")
    d.poly([(158, 66), (190, 66), (190, 230), (180, 230)], "tint-cut")
    for side in (-1, 1):  # rotor: hat and disc
        d.poly(
            [(x, 148 + side * r) for x, r in ((190, 34), (206, 34), (206, 104), (126, 104), (126, 136), (102, 136), (102, 90), (190, 90))],
            "cut-back",
        )
    for y in (98, 198):
        d.thread(206, y - 8, 268, y + 8, 6)
    d.line((190, 8), (190, 288), width=1, dash="6 5")
    d.line((152.7, 22), (185.4, 274), width=1, dash="6 5")
    d.rect(160, 59, 188, 66, "ink", 0)
    d.mark(1, (48, 222), (166, 216))
    d.mark(2, (322, 150), (186, 160))
    d.mark(3, (322, 44), (184, 62))
    d.mark(4, (322, 262), (122, 272))
    d.legend("flange that leans", "correction plate", "mark: thick side", "rotor, now true")
    return d


def rotor_index() -> Drawing:
    d = Drawing(
        "Rotor turned on its hub",
        "From outboard: left, the rotor's mark stands at the marked stud or bolt hole; right, the rotor has been turned one place further on the "
        "hub.",
        212,
    )
    for x, name, turned in ((100, "mark to mark", 0), (300, "one place further", 1)):
        y = 92
        d.circle(x, y, 84, "grey")
        d.circle(x, y, 54)
        d.circle(x, y, 18, "paper", THIN)
        for k in range(5):
            d.circle(*on(x, y, 34, 72 * k - 90), 8, "paper" if k else "ink", THIN + 0.6)
        angle = 72 * turned - 90
        d.poly([on(x, y, 46, angle), on(x, y, 80, angle - 8), on(x, y, 80, angle + 8)], "tint")
        if turned:
            d.arc_arrow(x, y, 67, -78, -32, 3)
        d.text(x, 200, name, weight=600)
    d.legend_of(("ink", "marked place"), ("tint", "mark on the rotor"))
    return d
