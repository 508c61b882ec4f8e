"""What a step means for the work, apart from its wording: where it counts, what it asks, does, waits for and leads to.

`site_data/earlier/steps-0.1.0.json` keeps each step's hash of that version with its meaning, so that the record of an
older handbook and a shop's `made_for` can be recognized by what the step does, whatever words it has today.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from build_tools.content.model import Outcome, Step
from build_tools.paths import PROJECT

EARLIER = PROJECT / "site_data" / "earlier"


def meaning(step: Step) -> dict[str, Any]:
    """The step as plain data without a sentence in it: cautions, outcomes and choices by id. What is empty is left out."""
    told = {
        "for": step.for_,
        "when": step.when,
        "critical": step.critical,
        "second_look": step.second_look,
        "enter": _entry(step),
        "show": step.show,
        "torque": step.torque.model_dump(by_alias=True, exclude_none=True) if step.torque else None,
        "if_not": {code: _way(outcome) for code, outcome in step.if_not.items()},
        "otherwise": {code: _way(outcome) for code, outcome in step.otherwise.items()},
        "hold": step.hold.until if step.hold else [],
        "timer": step.timer,
        "cautions": step.cautions,
        "checks_free": step.checks_free,
        "always_new": step.always_new,
        **step.effects,
        "presses": step.presses,
    }
    return {name: value for name, value in told.items() if value}


def _entry(step: Step) -> dict[str, Any] | None:
    if step.enter is None:
        return None
    asked = step.enter.model_dump(exclude_defaults=True, exclude={"means", "of"})  # what others draw from the entry, not what is entered
    if step.enter.choice:
        asked["choice"] = sorted(step.enter.choice)
    if step.enter.text:
        asked["text"] = True
    return asked


def _way(outcome: Outcome) -> str:
    return f"go {outcome.go}{' and back' if outcome.back else ''}" if outcome.go else "again" if outcome.again else "stop"


def hash_before(step: Step, address: str, earlier: Mapping[str, Mapping[str, Any]]) -> str:
    """The hash of a step of version 0.1.0 that asks for the same work; empty where it is today's, or was another's.

    `earlier`: the steps of that version. What counted for the whole vehicle then and counts for an axle or its lift now is
    the same work at a narrower place: docs/scripts/state/steps.js gives such an entry to the axle of its job.
    """
    then = earlier.get(address)
    if not then or then["hash"] == step.hash:
        return ""
    now = json.loads(json.dumps(meaning(step)))
    if then["meaning"].get("for") == "vehicle" and step.for_ in ("axle", "lift"):
        now["for"] = "vehicle"
    known: str = then["hash"]
    return known if now == then["meaning"] else ""


def earlier(version: str) -> dict[str, dict[str, Any]]:
    """Address → `{hash, was, meaning}` of every step of the stock handbook in that version."""
    known: dict[str, dict[str, Any]] = json.loads((EARLIER / f"steps-{version}.json").read_text("utf-8"))
    return known
