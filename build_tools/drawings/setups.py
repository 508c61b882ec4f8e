"""Set-ups at the vehicle: wheel nuts, hanging a caliper, bending a split pin."""

from __future__ import annotations

import math

from .pen import INK, THIN, TINT, Drawing


def split_pin_bent() -> Drawing:
    d = Drawing(
        "Split pin bent",
        "Seen from the side: the long leg is bent over the end of the spindle and cut short, the short leg "
        "down along the nut; both stay clear of the dust cap.",
        262,
    )
    y = 130
    d.rect(40, y - 30, 150, y + 30, "paper")
    d.rect(118, y - 66, 126, y + 66, "paper", THIN + 0.6)  # washer
    d.rect(126, y - 76, 176, y + 76)  # nut
    d.line((126, y - 38), (176, y - 38))
    d.line((126, y + 38), (176, y + 38))
    d.rect(176, y - 62, 212, y + 62, "paper")  # lock
    d.rect(188, y - 62, 212, y - 42, "paper", THIN + 0.6)
    d.rect(188, y + 42, 212, y + 62, "paper", THIN + 0.6)
    d.thread(212, y - 30, 244, y + 30)
    legs = (
        f"M198 {y + 58}V{y + 64}Q200 {y + 78} 218 {y + 70}Q249 {y + 56} 251 {y + 28}V{y + 2}",
        f"M194 {y + 58}V{y + 76}Q194 {y + 90} 180 {y + 90}H148",
    )
    for width, ink in ((7.5, INK), (3.4, TINT)):
        d.path(f"M196 {y - 66}V{y + 62}", "none", width, ink=ink)
        for leg in legs:
            d.path(leg, "none", width, ink=ink)
    d.circle(196, y - 73, 10, "tint", 3)
    d.path(f"M106 {y - 112}H250Q302 {y - 112} 302 {y - 62}V{y + 62}Q302 {y + 112} 250 {y + 112}H106", "none", 3.4)
    d.arrow((278, y - 24), (297, y - 24), 1.8)
    d.arrow((278, y - 24), (256, y - 24), 1.8)
    d.mark(1, (354, 186), (250, y + 34))
    d.mark(2, (64, 226), (158, y + 90))
    d.mark(3, (354, 56), (300, 64))
    d.mark(4, (354, 124), (278, y - 24))
    d.legend("long leg, over the end", "short leg, along the nut", "dust cap", "clear of the cap")
    return d


def wheel_nut_star() -> Drawing:
    d = Drawing("Wheel nuts in a star", "Order of tightening: each next nut lies across from the last, for five and for six nuts.", 236)
    for cx, count, label in ((104, 5, "five nuts"), (296, 6, "six nuts")):
        cy, r = 108, 62
        d.circle(cx, cy, 94, "paper")
        d.circle(cx, cy, 26, "paper", THIN)
        place = {}
        for number, k in enumerate(_star(count), 1):
            a = math.radians(360 / count * k - 90)
            place[number] = (cx + r * math.cos(a), cy + r * math.sin(a))
        points = [place[n] for n in range(1, count + 1)]
        d.line(*points, width=1.6, dash="6 4")
        for number, (x, y) in place.items():
            d.poly(
                [(x + 19 * math.cos(math.radians(60 * j)), y + 19 * math.sin(math.radians(60 * j))) for j in range(6)], "tint", THIN + 0.6
            )
            d.text(x, y + 6, str(number), weight=600)
        d.text(cx, 226, label)
    return d


def _star(count: int) -> list[int]:
    """Places, counted clockwise from the top, in the order of tightening: always across."""
    half = count // 2
    if count % 2:
        return [k * half % count for k in range(count)]
    starts = range(0, count, 2) if half % 2 else range(half)
    return [place % count for k in starts for place in (k, k + half)]


def caliper_hung() -> Drawing:
    d = Drawing("Caliper hung on a hook", "The caliper hangs from the spring by a wire hook; its hose is slack and carries no weight.", 290)
    for k in range(5):  # spring
        y = 24 + 24 * k
        d.path(f"M60 {y}Q100 {y + 10} 140 {y}Q100 {y + 22} 60 {y + 24}", "none", 5)
    d.rect(86, 6, 114, 20, "grey")
    d.path("M162 140H262Q276 140 276 154V228Q276 242 262 242H246V206H180V242H162Q148 242 148 228V154Q148 140 162 140Z", "paper")
    d.circle(208, 158, 8, "grey", THIN + 0.6)
    hook = "M126 74Q146 52 164 68L204 112Q222 132 220 146Q216 166 204 156"
    d.path(hook, "none", 6)
    d.path(hook, "none", 2.6, ink=TINT)
    d.rect(196, 206, 230, 218, "paper", THIN + 0.6)
    d.path("M276 180H292Q322 180 330 150Q340 110 352 90Q362 70 384 66", "none", 11)
    d.path("M276 180H292Q322 180 330 150Q340 110 352 90Q362 70 384 66", "none", 6, ink="#e6eaec")
    d.mark(1, (246, 84), (186, 92))
    d.mark(2, (366, 148), (336, 132))
    d.mark(3, (36, 174), (78, 128))
    d.legend("wire hook", "hose slack, not twisted", "spring or frame")
    return d


def mark() -> Drawing:
    """The handbook's own sign in a browser's tab: a dial with its needle."""
    d = Drawing("Wheel-end service handbook", "A dial with its needle.", 400)
    d.circle(200, 200, 184, "paper", 28)
    for k in range(12):
        a = math.radians(30 * k)
        d.line((200 + 128 * math.cos(a), 200 + 128 * math.sin(a)), (200 + 158 * math.cos(a), 200 + 158 * math.sin(a)), width=18)
    d.line((200, 200), (268, 96), width=30)
    d.circle(200, 200, 34, "ink", 0)
    return d
