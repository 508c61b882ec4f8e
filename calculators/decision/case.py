"""What was found on one axle, read with care: layout, findings side by side, results of calculators."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.contract.errors import EntryError
from calculators.contract.judge import CODES
from calculators.decision.rules import CANNOT_TELL, SIDES, Part, Rules, did_you_mean
from calculators.decision.when import holds

EXAMPLE = '{"layout": {"rotor": "slip-on"}, "left": {"rotor": ["sound"]}, "right": {"rotor": ["at-discard"]}}'
PLACES = {"left": ("left",), "right": ("right",), "axle": SIDES, "vehicle": SIDES}
NOT_ASKED = "not asked"  # a layout may say so of a question that does not arise in it
KEYS = ("layout", *PLACES, "readings")
FREE, FAILED = SECOND_LOOKS = ("free", "failed")
MOST_FINDINGS = 100


@dataclass
class Case:
    """One axle as it was found. `noted`: side → part → finding → steps; `second_look`: side → part → free, failed.

    A question that does not arise in the layout counts as answered by no value; `needless` are those that were answered.
    """

    layout: dict[str, str]
    parts: dict[str, Part]
    needless: list[str] = field(default_factory=list)
    noted: dict[str, dict[str, dict[str, list[str]]]] = field(default_factory=lambda: {side: {} for side in SIDES})
    second_look: dict[str, dict[str, str]] = field(default_factory=lambda: {side: {} for side in SIDES})
    readings: dict[str, dict[str, Mapping[str, Any]]] = field(default_factory=lambda: {side: {} for side in SIDES})


def read_case(data: Any, rules: Rules) -> Case:
    """The case as types; only parts that the layout has. Raises EntryError, one line with the place."""
    top = _mapping(data, "the findings", KEYS)
    said = _layout(top.get("layout", {}), rules)
    silent = [axis for axis, question in rules.axes.items() if holds(question.when, said) is False]
    layout = said | dict.fromkeys(silent, "")
    case = Case(
        layout, {name: part for name, part in rules.parts.items() if part.present(layout)}, [axis for axis in silent if axis in said]
    )
    for place in PLACES:
        for name, listed in _mapping(top.get(place, {}), place).items():
            _note(case, place, name, listed, rules)
    for place, results in _mapping(top.get("readings", {}), "readings", PLACES).items():
        for name, result in _mapping(results, f"readings.{place}").items():
            _reading(case, place, name, result)
    return case


def _layout(data: Any, rules: Rules) -> dict[str, str]:
    layout = {axis: value for axis, value in _mapping(data, "layout", rules.axes or None).items() if value != NOT_ASKED}
    for axis, value in layout.items():
        known = rules.axes[axis].values if axis in rules.axes else ()
        if not isinstance(value, str) or known and value not in known:
            raise _fault(f"layout.{axis}", f"“{str(value)[:60]}”{did_you_mean(str(value), known or ['text'])}")
    for when, say in rules.impossible:
        if holds(when, layout):
            raise _fault("layout", f"this layout does not exist: {say}")
    return layout


def _note(case: Case, at: str, name: str, listed: Any, rules: Rules) -> None:
    place = f"{at}.{name}"
    if name not in rules.parts:
        raise _fault(at, f"no part is called “{name[:60]}”{did_you_mean(name, case.parts)}")
    if name not in case.parts:
        raise _fault(place, "this layout has no such part; correct the layout, or leave the part out")
    if not isinstance(listed, list) or len(listed) > MOST_FINDINGS:
        raise _fault(place, f'expected a list of findings, for example ["{next(iter(rules.parts[name].findings))}"]')
    if at == "vehicle" and rules.parts[name].of != "vehicle":
        raise _fault(place, "this part is judged by side; note it under left, right, or axle for both")
    for side in PLACES[at]:
        for entry in listed:
            _note_entry(
                case,
                side,
                name,
                {"finding": entry} if isinstance(entry, str) else _mapping(entry, place, ("finding", "second_look", "step")),
                place,
                rules,
            )
        if name in case.second_look[side] and not case.noted[side].get(name):
            raise _fault(place, "a second look needs a first one: name what was found before the work")


def _note_entry(case: Case, side: str, name: str, item: Mapping[str, Any], place: str, rules: Rules) -> None:
    step = item.get("step", "")
    if not isinstance(step, str):
        raise _fault(place, 'step: expected its address, for example "inspect-and-decide/judge-piston"')
    if "finding" in item:
        _check_finding(case, place, rules.parts[name], item["finding"])
        steps = case.noted[side].setdefault(name, {}).setdefault(item["finding"], [])
        steps += [step] if step and step not in steps else []
    if "second_look" in item:
        if item["second_look"] not in SECOND_LOOKS:
            raise _fault(place, f"second_look: “{str(item['second_look'])[:60]}”; expected free or failed")
        case.second_look[side][name] = item["second_look"]


def _check_finding(case: Case, place: str, part: Part, finding: Any) -> None:
    if finding == CANNOT_TELL:
        return
    if not isinstance(finding, str) or finding not in part.findings:
        raise _fault(place, f"no finding is called “{str(finding)[:60]}”{did_you_mean(str(finding), part.findings)}")
    if holds(part.findings[finding].when, case.layout) is False:
        raise _fault(place, f"“{finding}” does not belong to this layout; correct the layout or the finding")


def _reading(case: Case, at: str, name: str, result: Any) -> None:
    place = f"readings.{at}.{name}"
    result = _mapping(result, place)
    if result.get("calculator", name) != name:
        raise _fault(place, f"this is a result of {str(result['calculator'])[:60]}; put it under its own name")
    verdict = result.get("verdict")
    if verdict is not None and (
        not isinstance(verdict, Mapping) or verdict.get("code") not in CODES or not isinstance(verdict.get("text", ""), str)
    ):
        raise _fault(
            place, f"its verdict must be null or hold a code, one of {', '.join(CODES)}; hand in the result as the calculator gave it"
        )
    for part in ("values", "inputs"):
        if not isinstance(result.get(part, {}), Mapping):
            raise _fault(place, f"its {part} must be a JSON object; hand in the result as the calculator gave it")
    if not isinstance(result.get("step", ""), str):
        raise _fault(place, 'its step: expected an address, for example "measure-rotor/read-thickness"')
    for side in PLACES[at]:
        if name in case.readings[side]:
            raise _fault(place, "stands there twice, for the axle and for a side; keep one of the two")
        case.readings[side][name] = result


def _fault(place: str, message: str) -> EntryError:
    return EntryError(f"{place}: {message}", input="findings")


def _mapping(data: Any, place: str, keys: Iterable[str] | None = None) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise _fault(place, f"expected a JSON object, for example {EXAMPLE}")
    for name in data:
        if not isinstance(name, str) or keys is not None and name not in keys:
            raise _fault(place, f"unknown key “{str(name)[:60]}”{did_you_mean(str(name), keys or ['text'])}")
    return data
