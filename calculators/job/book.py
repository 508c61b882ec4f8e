"""The standing entries of a job by step and place, under the addresses and places of today (rules 10, 11)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.job.entries import Lined, explained
from calculators.job.handbook import Handbook, Page, Step
from calculators.job.places import AXLES, axles_then
from calculators.job.settled import Made, looked_at

Entry = Mapping[str, Any]


@dataclass
class Book:
    """`by_step`: address → place → entries in order; `looks`: id → when it was looked at again; `axles`: the job's axle at each entry.

    `unknown`: entries of steps that this handbook does not have.
    """

    handbook: Handbook
    lined: Lined
    by_step: dict[str, dict[str, list[Made]]] = field(default_factory=dict)
    looks: dict[str, int] = field(default_factory=dict)
    reasons: set[str] = field(default_factory=set)
    axles: list[str] = field(default_factory=list)
    unknown: list[Made] = field(default_factory=list)

    def at(self, address: str, place: str) -> list[Made]:
        """The entries of a step and place, of all pages."""
        return self.by_step.get(address, {}).get(place, [])

    def entry(self, name: str) -> Entry | None:
        """The standing entry with this id."""
        at = self.lined.at.get(name)
        return None if at is None else self.lined.standing[at]


def read_book(handbook: Handbook, lined: Lined) -> Book:
    """Sort the entries. What an earlier version signed for the vehicle counts for the axle of the job's layout (rule 10)."""
    standing = lined.standing
    book = Book(handbook, lined, looks=looked_at(standing), reasons=explained(standing), axles=axles_then(standing))
    for at, entry in enumerate(standing):
        address = handbook.address_of(entry.get("step"))
        if not address or entry.get("place") is None:
            continue
        step = handbook.steps.get(address)
        if step is None:
            book.unknown.append((at, entry))
            continue
        for place in _places(step, entry["place"], book.axles[at]):
            book.by_step.setdefault(address, {}).setdefault(place, []).append((at, entry))
    return book


def _places(step: Step, place: str, axle: str) -> tuple[str, ...]:
    return AXLES[axle] if place == "vehicle" and step.per in ("axle", "lift") else (place,)


def counting_on(book: Book, page: Page, axle: str, step: Step, made: list[Made]) -> list[Made]:
    """The entries of a step that count on a page (rule 11): made there, and a vehicle's step for this axle.

    What is declared once a vehicle counts wherever it was made; even a line (a level looked at, nuts snugged) is done anew otherwise.
    """
    if step.shared:
        return made
    here = [each for each in made if each[1].get("procedure") in (None, page.id)]
    return here if step.per != "vehicle" else [each for each in here if book.axles[each[0]] in ("", axle)]
