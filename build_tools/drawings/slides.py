"""What a caliper slides on, in section: bracket above, caliper ear below."""

from __future__ import annotations

from .pen import THIN, Drawing


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
        d.center_line((x, 12), (x, 256))
    d.arrow((200, 228), (200, 178), 3, both=True)
    return d


def slides_damper_pin() -> Drawing:
    d = Drawing(
        "One pin with a damper bushing",
        "Two slides in section: one pin is plain, the other carries a rubber bushing on its end; the two must not change places.",
        262,
    )
    for x, damper in ((110, False), (290, True)):
        _bore(d, x)
        _pin(d, x, damper=damper)
        _boot(d, x, 150, 180)
        _ear(d, x)
        d.center_line((x, 12), (x, 256))
    d.arrow((200, 228), (200, 178), 3, both=True)
    return d


def slides_bolt_is_pin() -> Drawing:
    d = Drawing(
        "The bolt is the pin",
        "Two slides in section: one long bolt with a smooth shank runs through a bushing in the caliper ear and threads into the bracket.",
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
        d.center_line((x, 12), (x, 258))
    d.arrow((200, 208), (200, 158), 3, both=True)
    return d


def slides_abutment() -> Drawing:
    d = Drawing(
        "Abutment slide, no pins",
        "Section across the slide: the ends of the caliper run on abutment ways of the bracket; a key in a V "
        "with a spring plate holds one side. The caliper slides in and out of the page.",
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
    d.line((98, 78), (95.5, 98), (113.5, 118), (95.5, 138), (98, 158), width=4)  # spring plate
    d.circle(84, 118, 8)
    d.line((79, 123), (89, 113), width=2.4)
    d.circle(205, 140, 15, "paper")
    d.circle(205, 140, 4, "ink", 0)
    d.mark(1, (84, 218), (76, 134))
    d.mark(2, (130, 30), (96, 90))
    d.mark(3, (68, 30), (84, 112))
    d.mark(4, (220, 30), (220, 78))
    d.mark(5, (358, 30), (358, 72))
    d.legend("key", "spring plate", "key screw", "caliper", "anchor")
    return d
