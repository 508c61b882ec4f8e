"""The rotor: solid or vented, from its edge and in section."""

from __future__ import annotations

import math

from .pen import Drawing, Section


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
    d.centre_line((200, 130), (340, 130))


def disc_solid() -> Drawing:
    d = Drawing("Solid disc", "Left, the rotor on its edge: one plain band. Right, in section along the axle: one thickness of metal.", 260)
    _edge(d, 92, 130, 116, 13, False)
    _section(d, False)
    return d


def disc_vented() -> Drawing:
    d = Drawing(
        "Vented disc",
        "Left, the rotor on its edge: two cheeks with passages between them. Right, in section along the axle: the cheeks are joined by vanes.",
        260,
    )
    _edge(d, 92, 130, 116, 22, True)
    _section(d, True)
    return d
