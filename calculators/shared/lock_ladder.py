"""The locks of a nut, by the end play they leave, against the window of end play, as a drawing."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from calculators.contract.figure import GRAY, INK, LINE, PAPER, QUIET, THICK, THIN, TINT, WIDTH, Figure, Label, entered
from calculators.contract.result import Printer
from calculators.contract.units import Quantity

if TYPE_CHECKING:
    from calculators.bearing_end_play import Window

LEFT, AXIS, RIGHT, WORDS = 8.0, 56.0, 104.0, 143.0  # the window from side to side, the locks' line, where the words begin
TOP, BOTTOM = 26.0, 266.0  # the loosest and the tightest that is drawn
RING, CLOSE = 7.0, 17.0  # a lock; locks nearer to each other are drawn as strokes
MOST_LABELED = 7


def draw(printer: Printer, window: Window, stay: bool, least_known: bool) -> str:
    """The ladder as SVG, loose on top; one scale holds for all and always shows 0. `stay`: the nut is right as it stands."""
    chosen = None if stay or window.chosen == window.locks.standing else window.chosen
    plays = {number: window.end_play(number) for number in _shown(window, stay)}
    most, least = max(window.measured, window.most, *plays.values()), min(0.0, *plays.values())

    def y(play: float) -> float:
        return TOP + (most - play) * (BOTTOM - TOP) / (most - least)

    limits = {"target_max": window.most} | ({"target_min": window.least} if least_known else {})
    edges = {name: f"{word} {entered(printer, name)}" for name, word in (("target_max", "Most"), ("target_min", "Least")) if name in limits}
    now = f"Now {entered(printer, 'measured')}"
    locks = {number: _words(printer, window, number) for number in _labeled(window, plays, chosen) if number != window.locks.standing}
    reach = y(0) - y(window.u) > 2
    key = _key(printer, window, reach)

    figure = Figure(
        WIDTH, BOTTOM + (len(key) + 0.9) * LINE, "Locks of the nut against the window of end play", _said(window, edges, now, locks, chosen)
    )
    figure.shape([(LEFT, y(window.most)), (RIGHT, y(window.most)), (RIGHT, y(window.least)), (LEFT, y(window.least))], GRAY, 0, GRAY)
    if least < 0:
        figure.hatch(LEFT, y(0), RIGHT, BOTTOM + 8)
    figure.line([(LEFT, y(0)), (RIGHT + 12, y(0))], THICK)
    for limit in limits.values():
        figure.line([(LEFT, y(limit)), (RIGHT + 12, y(limit))], THICK, dashed=True)
    if reach:
        figure.reach(LEFT + 14, y(window.measured + window.u), y(window.measured - window.u))
    _locks(figure, window, {number: y(play) for number, play in plays.items()}, set(locks), y(window.measured))
    if chosen is not None:
        _arrow(figure, y(window.measured), y(plays[chosen]))
    marks: list[Label] = [(y(window.measured), now, chosen is None), (y(0), "0" if least == 0 else "0; below: preload", False)]
    marks += [(y(limit), edges[name], False) for name, limit in limits.items()]
    marks += [(y(plays[number]), words, number == chosen) for number, words in locks.items()]
    figure.labels(marks, RIGHT + 14, WORDS, TOP, BOTTOM)
    for k, words in enumerate(key, 1):
        figure.text((LEFT, BOTTOM + (k + 0.4) * LINE), words, "start")
    return figure.svg()


def _shown(window: Window, stay: bool) -> range:
    """From where the nut stands to the neighbors of the lock it goes to."""
    next_one = window.locks.first_from(0.0)
    if stay:
        return range(next_one - 1, next_one + (1 if window.locks.standing is None else 2))
    looser, tighter = (window.first - 1, window.first) if window.chosen is None else (window.chosen - 1, window.chosen + 1)
    return range(min(looser, next_one), max(tighter, next_one) + 1)


def _labeled(window: Window, plays: dict[int, float], chosen: int | None) -> list[int]:
    """All of a few locks; of many the one to turn to and those beside it, or the two beside the window."""
    if len(plays) <= MOST_LABELED:
        return list(plays)
    beside = (window.first - 1, window.first) if chosen is None else (chosen - 1, chosen, chosen + 1)
    return [number for number in beside if number in plays]


def _words(printer: Printer, window: Window, number: int) -> str:
    count = window.locks.positions(number)
    play = printer.short("resulting_end_play", Quantity(window.end_play(number), "mm")).replace("-", "−")
    return f"{'Tighten' if count > 0 else 'Loosen'} {abs(count)}: {play}"


def _key(printer: Printer, window: Window, reach: bool) -> list[str]:
    found = ["Hexagon: the nut now. Rings: its locks,", "black in the window." if window.reachable else "none of them in the window."]
    return [*found, *([f"Upright bar: reading ± {entered(printer, 'tool_uncertainty')}."] if reach else [])]


def _said(window: Window, edges: dict[str, str], now: str, locks: dict[int, str], chosen: int | None) -> str:
    """The drawing in words."""
    named = [
        words + (", in the window" if number in window.reachable else "") + (", the one to turn to" if number == chosen else "")
        for number, words in locks.items()
    ]
    return f"Window of end play: {'; '.join(edges.values())}. {now}. Locks by the turn to them and the end play they leave: {'; '.join(named)}."


def _locks(figure: Figure, window: Window, heights: dict[int, float], labeled: set[int], now: float) -> None:
    """The locks on their line, and the nut as a hexagon where it stands."""
    places = list(heights.values())
    close = min((after - before for before, after in pairwise(places)), default=CLOSE) < CLOSE
    figure.line([(AXIS, TOP - 10), (AXIS, BOTTOM + 8)], THIN)
    figure.shape([(AXIS + 15 * math.cos(math.pi * k / 3), now + 15 * math.sin(math.pi * k / 3)) for k in range(6)], TINT)
    figure.line([(AXIS + 17, now), (RIGHT + 14, now)], 0.8, QUIET)
    for number, height in heights.items():
        if number in labeled:
            figure.line([(AXIS, height), (RIGHT + 14, height)], 0.8, QUIET)
        if close and number not in labeled and number != window.locks.standing:
            figure.line([(AXIS - 5, height), (AXIS + 5, height)], THICK if number in window.reachable else THIN)
        else:
            figure.circle((AXIS, height), 4 if close else RING, INK if number in window.reachable else PAPER, THICK)


def _arrow(figure: Figure, start: float, end: float) -> None:
    """From the nut to the lock it is turned to."""
    x, tip = AXIS + 34, AXIS + RING + 4
    figure.line([(AXIS + 17, start), (x, start), (x, end), (tip + 8, end)], THICK)
    figure.shape([(tip, end), (tip + 11, end - 6), (tip + 11, end + 6)], INK, THIN)
