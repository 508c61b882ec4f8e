"""The rules of the decision as JSON: what calculators/decision.py works by, for the command line and for the page.

The stock rules lie beside the calculators, so that a decision needs no build; `write` brings that file up to date.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from build_tools.content import glossary
from build_tools.content.handbook import Handbook
from build_tools.content.model import Axis, DecisionRule, Finding, PartFindings, SourceRef
from build_tools.content.problems import Fault, Problem, unknown
from build_tools.paths import PROJECT
from calculators.decision.rules import ACTIONS, RESERVED, fact_faults, replaced_by_the_shop, unknown_facts

_ABOUT_THE_RULE = {"supply", "amount", "replaces", "action", "how", "why"}
STOCK = PROJECT / "calculators" / "decision" / "rules.json"


def export(handbook: Handbook) -> dict[str, Any]:
    """The rules as `calculators.decision.decide.decide` takes them, a shop's in place of those it replaces."""
    replaced = _replaced(handbook)
    findings = own_findings(handbook)
    rules = [rule for rule in handbook.rules.values() if rule.id not in replaced and rule.because]
    calculators = [name for name in handbook.catalogue if ("calculators", name) in handbook.from_shop]
    return {
        "parts": [_part(handbook, part, replaced) for part in findings.values()],
        "rules": [rule.model_dump(mode="json", exclude_none=True, exclude=_ABOUT_THE_RULE) for rule in rules if rule.part],
        "supplies": [_supply(handbook, rule, rule.supply) for rule in rules if rule.supply],
        "replaced": [{"rule": stock, "by": rule.id, "why": rule.why} for stock, rule in replaced.items()],
        "axes": {axis.id: _axis(axis) for axis in handbook.axes.values()},
        "impossible": [{"when": item.when, "say": item.say} for item in handbook.impossible],
        **({"calculators": calculators} if calculators else {}),  # which need not be installed where the rules are read
    }


def own_findings(handbook: Handbook) -> dict[str, PartFindings]:
    """The findings of every part, with the stricter actions that a shop has set, each with the shop's reason."""
    replaced = _replaced(handbook)
    return {
        name: part.model_copy(update={"findings": [_own(finding, replaced.get(f"{name}/{finding.id}")) for finding in part.findings]})
        for name, part in handbook.findings.items()
    }


def _replaced(handbook: Handbook) -> dict[str, DecisionRule]:
    return {rule.replaces: rule for rule in handbook.rules.values() if rule.replaces}


def _own(finding: Finding, rule: DecisionRule | None) -> Finding:
    if rule is None or not (rule.replaces and rule.why):  # whatever replaces a rule says why
        return finding
    said = f" {replaced_by_the_shop(rule.replaces, rule.why)}"
    if finding.reason.endswith(said):  # taken over before
        return finding
    return finding.model_copy(update={"action": rule.action, "how": rule.how, "reason": finding.reason + said})


def as_json(handbook: Handbook) -> str:
    """The rules as text: one line for a finding or a rule, so that a change shows as the line it is."""
    data = export(handbook)
    lines = ["{", '"parts": [']
    for part in data["parts"]:
        findings = ",\n".join("  " + _line(finding) for finding in part.pop("findings"))
        lines.append(f'{_line(part)[:-1]}, "findings": [\n{findings}\n]}},')
    lines[-1] = lines[-1].rstrip(",")
    for kind in ("rules", "supplies", "replaced"):
        lines += ["],", f'"{kind}": [', ",\n".join(map(_line, data[kind]))]
    lines.append("],")
    lines += ['"axes": {', ",\n".join(f"{_line(name)}: {_line(axis)}" for name, axis in data["axes"].items()), "},"]
    lines += [",\n".join(f'"{name}": {_line(data[name])}' for name in ("impossible", "calculators") if name in data), "}"]
    return "\n".join(lines) + "\n"


def write(handbook: Handbook, path: Path = STOCK) -> bool:
    """Write the rules where they have changed; whether they had."""
    if is_up_to_date(handbook, path):
        return False
    path.write_text(as_json(handbook), encoding="utf-8", newline="\n")
    return True


def is_up_to_date(handbook: Handbook, path: Path = STOCK) -> bool:
    """Whether the file holds these rules."""
    return path.is_file() and path.read_text("utf-8") == as_json(handbook)


def _line(data: object) -> str:
    return json.dumps(data, ensure_ascii=False)


def _axis(axis: Axis) -> dict[str, Any]:
    values = {"values": [value.id for value in axis.values]}
    return values if axis.when is None else {"when": axis.when} | values


def _part(handbook: Handbook, part: PartFindings, replaced: dict[str, DecisionRule]) -> dict[str, Any]:
    component = handbook.components[part.part]
    item = part.model_dump(mode="json", exclude_none=True, exclude_defaults=True, exclude={"findings", "bought_as"})
    item |= {"label": component.label}
    bought = handbook.components[part.bought_as] if part.bought_as else component
    said = {"item": bought.label if part.bought_as else None, "note": bought.note, "when": component.when, "sold": component.sold}
    item |= {key: value for key, value in said.items() if value}
    return item | {"findings": [_finding(handbook, finding, f"{part.part}/{finding.id}" in replaced) for finding in part.findings]}


def _finding(handbook: Handbook, finding: Finding, own: bool) -> dict[str, Any]:
    said = finding.model_dump(mode="json", exclude_none=True, exclude={"sources", "drawn"})
    return said | {"source": "; ".join([*(_source(handbook, ref) for ref in finding.sources), *(["rule of the shop"] if own else [])])}


def _supply(handbook: Handbook, rule: DecisionRule, supply: str) -> dict[str, Any]:
    component = handbook.components[supply]
    said = {
        "id": rule.id,
        "when": rule.when,
        "because": rule.because,
        "item": component.label,
        "note": component.note,
        "per": rule.over,
        "amount": rule.amount,
        "why": rule.why,
    }
    return {key: value for key, value in said.items() if value}


def _source(handbook: Handbook, ref: SourceRef) -> str:
    source = handbook.sources[ref.source]
    if source.kind != "published":
        return {"memory": "from memory"}.get(source.kind, source.kind)
    return ", ".join(filter(None, (source.title, ref.at)))


# ---- what a reading asks of a part at least ----------------------------------------------------------------------

_AT_LEAST = {"adjust": "service", "too-close": "measure again", "cannot-tell": "measure again", "beyond": "service"}
_WORN = "thinnest"  # the value behind the fact `thickness` (calculators/decision/readings.py)


def least_actions(handbook: Handbook, part: str) -> dict[str, dict[str, str]]:
    """Calculator → verdict → the least that is done with the part: what an answer in the page is held against.

    By the rules that look at nothing but that reading. A verdict beyond a limit asks for work at least; `beyond thinnest`
    is the limit of wear itself, where the calculator judges another quantity as well.
    """
    findings = {finding.id: finding.action for finding in handbook.findings[part].findings}
    found: dict[str, dict[str, str]] = {}
    for calculator in handbook.findings[part].readings:
        least = dict(_AT_LEAST)
        for rule in handbook.rules.values():
            if not rule.finding or rule.part != part or rule.over != "side" or rule.when is not None:
                continue
            for because in rule.because or []:
                if because == {f"{calculator}/thickness": ["at the limit"]}:
                    least[f"beyond {_WORN}"] = findings[rule.finding]
                elif list(because) == [calculator]:
                    least |= dict.fromkeys(because[calculator], findings[rule.finding])
        found[calculator] = least
    return found


# ---- what check says about decisions.yml and rules.yml ----------------------------------------------------------


def problems(handbook: Handbook) -> Iterator[Problem]:
    """Names that lead nowhere, findings without their part, and rules that no layout can use."""
    for name, part in handbook.findings.items():
        if name not in handbook.components:
            yield handbook.problem(
                "findings",
                name,
                ("part",),
                *unknown("N103", name, "component", handbook.components, glossary.meant(handbook, name, handbook.components)),
            )
        if part.comes_with and part.comes_with not in handbook.findings:
            yield handbook.problem(
                "findings",
                name,
                ("comes_with",),
                *unknown(
                    "N113",
                    part.comes_with,
                    "part with findings",
                    handbook.findings,
                    glossary.meant(handbook, part.comes_with, handbook.findings),
                ),
            )
        if part.bought_as and part.bought_as not in handbook.components:
            yield handbook.problem(
                "findings",
                name,
                ("bought_as",),
                *unknown(
                    "N103", part.bought_as, "component", handbook.components, glossary.meant(handbook, part.bought_as, handbook.components)
                ),
            )
        yield from _amount_problems(handbook, "findings", name, part.amount)
        for index, calculator in enumerate(part.readings):
            if calculator not in handbook.catalogue:
                fault = unknown("N111", calculator, "calculator", handbook.catalogue)
                yield handbook.problem("findings", name, ("readings", index), *fault)
        ids = [finding.id for finding in part.findings]
        for index, marked in enumerate(ids):
            if marked in RESERVED:
                yield handbook.problem(
                    "findings",
                    name,
                    ("findings", index, "id"),
                    "D101",
                    f"'{marked}' has its own meaning in the rules; choose another id.",
                    "",
                    "",
                    "",
                    f"own-{marked}",
                )
            if marked in ids[:index]:
                yield handbook.problem(
                    "findings",
                    name,
                    ("findings", index, "id"),
                    "D102",
                    f"'{marked}' stands here twice; a finding has one action.",
                    "",
                    "",
                    "",
                    f"own-{marked}",
                )
    ruled = {(rule.part, rule.finding) for rule in handbook.rules.values()}
    for name, part in handbook.findings.items():
        for index, finding in enumerate(part.findings):
            if finding.drawn and (name, finding.id) not in ruled:
                yield handbook.problem(
                    "findings",
                    name,
                    ("findings", index, "drawn"),
                    "D103",
                    f"No rule draws '{finding.id}'; write one in rules.yml, or take this entry out so that it can be marked.",
                    "{id: ours, because: {caliper: replace}, part: caliper, finding: partner-new, over: partner}",
                )
    replaced: dict[str, str] = {}
    for name, rule in handbook.rules.items():
        yield from _rule_problems(handbook, name, rule)
        if rule.replaces:
            yield from _replacement_problems(handbook, name, rule, rule.replaces, replaced)
            replaced[rule.replaces] = name


def _rule_problems(handbook: Handbook, name: str, rule: DecisionRule) -> Iterator[Problem]:
    parts = {part: [finding.id for finding in item.findings] for part, item in handbook.findings.items()}
    if rule.part and rule.part not in parts:
        yield handbook.problem(
            "rules", name, ("part",), *unknown("N113", rule.part, "part with findings", parts, glossary.meant(handbook, rule.part, parts))
        )
    elif rule.part and rule.finding and rule.finding not in parts[rule.part]:
        yield handbook.problem("rules", name, ("finding",), *unknown("N120", rule.finding, f"finding of {rule.part}", parts[rule.part]))
    if rule.supply and rule.supply not in handbook.components:
        yield handbook.problem(
            "rules",
            name,
            ("supply",),
            *unknown("N103", rule.supply, "component", handbook.components, glossary.meant(handbook, rule.supply, handbook.components)),
        )
    yield from _amount_problems(handbook, "rules", name, rule.amount)
    drawn = {(other.part, other.finding) for other in handbook.rules.values() if other.part and other.finding}
    for fault in [*fact_faults(rule.because or [], parts, handbook.catalogue), *unknown_facts(rule.because or [], drawn)]:
        yield handbook.problem(
            "rules",
            name,
            ("because",),
            "D108",
            f"{fault[:1].upper()}{fault[1:]}".rstrip("?.") + ("?" if fault.endswith("?") else "."),
            "because: {pad: replace}",
        )


def _amount_problems(handbook: Handbook, kind: str, name: str, amount: str | None) -> Iterator[Problem]:
    """A calculator's value that does not exist."""
    calculator, _, value = (amount or "").partition("/")
    if amount and calculator not in handbook.catalogue:
        fault = unknown("N111", calculator, "calculator", handbook.catalogue)
        yield handbook.problem(kind, name, ("amount",), *_in_amount(fault, "{}/" + value))
    elif amount:
        values = [item["name"] for item in handbook.catalogue[calculator].describe()["values"]]
        if value not in values:
            yield handbook.problem(
                kind, name, ("amount",), *_in_amount(unknown("N117", value, f"value of {calculator}", values), calculator + "/{}")
            )


def _in_amount(fault: Fault, amount: str) -> Fault:
    """The place holds more than the name: what may stand there is the whole of it."""
    return fault._replace(fits=amount.format(fault.near) if fault.near else "")


def _replacement_problems(handbook: Handbook, name: str, rule: DecisionRule, target: str, replaced: dict[str, str]) -> Iterator[Problem]:
    """A shop replaces a rule of the handbook, once; of a finding's action it may ask for more, never for less."""
    stock = {key for key in handbook.rules if ("rules", key) not in handbook.from_shop}
    findings = {
        f"{part}/{finding.id}": finding
        for part, item in handbook.findings.items()
        if ("findings", part) not in handbook.from_shop
        for finding in item.findings
    }
    if ("rules", name) not in handbook.from_shop:
        yield handbook.problem("rules", name, ("replaces",), "D105", "Only a shop replaces a rule; change the rule of the handbook itself.")
    elif target not in stock and target not in findings:
        yield handbook.problem("rules", name, ("replaces",), *unknown("N116", target, "rule of the handbook", [*stock, *findings]))
    elif target in replaced:
        yield handbook.problem(
            "rules",
            name,
            ("replaces",),
            "D106",
            f"'{target}' is replaced by '{replaced[target]}' already; keep one of the two.",
        )
    elif target in findings and ACTIONS.index(rule.action) > ACTIONS.index(findings[target].action):
        yield handbook.problem(
            "rules",
            name,
            ("action",),
            "D107",
            f"A shop may be stricter than the handbook, never laxer: it says '{findings[target].action}' here.",
            f"action: {findings[target].action}",
        )
