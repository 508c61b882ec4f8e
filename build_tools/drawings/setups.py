"""Set-ups at the vehicle: wheel nuts, hanging a caliper, bending a split pin."""

from __future__ import annotations

import math

from .pen import INK, THIN, TINT, Drawing, on


def split_pin_bent() -> Drawing:
    d = Drawing(
        "Cotter pin bent",
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
    d.legend("leg over the end", "leg along the nut", "dust cap", "clear of the cap")
    return d


def wheel_nut_star() -> Drawing:
    d = Drawing(
        "Wheel nuts or bolts in a star", "Order of tightening: each next one lies across from the last, for four, five and six places.", 176
    )
    for cx, count in ((66, 4), (200, 5), (334, 6)):
        cy, r = 72, 42
        d.circle(cx, cy, 64)
        d.circle(cx, cy, 15, "paper", THIN)
        places = [on(cx, cy, r, 360 / count * k - 90) for k in _star(count)]
        d.line(*places, width=1.6, dash="6 4")
        for number, (x, y) in enumerate(places, 1):
            d.poly([on(x, y, 14, 60 * j) for j in range(6)], "tint", THIN + 0.6)
            d.text(x, y + 6.3, str(number), weight=600)
        d.text(cx, 162, f"{count} places")
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
    d.legend("wire hook", "hose, slack", "spring or frame")
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


def stand_and_chocks() -> Drawing:
    d = Drawing(
        "On stands, and chocked",
        "The vehicle from the side: a rated stand under the maker's lift point, a chock before and behind a wheel that stays on the "
        "ground, and the wheel that was taken off flat under the sill.",
        262,
    )
    d.path(
        "M14 150Q16 116 56 108L112 100Q142 58 176 56H268Q300 58 328 98L372 106Q386 112 386 136V166H356A46 46 0 0 0 264 166H140"
        "A46 46 0 0 0 48 166H20Q14 164 14 150Z"
    )
    d.path("M130 100Q150 70 178 70H212V100ZM224 70H264Q290 72 308 100H224Z", "grey", THIN)
    d.circle(94, 160, 34, "grey")
    d.circle(94, 160, 17)
    for k in range(5):
        d.circle(*on(94, 160, 11, 72 * k - 90), 2.2, "ink", 0)
    d.circle(310, 196, 44, "grey")
    d.circle(310, 196, 24)
    d.line((10, 240), (390, 240), width=3)
    d.path("M178 218H252Q258 218 258 224V234Q258 240 252 240H178Q172 240 172 234V224Q172 218 178 218Z", "grey")
    d.rect(196, 218, 234, 240, "paper", THIN)
    for side in (-1, 1):
        d.poly([(310 + side * x, y) for x, y in ((26, 240), (66, 240), (66, 208), (56, 208))], "tint")
    d.rect(152, 160, 188, 174, "grey")  # lift point
    d.poly([(158, 174), (158, 182), (182, 182), (182, 174), (190, 174), (190, 192), (150, 192), (150, 174)], "tint")
    d.rect(163, 192, 177, 216, "tint")
    d.poly([(158, 210), (182, 210), (198, 240), (142, 240)], "tint")
    d.mark(1, (122, 206), (160, 204))
    d.mark(2, (200, 130), (172, 166))
    d.mark(3, (382, 190), (370, 224))
    d.mark(3, (252, 190), (264, 230))
    d.mark(4, (218, 196), (226, 226))
    d.legend("stand, locked", "maker's lift point", "chock, both sides", "wheel under sill")
    return d


def pedal_depressor() -> Drawing:
    d = Drawing(
        "Pedal depressor",
        "From the side: a bar that can be set to length stands between the brake pedal and the front of the seat, and holds the pedal down.",
        226,
    )
    d.path("M14 20H30V150L70 206H390", "none", 4)  # bulkhead and floor
    d.circle(62, 30, 7)
    d.line((62, 30), (78, 92), (96, 148), width=7)
    d.poly([(82, 146), (110, 138), (114, 152), (86, 160)], "ink")
    d.path("M262 128H372Q384 128 384 140V170H252V140Q252 128 262 128Z", "grey")
    d.path("M352 128L364 26Q366 16 376 16H394", "none")
    d.rect(264, 170, 276, 206, "paper")
    d.rect(360, 170, 372, 206, "paper")
    d.line((108, 148), (176, 148), width=9)
    d.rect(168, 141, 240, 155, "tint")
    for k in range(5):
        d.circle(180 + 12 * k, 148, 2.6, "ink", 0)
    d.poly([(240, 138), (252, 132), (252, 164), (240, 158)], "tint")
    d.mark(1, (140, 100), (102, 148))
    d.mark(2, (204, 100), (204, 146))
    d.mark(3, (310, 90), (310, 138))
    d.legend("brake pedal", "bar, set to length", "front of the seat")
    return d


def stud_pressed_out() -> Drawing:
    d = Drawing(
        "Wheel stud pressed out",
        "Section through the wheel flange: the frame of the tool bears on the flange round the head of the stud, and its screw presses the "
        "stud out towards the rear.",
        220,
    )
    y = 100
    d.path(f"M150 24H186V{y - 15}H150ZM150 {y + 15}H186V176H150Z", "cut")
    d.rect(136, y - 28, 150, y + 28, "tint")
    d.rect(150, y - 15, 186, y + 15, "tint")
    d.thread(186, y - 11, 246, y + 11, 6)
    frame = f"M150 {y - 60}V{y - 38}H112V{y + 38}H150V{y + 60}H112V190H296V{y + 24}H288V{y - 24}H330V214H84V{y - 60}Z"
    d.path(frame, "grey")
    d.thread(246, y - 13, 366, y + 13, 6)
    d.rect(366, y - 22, 390, y + 22)
    d.line((366, y - 8), (390, y - 8))
    d.line((366, y + 8), (390, y + 8))
    d.arrow((262, 56), (206, 56), 3)
    d.mark(1, (36, 60), (142, 86))
    d.mark(2, (36, 130), (98, 150))
    d.mark(3, (360, 40), (350, 92))
    d.mark(4, (212, 148), (170, 150))
    d.legend("stud", "frame on flange", "screw", "wheel flange")
    return d


def stud_drawn_in() -> Drawing:
    d = Drawing(
        "Wheel stud drawn in",
        "Section through the wheel flange: the new stud comes from behind; a nut, flat side in, draws it home over a stack of flat washers.",
        222,
    )
    y = 100
    d.path(f"M150 20H186V{y - 15}H150ZM150 {y + 15}H186V200H150Z", "cut")
    d.rect(104, y - 30, 120, y + 30, "tint")
    d.rect(120, y - 16, 178, y + 16, "tint")
    for k in range(6):  # serrations
        d.line((122, y - 13 + 5.2 * k), (160, y - 13 + 5.2 * k), width=THIN)
    d.rect(186, y - 12, 250, y + 12, "tint")
    d.thread(178, y - 12, 340, y + 12, 6)
    for k in range(4):
        d.rect(186 + 10 * k, y - 34, 196 + 10 * k, y + 34, "paper", THIN + 0.6)
    d.poly([(226, y - 32), (262, y - 32), (272, y - 20), (272, y + 20), (262, y + 32), (226, y + 32)])
    d.line((226, y - 16), (270, y - 16))
    d.line((226, y + 16), (270, y + 16))
    d.arrow((30, y), (92, y), 4)
    d.path("M240 46Q256 22 284 40", "none", 3)
    d.head((272, 32), (288, 45), 12)
    d.mark(1, (76, 44), (110, 80))
    d.mark(2, (206, 178), (206, 130))
    d.mark(3, (290, 168), (250, 118))
    d.mark(4, (96, 188), (160, 180))
    d.legend("new stud", "flat washers", "nut, flat side in", "wheel flange")
    return d
