"""Rules across files: every name leads somewhere, every condition can hold, every list is honest.

Each rule yields problems; none stops the others.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path, PurePosixPath

from pydantic import BaseModel

from build_tools.checks import layout_walk, sheet_values, walk_cache
from build_tools.content import decision_rules, glossary
from build_tools.content.computed_tables import TABLES
from build_tools.content.load import Handbook, gather, said
from build_tools.content.model import (
    FORMS,
    ID,
    SECURED,
    SHEET_VALUE,
    STEP_VALUE,
    Enter,
    Procedure,
    ReferencePage,
    SheetField,
    Sourced,
    Step,
    Use,
    Vehicle,
)
from build_tools.content.page_order import address_of, parts_of
from build_tools.content.problems import ContentError, Fault, Problem, nearest, one_of, quoted, unknown
from build_tools.content.shop_markdown import faults
from build_tools.content.when import holds, values_of
from build_tools.content.yaml_reader import at, place_of
from build_tools.paths import PROJECT
from calculators import catalogue
from calculators.contract.bands import BANDS
from calculators.contract.entries import read_entry, split_list
from calculators.contract.errors import EntryError
from calculators.contract.inputs import Input
from calculators.contract.judge import BEYOND, CODES
from calculators.contract.numerals import NumberQuestion
from calculators.contract.units import UNITS_OF, kind_of, spelled, unit_named

WALKED = PROJECT / ".build" / "walked.json"


def drawings_of(folder: Path = PROJECT / "docs" / "drawings") -> frozenset[str]:
    """The names of all drawings."""
    return frozenset(path.stem for path in folder.glob("*.svg"))


def check(
    handbook: Handbook,
    drawings: Collection[str] | None = None,
    only: Collection[str] | None = None,
    walk_one: Callable[[Procedure], tuple[list[Problem], int]] | None = None,
) -> tuple[list[Problem], int]:
    """Every mistake across files, and the number of layouts that were walked; of procedures in `only` these alone.

    `drawings`: the names of those there are; by default all of the handbook. `walk_one` walks a procedure, for whoever
    knows some walks already.
    """
    drawings = drawings_of() if drawings is None else drawings
    procedures = [p for p in handbook.procedures.values() if only is None or p.id in only]
    problems: list[Problem] = []
    problems += _conditions(handbook)
    problems += _axes(handbook, drawings)
    problems += _cautions_used(handbook)
    problems += _calculator_cautions(handbook)
    problems += _fields_used(handbook)
    problems += _bands_named(handbook)
    problems += decision_rules.problems(handbook)
    problems += _replacements(handbook)
    for procedure in procedures:
        problems += _procedure(handbook, procedure, drawings)
    for vehicle in handbook.vehicles.values():
        problems += _vehicle(handbook, vehicle)
    for reference in handbook.references.values():
        problems += _reference(handbook, reference, drawings)
    problems += _pages(handbook)
    for kind, items in (("cautions", handbook.cautions), ("findings", handbook.findings), ("references", handbook.references)):
        for key, item in items.items():
            problems += _sources(handbook, kind, key, item)
    problems = said(handbook, problems)
    layouts = 0
    for procedure in _sound(handbook, procedures, {problem.file for problem in problems}):
        found, count = walk_one(procedure) if walk_one else layout_walk.walk(handbook, procedure)
        problems += found
        layouts += count
    return sorted(set(problems)), layouts


def _sound(handbook: Handbook, procedures: Iterable[Procedure], broken: set[str]) -> Iterator[Procedure]:
    """The procedures that can be walked: a walk over broken names would only repeat what is said of them.

    Where something is wrong already, only the shop's own are walked, so that its author need not wait for the others.
    """
    if broken or handbook.unread:
        procedures = [p for p in procedures if ("procedures", p.id) in handbook.from_shop or p.id in handbook.step_places]
    shared = {
        handbook.origins[kind, key].file
        for kind in ("layout", "components")
        for key in ["", *handbook.components]
        if (kind, key) in handbook.origins
    }
    if handbook.unread.intersection(("layout", "components", "procedures")) or shared & broken:
        return
    for procedure in procedures:
        parts = parts_of(procedure, handbook.procedures)
        if not broken.intersection(handbook.origins["procedures", part.procedure.id].file for part in parts):
            yield procedure


def load_and_check(stock: Path = PROJECT / "site_data", shop: Path | None = None) -> tuple[Handbook, int]:
    """The handbook, sound; ContentError holds every mistake."""
    handbook, problems = gather(stock, shop)
    walks = walk_cache.Walks(handbook, walk_cache.remembered(WALKED))
    found, layouts = check(handbook, walk_one=walks.walk)
    walk_cache.remember(WALKED, walks.known)
    if problems or found:
        raise ContentError([*problems, *found])
    handbook.findings = decision_rules.own_findings(handbook)  # so that pages say what the decision says
    return handbook, layouts


# ---- conditions and layout ---------------------------------------------------------------------------------------


def _each(wanted: str, item, loc: tuple = ()) -> Iterator[tuple[tuple, list]]:
    """Every filled entry of this name inside an item, with where it stands."""
    if isinstance(item, BaseModel):
        for name, info in type(item).model_fields.items():
            value = getattr(item, name)
            here = (*loc, info.alias or name)
            if name == wanted and value is not None:
                yield here, value
            elif isinstance(value, (BaseModel, list)):
                yield from _each(wanted, value, here)
    elif isinstance(item, list) and item and isinstance(item[0], BaseModel):
        for index, inner in enumerate(item):
            yield from _each(wanted, inner, (*loc, index))


def _unknown(handbook: Handbook, code: str, name: str, what: str, known: Iterable[str]) -> Fault:
    """That a word of the trade leads nowhere; the glossary is asked first what is meant by it."""
    known = list(known)
    return unknown(code, name, what, known, glossary.meant(handbook, name, known))


def _conditions(handbook: Handbook) -> Iterator[Problem]:
    kinds = ("components", "cautions", "fields", "findings", "rules", "procedures")
    places = [(kind, key, item) for kind in kinds for key, item in getattr(handbook, kind).items()]
    for kind, key, item in places:
        for loc, when in _each("when", item):
            yield from (handbook.problem(kind, key, loc, *fault) for fault in _condition_faults(handbook, when))
    layout = handbook.origins.get(("layout", ""))
    if layout is None:
        return
    for name, items in (("axes", list(handbook.axes.values())), ("impossible", handbook.impossible)):
        for loc, when in _each("when", items, (name,)):
            yield from (layout.problem(loc, *fault) for fault in _condition_faults(handbook, when))


def _condition_faults(handbook: Handbook, when) -> Iterator[Fault]:
    for axis, value in values_of(when):
        if axis not in handbook.axes:
            fault = _unknown(handbook, "N101", axis, "layout question", handbook.axes)
            question = fault.near or next(iter(handbook.axes), "")
            answers = [v.id for v in handbook.axes[question].values] if question else []
            yield fault._replace(fits="", example=f"{question}: {value if value in answers else answers[0]}" if answers else "")
        elif value not in (known := [v.id for v in handbook.axes[axis].values]):
            fault = _unknown(handbook, "N102", value, f"answer to {axis}", known)
            yield fault._replace(example=f"{axis}: {fault.near or known[0]}")


def _axes(handbook: Handbook, drawings: Collection[str]) -> Iterator[Problem]:
    layout = handbook.origins.get(("layout", ""))
    for index, axis in enumerate(handbook.axes.values()):
        for position, value in enumerate(axis.values):
            for fault in _drawing_faults(drawings, value.drawing):
                yield layout.problem(("axes", index, "values", position, "drawing"), *fault)


def _drawing_faults(drawings: Collection[str], name: str | None, pictures: Iterable[str] = ()) -> Iterator[Fault]:
    known = [PurePosixPath(file).stem for file in pictures]
    if name and name not in drawings and name not in known:
        file = next((file for file in pictures if FORMS[ID].mended(PurePosixPath(file).stem) == name), "")
        if file:
            right = f"{name}{PurePosixPath(file).suffix.lower()}"
            yield Fault(
                "N106",
                f"The picture is called {quoted(file)}; rename the file to '{right}', so that this name finds it.",
                f"pictures/{right}",
            )
        else:
            yield unknown("N106", name, "drawing or picture" if known else "drawing", [*known, *sorted(drawings)])


def _caution_faults(handbook: Handbook, names: list[str], loc: tuple, problem) -> Iterator[Problem]:
    for index, name in enumerate(names):
        if name not in handbook.cautions:
            yield problem((*loc, "cautions", index), *unknown("N105", name, "caution", handbook.cautions))


# ---- procedures --------------------------------------------------------------------------------------------------


def _procedure(handbook: Handbook, procedure: Procedure, drawings: Collection[str]) -> Iterator[Problem]:
    def problem(loc, *fault):
        return handbook.problem("procedures", procedure.id, loc, *fault)

    for field, kind in (("tools", "tool"), ("supplies", "supply")):
        for index, name in enumerate(getattr(procedure, field)):
            yield from (problem((field, index), *fault) for fault in _component_faults(handbook, name, (kind,), field))
    yield from _caution_faults(handbook, procedure.cautions, (), problem)
    yield from _sources(handbook, "procedures", procedure.id, procedure)
    yield from _revisions(procedure, problem)
    yield from _inclusions(handbook, procedure, problem)
    seen: set[str] = set()
    for index, step in enumerate(procedure.steps):
        if isinstance(step, Use):
            continue
        loc = ("steps", index)
        for name in (step.id, *step.was):
            if name in seen:
                yield problem(
                    (*loc, "id"),
                    "J101",
                    f"The step id '{name}' stands twice in this procedure; every id is used once, for ever.",
                    "",
                    "",
                    "",
                    f"{name}-again",
                )
            seen.add(name)
        yield from _step(handbook, procedure, step, loc, problem, drawings)


def _revisions(procedure: Procedure, problem) -> Iterator[Problem]:
    numbers = [change.revision for change in procedure.changes]
    if sorted(numbers) != list(range(1, len(numbers) + 1)):
        yield problem(
            ("changes",),
            "J104",
            f"Revisions must count 1, 2, 3 … without a gap, and these are {', '.join(map(str, numbers))}.",
            "changes: [{revision: 1, date: 2026-11-27, reason: First issue}]",
        )


def _inclusions(handbook: Handbook, procedure: Procedure, problem) -> Iterator[Problem]:
    used: set[str] = set()
    for index, item in enumerate(procedure.steps):
        if not isinstance(item, Use):
            continue
        loc = ("steps", index, "use")
        if item.use not in handbook.procedures:
            yield problem(loc, *unknown("N109", item.use, "procedure", handbook.procedures))
        elif item.use in used:
            yield problem(loc, "J102", f"'{item.use}' is included twice on this page; its steps would have one address for two places.")
        elif _reaches(handbook, item.use, procedure.id, frozenset()):
            yield problem(loc, "J103", f"'{item.use}' includes '{procedure.id}' in turn; a procedure cannot contain itself.")
        used.add(item.use)


def _reaches(handbook: Handbook, start: str, goal: str, trail: frozenset) -> bool:
    if start == goal:
        return True
    if start in trail or start not in handbook.procedures:
        return False
    return any(_reaches(handbook, item.use, goal, trail | {start}) for item in handbook.procedures[start].steps if isinstance(item, Use))


_EFFECT_KINDS = {
    "takes_off": ("part", "fastener"),
    "fits": ("part", "fastener"),
    "always_new": ("part", "fastener"),
    "loosens": ("fastener",),
    "torques": ("fastener",),
    "opens": ("joint",),
    "closes": ("joint",),
    "bleeds": ("joint",),
    "leak_checks": ("joint",),
    "tools": ("tool",),
}


def _step(handbook, procedure: Procedure, step: Step, loc: tuple, problem, drawings: Collection[str]) -> Iterator[Problem]:
    for field, kinds in _EFFECT_KINDS.items():
        for index, name in enumerate(getattr(step, field)):
            yield from (problem((*loc, field, index), *fault) for fault in _component_faults(handbook, name, kinds, field))
    for index, name in enumerate(step.tools):
        if name not in procedure.tools and name in handbook.components:
            yield problem(
                (*loc, "tools", index),
                "J105",
                f"'{name}' is used here but is missing in this procedure's list of tools.",
                f"tools: [{', '.join([*procedure.tools, name])}]",
            )
    if _TWO_SENTENCES.search(step.do):
        yield problem((*loc, "do"), "J109", "This step holds two actions; make two steps of it.")
    yield from _caution_faults(handbook, step.cautions, loc, problem)
    yield from (problem((*loc, "figure"), *fault) for fault in _drawing_faults(drawings, step.figure, handbook.pictures))
    for index, name in enumerate(step.checks_free):
        if name not in handbook.findings:
            yield problem((*loc, "checks_free", index), *_unknown(handbook, "N113", name, "part with findings", handbook.findings))
    for index, ref in enumerate(step.show):
        yield from _sheet_ref(handbook, ref, (*loc, "show", index), problem)
    if step.torque:
        yield from (
            problem((*loc, "torque", "fastener"), *fault)
            for fault in _component_faults(handbook, step.torque.fastener, ("fastener",), "fastener")
        )
        yield from _sheet_ref(handbook, step.torque.from_, (*loc, "torque", "from"), problem)
    if step.enter:
        yield from _enter(handbook, procedure, step.enter, (*loc, "enter"), problem)
    if step.starts:
        yield from _start(procedure, step, loc, problem)
    yield from (problem((*loc, *place), *fault) for place, fault in _kind_faults(handbook, procedure, step))
    yield from _references(handbook, procedure, step, loc, problem)
    yield from _outcomes(handbook, procedure, step, loc, problem)


def _start(procedure: Procedure, step: Step, loc: tuple, problem) -> Iterator[Problem]:
    """Before the engine is started, steps of the same procedure secure the vehicle, and the start waits for them."""
    awaited = step.hold.until if step.hold else []
    steps = [s for s in procedure.steps if isinstance(s, Step) and s.id in awaited and s.when in (None, step.when)]
    secured = {what for s in steps for what in s.secures}
    if lacking := [words for what, words in SECURED.items() if what not in secured]:
        yield problem((*loc, "starts"), "J110", f"Nothing that the start waits for secures: {', '.join(lacking)}.")


_FOR_EXAMPLE = {
    "takes_off": "wheel",
    "fits": "wheel",
    "always_new": "cotter-pin",
    "tools": "[torque-wrench, sockets]",
    "supplies": "[brake-cleaner]",
}


def _component_faults(handbook: Handbook, name: str, kinds: tuple, field: str) -> Iterator[Fault]:
    component = handbook.components.get(name)
    of_kind = [c.id for c in handbook.components.values() if c.kind in kinds]
    if component is None:
        fault = _unknown(handbook, "N103", name, " or ".join(kinds), of_kind)
        either = (
            [f"{field}: {other}" for other in glossary.meant(handbook, name, of_kind)]
            or [f"{field}: {_FOR_EXAMPLE.get(field, of_kind[0])}"]
            if of_kind
            else []
        )
        yield fault if fault.near else fault._replace(example="\n".join(either))
    elif component.kind not in kinds:
        yield Fault(
            "N104",
            f"'{name}' is a {component.kind}; a {' or a '.join(kinds)} belongs here.",
            f"{field}: {_FOR_EXAMPLE.get(field, of_kind[0])}" if of_kind else "",
            expected=one_of(of_kind),
        )


def _sheet_ref(handbook: Handbook, ref: str | None, loc: tuple, problem) -> Iterator[Problem]:
    if ref is not None and ref not in handbook.fields:
        yield problem(loc, *_unknown(handbook, "N107", ref, "value of a vehicle sheet", handbook.fields))


_TWO_SENTENCES = re.compile(r"[.;!?]\s+[A-Z]")


def _found_faults(handbook: Handbook, procedure: Procedure, given: str) -> Iterator[Fault]:
    """A value that an earlier step found: the step is there, and its calculator has an entry or a value of that name."""
    reference, _, value = given.partition("#")
    step = handbook.step_at(address_of(reference, procedure.id))
    if step is None:
        yield unknown("N110", reference, "step", [s.id for s in procedure.steps if isinstance(s, Step)])
        return
    calculator = catalogue().get(step.enter.calculator or "") if step.enter else None
    known = [*calculator.inputs, *calculator.values] if calculator else []
    if value not in known:
        fault = unknown("N112", value, f"entry or value of step '{reference}'", known)
        yield fault._replace(fits=f"{reference}#{fault.near or known[0]}" if known else "")


def _as_at_faults(handbook: Handbook, procedure: Procedure, reference: str) -> Iterator[Fault]:
    step = handbook.step_at(address_of(reference, procedure.id))
    if step is None or not (step.enter and step.enter.choice):
        choices = [s.id for s in procedure.steps if isinstance(s, Step) and s.enter and s.enter.choice]
        yield unknown("N119", reference, "step with a choice", choices)


def _enter(handbook: Handbook, procedure: Procedure, enter: Enter, loc: tuple, problem) -> Iterator[Problem]:
    if enter.findings and enter.findings not in handbook.findings:
        yield problem((*loc, "findings"), *_unknown(handbook, "N113", enter.findings, "part with findings", handbook.findings))
    if enter.as_at:
        yield from (problem((*loc, "as_at"), *fault) for fault in _as_at_faults(handbook, procedure, enter.as_at))
    for answer, parts in enter.means.items():
        if answer not in (enter.choice or {}):
            yield problem(
                (*loc, "means", answer),
                *_given(
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
    calculator = catalogue().get(enter.calculator)
    if calculator is None:
        yield problem((*loc, "calculator"), *unknown("N111", enter.calculator, "calculator", catalogue()))
        return
    inputs = calculator.inputs
    for name, given in enter.fields.items():
        if name not in inputs:
            yield problem(
                (*loc, "fields", name), *_given(unknown("N112", name, f"entry of {enter.calculator}", inputs), f"{next(iter(inputs))}: ask")
            )
        elif SHEET_VALUE.fullmatch(given):
            yield from _sheet_ref(handbook, given, (*loc, "fields", name), problem)
        elif STEP_VALUE.fullmatch(given):
            yield from (problem((*loc, "fields", name), *fault) for fault in _found_faults(handbook, procedure, given))
    for name in (n for n, i in inputs.items() if i.required and n not in enter.fields):
        yield problem(
            (*loc, "fields"),
            "J106",
            f"The calculator {enter.calculator} cannot judge without '{name}'.",
            f"fields: {{{', '.join([*(f'{key}: {value}' for key, value in enter.fields.items()), f'{name}: ask'])}}}",
        )


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


def _kind_faults(handbook: Handbook, procedure: Procedure, step: Step) -> Iterator[tuple[tuple, Fault]]:
    """Where a step's line, its calculator and what fills the calculator's fields speak of different kinds of quantity."""
    field = handbook.fields.get(step.torque.from_ or "") if step.torque else None
    if field and not _fits(field.units, "torque"):
        yield (
            ("torque", "from"),
            Fault("J111", f"A torque is asked for, and '{field.path}' holds {_of_kind(field.units)}.", "from: vehicle.wheel_nut.torque"),
        )
    calculator = catalogue().get(step.enter.calculator or "") if step.enter else None
    if calculator is None:
        return
    fixed = {name: given for name, given in step.enter.fixed.items() if name in calculator.inputs}
    if calculator.quantities and fixed.get("quantity") not in calculator.quantities:
        fields = ", ".join(
            f"{name}: {given}" for name, given in ({"quantity": ""} | step.enter.fields | {"quantity": calculator.quantities[0]}).items()
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
    for name, given in step.enter.fields.items():
        spec = inputs.get(name)
        units = _units_of(handbook, procedure, given) if spec else None
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
    calculator = catalogue().get(step.enter.calculator or "") if step and step.enter else None
    if calculator and value in calculator.inputs:
        return [unit for unit in calculator.inputs_given(step.enter.fixed)[value].units if unit]
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


def _references(handbook: Handbook, procedure: Procedure, step: Step, loc: tuple, problem) -> Iterator[Problem]:
    references = [
        ((*loc, name, key, "go"), outcome.go)
        for name in ("if_not", "otherwise")
        for key, outcome in getattr(step, name).items()
        if outcome.go
    ]
    references += [((*loc, "hold", "until", i), ref) for i, ref in enumerate(step.hold.until)] if step.hold else []
    for place, reference in references:
        if handbook.step_at(address_of(reference, procedure.id)) is None:
            yield problem(place, *unknown("N110", reference, "step", _addresses(handbook, procedure)))


def _addresses(handbook: Handbook, procedure: Procedure) -> Iterator[str]:
    """Every step as this procedure may name it: its own by their ids, and first."""
    yield from (step.id for step in procedure.steps if isinstance(step, Step))
    yield from (f"{p.id}/{step.id}" for p in handbook.procedures.values() for step in p.steps if isinstance(step, Step))


def _outcomes(handbook: Handbook, procedure: Procedure, step: Step, loc: tuple, problem) -> Iterator[Problem]:
    enter = step.enter
    if enter and enter.as_at:
        other = handbook.step_at(address_of(enter.as_at, procedure.id))
        enter = other.enter if other else None
    expected = CODES if enter and enter.calculator else tuple(enter.choice) if enter and enter.choice else None
    for key in step.if_not if expected else ():
        if key not in expected:
            yield problem(
                (*loc, "if_not", key),
                "N114",
                f"This step cannot end in '{key}'.",
                f"{expected[0]}: {{again: true}}",
                nearest(key, expected),
                one_of(expected),
            )


# ---- the rest ----------------------------------------------------------------------------------------------------


def _sources(handbook: Handbook, kind: str, key: str, item) -> Iterator[Problem]:
    for loc, refs in _each("sources", item):
        for index, ref in enumerate(refs):
            if ref.source not in handbook.sources:
                yield handbook.problem(kind, key, (*loc, index), *unknown("N108", ref.source, "source", handbook.sources))


def _procedures(handbook: Handbook) -> list[Procedure]:
    """All procedures, those too that a shop's own took the place of: what only they use is not left over."""
    return [*handbook.procedures.values(), *(item for (kind, _), item in handbook.replaced.items() if kind == "procedures")]


def _fields_used(handbook: Handbook) -> Iterator[Problem]:
    steps = [s for p in _procedures(handbook) for s in p.steps if isinstance(s, Step)] + [*handbook.changed_steps.values()]
    used = {ref for s in steps for ref in s.show} | {s.torque.from_ for s in steps if s.torque}
    used |= {given for s in steps if s.enter for given in s.enter.fields.values()}
    for path in handbook.fields:
        if path not in used and ("fields", path) not in handbook.from_shop:
            yield handbook.problem(
                "fields", path, ("id",), "J107", f"No step shows or judges by '{path}'; name it in a step, or take it out.", f"show: {path}"
            )


def _bands_named(handbook: Handbook) -> Iterator[Problem]:
    """The bands and the other values that a sheet's value is held against."""
    for path, field in handbook.fields.items():
        if field.band is not None and field.band not in BANDS:
            yield handbook.problem("fields", path, ("band",), *unknown("N121", field.band, "band", BANDS))
        elif field.band is not None and not (field.units and _of_one_kind(field)):
            yield handbook.problem(
                "fields",
                path,
                ("band",),
                "N121",
                f"The band '{field.band}' is in {BANDS[field.band].edges[0].unit}, and this value is not.",
                f"units: [{', '.join(edges.unit for edges in BANDS[field.band].edges)}]",
            )
        others = [(("under", at), name) for at, name in enumerate(field.under)] + [
            (("not_over", at), name) for at, name in enumerate(field.not_over)
        ]
        others += [(("usual_share", "of"), field.usual_share.of)] if field.usual_share else []
        for loc, name in others:
            if f"{field.of}.{name}" not in handbook.fields:
                yield handbook.problem(
                    "fields",
                    path,
                    loc,
                    *_unknown(handbook, "N107", name, "value of a sheet", [f.id for f in handbook.fields.values() if f.of == field.of]),
                )


def _of_one_kind(field: SheetField) -> bool:
    try:
        return all(kind_of([edges.unit, *field.units]) for edges in BANDS[field.band or ""].edges)
    except LookupError:
        return False


def _calculator_cautions(handbook: Handbook) -> Iterator[Problem]:
    for calculator in catalogue().values():
        for name in calculator.cautions:
            if name not in handbook.cautions:
                module = calculator.name.replace("-", "_")
                file, _ = handbook.calculators.get(module, (f"calculators/{module}.py", ""))
                yield Problem(file, 1, 1, *unknown("N105", name, "caution", handbook.cautions)[:5])


def _cautions_used(handbook: Handbook) -> Iterator[Problem]:
    used = {name for p in _procedures(handbook) for name in p.cautions}
    used |= {name for p in _procedures(handbook) for s in p.steps if isinstance(s, Step) for name in s.cautions}
    used |= {name for s in handbook.changed_steps.values() for name in s.cautions}
    used |= {name for calculator in catalogue().values() for name in calculator.cautions}
    used |= {name for page in handbook.references.values() for name in page.cautions}
    for name in handbook.cautions:
        if name not in used and ("cautions", name) not in handbook.from_shop:
            yield handbook.problem(
                "cautions", name, ("id",), "J108", f"The caution '{name}' is shown nowhere; use it, or take it out.", f"cautions: {name}"
            )


def _reference(handbook: Handbook, page: ReferencePage, drawings: Collection[str]) -> Iterator[Problem]:
    def problem(loc, *fault):
        return handbook.problem("references", page.id, loc, *fault)

    for index, item in enumerate(page.items):
        loc = ("items", index)
        yield from (problem((*loc, "drawing"), *fault) for fault in _drawing_faults(drawings, item.drawing))
        for position, name in enumerate(item.procedures):
            if name not in handbook.procedures:
                yield problem((*loc, "procedures", position), *unknown("N109", name, "procedure", handbook.procedures))
    for index, table in enumerate(page.tables):
        if table.computed and table.computed not in TABLES:
            yield problem(("tables", index, "computed"), *unknown("N115", table.computed, "table that is worked out", TABLES))
    yield from _caution_faults(handbook, page.cautions, (), problem)
    ids = [part.id for part in (*page.items, *page.tables)]
    for name in sorted({name for name in ids if ids.count(name) > 1}):
        yield problem(("id",), "J101", f"'{name}' stands twice on this page; every id is used once.", "", "", "", page.id)


def _pages(handbook: Handbook) -> Iterator[Problem]:
    """Raw HTML, and links that may not lead where they lead, in a shop's pages."""
    for uri, text in handbook.shop_pages.items():
        for snippet, fault in faults(text):
            yield at(text, handbook.page_files[uri], *place_of(text, max(0, text.find(snippet))), fault, len(snippet.split("\n")[0]))


_SIGNALS = ("danger", "warning", "caution", "notice")


def _replacements(handbook: Handbook) -> Iterator[Problem]:
    """What a shop puts in place of the handbook's own says which wording it has read, and is never laxer about safety."""
    for (kind, key), stock in handbook.replaced.items():
        own = getattr(handbook, kind)[key]
        if own.replaces_stock.made_for is None:
            yield handbook.problem(
                kind,
                key,
                ("replaces_stock",),
                "S103",
                "The entry 'made_for' is missing: the fingerprint of the handbook's own as you have read it.",
                f"made_for: {stock.hash}",
            )
        if kind == "cautions" and _SIGNALS.index(own.signal) > _SIGNALS.index(stock.signal):
            yield handbook.problem(
                kind,
                key,
                ("signal",),
                "S109",
                f"A shop may be stricter than the handbook, never laxer: it says '{stock.signal}' here.",
                f"signal: {stock.signal}",
            )


def _vehicle(handbook: Handbook, vehicle: Vehicle) -> Iterator[Problem]:
    def problem(loc, *fault):
        return handbook.problem("vehicles", vehicle.id, loc, *fault)

    if ("vehicles", vehicle.id) not in handbook.from_shop and not vehicle.invented:
        yield problem((), "V101", "A vehicle of the handbook must be invented and say so.", "invented: true")
    ends = [("front", vehicle.front), ("rear", vehicle.rear)]
    sheets = [((), vehicle, "vehicle"), *(((name,), end, "end") for name, end in ends if end)]
    for loc, sheet, scope in sheets:
        for axis, value in sheet.layout.items():
            yield from (problem((*loc, "layout", axis), *fault) for fault in _condition_faults(handbook, [{axis: [value]}]))
        for path, sourced in sheet.values.items():
            field = handbook.fields.get(f"{scope}.{path}")
            if field is None:
                known = [f.id for f in handbook.fields.values() if f.of == scope]
                yield problem(
                    (*loc, "values", path),
                    *_given(_unknown(handbook, "N107", path, "value of a sheet", known), _some_value(handbook, scope)),
                )
            elif fault := _value_fault(field, sourced):
                yield problem((*loc, "values", path, "value"), *fault)
            elif (field.units or sourced.unit) and sourced.unit not in field.units:
                yield problem((*loc, "values", path, "unit"), *_unit_fault(field, sourced))
    if ("vehicles", vehicle.id) not in handbook.from_shop:
        yield from _figures(handbook, vehicle)
    for loc, vin in _vins(vehicle):
        fault = _vin_fault(vin)
        if fault:
            yield problem(
                loc,
                "V103",
                fault,
                'vin: {value: "11111111111111111", source: plate at the windscreen}' if "values" in loc else 'vin: "11111111111111111"',
            )
    for name, end in ends:
        layout = {**vehicle.layout, **(end.layout if end else {}), "axle": name}
        for wrong in handbook.impossible if end else ():
            if holds(wrong.when, layout):
                yield problem(
                    (name, "layout"), "V104", f"This layout does not exist: {wrong.say}", "layout: {rotor: slip-on, bearing: hub-unit}"
                )


def _figures(handbook: Handbook, vehicle: Vehicle) -> Iterator[Problem]:
    """Figures of a sheet that cannot be, contradict each other, or are rare without a reason."""
    for loc, sheet, scope in [
        ((), vehicle, "vehicle"),
        *(((name,), end, "end") for name, end in (("front", vehicle.front), ("rear", vehicle.rear)) if end),
    ]:
        fields = {field.id: field for field in handbook.fields.values() if field.of == scope}
        for path, fault in sheet_values.faults(fields, sheet.values):
            yield handbook.problem("vehicles", vehicle.id, (*loc, "values", path, "value"), *fault)


def sheet_notices(handbook: Handbook) -> list[Problem]:
    """What is odd about the figures of a shop's own sheets. For one release they are notices, and mistakes from the next: a sheet written
    before figures were judged still builds, and no verdict rests on a figure that cannot be: the page leaves it out."""
    return sorted(
        problem for kind, key in handbook.from_shop if kind == "vehicles" for problem in _figures(handbook, handbook.vehicles[key])
    )


def _some_value(handbook: Handbook, scope: str) -> str:
    """A value of a sheet as it is written there."""
    field = next((field for field in handbook.fields.values() if field.of == scope and field.units), None)
    return _as_value(_figure_for(field), field, Sourced(value="1", source='"maker\'s manual, page and edition"')) if field else ""


def _given(fault: Fault, some: str) -> Fault:
    """The place is a name with a value after it: only the name that was probably meant can stand in the author's line."""
    return fault if fault.near else fault._replace(example=some)


def _value_fault(field: SheetField, sourced: Sourced) -> Fault | None:
    """What keeps a value from being read as one number or several; a value without units is any text."""
    if not field.units:
        return None
    unit = unit_named(field.units[0])
    try:
        entries = [read_entry(piece, kind_of(field.units[:1]), unit) for piece in split_list(sourced.value)]
    except NumberQuestion as question:
        read = [number.text for number in question.readings]
        return Fault(
            "V105",
            f"{field.label}: {quoted(sourced.value)} can be read as {' or as '.join(read)}.",
            "\n".join(_as_value(text, field, sourced) for text in read),
            expected="the one that stands at its source, with a point for decimals and nothing between thousands",
        )
    except ValueError as error:  # every fault of an entry
        why = str(error).rstrip(".")
        return Fault(
            "V105",
            f"{field.label}: {quoted(sourced.value)} cannot be read as a figure: {why}.",
            _as_value(_figure_for(field), field, sourced),
            expected="the figure alone, as the maker gives it, with a point for decimals",
        )
    if any(entry.unit_typed for entry in entries):
        bare = "; ".join(entry.number.text for entry in entries)
        return Fault(
            "V105",
            f"{field.label}: the unit in {quoted(sourced.value)} belongs in its own entry.",
            f"value: {bare}, unit: {sourced.unit or field.units[0]}",
        )
    return None


def _as_value(figure: str, field: SheetField, sourced: Sourced) -> str:
    """A value of this field as it stands in a sheet, with the author's own source."""
    return f'{field.id}: {{value: "{figure}", unit: {sourced.unit if sourced.unit in field.units else field.units[0]}, source: {sourced.source}}}'


def _figure_for(field: SheetField) -> str:
    """A figure that such a value can have; no specification of anything."""
    return next((figure for text in (BANDS[field.band].examples if field.band in BANDS else ()) if (figure := text.split()[0])), "…")


def _unit_fault(field: SheetField, sourced: Sourced) -> Fault:
    if not field.units:
        return Fault(
            "V102", f"{field.label}: no unit belongs to it, and it says {quoted(sourced.unit)}.", f"{{value: {sourced.value}, source: …}}"
        )
    example = f"{{value: {sourced.value}, unit: {field.units[0]}, source: {sourced.source}}}"
    if sourced.unit is None:
        return Fault("V102", f"{field.label}: the unit is missing.", example, expected=one_of(field.units))
    return Fault(
        "V102",
        f"{field.label}: the unit is {quoted(sourced.unit)}.",
        "",
        nearest(sourced.unit, field.units),
        one_of(field.units),
        field.units[0],
    )


def _vins(vehicle: Vehicle) -> Iterator[tuple[tuple, str]]:
    """The VINs of a sheet, with where they stand."""
    if vehicle.vin:
        yield ("vin",), vehicle.vin
    if "vin" in vehicle.values:
        yield ("values", "vin", "value"), vehicle.values["vin"].value


def _vin_fault(vin: str) -> str | None:
    """What is wrong with a VIN for certain; one whose position 9 is the maker's own is none."""
    try:
        verdict = catalogue()["vin-check"].run(vin=vin).verdict
    except EntryError as error:
        return f"The VIN cannot be right: {error.message.rstrip('.')}."
    return f"The VIN cannot be right: {verdict.text.rstrip('.')}." if verdict.code == BEYOND else None


def counts(handbook: Handbook) -> dict[str, int]:
    """How much of everything the handbook holds, by name."""
    steps = [s for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step)]
    return {
        "procedures": sum(p.kind == "procedure" for p in handbook.procedures.values()),
        "symptoms": sum(p.kind == "diagnosis" for p in handbook.procedures.values()),
        "steps": len(steps),
        "calculators": len(catalogue()),
        "figures": len(list((PROJECT / "docs" / "drawings").glob("*.svg"))),
        "parts": sum(c.kind == "part" for c in handbook.components.values()),
        "reference pages": len(handbook.references),
        "kinds of parts": sum(len(page.items) for page in handbook.references.values() if page.group == "parts"),
        "tables": sum(len(page.tables) for page in handbook.references.values()),
        "terms": len(handbook.terms),
        "cautions": len(handbook.cautions),
        "findings": sum(len(p.findings) for p in handbook.findings.values()),
        "rules": len(handbook.rules),
        "sources": len(handbook.sources),
        "vehicles": len(handbook.vehicles),
    }
