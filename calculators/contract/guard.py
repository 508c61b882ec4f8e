"""The unit-slip guard: usual values are taken, unusual ones asked about once, impossible ones refused."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from calculators.contract.bands import Band, Edges
from calculators.contract.entries import Entry
from calculators.contract.errors import AmbiguousEntry, OutOfBand
from calculators.contract.judge import compare
from calculators.contract.numerals import read_number
from calculators.contract.printing import entry_in, entry_text, in_both, with_unit, without_exponent
from calculators.contract.units import UNITS_OF, Quantity, Unit, unit_named

if TYPE_CHECKING:
    from calculators.contract.inputs import Input

LENGTHS = ("length", "diameter")
MOST_DECIMALS_READ = {"mm": 3, "cm": 3, "m": 3, "in": 4}  # a micrometer shows 0.001 mm, or 0.0001 in


def in_hard(band: Band, quantity: Quantity) -> bool:
    """Whether such a part can exist."""
    return _between(band, quantity, "hard_low", "hard_high")


def in_usual(band: Band, quantity: Quantity) -> bool:
    """Whether the value needs no question."""
    return _between(band, quantity, "low", "high")


def _between(band: Band, quantity: Quantity, low: str, high: str) -> bool:
    """In either column of the band: the columns are rounded, and a value must not be judged by its unit."""
    if band.zero and quantity.magnitude == 0 or band.below_zero and quantity.magnitude <= 0:
        return True
    for edges in band.edges:
        value = _unit(edges.unit).magnitude(quantity)
        if compare(value, getattr(edges, low)) >= 0 and compare(value, getattr(edges, high)) <= 0:
            return True
    return False


def _unit(symbol: str) -> Unit:
    return unit_named(symbol, "number" if not symbol else None)


def guard(spec: Input, entries: list[Entry], system: str) -> None:
    """Take, ask or refuse the entries of one input, judged as a whole.

    Raises AmbiguousEntry where a bare number is unusual or is usual only in another unit, OutOfBand where no unit
    makes sense of it. A typed unit answers the question of the unit; it still meets the hard band.
    """
    band = spec.bands
    if band is None:
        return
    for entry in entries:
        if entry.unit_typed and not in_hard(band, entry.quantity):
            raise _refusal(spec, band, entry, system)
    doubtful = [entry for entry in entries if not entry.unit_typed and _doubt(spec, band, entry)]
    doubtful = doubtful or ([e for e in entries if not e.unit_typed] if _doubtful_span(band, entries) else [])
    doubtful = doubtful or ([e for e in entries if not e.unit_typed] if any(_too_fine(spec, entry) for entry in entries) else [])
    if doubtful:
        _ask(spec, band, entries, doubtful, system)


def _doubt(spec: Input, band: Band, entry: Entry) -> bool:
    if not any(unit.symbol for unit in UNITS_OF[spec.kind].values()):  # a plain number: no unit could answer a question
        return not in_hard(band, entry.quantity)
    if band.must_type or not in_usual(band, entry.quantity) or _inch_fraction(entry):
        return True
    return any(entry.unit.symbol == unit and low <= abs(entry.number.value) <= high for unit, low, high in band.ask_between)


def _inch_fraction(entry: Entry) -> bool:
    """A half, quarter, eighth … where millimetres are read: a rule in inches has those marks."""
    under = entry.number.denominator
    return entry.unit.symbol == "mm" and under > 1 and under & (under - 1) == 0


def _too_fine(spec: Input, entry: Entry) -> bool:
    """A bare length with more decimals than a shop tool shows in its unit: thousandths of an inch typed as millimetres."""
    most = MOST_DECIMALS_READ.get(entry.unit.symbol)
    return not entry.unit_typed and spec.kind in LENGTHS and most is not None and entry.number.decimals > most


def _doubtful_span(band: Band, entries: list[Entry]) -> bool:
    values = [entry.number.value for entry in entries if not entry.unit_typed]
    if len(values) < 2 or max(values) == min(values):
        return False
    span = max(values) - min(values)
    return any(entries[0].unit.symbol == unit and (span < low or span > high) for unit, low, high in band.ask_span)


def _ask(spec: Input, band: Band, entries: list[Entry], doubtful: list[Entry], system: str) -> None:
    from calculators.contract.inputs import candidate

    readings = [entries] + [[replace(e, unit=unit) if e in doubtful else e for e in entries] for unit in spec.alternatives(entries[0].unit)]
    possible = [reading for reading in readings if all(in_hard(band, e.quantity) for e in reading)]
    if not possible:
        raise _refusal(spec, band, next(e for e in doubtful if not in_usual(band, e.quantity)), system)
    if len(possible) > 1 and possible[0] is not entries:
        possible = _most_usual(band, possible, doubtful, entries)
    typed = [[_typed(spec, entry) for entry in reading] for reading in possible]
    raise AmbiguousEntry(
        _question(spec, band, entries, doubtful, possible),
        [candidate(spec, reading) for reading in typed],
        input=spec.name,
        typed="; ".join(entry.typed for entry in entries),
    )


def _typed(spec: Input, entry: Entry) -> Entry:
    """The entry with its unit typed; a bare fraction, which has none, in per cent."""
    if spec.kind == "share" and not entry.unit.symbol:
        number = read_number(without_exponent(entry.number.value * 100, 12))
        return replace(entry, number=number, unit=unit_named("%", "share"), unit_typed=True)
    return replace(entry, unit_typed=True)


def _most_usual(band: Band, readings: list[list[Entry]], doubtful: list[Entry], entries: list[Entry]) -> list[list[Entry]]:
    """Only the readings that are usual throughout, if there are any."""
    return [r for r in readings if all(in_usual(band, e.quantity) for e in r)] or readings


def _question(spec: Input, band: Band, entries: list[Entry], doubtful: list[Entry], possible: list[list[Entry]]) -> str:
    first = doubtful[0]
    text = entry_text(first)
    more = f" (and {len(doubtful) - 1} more)" if len(doubtful) > 1 else ""
    if possible[0] is entries and not in_usual(band, first.quantity):
        index = entries.index(first)
        meant = next((r[index] for r in possible[1:] if all(in_usual(band, e.quantity) for e in r)), None)
        other = f"; did you mean {in_both(meant, spec.other(meant.unit))}?" if meant else "."
        return (
            f"{text}{more} is unusual: usual is {usual_text(band, first.unit)}{other} Worn or odd parts do measure that; "
            "type the unit if it is meant"
        )
    if possible[0] is entries:
        why = _why_asked(spec, band, first)
        return f"{text}{more}: {why}; type the unit"
    index = entries.index(first)
    meant = possible[0][index]
    return f"{text}{more} is {why_outside(band, first)}; did you mean {in_both(meant, spec.other(meant.unit))}?"


def _why_asked(spec: Input, band: Band, entry: Entry) -> str:
    if _inch_fraction(entry):
        return "a fraction is mostly one of an inch"
    if _too_fine(spec, entry):
        return f"{entry.number.decimals} decimals are more than a shop tool shows in {entry.unit.symbol}"
    return band.ask_why


def why_outside(band: Band, entry: Entry) -> str:
    """«thinner than any rotor», as the value lies under or over the band."""
    edges = band.edges[0]
    value = _unit(edges.unit).magnitude(entry.quantity)
    return band.below if value < edges.low else band.above


def _refusal(spec: Input, band: Band, entry: Entry, system: str) -> OutOfBand:
    edges = _edges_for(band, entry.unit)
    other = entry_in(entry, spec.other(entry.unit))
    return OutOfBand(
        f"{entry_text(entry)}{f' ({other})' if other else ''} is {why_outside(band, entry)}: "
        f"expected {band_text(edges.hard_low, edges.hard_high, edges.unit)}, for example {spec.example(entry.unit.system if entry.unit.system in ('metric', 'inch') else system)}",
        input=spec.name,
        typed=entry.typed,
    )


def _edges_for(band: Band, unit: Unit) -> Edges:
    """The column of the band in the entry's system."""
    return next((edges for edges in band.edges if _unit(edges.unit).system == unit.system), band.edges[0])


def usual_text(band: Band, unit: Unit) -> str:
    """The usual band in the entry's system."""
    edges = _edges_for(band, unit)
    return band_text(edges.low, edges.high, edges.unit)


def band_text(low: float, high: float, symbol: str) -> str:
    """«2.5 to 62 mm»."""
    return with_unit(f"{low:g} to {high:g}", symbol)
