"""The parts list of a decision: what is bought or put out, by axle, by side or as a set, how much, and why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from calculators.decision.grounds import Ground, without_echoes
from calculators.decision.rules import REPLACE, SIDES, Part, Supply
from calculators.decision.when import holds

if TYPE_CHECKING:
    from calculators.decision.decide import Axle

PIECES = ("side", "caliper set")  # one for each side that needs it; of the others one for the axle or the vehicle


def parts_list(axle: Axle) -> list[dict[str, Any]]:
    """Entries {item, per, quantity, why, kind, amount, note, from}: parts in their order, then supplies.

    What comes inside another bought part is not named again. `from`: the decisions that an entry follows from.
    """
    listed = []
    for name, part in axle.case.parts.items():
        why = {side: _bought(axle, side, name) for side in SIDES}
        sides = [side for side in SIDES if why[side] and not _inside(axle, side, part)]
        if sides:
            listed.append(_entry(axle, name, part.item or part.label, sides, why))
        for item in dict.fromkeys(ground.buys for side in SIDES for ground in axle.grounds(side, name) if ground.buys):
            why = {side: [g for g in axle.grounds(side, name) if g.buys == item] for side in SIDES}
            at = [side for side in SIDES if why[side] and not _bought(axle, side, name)]
            if at:
                listed.append(_entry(axle, name, item, at, why))
    return listed + _supplies(axle)


def _bought(axle: Axle, side: str, name: str) -> list[Ground]:
    """The grounds for which a part is bought on one side."""
    return [g for g in axle.grounds(side, name) if g.action == REPLACE and not g.buys or g.orders]


def _inside(axle: Axle, side: str, part: Part) -> bool:
    return part.comes_with in axle.case.parts and bool(_bought(axle, side, part.comes_with))


def _entry(axle: Axle, name: str, item: str, sides: list[str], why: Mapping[str, list[Ground]]) -> dict[str, Any]:
    """One line for a part, or for what is bought in its place."""
    part = axle.case.parts[name]
    itself = item == (part.item or part.label)
    per = _per(part) if itself else "vehicle" if part.of == "vehicle" else "side"
    grouped: dict[str, list[str]] = {}
    for side in [s for s in sides if not all(ground.echo for ground in why[s])] or sides:
        reason = " ".join(dict.fromkeys(_reason(ground) for ground in without_echoes(why[side])))
        grouped.setdefault(reason, []).append(side)
    reasons = [reason if per == "vehicle" else f"{' and '.join(at)}: {reason}" for reason, at in grouped.items()]
    return {
        "item": item, "per": per, "quantity": len(sides) if per in PIECES else 1, "why": " ".join(reasons), "kind": "part",
        "amount": _amount(axle, part.amount, sides) if itself else "", "note": part.note if itself else "",
        "from": [{"side": side, "part": name, "rules": list(dict.fromkeys(rule for ground in why[side] for rule in ground.rules))} for side in sides],
    }  # fmt: skip


def _supplies(axle: Axle) -> list[dict[str, Any]]:
    """One line for each supply, whatever rules ask for it."""
    facts = {side: axle.facts(side) for side in SIDES}
    listed: dict[str, dict[str, Any]] = {}
    for supply in axle.rules.supplies:
        sides = [side for side in SIDES if holds(supply.because, facts[side]) and holds(supply.when, axle.case.layout) is not False]
        if not sides:
            continue
        entry = _supply_entry(axle, supply, sides, facts)
        if (known := listed.setdefault(supply.item, entry)) is not entry:
            known["why"] += f" {entry['why']}"
            known["from"] += entry["from"]
            known["quantity"] = max(known["quantity"], entry["quantity"])
    return list(listed.values())


def _supply_entry(axle: Axle, supply: Supply, sides: list[str], facts: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    behind = {side: axle.parts_behind(supply.because, facts[side]) for side in sides}
    return {
        "item": supply.item, "per": supply.per, "quantity": len(sides) if supply.per in PIECES else 1, "why": supply.why, "kind": "supply",
        "amount": _amount(axle, supply.amount, sides), "note": supply.note,
        "from": [{"side": side, "part": name, "rules": [supply.id]} for side in sides for name in behind[side]],
    }  # fmt: skip


def _amount(axle: Axle, amount: str, sides: list[str]) -> str:
    """How much, as the calculator said it on these sides; where nobody has computed it, that it is to be computed."""
    calculator, _, value = amount.partition("/")
    if not amount:
        return ""
    found = {side: ((axle.case.readings[side].get(calculator) or {}).get("values") or {}).get(value) or {} for side in sides}
    texts = {
        side: each["text"]
        for side, each in found.items()
        if isinstance(each, Mapping) and each.get("value") is not None and isinstance(each.get("text"), str)
    }
    if not texts:
        return f"not reckoned yet: {calculator}"
    return "at least " + (
        next(iter(texts.values())) if len(set(texts.values())) == 1 else "; ".join(f"{text} {side}" for side, text in texts.items())
    )


def _per(part: Part) -> str:
    """By what a part is bought: «by side with its race» is by side."""
    if part.of == "vehicle":
        return "vehicle"
    return next((per for per in ("axle", "caliper set", "side") if part.sold.startswith(f"by {per}")), "side")


def _reason(ground: Ground) -> str:
    if ground.orders:
        return f"{ground.reason} Until it has been measured again it is ordered as if it had failed."
    return f"{ground.reason} ({ground.how[0].upper()}{ground.how[1:]}.)" if ground.how else ground.reason
