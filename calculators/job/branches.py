"""What the outcomes of a page lead back over and past (rules 2, 8), and what the end of a lift reopens (rule 10)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calculators.job.book import Book
from calculators.job.entries import is_work
from calculators.job.handbook import Page
from calculators.job.places import touches
from calculators.job.settled import Made, code_of
from calculators.job.work import FIRST, Past, Spot, Work

Entry = Mapping[str, Any]


def work_of(book: Book, page: Page, axle: str, applies: Sequence[bool]) -> Work:
    """The work of a page so far, with what is to be done again and what is led past."""
    work = Work(book, page, axle, applies, begun=_begun(book, page))
    _lead_back(work)
    _end_lifts(work)
    _lead_past(work)
    return work


def _begun(book: Book, page: Page) -> int:
    """The last answer that led to this job; what was done on the page before it is done again after it."""
    begun = FIRST
    for at, entry in enumerate(book.lined.standing) if page.led_from else ():
        codes = page.led_from.get(book.handbook.address_of(entry.get("step")), ())
        if code_of(entry) in codes and entry.get("procedure") != page.id:
            begun = at
    return begun


def _lead_back(work: Work) -> None:
    """Each answer that led back reopens from its target to the asking step, both included; the latest wins (rule 2).

    It reopens this side, and every step for the axle or the vehicle between. It stays so whatever is answered later.
    """
    for number, ways in enumerate(work.page.back):
        for place in work.places(number) if ways else ():
            for at, code in _answers(work, (number, place)):
                if code in ways:
                    _reopen(work, ways[code], number, place, at)


def _answers(work: Work, spot: Spot) -> list[tuple[int, str]]:
    step = work.page.steps[spot[0]]
    if step.as_at:
        root = work.page.at.get(step.as_at)
        made = work.own((root, spot[1])) if root is not None else work.book.at(step.as_at, spot[1])
    else:
        made = work.own(spot)
    return [(at, code_of(entry)) for at, entry in made if is_work(entry)]


def _reopen(work: Work, first: int, last: int, place: str, at: int) -> None:
    for number in range(first, last + 1):
        for each in work.places(number):
            if touches(place, each):
                work.reopened[number, each] = max(work.reopened.get((number, each), FIRST), at)


# ---------------------------------------------------------------- past


def _lead_past(work: Work) -> None:
    """What lies between an answer and the step that it leads on to is not needed; for an axle only when both sides lead past it."""
    for number, ways in enumerate(work.page.onward):
        if not ways or not work.applies[number]:
            continue
        jumps: dict[str, tuple[int, Past]] = {}
        for place in work.places(number):
            last = None if (number, place) in work.past else work.last_judged((number, place))
            if last and (to := ways.get(code_of(last[1]))) is not None:
                jumps[place] = (to, Past(work.page.steps[number].address, place, code_of(last[1])))
        if jumps:
            _skip(work, number, jumps)


def _skip(work: Work, start: int, jumps: dict[str, tuple[int, Past]]) -> None:
    asked = work.places(start)
    for number in range(start + 1, max(to for to, _ in jumps.values())):
        for place in work.places(number):
            decide = [each for each in asked if touches(place, each)]
            past = [jumps[each] for each in decide if each in jumps and jumps[each][0] > number]
            if decide and len(past) == len(decide):
                work.past[number, place] = past[0][1]


# ---------------------------------------------------------------- lifts


def _end_lifts(work: Work) -> None:
    """Lowering ends the lift: work on stands after it needs a new one, which is lowered again (rule 10)."""
    start = 0
    for number, step in enumerate(work.page.steps):
        if not step.lowers:
            continue
        for place in work.places(number):
            _end_lift(work, range(start, number), (number, place))
        start = number + 1


def _end_lift(work: Work, region: range, lowering: Spot) -> None:
    lowered = _last_signed(work.own(lowering))
    if lowered is None:
        return
    steps = work.page.steps
    raising = [number for number in region if steps[number].per == "lift"]
    on_stands = [number for number in region if raising and number > raising[0] and (steps[number].stands or steps[number].effects)]
    worked = _latest(work, on_stands, lowering[1], lowered)
    raised = _latest(work, raising, lowering[1], lowered)
    if max(worked, raised) <= lowered:
        return
    work.reopened[lowering] = max(work.reopened.get(lowering, FIRST), worked, raised)
    if worked > lowered:
        for spot in ((number, lowering[1]) for number in raising):
            work.reopened[spot] = max(work.reopened.get(spot, FIRST), lowered)
            work.lift_ended.add(spot)


def _latest(work: Work, numbers: Sequence[int], axle: str, since: int) -> int:
    found = since
    for number in numbers:
        if work.page.steps[number].address in work.book.by_step:
            for place in work.places(number):
                if touches(place, axle):
                    found = max(
                        [found, *(at for at, entry in work.own((number, place)) if is_work(entry) and entry["kind"] != "not-applicable")]
                    )
    return found


def _last_signed(made: Sequence[Made]) -> int | None:
    return next((at for at, entry in reversed(made) if entry["kind"] in ("done", "override")), None)
