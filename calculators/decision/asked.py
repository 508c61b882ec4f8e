"""The decision as it is called from outside: entries as JSON text or data, the packed stock rules, the answer as text."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from calculators.contract.errors import EntryError, MissingInput, UnknownInput

NAME = "wheel-end-decision"
TITLE = "Decision on a wheel end"
PURPOSE = "Decide part by part and side by side: use again, service, replace or measure again, with the reason, and list what to buy."
INPUTS = {
    "findings": "What was found, as JSON: left, right, axle, vehicle; with layout and readings, or those by themselves. On the command line @FILE.json reads a file.",
    "layout": "The layout as JSON, question to answer, where the findings do not hold it.",
    "readings": "Results of calculators as JSON, side to calculator to result, where the findings do not hold them.",
    "rules": "The rules as JSON; the stock rules where it is left out. A shop's own: python3 -m build_tools rules --shop DIR FILE.json",
}
EXAMPLE = {
    "layout": {"axle": "front", "rotor": "slip-on", "caliper": "sliding-one-piston", "slides": "bolt-into-pin"},
    "left": {"rotor": ["at-discard"], "slide-pin": ["bad"]},
    "right": {"rotor": ["sound"], "slide-pin": ["moves", {"second_look": "free"}]},
    "readings": {"left": {}, "right": {}},
}
RULES = (
    "several findings on a part: the worst wins, in the order replace, measure again, service, use again",
    "a part of this layout with no finding, or whose partner on the other side has none: measure again",
    "a reading within its limit is no objection; the others draw a finding, or count by their verdict",
    "second_look free: the work on the part is done and checked; failed: replace",
    "cannot-tell may be noted on any part: it was looked at and could not be judged, and is measured again",
    "site_data/decisions.yml holds the findings, site_data/rules.yml what one draws after it and what is put out for the work",
)
STOCK_RULES = "decision/rules.json"
MOST_CHARACTERS = 1_000_000


def run_decision(given: Mapping[str, Any]) -> dict[str, Any]:
    """Decide from the inputs of `INPUTS`, each JSON text or data. Raises EntryError, one line."""
    from calculators.decision.decide import decide

    for name in given:
        if name not in INPUTS:
            raise UnknownInput(f"{NAME} has no such input; inputs are {', '.join(INPUTS)}", input=str(name)[:60])
    findings = _read(given.get("findings"), "findings")
    if findings is None:
        raise MissingInput(f"missing; expected what was found as JSON, for example {json.dumps(EXAMPLE)}", input="findings")
    for name in ("layout", "readings"):
        said = _read(given.get(name), name)
        if said is not None and isinstance(findings, Mapping):
            if name in findings:
                raise EntryError(f"the findings hold {name} too; give it once", input=name)
            findings = {**findings, name: said}
    rules = _read(given.get("rules"), "rules")
    return decide(findings, stock_rules() if rules is None else rules)


def stock_rules() -> dict[str, Any]:
    """The rules packed beside the calculators. Raises MissingInput where they are not there."""
    from importlib.resources import files  # a page that decides nothing starts without it

    try:
        rules: dict[str, Any] = json.loads(files("calculators").joinpath(STOCK_RULES).read_text("utf-8"))
    except (OSError, ValueError):
        raise MissingInput("the stock rules are missing here; write them with: python3 -m build_tools rules", input="rules") from None
    return rules


def _read(given: Any, name: str) -> Any:
    if not isinstance(given, str):
        return given
    if not given.strip():
        return None
    if len(given) > MOST_CHARACTERS:
        raise EntryError(f"{len(given):,} characters; the most is {MOST_CHARACTERS:,}", input=name)
    try:
        return json.loads(given)
    except json.JSONDecodeError as error:
        raise EntryError(
            f"this is not JSON (line {error.lineno}, column {error.colno}: {error.msg}); expected for example {json.dumps(EXAMPLE)}",
            input=name,
        ) from None
    except (ValueError, RecursionError):
        raise EntryError("this JSON is nested too deeply or holds a number that is too long", input=name) from None


def describe_decision() -> dict[str, Any]:
    """What it asks and answers, with the keys of a calculator's description."""
    inputs: list[dict[str, Any]] = [
        {"name": name, "label": name.capitalize(), "help": text, "type": "json", "kind": "", "unit": "", "inch_unit": "", "list": False, "required": name == "findings",
         "default": None, "bands": None, "choices": [], "negative": False, "example": "@found.json", "inch_example": "@found.json"}
        for name, text in INPUTS.items()
    ]  # fmt: skip
    values = [
        {"name": name, "label": name.replace("_", " ").capitalize(), "unit": "", "list": name != "actions"}
        for name in ("actions", "parts_list", "notes")
    ]
    source = {"id": "common-practice", "title": "Each finding names its own source", "edition": "", "kind": "common practice", "place": ""}
    example = {"given": {"findings": json.dumps(EXAMPLE)}, "printed": {}, "where": "an invented axle", "system": "metric"}
    return {
        "name": NAME, "title": TITLE, "purpose": PURPOSE, "inputs": inputs, "quantities": {}, "values": values, "formula": list(RULES),
        "limits_of_model": ["The maker's instructions, local law and a qualified technician decide."], "sources": [source],
        "example": example, "cautions": [],
    }  # fmt: skip


def help_text() -> str:
    """What it asks, answers and follows, for a terminal."""
    lines = [f"{NAME}: {TITLE}", PURPOSE, "", "Inputs:", *(f"  {name}  {text}" for name, text in INPUTS.items()), ""]
    lines += [
        "Values:",
        "  actions  for each side and part: action, label, reason, source, how, findings, second_look, rule, steps, grounds",
    ]
    lines += [
        "  parts_list  for each thing to buy or put out: item, per, quantity, why, kind, amount, note, from",
        "  notes  what stands in the way of closing up, and what is open",
        "",
    ]
    lines += ["Rules:", *(f"  {rule}" for rule in RULES), ""]
    lines += ["Example of findings:", f"  {json.dumps(EXAMPLE)}", "", "Example:", f"  python -m calculators {NAME} findings=@found.json"]
    return "\n".join(lines)


def decision_text(decided: Mapping[str, Any]) -> str:
    """A decision for a terminal: worst first on each side, then what to buy, then notes. Parts decided alike share a line."""
    from calculators.decision.rules import ACTIONS

    lines: list[str] = []
    for side, parts in decided["actions"].items():
        alike: dict[tuple[str, str, str, str], list[str]] = {}
        for item in sorted(parts.values(), key=lambda item: ACTIONS.index(item["action"])):
            alike.setdefault((item["action"], item["how"], item["reason"], item["source"]), []).append(item["label"])
        lines.append(f"{side.capitalize()}:")
        for (action, how, reason, source), labels in alike.items():
            lines.append(f"  {action}: {', '.join(labels)}{f' ({how})' if how else ''}. {reason} [{source}]")
        lines.append("")
    for title, kind in (("Parts to buy:", "part"), ("Supplies to put out:", "supply")):
        listed = [entry for entry in decided["parts_list"] if entry["kind"] == kind]
        lines += [title, *(_list_line(entry) for entry in listed)] if listed else [title, "  none"]
    if decided["notes"]:
        lines += ["", "Notes:", *(f"  {note}" for note in decided["notes"])]
    return "\n".join(lines)


def _list_line(entry: Mapping[str, Any]) -> str:
    """One line of the parts list."""
    amount = f", {entry['amount']}" if entry["amount"] else ""
    note = f" [{entry['note']}]" if entry["note"] else ""
    return f"  {entry['quantity']} × {entry['item']}, by the {entry['per']}{amount}. {entry['why']}{note}"
