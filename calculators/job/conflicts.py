"""Entries that were made side by side and cannot both hold (rule 14): two tabs or two machines went on from the same entry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calculators.job.book import Book
from calculators.job.entries import is_work, signature
from calculators.job.settled import Made


@dataclass(frozen=True)
class Conflict:
    """Two or more entries of one step and place that say different things, neither knowing the other. Never the last wins."""

    step: str
    place: str
    entries: tuple[str, ...]


def conflicts(book: Book) -> list[Conflict]:
    """What has to be settled: by taking one back, or by a later entry that names both in `typed.settles`."""
    if not book.lined.has_forks:
        return []
    settled = _settled(book)
    found = []
    for address, by_place in book.by_step.items():
        for place, made in by_place.items():
            apart = tuple(each for each in _side_by_side(book, [each for each in made if is_work(each[1])]) if each not in settled)
            if len(apart) > 1:
                found.append(Conflict(address, place, apart))
    return found


def _settled(book: Book) -> set[str]:
    named: set[str] = set()
    for entry in book.lined.standing:
        settles = entry["typed"].get("settles")
        named.update(map(str, settles) if isinstance(settles, list) else ())
    return named


def _side_by_side(book: Book, made: Sequence[Made]) -> list[str]:
    found: dict[str, None] = {}
    for number, (_, one) in enumerate(made):
        for _, other in made[number + 1 :]:
            if signature(one) != signature(other) and _is_apart(book, one["id"], other["id"]):
                found.update({one["id"]: None, other["id"]: None})
    return list(found)


def _is_apart(book: Book, one: str, other: str) -> bool:
    """Whether both follow one entry along the chain, on different ways."""
    return not book.lined.is_after(other, one) and not book.lined.is_after(one, other) and _has_common(book, one, other)


def _has_common(book: Book, one: str, other: str) -> bool:
    trail: set[str] = set()
    at: str | None = one
    while at is not None:
        trail.add(at)
        at = book.lined.follows.get(at)
    at = other
    while at is not None and at not in trail:
        at = book.lined.follows.get(at)
    return at is not None
