"""The parking brake at the wheel: in section through the caliper from outside, inboard below; and as a drum in the rotor."""

from __future__ import annotations

from .pen import THIN, Drawing, on, sector, spring

_VIEW = "Section through the caliper's bore, inboard below."


def _housing(d: Drawing, hole: float = 0) -> None:
    """The cut body: two walls and the floor, with a hole of half width `hole`."""
    if hole:
        d.path(f"M46 78H92V166H{138 - hole}V190H46Z", "cut-back")
        d.path(f"M230 78H184V166H{138 + hole}V190H230Z", "cut-back")
    else:
        d.path("M46 78H92V166H184V78H230V190H46Z", "cut-back")


def _at_the_pad(d: Drawing) -> None:
    d.rect(14, 12, 262, 38, "grey")
    for y in (20, 30):
        d.line((14, y), (262, y))
    d.rect(70, 38, 206, 58, "cut-fine", THIN + 0.6)
    d.rect(60, 58, 216, 68)


def _cup(d: Drawing, wall: float = 9) -> None:
    """The piston, open to the pad, with its seal."""
    left, right = 97, 179
    d.path(f"M{left} 68V152H{right}V68H{right - wall}V{152 - wall - 2}H{left + wall}V68Z", "tint-cut")
    for x in (92, 179):
        d.rect(x, 98, x + 5, 108, "ink", 0)


def _on_a_screw(d: Drawing) -> None:
    """A piston that a nut pushes out: the nut lies against its floor, the spindle comes through the caliper's floor."""
    left, right = 97, 179
    d.path(f"M{left} 68V152H126V141H106V68ZM{right} 68V152H150V141H170V68Z", "tint-cut")
    for x in (92, 179):
        d.rect(x, 98, x + 5, 108, "ink", 0)
    d.path("M112 98H132V141H112ZM144 98H164V141H144Z", "cut-fine")
    d.rect(130, 88, 146, 160, "paper", THIN)
    for k in range(9):
        d.line((130, 96 + 7 * k), (146, 92 + 7 * k), width=0.9)
    d.rect(124, 158, 152, 166)
    d.rect(131, 166, 145, 204)


def none_here() -> Drawing:
    d = Drawing("No parking brake here", f"{_VIEW} A plain piston; nothing reaches the caliper but the hose.", 214)
    _at_the_pad(d)
    _housing(d)
    _cup(d)
    d.tube("M230 130H262Q290 130 300 156T340 196", 18, "grey")
    return d


def _face(d: Drawing, x: float, y: float) -> None:
    """The piston from the pad, with its notches for the tool and for the pip of the pad."""
    d.circle(x, y, 48, "tint")
    d.circle(x, y, 36, "tint", THIN)
    for turn in (0, 90, 180, 270):
        d.path(sector(x, y, 30, 48, turn - 9, turn + 9), "paper")
    d.circle(x, y, 14, "tint", THIN)


def screw_in() -> Drawing:
    d = Drawing(
        "Screw-in piston",
        f"{_VIEW} A lever outside the caliper turns a spindle that pushes the piston. Right: the piston from the pad with its notches, "
        "and the lever from inboard with its cable.",
        262,
    )
    _at_the_pad(d)
    _housing(d, 8)
    _on_a_screw(d)
    d.rect(120, 204, 216, 216, "tint")
    d.rect(204, 216, 214, 226, "tint")
    d.rect(128, 216, 148, 228)
    _face(d, 334, 70)
    x, y = 312, 196
    d.circle(x, y, 44, "paper")
    d.poly([(x - 15, y + 12), (x - 10, y - 14), (x + 8, y - 16), (x + 62, y - 48), (x + 72, y - 36), (x + 14, y + 10)], "tint")
    d.circle(x, y, 8)
    d.circle(x + 64, y - 40, 5, "ink", 0)
    d.line((x + 64, y - 40), (x + 74, y + 14), width=3)
    d.rect(x + 68, y + 14, x + 84, y + 24, "grey")
    d.tube(f"M{x + 77} {y + 24}L{x + 83} {y + 62}", 10, "grey")
    return d


def electric() -> Drawing:
    d = Drawing(
        "Electric, on the caliper",
        f"{_VIEW} A motor with its gear and plug is bolted to the back of the caliper and turns a spindle that pushes the piston.",
        262,
    )
    _at_the_pad(d)
    _housing(d, 8)
    _on_a_screw(d)
    for x in (64, 212):  # screws of the actuator
        d.rect(x - 5, 176, x + 5, 232, "paper", THIN)
    d.path("M52 194H332Q344 194 344 206V220Q344 232 332 232H52Q44 232 44 224V202Q44 194 52 194Z", "tint")
    d.path("M252 194V88Q252 78 262 78H318Q328 78 328 88V194Z", "tint")
    d.line((252, 100), (328, 100))
    for x in (64, 212):
        d.rect(x - 10, 232, x + 10, 244)
    d.rect(344, 200, 366, 226)
    d.rect(366, 204, 380, 222, "grey")
    d.tube("M380 213H396", 8, "ink")
    return d


def drum_in_rotor() -> Drawing:
    d = Drawing(
        "Drum in the rotor",
        "Section along the axle, upper half, outboard on the right. Small shoes press outward inside the deep hat of the rotor; a plug "
        "closes the hole through which their adjuster is reached.",
        284,
    )
    d.poly([(14, 70), (76, 70), (76, 186), (14, 186)], "cut-back")  # knuckle
    d.poly([(76, 130), (100, 130), (100, 178), (196, 178), (196, 210), (30, 210), (30, 190), (76, 190)], "cut-fine")
    d.poly([(30, 232), (238, 232), (252, 224), (252, 172), (276, 172), (276, 270), (30, 270)], "cut")
    for x in (64, 156):
        d.circle(x, 221, 17)
    d.line((103, 96), (103, 172), (186, 172), (186, 148), width=6)  # backing plate
    d.rect(206, 152, 215, 214, "paper", THIN + 0.6)  # web, table and lining of the shoe
    d.rect(186, 143, 236, 152, "tint")
    d.rect(190, 130, 232, 143, "ink", 0)
    d.rect(190, 20, 206, 92, "paper", THIN)
    d.rect(174, 20, 190, 92, "cut")
    d.poly([(222, 20), (206, 20), (206, 128), (276, 128), (276, 222), (292, 222), (292, 110), (222, 110)], "cut")
    d.rect(238, 197, 252, 217)  # wheel stud
    d.rect(252, 201, 292, 213, "paper", THIN)
    d.thread(292, 201, 380, 213)
    d.rect(274, 140, 294, 160, "grey")  # plug
    d.rect(292, 134, 302, 166, "grey")
    d.arrow((352, 150), (310, 150), 2.4)
    d.center_line((10, 279), (390, 279))
    return d


def shoes_laid_out() -> Drawing:
    d = Drawing(
        "Parking brake shoes",
        "From outboard, rotor and hub left out: two shoes between the anchor above and the adjuster below, held by hold-downs and springs; "
        "a lever on one shoe spreads both through a strut.",
        292,
    )
    x, y = 200, 146
    d.circle(x, y, 138, "grey")
    d.circle(x, y, 40)
    d.rect(172, 38, 228, 62)
    d.circle(200, 50, 8)
    d.poly([(240, 58), (256, 56), (264, 90), (256, 150), (252, 198), (240, 198), (243, 150), (250, 92)])  # lever
    d.line((244, 192), (196, 199), width=3.4)
    d.circle(196, 199, 5, "ink", 0)
    for start, end in ((108, 252), (-72, 72)):
        d.path(sector(x, y, 86, 108, start, end), "tint")
        d.path(sector(x, y, 108, 122, start + 9, end - 9), "cut-fine")
    d.rect(136, 82, 264, 93)
    d.rect(178, 231, 222, 243)
    for end in (168, 220):
        d.rect(end, 227, end + 12, 247)
    d.rect(193, 221, 207, 253, "tint")
    for k in range(4):
        d.line((193, 227 + 7 * k), (207, 227 + 7 * k))
    for side in (-1, 1):
        d.line(*spring((x + 14 * side, 50), on(x, y, 97, 270 + 46 * side), 5, 6), width=2)
        d.circle(x + 97 * side, y, 12)
        d.circle(x + 97 * side, y, 4, "ink", 0)
    d.line(*spring((138, 211), (262, 211), 5, 10), width=2)
    d.mark(1, (30, 50), (112, 104))
    d.mark(2, (30, 146), (100, 146))
    d.mark(3, (200, 272), (200, 252))
    d.mark(4, (76, 18), (158, 68))
    d.mark(4, (60, 274), (160, 213))
    d.mark(5, (216, 158), (248, 150))
    d.mark(6, (182, 122), (182, 90))
    d.mark(7, (330, 18), (206, 48))
    d.legend("shoe with lining", "hold-down", "adjuster", "return spring", "lever with cable", "strut", "anchor")
    return d
