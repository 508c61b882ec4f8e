"""The registry of units, and the units a shop writes, by kind of entry."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import pint

from calculators.contract.unit_lines import DEFINITIONS, KINDS, OTHER_UNIT

registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
registry.load_definitions(DEFINITIONS)
if TYPE_CHECKING:
    from calculators.contract.quantity import Quantity as Quantity
else:
    Quantity = registry.Quantity

SYSTEMS = ("metric", "inch")
INCH_MARKS = str.maketrans({"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "º": "°", "˚": "°"})


@dataclass(frozen=True)
class Unit:
    """A unit as it is printed (`symbol`), with its expression in the registry and its system (metric, inch, both)."""

    symbol: str
    expression: str
    system: str

    @property
    def inverse(self) -> bool:
        """Threads per inch count the other way round: the pitch is one over the number."""
        return self.symbol == "TPI"

    def quantity(self, number: float) -> Quantity:
        """The quantity of this many units; a zero count of threads raises ZeroDivisionError."""
        if self.inverse:
            return Quantity(1 / number, "inch")
        return Quantity(number, self.expression)

    def magnitude(self, quantity: Quantity) -> float:
        """How many of this unit a quantity is. Raises pint's DimensionalityError."""
        if self.inverse:
            return 1 / quantity.to("inch").magnitude
        return float(quantity.to(self.expression).magnitude)


def _read_kinds(text: str) -> dict[str, dict[str, Unit]]:
    """Kind → spelling → unit, from the table in unit_lines."""
    kinds: dict[str, dict[str, Unit]] = {}
    for line in text.strip("\n").splitlines():
        if not line.startswith(" "):
            spellings = kinds[line] = {}
            continue
        symbol, expression, system, words = (part.strip(" ") for part in line.split("|"))
        unit = Unit(symbol, expression, system)
        for word in [spelled(symbol), *words.split()]:
            spellings[word] = unit
    return kinds


@lru_cache(maxsize=1024)
def spelled(text: str) -> str:
    """The bare form of a unit's spelling: «ft-lb», «ft·lb» and «Ft. Lb» are all «ftlb»."""
    text = text.translate(INCH_MARKS).replace("''", '"')
    text = unicodedata.normalize("NFKC", text).replace("μ", "µ").casefold()
    return re.sub(r"[\s.·⋅•*()\-]", "", text).replace("μ", "µ")


UNITS_OF = _read_kinds(KINDS)
_SYMBOLS = {kind: {spelled(unit.symbol) for unit in units.values()} for kind, units in UNITS_OF.items()}


def kind_of(symbols: list[str]) -> str:
    """The kind of entry with all these symbols: ["mm", "in"] is a length, "oz" a mass. Raises LookupError."""
    wanted = {spelled(symbol) for symbol in symbols}
    for kind, known in _SYMBOLS.items():
        if wanted <= known:
            return kind
    raise LookupError(f"no kind of entry has the units {symbols}")


def unit_named(symbol: str, kind: str | None = None) -> Unit:
    """The unit with this symbol; without a kind, of the first kind that also knows its other unit (N is a force). Raises LookupError."""
    return UNITS_OF[kind or kind_of([symbol, OTHER_UNIT.get(symbol, symbol)])][spelled(symbol)]


def symbols_of(kind: str) -> list[str]:
    """The symbols of a kind, most usual first, for messages."""
    return list(dict.fromkeys(unit.symbol for unit in UNITS_OF[kind].values() if unit.symbol))


def other_unit(symbol: str) -> Unit | None:
    """The unit of the other system for a fixed unit of a result; None where both use the same."""
    return unit_named(OTHER_UNIT[symbol], kind_of([symbol, OTHER_UNIT[symbol]])) if symbol in OTHER_UNIT else None


def unit_of_differences(unit: Unit) -> Unit:
    """The unit a difference of two readings has: 5 °C apart is 5 K. Every other unit is its own."""
    return unit_named({"°C": "K", "°F": "delta °F"}[unit.symbol]) if unit.symbol in ("°C", "°F") else unit


def adopt(quantity: object) -> Quantity:
    """A quantity of this registry from one of any pint registry. Raises pint.UndefinedUnitError, TypeError."""
    if isinstance(quantity, Quantity):
        return quantity
    return Quantity(float(quantity.magnitude), str(quantity.units))  # type: ignore[attr-defined]  # another registry has its own class
