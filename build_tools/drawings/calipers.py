"""Calipers seen from outside over the edge of the rotor: inboard below, outboard above; slides in section from the same side."""

from __future__ import annotations

from .pen import THIN, Drawing

_VIEW = "Seen from outside over the rotor's edge, inboard below."
_ROTOR = (118.0, 146.0)


def _rotor(d: Drawing, x1: float = 14, x2: float = 386) -> None:
    top, bottom = _ROTOR
    d.rect(x1, top, x2, bottom, "grey", 0)
    for y in (top, top + 9, bottom - 9, bottom):
        d.line((x1, y), (x2, y), width=THIN if top < y < bottom else 2.4)
    x = x1 + 12
    while x < x2 - 6:  # vanes between the cheeks
        d.line((x, top + 9), (x, bottom - 9), width=THIN)
        x += 22


def _pads(d: Drawing, x1: float = 118, x2: float = 282) -> None:
    top, bottom = _ROTOR
    d.rect(x1 + 8, top - 20, x2 - 8, top, "cut-fine", THIN + 0.6)
    d.rect(x1, top - 29, x2, top - 20, "paper")
    d.rect(x1 + 8, bottom, x2 - 8, bottom + 20, "cut-fine", THIN + 0.6)
    d.rect(x1, bottom + 20, x2, bottom + 29, "paper")


def _piston(d: Drawing, x: float, width: float, face: float, depth: float, up: bool = True) -> None:
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


def _bracket(d: Drawing) -> None:
    """The caliper bracket: two legs over the rotor, joined inboard, with the lugs for its bolts."""
    for flip in (False, True):
        x = (lambda v: 400 - v) if flip else (lambda v: v)
        d.poly([(x(v), y) for v, y in [(40, 76), (106, 76), (106, 98), (84, 98), (84, 168), (106, 168), (106, 196), (40, 196)]], "grey")


def _ears(d: Drawing) -> None:
    """An ear on each side of the housing, its bolt in a slide pin that runs into the bracket."""
    for flip in (False, True):
        x = (lambda v: 400 - v) if flip else (lambda v: v)
        lo, hi = sorted((x(54), x(70)))
        d.rect(lo, 196, hi, 226, "paper", THIN + 0.6)
        lo, hi = sorted((x(46), x(100)))
        d.rect(lo, 226, hi, 244, "paper")
        lo, hi = sorted((x(50), x(74)))
        d.path(f"M{lo} 196q3 5 0 10q3 5 0 10q3 5 0 10M{hi} 196q-3 5 0 10q-3 5 0 10q-3 5 0 10", "none", THIN + 0.6)
        d.rect(lo + 2, 244, hi - 2, 256, "paper")


def _sliding(title: str, description: str, pistons: list[tuple[float, float]]) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}")
    _rotor(d)
    _bracket(d)
    _ears(d)
    _sliding_window_backing(d)
    _pads(d)
    _sliding_frame(d)
    for x, width in pistons:
        _piston(d, x, width, 175, 76)
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
        "Two pistons side by side inboard; fingers reach over the rotor to the outboard pad; the caliper "
        "slides on two pins.",
        [(158, 56), (242, 56)],
    )


def _fixed(title: str, description: str, pistons: list[tuple[float, float]]) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}")
    _rotor(d)
    for x in (96, 304):  # bolts to the knuckle
        d.rect(x - 6, 218, x + 6, 290, "paper", THIN + 0.6)
    d.rect(60, 262, 340, 284, "cut-back")
    for x in (96, 304):
        d.rect(x - 11, 284, x + 11, 296, "paper")
        d.line((x - 6, 262), (x - 6, 284))
        d.line((x + 6, 262), (x + 6, 284))
    d.rect(112, 89, 288, 117, "paper", 0)
    d.rect(112, 147, 288, 176, "paper", 0)
    _pads(d)
    outer = "M110 8H290Q302 8 302 20V222H322V262H284V250H116V262H78V222H98V20Q98 8 110 8Z"
    d.path(outer + "M112 89V175H288V89Z", "paper")
    for x, width in pistons:
        _piston(d, x, width, 175, 66)
        _piston(d, x, width, 89, 66, up=False)
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


# ---- Slides: both in section, bracket above, caliper ear below ----


def _bore(d: Drawing, x: float, top: float = 46, bottom: float = 150, half: float = 17) -> None:
    """A blind bore in the bracket."""
    d.path(f"M{x - 62} 24H{x + 62}V{bottom}H{x + half}V{top}H{x - half}V{bottom}H{x - 62}Z", "cut-back")


def _boot(d: Drawing, x: float, y1: float, y2: float, half: float = 14) -> None:
    """A bellows between bracket and ear."""
    step = (y2 - y1) / 3
    for side in (-1, 1):
        folds = "".join(f"q{10 * side} {step / 2} 0 {step}" for _ in range(3))
        d.path(f"M{x + side * half} {y1}{folds}", "none", 3)


def _pin(d: Drawing, x: float, tip: float = 54, damper: bool = False) -> None:
    """A captive slide pin with two flats, its bolt coming through the ear."""
    if damper:
        d.rect(x - 9, tip, x + 9, tip + 34, "tint")
        d.rect(x - 15.5, tip + 6, x + 15.5, tip + 28, "ink", THIN)
        d.rect(x - 14, tip + 34, x + 14, 196, "tint")
    else:
        d.rect(x - 14, tip, x + 14, 196, "tint")
    d.rect(x - 19, 180, x + 19, 196, "tint")
    d.line((x - 10, 180), (x - 10, 196))
    d.line((x + 10, 180), (x + 10, 196))


def _ear(d: Drawing, x: float, bolt: bool = True, hole: float = 8) -> None:
    d.path(f"M{x - 62} 196H{x - hole}V226H{x - 62}Z", "cut")
    d.path(f"M{x + hole} 196H{x + 62}V226H{x + hole}Z", "cut")
    if bolt:
        d.rect(x - 7, 160, x + 7, 226, "paper", THIN, dash="5 3")
        d.rect(x - 7, 196, x + 7, 226, "paper", THIN + 0.6)
        d.rect(x - 16, 226, x + 16, 244, "paper")
        d.line((x - 6, 226), (x - 6, 244))
        d.line((x + 6, 226), (x + 6, 244))


def slides_bolt_into_pin() -> Drawing:
    d = Drawing(
        "Bolt threads into the pin",
        "Two slides in section: each pin slides in a booted bore of the bracket and a short bolt holds it to "
        "the caliper ear; both pins are alike.",
        262,
    )
    for x in (110, 290):
        _bore(d, x)
        _pin(d, x)
        _boot(d, x, 150, 180)
        _ear(d, x)
        d.centre_line((x, 12), (x, 256))
    d.arrow((200, 228), (200, 178), 3, both=True)
    return d


def slides_damper_pin() -> Drawing:
    d = Drawing(
        "One pin with a damper bushing",
        "Two slides in section: one pin is plain, the other carries a rubber bushing on its end; the two must "
        "not change places.",
        262,
    )
    for x, damper in ((110, False), (290, True)):
        _bore(d, x)
        _pin(d, x, damper=damper)
        _boot(d, x, 150, 180)
        _ear(d, x)
        d.centre_line((x, 12), (x, 256))
    d.arrow((200, 228), (200, 178), 3, both=True)
    return d


def slides_bolt_is_pin() -> Drawing:
    d = Drawing(
        "The bolt is the pin",
        "Two slides in section: one long bolt with a smooth shank runs through a bushing in the caliper ear "
        "and threads into the bracket.",
        262,
    )
    for x in (110, 290):
        d.path(f"M{x - 62} 24H{x - 9}V100H{x - 62}Z", "cut-back")
        d.path(f"M{x + 9} 24H{x + 62}V100H{x + 9}Z", "cut-back")
        d.path(f"M{x - 62} 150H{x - 22}V214H{x - 62}Z", "cut")
        d.path(f"M{x + 22} 150H{x + 62}V214H{x + 22}Z", "cut")
        for side in (-1, 1):  # rubber bushing with a steel sleeve
            lo, hi = sorted((x + side * 14, x + side * 22))
            d.rect(lo, 142, hi, 222, "ink", THIN)
            lo, hi = sorted((x + side * 11, x + side * 14))
            d.rect(lo, 136, hi, 228, "paper", THIN)
        d.rect(x - 11, 100, x + 11, 228, "tint")
        d.thread(x - 9, 40, x + 9, 100)
        d.rect(x - 20, 228, x + 20, 246, "tint")
        d.line((x - 8, 228), (x - 8, 246))
        d.line((x + 8, 228), (x + 8, 246))
        d.centre_line((x, 12), (x, 258))
    d.arrow((200, 208), (200, 158), 3, both=True)
    return d


def slides_abutment() -> Drawing:
    d = Drawing(
        "Abutment slide, no pins",
        "Section across the slide: the ends of the caliper run on machined ways of the anchor; a key in a V "
        "holds one side. The caliper slides in and out of the page.",
        262,
    )
    d.poly([(14, 50), (70, 50), (70, 98), (52, 118), (70, 138), (70, 230), (14, 230)], "cut-back")
    d.poly([(386, 50), (330, 50), (330, 96), (305, 118), (330, 140), (330, 230), (386, 230)], "cut-back")
    d.poly(
        [
            (98, 64),
            (323, 64),
            (323, 92),
            (295, 118),
            (323, 144),
            (323, 190),
            (270, 214),
            (150, 214),
            (98, 190),
            (98, 138),
            (116, 118),
            (98, 98),
        ],
        "cut",
    )
    d.poly([(75, 98), (93, 98), (111, 118), (93, 138), (75, 138), (57, 118)], "tint")
    d.circle(84, 118, 7, "paper", THIN)
    d.circle(205, 140, 15, "paper")
    d.circle(205, 140, 4, "ink", 0)
    d.mark(1, (84, 22), (84, 104))
    d.mark(2, (205, 22), (205, 72))
    d.mark(3, (352, 22), (352, 60))
    d.legend("key", "caliper", "anchor", columns=3)
    return d
