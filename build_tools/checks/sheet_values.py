"""The values of a vehicle's sheet held against the same bands and cross-checks as the entries of a calculator.

`judged_by` gives the page what it needs to judge a sheet that it opens, by the same figures (docs/scripts/core/sheet-bands.js).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from build_tools.content.model import SheetField, Sourced
from build_tools.content.problems import Fault, quoted
from calculators.contract.bands import BANDS, Band
from calculators.contract.entries import read_entry, split_list
from calculators.contract.judge import compare
from calculators.contract.printing import without_exponent
from calculators.contract.units import Quantity, Unit, kind_of, unit_named

CANNOT_BE, RARE, CONTRADICTS = "V106", "V107", "V108"


class Edges(NamedTuple):
    """Of one unit: hard low, usual low, usual high, hard high; each as far out as either column of the band has it."""

    hard_low: float
    low: float
    high: float
    hard_high: float


def unit_of(field: SheetField, symbol: str) -> Unit:
    """A unit of a field by its symbol."""
    return unit_named(symbol, kind_of(field.units))


@cache
def edges_in(band: Band, unit: Unit) -> Edges:
    """The edges of a band in a unit; threads per inch count the other way round."""
    columns = [
        [
            unit.magnitude(unit_named(edges.unit, kind_of([edges.unit, unit.symbol])).quantity(value))
            if value or not unit.inverse
            else float("inf")
            for value in (edges.hard_low, edges.low, edges.high, edges.hard_high)
        ]
        for edges in band.edges
    ]
    columns = [column[::-1] if unit.inverse else column for column in columns]
    lows, highs = zip(*(column[:2] for column in columns), strict=True), zip(*(column[2:] for column in columns), strict=True)
    (hard_low, low), (high, hard_high) = map(min, lows), map(max, highs)
    return Edges(*(round_off(value) for value in (hard_low, low, high, hard_high)))


def round_off(value: float) -> float:
    """To six figures: what is printed and what is judged are the same."""
    return float(f"{value:.6g}")


def numbers_of(field: SheetField, sourced: Sourced) -> list[Quantity]:
    """The figures of a value; none where it is not to be judged or another fault stands in it."""
    if sourced.unit not in field.units or not _is_judged(field):
        return []
    unit = unit_of(field, sourced.unit)
    try:
        entries = [read_entry(piece, kind_of(field.units), unit) for piece in split_list(sourced.value)]
        return [entry.quantity for entry in entries]
    except (ValueError, ZeroDivisionError):
        return []


def faults(fields: Mapping[str, SheetField], values: Mapping[str, Sourced]) -> Iterator[tuple[str, Fault]]:
    """What cannot be, contradicts another value, or is rare without a reason: path of the value → fault. `fields` by the same paths."""
    known = {path: found for path, sourced in values.items() if path in fields and (found := numbers_of(fields[path], sourced))}
    bad = set()
    for path in known:
        for fault in _outside(fields[path], values[path], known[path]):
            bad.add(path)
            yield path, fault
    for path, numbers in known.items():
        for other, or_equal in [*((name, False) for name in fields[path].under), *((name, True) for name in fields[path].not_over)]:
            if other not in known or bad & {path, other}:
                continue
            order = compare(
                max(number.to(known[other][0].units).magnitude for number in numbers), min(number.magnitude for number in known[other])
            )
            if order > 0 or order == 0 and not or_equal:
                relation = "not be more than" if or_equal else "be less than"
                yield (
                    path,
                    Fault(
                        CONTRADICTS,
                        f"{fields[path].label} {values[path].typed} must {relation} {_named(fields[other].label)} {values[other].typed}: one of the two is wrong.",
                        expected=f"both read again at their source ({quoted(values[other].source)} for the other)",
                    ),
                )
        share = fields[path].usual_share
        if share and share.of in known and not bad & {path, share.of} and not values[path].sure:
            part = float((numbers[0] / known[share.of][0]).to("dimensionless").magnitude)
            if part < 1 and not float(share.least) <= part <= float(share.most):
                least, most = (f"{without_exponent(100 * float(edge), 6)}" for edge in (share.least, share.most))
                yield (
                    path,
                    _rare(
                        fields[path],
                        path,
                        values[path],
                        f"is {100 * part:.0f} % of {_named(fields[share.of].label)}; usual is {least} to {most} %",
                    ),
                )


def _is_judged(field: SheetField) -> bool:
    return bool(field.units) and (field.band in BANDS or bool(field.under or field.not_over or field.usual_share))


def _outside(field: SheetField, sourced: Sourced, numbers: list[Quantity]) -> Iterator[Fault]:
    band = BANDS.get(field.band or "")
    if band is None:
        return
    unit = unit_of(field, sourced.unit or "")
    edges = edges_in(band, unit)
    for number in numbers:
        value = unit.magnitude(number)
        if value == 0 and band.zero or value <= 0 and band.below_zero:
            continue
        if compare(value, edges.hard_low) < 0 or compare(value, edges.hard_high) > 0:
            meant = next((symbol for symbol in field.units if symbol != sourced.unit and _can_be(band, unit_of(field, symbol), value)), "")
            shown = as_printed(band, unit)
            yield Fault(
                CANNOT_BE,
                f"{field.label} {sourced.typed} cannot be{f'; was {sourced.value} {meant} meant?' if meant else '.'}",
                _example(field, band, unit, sourced),
                expected=f"{span(shown.hard_low, shown.hard_high)} {sourced.unit}; read figure and unit again at the source",
            )
            return
        if not sourced.sure and (compare(value, edges.low) < 0 or compare(value, edges.high) > 0):
            shown = as_printed(band, unit)
            yield _rare(field, field.id, sourced, f"is rare; usual is {span(shown.low, shown.high)} {sourced.unit}")
            return


def _rare(field: SheetField, path: str, sourced: Sourced, why: str) -> Fault:
    return Fault(
        RARE,
        f"{field.label} {sourced.typed} {why}.",
        _written(path, sourced, "read again at the source; a heavy truck"),
        expected="the figure as the source has it, and 'sure' with the reason where it is right",
    )


def _written(path: str, sourced: Sourced, sure: str = "") -> str:
    """The value as it stands in a sheet, with its reason."""
    parts = [f'value: "{sourced.value}"', f"unit: {sourced.unit}", f"source: {sourced.source}", *([f"sure: {sure}"] if sure else [])]
    return f"{path}: {{{', '.join(parts)}}}"


def _example(field: SheetField, band: Band, unit: Unit, sourced: Sourced) -> str:
    """Such a value with a figure that can be; no specification of anything."""
    text = next((text for text in band.examples if text.endswith(f" {unit.symbol}")), "")
    return (
        f'{field.id}: {{value: "{text.removesuffix(unit.symbol).strip()}", unit: {unit.symbol}, source: {sourced.source}}}' if text else ""
    )


def _can_be(band: Band, unit: Unit, value: float) -> bool:
    edges = edges_in(band, unit)
    return compare(value, edges.low) >= 0 and compare(value, edges.high) <= 0


def as_printed(band: Band, unit: Unit) -> Edges:
    """The column of a band in a unit as the table has it, where it has one."""
    column = next((edges for edges in band.edges if edges.unit == unit.symbol), None)
    return edges_in(band, unit) if column is None else Edges(column.hard_low, column.low, column.high, column.hard_high)


def _named(label: str) -> str:
    return f"the {label[:1].lower()}{label[1:]}"


def span(low: float, high: float) -> str:
    """«5 to 55»."""
    return f"{without_exponent(low, 4)} to {without_exponent(high, 4)}"


def judged_by(field: SheetField) -> dict[str, Any] | None:
    """For the page: by each unit of a field its edges and how many of the first unit it is; None where nothing judges it."""
    band = BANDS.get(field.band or "")
    if not _is_judged(field):
        return None
    units, first = {symbol: unit_of(field, symbol) for symbol in field.units}, unit_of(field, field.units[0])
    found: dict[str, Any] = {
        "units": {
            symbol: {
                "factor": None if unit.inverse else round_off(first.magnitude(unit.quantity(1))),
                **({"edges": list(edges_in(band, unit)), "shown": list(as_printed(band, unit))} if band else {}),
            }
            for symbol, unit in units.items()
        }
    }
    if band:
        found |= {"zero": band.zero, "below_zero": band.below_zero}
    return found
