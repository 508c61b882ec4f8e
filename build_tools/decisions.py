"""The rules of the decision as JSON: what calculators/decision.py works by, for the command line and for the page.

The stock rules lie beside the calculators, so that a decision needs no build; `write` brings that file up to date.
"""
from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from build_tools.load import Handbook
from build_tools.model import Axis, SourceRef
from build_tools.problems import Problem, did_you_mean, unknown
from calculators import catalogue
from calculators.decision_rules import fact_faults

STOCK = Path(__file__).resolve().parent.parent / "calculators" / "decision_rules.json"


def export(handbook: Handbook) -> dict:
    """The rules as `calculators.decision.decide` takes them."""
    return {
        "parts": [_part(handbook, name) for name in handbook.findings],
        "rules": [rule.model_dump(mode="json", exclude_none=True) for rule in handbook.rules.values()],
        "axes": {axis.id: _axis(axis) for axis in handbook.axes.values()},
        "impossible": [{"when": item.when, "say": item.say} for item in handbook.impossible],
    }


def as_json(handbook: Handbook) -> str:
    """The rules as text: one line for a finding or a rule, so that a change shows as the line it is."""
    data = export(handbook)
    lines = ["{", '"parts": [']
    for part in data["parts"]:
        findings = ",\n".join("  " + _line(finding) for finding in part.pop("findings"))
        lines.append(f'{_line(part)[:-1]}, "findings": [\n{findings}\n]}},')
    lines[-1] = lines[-1].rstrip(",")
    lines += ["],", '"rules": [', ",\n".join(map(_line, data["rules"])), "],"]
    lines += ['"axes": {', ",\n".join(f"{_line(name)}: {_line(axis)}" for name, axis in data["axes"].items()), "},"]
    lines += [f'"impossible": {_line(data["impossible"])}', "}"]
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


def _axis(axis: Axis) -> dict:
    values = {"values": [value.id for value in axis.values]}
    return values if axis.when is None else {"when": axis.when} | values


def _part(handbook: Handbook, name: str) -> dict:
    item = handbook.findings[name].model_dump(mode="json", exclude_none=True, exclude_defaults=True, exclude={"findings"})
    component = handbook.components[name]
    item |= {"label": component.label}
    item |= {key: value for key, value in (("when", component.when), ("sold", component.sold)) if value}
    findings = []
    for finding in handbook.findings[name].findings:
        said = finding.model_dump(mode="json", exclude_none=True, exclude={"sources", "drawn"})
        findings.append(said | {"source": "; ".join(_source(handbook, ref) for ref in finding.sources)})
    return item | {"findings": findings}


def _source(handbook: Handbook, ref: SourceRef) -> str:
    source = handbook.sources[ref.source]
    if source.kind != "published":
        return {"memory": "from memory"}.get(source.kind, source.kind)
    return ", ".join(filter(None, (source.title, ref.at)))


# ---- what check says about decisions.yml and rules.yml ----------------------------------------------------------

def problems(handbook: Handbook) -> Iterator[Problem]:
    """Names that lead nowhere, findings without their part, and rules that no layout can use."""
    for name, part in handbook.findings.items():
        if name not in handbook.components:
            yield handbook.problem("findings", name, ("part",), unknown(name, "component", handbook.components)[0])
        if part.comes_with and part.comes_with not in handbook.findings:
            yield handbook.problem("findings", name, ("comes_with",), unknown(part.comes_with, "part with findings", handbook.findings)[0])
        for index, calculator in enumerate(part.readings):
            if calculator not in catalogue():
                yield handbook.problem("findings", name, ("readings", index), unknown(calculator, "calculator", catalogue())[0])
        ids = [finding.id for finding in part.findings]
        for index, finding in enumerate(ids):
            if finding in ids[:index]:
                yield handbook.problem("findings", name, ("findings", index, "id"), f"{finding!r} stands there twice; a finding has one action")
    ruled = {(rule.part, rule.finding) for rule in handbook.rules.values()}
    for name, part in handbook.findings.items():
        for index, finding in enumerate(part.findings):
            if finding.drawn and (name, finding.id) not in ruled:
                yield handbook.problem("findings", name, ("findings", index, "drawn"), f"no rule draws {finding.id!r}; write one in rules.yml, or let it be marked")
    for name, rule in handbook.rules.items():
        yield from _rule_problems(handbook, name, rule)


def _rule_problems(handbook: Handbook, name: str, rule) -> Iterator[Problem]:
    parts = {part: [finding.id for finding in item.findings] for part, item in handbook.findings.items()}
    if rule.part not in parts:
        yield handbook.problem("rules", name, ("part",), unknown(rule.part, "part with findings", parts)[0])
    elif rule.finding not in parts[rule.part]:
        yield handbook.problem("rules", name, ("finding",), f"{rule.part} has no finding {rule.finding!r}.{did_you_mean(rule.finding, parts[rule.part])}")
    for fault in fact_faults(rule.because, parts):
        yield handbook.problem("rules", name, ("because",), f"{fault}.", "because: {pad: replace}")
