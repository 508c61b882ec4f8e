"""The parts list of a decision: what is bought, by axle, by side or as a set, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from calculators.decision_grounds import Ground, without_echoes
from calculators.decision_rules import REPLACE, SIDES, Part

if TYPE_CHECKING:
    from calculators.decision import Axle


def parts_list(axle: Axle) -> list[dict[str, Any]]:
    """Entries {item, per, quantity, why} in the order of the parts. What comes inside another bought part is not named again."""
    listed = []
    for name, part in axle.case.parts.items():
        sides = [side for side in SIDES if _bought(axle, side, name) and not _inside(axle, side, part)]
        if sides:
            listed.append(_entry(part.label, part, sides, {side: _bought(axle, side, name) for side in sides}))
        extras = dict.fromkeys(ground.buys for side in SIDES for ground in axle.grounds(side, name) if ground.buys)
        for item in extras:
            why = {side: [g for g in axle.grounds(side, name) if g.buys == item] for side in SIDES}
            at = [side for side in SIDES if why[side] and not _bought(axle, side, name)]
            if at:
                listed.append(_entry(item, part, at, why, per="vehicle" if part.of == "vehicle" else "side"))
    return listed


def _bought(axle: Axle, side: str, name: str) -> list[Ground]:
    """The grounds for which a part is bought on one side."""
    return [g for g in axle.grounds(side, name) if g.action == REPLACE and not g.buys or g.orders]


def _inside(axle: Axle, side: str, part: Part) -> bool:
    return part.comes_with in axle.case.parts and bool(_bought(axle, side, part.comes_with))


def _entry(item: str, part: Part, sides: list[str], why: dict[str, list[Ground]], per: str = "") -> dict[str, Any]:
    per = per or _per(part)
    grouped: dict[str, list[str]] = {}
    for side in [s for s in sides if not all(ground.echo for ground in why[s])] or sides:
        reason = " ".join(dict.fromkeys(_reason(ground) for ground in without_echoes(why[side])))
        grouped.setdefault(reason, []).append(side)
    reasons = [reason if per == "vehicle" else f"{' and '.join(at)}: {reason}" for reason, at in grouped.items()]
    return {"item": item, "per": per, "quantity": len(sides) if per in ("side", "caliper set") else 1, "why": " ".join(reasons)}


def _per(part: Part) -> str:
    """By what a part is bought: «by side with its race» is by side."""
    if part.of == "vehicle":
        return "vehicle"
    return next((per for per in ("axle", "caliper set", "side") if part.sold.startswith(f"by {per}")), "side")


def _reason(ground: Ground) -> str:
    if ground.orders:
        return f"{ground.reason} Until it has been measured again it is ordered as if it had failed."
    return f"{ground.reason} ({ground.how[0].upper()}{ground.how[1:]}.)" if ground.how else ground.reason
