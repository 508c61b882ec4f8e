"""The rules of the decision as data: parts, what can be found on them, and what one finding draws after it.

build_tools writes them as JSON from site_data (decisions.yml, rules.yml); a shop may hand in its own.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calculators import names
from calculators.conditions import Normal, holds, normal_form, values_of
from calculators.decision_readings import WORDS
from calculators.errors import EntryError
from calculators.judge import CODES

REPLACE, MEASURE_AGAIN, SERVICE, USE_AGAIN = ACTIONS = ("replace", "measure again", "service", "use again")  # worst first
SIDES = ("left", "right")
OF_A_PART = {"looked-at": ("yes", "no"), "free": ("no",), "work": ("yes",)}  # facts of a part that are no findings
OVER = ("side", "partner", "axle")
FOUND, NOT_FOUND = "found", "not found"
CANNOT_TELL = "cannot-tell"  # may be noted on any part: looked at, and not to be judged
RESERVED = (*OF_A_PART, CANNOT_TELL)


@dataclass(frozen=True)
class Finding:
    """One thing that can be found on a part. `buys` is bought instead of the part; `orders` = «until settled»: ordered as if it failed."""

    id: str
    says: str
    action: str
    reason: str
    source: str
    how: str = ""
    when: Normal | None = None
    buys: str = ""
    orders: str = ""


@dataclass(frozen=True)
class Part:
    """A part with its findings, best first. `of`: side or vehicle. `comes_with`: the part it is bought in.

    `item`: its name on the parts list, `note` what to look for there, `amount` the calculator's value that says how much.
    """

    part: str
    label: str
    findings: dict[str, Finding]
    when: Normal | None = None
    of: str = "side"
    sold: str = ""
    comes_with: str = ""
    readings: tuple[str, ...] = ()
    item: str = ""
    note: str = ""
    amount: str = ""

    def present(self, layout: Mapping[str, str]) -> bool:
        """Whether this layout has the part, as far as its questions are answered."""
        return holds(self.when, layout) is not False and any(holds(f.when, layout) is not False for f in self.findings.values())


@dataclass(frozen=True)
class Rule:
    """Because of facts on one side, a part on this side, on the partner's or on both has a finding."""

    id: str
    because: Normal
    part: str
    finding: str
    over: str = "side"
    when: Normal | None = None


@dataclass(frozen=True)
class Supply:
    """What is put out or bought because of facts on one side. `per`: side or axle; `why`: what it is for."""

    id: str
    because: Normal
    item: str
    why: str
    per: str = "axle"
    note: str = ""
    amount: str = ""
    when: Normal | None = None


@dataclass(frozen=True)
class Replaced:
    """A stock rule, or the rule of a finding (part/finding), that a shop has replaced by its own, or taken away."""

    rule: str
    by: str
    why: str


@dataclass(frozen=True)
class Axis:
    """A question about the layout, its answers, and where it arises."""

    values: tuple[str, ...]
    when: Normal | None = None


@dataclass(frozen=True)
class Rules:
    """Everything a decision is taken by."""

    parts: dict[str, Part]
    rules: tuple[Rule, ...]
    axes: dict[str, Axis]
    impossible: tuple[tuple[Normal, str], ...]
    supplies: tuple[Supply, ...] = ()
    replaced: tuple[Replaced, ...] = ()

    def drawn_by_rules(self) -> set[tuple[str, str]]:
        """(part, finding) of every finding that a rule draws."""
        return {(rule.part, rule.finding) for rule in self.rules}


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """«; did you mean rotor?», or what there is."""
    known = list(known)
    near = difflib.get_close_matches(name[:60], known, 1)
    return f"; did you mean {near[0]}?" if near else f"; expected one of {', '.join(known[:12])}"


def fact_faults(because: Normal, parts: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """What is wrong with a rule's facts; `parts` = part → its findings."""
    for fact, word in values_of(because):
        words = fact_words(fact, parts)
        if words is None:
            yield f"no fact is called “{fact}”{did_you_mean(fact, [*parts, *WORDS])}"
        elif word not in words:
            yield f"{fact} is never “{word}”{did_you_mean(word, words)}"


def unsettled_facts(because: Normal, drawn: set[tuple[str, str]]) -> Iterator[str]:
    """Facts that ask for the absence of a finding which a rule may still draw: the order of the rules would matter."""
    for fact, word in values_of(because):
        part, _, finding = fact.partition("/")
        if word == NOT_FOUND and (part, finding) in drawn:
            yield f"{fact}: only a finding that no rule draws can be asked for as “{NOT_FOUND}”"


def fact_words(fact: str, parts: Mapping[str, Iterable[str]]) -> tuple[str, ...] | None:
    """The words a fact may be; None for a fact that nothing tells.

    A part: replace. part/finding: found; not found, where no rule draws it. part/looked-at: yes, no. part/work: yes
    (serviced or replaced). part/free: no (fit to work with, it is not). A calculator: a verdict; its other facts: those
    of `decision_readings.WORDS`.
    """
    part, slash, detail = fact.partition("/")
    if fact in WORDS:
        return WORDS[fact]
    if part in parts:
        if not slash:
            return (REPLACE,)
        return OF_A_PART.get(detail) or ((FOUND, NOT_FOUND) if detail in parts[part] else None)
    return CODES if not slash and _is_calculator(part) else None


def _is_calculator(name: str) -> bool:
    return name in names()


# ---- reading the JSON


def read_rules(data: Any) -> Rules:
    """The rules as types. Raises EntryError, one line with the place."""
    top = _mapping(data, "the rules", TOP_KEYS)
    parts: dict[str, Part] = {}
    for index, item in enumerate(_list(top.get("parts"), "parts")):
        part = _part(item, f"parts[{index}]")
        if part.part in parts:
            raise _fault(f"parts[{index}]", f"{part.part} stands there twice; keep one of the two")
        parts[part.part] = part
    rules = tuple(_rule(item, f"rules[{index}]", parts) for index, item in enumerate(_list(top.get("rules", []), "rules")))
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
    supplies = tuple(_supply(item, f"supplies[{index}]", parts) for index, item in enumerate(_list(top.get("supplies", []), "supplies")))
    replaced = tuple(_replaced(item, f"replaced[{index}]") for index, item in enumerate(_list(top.get("replaced", []), "replaced")))
    table = Rules(parts, rules, axes, impossible, supplies, replaced)
    drawn = table.drawn_by_rules()
    for kind, items in (("rules", rules), ("supplies", supplies)):
        for index, item in enumerate(items):
            for fault in unsettled_facts(item.because, drawn):
                raise _fault(f"{kind}[{index}].because", fault)
    return table


TOP_KEYS = ("parts", "rules", "supplies", "replaced", "axes", "impossible")
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


def _part(data: Any, place: str) -> Part:
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
        comes_with=_text(item, "comes_with", place, ""), readings=tuple(_calculators(item, place)),
        item=_text(item, "item", place, ""), note=_text(item, "note", place, ""), amount=_text(item, "amount", place, ""),
    )  # fmt: skip


def _calculators(item: Mapping[str, Any], place: str) -> Iterator[str]:
    for name in _list(item.get("readings", []), f"{place}.readings"):
        if name not in names():
            raise _fault(f"{place}.readings", f"no calculator is called “{str(name)[:60]}”{did_you_mean(str(name), names())}")
        yield name


def _finding(data: Any, place: str) -> Finding:
    item = _mapping(data, place, FINDING_KEYS)
    return Finding(
        id=_text(item, "id", place), says=_text(item, "says", place), action=_one_of(item, "action", place, ACTIONS),
        reason=_text(item, "reason", place), source=_text(item, "source", place), how=_text(item, "how", place, ""),
        when=_condition(item, "when", place), buys=_text(item, "buys", place, ""),
        orders=_one_of(item, "orders", place, ("until settled", ""), ""),
    )  # fmt: skip


def _rule(data: Any, place: str, parts: Mapping[str, Part]) -> Rule:
    item = _mapping(data, place, RULE_KEYS)
    part = _one_of(item, "part", place, tuple(parts))
    return Rule(
        id=_text(item, "id", place), because=_because(item, place, parts), part=part, finding=_one_of(item, "finding", place, tuple(parts[part].findings)),
        over=_one_of(item, "over", place, OVER, "side"), when=_condition(item, "when", place),
    )  # fmt: skip


def _because(item: Mapping[str, Any], place: str, parts: Mapping[str, Part]) -> Normal:
    because = _condition(item, "because", place)
    if because is None:
        raise _fault(place, 'because is missing; write for example "because": {"pad": "replace"}')
    for fault in fact_faults(because, {name: part.findings for name, part in parts.items()}):
        raise _fault(f"{place}.because", fault)
    return because


def _supply(data: Any, place: str, parts: Mapping[str, Part]) -> Supply:
    item = _mapping(data, place, SUPPLY_KEYS)
    return Supply(
        id=_text(item, "id", place), because=_because(item, place, parts), item=_text(item, "item", place), why=_text(item, "why", place),
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
    for name in data if keys is not None else ():
        if name not in keys:
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
