"""Answers against what was recorded, or against the decision (rule 5): contradicted until a reason names all that asks for more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.job.handbook import Step
from calculators.job.places import LEFT, touches
from calculators.job.settled import code_of
from calculators.job.verdicts import Statement, Verdicts

Entry = Mapping[str, Any]
ACTIONS = ("use again", "service", "measure again", "replace")  # least first
MM = {"mm": 1.0, "in": 25.4, "cm": 10.0, "m": 1000.0}


@dataclass(frozen=True)
class Contradicted:
    """An answer that allows less than `by` asks for: ids of entries, or `decision`. `later`: found after the answer was given."""

    step: str
    place: str
    entry: str
    part: str
    by: tuple[str, ...]
    later: bool


def rank(action: str) -> int:
    """How much an action asks for; to machine is to service."""
    action = "service" if action == "machine" else action
    return ACTIONS.index(action) if action in ACTIONS else -1


def against(verdicts: Verdicts, step: Step, value: str, place: str, decided: Mapping[str, Mapping[str, str]]) -> dict[str, tuple[str, ...]]:
    """Part → what asks for more than an answer allows: ids of entries, the newest of its kind, and `decision`.

    `decided`: side → part → action, as it is worked out now from findings and readings alone.
    """
    found: dict[str, tuple[str, ...]] = {}
    for part, actions in step.means.get(value, {}).items():
        allowed = max((rank(action) for action in actions), default=-1)
        fresh = verdicts.replaced_at(part, place)
        named = _read_against(verdicts, part, place, fresh, allowed, actions)
        named += _said_against(verdicts, step, part, place, fresh, allowed)
        if fresh < 0 and any(rank(decided.get(side, {}).get(part, "")) > allowed for side in _sides(place)):
            named.append("decision")
        if named:
            found[part] = tuple(dict.fromkeys(named))
    return found


def contradicted(
    verdicts: Verdicts, step: Step, place: str, at: int, entry: Entry, by: Mapping[str, tuple[str, ...]]
) -> list[Contradicted]:
    """The parts for which an answer has no reason, or one that does not name all that asks for more (rule 5)."""
    typed = entry["typed"]
    reason = str(entry.get("note", "")).strip()
    named = set(map(str, typed.get("against") or ())) if reason and isinstance(typed.get("against"), list) else set()
    found = []
    for part, asking in by.items():
        missing = tuple(each for each in asking if each not in named and not (each == "decision" and named.intersection(asking)))
        if missing and entry["id"] not in verdicts.book.reasons:
            later = any(verdicts.book.lined.at.get(each, -1) > at for each in missing)
            found.append(Contradicted(step.address, place, entry["id"], part, missing, later))
    return found


def _sides(place: str) -> tuple[str, ...]:
    return ("left", "right") if place in ("front", "rear", "vehicle") else ("left",) if place in LEFT else ("right",)


def _read_against(verdicts: Verdicts, part: str, place: str, fresh: int, allowed: int, actions: Sequence[str]) -> list[str]:
    judged = verdicts.book.handbook.judged.get(part, {})
    last: dict[tuple[str, str, bool], tuple[Entry, bool]] = {}
    for at, entry, derived in verdicts.readings:
        calculator = str(entry["typed"].get("calculator"))
        if at > fresh and calculator in judged and touches(entry["place"], place):
            last[calculator, entry["place"], derived] = (entry, derived)
    readings = list(last.values())
    found = [entry["id"] for entry, derived in readings if not derived and _least(entry, judged) > allowed]
    if "machine" in actions and "replace" not in actions:
        found += [entry["id"] for entry, _ in readings if _cannot_be_cut(entry)]
    return found


def _said_against(verdicts: Verdicts, step: Step, part: str, place: str, fresh: int, allowed: int) -> list[str]:
    newest: dict[tuple[str, str], Statement] = {}
    for said in verdicts.statements(part, place):
        newest[str(said.entry.get("step")), said.entry["place"]] = said
    return [
        said.entry["id"]
        for said in newest.values()
        if said.at > fresh
        and said.source != "answer"
        and verdicts.book.handbook.address_of(said.entry["step"]) != step.address
        and max(map(rank, said.actions)) > allowed
    ]


def _least(entry: Entry, judged: Mapping[str, Mapping[str, str]]) -> int:
    """What a reading asks for at least."""
    code, of = code_of(entry), judged.get(str(entry["typed"].get("calculator")), {})
    decided = entry["understood"].get("decided")
    listed = (
        [of.get(f"{code} {each.get('quantity')}") for each in decided if isinstance(each, Mapping)] if isinstance(decided, list) else []
    )
    return max((rank(action) for action in (of.get(code), *listed) if action), default=-1)


def _cannot_be_cut(entry: Entry) -> bool:
    """Whether a reading leaves no metal to cut: under the machine-to thickness as it is, or after the cut."""
    values, inputs = (entry["understood"].get(name) for name in ("values", "inputs"))
    values = values if isinstance(values, Mapping) else {}
    may = values.get("may_be_machined")
    if isinstance(may, Mapping) and may.get("value") is False:
        return True
    thinnest = _in_mm(values.get("thinnest"))
    limit = _in_mm(inputs.get("machine_to") if isinstance(inputs, Mapping) else None)
    return thinnest is not None and limit is not None and thinnest <= limit


def _in_mm(said: object) -> float | None:
    if not isinstance(said, Mapping):
        return None
    value, factor = said.get("value"), MM.get(str(said.get("unit")))
    return value * factor if isinstance(value, (int, float)) and not isinstance(value, bool) and factor else None
