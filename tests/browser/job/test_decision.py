"""The decision in the page: the case read out of the entries, what is drawn and recorded, and the same decision as CPython's."""

from __future__ import annotations

import base64
import gzip
import json

import pytest

from build_tools.browser.bundle import bundled_script
from build_tools.jobs.job_record import read_job
from calculators.decision.asked import run_decision
from tests.browser.procedure_page import FIXTURES, HUB, PROJECT, axe_violations, make_page, saved, sign, start_job, step
from tests.browser.whole_site import enter, mark, open_procedure, opened_page, record, text

STEP = "close-up/decide"


# ---------------------------------------------------------------- the case


@pytest.fixture(scope="module")
def pure(chromium):
    page = chromium.new_page()
    page.add_script_tag(content=bundled_script(PROJECT, FIXTURES / "decision-case.js"))
    yield page
    page.close()


def entry(number: int, step: str, place: str, kind: str = "finding", verdict: str = "", **typed) -> dict:
    return {
        "id": f"{number:032x}",
        "kind": kind,
        "step": step,
        "place": place,
        "typed": typed,
        "understood": {"values": {"n": number}, "inputs": {}},
        "verdict": {"code": verdict, "text": verdict} if verdict else None,
        "hash": None,
        "by": "A. Sample",
        "note": "",
    }


def case_of(pure, standing: list[dict], axle: str = "front", rules=None, repeated: str = "", looks=()) -> dict:
    return pure.evaluate(
        """([standing, axle, rules, repeated, looks]) => pure.decisionCase({standing, axle, layout: {rotor: "slip-on"}, rules,
            superseded: ({step}) => step === repeated ? "it is to be done again" : "", looks})""",
        [standing, axle, rules, repeated, looks],
    )


def test_places_become_sides_and_the_other_axle_stays_out(pure):
    found = [
        entry(number, "a/look", place, part=part, findings=["bad"])
        for number, (place, part) in enumerate(
            [("LF", "hose"), ("RF", "hose"), ("front", "pad"), ("vehicle", "fluid"), ("LR", "hose"), ("rear", "pad")], 1
        )
    ]
    front, rear = case_of(pure, found), case_of(pure, found, "rear")
    seen = [{"finding": "bad", "step": "a/look"}]
    assert front["given"] == {
        "layout": {"rotor": "slip-on", "axle": "front"},
        "readings": {},
        "findings": {"left": {"hose": seen}, "right": {"hose": seen}, "axle": {"pad": seen}, "vehicle": {"fluid": seen}},
    }
    assert rear["given"]["findings"] == {"left": {"hose": seen}, "axle": {"pad": seen}, "vehicle": {"fluid": seen}}
    assert len(front["used"]) == 4 and front["left"] == []


def test_the_last_finding_of_a_step_and_the_last_reading_of_a_calculator_count(pure):
    found = case_of(
        pure,
        [
            entry(1, "a/look", "LF", part="hose", findings=["bad"]),
            entry(2, "a/look", "LF", part="hose", findings=["sound"]),
            entry(3, "b/look", "LF", part="hose", findings=["clamped"]),
            entry(4, "a/read", "LF", "result", "beyond", calculator="pad-wear"),
            entry(5, "b/read", "LF", "result", "within", calculator="pad-wear"),
            entry(6, "a/fluid", "vehicle", "result", calculator="fluid-volume"),
            entry(7, "c/decide", "front", "result", "within", calculator="wheel-end-decision"),
            entry(10, "d/flange", "LF", "result", "beyond", calculator="pad-wear", apart=True),  # of something else than the pads
            entry(8, "a/look", "LF", outcome="cracked"),
            entry(9, "a/choose", "LF", "result", "keep", choice="keep"),
        ],
    )
    assert found["given"]["findings"] == {
        "left": {"hose": [{"finding": "sound", "step": "a/look"}, {"finding": "clamped", "step": "b/look"}]}
    }
    readings = found["given"]["readings"]
    assert {side: {name: (each["step"], each["values"]["n"]) for name, each in of.items()} for side, of in readings.items()} == {
        "left": {"pad-wear": ("b/read", 5), "fluid-volume": ("a/fluid", 6)},
        "right": {"fluid-volume": ("a/fluid", 6)},
    }
    assert [int(used, 16) for used in found["used"]] == [2, 3, 5, 6]


def test_what_no_longer_counts_is_left_out_and_said(pure):
    rules = {
        "axes": {"rotor": {}, "bearing": {"when": [{"rotor": ["hub"]}]}},
        "parts": [
            {"part": "rotor", "findings": [{"id": "sound"}, {"id": "studs", "when": [{"rotor": ["hub"]}]}]},
            {"part": "race", "when": [{"bearing": ["tapered-roller"]}], "findings": [{"id": "sound"}]},
        ],
    }
    found = case_of(
        pure,
        [
            entry(1, "a/redo", "LF", part="rotor", findings=["sound"]),
            entry(2, "a/race", "LF", part="race", findings=["sound"]),
            entry(3, "a/rotor", "LF", part="rotor", findings=["studs"]),
            entry(4, "a/old", "LF", part="rotor", findings=["gone"]),
            entry(5, "a/part", "LF", part="drum", findings=["sound"]),
            entry(6, "a/read", "LF", "result", "superb", calculator="pad-wear"),
            entry(7, "b/rotor", "LF", part="rotor", findings=["cannot-tell"]),
        ],
        rules=rules,
        repeated="a/redo",
    )
    assert [each["why"] for each in found["left"]] == [
        "it is to be done again",
        "this layout has no such part",
        "it does not belong to this layout",
        "this handbook no longer has this finding",
        "this handbook does not judge this part",
        "its result cannot be read",
    ]
    assert found["given"]["findings"] == {"left": {"rotor": [{"finding": "cannot-tell", "step": "b/rotor"}]}}


def test_a_part_tried_after_the_work_counts_where_it_was_found_before(pure):
    found = [entry(1, "a/look", "LF", part="slide-pin", findings=["dry"]), entry(2, "a/look", "RF", part="slide-pin", findings=["dry"])]
    tried = [
        {"part": part, "place": place, "look": look, "entry": entry(number, "b/try", place, "done")}
        for number, part, place, look in (
            (3, "slide-pin", "LF", "failed"),
            (4, "slide-pin", "LF", "free"),
            (5, "hose", "LF", "free"),
            (6, "slide-pin", "LR", "free"),
        )
    ]
    case = case_of(pure, found, looks=tried)
    assert case["given"]["findings"] == {
        "left": {
            "slide-pin": [
                {"finding": "dry", "step": "a/look"},
                {"second_look": "failed", "step": "b/try"},
                {"second_look": "free", "step": "b/try"},
            ]
        },
        "right": {"slide-pin": [{"finding": "dry", "step": "a/look"}]},
    }
    assert [int(used, 16) for used in case["used"]] == [1, 2, 3, 4]  # of the hose nothing was found, and the rear is another axle


# ---------------------------------------------------------------- drawn and recorded, with an answer made up for the page


def decided(action: str, label: str, finding: str = "", rule: str = "", **more) -> dict:
    ground = {"action": action, "finding": finding, "reason": f"Reason of {action}.", "how": "", "source": "", "rules": [rule], "steps": []}
    return {
        "action": action,
        "label": label,
        "reason": ground["reason"],
        "source": "common practice",
        "how": "",
        "findings": [finding] if finding else [],
        "second_look": None,
        "rule": rule,
        "steps": [],
        "grounds": [ground],
        **more,
    }


# A rotor that is replaced once «cracked» is found; a pad that waits for its cause; a hose that nobody looked at on one side.
WORKER = """
const answer = %s, seen = [];
postMessage({ready: true});
onmessage = ({data}) => {
  if (!data.evaluate) return;
  const {given, calculator} = JSON.parse(data.request), sides = answer.actions;
  const cracked = (given.findings.left?.rotor ?? []).some(({finding}) => finding === "cracked");
  const found = structuredClone(answer);
  if (!cracked) found.actions.left.rotor = structuredClone(sides.right.rotor);
  found.notes.push(`Asked for ${calculator} with rules ${given.rules.parts.length}, axle ${given.layout.axle}.`);
  postMessage({answer: data.evaluate, response: JSON.stringify({result: found})});
};
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """The small page with a decision step after its last one for the axle, and a worker that answers as above."""
    step_ = {"before": "road", "for": "axle", "do": "Decide.", "enter": {"decision": "true"}}
    file = make_page(tmp_path_factory.mktemp("decision") / "site", {STEP: step_})
    answer = {
        "actions": {
            "left": {
                "rotor": decided("replace", "rotor", "cracked", "rotor/cracked", steps=["inspect/rotor-faces", "other-page/look"]),
                "pad": decided("measure again", "pads", "cause-not-cured", "pads-wait"),
                "hose": decided("measure again", "brake hose", rule="partner-not-looked-at"),
            },
            "right": {
                "rotor": decided("use again", "rotor", "even"),
                "pad": decided("use again", "pads", "sound"),
                "hose": decided("measure again", "brake hose", rule="not-looked-at"),
            },
        },
        "parts_list": [
            {"item": "rotor", "per": "axle", "quantity": 1, "why": "left: cracked.", "kind": "part", "amount": "", "note": "", "from": []}
        ],
        "notes": [],
    }
    assets = file.parents[1] / "assets"
    (assets / "packs").mkdir()
    packed = base64.b64encode(gzip.compress((WORKER % json.dumps(answer)).encode())).decode()
    (assets / "packs/worker.js").write_text(f'pack("worker", "{packed}")', "utf-8")
    with (assets / "handbook-data.js").open("a", encoding="utf-8") as data:
        data.write('self.handbook.packs = [{name: "worker", bytes: 1, sha256: "", start: true}];\n')
    (assets / "decision-rules.js").write_text(
        'self.decisionRules = {axes: {}, parts: [{part: "rotor", findings: [{id: "even"}, {id: "cracked"}]}]};\n', "utf-8"
    )
    return file


@pytest.fixture
def page(chromium, file):
    with opened_page(chromium) as page:
        page.goto(file.as_uri() + HUB)
        page.locator(".job-bar__name").wait_for()
        assert text(step(page, STEP).locator(".decision")).startswith("With a job open, what was found and read so far is decided here")
        start_job(page)
        yield page
        assert faults(page) == []


def faults(page) -> list[str]:
    """What went wrong, apart from a drawing that the small handbook lacks."""
    return [said for said in page.said if "ERR_FILE_NOT_FOUND" not in said]


def found(page, value: str, place: str = "LF"):
    # in the middle of the window, clear of the header above and the job below
    step(page, "inspect/rotor-faces").evaluate("(box) => box.scrollIntoView({block: 'center'})")
    mark(page, "inspect/rotor-faces", value)
    record(page, "inspect/rotor-faces", place)


def shown(page):
    """The decision step, once it shows what was found last."""
    box = step(page, STEP)
    box.scroll_into_view_if_needed()
    box.locator(".decision__sides, .decision__fold").first.wait_for(state="attached")
    page.wait_for_timeout(500)
    return box


def glance(box) -> list[list[str]]:
    return [[text(line) for line in side.locator(".action").all()] for side in box.locator(".decision__side").all()]


def recorded_at(page, tmp_path) -> list:
    return [each for each in read_job(saved(page, tmp_path).read_text("utf-8")).entries if each.step == STEP]


def test_each_side_at_a_glance_part_by_part_and_recorded(page, tmp_path):
    found(page, "cracked")
    box = shown(page)
    assert glance(box) == [
        ["Replace rotor", "Look at, or measure again brake hose", "Wait for the cause pads"],
        ["Look at, or measure again brake hose", "Use again 2 parts"],
    ]
    assert [text(line) for line in box.locator(".decision__open li").all()] == [
        "Brake hose, right: not looked at, no step of this page asks for it"
    ]
    box.locator("summary", has_text="Part by part").click()
    row = box.locator(".decision__table tbody tr", has_text="Rotor")
    assert "From 3.2, other-page/look." in text(row.locator("td").first)
    assert row.get_by_role("link", name="step 3.2").get_attribute("href") == "#inspect.rotor-faces"
    assert row.get_by_role("link", name="other-page/look").get_attribute("href") == "../procedures/other-page.html#other-page.look"
    assert "Asked for wheel-end-decision with rules 1, axle front." in text(box)
    box.get_by_label("rotor, by the axle").check()
    assert "Parts to get: 1 of 1 here" in text(box)
    assert axe_violations(page) == []
    box.get_by_role("button", name="Record the decision, front axle").click()
    box.locator(".step__value", has_text="2 still to be looked at; 1 replace, 1 held, 2 use again").wait_for()
    page.reload()
    box = shown(page)
    assert box.get_by_label("rotor, by the axle").is_checked()
    (kept,) = recorded_at(page, tmp_path)
    assert (kept.kind, kept.place, kept.typed["calculator"]) == ("result", "front", "wheel-end-decision")
    assert kept.verdict.code == "cannot-tell" and kept.verdict.text.endswith("left brake hose, right brake hose")
    assert kept.understood["actions"][0] == {
        "part": "rotor",
        "label": "rotor",
        "side": "left",
        "action": "replace",
        "reason": "Reason of replace.",
        "how": "",
    }
    assert kept.understood["parts_list"] == [{"item": "rotor", "quantity": 1, "per": "axle", "why": "left: cracked."}]
    assert len(kept.typed["from"]) == 1


def test_a_part_is_decided_otherwise_and_counts_until_more_is_found(page, tmp_path):
    found(page, "cracked")
    box = shown(page)
    box.locator("summary", has_text="Decide otherwise").click()
    for side in ("left", "right"):
        box.get_by_label("Part and side").select_option(f"{side} hose")
        box.get_by_label("Action").select_option("use again")
        box.get_by_role("button", name="Decide this part otherwise").click()
        assert text(box.locator(".decision .step__problem:not(:empty)").first).startswith("Write the reason first")
        box.locator('.decision [name="note"]').fill("Seen with the wheel on.")
        box.get_by_role("button", name="Decide this part otherwise").click()
        box.locator(".step__value", has_text=f"{side} brake hose: use again in place of measure again: Seen with the wheel on.").wait_for()
    page.wait_for_timeout(500)
    assert "brake hose" not in glance(box)[0][1]
    box.get_by_role("button", name="Record the decision, front axle").click()
    page.wait_for_function("(box) => box.classList.contains('step--done')", arg=box.element_handle())
    kept = recorded_at(page, tmp_path)[-1]
    assert (kept.verdict.code, kept.verdict.text) == ("within", "decided")
    hose = next(each for each in kept.understood["actions"] if each["part"] == "hose")
    assert hose["action"] == "use again"
    assert hose["reason"] == "Seen with the wheel on. (Decided by A. Sample; worked out: measure again. Reason of measure again.)"
    assert kept.understood["notes"][0].startswith("Decided otherwise, left brake hose: use again in place of measure again.")
    assert box.locator(".decision__changed").count() == 0
    found(page, "even")
    shown(page).locator(".decision__changed", has_text="Changed since it was recorded: look at it again, and record it anew.").wait_for()
    found(page, "cracked")  # as it was: nothing to record anew
    shown(page).locator(".decision__changed").wait_for(state="detached")


def test_without_python_what_was_found_stands_with_its_own_action(chromium, file):
    with opened_page(chromium, "delete self.WebAssembly;") as page:
        page.goto(file.as_uri() + HUB)
        page.locator(".job-bar__name").wait_for()
        start_job(page)
        found(page, "cracked")
        box = step(page, STEP)
        box.scroll_into_view_if_needed()
        box.locator(".decision__state", has_text="This browser cannot work it out: it has no WebAssembly.").wait_for()
        assert "LF rotor: cracked to the edge: replace" in text(box)
        assert box.get_by_role("button", name="Record the decision").count() == 0
        sign(page, "tear-down/wheel-off", "LF")
        assert faults(page) == []


# ---------------------------------------------------------------- the handbook as it ships

FRONT = (
    "#layout=axle:front,abs:none,hydraulics:front-rear,rotor:hub,disc:vented,caliper:sliding-one-piston,slides:damper-pin,bracket:bracketed,"
    "bearing:tapered-roller,nut:hex-with-lock,parking_brake:none,hose_end:banjo&vehicle=demo-truck-a"
)
KEEP_REQUESTS = """const post = Worker.prototype.postMessage;
Worker.prototype.postMessage = function (data, ...more) {
    if (data.evaluate && data.request.includes("wheel-end-decision")) self.asked = data.request;
    return post.call(this, data, ...more);
};"""


def test_the_page_decides_as_cpython_does_and_the_file_keeps_it(chromium, site, tmp_path):
    with opened_page(chromium, KEEP_REQUESTS) as page:
        open_procedure(page, site.as_uri() + "/", FRONT)
        start_job(page, "Red truck, bay 2")
        for place, hose in (("LF", "bad"), ("RF", "sound")):
            mark(page, "inspect-before-teardown/judge-hose", hose)
            record(page, "inspect-before-teardown/judge-hose", place)
        mark(page, "judge-slides/judge-slide-pin", "dry")
        record(page, "judge-slides/judge-slide-pin", "LF")
        # Made up, below the discard thickness of 24.4 mm on the sheet of demo light truck A.
        enter(page, "measure-rotor/read-thickness", readings="24.132; 24.130; 24.128; 24.126; 24.125; 24.127; 24.129; 24.131")
        record(page, "measure-rotor/read-thickness", "RF")
        box = step(page, "plan-parts/decide-known")
        box.scroll_into_view_if_needed()
        box.locator(".decision__sides").wait_for(timeout=40_000)
        box.get_by_role("button", name="Record the decision, front axle").click()
        box.locator(".step__value").wait_for()
        assert "step--done" in box.get_attribute("class")  # what is open leads on: it is decided once the brake is apart
        asked = json.loads(page.evaluate("self.asked"))
        kept = next(
            each
            for each in read_job(saved(page, tmp_path).read_text("utf-8")).entries
            if each.typed.get("calculator") == "wheel-end-decision"
        )
        # Serviced since, and tried: the decision hears of it, and says that what was recorded is no longer all.
        tried = text(step(page, "try-the-slides/try-slides").locator(".step__do"))
        sign(page, "try-the-slides/try-slides", "LF")
        box.scroll_into_view_if_needed()
        page.wait_for_function("() => self.asked.includes('second_look')", timeout=40_000)
        looked = json.loads(page.evaluate("self.asked"))["given"]["findings"]["left"]["slide-pin"]
        box.locator(".decision__source", has_text="tried free since").first.wait_for(state="attached")
        assert "Move every slide" in tried and page.said == []
    given = asked["given"]
    assert {
        side: {part: [each["finding"] for each in listed] for part, listed in of.items()} for side, of in given["findings"].items()
    } == {"left": {"hose": ["bad"], "slide-pin": ["dry"]}, "right": {"hose": ["sound"]}}
    assert [(side, list(of)) for side, of in given["readings"].items()] == [("right", ["rotor-thickness"])]
    assert looked == [
        {"finding": "dry", "step": "judge-slides/judge-slide-pin"},
        {"second_look": "free", "step": "try-the-slides/try-slides"},
    ]
    expected = run_decision(given)
    assert [(row["part"], row["side"], row["action"], row["reason"], row["how"]) for row in kept.understood["actions"]] == [
        (part, side, each[part]["action"], each[part]["reason"], each[part]["how"])
        for part in expected["actions"]["left"]
        for side, each in expected["actions"].items()
    ]
    assert [row["item"] for row in kept.understood["parts_list"]] == [row["item"] for row in expected["parts_list"]]
    actions = {(row["part"], row["side"]): row["action"] for row in kept.understood["actions"]}
    # As the table of findings says: the axle set of hoses, both rotors, pads with new rotors, the pin cleaned.
    assert [actions[each] for each in (("hose", "right"), ("rotor", "left"), ("pad", "left"), ("slide-pin", "left"))] == [
        "replace",
        "replace",
        "replace",
        "measure again",
    ]
