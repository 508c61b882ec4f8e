"""Set-ups at the vehicle: hose, bleeding, wheel nuts, hanging a caliper, bending a split pin."""

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


def hose_banjo() -> Drawing:
    d = Drawing(
        "Banjo hose end",
        "Section through a banjo: a hollow bolt holds the ring of the hose between two new sealing washers; "
        "its cross hole feeds the ring.",
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
    d.legend("hollow bolt", "new washer, both sides", "ring of the hose", "caliper")
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
            d.text(x, y + 6, str(number), 17, "middle", 600)
        d.text(cx, 226, label, 15, "middle")
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


def gravity_bleed_setup() -> Drawing:
    d = Drawing(
        "Bleeding by gravity",
        "The reservoir is kept full and stands higher than the caliper; a clear hose runs from the open "
        "bleeder up and then down into a bottle, its end under fluid.",
        300,
    )
    d.rect(20, 26, 116, 84, "paper")
    d.rect(22, 46, 114, 82, "tint", 0)
    d.rect(48, 14, 88, 26, "grey")
    d.line((20, 42), (116, 42), width=THIN, dash="5 3")
    d.line((20, 74), (116, 74), width=THIN, dash="5 3")
    d.path("M68 84V108H150Q168 108 168 126V200H196", "none", 7)
    d.path("M68 84V108H150Q168 108 168 126V200H196", "none", 3, ink=TINT)
    d.path("M206 158H284Q296 158 296 170V236Q296 248 284 248H206Q194 248 194 236V170Q194 158 206 158Z", "paper")
    d.circle(245, 206, 28, "grey")
    d.rect(268, 140, 280, 158, "paper")
    d.rect(264, 146, 284, 154, "paper", THIN + 0.6)
    hose = "M274 140V92Q274 70 298 70H316Q338 70 338 92V250"
    d.path(hose, "none", 10)
    d.path(hose, "none", 6.5, ink=TINT)
    d.path("M312 184V280Q312 290 322 290H362Q372 290 372 280V184", "none", 3)
    d.path("M314 236H370V280Q370 288 362 288H322Q314 288 314 280Z", "tint", 0)
    d.path(hose.replace("250", "262"), "none", 1)
    d.path("M333 230V262M343 230V262", "none", 1.6)
    d.line((122, 58), (194, 58), width=1)
    d.line((178, 149), (262, 149), width=1)
    d.arrow((186, 100), (186, 148), 1.8)
    d.arrow((186, 100), (186, 59), 1.8)
    d.mark(5, (186, 104))
    d.mark(1, (144, 24), (104, 60))
    d.mark(2, (236, 124), (268, 150))
    d.mark(3, (236, 66), (278, 82))
    d.mark(4, (384, 206), (343, 254))
    d.legend("reservoir kept full", "bleeder at the top, open", "clear hose, rising first", "end under fluid", "higher than the bleeder")
    return d


def bleeder_at_top() -> Drawing:
    d = Drawing(
        "Bleeder at the top",
        "Two calipers in section: with the bleeder at the top of the bore all air comes out; on the wrong "
        "side of the vehicle, with the bleeder below, air stays above it.",
        240,
    )
    for cx, right in ((104, True), (296, False)):
        d.path(f"M{cx - 70} 40H{cx + 70}V190H{cx - 70}Z", "cut")
        d.circle(cx, 115, 54, "tint")
        y = 40 if right else 190
        way = 1 if right else -1
        d.path(f"M{cx - 6} {y}V{115 - 53.6 * way}H{cx + 6}V{y}Z", "tint", THIN + 0.6)
        lo, hi = sorted((y, y - 22 * way))
        d.rect(cx - 8, lo, cx + 8, hi, "paper")
        lo, hi = sorted((y - 6 * way, y - 14 * way))
        d.rect(cx - 14, lo, cx + 14, hi, "paper", THIN + 0.6)
        if not right:  # trapped air
            d.path(f"M{cx - 45.4} 85.8A54 54 0 0 1 {cx + 45.4} 85.8Z", "paper", THIN)
            d.text(cx, 80, "air", 15, "middle", 600)
        for k, (dx, dy) in enumerate(((-14, 20), (10, 2), (-4, -18)) if right else ()):
            d.circle(cx + dx, 115 + dy, 5 + k % 2, "paper", THIN)
        if right:
            d.arrow((cx, 88), (cx, 30), 2.4)
    d.text(104, 230, "bleeder at the top", 15, "middle", 600)
    d.text(296, 230, "wrong side: air stays", 15, "middle", 600)
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
