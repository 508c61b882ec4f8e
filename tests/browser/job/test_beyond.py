"""A reading beyond its limit stands until something settles it; an answer against it needs a reason; a job is complete only when nothing is open."""

import json

import pytest

from build_tools.browser.bundle import bundled_script
from build_tools.jobs.job_record import read_job
from tests.browser.job.test_papers import WHOLE_JOB, choose_paper
from tests.browser.job.test_working import OPEN_PLACES, SETTLE_ALL
from tests.browser.procedure_page import PROJECT, answer_calculator, is_done, make_page, opened, reading, saved, sign, start_job, step
from tests.browser.whole_site import enter, mark, open_procedure, opened_page, record, text

SCRIPT = """
import { beyondsOf } from "%s/docs/scripts/state/beyond.js";
import { recordedAgainst } from "%s/docs/scripts/state/against.js";
import { Progress, readSteps } from "%s/docs/scripts/state/steps.js";
const page = (steps) => {
  const article = document.createElement("article");
  for (const [id, per, inner = "", data = {}] of steps) {
    const box = document.createElement("li");
    box.className = "step";
    Object.assign(box.dataset, { step: `job/${id}`, number: id, for: per, ...data });
    box.innerHTML = inner;
    article.append(box);
  }
  return readSteps(article);
};
const job = (entries) => entries.map(([id, place, more], index) => ({
  id: `${index}`, step: `job/${id}`, place, kind: "done", hash: null, typed: {}, understood: {}, verdict: null, ...more }));
self.beyonds = (steps, entries) => {
  const all = page(steps);
  return beyondsOf(new Progress(job(entries), "front", all), all).map(({ step, place, unrepaired }) => `${step.number} ${place}${unrepaired ? " left" : ""}`);
};
self.against = (steps, entries, [id, value, place]) => {
  const all = page(steps);
  return recordedAgainst(new Progress(job(entries), "front", all), all, all.find(({ number }) => number === id), value, place).map(({ id: number }) => Number(number));
};
"""


@pytest.fixture(scope="module")
def scripts(chromium, tmp_path_factory):
    entry = tmp_path_factory.mktemp("beyond") / "entry.js"
    entry.write_text(SCRIPT.replace("%s", PROJECT.as_posix()), "utf-8")
    page = chromium.new_page()
    page.add_script_tag(content=bundled_script(PROJECT, entry))
    yield page
    page.close()


@pytest.fixture
def beyonds(scripts):
    return lambda entries, steps=None: scripts.evaluate("([steps, entries]) => beyonds(steps, entries)", [steps or STEPS, entries])


@pytest.fixture
def against(scripts):
    return lambda entries, answer: scripts.evaluate(
        "([steps, entries, answer]) => against(steps, entries, answer)", [STEPS, entries, answer]
    )


def form(of="", inner="", judges='["rotor"]', name="rotor-thickness", more=""):
    return f"<form class='calculator' data-calculator='{name}' data-judges='{judges}'{f' data-of={of}' if of else ''}{more}>{inner}</form>"


def choice(means, judged=None):
    return f"<fieldset class='choice' data-means='{json.dumps(means)}' data-judged='{json.dumps(judged or {})}'></fieldset>"


JUDGED = {"rotor": {"rotor-thickness": {"beyond": "service", "beyond thinnest": "replace", "too-close": "measure again"}}}
STEPS = [
    ["read", "side", form(), {"outcomes": '{"beyond": "job/plan"}'}],
    ["between", "side"],
    [
        "plan",
        "axle",
        choice({"replace": {"rotor": ["replace"]}, "machine": {"rotor": ["machine"]}, "keep": {"rotor": ["use again"]}}, JUDGED),
    ],
    ["reckon", "side", form(inner="<div data-found='job/read#readings'></div>")],
    ["again", "side", form()],
    ["lathe", "side", form("machined")],
    ["new", "side", form("new")],
    ["fit", "side", "", {"effects": '{"fits": ["rotor"]}'}],
    ["nut", "side", "<div class='torque' data-stage='final'></div>"],
    ["wheel", "axle", form(judges="[]", name="axle-compare")],
]


def read(id_, place, code, **typed):
    """A reading judged with this code."""
    return [
        id_,
        place,
        {"kind": "result", "typed": {"calculator": "rotor-thickness", "given": {}, **typed}, "verdict": {"code": code, "text": code}},
    ]


def answer(value, place="front", id_="plan"):
    return [id_, place, {"kind": "result", "typed": {"choice": value}, "verdict": {"code": value, "text": value}}]


def decision(*rows):
    return [
        "decide",
        "front",
        {
            "kind": "result",
            "typed": {"calculator": "wheel-end-decision"},
            "verdict": {"code": "within", "text": ""},
            "understood": {"actions": [{"part": "rotor", "side": side, "action": action} for side, action in rows]},
        },
    ]


OLD, FIT, NEW = read("read", "LF", "beyond"), ["fit", "LF", {}], read("new", "LF", "within", of="new")
LEFT = ["read", "LF", {"kind": "text", "typed": {"note": "refused", "told": "the owner", "unrepaired": "0"}}]


@pytest.mark.parametrize(
    "entries, stand",
    [
        ([], []),
        ([read("read", "LF", "within")], []),
        ([OLD], ["read LF"]),
        ([OLD, read("read", "RF", "within")], ["read LF"]),
        ([OLD, read("read", "LF", "within")], []),
        ([read("read", "LF", "within"), OLD], ["read LF"]),
        # a later reading of the same part counts, a computing with the old readings does not
        ([OLD, read("again", "LF", "within")], []),
        ([read("again", "LF", "within"), OLD], ["read LF"]),
        ([OLD, read("reckon", "LF", "within")], ["read LF"]),
        ([OLD, read("lathe", "LF", "within", of="machined")], []),
        ([OLD, read("lathe", "LF", "beyond", of="machined")], ["read LF", "lathe LF"]),
        # an answer alone settles nothing
        ([OLD, answer("keep")], ["read LF"]),
        ([OLD, answer("machine")], ["read LF"]),
        ([OLD, answer("replace")], ["read LF"]),
        # replaced: decided, fitted after that, and the new one read within
        ([OLD, answer("replace"), FIT], ["read LF"]),
        ([OLD, answer("replace"), NEW], ["read LF"]),
        ([OLD, answer("replace"), FIT, NEW], []),
        ([OLD, answer("replace"), NEW, FIT], []),
        ([OLD, FIT, answer("replace"), NEW], ["read LF"]),
        ([OLD, answer("replace"), answer("keep"), FIT, NEW], ["read LF"]),
        ([OLD, FIT, NEW], ["read LF"]),
        ([OLD, answer("replace"), FIT, read("new", "LF", "beyond", of="new")], ["read LF", "new LF"]),
        ([OLD, answer("replace"), ["fit", "RF", {}], NEW], ["read LF"]),
        ([OLD, decision(["left", "replace"], ["right", "use again"]), FIT, NEW], []),
        ([OLD, decision(["left", "use again"], ["right", "replace"]), FIT, NEW], ["read LF"]),
        # left unrepaired stays on the list, with who was told
        ([OLD, LEFT], ["read LF left"]),
        ([OLD, LEFT, read("read", "LF", "beyond")], ["read LF"]),  # a reading since then was told to nobody
        # a torque and a reading of no part: the same step alone
        ([["nut", "LF", {"kind": "torque", "verdict": {"code": "beyond", "text": ""}}]], ["nut LF"]),
        ([["nut", "LF", {"kind": "torque", "verdict": {"code": "beyond", "text": ""}}], ["nut", "LF", {"kind": "override"}]], ["nut LF"]),
        (
            [
                ["nut", "LF", {"kind": "torque", "verdict": {"code": "beyond", "text": ""}}],
                ["nut", "LF", {"kind": "torque", "verdict": {"code": "within", "text": ""}}],
            ],
            [],
        ),
        (
            [
                [
                    "wheel",
                    "front",
                    {"kind": "result", "typed": {"calculator": "axle-compare", "given": {}}, "verdict": {"code": "beyond", "text": ""}},
                ]
            ],
            ["wheel front"],
        ),
    ],
)
def test_what_stands_beyond_a_limit(beyonds, entries, stand):
    assert beyonds(entries) == stand


def test_without_a_step_that_reads_the_new_part_fitting_it_settles(beyonds):
    steps = [each for each in STEPS if each[0] != "new"]
    assert beyonds([OLD, answer("replace"), FIT], steps) == []
    assert beyonds([OLD, answer("keep"), FIT], steps) == ["read LF"]


def test_fluid_is_renewed_when_every_wheel_says_so(beyonds):
    steps = [
        [
            "test",
            "vehicle",
            form(judges='["fluid"]', name="fluid-condition", more=" data-renewed"),
            {"outcomes": '{"beyond": "job/wheel"}'},
        ],
        ["wheel", "side", choice({"new": {"fluid": ["replace"]}})],
    ]
    old = [
        "test",
        "vehicle",
        {"kind": "result", "typed": {"calculator": "fluid-condition", "given": {}}, "verdict": {"code": "beyond", "text": ""}},
    ]
    assert beyonds([old, answer("new", "LF", "wheel")], steps) == ["test vehicle"]
    assert beyonds([old, answer("new", "LF", "wheel"), answer("new", "RF", "wheel")], steps) == []
    assert beyonds([old, answer("new", "LF", "wheel"), answer("old", "RF", "wheel")], steps) == ["test vehicle"]


# ---------------------------------------------------------------- an answer against what was recorded

THIN = [*OLD[:2], {**OLD[2], "understood": {"decided": [{"quantity": "thinnest"}]}}]
UNDER = [
    "read",
    "LF",
    {
        **read("read", "LF", "within")[2],
        "understood": {"values": {"thinnest": {"value": 24.8, "unit": "mm"}}, "inputs": {"machine_to": {"value": 0.98, "unit": "in"}}},
    },
]
CUT = ["reckon", "LF", {**read("reckon", "LF", "within")[2], "understood": {"values": {"may_be_machined": {"value": False}}}}]
CRACK = [
    "look",
    "LF",
    {
        "kind": "finding",
        "typed": {"part": "rotor", "findings": ["crack"]},
        "understood": {"findings": [{"id": "crack", "action": "replace"}]},
    },
]


@pytest.mark.parametrize(
    "entries, value, found",
    [
        ([], "keep", []),
        ([read("read", "LF", "within")], "keep", []),
        ([OLD], "keep", [0]),
        ([OLD], "machine", []),  # variation is what a cut cures
        ([THIN], "machine", [0]),  # at the discard thickness nothing is cut
        ([THIN], "replace", []),
        ([read("read", "LF", "too-close")], "machine", [0]),
        ([UNDER], "machine", [0]),  # above discard, under the machine-to thickness
        ([UNDER], "keep", []),
        ([CUT], "machine", [0]),
        ([OLD, read("read", "LF", "within")], "keep", []),
        ([OLD, read("lathe", "LF", "within", of="machined")], "keep", []),
        ([read("read", "RF", "within"), OLD], "keep", [1]),
        ([CRACK], "keep", [0]),
        ([CRACK], "machine", [0]),
        ([decision(["left", "replace"], ["right", "replace"])], "keep", [0]),
        ([OLD, NEW], "keep", [0]),  # a reading of the new part says nothing of the old one
        ([OLD, answer("replace"), FIT], "keep", []),  # and what was replaced is gone
    ],
)
def test_what_an_answer_stands_against(against, entries, value, found):
    assert against(entries, ["plan", value, "front"]) == found


# ---------------------------------------------------------------- in the page


@pytest.fixture
def page(chromium, tmp_path):
    file = make_page(tmp_path / "site", {"inspect/thickness": {"record": "true"}, "close-up/road": {"completes": "true"}})
    with reading(chromium) as context:
        page = opened(context, file)
        start_job(page)
        yield page


def test_a_job_with_a_reading_beyond_its_limit_closes_only_as_not_repaired(page, tmp_path):
    for place, code in (("LF", "beyond"), ("RF", "within")):
        answer_calculator(page, "inspect/thickness", code, readings="22.1", discard="22.4 mm")
        step(page, "inspect/thickness").locator(f'.record [data-place="{place}"]').click()
        step(page, "inspect/thickness").locator(f'.step__value[data-place="{place}"]').wait_for()
    page.evaluate(
        SETTLE_ALL.replace("typed: {},", "typed: {}, verdict: null,"),
        [[*each, "override"] for each in page.evaluate(OPEN_PLACES) if each[0] not in ("inspect/thickness", "close-up/road")],
    )
    page.reload()
    road = step(page, "close-up/road")
    road.locator(".step__sign button").click()
    said = road.locator(".step__lacking")
    said.wait_for()
    assert "Not signed: 1 thing is still open." in text(said)
    assert said.locator("a").get_attribute("href").endswith("#inspect.thickness") and "3.3 LF:" in text(said.locator("a"))
    assert not is_done(page, "close-up/road")
    road.locator(".step__other summary").click()
    assert road.get_by_role("button", name="does not apply").count() == road.get_by_role("button", name="with this reason").count() == 0

    line = page.locator(".completion li", has_text="3.3 LF")
    line.locator("summary").click()
    line.get_by_role("button", name="Leave it unrepaired").click()
    assert "Write the reason" in text(line)
    line.get_by_label("Why it is left").fill("The owner refused new rotors.")
    line.get_by_label("Who was told").fill("the owner, at the counter")
    line.get_by_role("button", name="Leave it unrepaired").click()
    page.locator(".completion h3", has_text="Left unrepaired").wait_for()
    sign(page, "close-up/road", "vehicle")
    button = page.get_by_role("button", name="Close the job on this page as not repaired")
    button.click()
    page.locator(".completion__now", has_text="Closed, not repaired:").wait_for()
    entries = read_job(saved(page, tmp_path / "stick").read_text("utf-8")).entries
    assert [e.typed["not_repaired"] for e in entries if e.kind == "complete"] == [1]
    assert [e.typed["told"] for e in entries if "unrepaired" in e.typed] == ["the owner, at the counter"]


def test_a_critical_step_is_not_offered_as_not_applicable(page):
    seat = step(page, "set-bearing/seat")
    seat.locator(".step__other summary").click()
    assert seat.get_by_role("button", name="Sign LF with this reason").count() == 1
    assert seat.get_by_role("button", name="LF does not apply").count() == 0


READINGS = "26.030; 26.000; 26.000; 26.001; 26.002; 26.003; 26.000; 26.000"
WORDS = "26.000 mm (1.02362 in); thickness variation 0.0300 mm (0.001181 in), variation limit 0.013 mm (0.000512 in): beyond the limit"


def test_a_verdict_names_what_decided_wherever_it_is_shown_and_an_answer_against_it_needs_a_reason(browser, site, tmp_path):
    """Demo light truck A: discard 24.4 mm, machine-to 24.9 mm, variation limit 0.013 mm. The readings are made up."""
    with opened_page(browser) as page:
        open_procedure(page, site.as_uri() + "/", WHOLE_JOB)
        start_job(page, "Red truck")
        enter(page, "measure-rotor/read-thickness", readings=READINGS)
        assert record(page, "measure-rotor/read-thickness", "LF") == f"LF {WORDS}, A. Sample"
        plan = step(page, "plan-parts/list-rotors")
        mark(page, "plan-parts/list-rotors", "keep")
        plan.locator('.record button[data-place="front"]').click()
        plan.locator(".against").wait_for()
        assert WORDS in text(plan.locator(".against")) and "write the reason" in text(plan.locator(".step__problem"))
        assert plan.locator(".step__value").count() == 0
        plan.get_by_label("Reason for this answer").fill("The owner refuses.")
        assert "against what was recorded: The owner refuses." in record(page, "plan-parts/list-rotors", "front")
        complete = step(page, "record-and-explain/complete")
        complete.locator(".step__sign button").click()
        complete.locator(".step__lacking").wait_for()
        first = complete.locator(".step__lacking li").first
        assert WORDS in text(first) and first.locator("a").get_attribute("href").endswith("#measure-rotor.read-thickness")
        page.evaluate("() => { self.print = () => {}; }")
        for paper in ("Customer’s page", "Hand-over sheet"):
            choose_paper(page, paper)
            sheet = text(page.locator(".paper"))
            assert WORDS.removesuffix("beyond the limit") in sheet, paper
        entry = next(e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.step == "measure-rotor/read-thickness")
        assert [(d["quantity"], d["value"], d["unit"], d["limits"][0]["name"]) for d in entry.understood["decided"]] == [
            ("variation", 0.03, "mm", "variation_limit")
        ]
