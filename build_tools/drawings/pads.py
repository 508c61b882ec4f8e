"""Pads and pistons: how pads wear, how a pad sits in its bracket, how a piston is pressed home."""

from __future__ import annotations

from .pen import THIN, Drawing, Point


def _pair(d: Drawing, x: float, y: float, outer: Point, inner: Point) -> None:
    """Two pads at the edge of the rotor, inner below; the lining's thickness at the left and at the right end of each."""
    d.rect(x - 58, y - 6, x + 58, y + 6, "grey")
    for way, (left, right) in ((-1, outer), (1, inner)):
        face = y + 6 * way
        d.poly([(x - 46, face), (x + 46, face), (x + 46, face + right * way), (x - 46, face + left * way)], "tint-cut", THIN + 0.6)
        d.poly(
            [
                (x - 52, face + left * way), (x + 52, face + right * way), (x + 52, face + (right + 9) * way),
                (x - 52, face + (left + 9) * way),
            ]
        )  # fmt: skip


def wear_patterns() -> Drawing:
    d = Drawing(
        "Wear patterns of a pair of pads",
        "Pads at the edge of the rotor, inner below: worn evenly, the inner more, the outer more, one end more; and, seen on end, worn to "
        "a wedge from top to bottom.",
        280,
    )
    for (x, y), outer, inner, name in (
        ((70, 46), (18, 18), (18, 18), "even"),
        ((200, 46), (24, 24), (7, 7), "inner more"),
        ((330, 46), (7, 7), (24, 24), "outer more"),
        ((100, 174), (26, 8), (8, 26), "one end more"),
    ):
        _pair(d, x, y, outer, inner)
        d.text(x, y + 62, name, weight=600)
    d.rect(294, 124, 306, 218, "grey")
    for way in (-1, 1):  # seen on end: thin at the top
        at = 300 + 6 * way
        d.poly([(at, 132), (at + 8 * way, 132), (at + 26 * way, 212), (at, 212)], "tint-cut", THIN + 0.6)
        d.poly([(at + 8 * way, 128), (at + 17 * way, 128), (at + 35 * way, 216), (at + 26 * way, 216)])
    d.text(300, 238, "wedge, on end", weight=600)
    d.text(200, 270, "inner pad below or left")
    return d


def pad_in_bracket() -> Drawing:
    d = Drawing(
        "Pad in its bracket",
        "The inner pad seen from the rotor: its ears sit in the lands of the bracket, with a clip between them that lies flat on the land.",
        206,
    )
    for way in (-1, 1):
        d.poly(
            [(200 + way * x, y) for x, y in ((186, 24), (96, 24), (96, 72), (124, 72), (124, 138), (96, 138), (96, 186), (186, 186))],
            "cut-back",
        )
        d.line(*((200 + way * x, y) for x, y in ((92, 52), (92, 76), (120, 76), (120, 134), (92, 134), (92, 158))), width=5)
    d.path("M110 44Q200 16 290 44V82H316V128H290V172H110V128H84V82H110Z")
    d.path("M122 56Q200 32 278 56V160H122Z", "tint")
    d.line((200, 43), (200, 160))
    d.mark(1, (36, 48), (68, 106))
    d.mark(2, (36, 164), (107, 152))
    d.mark(3, (364, 48), (304, 104))
    d.mark(4, (240, 110), (228, 138))
    d.legend("bracket land", "clip, flat on it", "ear, thin film", "lining, no grease")
    return d


def piston_home() -> Drawing:
    d = Drawing(
        "Piston pressed home",
        "Section through the caliper's bore: the tool presses on a flat plate over the whole piston, square, and bears on the back of the "
        "body; the boot is free of the plate.",
        262,
    )
    x = 170
    d.path(f"M{x - 92} 84H{x - 46}V172H{x + 46}V84H{x + 92}V198H{x - 92}Z", "cut-back")
    d.path(f"M{x - 42} 62V152H{x + 42}V62H{x + 33}V141H{x - 33}V62Z", "tint-cut")
    for way in (-1, 1):
        lo, hi = sorted((x + 42 * way, x + 47 * way))
        d.rect(lo, 112, hi, 122, "ink", 0)
        d.path(f"M{x + 42 * way} 72q{4 * way} 5 0 9M{x + 42 * way} 80q{8 * way} -2 {14 * way} 4", "none", 3)
    d.rect(x - 56, 50, x + 56, 62, "grey")
    back, front = f"M{x - 16} 198V232Q{x - 16} 250 {x + 2} 250H286Q312 250 312 226V32", f"Q312 10 290 10H{x - 22}V30H282Q292 30 292 40V218"
    d.path(f"{back}{front}Q292 230 280 230H{x + 16}V198Z", "grey")
    d.thread(x - 8, 2, x + 8, 42)
    d.rect(x - 18, 40, x + 18, 50)
    d.arrow((94, 20), (94, 46), 3)
    d.mark(1, (40, 56), (120, 56))
    d.mark(2, (40, 112), (134, 110))
    d.mark(3, (360, 84), (221, 82))
    d.mark(4, (360, 180), (304, 170))
    d.legend("flat plate", "piston", "boot, kept free", "piston tool")
    return d
