"""The rules of the decision read from JSON, each mistake in one line with its place."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from calculators import names
from calculators.contract.errors import EntryError
from calculators.decision.rules import (
    ACTIONS,
    OVER,
    RESERVED,
    Axis,
    Finding,
    Part,
    Replaced,
    Rule,
    Rules,
    Supply,
    did_you_mean,
    fact_faults,
    unknown_facts,
)
from calculators.decision.when import Normal, normal_form


def read_rules(data: Any) -> Rules:
    """The rules as types. Raises EntryError, one line with the place."""
    top = _mapping(data, "the rules", TOP_KEYS)
    known = [*names(), *_own_calculators(top)]
    parts: dict[str, Part] = {}
    for index, item in enumerate(_list(top.get("parts"), "parts")):
        part = _part(item, f"parts[{index}]", known)
        if part.part in parts:
            raise _fault(f"parts[{index}]", f"{part.part} stands there twice; keep one of the two")
        parts[part.part] = part
    rules = tuple(_rule(item, f"rules[{index}]", parts, known) for index, item in enumerate(_list(top.get("rules", []), "rules")))
    axes = {name: _axis(axis, f"axes.{name}") for name, axis in _mapping(top.get("axes", {}), "axes").items()}
    impossible = tuple(
        (_condition(item, "when", f"impossible[{index}]") or [], _text(item, "say", f"impossible[{index}]"))
        for index, item in enumerate(_list(top.get("impossible", []), "impossible"))
    )
    if not parts:
        raise _fault("parts", "there is no part; export the stock rules with: python3 -m build_tools rules FILE.json")
    for part in parts.values():
        if part.comes_with and part.comes_with not in parts:
            raise _fault(part.part, f"comes_with: no part is called “{part.comes_with}”{did_you_mean(part.comes_with, parts)}")
    supplies = tuple(
        _supply(item, f"supplies[{index}]", parts, known) for index, item in enumerate(_list(top.get("supplies", []), "supplies"))
    )
    replaced = tuple(_replaced(item, f"replaced[{index}]") for index, item in enumerate(_list(top.get("replaced", []), "replaced")))
    table = Rules(parts, rules, axes, impossible, supplies, replaced)
    drawn = table.drawn_by_rules()
    drawing: tuple[tuple[str, Sequence[Rule | Supply]], ...] = (("rules", rules), ("supplies", supplies))
    for kind, items in drawing:
        for index, item in enumerate(items):
            for fault in unknown_facts(item.because, drawn):
                raise _fault(f"{kind}[{index}].because", fault)
    return table


TOP_KEYS = ("parts", "rules", "supplies", "replaced", "axes", "impossible", "calculators")
PART_KEYS = ("part", "label", "item", "note", "amount", "when", "of", "sold", "comes_with", "readings", "findings")
FINDING_KEYS = ("id", "says", "action", "how", "reason", "source", "when", "buys", "orders")
RULE_KEYS = ("id", "when", "because", "part", "finding", "over")
SUPPLY_KEYS = ("id", "when", "because", "item", "why", "per", "note", "amount")


def _axis(data: Any, place: str) -> Axis:
    item = _mapping(data, place, ("values", "when"))
    values = _list(item.get("values"), f"{place}.values")
    if not values or not all(isinstance(value, str) for value in values):
        raise _fault(f"{place}.values", 'expected a list of answers, for example ["hub", "slip-on"]')
    return Axis(tuple(values), _condition(item, "when", place))


def _own_calculators(top: Mapping[str, Any]) -> list[str]:
    """The names of a shop's own calculators, which need not be installed where its rules are read."""
    own = _list(top.get("calculators", []), "calculators")
    if not all(isinstance(name, str) for name in own):
        raise _fault("calculators", 'expected a list of names, for example ["stand-load"]')
    return own


def _part(data: Any, place: str, known: Collection[str]) -> Part:
    item = _mapping(data, place, PART_KEYS)
    findings: dict[str, Finding] = {}
    for index, raw in enumerate(_list(item.get("findings"), f"{place}.findings")):
        finding = _finding(raw, f"{place}.findings[{index}]")
        if finding.id in findings:
            raise _fault(f"{place}.findings[{index}]", f"{finding.id} stands there twice; a finding has one action")
        if finding.id in RESERVED:
            raise _fault(f"{place}.findings[{index}]", f"{finding.id} has its own meaning in the rules; choose another id")
        findings[finding.id] = finding
    if not findings:
        raise _fault(place, "a part needs findings")
    name = _text(item, "part", place)
    return Part(
        part=name, label=_text(item, "label", place, name), findings=findings, when=_condition(item, "when", place),
        of=_one_of(item, "of", place, ("side", "vehicle"), "side"), sold=_text(item, "sold", place, ""),
        comes_with=_text(item, "comes_with", place, ""), readings=tuple(_calculators(item, place, known)),
        item=_text(item, "item", place, ""), note=_text(item, "note", place, ""), amount=_text(item, "amount", place, ""),
    )  # fmt: skip


def _calculators(item: Mapping[str, Any], place: str, known: Collection[str]) -> Iterator[str]:
    for name in _list(item.get("readings", []), f"{place}.readings"):
        if name not in known:
            raise _fault(f"{place}.readings", f"no calculator is called “{str(name)[:60]}”{did_you_mean(str(name), known)}")
        yield name


def _finding(data: Any, place: str) -> Finding:
    item = _mapping(data, place, FINDING_KEYS)
    return Finding(
        id=_text(item, "id", place), says=_text(item, "says", place), action=_one_of(item, "action", place, ACTIONS),
        reason=_text(item, "reason", place), source=_text(item, "source", place), how=_text(item, "how", place, ""),
        when=_condition(item, "when", place), buys=_text(item, "buys", place, ""),
        orders=_one_of(item, "orders", place, ("until settled", ""), ""),
    )  # fmt: skip


def _rule(data: Any, place: str, parts: Mapping[str, Part], known: Collection[str]) -> Rule:
    item = _mapping(data, place, RULE_KEYS)
    part = _one_of(item, "part", place, tuple(parts))
    return Rule(
        id=_text(item, "id", place), because=_because(item, place, parts, known), part=part, finding=_one_of(item, "finding", place, tuple(parts[part].findings)),
        over=_one_of(item, "over", place, OVER, "side"), when=_condition(item, "when", place),
    )  # fmt: skip


def _because(item: Mapping[str, Any], place: str, parts: Mapping[str, Part], known: Collection[str]) -> Normal:
    because = _condition(item, "because", place)
    if because is None:
        raise _fault(place, 'because is missing; write for example "because": {"pad": "replace"}')
    for fault in fact_faults(because, {name: part.findings for name, part in parts.items()}, known):
        raise _fault(f"{place}.because", fault)
    return because


def _supply(data: Any, place: str, parts: Mapping[str, Part], known: Collection[str]) -> Supply:
    item = _mapping(data, place, SUPPLY_KEYS)
    return Supply(
        id=_text(item, "id", place), because=_because(item, place, parts, known), item=_text(item, "item", place), why=_text(item, "why", place),
        per=_one_of(item, "per", place, ("side", "axle"), "axle"), note=_text(item, "note", place, ""),
        amount=_text(item, "amount", place, ""), when=_condition(item, "when", place),
    )  # fmt: skip


def _replaced(data: Any, place: str) -> Replaced:
    item = _mapping(data, place, ("rule", "by", "why"))
    return Replaced(*(_text(item, name, place) for name in ("rule", "by", "why")))


def _fault(place: str, message: str) -> EntryError:
    return EntryError(f"{place}: {message}", input="rules")


def _mapping(data: Any, place: str, keys: Iterable[str] | None = None) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise _fault(place, 'expected a JSON object, for example {"parts": […], "rules": […]}')
    for name in data:
        if keys is not None and name not in keys:
            raise _fault(place, f"unknown key “{str(name)[:60]}”{did_you_mean(str(name), keys)}")
    return data


def _list(data: Any, place: str) -> list[Any]:
    if not isinstance(data, list):
        raise _fault(place, "expected a JSON list, for example []")
    return data


def _text(item: Mapping[str, Any], name: str, place: str, default: str | None = None) -> str:
    value = item.get(name, default)
    if not isinstance(value, str) or not value.strip() and default is None:
        raise _fault(place, f"{name} is missing or not text")
    return value


def _one_of(item: Mapping[str, Any], name: str, place: str, known: tuple[str, ...], default: str | None = None) -> str:
    value = _text(item, name, place, default)
    if value not in known:
        raise _fault(place, f"{name}: “{value[:60]}”{did_you_mean(value, known)}")
    return value


def _condition(item: Any, name: str, place: str) -> Normal | None:
    raw = _mapping(item, place).get(name)
    if raw is None:
        return None
    try:
        return normal_form(raw)
    except ValueError as error:
        raise _fault(f"{place}.{name}", str(error)) from None
