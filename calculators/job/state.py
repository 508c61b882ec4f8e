"""The whole state of a job, worked out from its steps, layout and entries, of nothing else (all rules)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from calculators.job import answers, case, complete
from calculators.job.answers import Contradicted
from calculators.job.book import Book, read_book
from calculators.job.branches import work_of
from calculators.job.complete import Lack, Leftover
from calculators.job.conflicts import Conflict, conflicts
from calculators.job.effects import left_over, played
from calculators.job.entries import line_up
from calculators.job.handbook import Handbook
from calculators.job.plan import applying, page_layout
from calculators.job.remedies import remedies
from calculators.job.settled import code_of
from calculators.job.spots import Marks, SpotState, spot_states
from calculators.job.stood import Interruption, Question, interruption, questions
from calculators.job.verdicts import Beyond, Verdicts
from calculators.job.work import Work

Entry = Mapping[str, Any]


@dataclass
class PageState:
    """One page of the job. `closed`: {entry, as, stays} once it is complete; `completing`: the steps that sign it as complete.

    `worked`: whether anything was recorded on it.
    """

    id: str
    axle: str
    spots: list[SpotState]
    lacking: list[Lack]
    closes: str
    closed: dict[str, Any]
    completing: frozenset[str]
    worked: bool

    @property
    def may_complete(self) -> bool:
        """Whether the page may be completed now."""
        return not self.lacking

    @property
    def may_sign_complete(self) -> bool:
        """Whether its last step, which signs it as complete, may be signed."""
        return all(lack.about.get("step") in self.completing and "place" in lack.about for lack in self.lacking)

    @property
    def next(self) -> list[SpotState]:
        """What can be signed now, in the order of the page."""
        return [each for each in self.spots if each.can_be_signed]


@dataclass
class State:
    """A job as it stands. `unknown`: pages that were worked on and that this handbook does not have."""

    pages: dict[str, PageState]
    left: list[Leftover]
    beyond: list[Beyond]
    conflicts: list[Conflict]
    contradicted: list[Contradicted]
    interruption: Interruption | None
    questions: list[Question]
    unknown: list[str]
    lacking: list[Lack] = field(default_factory=list)

    @property
    def may_hand_over(self) -> bool:
        """Whether nothing is left over, and no page has work left (rule 11)."""
        return not self.lacking


def work_out(
    handbook: Handbook,
    entries: Sequence[Entry],
    now: str,
    *,
    layout: Mapping[str, str] | None = None,
    pages: Sequence[str] | None = None,
    rules: Mapping[str, Any] | None = None,
    decide: case.Decide | None = None,
    build: str | None = None,
) -> State:
    """The state of a job after these entries (as in a job file), whole and from scratch.

    `now`: the time, handed in; `layout`: axis → value, else as the job keeps it; `pages`: ids besides those that were worked on;
    `rules`: of the decision, else the stock ones; `decide`: another way to the same answer; `build`: of this handbook (rule 12).
    """
    book = read_book(handbook, line_up(entries, now))
    works = _works(book, layout, pages)
    done = played(book, works)
    left = [Leftover(each, *_made_on(book, each.at), remedies(handbook, works, each)) for each in left_over(done)]
    verdicts = Verdicts(book, works, done)
    beyond = verdicts.beyonds()
    apart = conflicts(book)
    away = interruption(book.lined, now)
    hanging = _Hanging(left, beyond, apart, away)
    pages_now, against = _pages(verdicts, hanging, _Deciding(rules, decide or case.decide), layout, build)
    asked = questions(book.lined.standing, list(works.values()), [each.left for each in left])
    strange = [name for name in _worked_on(book) if name not in handbook.pages]
    state = State(pages_now, left, beyond, apart, against, away, asked, strange)
    state.lacking = _hand_over(handbook, state)
    return state


@dataclass(frozen=True)
class _Deciding:
    rules: Mapping[str, Any] | None
    decide: case.Decide


def _works(book: Book, layout: Mapping[str, str] | None, pages: Sequence[str] | None) -> dict[str, Work]:
    named = list(dict.fromkeys([*_worked_on(book), *(pages or ())]))
    found: dict[str, Work] = {}
    for name in named:
        if page := book.handbook.pages.get(name):
            own = page_layout(page, book.lined.standing, layout)
            axle = own.get("axle", "") if own.get("axle", "") in ("front", "rear") else ""
            found[name] = work_of(book, page, axle, applying(book.handbook, page, own))
    return found


def _worked_on(book: Book) -> list[str]:
    return list(dict.fromkeys(entry["procedure"] for entry in book.lined.standing if entry.get("procedure") and _is_of_page(entry)))


def _is_worked(book: Book, page: str) -> bool:
    return any(entry.get("procedure") == page and _is_of_page(entry) for entry in book.lined.standing)


def _is_of_page(entry: Entry) -> bool:
    return bool(entry.get("step")) or entry["kind"] == "complete"


def _made_on(book: Book, at: int) -> tuple[str, str]:
    entry = book.lined.standing[at]
    return entry["id"], str(entry.get("procedure") or "")


# ---------------------------------------------------------------- pages


@dataclass(frozen=True)
class _Hanging:
    """What hangs over every page of the job."""

    left: Sequence[Leftover]
    beyond: Sequence[Beyond]
    apart: Sequence[Conflict]
    away: Interruption | None


def _pages(
    verdicts: Verdicts, hanging: _Hanging, deciding: _Deciding, layout: Mapping[str, str] | None, build: str | None
) -> tuple[dict[str, PageState], list[Contradicted]]:
    found: dict[str, PageState] = {}
    against: list[Contradicted] = []
    for name, work in verdicts.works.items():
        own = page_layout(work.page, verdicts.book.lined.standing, layout)
        decision, lacks = _decision(verdicts.book, work, own, deciding)
        contradicted = _contradicted(verdicts, work, case.actions_of(decision) if decision else {})
        against += contradicted
        marks = Marks(
            {(each.step, each.place): each.entries for each in hanging.apart},
            {(each.step, each.place): each for each in contradicted},
            {each.entry: each.unrepaired for each in hanging.beyond if each.unrepaired},
        )
        spots = list(spot_states(work, verdicts, marks))
        own_beyond = [each for each in hanging.beyond if each.page in ("", name)]
        lacks = complete.of_spots(verdicts.book.handbook, spots) + _page_lacks(verdicts, work, hanging, own_beyond) + lacks
        if not any(each.state != "other-layout" for each in spots):
            lacks.append(Lack("layout", "The page is not written for this layout: none of its steps stands"))
        closes = complete.closes_as(work, own_beyond)
        completing = frozenset(step.address for step in work.page.steps if step.completes)
        found[name] = PageState(
            name,
            work.axle,
            spots,
            lacks,
            closes,
            complete.closed_by(work, closes, lacks, build),
            completing,
            _is_worked(verdicts.book, name),
        )
    return found, against


def _page_lacks(verdicts: Verdicts, work: Work, hanging: _Hanging, beyond: Sequence[Beyond]) -> list[Lack]:
    book = verdicts.book
    lacks = [complete.of_left(each) for each in hanging.left if complete.concerns(work, each)]
    if not work.page.estimate:
        lacks += [complete.of_beyond(book.handbook, each) for each in beyond if not each.unrepaired]
    lacks += [
        complete.of_unknown(each)
        for each in book.unknown
        if each[1].get("procedure") in (None, work.page.id) and each[1]["id"] not in book.reasons
    ]
    return lacks + ([complete.of_interruption(hanging.away)] if hanging.away else [])


def _decision(book: Book, work: Work, layout: Mapping[str, str], deciding: _Deciding) -> tuple[Mapping[str, Any] | None, list[Lack]]:
    """The decision of the page's axle as it is worked out now, and whether what was recorded says less (rule 5)."""
    recorded = case.recorded_at(book, work.axle)
    if not work.axle or not (recorded or _has_means(book, work)):
        return None, []
    try:
        rules = case.stock_rules() if deciding.rules is None else deciding.rules
        decision = deciding.decide(case.case_of(book, work, layout, rules), rules)
    except (ValueError, ImportError) as problem:
        return None, [Lack("undecided", f"The decision cannot be worked out: {problem}")]
    parts = case.decided_parts(case.is_outdated(recorded[1], decision)) if recorded else []
    if not recorded or not parts or recorded[1]["id"] in book.reasons:
        return decision, []
    line = f"More is to be done than the recorded decision says: {', '.join(parts)}"
    about = {"step": recorded[1]["step"], "place": recorded[1]["place"], "entry": recorded[1]["id"], "parts": parts}
    return decision, [Lack("decision", line, about)]


def _has_means(book: Book, work: Work) -> bool:
    return any(book.handbook.steps[address].means and address in work.page.at for address in book.by_step)


def _contradicted(verdicts: Verdicts, work: Work, decided: Mapping[str, Mapping[str, str]]) -> list[Contradicted]:
    found: list[Contradicted] = []
    for number, step in enumerate(work.page.steps):
        if not step.means or step.address not in verdicts.book.by_step:
            continue
        for place in work.places(number):
            last = work.last_judged((number, place))
            if last and "choice" in last[1]["typed"] and work.stands((number, place)):
                by = answers.against(verdicts, step, code_of(last[1]), place, decided)
                found += answers.contradicted(verdicts, step, place, *last, by)
    return found


# ---------------------------------------------------------------- the job


def _hand_over(handbook: Handbook, state: State) -> list[Lack]:
    """What keeps the job from being handed over: anything left over, and any page with work left; a search for a fault has none of its own."""
    lacks = [complete.of_left(each) for each in state.left]
    lacks += [
        complete.of_beyond(handbook, each) for each in state.beyond if not each.unrepaired and not _only_estimates(handbook, each.page)
    ]
    lacks += [
        Lack("conflict", f"{each.place}: {handbook.steps[each.step].do} (two entries contradict each other)", asdict(each))
        for each in state.conflicts
    ]
    lacks += [
        Lack("page", f"“{name}” is no page of this handbook: what was done there is not known", {"page": name}) for name in state.unknown
    ]
    for name, page in state.pages.items():
        if page.worked and not page.may_complete and not page.closed and handbook.pages[name].kind != "diagnosis":
            line = f"“{handbook.pages[name].title}” is not complete: {len(page.lacking)} lacking"
            lacks.append(Lack("page", line, {"page": name, "codes": dict(Counter(lack.code for lack in page.lacking))}))
    return lacks


def _only_estimates(handbook: Handbook, page: str) -> bool:
    return page in handbook.pages and handbook.pages[page].estimate


def as_data(state: State, *, spots: bool = True) -> dict[str, Any]:
    """The state as JSON data. `spots`: also every step and place."""
    pages = {
        name: {
            "axle": page.axle,
            "may_complete": page.may_complete,
            "may_sign_complete": page.may_sign_complete,
            "closes": page.closes,
            "closed": page.closed,
            "counts": dict(Counter(each.state for each in page.spots)),
            "next": [[each.step, each.place] for each in page.next[:8]],
            "lacking": [asdict(lack) for lack in page.lacking],
            **({"spots": [[each.step, each.place, each.state, dict(each.why)] for each in page.spots]} if spots else {}),
        }
        for name, page in state.pages.items()
    }
    return {
        "pages": pages,
        "left": [dict(complete.of_left(each).about) | {"kind": each.left.kind} for each in state.left],
        "beyond": [asdict(each) for each in state.beyond],
        "conflicts": [asdict(each) for each in state.conflicts],
        "contradicted": [asdict(each) for each in state.contradicted],
        "interruption": asdict(state.interruption) if state.interruption else None,
        "questions": [asdict(each) for each in state.questions],
        "hand_over": {"may": state.may_hand_over, "lacking": [asdict(lack) for lack in state.lacking]},
    }
