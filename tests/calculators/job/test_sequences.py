"""What holds for every job, tried on random sequences over whole jobs of the stock handbook.

A job that was worked off is cut somewhere, disturbed (wrong answers, undone and doubled entries, reasons, forks, other layouts), and for
a share worked off again. Few by default; `--slow` runs 20,000.
"""

from __future__ import annotations

import copy
import random
from functools import cache
from typing import Any

import pytest

from calculators.job.alone import is_alone
from calculators.job.entries import is_work, line_up, signature
from calculators.job.handbook import Handbook, Page, Step
from calculators.job.places import places_of, touches
from calculators.job.state import PageState, State
from tests.calculators.job.world import FIXED, HUB, NOW, REAR, SLIP_ON, Job, state_of, stock, work_off

pytestmark = pytest.mark.timeout(3000)

FOUR = {axis: value for axis, value in SLIP_ON.items() if axis != "axle"}
JOBS = (
    ("lift-and-support", SLIP_ON),
    ("service-speed-sensor", SLIP_ON),
    ("slide-pin-service", REAR | {"parking_brake": "none"}),
    ("replace-brake-hose", SLIP_ON),
    ("wheel-end-inspection", HUB),
    ("friction-only-service", SLIP_ON),
    ("replace-wheel-studs", SLIP_ON),
    ("replace-hub-unit", SLIP_ON),
    ("replace-fixed-caliper", FIXED),
    ("bearing-service", HUB),
    ("change-fluid", FOUR),
    ("front-brake-service", SLIP_ON),
    ("front-brake-service", HUB),
    ("rear-brake-service", REAR),
)
WEIGHTS = (6, 6, 6, 6, 4, 4, 4, 4, 3, 3, 2, 2, 1, 1)
FEW, MANY = 500, 20_000


@cache
def worked_off(number: int, variant: int) -> tuple[dict[str, Any], ...]:
    page, layout = JOBS[number]
    job = Job(stock(), page, layout, seed=f"{number} {variant}")
    work_off(job, 12, random.Random(variant) if variant else None)
    return tuple(job.entries)


def sequence(seed: int) -> tuple[Job, random.Random]:
    """A job that was cut and disturbed."""
    rng = random.Random(seed)
    number = rng.choices(range(len(JOBS)), WEIGHTS)[0]
    page, layout = JOBS[number]
    whole = worked_off(number, rng.randrange(3))
    job = Job(stock(), page, layout, seed=f"s{seed}")
    job.entries = list(whole[: len(whole) if rng.random() < 0.5 else rng.randint(1, len(whole))])
    for _ in range(rng.randint(1, 6)):
        disturb(job, rng)
    return job, rng


def disturb(job: Job, rng: random.Random) -> None:
    page = job.handbook.pages[job.page]
    step, place = somewhere(job, page, rng)
    kind = rng.choices(
        ("answer", "undo", "reason", "skip", "again", "fork", "layout", "reopen", "unjudged"), (6, 4, 2, 2, 4, 2, 0.4, 2, 1)
    )[0]
    if kind == "undo":
        job.undo(rng.choice(job.entries)["id"])
    elif kind == "reason":
        job.reason(step.address, place, **({"otherwise": {"how": "elsewhere", "by": "C"}} if rng.random() < 0.5 else {}))
    elif kind == "skip":
        job.skip(step.address, place)
    elif kind == "layout":
        job.add("layout", None, None, typed={"layout": {**JOBS[rng.randrange(len(JOBS))][1]}})
    elif kind == "fork":
        answer(job, step, place, rng, after=rng.choice(job.entries[-12:])["id"])
    elif kind == "reopen":
        begins = [each for each in page.steps if each.begins]
        if begins:
            chosen = rng.choice(begins)
            job.done(chosen.address, rng.choice(places_of(chosen.per, job.entries[0]["place"] or "")))
    elif kind == "unjudged" and "torque" in step.needs:
        job.add("torque", step.address, place, typed={"target": "90 N·m", "actual": "90 N·m"})
    else:
        answer(job, step, place, rng)


def somewhere(job: Job, page: Page, rng: random.Random) -> tuple[Step, str]:
    """Near what was worked, and mostly where an answer may do harm."""
    worked = [entry for entry in job.entries[-60:] if entry["step"] in page.at] if rng.random() < 0.7 else []
    at = page.at[rng.choice(worked)["step"]] if worked else rng.randrange(len(page.steps))
    near = page.steps[max(0, at - 5) : at + 6]
    sharp = [each for each in near if each.effects or each.out or each.reads or each.final]
    step = rng.choice(sharp or near)
    return step, rng.choice(places_of(step.per, job.entries[0]["place"] or ""))


def answer(job: Job, step: Step, place: str, rng: random.Random, **typed: Any) -> None:
    code = rng.choice([*step.out, *step.choice, "within", "beyond"])
    if step.choice:
        chosen = rng.choice(step.choice)
        job.choose(step.address, place, chosen, typed=typed)
    elif step.reads:
        job.read(step.address, place, rng.choice(("within", "within", "beyond", "too-close", "adjust")), **typed)
    elif "torque" in step.needs:
        job.add("torque", step.address, place, typed={"target": "1", "actual": "1", **typed}, verdict={"code": rng.choice(("within", "beyond")), "text": ""})  # fmt: skip
    elif code in step.out and rng.random() < 0.6:
        job.add("finding", step.address, place, typed={"outcome": code, **typed}, verdict={"code": code, "text": code})
    else:
        job.add("done", step.address, place, typed=typed)


# ---------------------------------------------------------------- an oracle, written on its own


def wrong_in_a_complete_page(job: Job, state: State, page: PageState) -> list[str]:
    """What a page that may be completed must not have, by a plain look at its entries. Empty: nothing."""
    handbook, plan = job.handbook, job.handbook.pages[page.id]
    lined = [entry for entry in line_up(job.entries, NOW).standing if entry["step"] in plan.at]
    stands = {(each.step, each.place): each.state for each in page.spots if each.state not in ("other-layout", "past")}
    wrong = [f"left: {name}" for name in things_left(handbook, lined)]
    wrong += [
        f"unsigned: {key}"
        for key in stands
        if is_alone(handbook.steps[key[0]]) and not is_signed(handbook.steps[key[0]], key[1], lined, plan)
    ]
    wrong += [f"beyond: {key}" for key in beyond(handbook, lined, job.entries)] if page.closes != "estimate" else []
    wrong += [f"led back: {key}" for key in led_back(plan, lined, stands, page.axle)]
    wrong += [f"out of turn: {key}" for key in out_of_turn(handbook, plan, lined, stands, job.entries)]
    wrong += [f"conflict: {key}" for key in apart(lined, job.entries)]
    return wrong


def things_left(handbook: Handbook, lined: list[dict[str, Any]]) -> set[tuple[str, str, str]]:
    last = {(entry["step"], entry["place"]): entry for entry in lined if is_work(entry)}
    left: set[tuple[str, str, str]] = set()
    sides = {"front": ("LF", "RF"), "rear": ("LR", "RR"), "vehicle": ("LF", "RF", "LR", "RR")}
    for entry in lined:
        if not is_work(entry) or entry["kind"] == "not-applicable":
            continue
        step, at = handbook.steps[entry["step"]], sides.get(entry["place"], (entry["place"],))
        code = (entry["verdict"] or {}).get("code")
        good = entry is last[entry["step"], entry["place"]] and (
            (entry["kind"] in ("done", "result") and not entry["typed"].get("outcome"))
            or (entry["kind"] == "torque" and code == "within")
            or (entry["kind"] == "override" and bool(entry["typed"].get("otherwise")))
        )
        pairs = (("takes_off", "fits", "off"), ("loosens", "torques", "loose"), ("opens", "closes", "open"), ("opens", "bleeds", "unbled"), ("opens", "leak_checks", "unchecked"))  # fmt: skip
        for begins, ends, kind in pairs:
            left |= {(kind, name, place) for name in step.effects.get(begins, ()) for place in at}
            if good:
                left -= {(kind, name, place) for name in step.effects.get(ends, ()) for place in at}
    return left


def is_signed(step: Step, place: str, lined: list[dict[str, Any]], plan: Page) -> bool:
    address = step.as_at or step.address
    own = [entry for entry in lined if entry["step"] == address and (entry["place"] == place or step.as_at) and is_work(entry)]
    return bool(own) and own[-1]["kind"] != "not-applicable" or step.as_at not in ("", *plan.at)


def beyond(handbook: Handbook, lined: list[dict[str, Any]], entries: list[dict[str, Any]]) -> list[tuple[str, str]]:
    told = {entry["typed"].get("unrepaired") for entry in lined if entry["typed"].get("told") and entry["typed"].get("note")}
    found: dict[tuple[str, str], Any] = {}
    for number, entry in enumerate(lined):
        step = handbook.steps[entry["step"]]
        reading = entry["kind"] == "torque" or (entry["kind"] == "result" and "given" in entry["typed"])
        if reading and not (step.reads and step.reads.derived):
            code = (entry["verdict"] or {}).get("code")
            if code == "beyond":
                found[entry["step"], entry["place"]] = (number, entry)
            elif code == "within":
                found.pop((entry["step"], entry["place"]), None)
    return [key for key, (number, entry) in found.items() if entry["id"] not in told and not put_right(handbook, lined, key, number)]


def put_right(handbook: Handbook, lined: list[dict[str, Any]], key: tuple[str, str], number: int) -> bool:
    reads = handbook.steps[key[0]].reads
    for entry in lined[number + 1 :] if reads and reads.judges else ():
        step = handbook.steps[entry["step"]]
        if touches(entry["place"], key[1]):
            again = step.reads and step.reads.calculator == reads.calculator and (entry["verdict"] or {}).get("code") == "within"
            if again or set(step.effects.get("fits", ())) & set(reads.judges):
                return True
    return False


def led_back(plan: Page, lined: list[dict[str, Any]], stands: dict[tuple[str, str], str], axle: str) -> list[tuple[str, str]]:
    last = {(entry["step"], entry["place"]): number for number, entry in enumerate(lined) if is_work(entry)}
    found = []
    for number, entry in enumerate(lined):
        at = plan.at[entry["step"]]
        target = plan.back[at].get((entry["verdict"] or {}).get("code", ""))
        if target is None or not is_work(entry) or entry["place"] not in places_of(plan.steps[at].per, axle):
            continue
        for step in plan.steps[target : at + 1]:
            for key in stands:
                if key[0] == step.address and touches(key[1], entry["place"]) and not step.as_at and last.get(key, -1) <= number:
                    found.append(key)
    return found


def out_of_turn(handbook, plan, lined, stands, entries) -> list[tuple[str, str]]:
    explained = {entry["typed"].get("explains") for entry in lined}
    last = {(entry["step"], entry["place"]): (number, entry) for number, entry in enumerate(lined) if is_work(entry)}
    found = []
    for (address, place), (number, entry) in last.items():
        if (address, place) not in stands or entry["id"] in explained or entry["kind"] in ("override", "not-applicable"):
            continue
        for awaited in handbook.steps[address].hold:
            for key in stands:
                if (
                    key[0] == awaited
                    and touches(key[1], place)
                    and (key[1] == place or place not in [k[1] for k in stands if k[0] == awaited])
                ):
                    if not any(each["step"] == awaited and each["place"] == key[1] and is_work(each) for each in lined[:number]):
                        found.append((address, place))
    return found


def apart(lined: list[dict[str, Any]], entries: list[dict[str, Any]]) -> list[tuple[str, str]]:
    """Standing entries that name the same one before them and say different things of one place."""
    settled = {each for entry in lined for each in entry["typed"].get("settles", ())}
    found, seen = [], {}
    for entry in lined:
        key = (entry["typed"].get("after"), entry["step"], entry["place"])
        if key[0] and is_work(entry) and key in seen and signature(seen[key]) != signature(entry) and entry["id"] not in settled:
            found.append(key[1:])
        if is_work(entry):
            seen[key] = entry
    return found


# ---------------------------------------------------------------- properties


def states(state: State, page: str) -> dict[tuple[str, str], str]:
    return {(each.step, each.place): each.state for each in state.pages[page].spots}


def check_complete(job: Job, state: State, seed: int) -> bool:
    page = state.pages[job.page]
    if not page.may_complete:
        return False
    assert wrong_in_a_complete_page(job, state, page) == [], seed
    assert not [each for each in state.left if each.page == job.page] and not state.conflicts, seed
    return True


def check_left(job: Job, state: State, seed: int) -> None:
    """Each thing left over has a step that can be signed, or that waits for one that can."""
    spots = {(each.step, each.place): each for each in state.pages[job.page].spots}
    for left in state.left:
        assert left.by, (seed, left)
        here = [spots[remedy.step, remedy.place] for remedy in left.by if remedy.page == job.page]
        assert not here or any(can_be_reached(spots, each, set()) for each in here), (seed, left, here)


def can_be_reached(spots: dict[tuple[str, str], Any], spot: Any, seen: set[tuple[str, str]]) -> bool:
    if spot.is_closed or (spot.step, spot.place) in seen:
        return False
    seen.add((spot.step, spot.place))
    waits = [tuple(each) for each in spot.why.get("waits", ())]
    return spot.can_be_signed or all(key not in spots or can_be_reached(spots, spots[key], seen) for key in waits)


def check_undo(job: Job, state: State, rng: random.Random, seed: int) -> None:
    """An entry undone is the sequence without it, the later ones chained anew."""
    gone = rng.choice(job.entries)
    without = copy.deepcopy([entry for entry in job.entries if entry["id"] != gone["id"]])
    for entry in without:
        if entry["typed"].get("after") == gone["id"]:
            entry["typed"] = {**entry["typed"], "after": gone["typed"].get("after", "")}
    undone = Job(job.handbook, job.page, seed=f"u{seed}")
    undone.entries = list(job.entries)
    undone.undo(gone["id"])
    one, other = undone.state(), state_of(job.handbook, without, pages=[job.page])
    assert states(one, job.page) == states(other, job.page), (seed, gone)
    assert [each.left for each in one.left] == [each.left for each in other.left], (seed, gone)


def check_side(job: Job, state: State, rng: random.Random, seed: int) -> None:
    """An entry of one side changes nothing on the other, but by a hold on a step of the axle, and what puts the other side right."""
    page = job.handbook.pages[job.page]
    sides = [each for each in page.steps if each.per == "side" and not each.as_at]
    place = rng.choice(places_of("side", state.pages[job.page].axle))
    more = Job(job.handbook, job.page, seed=f"o{seed}")
    more.entries = list(job.entries)
    if not sides:
        return
    step = rng.choice(sides)
    answer(more, step, place, rng)
    before, after = states(state, job.page), states(more.state(), job.page)
    for (address, at), now in after.items():
        other = job.handbook.steps[address]
        if at != place and other.per == "side" and not other.hold and not touches(at, place):
            assert before.get((address, at), now) == now, (seed, step.address, place, address, at)


def check_times(job: Job, state: State, rng: random.Random, seed: int) -> None:
    """Other times, another order in the file and other ids, with one chain: one state. Without forks, which time would order."""
    if line_up(job.entries, NOW).has_forks:
        return
    names = {entry["id"]: f"{rng.getrandbits(128):032x}" for entry in job.entries}
    other = [_renamed(entry, names) for entry in job.entries]
    for entry in other:
        entry["time"] = f"2026-11-25T08:{rng.randrange(60):02d}:{rng.randrange(60):02d}.000+00:00"
    rng.shuffle(other)
    assert states(state_of(job.handbook, other, pages=[job.page]), job.page) == states(state, job.page), seed


def _renamed(entry: dict[str, Any], names: dict[str, str]) -> dict[str, Any]:
    typed = {key: names.get(value, value) if isinstance(value, str) else value for key, value in entry["typed"].items()}
    return {**entry, "id": names[entry["id"]], "typed": typed}


def run(seeds: range) -> int:
    completed = 0
    for seed in seeds:
        job, rng = sequence(seed)
        state = job.state()
        is_complete = check_complete(job, state, seed)
        check_left(job, state, seed)
        which = rng.randrange(8)
        if which == 0:
            check_undo(job, state, rng, seed)
        elif which == 1:
            check_side(job, state, rng, seed)
        elif which == 2:
            check_times(job, state, rng, seed)
        elif not is_complete and which < 6:
            is_complete = check_complete(job, work_off(job, 6), seed)
        completed += is_complete
    return completed


def test_whatever_is_recorded_nothing_is_complete_that_is_not():
    assert run(range(FEW)) >= FEW / 5


@pytest.mark.slow
def test_the_same_over_many():
    assert run(range(FEW, FEW + MANY)) >= MANY / 5


def test_the_jobs_that_are_tried_can_all_be_worked_off():
    for number, (page, _) in enumerate(JOBS):
        last = state_of(stock(), list(worked_off(number, 0)), pages=[page]).pages[page]
        assert last.may_complete, (page, [lack.line for lack in last.lacking[:3]])
    assert len({page for page, _ in JOBS}) >= 6 and len({str(layout) for _, layout in JOBS}) >= 5


# ---------------------------------------------------------------- several pages

SEVERAL = (
    (("friction-only-service", SLIP_ON), ("replace-brake-hose", SLIP_ON), ("reservoir-ran-dry", SLIP_ON)),
    (("wheel-end-inspection", SLIP_ON), ("slide-pin-service", SLIP_ON)),
    (("service-speed-sensor", SLIP_ON), ("slide-pin-service", REAR | {"parking_brake": "none"})),
)


def of_several_pages(seed: int) -> Job:
    """Stretches of several jobs one after another in one record, disturbed on each."""
    rng = random.Random(seed)
    chosen = rng.choice(SEVERAL)
    job = Job(stock(), chosen[0][0], chosen[0][1], seed=f"p{seed}")
    for page, layout in chosen:
        job.page = page
        job.add("layout", None, layout["axle"], typed={"layout": layout})
        for _ in range(rng.randint(1, 2)):
            work_off(job, 1)
        for _ in range(rng.randint(0, 3)):
            disturb(job, rng)
    return job


def check_several(seed: int) -> None:
    job = of_several_pages(seed)
    state = job.state()
    spots = {(name, each.step, each.place): each for name, page in state.pages.items() for each in page.spots}
    for left in state.left:
        shown = [spots[remedy.page, remedy.step, remedy.place] for remedy in left.by if (remedy.page, remedy.step, remedy.place) in spots]
        assert left.by and (not shown or any(not each.is_closed for each in shown)), (seed, left)
    if state.may_hand_over:
        assert not state.left and all(page.may_complete or page.closed or not page.worked for page in state.pages.values()), seed
    if seed % 3 == 0:
        for page in state.pages:
            job.page = page
            check_undo(job, state, random.Random(seed), seed)


def test_a_job_of_several_pages_is_not_handed_over_with_work_left():
    for seed in range(24):
        check_several(seed)


@pytest.mark.slow
def test_the_same_over_many_jobs_of_several_pages():
    for seed in range(24, 1_000):
        check_several(seed)
