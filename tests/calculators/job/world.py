"""What the tests of a job's state share: small handbooks, the stock one, a recorder of entries, and a driver that works a page off."""

from __future__ import annotations

import hashlib
import json
import random
from functools import cache
from typing import Any

from build_tools.content.decision_rules import export
from build_tools.content.load import load
from build_tools.jobs.steps_data import steps_data
from build_tools.paths import PROJECT
from calculators.job.handbook import Handbook, Page, Step, read_handbook
from calculators.job.spots import SpotState
from calculators.job.state import State, work_out

NOW = "2026-11-25T09:30:00+00:00"
NOTHING: dict[str, Any] = {"actions": {"left": {}, "right": {}}}
SLIP_ON = {
    "axle": "front", "rotor": "slip-on", "bearing": "hub-unit", "caliper": "sliding-one-piston", "slides": "bolt-into-pin",
    "parking_brake": "none", "abs": "conventional", "wheel_fastening": "studs", "bracket": "bracketed",
}  # fmt: skip
HUB = SLIP_ON | {"rotor": "hub", "bearing": "tapered-roller", "nut": "castle"}
REAR = SLIP_ON | {"axle": "rear", "parking_brake": "electric"}
FIXED = SLIP_ON | {"caliper": "fixed-two-piston"}


@cache
def loaded() -> Any:
    """The stock handbook as the build loads it."""
    return load(PROJECT / "site_data")


@cache
def stock_data() -> dict[str, Any]:
    """The stock handbook's steps as data, through JSON as a page gets them; and the rules of its decision."""
    return {"steps": json.loads(json.dumps(steps_data(loaded()))), "rules": json.loads(json.dumps(export(loaded())))}


@cache
def stock() -> Handbook:
    return read_handbook(stock_data()["steps"])


def undecided(case: Any, rules: Any) -> dict[str, Any]:
    """A decision that asks for nothing: for sequences that are not about it, and quick."""
    return NOTHING


def mini(*steps: dict[str, Any], pages: dict[str, Any] | None = None, **page: Any) -> Handbook:
    """A handbook of one page `job` with these steps, each {"id", …} as in the data; or of several pages, id → (ids of steps, entries)."""
    known = {
        f"job/{step['id']}": {"do": step["id"], "hash": _hash(step["id"], 12), "work": _hash("work " + step["id"], 12), **_whole(step)}
        for step in steps
    }
    listed = pages or {"job": ([step["id"] for step in steps], page)}
    return read_handbook(
        {
            "format": "wheel-end-steps/1",
            "when": [[{"rotor": ["hub"]}]],
            "axes": {},
            "judged": {"rotor": {"rotor-thickness": {"beyond": "replace", "adjust": "service", "too-close": "measure again"}}},
            "homes": {name: ids for name, (ids, _) in listed.items()} | {"job": [step["id"] for step in steps]},
            "steps": known,
            "pages": {name: {"title": name, "order": _order(ids, known), **more} for name, (ids, more) in listed.items()},
        }
    )  # fmt: skip


def _order(ids: list[str], known: dict[str, Any]) -> list[Any]:
    return [part for each in ids for part in ("job", each, [known[f"job/{each}"].get("hub_only", -1), 1])]


def _whole(step: dict[str, Any]) -> dict[str, Any]:
    """Steps are named by their ids alone in tests."""
    told = {name: value for name, value in step.items() if name != "id"}
    if "hold" in told:
        told["hold"] = [f"job/{each}" for each in told["hold"]]
    if "out" in told:
        told["out"] = {code: to if to in ("again", "stop") or "/" in to else f"job/{to}" for code, to in told["out"].items()}
    if "as_at" in told:
        told["as_at"] = f"job/{told['as_at']}"
    return told


def _hash(text: str, length: int) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:length]


class Job:
    """A recorder of entries, chained as the page will chain them (`chained=False`: as it writes them today)."""

    def __init__(
        self, handbook: Handbook, page: str = "job", layout: dict[str, str] | None = None, *, chained: bool = True, seed: str = ""
    ):
        self.handbook, self.page, self.chained, self.seed = handbook, page, chained, seed
        self.entries: list[dict[str, Any]] = []
        self.add("layout", None, (layout or SLIP_ON).get("axle"), typed={"layout": dict(layout or SLIP_ON)})

    def add(self, kind: str, step: str | None = None, place: str | None = None, **more: Any) -> str:
        number = len(self.entries)
        address = None if step is None else step if "/" in step else f"job/{step}"
        known = self.handbook.steps.get(address or "")
        typed = dict(more.pop("typed", {}))
        if self.chained and self.entries and "after" not in typed:
            typed["after"] = self.entries[-1]["id"]
        self.entries.append(
            {
                "id": _hash(f"{self.seed} {number}", 32), "job": "a" * 32, "time": f"2026-11-25T08:{number // 60 % 60:02d}:{number % 60:02d}.000+00:00",
                "procedure": self.page, "revision": 1, "build": "b", "step": address, "hash": known.hash if known else None, "place": place,
                "try": 1, "kind": kind, "typed": typed, "understood": {}, "limits": {}, "verdict": None, "by": "A", "note": "", **more,
            }
        )  # fmt: skip
        return str(self.entries[-1]["id"])

    # one line an entry
    def done(self, step: str, place: str, **more: Any) -> str:
        return self.add("done", step, place, **more)

    def choose(self, step: str, place: str, code: str, **more: Any) -> str:
        typed = {"choice": code, **more.pop("typed", {})}
        return self.add("result", step, place, typed=typed, verdict={"code": code, "text": code}, understood={"shown": code}, **more)

    def read(self, step: str, place: str, code: str, **typed: Any) -> str:
        known = self.handbook.steps.get(step if "/" in step else f"job/{step}")
        of = {"of": known.reads.of} if known and known.reads and known.reads.of else {}
        calculator = known.reads.calculator if known and known.reads else "rotor-thickness"
        understood = {"values": {"shown": {}}, "shown": code}
        return self.add("result", step, place, typed={"calculator": calculator, "given": {}, **of, **typed}, verdict={"code": code, "text": code}, understood=understood)  # fmt: skip

    def torque(self, step: str, place: str, code: str = "within", **more: Any) -> str:
        typed = {"target": "110 N·m", "actual": "110 N·m", "tool": "3"}
        return self.add("torque", step, place, typed=typed, verdict={"code": code, "text": code}, **more)

    def find(self, step: str, place: str, part: str, finding: str, action: str) -> str:
        return self.add("finding", step, place, typed={"part": part, "findings": [finding]}, understood={"findings": [{"id": finding, "action": action}]})  # fmt: skip

    def decide(self, step: str, place: str, *rows: tuple[str, str, str]) -> str:
        actions = [{"side": side, "part": part, "action": action} for side, part, action in rows]
        return self.add("result", step, place, typed={"calculator": "wheel-end-decision"}, understood={"actions": actions}, verdict={"code": "within", "text": ""})  # fmt: skip

    def reason(self, step: str, place: str, note: str = "no wrench here", **typed: Any) -> str:
        return self.add("override", step, place, note=note, typed=typed)

    def skip(self, step: str, place: str) -> str:
        return self.add("not-applicable", step, place, note="does not apply: x")

    def undo(self, entry: str) -> str:
        return self.add("withdrawn", typed={"withdraws": entry})

    def look(self, step: str, place: str, entry: str) -> str:
        return self.add("verified", step, place, typed={"verifies": entry, "look": "second person"}, by="B")

    # the state
    def state(self, **how: Any) -> State:
        return state_of(self.handbook, self.entries, **{"pages": [self.page], **how})

    def spot(self, step: str, place: str, **how: Any) -> SpotState:
        address = step if "/" in step else f"job/{step}"
        found = [each for each in self.state(**how).pages[self.page].spots if (each.step, each.place) == (address, place)]
        assert found, f"{address} {place} is no place of the page"
        return found[0]

    def codes(self, **how: Any) -> list[str]:
        """The codes of what the page lacks."""
        return [lack.code for lack in self.state(**how).pages[self.page].lacking]

    def left(self) -> list[tuple[str, str, str]]:
        return [(each.left.kind, each.left.name, each.left.place) for each in self.state().left]


def state_of(handbook: Handbook, entries: list[dict[str, Any]], **how: Any) -> State:
    return work_out(handbook, entries, how.pop("now", NOW), **{"decide": undecided, "rules": {"axes": {}, "parts": []}, **how})


# ---------------------------------------------------------------- a driver


def good_code(page: Page, number: int, step: Step, rng: random.Random | None = None, prefer: dict[str, str] | None = None) -> str:
    """An answer that lets the page go on: of those that neither repeat, stop, lead back or away, the first that says least of parts."""
    if step.address in (prefer or {}):
        return (prefer or {})[step.address]
    bad = (
        {code for code, to in step.out.items() if to in ("again", "stop") or (to not in page.at)} | set(step.away) | set(page.back[number])
    )
    fine = [code for code in step.choice if code not in bad] or list(step.choice)
    return rng.choice(fine) if rng else fine[0]


def sign(job: Job, spot: SpotState, rng: random.Random | None = None, prefer: dict[str, str] | None = None) -> str:
    """Sign a place as it should be; returns the code of the answer, '' where none was asked."""
    step, page, place = job.handbook.steps[spot.step], job.handbook.pages[job.page], spot.place
    if spot.state == "look":
        job.look(step.address, place, spot.why["entry"])
        return ""
    if spot.state == "conflict":
        job.undo(spot.why["against"][0])
        return ""
    if spot.state == "out-of-turn":
        job.add("text", step.address, place, typed={"note": "looked at again", "explains": spot.why["entry"]})
        return ""
    code = ""
    for need in step.needs:
        if need == "torque":
            job.torque(step.address, place)
        elif need == "finding":
            job.find(step.address, place, step.finds, "sound", "use again")
        elif need == "text":
            job.add("text", step.address, place, typed={"text": "x"})
        elif step.decides:
            job.decide(step.address, place)
        elif step.choice:
            code = good_code(page, page.at[step.address], step, rng, prefer)
            against = {"typed": {"against": list(spot.why["against"])}, "note": "seen, and agreed"} if spot.state == "contradicted" else {}
            job.choose(step.address, place, code, **against)
        else:
            job.read(step.address, place, "within")
    if not step.needs:
        job.done(step.address, place)
    return code


def work_off(job: Job, rounds: int = 12, rng: random.Random | None = None, prefer: dict[str, str] | None = None) -> State:
    """Sign what can be signed, in the order of the page, until nothing is left to sign or the rounds are over."""
    page = job.handbook.pages[job.page]
    state = job.state()
    for _ in range(rounds):
        now = state.pages[job.page]
        for beyond in state.beyond:
            if not beyond.unrepaired:
                job.add("text", beyond.step, beyond.place, typed={"note": "refused", "told": "the owner", "unrepaired": beyond.entry})
        spots = now.next
        if not now.may_sign_complete:
            spots = [each for each in spots if each.step not in now.completing]
        if not spots and not now.lacking:
            break
        if state.interruption:
            job.add("back")
        _sign_all(job, page, spots, rng, prefer)
        state = job.state()
    return state


def _sign_all(job: Job, page: Page, spots: list[SpotState], rng: random.Random | None, prefer: dict[str, str] | None) -> None:
    past = 0
    for count, spot in enumerate(spots):
        number = page.at[spot.step]
        step = page.steps[number]
        only_back = bool(step.choice) and all(
            code in page.back[number] or code in step.away or step.out.get(code) in ("again", "stop") for code in step.choice
        )
        if number < past or (only_back and count and spot.state != "contradicted"):
            continue
        past = max(past, page.onward[number].get(sign(job, spot, rng, prefer), 0))
