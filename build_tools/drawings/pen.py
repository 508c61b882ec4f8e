"""Draws in one system: thick outline, thin line, hatched cut faces, a tint on the part worked on.

Everything is a presentation attribute, because the policy of the pages allows
no style in a drawing. Lengths are in the drawing's own units, 400 to its width;
on a phone of 390 px a drawing is 358 px wide, so words of 18 units are read at 16 px.
"""

from __future__ import annotations

import math
from html import escape

from calculators.contract.figure import FACE, GRAY, INK, PAPER, THICK, THIN, TINT, Point

__all__ = ["INK", "PAPER", "THICK", "THIN", "TINT", "WORDS", "Drawing", "Point", "Section", "on", "sector", "spring"]

# Hatching: 45 degrees, turned for the part next to it, closer for hardened steel.
_PATTERNS = {
    "cut": (PAPER, 45, 7),
    "cut-back": (PAPER, 135, 7),
    "cut-fine": (PAPER, 45, 4),
    "cut-fine-back": (PAPER, 135, 4),
    "tint-cut": (TINT, 45, 7),
    "tint-cut-fine": (TINT, 135, 4),
}
WORDS = 18  # size of all words
_LETTER = 8.6  # about the width of one of them
_FILLS = {"paper": PAPER, "grey": GRAY, "tint": TINT, "ink": INK, "none": "none"}
_USUAL = {"fill": PAPER, "stroke": INK, "stroke-width": f"{THICK}", "stroke-dasharray": "none"}


class Drawing:
    """One drawing: a title (its alternative text), a description, and its shapes in the order drawn."""

    def __init__(self, title: str, description: str, height: float = 300) -> None:
        self.title = title
        self.description = description
        self.height = self._sheet = height
        self._shapes: list[str] = []
        self._labels: list[str] = []
        self._used: set[str] = set()

    # ---- shapes ----

    def poly(self, points: list[Point], fill: str = "paper", width: float = THICK, closed: bool = True, dash: str = "") -> None:
        """A polygon, or an open line, through the points."""
        path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")
        self.path(path, fill if closed else "none", width, dash)

    def path(self, d: str, fill: str = "paper", width: float = THICK, dash: str = "", ink: str = INK) -> None:
        self._shapes.append(f'<path d="{d}"{self._look(fill, width, dash, ink)}/>')

    def tube(self, d: str, width: float = 8, fill: str = "tint") -> None:
        """A hose or line along a path: two edges and what is between them."""
        self.path(d, "none", width)
        self.path(d, "none", width - 4, ink=_FILLS[fill])

    def rect(self, x1: float, y1: float, x2: float, y2: float, fill: str = "paper", width: float = THICK, dash: str = "") -> None:
        self.poly([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], fill, width, dash=dash)

    def circle(self, x: float, y: float, r: float, fill: str = "paper", width: float = THICK, dash: str = "") -> None:
        self._shapes.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}"{self._look(fill, width, dash)}/>')

    def line(self, *points: Point, width: float = THIN, dash: str = "") -> None:
        self.poly(list(points), "none", width, closed=False, dash=dash)

    def center_line(self, a: Point, b: Point) -> None:
        self.line(a, b, width=1, dash="14 4 3 4")

    def thread(self, x1: float, y1: float, x2: float, y2: float, pitch: float = 5) -> None:
        """A threaded length: the outline, and thin slanted lines across the shorter way."""
        self.rect(x1, y1, x2, y2, "paper", THIN)
        if abs(x2 - x1) >= abs(y2 - y1):
            turns = [((x1 + k * pitch, y1), (x1 + (k - 0.5) * pitch, y2)) for k in range(1, int((x2 - x1) / pitch))]
        else:
            turns = [((x1, y1 + k * pitch), (x2, y1 + (k - 0.5) * pitch)) for k in range(1, int((y2 - y1) / pitch))]
        self.path("".join(f"M{_n(a)} {_n(b)}L{_n(c)} {_n(e)}" for (a, b), (c, e) in turns), "none", 0.9)

    def arrow(self, a: Point, b: Point, width: float = 3, both: bool = False) -> None:
        """A movement from a to b."""
        self.line(a, b, width=width)
        self.head(a, b, 4 * width)
        if both:
            self.head(b, a, 4 * width)

    def arc_arrow(self, x: float, y: float, r: float, start: float, end: float, width: float = 3) -> None:
        """A turn about (x, y); degrees, clockwise as seen where end is greater than start."""
        a, b = on(x, y, r, start), on(x, y, r, end)
        large, sweep = int(abs(end - start) > 180), int(end > start)
        self.path(f"M{_n(a[0])} {_n(a[1])}A{_n(r)} {_n(r)} 0 {large} {sweep} {_n(b[0])} {_n(b[1])}", "none", width)
        before = on(x, y, r, end - (14 if sweep else -14))
        self.head(before, b, 4 * width)

    def head(self, a: Point, b: Point, size: float) -> None:
        angle = math.atan2(b[1] - a[1], b[0] - a[0])
        wings = [(b[0] - size * math.cos(angle + turn), b[1] - size * math.sin(angle + turn)) for turn in (0.42, -0.42)]
        tip = (b[0] + 2 * math.cos(angle), b[1] + 2 * math.sin(angle))
        self.poly([tip, *wings], "ink", 0)

    # ---- words ----

    def text(self, x: float, y: float, words: str, anchor: str = "middle", weight: int = 400) -> None:
        """Words on their base line."""
        where = "" if anchor == "middle" else f' text-anchor="{anchor}"'
        strong = "" if weight == 400 else f' font-weight="{weight}"'
        self._labels.append(f'<text x="{_n(x)}" y="{_n(y)}"{where}{strong}>{escape(words)}</text>')

    def mark(self, number: int | str, at: Point, to: Point | None = None) -> None:
        """A numbered call-out at a place, with a leader to the part, ended by a dot."""
        if to is not None:
            leader = f"M{_n(at[0])} {_n(at[1])}L{_n(to[0])} {_n(to[1])}"
            self._labels.append(
                f'<path d="{leader}" stroke="{PAPER}" stroke-width="4.5"/><path d="{leader}" stroke="{INK}" stroke-width="1.3"/>'
            )
            self._labels.append(f'<circle cx="{_n(to[0])}" cy="{_n(to[1])}" r="3.2" stroke="{PAPER}"/>')
        self._bubble(number, *at)

    def _bubble(self, number: int | str, x: float, y: float) -> None:
        self._labels.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="12.5" fill="{PAPER}" stroke="{INK}" stroke-width="1.6"/>')
        self.text(x, y + 6.3, str(number), weight=600)

    def legend(self, *names: str, columns: int = 0) -> None:
        """What the call-outs mean, under the drawing, and room for it; in two columns where the names are short enough."""
        columns = columns or (2 if max(map(len, names)) * _LETTER < 162 else 1)
        top, row = self.height + 18, 30
        for index, name in enumerate(names):
            x, y = 16 + (index % columns) * (400 / columns), top + (index // columns) * row
            self._bubble(index + 1, x, y)
            self.text(x + 19, y + 6.3, name, "start")
        self.height = top + (math.ceil(len(names) / columns) - 1) * row + 18

    def legend_of(self, *fills: tuple[str, str]) -> None:
        """What the fills of the parts mean, in one line under the drawing."""
        for index, (fill, name) in enumerate(fills):
            x = 16 + index * 400 / len(fills)
            self.rect(x - 9, self.height + 9, x + 9, self.height + 27, fill)
            self.text(x + 19, self.height + 24.3, name, "start")
        self.height += 36

    def plain(self) -> Drawing:
        """The same without call-outs and legend: beside an answer it is shown too small for them."""
        self._labels, self.height = [], self._sheet
        return self

    # ---- output ----

    def _look(self, fill: str, width: float, dash: str = "", ink: str = INK) -> str:
        """The attributes that differ from those of the group of all shapes."""
        if fill in _PATTERNS:
            self._used.add(fill)
        paint = f"url(#{fill})" if fill in _PATTERNS else _FILLS[fill]
        said = {"fill": paint, "stroke": ink if width else "none", "stroke-width": _n(width or THICK), "stroke-dasharray": dash or "none"}
        return "".join(f' {name}="{value}"' for name, value in said.items() if value != _USUAL[name])

    def svg(self) -> str:
        patterns = "".join(_pattern(name) for name in _PATTERNS if name in self._used)
        usual = "".join(f' {name}="{value}"' for name, value in _USUAL.items() if value != "none")
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 {_n(self.height)}" role="img" stroke-linejoin="round" stroke-linecap="round">\n'
            f"<title>{escape(self.title)}</title>\n<desc>{escape(self.description)}</desc>\n"
            + (f"<defs>{patterns}</defs>\n" if patterns else "")
            + f"<g{usual}>\n" + "\n".join(self._shapes) + "\n</g>\n"
            + f'<g fill="{INK}" font-family="{FACE}" font-size="{WORDS}" text-anchor="middle">\n' + "\n".join(self._labels) + "\n</g>\n"
            + "</svg>\n"
        )  # fmt: skip


def sector(x: float, y: float, inner: float, outer: float, start: float, end: float) -> str:
    """The path of a piece of a ring between two angles, clockwise from the right."""
    (ax, ay), (bx, by) = on(x, y, outer, start), on(x, y, outer, end)
    (cx, cy), (dx, dy) = on(x, y, inner, end), on(x, y, inner, start)
    large = int(end - start > 180)
    out, back = f"A{_n(outer)} {_n(outer)} 0 {large} 1 {_n(bx)} {_n(by)}", f"A{_n(inner)} {_n(inner)} 0 {large} 0 {_n(dx)} {_n(dy)}"
    return f"M{_n(ax)} {_n(ay)}{out}L{_n(cx)} {_n(cy)}{back}Z"


def spring(a: Point, b: Point, half: float = 6, turns: int = 7) -> list[Point]:
    """A coil spring seen from the side, drawn as a zigzag between short straight ends."""
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    along = [0, 6] + [6 + (length - 12) * (k + 0.5) / (2 * turns) for k in range(2 * turns)] + [length - 6, length]
    across = [0, 0] + [half * (-1) ** k for k in range(2 * turns)] + [0, 0]
    return [(a[0] + ux * s - uy * t, a[1] + uy * s + ux * t) for s, t in zip(along, across, strict=True)]


class Section:
    """A part turned about an axle, cut along it: each contour is drawn above the axis and mirrored below."""

    def __init__(self, drawing: Drawing, axis: float = 150) -> None:
        self.drawing = drawing
        self.axis = axis

    def cut(self, contour: list[Point], fill: str = "cut", width: float = THICK, lower: str | None = None) -> None:
        """A cut face, its contour as (x, radius)."""
        self.drawing.poly([(x, self.axis - r) for x, r in contour], fill, width)
        self.drawing.poly([(x, self.axis + r) for x, r in contour], lower or fill, width)

    def ring(self, x1: float, r1: float, x2: float, r2: float, fill: str = "cut", width: float = THICK) -> None:
        """A cut ring of rectangular section between two radii."""
        self.cut([(x1, r1), (x2, r1), (x2, r2), (x1, r2)], fill, width)

    def shaft(self, contour: list[Point], fill: str = "paper", width: float = THICK) -> None:
        """A solid shaft, not cut: its upper edge as (x, radius), closed by its mirror."""
        upper = [(x, self.axis - r) for x, r in contour]
        lower = [(x, self.axis + r) for x, r in reversed(contour)]
        self.drawing.poly(upper + lower, fill, width)

    def balls(self, x: float, r: float, radius: float, fill: str = "paper") -> None:
        for side in (-1, 1):
            self.drawing.circle(x, self.axis + side * r, radius, fill)


def _pattern(name: str) -> str:
    ground, angle, gap = _PATTERNS[name]
    return (
        f'<pattern id="{name}" width="{gap}" height="{gap}" patternUnits="userSpaceOnUse" patternTransform="rotate({angle})">'
        f'<rect width="{gap}" height="{gap}" fill="{ground}"/>'
        f'<path d="M0 0V{gap}" stroke="{INK}" stroke-width="1.3"/></pattern>'
    )


def on(x: float, y: float, r: float, degrees: float) -> Point:
    return x + r * math.cos(math.radians(degrees)), y + r * math.sin(math.radians(degrees))


def _n(value: float) -> str:
    """A length with at most one decimal."""
    return f"{value:.1f}".rstrip("0").rstrip(".") if value else "0"
