"""What a formula answers, and the result a reader gets: the answer with its texts in the reader's system."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from calculators.contract.entries import Entry, Whole, single
from calculators.contract.inputs import Input
from calculators.contract.judge import CODES, SHOP_WORDS, WITHIN, Judgement, compare, compare_quantities, worst
from calculators.contract.printing import (
    chance,
    cut_off,
    decimals_for,
    decimals_in,
    enough_decimals,
    entry_in,
    entry_text,
    fixed,
    per_cent,
    significant_decimals,
    step_in,
    trimmed,
    with_unit,
)
from calculators.contract.units import Quantity, Unit, other_unit, unit_named

# How finely a value is printed.
READING = "reading"  # as finely as the entries it is read from
DIFFERENCE = "difference"  # one digit more: means and differences
FIGURES = "figures"  # 3 significant figures
DOWN = "down"  # the most that may be taken: as a difference, never rounded up
SHARE = "share"  # a fraction, printed as per cent
CHANCE = "chance"  # a probability, never printed as certain
PLAIN = "plain"  # counts, positions, words, yes and no
TENS = "tens"  # rules of thumb, in tens: 80 km (50 mi)
TRIMMED = "trimmed"  # exact angles: 60, 22.5, 25.71
CONVERTED = "converted"  # an entry in another unit: as finely as it was read, and 4 figures at least

Entries = Mapping[str, "Entry | Whole | list[Entry]"]


@dataclass(frozen=True)
class Value:
    """A value of a result: name, fixed unit ('' for counts and fractions), label, and how finely it is printed.

    `shown_in` = (metric, inch) units for the text where they are easier to read; `before` stands before the text.
    `signed` = what the text says below, at and above 0, with {} for the size: ("loosen by {}", "stay", "tighten by {}").
    `alone`: printed in its own unit only, whatever the reader's system.
    """

    name: str
    unit: str = ""
    label: str = ""
    digits: str = FIGURES
    is_list: bool = False
    shown_in: tuple[str, str] | None = None
    before: str = ""
    signed: tuple[str, str, str] | None = None
    alone: bool = False

    def units(self, system: str) -> tuple[Unit, Unit | None]:
        """The unit of the text in this system, and of the bracket behind it."""
        if self.alone:
            return unit_named(self.unit), None
        metric = unit_named(self.shown_in[0]) if self.shown_in else unit_named(self.unit, None if self.unit else "number")
        inch = unit_named(self.shown_in[1]) if self.shown_in else other_unit(self.unit)
        return (inch, metric) if system == "inch" and inch else (metric, inch)


@dataclass(frozen=True)
class Missing:
    """A value that cannot be computed, and what it would need."""

    needs: str


@dataclass
class Answer:
    """What a formula found: quantities, judgements and notes. Sentences hold {names} of values and inputs.

    `foreword` stands before the verdict's text and `afterthought` follows it, without changing its code. `held_against` adds limits (names
    of inputs, or quantities) that printing must keep a value apart from. `units` are the fixed units of values
    that hang on the kind of entry. `figure` draws the result as SVG, once its printer is known.
    """

    values: dict[str, Any]
    judgements: list[Judgement] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    foreword: str = ""
    afterthought: str = ""
    held_against: Mapping[str, tuple[str | Quantity, ...]] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    figure: Callable[[Printer], str] | None = None


@dataclass(frozen=True)
class PrintedValue:
    """A value with its fixed unit and its text; `value` is None where it could not be computed."""

    value: Any
    unit: str
    text: str


@dataclass(frozen=True)
class Verdict:
    """One of the five codes, and what it means in the shop."""

    code: str
    text: str


@dataclass(frozen=True)
class Limit:
    """A limit that a quantity was held against: the name of its input ('' for one of the formula), label, number, unit, text."""

    name: str
    label: str
    value: float
    unit: str
    text: str


@dataclass(frozen=True)
class Decided:
    """A quantity that decided the verdict: its name, label, number, fixed unit and text, and the limits it was held against."""

    quantity: str
    label: str
    value: float
    unit: str
    text: str
    limits: list[Limit]

    def as_json(self) -> dict[str, Any]:
        """The same as JSON data."""
        return vars(self) | {"limits": [vars(limit) for limit in self.limits]}


@dataclass(frozen=True)
class Result:
    """The result of a calculator as a reader gets it; `as_json` is the same as plain data."""

    calculator: str
    inputs: dict[str, Any]
    values: dict[str, PrintedValue]
    verdict: Verdict | None
    notes: list[str]
    figure: str | None = None
    decided: list[Decided] = field(default_factory=list)

    def as_json(self) -> dict[str, Any]:
        """The result as JSON data."""
        return {
            "calculator": self.calculator,
            "inputs": self.inputs,
            "values": {name: vars(value) for name, value in self.values.items()},
            "verdict": vars(self.verdict) if self.verdict else None,
            "notes": self.notes,
            "figure": self.figure,
            "decided": [one.as_json() for one in self.decided],
        }


class Printer:
    """Prints one answer for one system of units."""

    def __init__(self, answer: Answer, specs: Mapping[str, Input], values: Mapping[str, Value], entries: Entries, system: str):
        self.answer, self.specs, self.entries, self.system = answer, specs, entries, system
        self.values = {name: replace(value, unit=answer.units.get(name, value.unit)) for name, value in values.items()}

    def limits_of(self, name: str) -> list[Quantity]:
        """The limits a value was held against, which its text must not contradict."""
        held = [self.answer.held_against] + [judgement.held_against for judgement in self.answer.judgements]
        return [self._limit(limit) for limits in held for limit in limits.get(name, ())]

    def _equal_limits(self, name: str, found: Quantity) -> list[Entry]:
        """The entries a value is equal to as its limits: it is printed no coarser than they are, or it would seem to miss them."""
        held = [self.answer.held_against] + [judgement.held_against for judgement in self.answer.judgements]
        entries = [single(self.entries[limit]) for limits in held for limit in limits.get(name, ()) if isinstance(limit, str)]
        return [entry for entry in entries if compare_quantities(found, entry.quantity) == 0]

    def _limit(self, limit: str | Quantity) -> Quantity:
        return single(self.entries[limit]).quantity if isinstance(limit, str) else limit

    def decimals(self, value: Value, found: Quantity, unit: Unit) -> int:
        """Decimals of the entry that has most, one more for means and differences; else 3 significant figures;
        raised until the text cannot contradict the verdict."""
        limits = self.limits_of(value.name)
        number = unit.magnitude(found)
        least = max(
            [self._read_decimals(value, number, unit), *(decimals_in(entry, unit) for entry in self._equal_limits(value.name, found))]
        )
        return enough_decimals(number, least, [unit.magnitude(limit) for limit in limits])

    def _read_decimals(self, value: Value, number: float, unit: Unit) -> int:
        if value.digits in (PLAIN, TENS):
            return 0 if value.digits == PLAIN else -1
        readings = [e for name, spec in self.specs.items() if spec.sets_decimals for e in _listed(self.entries.get(name))]
        dimension = unit.quantity(1).dimensionality
        steps = [step_in(entry, unit) for entry in readings if entry.quantity.check(dimension)]
        if value.digits == CONVERTED:
            return max(significant_decimals(number, 4), *(decimals_in(entry, unit) for entry in readings))
        if value.digits == FIGURES or not steps:
            return significant_decimals(number)
        return max(map(decimals_for, steps)) + (1 if value.digits in (DIFFERENCE, DOWN) else 0)

    def text(self, value: Value, found: Any) -> str:
        """One number of a value, in both systems; of a signed one, its size in words."""
        if value.signed is None:
            return self._text(value, found)
        sign = compare(float(getattr(found, "magnitude", found)), 0)
        return value.signed[sign + 1].format(self._text(value, abs(found)))

    def _text(self, value: Value, found: Any) -> str:
        if isinstance(found, bool):
            return "yes" if found else "no"
        if not hasattr(found, "magnitude"):
            return str(found)
        if value.digits in (SHARE, CHANCE):
            fraction = float(found.to("dimensionless").magnitude)
            limits = [float(limit.to("dimensionless").magnitude) for limit in self.limits_of(value.name)]
            return chance(fraction) if value.digits == CHANCE else per_cent(fraction, limits)
        if value.digits == TRIMMED:
            unit = value.units(self.system)[0]
            return with_unit(trimmed(unit.magnitude(found)), unit.symbol)
        units = [unit for unit in value.units(self.system) if unit]
        rounded_off = cut_off if value.digits == DOWN else fixed
        texts = [with_unit(rounded_off(unit.magnitude(found), self.decimals(value, found, unit)), unit.symbol) for unit in units]
        return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"

    def short(self, name: str, found: Quantity) -> str:
        """A quantity as finely as this value is printed, in the reader's system only: for a drawing."""
        value = self.values[name]
        unit = value.units(self.system)[0]
        return with_unit(fixed(unit.magnitude(found), self.decimals(value, found, unit)), unit.symbol)

    def value(self, name: str) -> PrintedValue:
        """A value with its text."""
        value, found = self.values[name], self.answer.values[name]
        if isinstance(found, Missing):
            return PrintedValue(None, value.unit, found.needs)
        if value.is_list:
            numbers = [_number(value, one) for one in found]
            return PrintedValue(numbers, value.unit, "; ".join(self.text(value, one) for one in found) or "none")
        return PrintedValue(_number(value, found), value.unit, value.before + self.text(value, found))

    def input(self, name: str) -> str:
        """An input inside a sentence: the reader's system first; a limit as finely as the value it judges."""
        given = self.entries[name]
        return str(given.value) if isinstance(given, Whole) else "; ".join(self._entry(name, entry) for entry in _listed(given))

    def _entry(self, name: str, entry: Entry) -> str:
        if self.specs[name].kind == "share" and not entry.unit.symbol:
            return with_unit(trimmed(entry.number.value * 100, 6), "%")
        other = self.specs[name].other(entry.unit)
        if other is None:
            return entry_text(entry)
        decimals = self.judged_decimals(name, entry, other)
        texts = [entry_text(entry), entry_in(entry, other, decimals)]
        if entry.unit.system != self.system:
            texts.reverse()
        return f"{texts[0]} ({texts[1]})"

    def judged_decimals(self, name: str, entry: Entry, unit: Unit) -> int:
        """The decimals that an input needs in this unit, so that a reading and its limit are never printed as each other's opposite."""
        found = [0]
        for judgement in self.answer.judgements:
            for judged, limits in judgement.held_against.items():
                if name in limits and judged in self.values:
                    found.append(self.decimals(self.values[judged], self.answer.values[judged], unit))
                elif judged == name:
                    found += [self._apart(entry, limit, unit) for limit in limits]
                elif name in limits:
                    found += [self._apart(one, name, unit) for one in _listed(self.entries[judged])]
        return max(found)

    def _apart(self, entry: Entry, limit: str | Quantity, unit: Unit) -> int:
        """The decimals that keep an entry and a limit apart in a unit, or together where they are equal."""
        return enough_decimals(unit.magnitude(entry.quantity), decimals_in(entry, unit), [unit.magnitude(self._limit(limit))])

    def verdict(self, words: Mapping[str, str]) -> Verdict | None:
        """The worst code, with a sentence on every limit, worst first."""
        code = worst(judgement.code for judgement in self.answer.judgements)
        if code is None:
            return None
        ordered = sorted(self.answer.judgements, key=lambda judgement: CODES.index(judgement.code))
        text = f"{SHOP_WORDS[code]}: {'; '.join(judgement.text for judgement in ordered)}."
        return Verdict(code, f"{self.answer.foreword} {text} {self.answer.afterthought}".strip().format_map(words))

    def decided(self) -> list[Decided]:
        """The quantities behind the verdict: of every judgement as bad as the worst, what it held against which limit."""
        code = worst(judgement.code for judgement in self.answer.judgements)
        if code is None:
            return []
        held = [pair for judgement in self.answer.judgements if judgement.code == code for pair in _named_first(judgement.held_against)]
        return [self._decided(name, found, limits, code) for name, limits in held if (found := self._found(name)) is not None]

    def _found(self, name: str) -> Quantity | None:
        """The quantity of this name, a value or a single entry; None for lists and for what could not be computed."""
        found = self.answer.values[name] if name in self.answer.values else getattr(self.entries.get(name), "quantity", None)
        return found if hasattr(found, "magnitude") else None

    def _decided(self, name: str, found: Quantity, limits: tuple[str | Quantity, ...], code: str) -> Decided:
        # a second sign of the same limit is not said
        named: list[str | Quantity] = [limit for limit in limits if isinstance(limit, str)] or list(limits)
        if code != WITHIN and len(named) > 1:  # of a window, the end that was missed
            named = [min(named, key=lambda limit: abs((self._limit(limit) - found).to(found.units).magnitude))]
        if name in self.values:
            value = self.values[name]
            return Decided(
                name,
                value.label,
                _number(value, found),
                value.unit,
                value.before + self.text(value, found),
                [self._said(limit, value) for limit in named],
            )
        entry = single(self.entries[name])
        return Decided(
            name,
            self.specs[name].label,
            rounded(entry.number.value),
            entry.unit.symbol,
            self._entry(name, entry),
            [self._said(limit, entry) for limit in named],
        )

    def _said(self, limit: str | Quantity, value: Value | Entry) -> Limit:
        if isinstance(limit, str):
            entry = single(self.entries[limit])
            return Limit(limit, self.specs[limit].label, rounded(entry.number.value), entry.unit.symbol, self._entry(limit, entry))
        if isinstance(value, Entry):
            number = value.unit.magnitude(limit)
            return Limit("", "limit", rounded(number), value.unit.symbol, with_unit(trimmed(number, 6), value.unit.symbol))
        return Limit("", "limit", _number(value, limit), value.unit, self._text(value, limit))


def print_result(
    name: str, answer: Answer, specs: Mapping[str, Input], values: Mapping[str, Value], entries: Entries, system: str
) -> Result:
    """The answer as a reader of this system gets it."""
    printer = Printer(answer, specs, values, entries, system)
    printed = {n: printer.value(n) for n in values}
    words = {n: printer.input(n) for n in entries} | {n: value.text for n, value in printed.items()}
    return Result(
        calculator=name,
        inputs={n: echo(specs[n], entry) for n, entry in entries.items()},
        values=printed,
        verdict=printer.verdict(words),
        notes=[note.format_map(words) for note in answer.notes],
        figure=answer.figure(printer) if answer.figure else None,
        decided=printer.decided(),
    )


def _named_first(held: Mapping[str, tuple[str | Quantity, ...]]) -> list[tuple[str, tuple[str | Quantity, ...]]]:
    """What a judgement held against limits that the reader entered; where there are none, against those of the formula."""
    named = [(name, limits) for name, limits in held.items() if any(isinstance(limit, str) for limit in limits)]
    return named or list(held.items())


def _number(value: Value, found: Any) -> Any:
    """A found number in the value's fixed unit; words, counts, yes and no as they are."""
    if not hasattr(found, "magnitude"):
        return found
    return rounded(unit_named(value.unit, None if value.unit else "number").magnitude(found))


def rounded(number: float) -> float:
    """A number for JSON: 12 significant digits, so that CPython and the page, whose mathematical libraries
    differ in the last bit, print the same."""
    return float(f"{number:.12g}")


def echo(spec: Input, entry: Entry | Whole | list[Entry]) -> Any:
    """An input as typed, as understood, and in the other system."""
    if isinstance(entry, list):
        return [echo(spec, one) for one in entry]
    if isinstance(entry, Whole):
        said: dict[str, Any] = {"typed": entry.typed, "value": entry.value, "unit": "", "text": str(entry.value), "other": ""}
    else:
        said = {
            "typed": entry.typed,
            "value": rounded(entry.number.value),
            "unit": entry.unit.symbol,
            "text": entry_text(entry),
            "other": entry_in(entry, spec.other(entry.unit)),
        }
    return said | {"default": True} if entry.default else said


def _listed(entry: Entry | Whole | list[Entry] | None) -> list[Entry]:
    if isinstance(entry, list):
        return entry
    return [entry] if isinstance(entry, Entry) else []
