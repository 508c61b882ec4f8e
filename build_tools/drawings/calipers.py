"""Calipers seen from outside over the edge of the rotor: inboard below, outboard above."""

from __future__ import annotations

from .pen import THIN, Drawing

_VIEW = "Seen from outside over the rotor's edge, inboard below."
_ROTOR = (118.0, 146.0)


def rotor(d: Drawing, x1: float = 14, x2: float = 386) -> None:
    top, bottom = _ROTOR
    d.rect(x1, top, x2, bottom, "grey", 0)
    for y in (top, top + 9, bottom - 9, bottom):
        d.line((x1, y), (x2, y), width=THIN if top < y < bottom else 2.4)
    x = x1 + 12
    while x < x2 - 6:  # vanes between the cheeks
        d.line((x, top + 9), (x, bottom - 9), width=THIN)
        x += 22


def pads(d: Drawing, x1: float = 118, x2: float = 282) -> None:
    top, bottom = _ROTOR
    d.rect(x1 + 8, top - 20, x2 - 8, top, "cut-fine", THIN + 0.6)
    d.rect(x1, top - 29, x2, top - 20, "paper")
    d.rect(x1 + 8, bottom, x2 - 8, bottom + 20, "cut-fine", THIN + 0.6)
    d.rect(x1, bottom + 20, x2, bottom + 29, "paper")


def piston(d: Drawing, x: float, width: float, face: float, depth: float, up: bool = True) -> None:
    """A piston in its bore, its open end on the pad's backing plate at y = face."""
    way = 1 if up else -1
    half = width / 2
    d.poly(
        [
            (x - half - 4, face + 6 * way),
            (x + half + 4, face + 6 * way),
            (x + half + 4, face + depth * way),
            (x - half - 4, face + depth * way),
        ],
        "paper",
        THIN,
    )
    wall, floor = half - 10, face + (depth - 24) * way
    back = face + (depth - 12) * way
    cup = [(-half, face), (-half, back), (half, back), (half, face), (wall, face), (wall, floor), (-wall, floor), (-wall, face)]
    d.poly([(x + across, y) for across, y in cup], "tint-cut")
    for side in (-1, 1):  # seal in its groove, boot at the mouth
        seal = x + side * (half + 3)
        d.rect(seal - 3, face + 24 * way, seal + 3, face + 31 * way, "ink", 0)
        d.path(
            f"M{x + side * half} {face + 4 * way}q{4 * side} {3 * way} {0} {5 * way}q{5 * side} {1 * way} {6 * side} {-1 * way}",
            "none",
            THIN + 0.6,
        )


def _mirrored(x: float, flip: bool) -> float:
    """A place across the drawing, or the same on its other side."""
    return 400 - x if flip else x


def _bracket(d: Drawing) -> None:
    """The caliper bracket: two legs over the rotor, joined inboard, with the lugs for its bolts."""
    for flip in (False, True):
        leg = [(40, 76), (106, 76), (106, 98), (84, 98), (84, 168), (106, 168), (106, 196), (40, 196)]
        d.poly([(_mirrored(x, flip), y) for x, y in leg], "grey")


def _ears(d: Drawing) -> None:
    """An ear on each side of the housing, its bolt in a slide pin that runs into the bracket."""
    for flip in (False, True):
        lo, hi = sorted((_mirrored(54, flip), _mirrored(70, flip)))
        d.rect(lo, 196, hi, 226, "paper", THIN + 0.6)
        lo, hi = sorted((_mirrored(46, flip), _mirrored(100, flip)))
        d.rect(lo, 226, hi, 244, "paper")
        lo, hi = sorted((_mirrored(50, flip), _mirrored(74, flip)))
        d.path(f"M{lo} 196q3 5 0 10q3 5 0 10q3 5 0 10M{hi} 196q-3 5 0 10q-3 5 0 10q-3 5 0 10", "none", THIN + 0.6)
        d.rect(lo + 2, 244, hi - 2, 256, "paper")


def _sliding(title: str, description: str, pistons: list[tuple[float, float]]) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}")
    rotor(d)
    _bracket(d)
    _ears(d)
    _sliding_window_backing(d)
    pads(d)
    _sliding_frame(d)
    for x, width in pistons:
        piston(d, x, width, 175, 76)
    d.arrow((24, 232), (24, 180), 3, both=True)
    return d


def _sliding_window_backing(d: Drawing) -> None:
    d.rect(112, 89, 288, 117, "paper", 0)
    d.rect(112, 147, 288, 176, "paper", 0)


def _sliding_frame(d: Drawing) -> None:
    frame = "M104 60H296Q304 60 304 68V262Q304 276 290 276H110Q96 276 96 262V68Q96 60 104 60Z"
    d.path(frame + "M112 89V175H288V89Z", "paper")
    d.line((188, 60), (188, 89))
    d.line((212, 60), (212, 89))


def sliding_one_piston() -> Drawing:
    return _sliding(
        "Sliding caliper, one piston",
        "One piston inboard; fingers reach over the rotor to the outboard pad; the caliper slides on two pins.",
        [(200, 84)],
    )


def sliding_two_piston() -> Drawing:
    return _sliding(
        "Sliding caliper, two pistons",
        "Two pistons side by side inboard; fingers reach over the rotor to the outboard pad; the caliper slides on two pins.",
        [(158, 56), (242, 56)],
    )


def _fixed(title: str, description: str, pistons: list[tuple[float, float]]) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}")
    rotor(d)
    bolts = (96, 304)  # to the knuckle
    for bolt in bolts:
        d.rect(bolt - 6, 218, bolt + 6, 290, "paper", THIN + 0.6)
    d.rect(60, 262, 340, 284, "cut-back")
    for bolt in bolts:
        d.rect(bolt - 11, 284, bolt + 11, 296, "paper")
        d.line((bolt - 6, 262), (bolt - 6, 284))
        d.line((bolt + 6, 262), (bolt + 6, 284))
    d.rect(112, 89, 288, 117, "paper", 0)
    d.rect(112, 147, 288, 176, "paper", 0)
    pads(d)
    outer = "M110 8H290Q302 8 302 20V222H322V262H284V250H116V262H78V222H98V20Q98 8 110 8Z"
    d.path(outer + "M112 89V175H288V89Z", "paper")
    for x, width in pistons:
        piston(d, x, width, 175, 66)
        piston(d, x, width, 89, 66, up=False)
    d.line((98, 132), (112, 132))
    d.line((288, 132), (302, 132))
    return d


def fixed_two_piston() -> Drawing:
    return _fixed(
        "Fixed caliper, two pistons", "The body is bolted solid to the knuckle; one piston on each side of the rotor.", [(200, 80)]
    )


def fixed_four_piston() -> Drawing:
    return _fixed(
        "Fixed caliper, four pistons",
        "The body is bolted solid to the knuckle; two pistons on each side of the rotor.",
        [(156, 56), (244, 56)],
    )


def _caliper_off(d: Drawing) -> None:
    """Where the caliper was: its outline, dashed."""
    d.path("M104 60H296Q304 60 304 68V262Q304 276 290 276H110Q96 276 96 262V68Q96 60 104 60Z", "none", THIN + 0.6, dash="7 5")


def bracketed() -> Drawing:
    d = Drawing(
        "Caliper bracket",
        f"{_VIEW} The caliper is off, its outline dashed: a separate bracket stays across the rotor with the pads in it, held to the "
        "knuckle by two large bolts.",
        300,
    )
    rotor(d)
    for x in (72, 328):  # knuckle and bolts
        d.rect(x - 30, 234, x + 30, 262, "cut-back")
        d.rect(x - 9, 216, x + 9, 262, "paper", THIN)
        d.rect(x - 17, 262, x + 17, 280)
        d.line((x - 6, 262), (x - 6, 280))
        d.line((x + 6, 262), (x + 6, 280))
    d.poly(
        [
            (40, 76), (106, 76), (106, 98), (84, 98), (84, 168), (106, 168), (106, 204), (294, 204), (294, 168), (316, 168),
            (316, 98), (294, 98), (294, 76), (360, 76), (360, 234), (40, 234),
        ],
        "tint",
    )  # fmt: skip
    pads(d, 108, 292)
    _caliper_off(d)
    return d


def bracketless() -> Drawing:
    d = Drawing(
        "No bracket",
        f"{_VIEW} The caliper is off, its outline dashed: the slides sit in the knuckle, and nothing stays across the rotor.",
        300,
    )
    rotor(d)
    d.poly([(30, 160), (110, 160), (110, 190), (290, 190), (290, 160), (370, 160), (370, 214), (30, 214)], "tint-cut")
    for x in (72, 328):  # a booted slide in each lug
        d.rect(x - 11, 172, x + 11, 214)
        d.path(f"M{x - 13} 214q4 5 0 10q4 5 0 10M{x + 13} 214q-4 5 0 10q-4 5 0 10", "none", THIN + 0.6)
        d.rect(x - 9, 178, x + 9, 240)
        d.rect(x - 15, 236, x + 15, 248)
    _caliper_off(d)
    return d


def fixed_pins() -> Drawing:
    d = _fixed(
        "Pads of a fixed caliper",
        "The pads hang in the window of the body on two pins; a spring under the pins keeps them from rattling.",
        [],
    )
    d.poly(
        [
            (176, 94),
            (224, 94),
            (224, 116),
            (266, 116),
            (266, 148),
            (224, 148),
            (224, 170),
            (176, 170),
            (176, 148),
            (134, 148),
            (134, 116),
            (176, 116),
        ],
        "tint",
    )
    for x in (154, 246):
        d.rect(x - 5, 58, x + 5, 210)
        d.rect(x - 9, 48, x + 9, 58)
        d.circle(x, 202, 9, "none")
        d.line((x - 12, 202), (x + 12, 202), width=3)
    d.mark(1, (44, 54), (154, 74))
    d.mark(2, (356, 60), (256, 124))
    d.mark(3, (44, 190), (128, 171))
    d.mark(4, (356, 196), (256, 202))
    d.legend("pad pin", "pad spring", "pad", "clip of the pin")
    return d
