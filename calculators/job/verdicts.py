"""What was read beyond its limit and still stands (rules 3, 4), and what was said to be done with a part."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from calculators.job.book import Book
from calculators.job.effects import Played
from calculators.job.entries import is_note
from calculators.job.handbook import Step
from calculators.job.places import LEFT, SIDES, touches
from calculators.job.settled import Made, code_of, is_reading
from calculators.job.work import Work

Entry = Mapping[str, Any]
Said = tuple[int, str, tuple[str, ...], str]


@dataclass(frozen=True)
class Beyond:
    """A reading beyond its limit that nothing has put right. `unrepaired`: id of the entry that leaves it so, '' while none does."""

    step: str
    place: str
    at: int
    entry: str
    page: str
    unrepaired: str = ""


@dataclass(frozen=True)
class Statement:
    """What was said to be done with a part. `source`: answer, finding or decision."""

    at: int
    entry: Entry
    actions: tuple[str, ...]
    source: str


@dataclass
class Verdicts:
    """A job's readings, with what was fitted and said."""

    book: Book
    works: Mapping[str, Work]
    played: Sequence[Played]

    def beyonds(self) -> list[Beyond]:
        """In the order in which they were read."""
        unrepaired = self._left_unrepaired()
        found: list[Beyond] = []
        for address, by_place in self.book.by_step.items():
            step = self.book.handbook.steps[address]
            if (step.reads and not step.reads.derived) or "torque" in step.needs:
                for place, made in by_place.items():
                    last = beyond_of(made)
                    if last and not self.is_settled(step, place, last[0]):
                        at, entry = last
                        page = str(entry.get("procedure") or "")
                        found.append(Beyond(address, place, at, entry["id"], page, unrepaired.get(entry["id"], "")))
        return sorted(found, key=lambda each: each.at)

    def _left_unrepaired(self) -> dict[str, str]:
        found: dict[str, str] = {}
        for entry in self.book.lined.standing:
            typed = entry["typed"]
            if entry["kind"] == "text" and all(str(typed.get(name, "")).strip() for name in ("unrepaired", "note", "told")):
                found[str(typed["unrepaired"])] = entry["id"]
        return found

    def is_settled(self, step: Step, place: str, since: int) -> bool:
        """Whether what was read beyond is put right by something else than the same step read again (rule 3).

        By a later reading of the same part within, or the part replaced, fitted after that was said, and the new one read
        within where a step does. What judges no part is settled by its own step alone; an answer settles nothing.
        """
        reads = step.reads
        if reads is None or not reads.judges or reads.apart:
            return False
        if any(of != "new" and self._is_within(other, place, since) for other, of in self._same(step) if other is not step):
            return True
        if reads.of == "new" or not any(self.replaced_at(part, place) > since for part in reads.judges):
            return False
        new = [other for other, of in self._same(step) if of == "new" and self._is_asked(other, place)]
        return all(self._is_within(other, place, since) for other in new)

    def _same(self, step: Step) -> list[tuple[Step, str]]:
        """The steps of the job's pages that read the same with the same calculator, and of what."""
        reads = step.reads
        if reads is None:
            return []
        steps = {address: self.book.handbook.steps[address] for work in self.works.values() for address in work.page.at}
        steps |= {address: self.book.handbook.steps[address] for address in self.book.by_step}
        return [
            (other, other.reads.of)
            for other in steps.values()
            if other.reads and other.reads.calculator == reads.calculator and not other.reads.apart and not other.reads.derived
        ]

    def _is_asked(self, step: Step, place: str) -> bool:
        """Whether some page of the job asks for this step at the place, and no outcome leads past it."""
        for work in self.works.values():
            number = work.page.at.get(step.address)
            if number is not None and any(touches(each, place) and work.stands((number, each)) for each in work.places(number)):
                return True
        return False

    def _is_within(self, step: Step, place: str, since: int) -> bool:
        last = last_reading(self.book.at(step.address, place))
        return last is not None and last[0] > since and code_of(last[1]) == "within"

    def replaced_at(self, part: str, place: str) -> int:
        """When a part was last fitted after it was said to be replaced; -1: never."""
        fitted = [
            each.at
            for each in self.played
            if each.settles and touches(each.place, place) and (part in each.step.effects.get("fits", ()) or part in each.step.renews)
        ]
        if not fitted:
            return -1
        said = self.statements(part, place)
        return max((at for at in fitted if "replace" in _said_before(said, at)), default=-1)

    def statements(self, part: str, place: str) -> list[Statement]:
        """What was said to be done with a part at a place, in order."""
        side = "" if place not in SIDES[""] else "left" if place in LEFT else "right"
        found: list[Statement] = []
        for at, of, actions, source in self.said.get(part, ()):
            entry = self.book.lined.standing[at]
            if touches(entry["place"], place) and (not of or not side or of == side):
                if found and found[-1].at == at:  # a decision says it of each side by itself
                    actions = found.pop().actions + actions
                found.append(Statement(at, entry, actions, source))
        return found

    @cached_property
    def said(self) -> dict[str, list[Said]]:
        """Part → what was said of it: the entry's place in the order, the side (or ''), the actions, by what."""
        found: dict[str, list[Said]] = {}
        for at, entry in enumerate(self.book.lined.standing):
            if entry.get("place") and not (is_note(entry) and entry["kind"] != "result"):
                for part, of, actions, source in self._said(entry):
                    found.setdefault(part, []).append((at, of, actions, source))
        return found

    def _said(self, entry: Entry) -> Iterator[tuple[str, str, tuple[str, ...], str]]:
        typed, understood = entry["typed"], entry["understood"]
        if "actions" in understood:
            rows = understood["actions"] if isinstance(understood["actions"], list) else []
            for row in rows:
                if isinstance(row, Mapping):
                    yield str(row.get("part")), str(row.get("side") or ""), (str(row.get("action")),), "decision"
        elif entry["kind"] == "finding":
            listed = understood.get("findings")
            actions = tuple(str(each.get("action")) for each in listed if isinstance(each, Mapping)) if isinstance(listed, list) else ()
            if actions:
                yield str(typed.get("part")), "", actions, "finding"
        elif "choice" in typed:
            step = self.book.handbook.steps.get(self.book.handbook.address_of(entry.get("step")))
            for part, said in step.means.get(str(typed["choice"]), {}).items() if step else ():
                yield part, "", said, "answer"

    @cached_property
    def readings(self) -> list[tuple[int, Entry, bool]]:
        """The judged readings of parts as they are now, not new ones nor of something apart, in order; and whether each is derived."""
        found: list[tuple[int, Entry, bool]] = []
        for at, entry in enumerate(self.book.lined.standing):
            if is_reading(entry) and code_of(entry) and entry.get("place") and not entry["typed"].get("apart"):
                step = self.book.handbook.steps.get(self.book.handbook.address_of(entry.get("step")))
                if of_reading(step, entry) != "new":
                    found.append((at, entry, bool(step and step.reads and step.reads.derived)))
        return found


def beyond_of(made: Sequence[Made]) -> Made | None:
    """The last reading beyond of a place, until the same step is read within again."""
    found: Made | None = None
    for each in made:
        if is_reading(each[1]) and not is_note(each[1]):
            code = code_of(each[1])
            found = each if code == "beyond" else None if code == "within" else found
    return found


def last_reading(made: Sequence[Made]) -> Made | None:
    """The last judged reading of a place."""
    return next((each for each in reversed(made) if is_reading(each[1]) and code_of(each[1])), None)


def of_reading(step: Step | None, entry: Entry) -> str:
    """Whether the entry reads a new or machined part; '' the part as it was found (rule 4). The step says it, too."""
    return str(entry["typed"].get("of") or (step.reads.of if step and step.reads else ""))


def _said_before(said: Sequence[Statement], at: int) -> tuple[str, ...]:
    return next((each.actions for each in reversed(said) if each.at < at), ())
