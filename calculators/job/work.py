"""The work of one page: what was done at each step and place, led past, led back, or waits (rules 2, 8, 10, 13)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators.job.book import Book, counting_on
from calculators.job.entries import is_work
from calculators.job.handbook import Page
from calculators.job.places import places_of, touches
from calculators.job.settled import Made, code_of, is_changed, settled_by

Entry = Mapping[str, Any]
Spot = tuple[int, str]  # a step by its place in the page's order, and where it is signed
FIRST = -1  # before every entry
NONE: Mapping[str, list[Made]] = {}


@dataclass(frozen=True)
class Past:
    """An outcome that leads past a place: the step and where it came out so."""

    step: str
    place: str
    code: str


@dataclass
class Work:
    """A page's work so far.

    `reopened`: spot → the entry up to which it is to be done again, and `led`: whether an outcome led back there, or a lift ended.
    `past`: spot → what leads past it; `revived`: spots that are shown all the same, because they put right what is left over.
    """

    book: Book
    page: Page
    axle: str
    applies: Sequence[bool]
    begun: int = FIRST
    reopened: dict[Spot, int] = field(default_factory=dict)
    lift_ended: set[Spot] = field(default_factory=set)
    past: dict[Spot, Past] = field(default_factory=dict)
    revived: set[Spot] = field(default_factory=set)
    again: set[Spot] = field(default_factory=set)
    _own: dict[Spot, list[Made]] = field(default_factory=dict)
    _counting: dict[Spot, list[Made]] = field(default_factory=dict)
    _settled: dict[tuple[Spot, bool], Made | None] = field(default_factory=dict)

    def places(self, number: int) -> tuple[str, ...]:
        """Where a step of the page is signed."""
        return places_of(self.page.steps[number].per, self.axle)

    def own(self, spot: Spot) -> list[Made]:
        """The entries of a place that count on this page, also those before it is done again."""
        found = self._own.get(spot)
        if found is None:
            step = self.page.steps[spot[0]]
            made = self.book.by_step.get(step.address, NONE).get(spot[1], [])
            found = made and [each for each in counting_on(self.book, self.page, self.axle, step, made) if each[0] > self.begun]
            self._own[spot] = found
        return found

    def counting(self, spot: Spot) -> list[Made]:
        """The entries that count now: made for the work as it is asked for, and not to be done again."""
        found = self._counting.get(spot)
        if found is None:
            own, step, since = self.own(spot), self.page.steps[spot[0]], self.reopened.get(spot, FIRST)
            found = own and [each for each in own if each[0] > since and not is_changed(step, each[1])]
            self._counting[spot] = found
        return found

    def settled(self, spot: Spot, onward: bool, before: int | None = None) -> Made | None:
        """The entry by which a place is worked; with `before`, as it was when that entry was made.

        `onward`: whether an outcome that leads on elsewhere settles it too; a hold is not lifted by one.
        """
        if before is None:
            key = (spot, onward)
            if key not in self._settled:
                self._settled[key] = self._settle(spot, onward, None)
            return self._settled[key]
        return self._settle(spot, onward, before)

    def _settle(self, spot: Spot, onward: bool, before: int | None) -> Made | None:
        number = spot[0]
        step = self.page.steps[number]
        if step.as_at:
            last = self.root_of(spot)
            return last if last and (before is None or last[0] < before) else None
        made = self.counting(spot)
        if before is not None:
            made = [each for each in made if each[0] < before]
        if not made:
            return None
        by = settled_by(step, made, self.page.onward[number] if onward else (), self.page.back[number])
        if by is None or (step.look and not self._is_looked_at(by, before)):
            return None
        return None if step.completes and self.is_worked_since(number, by[0]) else by

    def _is_looked_at(self, made: Made, before: int | None) -> bool:
        look = self.book.looks.get(made[1]["id"])
        return look is not None and look > made[0] and (before is None or look < before)

    def is_worked_since(self, number: int, at: int) -> bool:
        """Whether a step before this one was worked after an entry: what signs the whole page comes last."""
        return any(later > at and is_work(entry) for spot in self.worked_spots() if spot[0] < number for later, entry in self.own(spot))

    def worked_spots(self) -> Iterator[Spot]:
        """The places of this page's steps at which something was recorded."""
        for address in self.book.by_step:
            number = self.page.at.get(address)
            if number is not None:
                for place in self.book.by_step[address]:
                    yield number, place

    def root_of(self, spot: Spot) -> Made | None:
        """For a step that comes out as an earlier one did: the entry that says how that one came out at this place."""
        step = self.page.steps[spot[0]]
        number = self.page.at.get(step.as_at)
        if number is None:
            made = [each for each in self.book.at(step.as_at, spot[1]) if not is_changed(step, each[1])]
            return _last_judged(made)
        return self.last_judged((number, spot[1]))

    def last_judged(self, spot: Spot) -> Made | None:
        """The entry that says how a place came out. Signed with a reason or marked as not applicable, it leads nowhere."""
        if self.page.steps[spot[0]].as_at:
            return self.root_of(spot)
        return _last_judged(self.counting(spot))

    # ------------------------------------------------------------ what a place waits for

    def is_past(self, spot: Spot) -> bool:
        """Whether an outcome leads past a place, and nothing that is left over needs it."""
        return spot in self.past and spot not in self.revived

    def stands(self, spot: Spot) -> bool:
        """Whether a place is to be signed: in this layout or needed for what is left over, and not led past."""
        return spot in self.revived or (self.applies[spot[0]] and spot not in self.past)

    def waits_for(self, spot: Spot, before: int | None = None) -> list[tuple[str, str]]:
        """The steps and places that a place waits for; with `before`, as it was when that entry was made (rule 13)."""
        found: list[tuple[str, str]] = []
        for address in self.page.steps[spot[0]].hold:
            number = self.page.at.get(address)
            if number is None:
                if not self._is_done_elsewhere(address, before):
                    found.append((address, spot[1]))
            else:
                found += [(address, place) for place in self._awaited(number, spot[1]) if not self._lets_on((number, place), before)]
        return found

    def _awaited(self, number: int, place: str) -> list[str]:
        places = self.places(number)
        return [place] if place in places else [each for each in places if touches(each, place)]

    def _lets_on(self, spot: Spot, before: int | None) -> bool:
        return not self.stands(spot) or self.settled(spot, False, before) is not None

    def _is_done_elsewhere(self, address: str, before: int | None) -> bool:
        """Whether a step of another page was done: what it asks for there is judged there, so its last entry decides."""
        for made in self.book.by_step.get(address, {}).values():
            last = next((entry for at, entry in reversed(made) if is_work(entry) and (before is None or at < before)), None)
            if (
                last is not None
                and not last["typed"].get("outcome")
                and code_of(last) in ("", "within")
                and last["kind"] != "not-applicable"
            ):
                return True
        return False


def _last_judged(made: Sequence[Made]) -> Made | None:
    for each in reversed(made):
        entry = each[1]
        if (code_of(entry) and is_work(entry)) or entry["kind"] in ("override", "not-applicable"):
            return each
    return None
