"""For each thing left over the steps that can put it right (rules 7, 8, 15): at least one of them can always be signed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from calculators.job.effects import Left, puts_right
from calculators.job.handbook import Handbook
from calculators.job.places import PLACES, places_of, touches
from calculators.job.work import Spot, Work


@dataclass(frozen=True)
class Remedy:
    """A step of a page that puts something right at a place."""

    page: str
    step: str
    place: str


def remedies(handbook: Handbook, works: Mapping[str, Work], left: Left) -> list[Remedy]:
    """The steps that can put it right. Those are shown again where every one is led past, done before, or of another layout.

    Among the pages of the job: what is open anyway; else what an outcome leads past; else what was signed before it came
    undone; else what belongs to another layout. Where no page of the job has a step for it, any page of the handbook.
    """
    found = [(work, spot) for work in works.values() for spot in _spots(work, left)]
    for choose in (_is_open, _is_past, _is_done, _is_other):
        chosen = [(work, spot) for work, spot in found if choose(work, spot)]
        if chosen:
            for work, spot in chosen:
                _show(work, spot)
            return [Remedy(work.page.id, work.page.steps[number].address, place) for work, (number, place) in chosen]
    return list(_anywhere(handbook, left))


def _spots(work: Work, left: Left) -> Iterator[Spot]:
    for number, step in enumerate(work.page.steps):
        if (step.effects or step.clears) and puts_right(step, left):
            places = work.places(number) if step.per == "vehicle" else [each for each in PLACES if each in places_of(step.per, "")]
            yield from ((number, place) for place in places if touches(place, left.place))


def _show(work: Work, spot: Spot) -> None:
    if not work.applies[spot[0]] or spot in work.past or spot[1] not in work.places(spot[0]):
        work.revived.add(spot)
    if work.settled(spot, True) is not None:
        work.again.add(spot)


def _is_here(work: Work, spot: Spot) -> bool:
    return work.applies[spot[0]] and spot[1] in work.places(spot[0])


def _is_open(work: Work, spot: Spot) -> bool:
    return _is_here(work, spot) and spot not in work.past and work.settled(spot, True) is None


def _is_past(work: Work, spot: Spot) -> bool:
    return _is_here(work, spot) and spot in work.past


def _is_done(work: Work, spot: Spot) -> bool:
    return _is_here(work, spot)


def _is_other(work: Work, spot: Spot) -> bool:
    return True


def _anywhere(handbook: Handbook, left: Left) -> Iterator[Remedy]:
    for step in handbook.steps.values():
        if (step.effects or step.clears) and puts_right(step, left):
            for place in places_of(step.per, ""):
                if touches(place, left.place):
                    yield Remedy(handbook.pages_with[step.address][0], step.address, place)
