"""On a vehicle with wheel bolts no step speaks of studs or nuts alone, and none is left out where the action is another."""

import re

import pytest

from build_tools.content.load import load
from build_tools.content.model import Step
from build_tools.content.page_order import steps_of, whole_jobs
from build_tools.content.when import holds
from build_tools.paths import PROJECT

BOLTS, STUDS = {"wheel_fastening": "bolts"}, {"wheel_fastening": "studs"}
# Studs that hold no wheel.
OTHER_STUDS = {"replace-master-cylinder": "the master cylinder sits on studs of the booster or the bulkhead"}
WHEEL_NUT = re.compile(r"\bwheel nuts?\b|\bopen nuts?\b|\bclosed nuts?\b|\blocking[- ]nuts?\b", re.I)
STUD = re.compile(r"\bstuds?\b", re.I)
ELSE = re.compile(r"\bbolts?\b|\bthreads?\b|\bholes?\b|stands out", re.I)  # what the same thing is on a hub with threads


@pytest.fixture(scope="module")
def handbook():
    return load(PROJECT / "site_data", None)


def texts(step: Step, handbook) -> list[str]:
    ways = [*step.if_not.values(), *step.otherwise.values()]
    enter = step.enter
    asked = [*(enter.choice or {}).values(), enter.text] if enter else []
    said = [
        step.do,
        step.why,
        step.note,
        step.expect,
        *asked,
        step.hold.say if step.hold else None,
        *(text for way in ways for text in (way.say, way.stop)),
    ]
    said += [label for name in (*step.tools, *step.always_new) for label in (handbook.components[name].label,)]
    for name in step.cautions:
        caution = handbook.cautions[name]
        if holds(caution.when, BOLTS) is not False:
            said += [caution.hazard, caution.consequence, *caution.avoid]
    if enter and enter.findings:
        said += [
            text
            for finding in handbook.findings[enter.findings].findings
            if holds(finding.when, BOLTS) is not False
            for text in (finding.says, finding.how, finding.reason)
            if text
        ]
    return [text for text in said if text]


def speaks_of_studs_alone(text: str) -> bool:
    return bool(WHEEL_NUT.search(text) and not re.search(r"\bbolts?\b", text) or STUD.search(text) and not ELSE.search(text))


def shown(handbook, layout):
    """Every step that some job shows where the wheels are held so, with its address."""
    for procedure in handbook.procedures.values():
        for placed in steps_of(procedure, handbook.procedures):
            if holds(procedure.when, layout) is not False and holds(placed.when, layout) is not False and placed.home not in OTHER_STUDS:
                home = handbook.procedures[placed.home]
                if holds(home.when, layout) is not False:
                    yield placed


def test_no_step_speaks_of_studs_or_wheel_nuts_alone(handbook):
    wrong = {
        placed.address: text for placed in shown(handbook, BOLTS) for text in texts(placed.step, handbook) if speaks_of_studs_alone(text)
    }
    assert wrong == {}


def test_no_step_about_the_wheel_fastening_says_nut_alone(handbook):
    """A step that loosens or tightens the wheel means nuts where it says nuts."""
    about = [placed for placed in shown(handbook, BOLTS) if "wheel-nut" in placed.parts or placed.step.figure == "wheel-nut-star"]
    assert len(about) > 8
    wrong = {
        placed.address: text
        for placed in about
        for text in texts(placed.step, handbook)
        if re.search(r"\bnuts?\b", text) and not re.search(r"\bbolts?\b", text)
    }
    assert wrong == {}


def test_no_page_speaks_of_studs_alone(handbook):
    wrong = []
    for procedure in handbook.procedures.values():
        if holds(procedure.when, BOLTS) is False or procedure.id in OTHER_STUDS:
            continue
        for text in (
            procedure.title,
            procedure.short,
            procedure.purpose,
            procedure.end_state,
            *procedure.conditions,
            procedure.stop_driving,
            *procedure.also,
        ):
            if text and speaks_of_studs_alone(text):
                wrong.append(f"{procedure.id}: {text}")
    for kind in (handbook.references, handbook.terms):
        for item in kind.values():
            for text in [item.meaning] if hasattr(item, "meaning") else [t for i in item.items for t in (i.look, *i.points, *i.never) if t]:
                if speaks_of_studs_alone(text) and item.id not in ("wheel-nut", "wheel-stud"):
                    wrong.append(f"{item.id}: {text}")
    for field in handbook.fields.values():
        if speaks_of_studs_alone(f"{field.label}. {field.question}"):
            wrong.append(field.path)
    for axis in handbook.axes.values():
        if axis.id != "wheel_fastening":
            wrong += [value.look for value in axis.values if speaks_of_studs_alone(value.look)]
    assert wrong == []


def test_a_rotor_is_never_held_by_full_length_bolts(handbook):
    """Wherever nuts hold a rotor flat, bolts have a step of their own, and the hub is turned by hand after it."""
    places = set()
    for job in whole_jobs(list(handbook.procedures.values())):
        placed = steps_of(job, handbook.procedures)
        held = [p for p in placed if "open-nuts" in p.step.tools]
        for p in held:
            places.add(p.address)
            assert holds(p.when, BOLTS) is False, p.address
            follow = [q for q in placed if q.address in (f"{p.address}-bolts", f"{p.address}-turn")]
            assert [q.address for q in follow] == [f"{p.address}-bolts", f"{p.address}-turn"]
            bolts, turn = follow
            assert "short-bolts" in bolts.step.tools and "bolt-behind-flange" in bolts.step.cautions and bolts.step.expect
            assert holds(bolts.when, STUDS) is False and turn.step.expect
    assert len(places) == 8


def test_parts_of_the_other_fastening_are_not_there(handbook):
    stud, thread = handbook.components["wheel-stud"], handbook.components["flange-thread"]
    assert holds(stud.when, BOLTS) is False and holds(thread.when, STUDS) is False
    assert holds(handbook.procedures["replace-wheel-studs"].when, BOLTS) is False


def test_every_demo_vehicle_says_how_its_wheels_are_held(handbook):
    assert {vehicle.layout.get("wheel_fastening") for vehicle in handbook.vehicles.values()} == {"studs", "bolts"}


@pytest.mark.parametrize("text", ["Take the wheel nuts off.", "Mark one stud.", "Closed nuts bottom out."])
def test_the_search_would_find_it(text):
    assert speaks_of_studs_alone(text)
