"""Whether a page may be completed and a job handed over, and what is lacking (rules 3, 7, 11, 12, 13, 18)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators.job.effects import WORDS, Left
from calculators.job.entries import is_work
from calculators.job.handbook import Handbook
from calculators.job.places import name_of
from calculators.job.remedies import Remedy
from calculators.job.settled import Made
from calculators.job.spots import STATES, SpotState
from calculators.job.stood import Interruption
from calculators.job.verdicts import Beyond
from calculators.job.work import Work

Entry = Mapping[str, Any]


@dataclass(frozen=True)
class Lack:
    """One thing that keeps a page from being complete: a code (a state of a place, a list of what is left over, beyond, decision,
    undecided, layout, interruption, unknown-step, page), what it is about as data, and one plain line."""

    code: str
    line: str
    about: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Leftover:
    """Something left over with the steps that can put it right."""

    left: Left
    entry: str
    page: str
    by: Sequence[Remedy]


def of_spots(handbook: Handbook, states: Iterable[SpotState]) -> list[Lack]:
    """The places that are not closed; those that can be signed first say so in their data."""
    return [_of_spot(handbook, each) for each in states if not each.is_closed]


def _of_spot(handbook: Handbook, each: SpotState) -> Lack:
    about = {"step": each.step, "place": each.place, **each.why}
    return Lack(each.state, f"{name_of(each.place)}: {handbook.steps[each.step].do} ({STATES[each.state]})", about)


def of_left(each: Leftover) -> Lack:
    """One thing that is off, loose, open, unbled, not checked for leaks or set."""
    left = each.left
    by = [[remedy.page, remedy.step, remedy.place] for remedy in each.by]
    about = {"name": left.name, "place": left.place, "step": left.step, "entry": each.entry, "by": by}
    return Lack(left.kind, f"{name_of(left.place)}: {left.name.replace('-', ' ')} {WORDS[left.kind]}", about)


def of_beyond(handbook: Handbook, each: Beyond) -> Lack:
    """A reading beyond its limit that nothing has put right."""
    about = {"step": each.step, "place": each.place, "entry": each.entry}
    line = f"{name_of(each.place)}: {handbook.steps[each.step].do} (read beyond its limit, neither put right nor left with a reason)"
    return Lack("beyond", line, about)


def of_interruption(found: Interruption) -> Lack:
    """An interruption that nobody came back from."""
    how = "Called away" if found.away else "Two hours without an entry"
    return Lack("interruption", f"{how}: look at where the work stood first", {"entry": found.entry})


def of_unknown(made: Made) -> Lack:
    """An entry of a step that this handbook does not have: what it took off or opened is not known."""
    entry = made[1]
    line = f"{name_of(entry['place'])}: {entry['step']} is no step of this handbook; say what became of it"
    return Lack("unknown-step", line, {"step": entry["step"], "place": entry["place"], "entry": entry["id"]})


def concerns(work: Work, each: Leftover) -> bool:
    """Whether a thing left over keeps this page open: it was begun there, or a step of the page puts it right."""
    return each.page == work.page.id or any(remedy.page == work.page.id for remedy in each.by)


def closes_as(work: Work, beyonds: Sequence[Beyond]) -> str:
    """How the page closes: complete, not repaired, or estimate (rule 3)."""
    if work.page.estimate:
        return "estimate"
    return "not repaired" if any(each.unrepaired for each in beyonds) else "complete"


def closed_by(work: Work, closes: str, lacks: Sequence[Lack], build: str | None) -> dict[str, Any]:
    """The completion that stands: {entry, as, stays}; {} while the page is open.

    One of another build stays as that build judged it while nothing was worked on since (rule 12).
    """
    standing = work.book.lined.standing
    last = next((at for at in range(len(standing) - 1, -1, -1) if _completes(standing[at], work.page.id)), None)
    if last is None or any(is_work(entry) and entry.get("procedure") == work.page.id for entry in standing[last + 1 :]):
        return {}
    entry = standing[last]
    said = "not repaired" if entry["typed"].get("not_repaired") else "complete"
    if not lacks and (said == "not repaired") == (closes == "not repaired"):
        return {"entry": entry["id"], "as": closes, "stays": False}
    untouched = not any(each.get("step") for each in standing[last + 1 :])
    return {"entry": entry["id"], "as": said, "stays": True} if build is not None and entry["build"] != build and untouched else {}


def _completes(entry: Entry, page: str) -> bool:
    return bool(entry["kind"] == "complete" and entry.get("procedure") == page)
