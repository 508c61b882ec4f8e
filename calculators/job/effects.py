"""What the job has off, loose, open or set now (rules 7, 11, 15, 16): declared effects, played over all pages in one order.

In doubt a thing counts as open: any entry of a step may have undone something, but only what settles the step puts it right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from calculators.job.book import Book
from calculators.job.entries import is_work
from calculators.job.handbook import BEGINS, PUTS_RIGHT, Step
from calculators.job.places import covers, sides_of, touches
from calculators.job.settled import Made, done_otherwise, settled_by
from calculators.job.work import Work

Entry = Mapping[str, Any]
LISTS = ("off", "loose", "open", "unbled", "unchecked", "set")
WORDS = {
    "off": "off the vehicle",
    "loose": "loosened, not torqued",
    "open": "open, not closed",
    "unbled": "opened, not bled since",
    "unchecked": "opened, not checked for leaks since",
    "set": "begun, not ended",
}


@dataclass(frozen=True)
class Played:
    """One entry of a step with effects: whether it also puts right, or may only have undone something."""

    at: int
    step: Step
    place: str
    settles: bool


@dataclass(frozen=True)
class Left:
    """Something that is left over: in which list, its name, where, and the step and entry since which."""

    kind: str
    name: str
    place: str
    step: str
    at: int


def played(book: Book, works: Mapping[str, Work]) -> list[Played]:
    """What was done to parts, fasteners and joints, in the order of the job. The page on which it was done says what settles it."""
    found: list[Played] = []
    for address, by_place in book.by_step.items():
        step = book.handbook.steps[address]
        if step.effects or step.sets or step.clears:
            for place, made in by_place.items():
                found += _played_at(book, works, step, place, made)
    order = {address: number for number, address in enumerate(book.handbook.steps)}
    return sorted(found, key=lambda each: (each.at, order[each.step.address]))


def _played_at(book: Book, works: Mapping[str, Work], step: Step, place: str, made: Sequence[Made]) -> list[Played]:
    worked = [each for each in made if is_work(each[1]) and each[1]["kind"] != "not-applicable"]
    if not worked:
        return []
    by = _settles(book, works, step, place, made)
    return [Played(at, step, place, by is not None and at == by) for at, _ in worked]


def _settles(book: Book, works: Mapping[str, Work], step: Step, place: str, made: Sequence[Made]) -> int | None:
    """The last entry of the place, where it settles the step on the page on which it was made and is more than a reason."""
    at, entry = next(each for each in reversed(made) if is_work(each[1]))
    by = _settled_on(book, works, step, place, made, entry.get("procedure"))
    if by is None or by[0] != at or entry["kind"] == "not-applicable":
        return None
    return None if entry["kind"] == "override" and not done_otherwise(entry) else at


def _settled_on(book: Book, works: Mapping[str, Work], step: Step, place: str, made: Sequence[Made], page: str | None) -> Made | None:
    """What settles a place on the page of its last entry; where that page is not known, on another one that has the step."""
    named = works.get(page or "")
    for work in (named, *works.values()) if named is None or step.address not in named.page.at else (named,):
        if work is not None and step.address in work.page.at:
            return work.settled((work.page.at[step.address], place), False)
    any_page = book.handbook.pages[book.handbook.pages_with[step.address][0]]
    by = settled_by(step, made, (), any_page.back[any_page.at[step.address]])
    return None if by and step.look and book.looks.get(by[1]["id"], -1) < by[0] else by


def left_over(listed: Sequence[Played]) -> list[Left]:
    """What is left after all that was done. Within a step the order is that of the walk over every layout."""
    state: dict[str, list[Left]] = {name: [] for name in LISTS}
    for each in listed:
        _play(state, each)
    return [left for name in LISTS for left in state[name]]


def _play(state: dict[str, list[Left]], each: Played) -> None:
    effects = each.step.effects
    for begins, ends in (("takes_off", "fits"), ("loosens", "torques"), ("opens", "closes")):
        for kind in BEGINS[begins]:
            for name in effects.get(begins, ()):
                _end(state, kind, name, each.place)
                state[kind].append(Left(kind, name, each.place, each.step.address, each.at))
        if each.settles:
            for name in effects.get(ends, ()):
                _end(state, PUTS_RIGHT[ends], name, each.place)
    for name in each.step.sets:
        _end(state, "set", name, each.place)
        state["set"].append(Left("set", name, each.place, each.step.address, each.at))
    if not each.settles:
        return
    for name in each.step.clears:
        _end(state, "set", name, each.place)
    for effect in ("bleeds", "leak_checks"):
        for name in effects.get(effect, ()):
            _end(state, PUTS_RIGHT[effect], name, each.place, [left for left in state["open"] if left.name == name])


def _end(state: dict[str, list[Left]], kind: str, name: str, place: str, still_open: Sequence[Left] = ()) -> None:
    """Strike a thing off at a place; of what was worked as a whole the other sides stay. What is open is neither bled nor checked."""
    kept: list[Left] = []
    for left in state[kind]:
        if left.name != name or any(touches(each.place, left.place) for each in still_open):
            kept.append(left)
        elif covers(left.place, place) and not covers(place, left.place):
            kept += [replace(left, place=side) for side in sides_of(left.place) if not covers(place, side)]
        elif not covers(place, left.place):
            kept.append(left)
    state[kind] = kept


def puts_right(step: Step, left: Left) -> bool:
    """Whether a step can put right what is left over."""
    if left.kind == "set":
        return left.name in step.clears
    return any(kind == left.kind and left.name in step.effects.get(effect, ()) for effect, kind in PUTS_RIGHT.items())
