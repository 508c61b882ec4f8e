"""Cross-checks between entries: what a band on one entry alone cannot catch."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from calculators.contract.entries import Entry
from calculators.contract.errors import AmbiguousEntry, Candidate, Contradiction
from calculators.contract.judge import compare_quantities
from calculators.contract.printing import entry_text
from calculators.contract.units import Quantity

Entries = dict[str, Any]


def ask_or_note(entries: Entries, names: list[str], message: str) -> list[str]:
    """Ask about the first of these inputs whose unit was not typed; where all were typed, the message is a note.

    Typing the unit is the answer to the question, so a person is asked once. Raises AmbiguousEntry.
    """
    for name in names:
        listed = entries[name] if isinstance(entries[name], list) else [entries[name]]
        if not all(entry.unit_typed for entry in listed):
            again = "; ".join(replace(entry, unit_typed=True).again for entry in listed)
            raise AmbiguousEntry(
                f"{message}; type the unit if it is meant",
                [Candidate(again, again)],
                input=name,
                typed="; ".join(entry.typed for entry in listed),
            )
    return [f"Check the entries: {message}."]


def must_be_less(entries: Entries, name: str, words: str, than: str, than_words: str, or_equal: bool = False) -> None:
    """Refuse an entry that is not below another where both are given. Raises Contradiction."""
    if name not in entries or than not in entries:
        return
    low, high = entries[name], entries[than]
    order = compare_quantities(low.quantity, high.quantity)
    if order > 0 or order == 0 and not or_equal:
        relation = "not more than" if or_equal else "less than"
        raise Contradiction(
            f"{words} {entry_text(low)} must be {relation} {than_words} {entry_text(high)}: one of the two is wrong",
            input=name,
            typed=low.typed,
        )


def furthest(entries: list[Entry]) -> Entry:
    """The entry furthest from the middle one."""
    ordered = sorted(entries, key=lambda entry: entry.quantity)
    middle = ordered[len(ordered) // 2].quantity
    return max(entries, key=lambda entry: abs(entry.quantity - middle))


def out_of_line(entries: list[Entry]) -> Entry | None:
    """The one entry without which the rest would spread less than a fifth as far; None where there is none."""
    odd = furthest(entries)
    rest = [entry for entry in entries if entry is not odd]
    return odd if rest and spread(rest) < spread(entries) / 5 else None


def spread(entries: list[Entry]) -> Quantity:
    """Greatest less least."""
    quantities = [entry.quantity for entry in entries]
    return max(quantities) - min(quantities)
