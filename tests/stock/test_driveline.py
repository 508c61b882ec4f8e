"""What is felt at a wheel, hub or rotor turned by hand is felt with the driveline free, and the vehicle is held before it comes down."""

import re

import pytest

from build_tools.content.load import load
from build_tools.content.page_order import address_of, included, steps_of
from build_tools.paths import PROJECT

LOWERS = ("wheel-and-torque/lift-off-stands", "road-test/lower-after-recheck")
# Steps that turn or rock something by hand, and judge nothing by it that a held driveline spoils; each with its reason.
NOT_JUDGED = {
    "press-wheel-studs/find-way-out": "the stud is brought to the gap behind the flange",
    "fit-speed-sensor/run-lead": "the lead is watched",
    "bolt-hub-unit-on/snug-hub-bolts": "the unit is turned to reach its bolts",
    "join-captured-rotor/turn-rotor-with-hub": "hub and rotor lie on the bench",
    "machine-on-vehicle/free-the-hub": "this step itself asks for neutral",
    "read-mounted-runout/lean-on-hub": "the hand pushes while the next step reads",
    "brake-drag-check/judge-crack": "what was felt before is written down",
    "brake-drag-check/judge-joint-turn": "what was felt before is written down",
    "inspect-before-teardown/judge-open-drag": "what was felt before is written down",
    "wheel-and-torque/snug-wheel-nuts": "the wheel is turned between two rounds, and nothing is felt",
}
TURNS = re.compile(
    r"\b(turn|turning|turned|rock|spin|feel)\b[^.]*\b(rotor|hub|wheel)s?\b|\b(rotor|hub|wheel)s?\b[^.]*\b(turn|turned|turns|rocked)\b", re.I
)


def faults(steps) -> list[str]:
    """Steps of a page, in order, that need a free driveline and may not have it in some layout or after some outcome.

    Only a step that every layout shows frees it, or one under the same condition; any step that holds it again, shown or not, ends that. An outcome that
    leads past the freeing step without it says why, at that step itself.
    """
    wrong, freed = [], None
    order = {placed.address: number for number, placed in enumerate(steps)}
    frees = [number for number, placed in enumerate(steps) if placed.step.driveline == "freed"]
    for number, placed in enumerate(steps):
        step = placed.step
        if step.driveline == "freed":
            freed = placed if placed.when is None or freed is None else freed
        elif step.driveline == "held":
            freed = None
        elif step.driveline == "must be free" and (freed is None or freed.when not in (None, placed.when)):
            wrong.append(f"{placed.address}: nothing before it frees the driveline")
        for code, outcome in (*step.if_not.items(), *step.otherwise.items()):
            end = order.get(address_of(outcome.go, placed.home)) if outcome.go else None
            if end is not None and step.driveline != "freed" and any(number < free < end for free in frees):
                needed = next((p for p in steps[end:] if p.step.driveline), None)
                if needed and needed.step.driveline == "must be free":
                    wrong.append(f"{placed.address}: '{code}' leads past what frees the driveline, to {needed.address}")
    return wrong


@pytest.fixture(scope="module")
def handbook():
    return load(PROJECT / "site_data", None)


@pytest.fixture(scope="module")
def jobs(handbook):
    """Every page that is no part of another: whole jobs and symptoms."""
    within = included(handbook.procedures.values())
    return {p.id: steps_of(p, handbook.procedures) for p in handbook.procedures.values() if p.id not in within}


def test_the_driveline_is_free_wherever_drag_play_or_runout_is_judged(jobs):
    assert len({placed.address for steps in jobs.values() for placed in steps if placed.step.driveline == "must be free"}) > 60
    assert [f"{job}: {fault}" for job, steps in jobs.items() for fault in faults(steps)] == []


def test_what_is_turned_by_hand_and_judged_says_that_it_must_be_free(handbook):
    """A step that turns a rotor by hand and asks what is felt, or expects something of it, declares it."""
    wrong = []
    for procedure in handbook.procedures.values():
        for placed in steps_of(procedure, handbook.procedures):
            step = placed.step
            judged = (step.enter and (step.enter.choice or step.enter.calculator)) or (
                step.expect and re.search(r"\bturns?\b|scrape|touches|drag", step.expect)
            )
            by_hand = TURNS.search(step.do) and not re.search(
                r"nut|bolt|screw|steering|race|adjuster of the cable|while you drive|lathe|bleeder by", step.do, re.I
            )
            if placed.home == procedure.id and judged and by_hand and step.driveline is None and placed.address not in NOT_JUDGED:
                wrong.append(f"{placed.address}: {step.do}")
    assert wrong == []


def test_what_needs_no_free_driveline_is_still_there(handbook):
    steps = {f"{p.id}/{s.id}" for p in handbook.procedures.values() for s in p.steps if hasattr(s, "id")}
    assert set(NOT_JUDGED) <= steps


def test_the_vehicle_is_held_before_it_comes_down(jobs):
    wrong = []
    for job, steps in jobs.items():
        state = None
        for placed in steps:
            state = placed.step.driveline if placed.step.driveline in ("freed", "held") else state
            if placed.address in LOWERS and state == "freed":
                wrong.append(f"{job}: {placed.address}")
        if state == "freed" and job != "reservoir-ran-dry":  # that page leads back to a job, which ends with its wheels on
            wrong.append(f"{job}: ends in neutral")
    assert wrong == []


def test_the_engine_is_not_started_with_the_wheels_free_to_be_driven(handbook):
    steps = [s for s in handbook.procedures["prove-the-brake"].steps if hasattr(s, "id")]
    before = [s.driveline for s in steps[: [s.id for s in steps].index("start-engine")] if s.driveline in ("freed", "held")]
    assert before[-1] == "held"


@pytest.mark.parametrize(
    ("states", "count"),
    [
        (["must be free"], 1),
        (["freed", "must be free"], 0),
        (["freed", "held", "must be free"], 1),
        (["freed", None, "must be free", "held"], 0),
    ],
)
def test_the_rule_itself(states, count):
    class Fake:
        def __init__(self, number, state):
            self.address, self.home, self.when = f"job/s{number}", "job", None
            self.step = type("S", (), {"driveline": state, "if_not": {}, "otherwise": {}})()

    assert len(faults([Fake(number, state) for number, state in enumerate(states)])) == count


def test_what_secures_the_gear_for_the_engine_holds_the_driveline(handbook):
    secured = {
        f"{p.id}/{s.id}": s.driveline
        for p in handbook.procedures.values()
        for s in p.steps
        if "gear" in (getattr(s, "secures", None) or [])
    }
    assert secured and set(secured.values()) == {"held"}


DRIVEN_ON = {
    "first-stop": "the vehicle is driven next",
    "walk-round": "the lamps are read with the engine running, and the vehicle is moved next",
}


def left_running(steps) -> list[str]:
    """Ways of a procedure's own steps on which an engine that was started is running at the end, or where the way leaves for another page."""
    number = {step.id: at for at, step in enumerate(steps)}
    wrong, seen, todo = [], set(), [(0, False)]
    while todo:
        at, runs = todo.pop()
        if (at, runs) in seen:
            continue
        seen.add((at, runs))
        if at == len(steps):
            wrong += ["the end"] if runs else []
            continue
        step = steps[at]
        runs = bool(step.starts) or runs and not step.stops
        todo.append((at + 1, runs))
        for code, way in (*step.if_not.items(), *step.otherwise.items()):
            if way.go and way.go in number:
                todo.append((number[way.go], runs))
            elif way.go and runs:
                wrong.append(f"{step.id}: {code}")
    return wrong


def test_an_engine_that_was_started_is_stopped_on_every_way(handbook):
    own = {p.id: [s for s in p.steps if hasattr(s, "id")] for p in handbook.procedures.values()}
    wrong = {name: left_running(steps) for name, steps in own.items() if name not in DRIVEN_ON}
    assert {name: ways for name, ways in wrong.items() if ways} == {}
    assert all(left_running(own[name]) for name in DRIVEN_ON)


@pytest.mark.parametrize("job", ["reservoir-ran-dry", "replace-master-cylinder"])
def test_a_job_that_opens_both_circuits_asks_for_all_four_wheels(handbook, job):
    """A page names one axle; the other one is raised and bled too, and what was raised elsewhere comes down again."""
    steps = steps_of(handbook.procedures[job], handbook.procedures)
    order = [placed.address for placed in steps]
    raised = next(
        at
        for at, placed in enumerate(steps)
        if any(way.go == "lift-and-support/find-makers-lift-points" and way.back for way in placed.step.if_not.values())
    )
    bled = next(at for at, placed in enumerate(steps) if placed.home == job and "all four wheels have been bled" in placed.step.do)
    assert raised < order.index("bleed-master-in-place/stroke-for-master") < bled < order.index("prove-the-brake/judge-pedal")
    down = [address for address in order if address in ("reservoir-ran-dry/other-axle-down", "wheel-and-torque/torque-other-axle")]
    assert down and order.index(down[0]) > order.index("prove-the-brake/check-leaks")


def test_hands_go_back_to_the_wheel_ends_of_a_by_wire_system_that_sleeps(handbook):
    """After the maker's bleeding routine the next step is sleep, and the first parking brake service mode ends with its charger off."""
    ids = [s.id for s in handbook.procedures["bleed-by-wire"].steps]
    assert ids[ids.index("run-routine") + 1] == "sleep-after-routine"
    ids = [s.id for s in handbook.procedures["make-safe"].steps]
    assert ids.index("set-service-mode") < ids.index("shut-down-by-wire") < ids.index("charger-off") < ids.index("key-away")


def test_the_parking_brake_is_applied_before_the_chocks_come_away(handbook):
    ids = [s.id for s in handbook.procedures["first-stop"].steps]
    assert ids.index("start-engine") < ids.index("parking-brake-to-drive") == ids.index("take-chocks") - 1
