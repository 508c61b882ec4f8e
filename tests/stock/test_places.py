"""Where a step counts: what belongs to an axle or its lift is declared so, and old entries find their step."""

import re

import pytest

from build_tools.content.decision_rules import least_actions
from build_tools.content.load import load
from build_tools.content.meaning import earlier, hash_before
from build_tools.content.model import Enter, Step
from build_tools.paths import PROJECT


@pytest.fixture(scope="module")
def handbook():
    return load(PROJECT / "site_data")


@pytest.fixture(scope="module")
def steps(handbook):
    return {f"{p.id}/{s.id}": s for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step)}


# They name the gear, and belong to the vehicle all the same.
OF_THE_VEHICLE = {
    "wheel-and-torque/press-pedal-again",
    "brake-pull-check/pedal-for-pull",
    "brake-pulsation-check/close-pulse",
    "make-safe/treat-as-loose",
    "make-safe/set-lift-mode",
    "reservoir-ran-dry/other-axle-down",
}
# The work of these has changed since 0.1.0, so that an old entry is not taken for it.
CHANGED_SINCE = {
    "make-safe/place-stands": "asks for high voltage and height control first",
    "road-test/raise-for-recheck": "the same",
    "ready-the-caliper/reckon-push-back": "says what to do where the reading cannot be told",
    "ready-the-caliper/reckon-push-back-fixed": "the same",
    "ready-to-turn/free-driveline": "has a way where the transmission has to stay in park",
}


def test_whatever_holds_the_vehicle_up_belongs_to_a_lift(steps):
    gear = re.compile(r"\b(jack|stands|chocks?|locks of the lift|raise the (axle|vehicle)|lower the vehicle)\b", re.IGNORECASE)
    # Chocks that are only looked at, before the engine is started or the transmission is freed, hold the whole vehicle.
    named = {
        address
        for address, step in steps.items()
        if step.for_ == "vehicle" and not (step.secures or step.driveline) and gear.search(step.do)
    }
    # «stands» is a verb as well
    assert {a for a in named if not re.search(r"(nobody|pedal|what) stands", steps[a].do)} == OF_THE_VEHICLE


def test_the_lift_of_make_safe(steps):
    lift = {address.split("/")[1] for address, step in steps.items() if address.startswith("make-safe/") and step.for_ == "lift"}
    assert {"chock-wheels", "lift", "place-stands", "lower-onto-stands", "shake-test", "lay-wheel-flat"} <= lift
    assert all(
        steps[f"make-safe/{each}"].for_ == "vehicle"
        for each in ("read-makers-instructions", "support-battery", "set-service-mode", "key-away", "hang-tag")
    )


def test_an_outcome_is_taken_over_at_the_place_where_it_was_given(steps):
    for address, step in steps.items():
        if step.enter and step.enter.as_at:
            root = step.enter.as_at if "/" in step.enter.as_at else f"{address.split('/')[0]}/{step.enter.as_at}"
            assert steps[root].for_ == step.for_, address


def test_an_old_hash_is_known_where_only_the_place_became_narrower(steps):
    then = earlier("0.1.0")
    moved = [a for a, s in steps.items() if a in then and then[a]["meaning"].get("for") == "vehicle" and s.for_ in ("axle", "lift")]
    assert len(moved) > 60
    same = [a for a in moved if hash_before(steps[a], a, then) == then[a]["hash"]]
    assert set(moved) - set(same) == set(CHANGED_SINCE)


def test_an_old_hash_is_not_known_where_the_work_changed(steps):
    step, then = steps["make-safe/shake-test"], earlier("0.1.0")
    assert hash_before(step, "make-safe/shake-test", then)
    assert not hash_before(step.model_copy(update={"for_": "side"}), "make-safe/shake-test", then)
    assert not hash_before(step.model_copy(update={"takes_off": ["wheel"]}), "make-safe/shake-test", then)
    assert not hash_before(step, "make-safe/never-was", then)


def test_what_an_entry_says_of_parts_is_not_its_wording(steps):
    step = steps["plan-parts/list-rotors"]
    silent = step.model_copy(update={"enter": step.enter.model_copy(update={"means": {}})})
    assert silent.hash == step.hash == earlier("0.1.0")["plan-parts/list-rotors"]["hash"]


# ---------------------------------------------------------------- answers that speak of parts

# Their words name work on parts, and the answer says nothing of what is done with one.
NOT_OF_PARTS = {
    "measure-runout/decide-runout",
    "plan-the-cut/look-up-machining",
    "replace-pressed-bearing/say-why-pressed",
    "correct-runout/ask-since-when",
    "service-electric-parking-brake/check-screw-back",
    "service-screw-in-piston/choose-turning",
}
SPEAKS = re.compile(
    r"\b(replaced?|machined?|use again|used again|(go|goes) back|serve again|(body|caliper|hose|pads|races|rotors?|side|they|both) stays?|new (pads|rotors|set|hub rotor)|the same (one|pads|rotors))\b"
)


def test_every_answer_that_keeps_machines_or_replaces_a_part_says_so(steps):
    silent = {
        address
        for address, step in steps.items()
        if step.enter and step.enter.choice and not step.enter.means and any(SPEAKS.search(label) for label in step.enter.choice.values())
    }
    assert silent == NOT_OF_PARTS


def test_the_least_that_a_reading_asks_for_comes_from_the_rules(handbook):
    rotor = least_actions(handbook, "rotor")
    assert rotor["rotor-thickness"]["beyond thinnest"] == "replace" and rotor["rotor-thickness"]["beyond"] == "service"
    assert rotor["rotor-thickness"]["too-close"] == "measure again"
    assert least_actions(handbook, "pad")["pad-wear"]["beyond thinnest"] == "replace"
    assert least_actions(handbook, "caliper")["piston-match"]["beyond"] == "replace"
    assert least_actions(handbook, "hose") == {}


def test_only_a_choice_means_something_for_parts():
    with pytest.raises(ValueError, match="The entry means belongs to a choice"):
        Enter.model_validate({"text": "What?", "means": {"keep": {"rotor": "use again"}}})
    with pytest.raises(ValueError, match="use again"):
        Enter.model_validate({"choice": {"keep": "It stays.", "new": "It goes."}, "means": {"keep": {"rotor": "polish"}}})
    assert Enter.model_validate({"choice": {"keep": "It stays.", "new": "It goes."}, "means": {"keep": {"rotor": "machine"}}}).means == {
        "keep": {"rotor": ["machine"]}
    }


def test_one_step_of_a_page_signs_it_as_complete_and_what_lowers_ends_the_lift(steps):
    assert [a for a, s in steps.items() if s.completes] == ["record-and-explain/complete"]
    ends = {a for a, s in steps.items() if s.ends_lift}
    assert ends == {"wheel-and-torque/lower-vehicle", "lift-and-support/lower-slowly", "road-test/lower-after-recheck"}
    assert all(steps[a].for_ == "lift" for a in ends)
