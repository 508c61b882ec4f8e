"""One declaration per calculator: an annotated function. Form, reader, command line and worked example follow from it."""

from __future__ import annotations

import difflib
import inspect
import types
import typing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from calculators.contract.entries import NO_BREAK_SPACE, Entry, Whole
from calculators.contract.errors import ExampleDiffers, MissingInput, UnknownInput, UnreadableEntry
from calculators.contract.inputs import HalfLastDigit, Input
from calculators.contract.result import Answer, Result, Value, print_result
from calculators.contract.sources import Source
from calculators.contract.units import SYSTEMS

Checks = Callable[[dict[str, Any]], list[str]]
InputsFor = Callable[[Mapping[str, Any], dict[str, Input]], dict[str, Input]]


@dataclass(frozen=True)
class Example:
    """A worked example: what is given, and the texts it must print (value name → text; "verdict" → code).

    `where` says where the printed figures come from; the build recomputes them. Plain spaces stand for no-break ones.
    """

    given: Mapping[str, str]
    printed: Mapping[str, str]
    where: str = ""
    system: str = "metric"


@dataclass(frozen=True)
class Calculator:
    """A calculator: what it asks, what it answers, by which formula and source.

    `inputs_for` = the inputs for what was given, where one entry says of which kind the others are.
    """

    name: str
    title: str
    purpose: str
    inputs: dict[str, Input]
    values: dict[str, Value]
    formula: Sequence[str]
    limits_of_model: Sequence[str]
    sources: Sequence[Source]
    example: Example
    cautions: Sequence[str]
    function: Callable[..., Answer] = field(repr=False)
    cross_check: Checks | None = field(default=None, repr=False)
    inputs_for: InputsFor | None = field(default=None, repr=False)

    @property
    def quantities(self) -> Sequence[str]:
        """The kinds of quantity that it reads, where they are several; its entry `quantity` says which."""
        return self.inputs["quantity"].choices if self.inputs_for and "quantity" in self.inputs else ()

    def inputs_given(self, given: Mapping[str, Any]) -> dict[str, Input]:
        """The inputs as they are read where some entries are known."""
        return self.inputs_for(given, self.inputs) if self.inputs_for else self.inputs

    def run(self, /, system: str = "metric", **given: Any) -> Result:
        """Compute from entries as text or pint quantities; bare numbers are in the system's units.

        Raises the errors of `calculators.contract.errors`, all of them ValueErrors with one line.
        """
        if system not in SYSTEMS:
            raise UnreadableEntry(f"the system is metric or inch, not “{system}”", typed=str(system))
        given = {name: value for name, value in given.items() if not _blank(value)}
        specs = self.inputs_given(given)
        entries = self._read(given, specs, system)
        self._add_defaults(entries)
        notes = self.cross_check(entries) if self.cross_check else []
        answer = self.function(**{name: _plain(entries.get(name)) for name in self.inputs})
        answer.notes = [*notes, *answer.notes, *self._notes_of_what_is_left_out(specs, entries), *self._uncertainty_notes(entries)]
        return print_result(self.name, answer, specs, self.values, entries, system)

    def _read(self, given: Mapping[str, Any], specs: Mapping[str, Input], system: str) -> dict[str, Any]:
        for name in given:
            if name not in self.inputs:
                near = difflib.get_close_matches(name[:60], self.inputs, 1)
                hint = f"did you mean {near[0]}?" if near else f"inputs are {', '.join(self.inputs)}"
                raise UnknownInput(f"{self.name} has no such input; {hint}", input=name)
        entries = {name: spec.read(given[name], system) for name, spec in specs.items() if name in given}
        missing = [spec for spec in specs.values() if spec.required and spec.name not in given]
        if missing:
            others = "".join(f"; {spec.name} is missing too" for spec in missing[1:])
            raise MissingInput(f"missing; expected {missing[0].expected(system)}{others}", input=missing[0].name)
        return entries

    def _add_defaults(self, entries: dict[str, Any]) -> None:
        """Fill in the defaults that are used, each marked as a default."""
        for name, spec in self.inputs.items():
            if name in entries or spec.default is None or not _applies(spec.only_if, entries):
                continue
            if isinstance(spec.default, HalfLastDigit):
                listed = [entry for other in spec.default.names if other in entries for entry in _as_list(entries[other])]
                if listed:
                    entries[name] = spec.default.entry(listed)
            else:
                read = spec.read(spec.default, "metric")
                if isinstance(read, list):
                    raise TypeError(f"{name}: a list takes no default")
                entries[name] = replace(read, typed="", default=True)

    def _notes_of_what_is_left_out(self, specs: Mapping[str, Input], entries: Mapping[str, Any]) -> list[str]:
        """What is assumed, or not judged, for each optional entry that was left out and could have made the verdict worse."""
        left_out = [
            spec
            for name, spec in specs.items()
            if name not in entries or entries[name] is not None and getattr(entries[name], "default", False)
        ]
        return [f"{spec.label} not given: {spec.without}." for spec in left_out if spec.without and _applies(spec.only_if, entries)]

    def _uncertainty_notes(self, entries: Mapping[str, Any]) -> list[str]:
        u = entries.get("tool_uncertainty")
        if u is None:
            return []
        if u.default:
            half = self.inputs["tool_uncertainty"].default
            return [f"Tool uncertainty not given: {half}, ± {{tool_uncertainty}}, is used."]
        if u.number.value == 0:
            return ["Tool uncertainty 0 is taken as entered; every tool has some."]
        return []

    def worked_example(self) -> Result:
        """The worked example, recomputed. Raises ExampleDiffers where it does not print what it says."""
        result = self.run(system=self.example.system, **self.example.given)
        prints = {name: value.text.replace(NO_BREAK_SPACE, " ") for name, value in result.values.items()}
        prints["verdict"] = result.verdict.code if result.verdict else "none"
        differences = [(n, says, prints[n]) for n, says in self.example.printed.items() if prints[n] != says]
        if differences:
            raise ExampleDiffers(self.name, differences)
        return result

    def describe(self) -> dict[str, Any]:
        """The whole declaration as JSON data: what forms, help and lists are made from."""
        return {
            "name": self.name,
            "title": self.title,
            "purpose": self.purpose,
            "inputs": [describe_input(spec) for spec in self.inputs.values()],
            "values": [describe_value(value) for value in self.values.values()],
            "formula": list(self.formula),
            "limits_of_model": list(self.limits_of_model),
            "sources": [source.describe() for source in self.sources],
            "example": asdict(self.example),
            "cautions": list(self.cautions),
            "quantities": {
                name: [describe_input(spec) for spec in self.inputs_given({"quantity": name}).values()] for name in self.quantities
            },
        }


def describe_input(spec: Input) -> dict[str, Any]:
    """An input as JSON data; bands by unit, as [low, high]."""
    edges = spec.bands.edges if spec.bands else ()
    usual = {e.unit: [e.low, e.high] for e in edges}
    hard = {e.unit: [e.hard_low, e.hard_high] for e in edges}
    return {
        "name": spec.name,
        "label": spec.label,
        "help": spec.help,
        "type": spec.type,
        "kind": spec.kind,
        "unit": spec.units[0],
        "inch_unit": spec.units[1],
        "list": spec.is_list,
        "required": spec.required,
        "default": None if spec.default is None else str(spec.default),
        "bands": {"usual": usual, "hard": hard} if edges else None,
        "choices": list(spec.choices),
        "negative": spec.negative,
        "example": spec.example("metric"),
        "inch_example": spec.example("inch"),
    }


def describe_value(value: Value) -> dict[str, Any]:
    """A value as JSON data."""
    return {"name": value.name, "label": value.label, "unit": value.unit, "list": value.is_list}


def calculator(
    *,
    title: str,
    purpose: str,
    values: Sequence[Value],
    formula: Sequence[str],
    limits_of_model: Sequence[str],
    source: Source | Sequence[Source],
    example: Example,
    cautions: Sequence[str] = (),
    cross_check: Checks | None = None,
    inputs_for: InputsFor | None = None,
) -> Callable[[Callable[..., Answer]], Calculator]:
    """Declare a calculator from an annotated function; its name, with hyphens, is the calculator's.

    The title and purpose are arguments and not a docstring, because the page runs code without docstrings.
    """

    def declare(function: Callable[..., Answer]) -> Calculator:
        return Calculator(
            name=function.__name__.replace("_", "-"),
            title=title,
            purpose=purpose,
            inputs=_inputs(function),
            values={value.name: replace(value, label=value.label or _label(value.name)) for value in values},
            formula=formula,
            limits_of_model=limits_of_model,
            sources=[source] if isinstance(source, Source) else source,
            example=example,
            cautions=cautions,
            function=function,
            cross_check=cross_check,
            inputs_for=inputs_for,
        )

    return declare


def _inputs(function: Callable[..., Answer]) -> dict[str, Input]:
    hints = typing.get_type_hints(function, include_extras=True)
    inputs = {}
    for name, parameter in inspect.signature(function).parameters.items():
        annotated, spec = hints[name].__origin__, hints[name].__metadata__[0]
        options = [t for t in _options(annotated) if t is not types.NoneType]
        is_list = typing.get_origin(options[0]) is list
        inner = typing.get_args(options[0])[0] if is_list else options[0]
        inputs[name] = replace(
            spec,
            name=name,
            label=spec.label or _label(name),
            type="text" if spec.reader else {int: "integer", str: "choice"}.get(inner, "quantity"),
            kind="" if inner in (int, str) else spec.kind,
            is_list=is_list,
            required=parameter.default is inspect.Parameter.empty,
        )
    return inputs


def _options(annotation: Any) -> Sequence[Any]:
    """The members of «X | None», or the annotation alone."""
    is_union = isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is typing.Union
    return typing.get_args(annotation) if is_union else [annotation]


def _label(name: str) -> str:
    return name.replace("_", " ").capitalize()


def _blank(value: Any) -> bool:
    return value is None or isinstance(value, str) and not value.strip() or isinstance(value, (list, tuple)) and not value


def _applies(only_if: tuple[str, Any] | None, entries: Mapping[str, Any]) -> bool:
    if only_if is None:
        return True
    name, value = only_if
    return name in entries and (value is None or getattr(entries[name], "value", None) == value)


def _as_list(entry: Any) -> list[Any]:
    return entry if isinstance(entry, list) else [entry]


def _plain(entry: Any) -> Any:
    """What a formula works on: quantities, whole numbers, words; None where nothing was given."""
    if isinstance(entry, list):
        return [one.quantity for one in entry]
    if isinstance(entry, Entry):
        return entry.quantity
    return entry.value if isinstance(entry, Whole) else None
