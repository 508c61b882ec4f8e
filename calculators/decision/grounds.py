"""The reasons for an action on a part, and which of them decides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calculators.decision.rules import ACTIONS


@dataclass(frozen=True)
class Ground:
    """One reason for an action. `echo`: only because the partner on the other side has it.

    `rules`: what led to it, by stable ids: part/finding for what was marked, a rule's id for what it drew; `steps`: the
    steps at which it was found or read.
    """

    action: str
    reason: str
    source: str
    how: str = ""
    finding: str = ""
    buys: str = ""
    orders: bool = False
    echo: bool = False
    rules: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """One reason, for whoever wants to see all of them."""
        return {
            "action": self.action,
            "finding": self.finding,
            "reason": self.reason,
            "how": self.how,
            "source": self.source,
            "rules": list(self.rules),
            "steps": list(self.steps),
        }


def worst(grounds: list[Ground]) -> str:
    """The worst action of some grounds."""
    return min((ground.action for ground in grounds), key=ACTIONS.index)


def without_echoes(grounds: list[Ground]) -> list[Ground]:
    """The grounds that stand by themselves; all of them where none does."""
    return [ground for ground in grounds if not ground.echo] or grounds
