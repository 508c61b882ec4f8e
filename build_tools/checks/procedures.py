"""The rules of a procedure and of its steps."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from build_tools.checks.names import caution_faults, component_faults, drawing_faults, sheet_problems, source_problems, unknown_name
from build_tools.checks.step_entries import enter_problems, kind_faults
from build_tools.content.handbook import Handbook, ProblemAt
from build_tools.content.model import (
    SECURED,
    Procedure,
    Step,
    Use,
)
from build_tools.content.page_order import address_of
from build_tools.content.problems import Problem, nearest, one_of, unknown
from build_tools.content.yaml_reader import Loc
from calculators.contract.judge import CODES

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
_TWO_SENTENCES = re.compile(r"[.;!?]\s+[A-Z]")


def procedure_problems(handbook: Handbook, procedure: Procedure, drawings: Collection[str]) -> Iterator[Problem]:
    def problem(loc: Loc, *fault: str) -> Problem:
        return handbook.problem("procedures", procedure.id, loc, *fault)

    for field, kind in (("tools", "tool"), ("supplies", "supply")):
        for index, name in enumerate(getattr(procedure, field)):
            yield from (problem((field, index), *fault) for fault in component_faults(handbook, name, (kind,), field))
    yield from caution_faults(handbook, procedure.cautions, (), problem)
    yield from source_problems(handbook, "procedures", procedure.id, procedure)
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


def _revisions(procedure: Procedure, problem: ProblemAt) -> Iterator[Problem]:
    numbers = [change.revision for change in procedure.changes]
    if sorted(numbers) != list(range(1, len(numbers) + 1)):
        yield problem(
            ("changes",),
            "J104",
            f"Revisions must count 1, 2, 3 … without a gap, and these are {', '.join(map(str, numbers))}.",
            "changes: [{revision: 1, date: 2026-11-27, reason: First issue}]",
        )


def _inclusions(handbook: Handbook, procedure: Procedure, problem: ProblemAt) -> Iterator[Problem]:
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


def _reaches(handbook: Handbook, start: str, goal: str, trail: frozenset[str]) -> bool:
    if start == goal:
        return True
    if start in trail or start not in handbook.procedures:
        return False
    return any(_reaches(handbook, item.use, goal, trail | {start}) for item in handbook.procedures[start].steps if isinstance(item, Use))


def _step(
    handbook: Handbook, procedure: Procedure, step: Step, loc: Loc, problem: ProblemAt, drawings: Collection[str]
) -> Iterator[Problem]:
    for field, kinds in _EFFECT_KINDS.items():
        for index, name in enumerate(getattr(step, field)):
            yield from (problem((*loc, field, index), *fault) for fault in component_faults(handbook, name, kinds, field))
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
    yield from caution_faults(handbook, step.cautions, loc, problem)
    yield from (problem((*loc, "figure"), *fault) for fault in drawing_faults(drawings, step.figure, handbook.pictures))
    for index, name in enumerate(step.checks_free):
        if name not in handbook.findings:
            yield problem((*loc, "checks_free", index), *unknown_name(handbook, "N113", name, "part with findings", handbook.findings))
    for index, ref in enumerate(step.show):
        yield from sheet_problems(handbook, ref, (*loc, "show", index), problem)
    if step.torque:
        yield from (
            problem((*loc, "torque", "fastener"), *fault)
            for fault in component_faults(handbook, step.torque.fastener, ("fastener",), "fastener")
        )
        yield from sheet_problems(handbook, step.torque.from_, (*loc, "torque", "from"), problem)
    if step.enter:
        yield from enter_problems(handbook, procedure, step.enter, (*loc, "enter"), problem)
    if step.starts:
        yield from _start(procedure, step, loc, problem)
    yield from (problem((*loc, *place), *fault) for place, fault in kind_faults(handbook, procedure, step))
    yield from _references(handbook, procedure, step, loc, problem)
    yield from _outcomes(handbook, procedure, step, loc, problem)


def _start(procedure: Procedure, step: Step, loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
    """Before the engine is started, steps of the same procedure secure the vehicle, and the start waits for them."""
    awaited = step.hold.until if step.hold else []
    steps = [s for s in procedure.steps if isinstance(s, Step) and s.id in awaited and s.when in (None, step.when)]
    secured = {what for s in steps for what in s.secures}
    if lacking := [words for what, words in SECURED.items() if what not in secured]:
        yield problem((*loc, "starts"), "J110", f"Nothing that the start waits for secures: {', '.join(lacking)}.")


def _references(handbook: Handbook, procedure: Procedure, step: Step, loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
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


def _outcomes(handbook: Handbook, procedure: Procedure, step: Step, loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
    enter = step.enter
    if enter and enter.as_at:
        other = handbook.step_at(address_of(enter.as_at, procedure.id))
        enter = other.enter if other else None
    expected: tuple[str, ...] = CODES if enter and enter.calculator else tuple(enter.choice) if enter and enter.choice else ()
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
