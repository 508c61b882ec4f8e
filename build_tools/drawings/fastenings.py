"""How a wheel is held to its hub, and a rotor while the wheel is off: sections along one stud or bolt, outboard on the right."""

from __future__ import annotations

from collections.abc import Callable

from .pen import THIN, Drawing

FLANGE, HAT, WHEEL = (120, 158), (158, 174), (174, 226)  # from where to where along the axis: hub flange, rotor hat, wheel


def _plate(d: Drawing, ends: tuple[int, int], y: float, hole: float, half: float, fill: str) -> None:
    """A plate cut through the middle of a hole."""
    for way in (-1, 1):
        d.rect(ends[0], y + way * hole, ends[1], y + way * half, fill)


def _hexagon(d: Drawing, x1: float, x2: float, y: float, fill: str) -> None:
    """The hexagon of a nut or a bolt head from the side."""
    d.rect(x1, y - 32, x2, y + 32, fill)
    d.line((x1, y - 13), (x2, y - 13))
    d.line((x1, y + 13), (x2, y + 13))


def _seat(d: Drawing, y: float, fill: str) -> None:
    """The cone of a nut or a bolt head in the wheel."""
    d.poly([(206, y - 14), (234, y - 32), (234, y + 32), (206, y + 14)], fill)


def _flange_and_hat(d: Drawing, y: float, half: float) -> None:
    _plate(d, FLANGE, y, 12, half, "cut")
    _plate(d, HAT, y, 15, half, "cut-back")


def _wheel(d: Drawing, y: float, half: float) -> None:
    for way in (-1, 1):
        d.poly([(174, y + way * 16), (206, y + way * 16), (226, y + way * 29), (226, y + way * half), (174, y + way * half)], "grey")


def wheel_on_studs() -> Drawing:
    def stud(d: Drawing, y: float) -> None:
        d.rect(104, y - 24, 120, y + 24, "tint")
        d.rect(120, y - 12, 174, y + 12, "tint")
        d.thread(174, y - 12, 312, y + 12, 7)

    return _wheel_clamped(
        "Wheel nuts on studs",
        "Section along one stud, outboard on the right: the stud is pressed into the hub flange from behind, passes through rotor hat and "
        "wheel, and a nut clamps the wheel.",
        stud,
    )


def wheel_on_bolts() -> Drawing:
    def bolt(d: Drawing, y: float) -> None:
        d.rect(158, y - 12, 206, y + 12, "tint")
        d.thread(124, y - 12, 158, y + 12, 7)

    return _wheel_clamped(
        "Wheel bolts",
        "Section along one bolt, outboard on the right: the hub flange has a thread and no stud; a bolt passes through wheel and rotor hat "
        "and is screwed into the flange.",
        bolt,
    )


def _wheel_clamped(title: str, text: str, shank: Callable[[Drawing, float], None]) -> Drawing:
    """Flange, hat and wheel, what passes through them, and the seat and hexagon that clamp the wheel."""
    d = Drawing(title, text, 220)
    y = 110
    _flange_and_hat(d, y, 92)
    _wheel(d, y, 92)
    shank(d, y)
    _seat(d, y, "tint")
    _hexagon(d, 234, 282, y, "tint")
    d.center_line((70, y), (350, y))
    return d


def rotor_held_by_bolts() -> Drawing:
    d = Drawing(
        "Rotor held flat by short bolts",
        "Two sections, outboard on the right. Above, spacers take the place of the wheel and the end of the bolt stays inside the hub flange. "
        "Below, without spacers the same bolt comes out behind the flange and meets the part behind it.",
        270,
    )
    for y, right in ((70, True), (200, False)):
        _flange_and_hat(d, y, 56)
        d.rect(52, y - 56, 84, y + 56, "cut-back")
        head = WHEEL[1] if right else WHEEL[0] + 4
        end = head - 98 if right else 84
        if right:
            for k in range(3):
                left = WHEEL[0] + k * 17.3
                for way in (-1, 1):
                    d.rect(left, y + way * 14, left + 17.3, y + way * 34, "tint", THIN + 0.6)
        d.thread(end, y - 12, head, y + 12, 7)
        _hexagon(d, head, head + 40, y, "paper")
    d.mark(1, (244, 22), (200, 44))
    d.mark(2, (330, 70), (258, 70))
    d.mark(3, (136, 134), (138, 116))
    d.mark(4, (22, 168), (66, 176))
    d.mark(5, (330, 200), (92, 196))
    d.legend("spacers", "short bolt", "hub flange", "part behind it", "end comes out: wrong", columns=2)
    return d
