"""A job's entries in their order (rules 1, 9, 14): which still stand, in which order, and which were made side by side."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

Entry = Mapping[str, Any]
SIGNATURES = ("done", "result", "torque", "finding", "text", "not-applicable", "override")
AFTER_INTERRUPTION = "after an interruption"  # a look that says the work still stands so, and is no second look


@dataclass(frozen=True)
class Lined:
    """The entries that stand, in order; `at`: id → place in it; `follows`: id → the standing entry it was made after, or None."""

    standing: tuple[Entry, ...]
    at: Mapping[str, int]
    follows: Mapping[str, str | None]
    times: Mapping[str, float]  # of every entry, as instants

    def is_after(self, later: str, earlier: str) -> bool:
        """Whether one entry was made knowing the other: it follows it along the chain."""
        at: str | None = later
        while at is not None:
            at = self.follows.get(at)
            if at == earlier:
                return True
        return False

    @property
    def has_forks(self) -> bool:
        """Whether two entries follow the same one, as when two tabs or two machines went on from there."""
        known = [before for before in self.follows.values() if before is not None]
        return len(known) != len(set(known))


def instant(time: object, latest: float) -> float:
    """A time with its offset as seconds; a future one, or one that cannot be read, counts as now (rule 1)."""
    try:
        read = datetime.fromisoformat(str(time))
        seconds = read.timestamp() if read.tzinfo else read.replace(tzinfo=UTC).timestamp()
        return seconds if seconds < latest else latest
    except (ValueError, OverflowError):
        return latest


def line_up(entries: Sequence[Entry], now: str) -> Lined:
    """The standing entries in their order: the chain of `typed.after`, else by time, then by their order in the file (rule 1)."""
    unique = list({entry["id"]: entry for entry in entries}.values())
    latest = instant(now, float("inf"))
    times = {entry["id"]: instant(entry["time"], latest) for entry in unique}
    gone = _withdrawn(unique, times)
    corrected = _corrected([entry for entry in unique if entry["id"] not in gone])
    before = _followed(unique)
    stands = {entry["id"] for entry in unique if entry["id"] not in gone and entry["kind"] != "withdrawn"}
    follows = {entry["id"]: _standing_before(entry["id"], before, stands) for entry in unique if entry["id"] in stands}
    ordered = _ordered([entry for entry in unique if entry["id"] in stands], follows, times)
    ordered, follows = _in_old_places(ordered, follows, corrected)
    return Lined(tuple(ordered), {entry["id"]: at for at, entry in enumerate(ordered)}, follows, times)


def withdrawn_by(entry: Entry) -> tuple[str, ...]:
    """The entries that a withdrawal takes back: one, or all lines of a card (rule 9)."""
    typed = entry["typed"]
    named = [typed.get("withdraws"), *(typed.get("lines") or () if isinstance(typed.get("lines"), list) else ())]
    return tuple(each for each in named if isinstance(each, str))


def _withdrawn(entries: Sequence[Entry], times: Mapping[str, float]) -> set[str]:
    """What was taken back. A withdrawal that was itself taken back later takes nothing back."""
    withdrawals = [entry for entry in entries if entry["kind"] == "withdrawn"]
    if not withdrawals:
        return set()
    ordered = _ordered(entries, _followed(entries), times)
    gone: set[str] = set()
    for entry in reversed(ordered):
        if entry["kind"] == "withdrawn" and entry["id"] not in gone:
            gone.update(withdrawn_by(entry))
    return gone


def _followed(entries: Iterable[Entry]) -> dict[str, str | None]:
    """Entry → the one it names in `typed.after`, where that is known and the chain has a beginning."""
    listed = list(entries)
    known = {entry["id"] for entry in listed}
    named: dict[str, str | None] = {}
    for entry in listed:
        after = entry["typed"].get("after")
        named[entry["id"]] = after if isinstance(after, str) and after in known and after != entry["id"] else None
    sound: set[str] = set()
    for each in known:
        trail: dict[str, None] = {}
        at: str | None = each
        while at is not None and at not in sound and at not in trail:
            trail[at] = None
            at = named[at]
        if at is not None and at in trail:  # a circle: nobody can have written that
            named[at] = None
        sound.update(trail)
    return named


def _standing_before(entry: str, before: Mapping[str, str | None], stands: set[str]) -> str | None:
    at = before[entry]
    while at is not None and at not in stands:
        at = before[at]
    return at


def _ordered(entries: Sequence[Entry], follows: Mapping[str, str | None], times: Mapping[str, float]) -> list[Entry]:
    """After what each follows, and among those that are free by time and then as they stand in the file."""
    position = {entry["id"]: number for number, entry in enumerate(entries)}
    next_to: dict[str | None, list[int]] = {}
    for number, entry in enumerate(entries):
        before = follows[entry["id"]]
        next_to.setdefault(before if before in position else None, []).append(number)
    free: list[tuple[float, int]] = []

    def release(before: str | None, since: float) -> None:
        for number in next_to.get(before, ()):
            heapq.heappush(free, (max(since, times[entries[number]["id"]]), number))

    release(None, float("-inf"))
    found: list[Entry] = []
    while free:
        time, number = heapq.heappop(free)
        found.append(entries[number])
        release(entries[number]["id"], time)
    return found


def signature(entry: Entry) -> tuple[object, ...]:
    """What an entry says of its step, without its figures: two that differ here cannot both hold."""
    typed, verdict = entry["typed"], entry.get("verdict") or {}
    findings = typed.get("findings")
    said = tuple(sorted(map(str, findings))) if isinstance(findings, list) else ()
    return (entry["kind"], verdict.get("code"), typed.get("outcome"), typed.get("choice"), typed.get("calculator"), typed.get("part"), said)


def _corrected(entries: Sequence[Entry]) -> dict[str, str]:
    """Correction → the entry whose old place it takes: a typing slip, with no effect changed (rule 9)."""
    known = {entry["id"]: entry for entry in entries}
    found: dict[str, str] = {}
    for entry in entries:
        old = known.get(str(entry["typed"].get("corrects", "")))
        same = old is not None and old is not entry and all(old.get(key) == entry.get(key) for key in ("step", "place", "procedure"))
        if old is not None and same and signature(old) == signature(entry):
            found[entry["id"]] = old["id"]
    return found


def _in_old_places(
    ordered: list[Entry], follows: dict[str, str | None], corrected: Mapping[str, str]
) -> tuple[list[Entry], dict[str, str | None]]:
    """Each correction stands where the entry stood that it corrects; of several corrections of one entry the last."""
    for new, old in sorted(corrected.items(), key=lambda pair: [entry["id"] for entry in ordered].index(pair[0])):
        ids = [entry["id"] for entry in ordered]
        old = next((other for other, was in corrected.items() if was == old and other in ids and other != new), old)
        if old not in ids or ids.index(old) > ids.index(new):
            continue
        kept = next(entry for entry in ordered if entry["id"] == new)
        ordered = [kept if entry["id"] == old else entry for entry in ordered if entry["id"] != new]
        before = follows.pop(new)
        follows = {key: (before if value == new else value) for key, value in follows.items()}
        follows[new] = follows.pop(old)
        follows = {key: (new if value == old else value) for key, value in follows.items()}
    return ordered, follows


def is_work(entry: Entry) -> bool:
    """Whether an entry says that a step was worked, and how; looks, times and notes stand beside it."""
    return entry["kind"] in SIGNATURES and not is_note(entry)


def is_note(entry: Entry) -> bool:
    """A note, a reason for another entry, or a part decided otherwise: nothing that its step asks for."""
    return bool(entry["typed"].get("note")) or "explains" in entry["typed"]


def explained(standing: Iterable[Entry]) -> set[str]:
    """The entries for which a reason was written: `typed.explains` with `typed.note`."""
    found: set[str] = set()
    for entry in standing:
        named = entry["typed"].get("explains")
        if named and str(entry["typed"].get("note", "")).strip():
            found.update(map(str, named) if isinstance(named, list) else (str(named),))
    return found
