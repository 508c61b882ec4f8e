"""The state of each step and place of a page, and why (rules 2, 7 to 15, 18)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.job.alone import settles_effect
from calculators.job.answers import Contradicted
from calculators.job.entries import is_work
from calculators.job.settled import Made, code_of, is_changed, is_reading, is_reworded, is_unjudged, settled_by
from calculators.job.verdicts import Verdicts, beyond_of
from calculators.job.work import Spot, Work

Entry = Mapping[str, Any]

CLOSED = ("done", "past", "other-layout")
STATES = {
    "done": "done",
    "past": "led past",
    "other-layout": "not in this layout",
    "open": "open",
    "waits": "waits for another step",
    "back": "led back, to be done again",
    "lift-ended": "lowered since: more work on stands needs a new lift",
    "changed": "the step has changed since it was done",
    "again": "what it put right has come undone since",
    "look": "waits for a second look",
    "unjudged": "not judged yet",
    "out-of-turn": "signed before what it waits for, without a reason",
    "contradicted": "the answer allows less than what was recorded",
    "conflict": "two entries that do not know of each other say different things",
}


@dataclass(frozen=True)
class SpotState:
    """A step at a place: a code of `STATES`, and why as data.

    `why` holds what there is of: entry (id that settles or contradicts), kind, code, waits ([[step, place]]), by (what leads
    past it: [step, place, code]), against, reworded, unrepaired, replaced, revived, refused (an entry judged later).
    """

    step: str
    place: str
    state: str
    why: Mapping[str, Any] = field(default_factory=dict)

    @property
    def is_closed(self) -> bool:
        """Whether nothing is to be done here."""
        return self.state in CLOSED

    @property
    def can_be_signed(self) -> bool:
        """Whether it is open and waits for nothing."""
        return not self.is_closed and not self.why.get("waits")


@dataclass
class Marks:
    """What hangs over a page's places: conflicts, contradicted answers, readings left unrepaired (entry → entry)."""

    conflicts: Mapping[tuple[str, str], tuple[str, ...]]
    contradicted: Mapping[tuple[str, str], Contradicted]
    unrepaired: Mapping[str, str]


def spot_states(work: Work, verdicts: Verdicts, marks: Marks) -> Iterator[SpotState]:
    """Every step and place of a page, in order; places of other axles only where they put right what is left over."""
    extra: dict[int, list[str]] = {}
    for number, place in sorted(work.revived):
        if place not in work.places(number):
            extra.setdefault(number, []).append(place)
    for number in range(len(work.page.steps)):
        for place in (*work.places(number), *extra.get(number, ())):
            yield _state(work, verdicts, marks, (number, place))


def _state(work: Work, verdicts: Verdicts, marks: Marks, spot: Spot) -> SpotState:
    step, place = work.page.steps[spot[0]], spot[1]
    if conflict := marks.conflicts.get((step.address, place)):
        return SpotState(step.address, place, "conflict", {"against": list(conflict)})
    if not work.stands(spot):
        return _not_standing(work, spot)
    why: dict[str, Any] = {"revived": True} if spot in work.revived else {}
    if waits := work.waits_for(spot):
        why["waits"] = [list(each) for each in waits]
    by = work.settled(spot, True)
    if by is None:
        return _unsettled(work, verdicts, marks, spot, why)
    if spot in work.again:
        return SpotState(step.address, place, "again", {**why, "entry": by[1]["id"]})
    return _settled(work, marks, spot, by)


def _not_standing(work: Work, spot: Spot) -> SpotState:
    address, past = work.page.steps[spot[0]].address, work.past.get(spot)
    if not work.applies[spot[0]] or past is None:
        return SpotState(address, spot[1], "other-layout")
    done = work.settled(spot, True)
    if done:
        return SpotState(address, spot[1], "done", {"entry": done[1]["id"], "kind": done[1]["kind"]})
    return SpotState(address, spot[1], "past", {"by": [past.step, past.place, past.code]})


def _settled(work: Work, marks: Marks, spot: Spot, by: Made) -> SpotState:
    step, place = work.page.steps[spot[0]], spot[1]
    at, entry = by
    if said := marks.contradicted.get((step.address, place)):
        return SpotState(step.address, place, "contradicted", {"entry": said.entry, "against": list(said.by), "later": said.later})
    has_reason = entry["kind"] in ("override", "not-applicable") or entry["id"] in work.book.reasons
    if not step.as_at and step.hold and not has_reason and (waits := work.waits_for(spot, at)):
        return SpotState(step.address, place, "out-of-turn", {"entry": entry["id"], "rests_on": [list(each) for each in waits]})
    why: dict[str, Any] = {"entry": entry["id"], "kind": entry["kind"]}
    if not step.as_at and is_reworded(step, entry):
        why["reworded"] = True
    return SpotState(step.address, place, "done", why)


def _unsettled(work: Work, verdicts: Verdicts, marks: Marks, spot: Spot, why: dict[str, Any]) -> SpotState:
    step, place = work.page.steps[spot[0]], spot[1]
    counting = work.counting(spot)
    last = next((each for each in reversed(counting) if is_work(each[1])), None)
    if last is not None:
        why["entry"] = last[1]["id"]
        if is_unjudged(step, last[1]):
            return SpotState(step.address, place, "unjudged", why)
        if said := _closes_beyond(work, verdicts, marks, spot, counting):
            return SpotState(step.address, place, "done", {**why, **said})
        if code_of(last[1]):
            why["code"] = code_of(last[1])
        if judges := last[1]["typed"].get("judges"):
            why["refused"] = judges  # kept while Python was not there, and not found good (rule 18)
        number = spot[0]
        if step.look and settled_by(step, counting, work.page.onward[number], work.page.back[number]):
            return SpotState(step.address, place, "look", why)
    elif reason := _lost(work, spot):
        return SpotState(step.address, place, reason, why)
    return SpotState(step.address, place, "waits" if why.get("waits") else "open", why)


def _lost(work: Work, spot: Spot) -> str:
    """Why what was done at a place counts no more; '' where nothing was."""
    own = [each for each in work.own(spot) if is_work(each[1])]
    if not own:
        return ""
    if own[-1][0] <= work.reopened.get(spot, -1):
        return "lift-ended" if spot in work.lift_ended else "back"
    return "changed" if is_changed(work.page.steps[spot[0]], own[-1][1]) else ""


def _closes_beyond(work: Work, verdicts: Verdicts, marks: Marks, spot: Spot, counting: list[Made]) -> dict[str, Any]:
    """A reading beyond its limit is no longer asked for once its part is replaced, it is left unrepaired, or the page only estimates."""
    step = work.page.steps[spot[0]]
    found = beyond_of(counting)
    if found is None or any(at > found[0] and is_reading(entry) for at, entry in counting):
        return {}
    if set(step.needs) - {found[1]["kind"]} or settles_effect(step):
        return {}
    if unrepaired := marks.unrepaired.get(found[1]["id"]):
        return {"unrepaired": unrepaired}
    if work.page.estimate:
        return {"estimate": True}
    return {"replaced": True} if verdicts.is_settled(step, spot[1], found[0]) else {}
