"""The reasons for an action on a part, and which of them decides."""

from __future__ import annotations

from dataclasses import dataclass

from calculators.decision_rules import ACTIONS


@dataclass(frozen=True)
class Ground:
    """One reason for an action. `echo`: only because the partner on the other side has it."""

    action: str
    reason: str
    source: str
    how: str = ""
    finding: str = ""
    buys: str = ""
    orders: bool = False
    echo: bool = False


def worst(grounds: list[Ground]) -> str:
    """The worst action of some grounds."""
    return min((ground.action for ground in grounds), key=ACTIONS.index)


def without_echoes(grounds: list[Ground]) -> list[Ground]:
    """The grounds that stand by themselves; all of them where none does."""
    return [ground for ground in grounds if not ground.echo] or grounds
