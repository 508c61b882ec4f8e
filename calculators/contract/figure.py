"""A result as a drawing: the handbook's ink, tint and line widths, as SVG with presentation attributes only.

Several drawings may stand on one page, so they hold no ids: fills are plain, and nothing is referred to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calculators.contract.result import Printer

INK = "#14191d"
QUIET = "#5f6a73"
TINT = "#a9d2d9"
GRAY = "#e6eaec"
GREY = GRAY  # as version 0.1.0 called it
PAPER = "#ffffff"
FACE = "Atkinson Hyperlegible Next, Segoe UI, Helvetica Neue, Arial, sans-serif"
THICK, THIN = 2.4, 1.2
WIDTH = 360.0  # of a drawing: on the narrowest phone its words are then as large as the text beside it
SIZE, LINE = 18.0, 23.0  # of words, and from one line of them to the next
DASHES = "7 5"

Point = tuple[float, float]
Label = tuple[float, str, bool]  # height of the mark, words, whether strong
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

    def circle(
        self, center: Point, radius: float, fill: str = "none", width: float = THIN, stroke: str = INK, dashed: bool = False
    ) -> None:
        """A circle."""
        x, y = center
        self._parts.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" fill="{fill}" {_stroke(width, stroke, dashed)}/>')

    def text(self, at: Point, words: str, anchor: str = "middle", strong: bool = False, size: float = SIZE) -> None:
        """Words on their base line; `anchor` is start, middle or end."""
        x, y = at
        weight = ' font-weight="600"' if strong else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}" font-size="{_n(size)}"{weight} fill="{INK}">{words.translate(ESCAPED)}</text>'
        )

    def hatch(self, left: float, top: float, right: float, bottom: float, step: float = 11) -> None:
        """Slanting lines over a rectangle: a cut face, or where no setting may be."""
        sums = [left + top + step * k for k in range(1, math.ceil((right - left + bottom - top) / step))]
        lines = [[(min(right, s - top), max(top, s - right)), (max(left, s - bottom), min(bottom, s - left))] for s in sums]
        if lines:
            self._parts.append(f'<path d="{"".join(map(_path, lines))}" fill="none" {_stroke(0.8, QUIET)}/>')

    def reach(self, x: float, high: float, low: float) -> None:
        """An upright bar over what a reading may really be."""
        self.line([(x, high), (x, low)], THICK)
        for y in (high, low):
            self.line([(x - 7, y), (x + 7, y)], THICK)

    def labels(self, marks: Sequence[Label], start: float, at: float, top: float, bottom: float) -> None:
        """Words in a column at `at`, in the order of their heights and never over each other; a line leads to each mark."""
        ordered = sorted(marks, key=lambda mark: mark[0])
        for (height, words, strong), place in zip(ordered, spaced([mark[0] for mark in ordered], top, bottom), strict=True):
            self.line([(start, height), (at - 20, place), (at - 5, place)], 0.8, QUIET)
            self.text((at, place + SIZE / 3), words, "start", strong)

    def svg(self) -> str:
        """The drawing as text."""
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img" font-family="{FACE}">'
        return "\n".join([head, *self._parts, "</svg>"])


def spaced(heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Heights in rising order moved apart to a line each, as little as that takes, and not out of top and bottom."""
    groups: list[tuple[float, int]] = []  # where the first line of a group stands, and how many it has
    for height in heights:
        groups.append((height, 1))
        while len(groups) > 1 and groups[-1][0] < groups[-2][0] + LINE * groups[-2][1]:
            (second, two), (first, one) = groups.pop(), groups.pop()
            groups.append(((one * first + two * (second - LINE * one)) / (one + two), one + two))
    found = [first + LINE * k for first, count in groups for k in range(count)]
    up = [max(height, top + LINE * k) for k, height in enumerate(found)]
    return [min(height, bottom - LINE * (len(up) - 1 - k)) for k, height in enumerate(up)]


def round_step(most: float) -> float:
    """The greatest 1, 2 or 5 with zeros that is not over `most`: the step of a scale."""
    power = 10.0 ** math.floor(math.log10(most))
    return next(k * power for k in (5, 2, 1) if k * power <= most * (1 + 1e-9))


def entered(printer: Printer, name: str) -> str:
    """An entry as understood, in the reader's system only."""
    return printer.input(name).partition(" (")[0]


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


def _stroke(width: float, stroke: str, dashed: bool = False) -> str:
    dashes = f' stroke-dasharray="{DASHES}"' if dashed else ""
    return f'stroke="{stroke}" stroke-width="{_n(width)}" stroke-linejoin="round"{dashes}'


def _n(number: float) -> str:
    """A coordinate to a tenth, so that two mathematical libraries draw the same."""
    return f"{round(number, 1) + 0.0:g}"
