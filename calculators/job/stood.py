"""Where the work stood: an interruption, and the questions that are asked after one (rule 16)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.job.effects import Left
from calculators.job.entries import Lined, instant
from calculators.job.work import Work

Entry = Mapping[str, Any]
LONG = 2 * 3600  # seconds without an entry
LAST = 3  # steps that were settled last
WORK = ("done", "result", "torque", "finding", "text", "override")


@dataclass(frozen=True)
class Interruption:
    """A mark “called away”, or two hours without an entry, that nobody came back from. `at`: the last entry before it."""

    at: int
    entry: str
    away: bool


@dataclass(frozen=True)
class Question:
    """One thing to be looked at on the vehicle: a step settled last (`about`: done), or what is left over (`about`: its list)."""

    about: str
    name: str
    step: str
    place: str
    entry: str


def interruption(lined: Lined, now: str) -> Interruption | None:
    """The last interruption that neither “back” nor a completion ended."""
    standing = lined.standing
    until = instant(now, float("inf"))
    for at in range(len(standing) - 1, -1, -1):
        entry = standing[at]
        if entry["kind"] == "complete" and at == len(standing) - 1:
            return None
        away = entry["kind"] == "called-away"
        if away or until - lined.times[entry["id"]] >= LONG:
            return Interruption(at, entry["id"], away)
        if entry["kind"] in ("back", "complete"):
            return None
        until = lined.times[entry["id"]]
    return None


def questions(standing: Sequence[Entry], works: Sequence[Work], left: Sequence[Left]) -> list[Question]:
    """The same after a call and after a long time: the last three places that were settled, and all that is left over."""
    found: list[Question] = []
    for entry in reversed(standing):
        if len(found) == LAST:
            break
        if entry["kind"] in WORK and entry.get("place") and not entry["typed"].get("note"):
            address = _settled_here(works, entry)
            if address and (address, entry["place"]) not in {(each.step, each.place) for each in found}:
                found.append(Question("done", "", address, entry["place"], entry["id"]))
    return found + [Question(each.kind, each.name, each.step, each.place, standing[each.at]["id"]) for each in left]


def _settled_here(works: Sequence[Work], entry: Entry) -> str:
    for work in works:
        address = work.book.handbook.address_of(entry["step"])
        number = work.page.at.get(address)
        if number is not None and work.settled((number, entry["place"]), True):
            return address
    return ""
