"""Facts of the trade that stand in many places are said one way, and what they ask for stands in every job that needs it."""

import re

import pytest

from build_tools.content.load import load
from build_tools.content.model import Step
from build_tools.content.page_order import steps_of, whole_jobs
from build_tools.content.when import holds
from build_tools.paths import PROJECT

ON_THE_CIRCLE = "10 mm (3/8 in) in from the outer edge, or where the maker says"  # common practice, no source
OWN_BORE = "Each pin goes back into its own bore, unless the maker says that both are alike"  # common practice, no source
# Whole jobs that raise nothing themselves, each with what they rest on.
RESTS_ON_ANOTHER_JOB = {"dust-control": "a method inside a job", "reservoir-ran-dry": "goes on in the job in which it happened"}


@pytest.fixture(scope="module")
def handbook():
    return load(PROJECT / "site_data", None)


@pytest.fixture(scope="module")
def jobs(handbook):
    return {job.id: steps_of(job, handbook.procedures) for job in whole_jobs(list(handbook.procedures.values()))}


def texts(item) -> list[str]:
    """Every text in a step, or in any other item of the handbook."""
    if isinstance(item, str):
        return [item]
    if isinstance(item, dict):
        return [text for value in item.values() for text in texts(value)]
    if isinstance(item, list):
        return [text for value in item for text in texts(value)]
    return []


def all_texts(handbook):
    for procedure in handbook.procedures.values():
        for step in procedure.steps:
            if isinstance(step, Step):
                for text in texts(step.model_dump(mode="json")):
                    yield f"{procedure.id}/{step.id}", text
    for kind in (handbook.references, handbook.cautions, handbook.components, handbook.findings, handbook.axes, handbook.fields):
        for key, item in kind.items():
            yield from ((key, text) for text in texts(item.model_dump(mode="json")))


def place(steps, address):
    return next((number for number, placed in enumerate(steps) if placed.address == address), None)


# ---- before any vehicle is raised


def test_every_job_asks_about_high_voltage_and_height_control_before_it_raises(jobs):
    wrong = []
    for job, steps in jobs.items():
        if job in RESTS_ON_ANOTHER_JOB or job == "lift-and-support":
            continue
        lift = place(steps, "make-safe/lift")
        for question in ("ask-high-voltage", "ask-height-control"):
            asked = place(steps, f"make-safe/{question}")
            if asked is None or lift is None or asked > lift:
                wrong.append(f"{job}: {question}")
    assert wrong == []


def test_lifting_by_itself_asks_the_same(jobs):
    steps = jobs["lift-and-support"]
    raised = place(steps, "lift-and-support/choose-lifting")
    assert all(place(steps, f"lift-and-support/{name}") < raised for name in ("look-for-high-voltage", "set-height-control"))


def test_what_rests_on_another_job_raises_nothing_and_says_so(handbook, jobs):
    for job in RESTS_ON_ANOTHER_JOB:
        assert not [p.address for p in jobs[job] if {"jack", "jack-stands"} & set(p.step.tools) or "wheel" in p.step.takes_off], job
        assert "height control and high voltage asked about" in handbook.procedures[job].conditions[0]


def test_yes_leads_through_what_follows_and_no_leads_past_it(handbook):
    steps = [s for s in handbook.procedures["make-safe"].steps if isinstance(s, Step)]
    names = [s.id for s in steps]
    for question, follow in (
        ("ask-high-voltage", ["unplug-charger", "find-battery-housing", "plan-low-voltage"]),
        ("ask-height-control", ["set-lift-mode", "treat-as-loose"]),
    ):
        step = steps[names.index(question)]
        start, end = names.index(question), names.index(step.if_not["none"].go)
        assert names[start + 1 : end] == follow
        assert any(outcome.stop for outcome in step.if_not.values())


def test_height_control_is_set_back_in_every_job_that_set_it(jobs):
    sets = {job: steps for job, steps in jobs.items() if place(steps, "make-safe/set-lift-mode") is not None}
    assert len(sets) > 20
    assert [
        job
        for job, steps in sets.items()
        if (place(steps, "wheel-and-torque/height-control-back") or 0) <= (place(steps, "wheel-and-torque/lower-vehicle") or 0)
    ] == []


# ---- what carries the vehicle carries nothing else


def test_the_hub_bar_never_rests_on_a_stand(handbook):
    uses = [(f"{p.id}/{s.id}", s) for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step) and "hub-bar" in s.tools]
    assert len(uses) == 4
    for address, step in uses:
        said = " ".join(texts(step.model_dump(mode="json")))
        assert "never rests on a stand that carries the vehicle" in said and "vehicle-falls" in step.cautions, address
    for where, text in all_texts(handbook):
        assert not re.search(r"\b(rest|rests|resting)\b[^.;]*\bon a stand\b(?! that carries)", text), where
    assert "never on a stand" in handbook.components["hub-bar"].note
    assert "stand" not in (PROJECT / "docs/drawings/hub-bar.svg").read_text("utf-8")


# ---- pistons that a motor can drive out


def test_an_empty_caliper_has_its_spacer_before_any_routine(jobs):
    electric = {"parking_brake": "electric"}
    seen = 0
    for job, steps in jobs.items():
        shown = [p for p in steps if holds(p.when, electric) is not False]
        off = [n for n, p in enumerate(shown) if "caliper" in p.step.takes_off and p.home in ("remove-caliper", "remove-abutment-caliper")]
        if not off:
            continue
        seen += 1
        spaced, out = (
            place(shown, "take-pads-and-bracket/space-empty-caliper"),
            [n for n, p in enumerate(shown) if p.step.id == "take-caliper-spacer"],
        )
        assert spaced is not None and out and max(off) < spaced < min(out), job
        between = [p.address for p in shown[max(off) + 1 : spaced] if {"scan-tool", "battery-charger"} & set(p.step.tools)]
        assert between == [], job
        routine = place(shown, "service-electric-parking-brake/check-screw-back")
        assert routine is None or spaced < place(shown, "service-electric-parking-brake/check-spacer") < routine < min(out), job
    assert seen > 5


# ---- motors that brake


def test_motor_braking_is_off_before_bedding_and_road_test_and_on_again(jobs):
    for job, steps in jobs.items():
        ask = place(steps, "first-stop/ask-motor-braking")
        for later in ("bed-the-pads/bed", "road-test/drive-gently", "first-stop/creep"):
            where = place(steps, later)
            assert where is None or ask is not None and ask < where, f"{job}: {later}"
        if ask is not None:
            assert (place(steps, "record-and-explain/motor-braking-on") or 0) > ask, job


def test_no_step_counts_on_a_vehicle_that_creeps_by_itself(handbook):
    for where, text in all_texts(handbook):
        assert not re.search(r"\b(let|lets) (it|the vehicle) creep\b|\bthe vehicle creeps\b", text, re.I), f"{where}: {text}"


# ---- said one way


def test_thickness_is_read_on_one_circle_everywhere(handbook):
    """Wherever a text says where on the face of a rotor its thickness is read, it says the same."""
    together: dict[str, str] = {}
    for where, text in all_texts(handbook):
        together[where] = f"{together.get(where, '')} {text}"
    said = {
        where: text for where, text in together.items() if re.search(r"thickness [^.]*\beight points\b|\ball eight points\b", text, re.I)
    }
    assert len(said) >= 6
    assert {where: text for where, text in said.items() if ON_THE_CIRCLE not in text} == {}
    other = re.compile(r"one radius|middle of the rubbed band|(?<!in )from the (outer )?edge", re.I)
    wrong = [
        f"{where}: {text}" for where, text in all_texts(handbook) if re.search("thickness|eight points", text, re.I) and other.search(text)
    ]
    assert wrong == []


def test_slide_pins_go_back_into_their_own_bores_everywhere(handbook):
    swapped = re.compile(
        r"\bpins?\b.*\b(swap\w*|changed over|interchange\w*|either bore|either way)\b|\b(swap\w*|changed over|interchange\w*)\b.*\bpins?\b",
        re.I,
    )
    allowed = {"slide-pin"}  # a finding names what somebody has done wrong
    wrong = [
        f"{where}: {text}"
        for where, text in all_texts(handbook)
        if swapped.search(text) and where not in allowed and "has changed over" not in text
    ]
    assert wrong == []
    assert not [where for where, text in all_texts(handbook) if re.search(r"both pins are alike", text, re.I)]
    assert len([where for where, text in all_texts(handbook) if OWN_BORE in text]) >= 3


def test_copper_nickel_is_told_from_copper_wherever_a_line_is_judged(handbook):
    bare = [
        f"{where}: {text}"
        for where, text in all_texts(handbook)
        if re.search(r"(?<!pure )\bcopper\b(?!-nickel)", text, re.I)
        and "line" in text.lower()
        and not re.search("copper-nickel|pure copper", text, re.I)
    ]
    assert bare == []
    findings = {finding.id: finding.action for finding in handbook.findings["brake-line"].findings}
    assert findings["copper-nickel"] == "use again" and findings["pure-copper"] == "replace"
    assert not [
        f"{where}: {text}" for where, text in all_texts(handbook) if re.search(r"prefabricated( brake)? line of steel(?!,? or)", text)
    ]


@pytest.mark.parametrize("text", ["Measure the thickness at eight points of one radius.", "Choose one radius for all eight points."])
def test_another_place_for_thickness_would_be_found(text):
    assert ON_THE_CIRCLE not in text and re.search(r"one radius", text)
