"""A result as a drawing: the handbook's ink, tint and line widths, as SVG with presentation attributes only.

Several drawings may stand on one page, so they hold no ids: fills are plain, and nothing is referred to.
"""

from __future__ import annotations

from collections.abc import Iterable

INK = "#14191d"
QUIET = "#5f6a73"
TINT = "#a9d2d9"
GREY = "#e6eaec"
PAPER = "#ffffff"
FACE = "Atkinson Hyperlegible Next, Segoe UI, Helvetica Neue, Arial, sans-serif"
THICK, THIN = 2.4, 1.2
DASHES = "7 5"

Point = tuple[float, float]
ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})


class Figure:
    """A drawing in its own units; `title` is its name for who cannot see it, `description` what it shows."""

    def __init__(self, width: float, height: float, title: str, description: str):
        self.width, self.height = width, height
        self._parts = [f"<title>{title.translate(ESCAPED)}</title>", f"<desc>{description.translate(ESCAPED)}</desc>"]

    def shape(self, points: Iterable[Point], fill: str = PAPER, width: float = THICK, stroke: str = INK) -> None:
        """A closed shape through the points."""
        self._parts.append(f'<path d="{_path(points)}Z" fill="{fill}" {_stroke(width, stroke)}/>')

    def line(self, points: Iterable[Point], width: float = THIN, stroke: str = INK, dashed: bool = False) -> None:
        """An open line through the points."""
        self._parts.append(f'<path d="{_path(points)}" fill="none" {_stroke(width, stroke, dashed)}/>')

    def circle(self, centre: Point, radius: float, fill: str = "none", width: float = THIN, stroke: str = INK, dashed: bool = False) -> None:
        """A circle."""
        x, y = centre
        self._parts.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" fill="{fill}" {_stroke(width, stroke, dashed)}/>')

    def text(self, at: Point, words: str, anchor: str = "middle", strong: bool = False, size: float = 15) -> None:
        """Words on their base line; `anchor` is start, middle or end."""
        x, y = at
        weight = ' font-weight="600"' if strong else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}" font-size="{_n(size)}"{weight} fill="{INK}">{words.translate(ESCAPED)}</text>'
        )

    def svg(self) -> str:
        """The drawing as text."""
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img" font-family="{FACE}">'
        return "\n".join([head, *self._parts, "</svg>"])


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


def _stroke(width: float, stroke: str, dashed: bool = False) -> str:
    dashes = f' stroke-dasharray="{DASHES}"' if dashed else ""
    return f'stroke="{stroke}" stroke-width="{_n(width)}" stroke-linejoin="round"{dashes}'


def _n(number: float) -> str:
    """A coordinate to a tenth, so that two mathematical libraries draw the same."""
    return f"{round(number, 1) + 0.0:g}"
