"""Bleeding: set-ups, where air stays, which wheel comes next."""

from __future__ import annotations

from .pen import THIN, TINT, Drawing


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
    d.legend("reservoir, full", "bleeder, on top", "hose, rising first", "end under fluid", "stands higher")
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
            d.text(cx, 80, "air", weight=600)
        for k, (dx, dy) in enumerate(((-14, 20), (10, 2), (-4, -18)) if right else ()):
            d.circle(cx + dx, 115 + dy, 5 + k % 2, "paper", THIN)
        if right:
            d.arrow((cx, 88), (cx, 30), 2.4)
    d.text(104, 230, "bleeder at the top", weight=600)
    d.text(296, 230, "wrong side: air stays", weight=600)
    return d


def vacuum_bleed_setup() -> Drawing:
    d = Drawing(
        "Bleeding by vacuum",
        "The reservoir is kept full; a clear hose runs from the bleeder, its thread sealed, into a closed jar, and a second hose from the "
        "jar to a hand pump with a gauge.",
        262,
    )
    d.rect(14, 26, 96, 84)
    d.rect(16, 46, 94, 82, "tint", 0)
    d.rect(36, 14, 74, 26, "grey")
    d.tube("M55 84V194Q55 206 67 206H96", 7)
    d.path("M106 160H172Q184 160 184 172V234Q184 246 172 246H106Q94 246 94 234V172Q94 160 106 160Z")
    d.circle(138, 206, 26, "grey")
    d.rect(156, 136, 166, 160)
    d.poly([(148, 160), (174, 160), (168, 148), (154, 148)], "ink")  # collar of sealant on the thread
    d.tube("M161 136V96Q161 76 181 76H214Q232 76 232 96V214", 9)
    d.path("M206 126H284V236Q284 246 274 246H216Q206 246 206 236Z", "none")
    d.rect(208, 200, 282, 244, "tint", 0)
    d.rect(202, 112, 288, 128, "grey")
    d.tube("M232 100V214", 9)
    d.tube("M262 112V96Q262 76 282 76H306", 9, "paper")
    d.circle(330, 52, 24)  # gauge
    d.line((330, 52), (318, 40), width=2.4)
    d.path("M306 66H356V86H306Z", "tint")
    d.path("M356 70L386 70V82L356 82Z")
    d.path("M320 86V150Q320 160 330 160H338L344 86", "tint")
    d.path("M382 82L366 152H354L362 82", "grey")
    d.mark(1, (128, 46), (84, 62))
    d.mark(2, (120, 128), (156, 154))
    d.mark(3, (196, 42), (196, 76))
    d.mark(4, (320, 214), (278, 214))
    d.mark(5, (372, 30), (352, 74))
    d.legend("reservoir, full", "thread sealed", "clear hose", "closed jar", "hand pump")
    return d
