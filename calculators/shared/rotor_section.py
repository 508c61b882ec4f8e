"""The section of a rotor, its thinnest reading against the discard mark and the others, as a drawing."""

from __future__ import annotations

import math

from calculators.contract.figure import INK, LINE, THICK, THIN, TINT, WIDTH, Figure, entered, round_step
from calculators.contract.printing import trimmed, with_unit
from calculators.contract.result import Printer
from calculators.contract.units import Quantity

LEFT, RIGHT, WORDS = 34.0, 132.0, 172.0  # the rotor from side to side, and where the words begin
TOP, LOWEST, BREAK, BOTTOM = 24.0, 196.0, 222.0, 264.0  # highest and lowest mark, the break, the other face
NAMES = {"new": "New", "machine_to": "Machine-to", "discard": "Discard"}
LIMITS = ("machine_to", "discard")


def draw(printer: Printer, thinnest: Quantity, u: Quantity, limits: dict[str, Quantity | None], after_cut: Quantity | None) -> str:
    """The section as SVG, the face that is left on top. One scale holds for all marks; the middle of the rotor is broken out.

    `limits` = discard, machine_to and new under the names of their inputs, None where not given.
    """
    found = {"thinnest": (thinnest, f"Thinnest {printer.short('thinnest', thinnest)}")}
    if after_cut is not None:
        found["after"] = (after_cut, f"After cut {printer.short('thickness_after_cut', after_cut)}")
    found |= {name: (limit, f"{NAMES[name]} {entered(printer, name)}") for name, limit in limits.items() if limit is not None}
    unit = printer.values["thinnest"].units(printer.system)[0]
    sizes = {name: unit.magnitude(size) for name, (size, _) in found.items()}
    reach = unit.magnitude(u)
    most, least = max(*sizes.values(), sizes["thinnest"] + reach), min(*sizes.values(), sizes["thinnest"] - reach)
    shown = max(most - least, most / 200)

    def y(size: float) -> float:
        return TOP + (most - size) * (LOWEST - TOP) / shown

    order = sorted(found, key=lambda name: -sizes[name])
    said = "; ".join(found[name][1] for name in order)
    to_be_seen = y(0) - y(reach) > 2
    figure = Figure(
        WIDTH,
        BOTTOM + (2.6 if to_be_seen else 1.6) * LINE,
        "Section of the rotor with its marks",
        f"From thick to thin: {said}. The reading is good to ± {entered(printer, 'tool_uncertainty')}.",
    )
    _section(figure, y(sizes["thinnest"]))
    for name in order:
        limit = name in LIMITS
        figure.line(
            [(LEFT - 4, y(sizes[name])), (RIGHT + 12, y(sizes[name]))],
            THIN if name in ("new", "machine_to", "after") else THICK,
            INK,
            limit,
        )
    if to_be_seen:
        figure.reach(RIGHT - 18, y(sizes["thinnest"] + reach), y(sizes["thinnest"] - reach))
        figure.text((8, BOTTOM + 2.2 * LINE), f"Upright bar: reading ± {entered(printer, 'tool_uncertainty')}.", "start")
    figure.labels([(y(sizes[name]), found[name][1], name in ("thinnest", "discard")) for name in order], RIGHT + 14, WORDS, TOP, BREAK)

    step = round_step(shown / 4)
    figure.line([(14, TOP), (14, BREAK)], THIN)
    for k in range(math.ceil((most - (BREAK - TOP) / (LOWEST - TOP) * shown) / step), math.floor(most / step + 1e-9) + 1):
        figure.line([(8, y(k * step)), (20, y(k * step))], THIN)
    figure.text((8, BOTTOM + 1.2 * LINE), f"Ticks every {with_unit(trimmed(step, 6), unit.symbol)}; middle left out.", "start")
    return figure.svg()


def _section(figure: Figure, face: float) -> None:
    """The cut rotor down from this face, broken, and its other face."""
    broken = [(LEFT + (RIGHT - LEFT) * k / 6, BREAK + (5 if k % 2 else -5)) for k in range(7)]
    figure.shape([(LEFT, face), *broken, (RIGHT, face)], TINT)
    figure.shape([(LEFT, BOTTOM), *((x, y + 16) for x, y in broken), (RIGHT, BOTTOM)], TINT)
    figure.hatch(LEFT, face, RIGHT, BREAK - 5)
    figure.hatch(LEFT, BREAK + 21, RIGHT, BOTTOM)
