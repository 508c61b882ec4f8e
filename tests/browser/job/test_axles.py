"""What belongs to an axle or its lift is signed for that axle: told from the entries alone, then on both services with one job."""

import pytest

from build_tools.browser.bundle import bundled_script
from tests.browser.job.test_papers import WHOLE_JOB
from tests.browser.job.test_record import open_job_file
from tests.browser.procedure_page import PROJECT, is_done, saved, sign, start_job, step
from tests.browser.whole_site import addresses, open_procedure, opened_page, text

SCRIPT = """
import { Progress, readSteps } from "%s/docs/scripts/state/steps.js";
self.told = (steps, entries, axle) => {
  const article = document.createElement("article");
  article.dataset.procedure = "this-page";
  for (const [id, per, more = {}, torque = ""] of steps) {
    const box = document.createElement("li");
    box.className = more.critical ? "step step--critical" : "step";
    Object.assign(box.dataset, { step: `job/${id}`, number: id, for: per, hash: "aaaaaaaaaaaa", ...more });
    if (torque) box.innerHTML = `<div class="torque" data-stage="${torque}"></div>`;
    article.append(box);
  }
  const all = readSteps(article);
  const made = entries.map(([id, place, kind = "done", more = {}], index) => ({
    id: `${index}`, step: id && `job/${id}`, place, kind, hash: "aaaaaaaaaaaa", typed: {}, understood: {}, verdict: null, procedure: "this-page", ...more }));
  const progress = new Progress(made, axle, all);
  return all.map((each) => [each.number, ["front", "rear", "vehicle", "LF", "RF", "LR", "RR"].filter((place) => progress.isWorked(each, place, true)).join(" "),
    ["front", "rear"].filter((place) => progress.loweredSince(each, place)).join(" "), progress.waitsFor(each, axle === "rear" ? "LR" : "LF").join(" ")]);
};
"""
STEPS = [["tag", "vehicle"], ["shake", "lift"], ["wheel", "side", {"hold": '["job/shake"]'}], ["lower", "lift", {"endsLift": ""}]]
FRONT = [None, "front", "layout", {"typed": {"layout": {"axle": "front"}}, "hash": None}]
REAR = [None, "rear", "layout", {"typed": {"layout": {"axle": "rear"}}, "hash": None}]
FOUR = [None, None, "layout", {"typed": {"layout": {"rotor": "hub"}}, "hash": None}]


@pytest.fixture(scope="module")
def told(chromium, tmp_path_factory):
    entry = tmp_path_factory.mktemp("axles") / "entry.js"
    entry.write_text(SCRIPT.replace("%s", PROJECT.as_posix()), "utf-8")
    page = chromium.new_page()
    page.add_script_tag(content=bundled_script(PROJECT, entry))
    yield lambda entries, axle, steps=STEPS: {
        number: (done, lowered, waits)
        for number, done, lowered, waits in page.evaluate("([steps, entries, axle]) => told(steps, entries, axle)", [steps, entries, axle])
    }
    page.close()


def test_a_lift_that_was_signed_for_the_front_lifts_no_hold_at_the_rear(told):
    entries = [FRONT, ["tag", "vehicle"], ["shake", "front"]]
    assert told(entries, "front")["wheel"][2] == ""
    rear = told(entries, "rear")
    assert (rear["tag"][0], rear["shake"][0], rear["wheel"][2]) == ("vehicle", "front", "shake")


@pytest.mark.parametrize("layouts, places", [([FRONT], "front"), ([REAR], "rear"), ([FOUR], "front rear"), ([], "front rear")])
def test_an_old_signature_for_the_vehicle_counts_for_the_axle_of_its_jobs_layout(told, layouts, places):
    for axle in ("front", "rear", ""):
        assert told([*layouts, ["shake", "vehicle"]], axle)["shake"][0] == places


def test_the_layout_in_force_when_it_was_signed_decides(told):
    """The rear was opened later in the same job: what was signed before belongs to the front."""
    assert told([FRONT, ["shake", "vehicle"], REAR], "rear")["shake"][0] == "front"
    assert told([FRONT, REAR, ["shake", "vehicle"]], "rear")["shake"][0] == "rear"


def test_a_lift_of_all_four_wheels_waits_for_both_axles(told):
    assert told([["shake", "front"]], "")["shake"][0] == "front"
    assert told([["shake", "front"]], "")["wheel"][2] == ""  # its own axle is raised
    assert told([["shake", "rear"]], "")["wheel"][2] == "shake"


def test_lowering_ends_the_lift_and_what_was_signed_stays(told):
    entries = [["shake", "front"], ["lower", "front"]]
    assert told(entries, "front")["shake"][:2] == ("front", "front")
    assert told([*entries, ["shake", "front"]], "front")["shake"][:2] == ("front", "")  # a new lift
    assert told([["shake", "front"], ["shake", "rear"], ["lower", "rear"]], "")["shake"][:2] == ("front rear", "rear")
    assert told(entries, "front")["lower"][1] == ""


def test_the_hash_of_a_step_that_asked_for_the_same_work_counts(told):
    old = ["shake", "front", "done", {"hash": "bbbbbbbbbbbb"}]
    assert told([old], "front")["shake"][0] == ""
    assert told([old], "front", [["shake", "lift", {"hashBefore": "bbbbbbbbbbbb"}]])["shake"][0] == "front"


@pytest.mark.parametrize(
    "step_, settles",
    [
        (["plain", "side"], True),
        (["critical", "side", {"critical": "true"}], False),
        (["nut", "side", {}, "final"], False),
        (["nut", "side", {}, "seat"], True),
    ],
)
def test_does_not_apply_settles_no_critical_step_and_no_final_torque(told, step_, settles):
    assert bool(told([[step_[0], "LF", "not-applicable"]], "front", [step_])[step_[0]][0]) is settles
    assert told([[step_[0], "LF", "override"]], "front", [step_])[step_[0]][0] == "LF"


def test_completion_is_signed_for_the_page_it_was_signed_on(told):
    steps = [["complete", "vehicle", {"completes": ""}]]
    assert told([["complete", "vehicle"]], "front", steps)["complete"][0] == "vehicle"
    assert told([["complete", "vehicle", "done", {"procedure": "another-page"}]], "rear", steps)["complete"][0] == ""


# ---------------------------------------------------------------- both services with one job

REAR_JOB = WHOLE_JOB.replace("axle:front", "axle:rear").partition("&")[0]
LIFT = ["chock-wheels", "find-lift-points", "lift", "place-stands", "lower-onto-stands", "shake-test"]


def test_front_service_then_rear_service_with_the_same_job(browser, site, tmp_path):
    top = site.as_uri() + "/"
    with opened_page(browser) as page:
        open_procedure(page, top, WHOLE_JOB)
        start_job(page, "Red truck")
        for each in LIFT:
            sign(page, f"make-safe/{each}", "front")
        sign(page, "make-safe/hang-tag", "vehicle")
        assert page.locator(".other-axle").count() == 0
        assert step(page, "make-safe/take-wheel-nuts").locator(".step__sign button").first.is_enabled()
        file = saved(page, tmp_path)
        open_procedure(page, top, REAR_JOB, "procedures/rear-brake-service.html")
        open_job_file(page, file)
        page.locator(".other-axle").wait_for()
        assert text(page.locator(".other-axle")).startswith("This job was also worked on the front axle.")
        assert [a for a in addresses(page) if a.startswith("make-safe/") and is_done(page, a)] == ["make-safe/hang-tag"]
        nuts = step(page, "make-safe/take-wheel-nuts")
        assert nuts.locator(".step__sign button").first.is_disabled() and "LR waits for" in text(nuts)
        for each in LIFT:
            sign(page, f"make-safe/{each}", "rear")
        assert nuts.locator(".step__sign button").first.is_enabled()


def test_a_lift_of_all_four_wheels_is_signed_for_both_at_a_touch(chromium, site):
    with opened_page(chromium) as page:
        open_procedure(page, site.as_uri() + "/", WHOLE_JOB)
        start_job(page, "Red truck")
        step(page, "make-safe/shake-test").get_by_role("button", name="Sign both axles").click()
        step(page, "make-safe/shake-test").locator('.step__value[data-place="front"]').wait_for()
        open_procedure(page, site.as_uri() + "/", REAR_JOB, "procedures/rear-brake-service.html")
        step(page, "make-safe/shake-test").locator('.step__value[data-place="rear"]').wait_for(state="attached")
        assert is_done(page, "make-safe/shake-test") and not is_done(page, "make-safe/place-stands")
