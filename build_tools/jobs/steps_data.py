"""The steps of a handbook as plain data for the state of a job: each once by its address, and an order a page.

calculators/job/handbook.py says the shape and reads it. What is empty is left out, conditions stand once, by number.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from build_tools.content import decision_rules
from build_tools.content.handbook import Handbook
from build_tools.content.meaning import hash_before, meaning
from build_tools.content.model import STEP_VALUE, Procedure, Step
from build_tools.content.page_order import Placed, address_of, steps_of
from build_tools.content.when import Normal
from calculators.job.handbook import FORMAT

# Calculators that only help to plan: they are offered, never demanded.
PLANNING = frozenset(
    ("bearing-grease", "bedding-heat", "bolt-clamp", "fluid-volume", "odometer", "reservoir-level", "tool-uncertainty", "torque-adapter", "vin-check")
)  # fmt: skip


def steps_data(handbook: Handbook) -> dict[str, Any]:
    """Everything that calculators/job needs to know of a handbook, as JSON data."""
    table = _Conditions()
    steps: dict[str, dict[str, Any]] = {}
    pages: dict[str, dict[str, Any]] = {}
    homes = {name: [item.id for item in each.steps if isinstance(item, Step)] for name, each in handbook.procedures.items()}
    led = _led_from(handbook)
    for procedure in handbook.procedures.values():
        placed = steps_of(procedure, handbook.procedures)
        for each in placed:
            if each.address not in steps:
                steps[each.address] = step_data(handbook, each)
        pages[procedure.id] = _page(procedure, placed, table, led.get(procedure.id, {}))
    axes = {axis.id: table.number(axis.when) for axis in handbook.axes.values() if axis.when is not None}
    parts = dict.fromkeys(part for step in steps.values() for said in step.get("means", {}).values() for part in said)
    judged = {part: least for part in parts if (least := decision_rules.least_actions(handbook, part))}
    return {"format": FORMAT, "when": table.listed, "axes": axes, "judged": judged, "homes": homes, "steps": steps, "pages": pages}


def step_data(handbook: Handbook, placed: Placed) -> dict[str, Any]:
    """One step as plain data. What the model does not declare yet is read where it will stand."""
    step, enter = placed.step, placed.step.enter
    outcomes = {**step.if_not, **step.otherwise}
    told: dict[str, Any] = {
        "do": step.do,
        "for": step.for_ if step.for_ != "side" else "",
        "hash": step.hash,
        "before": hash_before(step, placed.address, handbook.earlier),
        "work": work_hash(step),
        "was": [address_of(old, placed.home) for old in step.was],
        "needs": _needs(step),
        "hold": [address_of(other, placed.home) for other in step.hold.until] if step.hold else [],
        "out": {code: address_of(way.go, placed.home) if way.go else "again" if way.again else "stop" for code, way in outcomes.items()},
        "away": [code for code, way in outcomes.items() if way.back],
        "effects": step.effects,
        "critical": step.critical,
        "final": bool(step.torque and step.torque.stage == "final"),
        "look": step.second_look,
        "as_at": address_of(enter.as_at, placed.home) if enter and enter.as_at else "",
        "free": step.checks_free,
        "reads": _reads(handbook, step),
        "offered": bool(enter and enter.calculator in PLANNING),
        "finds": enter.findings if enter else "",
        "choice": list(enter.choice or ()) if enter else [],
        "means": enter.means if enter else {},
        "usual": getattr(enter, "usual", None),
        "decides": bool(enter and enter.decision),
        "lowers": bool(step.ends_lift),
        "completes": bool(step.completes),
        "cautions": step.cautions,
        "danger": any(handbook.cautions[name].signal == "danger" for name in step.cautions if name in handbook.cautions),
        "presses": step.presses,
        "starts": bool(step.starts),
        **{name: getattr(step, name, None) for name in ("sets", "clears", "alone", "shared", "stands", "renews")},
    }
    return {name: value for name, value in told.items() if value}


def work_hash(step: Step) -> str:
    """Twelve hex digits of what a step asks for, whatever its words: another one says that the work has changed."""
    text = json.dumps(meaning(step), sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def _needs(step: Step) -> list[str]:
    enter = step.enter
    asked = {
        "result": bool(enter and (enter.calculator or enter.choice or enter.decision)),
        "torque": step.torque is not None,
        "finding": bool(enter and enter.findings),
        "text": bool(enter and enter.text),
    }
    return [kind for kind, is_asked in asked.items() if is_asked]


def _reads(handbook: Handbook, step: Step) -> dict[str, Any]:
    enter = step.enter
    if enter is None or not enter.calculator:
        return {}
    told = {
        "calculator": enter.calculator,
        "judges": [name for name, part in handbook.findings.items() if enter.calculator in part.readings],
        "of": enter.of,
        "apart": bool(enter.apart),
        "derived": any(STEP_VALUE.fullmatch(given) and given.endswith("#readings") for given in enter.fields.values()),
    }
    return {name: value for name, value in told.items() if value}


def _page(procedure: Procedure, placed: list[Placed], table: _Conditions, led: dict[str, list[str]]) -> dict[str, Any]:
    axles = {value for alternative in procedure.when or [{}] for value in alternative.get("axle", ["front", "rear"])}
    told = {
        "title": procedure.title,
        "kind": procedure.kind if procedure.kind != "procedure" else "",
        "ends": procedure.ends_in,
        "axle": axles.pop() if len(axles) == 1 else "",
        "from": led,
    }
    order = _order(placed, table)
    return {**{name: value for name, value in told.items() if value}, "covers": table.number(procedure.when), "order": order}


def _order(placed: list[Placed], table: _Conditions) -> list[Any]:
    """The steps in runs of one home: [home, its first step, [condition, how many steps, …], …]."""
    order: list[Any] = []
    for each in placed:
        number = table.number(each.when)
        if not order or order[-3] != each.home:
            order += [each.home, each.step.id, []]
        conditions = order[-1]
        if conditions and conditions[-2] == number:
            conditions[-1] += 1
        else:
            conditions += [number, 1]
    return order


def _led_from(handbook: Handbook) -> dict[str, dict[str, list[str]]]:
    """The steps whose outcome leads to a job and back again: the job → address of the step → these outcomes."""
    found: dict[str, dict[str, list[str]]] = {}
    for procedure in handbook.procedures.values():
        for step in (item for item in procedure.steps if isinstance(item, Step)):
            for code, way in (*step.if_not.items(), *step.otherwise.items()):
                if way.back and way.go:
                    job = address_of(way.go, procedure.id).partition("/")[0]
                    found.setdefault(job, {}).setdefault(f"{procedure.id}/{step.id}", []).append(code)
    return found


class _Conditions:
    """Each condition once, by its number; none is -1."""

    def __init__(self) -> None:
        self.listed: list[Normal] = []
        self._numbers: dict[str, int] = {}

    def number(self, condition: Normal | None) -> int:
        if condition is None:
            return -1
        key = json.dumps(condition, sort_keys=True)
        if key not in self._numbers:
            self._numbers[key] = len(self.listed)
            self.listed.append(condition)
        return self._numbers[key]
