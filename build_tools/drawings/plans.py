"""The vehicle from above, front at the top: which axle, how the circuits are split, in which order the wheels are bled."""

from __future__ import annotations

import math

from .pen import PAPER, THIN, TINT, Drawing, Point

_WHEELS = {"LF": (84, 62), "RF": (316, 62), "LR": (84, 226), "RR": (316, 226)}  # left is on the left: seen from above
_VIEW = "The vehicle from above, its front at the top."


def _wheel(d: Drawing, at: Point, fill: str = "grey", turn: float = 0) -> None:
    a = math.radians(turn)
    corners = [(-15, -34), (15, -34), (15, 34), (-15, 34)]
    d.poly([(at[0] + x * math.cos(a) - y * math.sin(a), at[1] + x * math.sin(a) + y * math.cos(a)) for x, y in corners], fill)


def _vehicle(d: Drawing) -> None:
    d.path("M140 40Q140 10 170 10H230Q260 10 260 40V262Q260 282 240 282H160Q140 282 140 262Z", "none", THIN)
    d.path("M150 106Q200 90 250 106M152 236Q200 246 248 236", "none", THIN)


def _axle(title: str, description: str, worked_on: str) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}", 292)
    _vehicle(d)
    for y in (62, 226):
        d.line((84, y), (316, y), width=5)
    for name, at in _WHEELS.items():
        _wheel(d, at, "tint" if name.endswith(worked_on) else "paper", 18 if name.endswith("F") else 0)
    return d


def axle_front() -> Drawing:
    return _axle("Front axle", "The wheels of the front axle steer; they are the ones worked on.", "F")


def axle_rear() -> Drawing:
    return _axle("Rear axle", "The wheels of the rear axle do not steer; they are the ones worked on.", "R")


# ---- Circuits: one as a dark line, the other as a light one between two edges ----


def _circuits(title: str, description: str, first: list[str], second: list[str]) -> Drawing:
    d = Drawing(title, f"{_VIEW} {description}", 292)
    for at in _WHEELS.values():
        _wheel(d, at)
    for light, paths in ((True, second), (False, first)):
        for path in paths:
            d.path(path, "none", 13, ink=PAPER)
        for path in paths:
            d.path(path, "none", 9 if light else 6)
        for path in paths if light else ():
            d.path(path, "none", 4.5, ink=TINT)
    return d


def _reservoir(d: Drawing, chambers: int) -> Drawing:
    """Master cylinder with its reservoir, one or two chambers."""
    d.rect(158, 96, 242, 132)
    for k in range(chambers):
        d.circle(200 + (0 if chambers == 1 else 44 * k - 22), 114, 13, "ink" if k == 0 else "tint")
    return d


def single_circuit() -> Drawing:
    paths = ["M200 132V170", "M200 150H140V62H99", "M200 150H260V62H301", "M200 150V226H99", "M200 226H301"]
    return _reservoir(_circuits("Single circuit", "One chamber, one circuit to all four wheels.", paths, []), 1)


def front_rear() -> Drawing:
    first = ["M178 132V154H136V62H99", "M178 154H264V62H301"]
    second = ["M222 132V226H99", "M222 226H301"]
    return _reservoir(
        _circuits("Dual circuit, front and rear", "One circuit to the front wheels, the other to the rear wheels.", first, second), 2
    )


def dual_diagonal() -> Drawing:
    first = ["M178 132V150H136V62H99", "M178 150V162L244 226H301"]
    second = ["M222 132V150H264V62H301", "M222 150V162L156 226H99"]
    return _reservoir(
        _circuits("Dual circuit, diagonal", "Each circuit serves one front wheel and the rear wheel across from it.", first, second), 2
    )


# ---- Order of bleeding, where the maker gives none; the master cylinder at the left front ----

_ORDERS = (("front and rear", {"RR": 1, "LR": 2, "RF": 3, "LF": 4}), ("diagonal", {"RR": 1, "LF": 2, "LR": 3, "RF": 4}))


def bleeding_order() -> Drawing:
    d = Drawing(
        "Order of bleeding without the maker's",
        f"{_VIEW} Circuits front and rear: the wheel farthest from the master cylinder first. Diagonal circuits: a rear wheel, then the "
        "front wheel of its circuit, then the other circuit.",
        232,
    )
    for middle, (name, order) in zip((100, 300), _ORDERS, strict=True):
        at = {wheel: (middle + (x - 200) * 0.58, 10 + y * 0.72) for wheel, (x, y) in _WHEELS.items()}
        d.path(f"M{middle - 32} 34Q{middle} -6 {middle + 32} 34V196H{middle - 32}Z", "none", THIN)
        d.rect(middle - 28, 66, middle - 8, 82, "grey")
        d.line(*(at[wheel] for wheel in sorted(order, key=order.__getitem__)), width=2, dash="7 5")
        for wheel, (x, y) in at.items():
            d.rect(x - 14, y - 26, x + 14, y + 26, "tint")
            d.text(x, y + 6.3, str(order[wheel]), weight=600)
        d.text(middle, 222, name, weight=600)
    d.legend_of(("grey", "master cylinder"), ("tint", "wheels in turn"))
    return d
