"""What a step asks for: its calculator, choice, torque, and the values that fill them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from build_tools.checks.names import sheet_problems, unknown_name, with_example
from build_tools.content.handbook import Handbook, ProblemAt
from build_tools.content.model import (
    SHEET_VALUE,
    STEP_VALUE,
    Enter,
    Procedure,
    Step,
)
from build_tools.content.page_order import address_of
from build_tools.content.problems import Fault, Problem, one_of, unknown
from build_tools.content.yaml_reader import Loc
from calculators.contract.errors import EntryError
from calculators.contract.inputs import Input
from calculators.contract.units import UNITS_OF, spelled

# What a step's line names, and the kinds of entry that are a reading of it.
_READ_AS = {
    "temperature": ("temperature",),
    "boiling point": ("temperature",),
    "force": ("force",),
    "torque": ("torque",),
    "pressure": ("pressure",),
    **dict.fromkeys(("thickness", "height", "runout", "end play", "travel", "width", "diameter", "lining"), ("length", "diameter")),
}
_NAMED = re.compile(rf"\b({'|'.join(_READ_AS)})s?\b", re.I)


def _found_faults(handbook: Handbook, procedure: Procedure, given: str) -> Iterator[Fault]:
    """A value that an earlier step found: the step is there, and its calculator has an entry or a value of that name."""
    reference, _, value = given.partition("#")
    step = handbook.step_at(address_of(reference, procedure.id))
    if step is None:
        yield unknown("N110", reference, "step", [s.id for s in procedure.steps if isinstance(s, Step)])
        return
    calculator = handbook.catalogue.get(step.enter.calculator or "") if step.enter else None
    known = [*calculator.inputs, *calculator.values] if calculator else []
    if value not in known:
        fault = unknown("N112", value, f"entry or value of step '{reference}'", known)
        yield fault._replace(fits=f"{reference}#{fault.near or known[0]}" if known else "")


def _as_at_faults(handbook: Handbook, procedure: Procedure, reference: str) -> Iterator[Fault]:
    step = handbook.step_at(address_of(reference, procedure.id))
    if step is None or not (step.enter and step.enter.choice):
        choices = [s.id for s in procedure.steps if isinstance(s, Step) and s.enter and s.enter.choice]
        yield unknown("N119", reference, "step with a choice", choices)


def enter_problems(handbook: Handbook, procedure: Procedure, enter: Enter, loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
    if enter.findings and enter.findings not in handbook.findings:
        yield problem((*loc, "findings"), *unknown_name(handbook, "N113", enter.findings, "part with findings", handbook.findings))
    if enter.as_at:
        yield from (problem((*loc, "as_at"), *fault) for fault in _as_at_faults(handbook, procedure, enter.as_at))
    for answer, parts in enter.means.items():
        if answer not in (enter.choice or {}):
            yield problem(
                (*loc, "means", answer),
                *with_example(
                    unknown("N122", answer, "answer of this choice", list(enter.choice or {})),
                    f"{next(iter(enter.choice or {}), 'keep')}: {{rotor: use again}}",
                ),
            )
        for part in parts:
            if part not in handbook.findings:
                fault = unknown("N113", part, "part with findings", handbook.findings)
                yield problem(
                    (*loc, "means", answer), *fault._replace(fits="", example=f"means: {{{answer}: {{{fault.fits}: use again}}}}")
                )
    if not enter.calculator:
        return
    calculator = handbook.catalogue.get(enter.calculator)
    if calculator is None:
        yield problem((*loc, "calculator"), *unknown("N111", enter.calculator, "calculator", handbook.catalogue))
        return
    inputs = calculator.inputs
    for name, given in enter.fields.items():
        if name not in inputs:
            yield problem(
                (*loc, "fields", name),
                *with_example(unknown("N112", name, f"entry of {enter.calculator}", inputs), f"{next(iter(inputs))}: ask"),
            )
        elif SHEET_VALUE.fullmatch(given):
            yield from sheet_problems(handbook, given, (*loc, "fields", name), problem)
        elif STEP_VALUE.fullmatch(given):
            yield from (problem((*loc, "fields", name), *fault) for fault in _found_faults(handbook, procedure, given))
    for name in (n for n, i in inputs.items() if i.required and n not in enter.fields):
        yield problem(
            (*loc, "fields"),
            "J106",
            f"The calculator {enter.calculator} cannot judge without '{name}'.",
            f"fields: {{{', '.join([*(f'{key}: {value}' for key, value in enter.fields.items()), f'{name}: ask'])}}}",
        )


def kind_faults(handbook: Handbook, procedure: Procedure, step: Step) -> Iterator[tuple[Loc, Fault]]:
    """Where a step's line, its calculator and what fills the calculator's fields speak of different kinds of quantity."""
    field = handbook.fields.get(step.torque.from_ or "") if step.torque else None
    if field and not _fits(field.units, "torque"):
        yield (
            ("torque", "from"),
            Fault("J111", f"A torque is asked for, and '{field.path}' holds {_of_kind(field.units)}.", "from: vehicle.wheel_nut.torque"),
        )
    enter = step.enter
    calculator = handbook.catalogue.get(enter.calculator or "") if enter else None
    if enter is None or calculator is None:
        return
    fixed = {name: given for name, given in enter.fixed.items() if name in calculator.inputs}
    if calculator.quantities and fixed.get("quantity") not in calculator.quantities:
        fields = ", ".join(
            f"{name}: {given}" for name, given in ({"quantity": ""} | enter.fields | {"quantity": calculator.quantities[0]}).items()
        )
        yield (
            ("enter", "fields"),
            Fault(
                "J112",
                f"The calculator {calculator.name} reads several kinds of quantity; the entry 'quantity' says which.",
                f"fields: {{{fields}}}",
                expected=one_of(calculator.quantities),
            ),
        )
        return
    inputs = calculator.inputs_given(fixed)
    for name, given in enter.fields.items():
        spec = inputs.get(name)
        if spec is None:
            continue
        units = _units_of(handbook, procedure, given)
        if units is not None and not _fits(units, spec.kind):
            yield (
                ("enter", "fields", name),
                Fault(
                    "J111", f"'{given}' holds {_of_kind(units)}, and '{name}' of {calculator.name} reads {_reads(spec)}.", f"{name}: ask"
                ),
            )
        elif name in fixed and (fault := _unread(spec, given)):
            yield ("enter", "fields", name), Fault("J111", f"'{name}' of {calculator.name}: {fault}.", f"{name}: ask")
    named = {word.lower() for word in _NAMED.findall(step.do)}
    kinds = {spec.kind for spec in inputs.values() if spec.required}
    wrong = named.intersection(calculator.quantities) - {fixed.get("quantity")}
    if wrong or named and not any(kinds.intersection(_READ_AS[word]) for word in named):
        asked = " and ".join(sorted(wrong or named))
        example = f"quantity: {min(wrong)}" if wrong else "enter: {text: What is read?}"
        yield (
            ("do",),
            Fault(
                "J111",
                f"The step speaks of {asked}, and the calculator {calculator.name} reads {fixed.get('quantity') or ', '.join(sorted(kinds - {''}))} here.",
                example,
            ),
        )


def _units_of(handbook: Handbook, procedure: Procedure, given: str) -> list[str] | None:
    """The units of what fills a field: a value of the sheet, or what an earlier step found. None for what is typed or unknown."""
    if given in handbook.fields:
        return handbook.fields[given].units
    reference, _, value = given.partition("#")
    step = handbook.step_at(address_of(reference, procedure.id)) if value else None
    enter = step.enter if step else None
    calculator = handbook.catalogue.get(enter.calculator or "") if enter else None
    if enter and calculator and value in calculator.inputs:
        return [unit for unit in calculator.inputs_given(enter.fixed)[value].units if unit]
    return (
        [unit]
        if calculator and value in calculator.values and (unit := calculator.values[value].unit)
        else []
        if calculator and value in calculator.values
        else None
    )


def _fits(units: Iterable[str], kind: str) -> bool:
    """Whether entries in these units are entries of this kind; counts and words have no units."""
    known = {spelled(unit.symbol) for unit in UNITS_OF[kind].values()} if kind else {""}
    return {spelled(unit) for unit in units or ("",)} <= known


def _of_kind(units: list[str]) -> str:
    return f"a value in {' or '.join(units)}" if units else "a value without a unit"


def _reads(spec: Input) -> str:
    return f"{'an' if spec.kind[:1] in 'aeo' else 'a'} {spec.kind}" if spec.kind else "no unit"


def _unread(spec: Input, given: str) -> str:
    try:
        spec.read(given, "metric")
    except EntryError as error:
        return error.message.rstrip(".")
    return ""
