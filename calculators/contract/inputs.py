"""What a calculator asks for: the declaration of an input, and reading what was given for it."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, NoReturn

from calculators.contract.bands import BANDS, Band
from calculators.contract.entries import Entry, EntryTextError, ShareQuestion, Whole, read_entry, split_list
from calculators.contract.errors import AmbiguousEntry, Candidate, UnreadableEntry
from calculators.contract.guard import band_text, guard, in_hard
from calculators.contract.numerals import Number, NumberError, NumberQuestion
from calculators.contract.printing import in_both, without_exponent
from calculators.contract.units import UNITS_OF, Unit, adopt, kind_of, spelled, unit_named, unit_of_differences

MOST_CHARACTERS = 2000
MOST_ENTRIES = 400
FILLED_IN: Any = None  # stands for None in a signature where the input's default always applies, so that no formula meets None
FACTORS_NEAR = (1, 0.5, 0.25, 0.1, 2, 4, 10)  # a value is near a band that one of them brings it into


@dataclass(frozen=True)
class Input:
    """An input of a calculator: units (metric first, then inch), help, and what else its form needs.

    `band` names the unit-slip guard's bands; `examples` (metric, inch) are for an entry without one. `sets_decimals`: results are printed as finely as this was read.
    `reader` takes a text that is neither number nor choice, and raises EntryTextError or AmbiguousEntry.
    `default` is text as a reader would type it; `only_if` = (input, value or None) says when the default is used.
    `without`: left out, this entry may make the verdict kinder (a limit, or what describes the reading itself); the result's
    notes then say this of it. Every other entry left out must not (a test holds all calculators to it).
    Name, type and whether it is a list or required come from the function's signature.
    """

    units: Sequence[str] = ("", "")
    help: str = ""
    band: str = ""
    label: str = ""
    kind: str = ""
    negative: bool = False
    sets_decimals: bool = False
    default: str | HalfLastDigit | None = None
    only_if: tuple[str, Any] | None = None
    choices: Sequence[str] = ()
    also: Sequence[str] = ()
    without: str = ""
    examples: tuple[str, str] = ("", "")
    reader: Callable[[str], str] | None = None
    name: str = ""
    type: str = "quantity"
    is_list: bool = False
    required: bool = True

    def __post_init__(self) -> None:
        if self.type == "quantity" and not self.choices and not self.kind:
            object.__setattr__(self, "kind", kind_of(list(self.units)))

    @property
    def bands(self) -> Band | None:
        """The bands of the unit-slip guard, or None."""
        return BANDS[self.band] if self.band else None

    def unit(self, system: str) -> Unit:
        """The unit of a bare number in this system ("metric" or "inch")."""
        return unit_named(self.units[0 if system == "metric" else 1], self.kind)

    def other(self, unit: Unit) -> Unit | None:
        """The unit of the other system, None where both systems share one."""
        if unit.system == "both" or not unit.symbol:
            return None
        return self.unit("inch" if unit.system == "metric" else "metric")

    def alternatives(self, unit: Unit) -> list[Unit]:
        """The units a bare number may have been meant in instead."""
        units = [self.unit("metric"), self.unit("inch"), *(unit_named(symbol, self.kind) for symbol in self.also)]
        return [u for u in dict.fromkeys(units) if u.symbol != unit.symbol]

    def example(self, system: str = "metric") -> str:
        """A correct entry."""
        if self.choices:
            return self.choices[0]
        texts = self.bands.examples if self.bands else self.examples
        text = texts[0 if system == "metric" else 1] or f"1 {self.unit(system).symbol}".strip()
        return text

    def read(self, given: Any, system: str) -> Entry | Whole | list[Entry]:
        """What was given, as understood. Raises UnreadableEntry, AmbiguousEntry, OutOfBand (with this input's name)."""
        texts = self._texts(given, system)
        typed = "; ".join(str(text) for text in texts)
        try:
            if self.type == "quantity":
                entries = self._entries(texts, system)
                guard(self, entries, system)
                return entries if self.is_list else entries[0]
            whole = self._whole(texts[0])
        except (EntryTextError, NumberError) as error:
            raise UnreadableEntry(
                f"“{shortened(typed)}” cannot be read: {error.reason}; expected {self.expected(system)}",
                input=self.name, typed=typed,
            ) from None  # fmt: skip
        return whole

    def expected(self, system: str) -> str:
        """What belongs here, with a correct example: «a list of lengths, for example 24.1 mm; 24.1 mm»."""
        if self.choices:
            return "one of " + ", ".join(self.choices)
        if self.reader:
            return f"{self.label}, for example {self.example(system)}"
        article = "one" if self.is_list else "an" if self.kind[:1] in "aeo" else "a"
        what = "a whole number" if self.type == "integer" else f"{article} {self.kind}{' or more' if self.is_list else ''}"
        band = (
            f" from {band_text(self.bands.edges[0].hard_low, self.bands.edges[0].hard_high, '')}"
            if self.type == "integer" and self.bands
            else ""
        )
        return f"{what}{band}, for example {self.example(system)}"

    def _texts(self, given: Any, system: str) -> list[Any]:
        if isinstance(given, (list, tuple)):
            pieces = list(given)
        elif isinstance(given, str) and self.is_list:
            if len(given) > MOST_CHARACTERS:
                raise UnreadableEntry(f"the entry has {len(given)} characters; the most is {MOST_CHARACTERS}", input=self.name)
            try:
                pieces = split_list(given)
            except EntryTextError as error:
                raise UnreadableEntry(
                    f"“{shortened(given)}” cannot be read: {error.reason}; expected {self.expected(system)}",
                    input=self.name, typed=given,
                ) from None  # fmt: skip
        else:
            pieces = [given]
        if not self.is_list and len(pieces) != 1:
            raise UnreadableEntry(f"takes one entry, not {len(pieces)}; for example {self.example(system)}", input=self.name)
        if len(pieces) > MOST_ENTRIES:
            raise UnreadableEntry(f"{len(pieces)} entries; the most is {MOST_ENTRIES}", input=self.name)
        return pieces

    def _entries(self, texts: list[Any], system: str) -> list[Entry]:
        default = self.unit(system)
        entries: list[Entry | NumberQuestion | ShareQuestion] = []
        for text in texts:
            try:
                entries.append(self._entry(text, default))
            except (NumberQuestion, ShareQuestion) as question:
                if isinstance(question, NumberQuestion) and not self.negative and question.readings[0].value < 0:
                    raise EntryTextError("it cannot be below zero") from None
                question.typed = str(text).strip()
                entries.append(question)
        if any(not isinstance(entry, Entry) for entry in entries):
            self._ask_number(entries, system)
        return self._spread_unit([entry for entry in entries if isinstance(entry, Entry)])

    def _entry(self, given: Any, default: Unit) -> Entry:
        if isinstance(given, bool):
            raise EntryTextError("true and false are not numbers")
        if hasattr(given, "magnitude"):
            entry = self._from_quantity(given)
        elif isinstance(given, (str, int, float)):
            text = _digits(given) if isinstance(given, float) else str(given)
            if len(text) > MOST_CHARACTERS:
                raise EntryTextError(f"it has {len(text)} characters")
            entry = read_entry(text, self.kind, default)
        else:
            raise EntryTextError(f"text or a quantity was expected, not {type(given).__name__}")
        if entry.number.value < 0 and not self.negative:
            raise EntryTextError("it cannot be below zero")
        if self.kind == "pitch" and not entry.number.value:  # pitch and count of threads are one over the other
            raise EntryTextError("a count of threads is above 0" if entry.unit.inverse else "a pitch of 0 has no threads")
        return entry

    def _from_quantity(self, given: Any) -> Entry:
        """An entry from a pint quantity of any registry, in its own unit where a shop writes that unit."""
        try:
            quantity = adopt(given)
            quantity.to(self.unit("metric").quantity(1).units)
        except Exception as error:  # pint's errors share no parent below Exception
            raise EntryTextError(f"the quantity does not fit: {error}") from None
        unit = next((u for u in UNITS_OF[self.kind].values() if not u.inverse and u.quantity(1).units == quantity.units), None)
        unit = unit or self.unit("metric")
        text = f"{unit.magnitude(quantity):.12g}"
        if not re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text):
            text = f"{unit.magnitude(quantity):.15f}".rstrip("0")
        if not re.fullmatch(r"-?[0-9]+(\.[0-9]*)?", text):
            raise EntryTextError("the quantity is not a finite number")
        number = Number(unit.magnitude(quantity), text, len(text.partition(".")[2]))
        return Entry(f"{text} {unit.symbol}".strip(), number, unit, unit_typed=True)

    def _spread_unit(self, entries: list[Entry]) -> list[Entry]:
        """Units stand on all entries, on none, or on the last only, which then holds for all."""
        typed = [entry.unit_typed for entry in entries]
        if all(typed) or not any(typed):
            return entries
        if typed[-1] and not any(typed[:-1]):
            unit = entries[-1].unit
            return [Entry(e.typed, e.number, unit, unit_typed=True) for e in entries]
        bare = entries[typed.index(False)].typed
        raise EntryTextError(f"“{bare}” has no unit and others have; put the unit on all, on none or on the last only")

    def _ask_number(self, entries: list[Entry | NumberQuestion | ShareQuestion], system: str) -> NoReturn:
        """Ask once about every entry that can be read in two ways, all read the same way in one candidate.

        A way that makes no part that can exist is left out: a button that is refused helps nobody. Where no way makes one, the
        guard refuses the nearest: as wheel nut torque 1,500 N·m is hardly 1.5 N·m.
        """
        default = self.unit(system)
        numbers: list[Entry | NumberQuestion] = []
        for entry in entries:
            if isinstance(entry, ShareQuestion):
                self._ask_share(entry, system)
            numbers.append(entry)
        questions = [entry for entry in numbers if isinstance(entry, NumberQuestion)]
        readings = []
        for choice in range(max(len(question.readings) for question in questions)):
            readings.append([e if isinstance(e, Entry) else self._chosen(e, choice, default) for e in numbers])
        readings = [self._spread_unit(reading) for reading in readings]
        possible = [r for reading in readings for r in self._possible(reading)]
        if not possible:
            guard(self, next((reading for reading in readings if self._is_near(reading)), readings[0]), system)
        raise AmbiguousEntry(
            f"“{shortened(questions[0].typed)}” can be read in more than one way: {questions[0].why}",
            [candidate(self, reading) for reading in possible or readings],
            input=self.name,
            typed="; ".join(e.typed for e in entries),
        )

    def _chosen(self, question: NumberQuestion, choice: int, default: Unit) -> Entry:
        number = question.readings[min(choice, len(question.readings) - 1)]
        return Entry(question.typed, number, question.unit or default, unit_typed=question.unit is not None)

    def _possible(self, entries: list[Entry]) -> list[list[Entry]]:
        """A reading in each unit it may have been meant in, as far as such parts exist."""
        if self.bands is None:
            return [entries]
        bare = not entries[0].unit_typed
        units = [entries[0].unit, *self.alternatives(entries[0].unit)] if bare else [entries[0].unit]
        in_units = [[replace(e, unit=unit) if bare else e for e in entries] for unit in units]
        return [reading for reading in in_units if all(e.number.value or not e.unit.inverse for e in reading)
                and all(in_hard(self.bands, e.quantity) for e in reading)]  # fmt: skip

    def _is_near(self, entries: list[Entry]) -> bool:
        """Whether every entry is in the hard band, or less than ten times outside it."""
        return self.bands is None or all(
            any(in_hard(self.bands, entry.quantity * factor) for factor in FACTORS_NEAR)
            for entry in entries
            if not entry.unit.symbol.startswith("°")
        )

    def _ask_share(self, question: ShareQuestion, system: str) -> NoReturn:
        number = question.number
        readings = {number.text: number.value / 100, without_exponent(number.value * 100, 12): number.value}
        possible = [
            text for text, share in readings.items() if self.bands is None or in_hard(self.bands, self.unit("metric").quantity(share))
        ]
        if not possible:
            guard(self, [Entry(number.text, number, unit_named("%", "share"), unit_typed=True)], system)
        raise AmbiguousEntry(
            f"“{number.text}” is over 1 and has no per cent sign",
            [Candidate(f"{text} %", f"{text} %, which is {without_exponent(readings[text], 6)}") for text in possible or readings],
            input=self.name,
            typed=number.text,
        )

    def _whole(self, given: Any) -> Whole:
        typed = str(given).strip()
        if self.reader:
            return Whole(typed, self.reader(typed[:MOST_CHARACTERS]))
        if self.choices:
            return Whole(typed, self._choice(typed))
        if isinstance(given, bool) or not re.fullmatch(r"[0-9]{1,6}", typed):
            raise EntryTextError("it is not a whole number")
        value = int(typed)
        edges = self.bands.edges[0] if self.bands else None
        if edges and not edges.hard_low <= value <= edges.hard_high:
            raise EntryTextError(f"{value} is outside {band_text(edges.hard_low, edges.hard_high, '')}")
        return Whole(typed, value)

    def _choice(self, typed: str) -> str:
        """«DOT 4», «dot4» and «4» are one choice; where units are the choices, every spelling of one is."""
        units = UNITS_OF.get(self.kind, {})
        if spelled(typed) in units:
            return units[spelled(typed)].symbol
        short = {_bare(choice): choice for choice in self.choices}
        short |= {_bare(choice.split()[-1]): choice for choice in self.choices if " " in choice}
        if _bare(typed) in short:
            return short[_bare(typed)]
        near = difflib.get_close_matches(_bare(typed), short, 1)
        raise EntryTextError(f"it is none of the choices{f'; did you mean {short[near[0]]}' if near else ''}")


@dataclass(frozen=True)
class HalfLastDigit:
    """A default: half of the last digit of the entry of one or two other inputs that was read most finely."""

    of: str
    and_of: str = ""

    def __str__(self) -> str:
        return f"half of the last digit of {' and '.join(name.replace('_', ' ') for name in self.names)}"

    @property
    def names(self) -> list[str]:
        """The inputs the default is taken from."""
        return [name for name in (self.of, self.and_of) if name]

    def entry(self, listed: list[Entry]) -> Entry:
        """The default from the entries of the other inputs; of a fraction, half of one over its denominator."""
        finest = max(listed, key=lambda e: e.number.fineness).number.fineness
        coarsest = max((e for e in listed if e.number.fineness == finest), key=lambda e: e.unit.quantity(e.number.step))
        half = coarsest.number.step / 2
        text = f"{half:.4f}" if coarsest.number.denominator > 1 else f"{half:.{coarsest.number.decimals + 1}f}"
        unit = unit_of_differences(coarsest.unit)
        return Entry("", Number(half, text, len(text.partition(".")[2])), unit, unit_typed=True, default=True)


def candidate(spec: Input, entries: list[Entry]) -> Candidate:
    """A reading of a whole input, to be typed again and to be read."""
    again = "; ".join(entry.again for entry in entries)
    return Candidate(again, "; ".join(in_both(entry, spec.other(entry.unit)) for entry in entries))


def shortened(text: str, most: int = 60) -> str:
    """Text short enough for one line."""
    text = " ".join(text.split())
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _digits(number: float) -> str:
    """A float's digits without an exponent."""
    return f"{Decimal(repr(number)):f}" if math.isfinite(number) else str(number)


def _bare(text: str) -> str:
    return re.sub(r"[\s_\-]", "", text).casefold()
