"""Draws in one system: thick outline, thin line, hatched cut faces, a tint on the part worked on.

Everything is a presentation attribute, because the policy of the pages allows
no style in a drawing. Lengths are in the drawing's own units, 400 to its width.
"""

from __future__ import annotations

import math
from html import escape

from calculators.figure import FACE, GREY, INK, PAPER, THICK, THIN, TINT, Point

# Hatching: 45 degrees, turned for the part next to it, closer for hardened steel.
_PATTERNS = {
    "cut": (PAPER, 45, 7),
    "cut-back": (PAPER, 135, 7),
    "cut-fine": (PAPER, 45, 4),
    "cut-fine-back": (PAPER, 135, 4),
    "tint-cut": (TINT, 45, 7),
    "tint-cut-fine": (TINT, 135, 4),
}
_FILLS = {"paper": PAPER, "grey": GREY, "tint": TINT, "ink": INK, "none": "none"}


class Drawing:
    """One drawing: a title (its alternative text), a description, and its shapes in the order drawn."""

    def __init__(self, title: str, description: str, height: float = 300) -> None:
        self.title = title
        self.description = description
        self.height = height
        self._shapes: list[str] = []
        self._labels: list[str] = []
        self._used: set[str] = set()

    # ---- shapes ----

    def poly(self, points: list[Point], fill: str = "paper", width: float = THICK, closed: bool = True, dash: str = "") -> None:
        """A polygon, or an open line, through the points."""
        path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")
        self.path(path, fill if closed else "none", width, dash)

    def path(self, d: str, fill: str = "paper", width: float = THICK, dash: str = "", ink: str = INK) -> None:
        stroke = f' stroke="{ink}" stroke-width="{_n(width)}"' if width else ""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._shapes.append(f'<path d="{d}" fill="{self._fill(fill)}"{stroke}{dashes}/>')

    def rect(self, x1: float, y1: float, x2: float, y2: float, fill: str = "paper", width: float = THICK, dash: str = "") -> None:
        self.poly([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], fill, width, dash=dash)

    def circle(self, x: float, y: float, r: float, fill: str = "paper", width: float = THICK, dash: str = "") -> None:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        stroke = f' stroke="{INK}" stroke-width="{_n(width)}"' if width else ""
        self._shapes.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}" fill="{self._fill(fill)}"{stroke}{dashes}/>')

    def line(self, *points: Point, width: float = THIN, dash: str = "") -> None:
        self.poly(list(points), "none", width, closed=False, dash=dash)

    def centre_line(self, a: Point, b: Point) -> None:
        self.line(a, b, width=1, dash="14 4 3 4")

    def thread(self, x1: float, y1: float, x2: float, y2: float, pitch: float = 5) -> None:
        """A threaded length: the outline, and thin slanted lines across the shorter way."""
        self.rect(x1, y1, x2, y2, "paper", THIN)
        if abs(x2 - x1) >= abs(y2 - y1):
            for k in range(1, int((x2 - x1) / pitch)):
                self.line((x1 + k * pitch, y1), (x1 + k * pitch - pitch / 2, y2), width=0.9)
        else:
            for k in range(1, int((y2 - y1) / pitch)):
                self.line((x1, y1 + k * pitch), (x2, y1 + k * pitch - pitch / 2), width=0.9)

    def arrow(self, a: Point, b: Point, width: float = 3, both: bool = False) -> None:
        """A movement from a to b."""
        self.line(a, b, width=width)
        self._head(a, b, 4 * width)
        if both:
            self._head(b, a, 4 * width)

    def arc_arrow(self, x: float, y: float, r: float, start: float, end: float, width: float = 3) -> None:
        """A turn about (x, y); degrees, clockwise as seen where end is greater than start."""
        a, b = _on(x, y, r, start), _on(x, y, r, end)
        large, sweep = int(abs(end - start) > 180), int(end > start)
        self.path(f"M{_n(a[0])} {_n(a[1])}A{_n(r)} {_n(r)} 0 {large} {sweep} {_n(b[0])} {_n(b[1])}", "none", width)
        before = _on(x, y, r, end - (14 if sweep else -14))
        self._head(before, b, 4 * width)

    def _head(self, a: Point, b: Point, size: float) -> None:
        angle = math.atan2(b[1] - a[1], b[0] - a[0])
        wings = [(b[0] - size * math.cos(angle + turn), b[1] - size * math.sin(angle + turn)) for turn in (0.42, -0.42)]
        tip = (b[0] + 2 * math.cos(angle), b[1] + 2 * math.sin(angle))
        self.poly([tip, *wings], "ink", 0)

    # ---- words ----

    def text(self, x: float, y: float, words: str, size: float = 15, anchor: str = "start", weight: int = 400, ink: str = INK) -> None:
        self._labels.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-family="{FACE}" font-size="{_n(size)}" '
            f'font-weight="{weight}" text-anchor="{anchor}" fill="{ink}">{escape(words)}</text>'
        )

    def mark(self, number: int | str, at: Point, to: Point | None = None) -> None:
        """A numbered call-out at a place, with a leader to the part, ended by a dot."""
        if to is not None:
            self._labels.append(
                f'<path d="M{_n(at[0])} {_n(at[1])}L{_n(to[0])} {_n(to[1])}" fill="none" stroke="{PAPER}" stroke-width="4"/>'
                f'<path d="M{_n(at[0])} {_n(at[1])}L{_n(to[0])} {_n(to[1])}" fill="none" stroke="{INK}" stroke-width="1.2"/>'
                f'<circle cx="{_n(to[0])}" cy="{_n(to[1])}" r="3.2" fill="{INK}" stroke="{PAPER}" stroke-width="1"/>'
            )
        self._labels.append(f'<circle cx="{_n(at[0])}" cy="{_n(at[1])}" r="12" fill="{PAPER}" stroke="{INK}" stroke-width="1.6"/>')
        self.text(at[0], at[1] + 5.2, str(number), 15, "middle", 600)

    def legend(self, *names: str, columns: int = 2) -> None:
        """What the call-outs mean, under the drawing, and room for it."""
        top, row = self.height + 14, 26
        for index, name in enumerate(names):
            x = 14 + (index % columns) * (400 / columns)
            y = top + (index // columns) * row
            self._labels.append(f'<circle cx="{_n(x + 2)}" cy="{_n(y)}" r="10.5" fill="{PAPER}" stroke="{INK}" stroke-width="1.4"/>')
            self.text(x + 2, y + 5, str(index + 1), 14, "middle", 600)
            self.text(x + 19, y + 5.2, name)
        self.height = top + (math.ceil(len(names) / columns) - 1) * row + 16

    # ---- output ----

    def _fill(self, name: str) -> str:
        if name in _PATTERNS:
            self._used.add(name)
            return f"url(#{name})"
        return _FILLS[name]

    def svg(self) -> str:
        patterns = "".join(_pattern(name) for name in _PATTERNS if name in self._used)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 {_n(self.height)}" role="img" stroke-linejoin="round" stroke-linecap="round">\n'
            f"<title>{escape(self.title)}</title>\n<desc>{escape(self.description)}</desc>\n"
            + (f"<defs>{patterns}</defs>\n" if patterns else "")
            + "\n".join([*self._shapes, *self._labels])
            + "\n</svg>\n"
        )


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


def _on(x: float, y: float, r: float, degrees: float) -> Point:
    return x + r * math.cos(math.radians(degrees)), y + r * math.sin(math.radians(degrees))


def _n(value: float) -> str:
    """A length with at most one decimal."""
    return f"{value:.1f}".rstrip("0").rstrip(".").replace("-0", "-0") if value else "0"
