"""The decision's case of one axle, out of a job's entries (rules 4, 5), and whether the recorded decision still says what is worked out now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from calculators.decision.when import holds
from calculators.job.book import Book
from calculators.job.entries import is_work
from calculators.job.places import touches
from calculators.job.plan import NOT_ASKED
from calculators.job.settled import Made, code_of, is_changed
from calculators.job.verdicts import of_reading
from calculators.job.work import Work

Entry = Mapping[str, Any]
Rules = Mapping[str, Any]
Decide = Callable[[Mapping[str, Any], Rules], Mapping[str, Any]]

NAME = "wheel-end-decision"
SIDES = ("left", "right")
CODES = ("within", "adjust", "cannot-tell", "too-close", "beyond")
AT: dict[str, dict[str, str]] = {
    "front": {"LF": "left", "RF": "right", "front": "axle", "vehicle": "vehicle"},
    "rear": {"LR": "left", "RR": "right", "rear": "axle", "vehicle": "vehicle"},
}
UNSEEN = ("", "cause-not-cured")  # grounds that rest on nothing that was seen, or wait for a cause


def case_of(book: Book, work: Work, layout: Mapping[str, str], rules: Rules) -> dict[str, Any]:
    """What was found and read on the axle of a page: {"layout", side: {part: findings}, "readings": {side: {calculator: result}}}.

    Of each step and place the last finding, of each calculator and place the last reading of the part as it was found;
    what is new or machined stays out (rule 4), and so does what is to be done again or does not belong to the layout.
    """
    places = AT.get(work.axle, {})
    case: dict[str, Any] = {"layout": _known_layout(layout, work.axle, rules), "readings": {}}
    for entry in _latest(book, work, places):
        at = places[entry["place"]]
        if entry["kind"] == "finding":
            if _belongs(entry, case["layout"], rules):
                _add_finding(case, at, entry)
        else:
            _add_reading(case, at, entry)
    for part, place, look, entry in _looks(book, work):
        _add_look(case, places.get(place, ""), part, look, entry)
    return case


def decide(case: Mapping[str, Any], rules: Rules) -> Mapping[str, Any]:
    """The decision of this case; the package that decides is loaded only now. Raises its EntryError, or ImportError."""
    from calculators.decision.decide import decide as decided

    return decided(case, rules)


def stock_rules() -> Rules:
    """The rules packed beside the calculators. Raises the decision's EntryError, or ImportError."""
    from calculators.decision.asked import stock_rules as stock

    return stock()


def actions_of(decision: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """Side → part → the worst action that rests on something recorded; what nobody looked at asks for nothing yet."""
    from calculators.job.answers import rank

    found: dict[str, dict[str, str]] = {}
    for side, parts in decision["actions"].items():
        for part, item in parts.items():
            seen = [ground["action"] for ground in item["grounds"] if ground["finding"] not in UNSEEN or ground["action"] == "replace"]
            if seen:
                found.setdefault(side, {})[part] = max(seen, key=rank)
    return found


def is_outdated(recorded: Entry, decision: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The sides and parts for which more is to be done by now than the recorded decision says."""
    from calculators.job.answers import rank

    rows = recorded["understood"].get("actions")
    said = {(row.get("side"), row.get("part")): row for row in rows if isinstance(row, Mapping)} if isinstance(rows, list) else {}
    now = {(side, part): item["action"] for side, parts in decision["actions"].items() for part, item in parts.items()}
    return [key for key, action in now.items() if rank(action) > rank(str(said.get(key, {}).get("action", "")))]


# ---------------------------------------------------------------- what counts


def _latest(book: Book, work: Work, places: Mapping[str, str]) -> list[Entry]:
    latest: dict[tuple[str, ...], tuple[int, Entry]] = {}
    for at, entry in enumerate(book.lined.standing):
        place = entry.get("place")
        if place not in places or not is_work(entry) or _is_superseded(book, work, at, entry):
            continue
        key = _key(book, entry)
        if key:
            latest[str(place), *key] = (at, entry)
    return [entry for _, entry in sorted(latest.values(), key=lambda each: each[0])]


def _key(book: Book, entry: Entry) -> tuple[str, ...]:
    typed = entry["typed"]
    if entry["kind"] == "finding":
        findings = typed.get("findings")
        sound = (
            isinstance(typed.get("part"), str)
            and isinstance(findings, list)
            and findings
            and all(isinstance(each, str) for each in findings)
        )
        return (book.handbook.address_of(entry["step"]), typed["part"]) if sound else ()
    calculator = typed.get("calculator")
    if entry["kind"] != "result" or not isinstance(calculator, str) or calculator == NAME or typed.get("apart") or not _is_readable(entry):
        return ()
    step = book.handbook.steps.get(book.handbook.address_of(entry["step"]))
    return () if of_reading(step, entry) or (step and step.reads and step.reads.apart) else ("=", calculator)


def _is_readable(entry: Entry) -> bool:
    understood = entry["understood"]
    maps = all(isinstance(understood.get(name) or {}, Mapping) for name in ("values", "inputs"))
    return maps and code_of(entry) in ("", *CODES)


def _is_superseded(book: Book, work: Work, at: int, entry: Entry) -> bool:
    """Made for other work than the step asks for now, or to be done again."""
    address = book.handbook.address_of(entry["step"])
    step = book.handbook.steps.get(address)
    if step is None:
        return False
    number = work.page.at.get(address)
    since = work.reopened.get((number, entry["place"]), -1) if number is not None and entry.get("procedure") in (None, work.page.id) else -1
    return is_changed(step, entry) or at <= since


# ---------------------------------------------------------------- the case


def _known_layout(layout: Mapping[str, str], axle: str, rules: Rules) -> dict[str, str]:
    axes = rules.get("axes", {})
    return {axis: value for axis, value in {**layout, "axle": axle}.items() if axis in axes and value != NOT_ASKED}


def _belongs(entry: Entry, layout: Mapping[str, str], rules: Rules) -> bool:
    """Whether this layout has the part, and the part these findings."""
    settled = {
        **{axis: "" for axis, each in rules["axes"].items() if axis not in layout and holds(each.get("when"), layout) is False},
        **layout,
    }
    part = next((each for each in rules["parts"] if each["part"] == entry["typed"]["part"]), None)
    if part is None or holds(part.get("when"), settled) is False:
        return False
    known = {each["id"]: each for each in part["findings"]}
    return all(
        name == "cannot-tell" or (name in known and holds(known[name].get("when"), settled) is not False)
        for name in entry["typed"]["findings"]
    )


def _add_finding(case: dict[str, Any], at: str, entry: Entry) -> None:
    listed = case.setdefault(at, {}).setdefault(entry["typed"]["part"], [])
    listed += [{"finding": finding, "step": entry["step"]} for finding in entry["typed"]["findings"]]


def _add_reading(case: dict[str, Any], at: str, entry: Entry) -> None:
    """What holds for the axle or the vehicle holds for both sides; the newer one counts."""
    understood = entry["understood"]
    result = {name: understood.get(name) or {} for name in ("values", "inputs")}
    for side in (at,) if at in SIDES else SIDES:
        reading = {"verdict": entry.get("verdict"), **result, "step": entry["step"]}
        case["readings"].setdefault(side, {})[entry["typed"]["calculator"]] = reading


def _looks(book: Book, work: Work) -> list[tuple[str, str, str, Entry]]:
    """How parts did when they were tried after the work on them, in order: (part, place, free or failed, entry)."""
    found: list[tuple[int, tuple[str, str, str, Entry]]] = []
    for number, step in enumerate(work.page.steps):
        if not step.free or not work.applies[number]:
            continue
        for place in work.places(number):
            last: Made | None = next((each for each in reversed(work.counting((number, place))) if is_work(each[1])), None)
            if last is None or last[1]["kind"] in ("not-applicable", "override"):
                continue
            failed = step.out.get(code_of(last[1])) == "stop"
            if failed or work.settled((number, place), False):
                found += [(last[0], (part, place, "failed" if failed else "free", last[1])) for part in step.free]
    return [each for _, each in sorted(found, key=lambda each: each[0])]


def _add_look(case: dict[str, Any], at: str, part: str, look: str, entry: Entry) -> None:
    """A second look needs a first one; the last counts."""
    for side in SIDES if at in ("axle", "vehicle") else (at,):
        if case.get(side, {}).get(part):
            case[side][part].append({"second_look": look, "step": entry["step"]})


def recorded_at(book: Book, axle: str) -> Made | None:
    """The last decision that was recorded for an axle."""
    return next(
        (
            (at, entry)
            for at, entry in reversed(list(enumerate(book.lined.standing)))
            if entry["kind"] == "result"
            and entry["typed"].get("calculator") == NAME
            and entry.get("place")
            and touches(entry["place"], axle)
        ),
        None,
    )


def decided_parts(decided: Sequence[tuple[str, str]]) -> list[str]:
    """Sides and parts in words."""
    return [f"{side} {part.replace('-', ' ')}" for side, part in decided]
