"""The papers of a job: what is off, loose or open, the sheets, the customer's page, the comparison with an earlier job."""

import json
import re
import subprocess

import pytest

from build_tools.browser.bundle import bundled_script
from build_tools.jobs.job_record import checksum
from tests.browser.fixture_site import handbook
from tests.browser.procedure_page import (
    PROJECT,
    axe_violations,
    make_page,
    opened,
    reading,
    sign,
    start_job,
)
from tests.browser.whole_site import open_procedure, opened_page

WHOLE_JOB = (
    "#layout=axle:front,abs:none,hydraulics:front-rear,rotor:hub,disc:vented,caliper:sliding-one-piston,slides:damper-pin,bracket:bracketed,"
    "bearing:tapered-roller,nut:hex-with-lock,parking_brake:none,hose_end:banjo&vehicle=demo-truck-a"
)

EFFECTS = """
import { stateOf } from "%s/docs/scripts/state/effects.js";
import { Progress, readSteps } from "%s/docs/scripts/state/steps.js";
self.told = (effects, done, axle) => {
  const article = document.createElement("article");
  for (const [id, [per, what, more]] of Object.entries(effects)) {
    const box = document.createElement("li");
    box.className = "step";
    Object.assign(box.dataset, { step: `job/${id}`, number: id, for: per, effects: JSON.stringify(what), ...more });
    article.append(box);
  }
  const steps = readSteps(article);
  const entries = done.map(([id, place, kind = "done"], index) => ({
    id: `${index}`, step: `job/${id}`, place, kind, hash: null, typed: {}, verdict: null,
    ...(kind.startsWith("came ") ? { kind: "finding", typed: { outcome: kind.slice(5) }, verdict: { code: kind.slice(5), text: "" } } : {}) }));
  const state = stateOf(new Progress(entries, axle, steps), steps);
  return Object.entries(state).flatMap(([list, items]) => items.map(({ name, place, step }) => `${list} ${name} ${place} ${step.number}`));
};
"""
WORK = {
    "wheel-off": ("side", {"takes_off": ["wheel"], "loosens": ["wheel-nut"]}),
    "hose-off": ("side", {"opens": ["caliper-inlet"]}),
    "hose-on": ("side", {"closes": ["caliper-inlet"]}, {"outcomes": '{"wet": "job/hose-on"}'}),
    "bleed": ("side", {"opens": ["bleeder-port"], "closes": ["bleeder-port"], "bleeds": ["caliper-inlet", "bleeder-port"]}),
    "leak-check": ("axle", {"leak_checks": ["caliper-inlet", "bleeder-port"]}),
    "wheel-on": ("side", {"fits": ["wheel"]}),
    "wheel-nuts": ("side", {"torques": ["wheel-nut"]}, {"outcomes": '{"again": "job/wheel-on"}'}),
    "cap-off": ("axle", {"takes_off": ["cap"]}),
    "cap-on": ("side", {"fits": ["cap"]}),
}
OPENED = [("hose-off", "LF")]


@pytest.fixture(scope="module")
def told(chromium, tmp_path_factory):
    entry = tmp_path_factory.mktemp("effects") / "entry.js"
    entry.write_text(EFFECTS.replace("%s", PROJECT.as_posix()), "utf-8")
    page = chromium.new_page()
    page.add_script_tag(content=bundled_script(PROJECT, entry))
    yield lambda done, axle="front": page.evaluate("([effects, done, axle]) => told(effects, done, axle)", [WORK, done, axle])
    page.close()


# A joint that was opened is closed, then bled, then checked for leaks, whichever the order of the steps in the page;
# the rule of each is that of the walk over every layout, tried in tests/checks.
@pytest.mark.parametrize(
    "done, left",
    [
        ([], []),
        ([("wheel-off", "LF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
        ([("wheel-off", "LF"), ("wheel-on", "LF")], ["loose wheel nut LF wheel-off"]),
        ([("wheel-off", "LF"), ("wheel-on", "RF"), ("wheel-nuts", "RF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
        ([("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF")], []),
        # done in another order than the page has them: what was last undone counts
        ([("wheel-on", "LF"), ("wheel-nuts", "LF"), ("wheel-off", "LF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
        # «does not apply» neither takes off nor puts right
        ([("wheel-off", "LF", "not-applicable")], []),
        ([("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF", "not-applicable")], ["loose wheel nut LF wheel-off"]),
        # an outcome that leads back opens the closing steps again
        (
            [("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF", "came again")],
            ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"],
        ),
        (OPENED, ["open caliper inlet LF hose-off", "unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off"]),
        ([*OPENED, ("hose-on", "LF")], ["unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off"]),
        # bled while still open counts for nothing; the bleeder itself was opened and closed in the same step
        (
            [*OPENED, ("bleed", "LF"), ("hose-on", "LF")],
            ["unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off", "unchecked bleeder port LF bleed"],
        ),
        ([*OPENED, ("hose-on", "LF"), ("bleed", "LF"), ("leak-check", "front")], []),
        (
            [*OPENED, ("hose-off", "RF"), ("hose-on", "LF"), ("bleed", "LF"), ("bleed", "RF"), ("leak-check", "front")],
            ["open caliper inlet RF hose-off", "unbled caliper inlet RF hose-off", "unchecked caliper inlet RF hose-off"],
        ),
        ([("cap-off", "front"), ("cap-on", "LF")], ["off cap RF cap-off"]),
    ],
)
def test_what_is_off_loose_or_open(told, done, left):
    assert told(done) == left


def test_state_counts_both_axles_of_a_job(told):
    assert told([("wheel-off", "LR"), ("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF")]) == [
        "off wheel LR wheel-off",
        "loose wheel nut LR wheel-off",
    ]


# ---------------------------------------------------------------- the papers

QUIET = "self.print = () => { self.printed = true; };"  # a print dialogue would wait for ever
MARKS = {  # what the steps of this test's page do and say more
    "tear-down/wheel-off": {"takes_off": ["wheel"], "loosens": ["wheel-nut"]},
    "close-up/wheel-nuts": {"torques": ["wheel-nut"]},
    "inspect/thickness": {"record": "true"},
    "inspect/rotor-faces": {"record": "true"},
    "inspect/pads": {"record": "true"},
}
HASH = handbook(MARKS).step_at("inspect/thickness").hash
LIMIT = {"path": "end.rotor.discard", "value": "22.4", "unit": "mm", "source": "stamped on the rotor"}


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return make_page(tmp_path_factory.mktemp("papers") / "site", MARKS)


@pytest.fixture
def page(browser, file):
    yield from _page(browser, file)


@pytest.fixture
def printing(chromium, file):
    """A page of the one browser that prints to a file."""
    yield from _page(chromium, file)


def _page(browser, file):
    with reading(browser) as context:
        context.add_init_script(QUIET)
        page = opened(context, file)
        page.on("pageerror", lambda error: pytest.fail(str(error)))
        yield page


def job_text(number: int, date: str, entries: list[dict], vehicle: str = "Red van") -> str:
    """The file of a job of that day."""
    job = {"id": f"{number:032x}", "name": f"{vehicle} {date}", "vehicle": vehicle, "started": f"{date}T08:00:00.000+00:00"}
    empty = {
        "procedure": "front-brake-service",
        "revision": 1,
        "build": "b",
        "step": None,
        "hash": None,
        "place": None,
        "try": 1,
        "typed": {},
        "understood": {},
        "limits": {},
        "verdict": None,
        "by": "A. Sample",
        "note": "",
    }
    whole = [
        {**empty, **entry, "id": f"{number * 1000 + at:032x}", "job": job["id"], "time": f"{date}T08:{at:02d}:00.000+00:00"}
        for at, entry in enumerate(entries)
    ]
    content = {"format": "wheel-end-job/1", "job": job, "entries": whole}
    return json.dumps({**content, "checksum": checksum(content)}, ensure_ascii=False)


def thickness(place: str, value: float, text: str, code: str, hash_: str = HASH, system: str = "metric", unit: str = "mm") -> dict:
    """A rotor that was measured, as the form records it."""
    return {
        "kind": "result",
        "step": "inspect/thickness",
        "hash": hash_,
        "place": place,
        "typed": {"calculator": "rotor-thickness", "system": system, "given": {"readings": str(value), "discard": "22.4 mm"}},
        "understood": {
            "inputs": {},
            "notes": [],
            "shown": text,
            "values": {
                "thinnest": {"value": value, "unit": unit, "text": text},
                "wear_per_distance": {"value": None, "unit": "mm/km", "text": "needs the distance"},
            },
        },
        "limits": {"discard": LIMIT},
        "verdict": {"code": code, "text": "Judged."},
    }


def take(page, folder, text: str):
    """Open a job file as the page's job."""
    path = folder / "job.json"
    path.write_text(text, "utf-8")
    page.locator(".job-bar__file input[type=file]").set_input_files(path)
    page.locator(".job-bar__message", has_text=f"{json.loads(text)['job']['name']}: ").wait_for()


def choose_paper(page, name: str):
    page.locator(".job-bar__print").evaluate("(button) => button.click()")  # on a narrow window it is put away with the panel
    page.locator(".papers__paper", has_text=name).click()


def pdf(page, folder) -> str:
    """The text of what comes out of the printer."""
    path = folder / "sheet.pdf"
    page.pdf(path=path, prefer_css_page_size=True)
    return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, encoding="utf-8", check=True).stdout


def test_menu_of_papers_by_keyboard(page):
    page.locator(".job-bar").get_by_role("button", name="Start a job").click()
    page.get_by_role("button", name="Print the sheet").focus()
    page.keyboard.press("Enter")
    assert page.locator(".papers__paper").all_inner_texts() == ["Whole bench sheet"]
    assert page.evaluate("document.activeElement.textContent") == "Whole bench sheet"
    page.keyboard.press("Escape")
    assert not page.locator(".papers").is_visible()
    assert page.evaluate("document.activeElement.className") in ("job-bar__print", "job-bar__toggle")
    start_job(page)
    choose_paper(page, "Comparison")
    page.locator(".papers__compare", has_text="No earlier job with the vehicle name «Red van»").wait_for()
    assert page.evaluate("document.activeElement.id") == "compare-distance"
    assert axe_violations(page) == []


def test_sheet_from_the_current_step_on(printing, tmp_path):
    start_job(printing)
    for address, place in [
        ("make-safe/chock", "vehicle"),
        ("make-safe/lift", "front"),
        ("make-safe/stands", "front"),
        ("tear-down/wheel-off", "LF"),
    ]:
        sign(printing, address, place)
    choose_paper(printing, "Sheet from 2.1 on")
    text = pdf(printing, tmp_path)
    assert "1.1 to 1.4 done or not needed: see the job’s file." in text
    assert "Chock the wheels that stay" not in text.split("Recorded in this job")[0] and "1 Make it safe" not in text
    assert "Take the wheel off." in text and "Drive a road test." in text
    # Identity, job and page stand on every page.
    pages = text.rstrip("\f").split("\f")
    for number, each in enumerate(pages, 1):
        assert "front-brake-service · revision 1 · build fixture-1 · job" in each and f"Page {number} of {len(pages)}" in each
    choose_paper(printing, "Whole bench sheet")
    assert "1 Make it safe" in pdf(printing, tmp_path)


def test_hand_over_sheet_says_how_the_vehicle_stands(printing, tmp_path):
    start_job(printing)
    for address, place in [
        ("make-safe/chock", "vehicle"),
        ("make-safe/lift", "front"),
        ("make-safe/stands", "front"),
        ("tear-down/wheel-off", "LF"),
    ]:
        sign(printing, address, place)
    printing.get_by_role("button", name="Called away").click()
    printing.locator(".job-bar").wait_for()
    choose_paper(printing, "Hand-over sheet")
    text = " ".join(pdf(printing, tmp_path).split())
    assert "Off the vehicle wheel LF" in text and "Loosened, not torqued wheel nut LF" in text and "2.1 Take the wheel off." in text
    assert "nobody presses the pedal" in text
    assert "Next 2.1 Take the wheel off." in text  # the right side is open
    assert re.search(r"front axle 2 of 3 6\.3", text) and "called away A. Sample" in text
    assert "Taken over by, date, time" in text and "Drive a road test" not in text


def test_customers_page_in_plain_words_from_the_record_alone(page, tmp_path):
    evil = "outer pad <img src=x onerror=alert(1)>"
    take(
        page,
        tmp_path,
        job_text(
            2,
            "2026-11-20",
            [
                thickness("LF", 23.0, "23.0 mm", "within"),
                thickness("RF", 22.3, "22.3 mm", "beyond"),
                {
                    "kind": "finding",
                    "step": "inspect/rotor-faces",
                    "place": "RF",
                    "typed": {"part": "rotor", "findings": ["cracked"]},
                    "understood": {
                        "shown": "cracked",
                        "findings": [
                            {
                                "id": "cracked",
                                "action": "replace",
                                "says": "cracked to the edge",
                                "follows": "Replace (axle set): a crack at the edge grows",
                            }
                        ],
                    },
                },
                {"kind": "text", "step": "inspect/pads", "place": "LF", "typed": {"text": evil}},
                {
                    "kind": "torque",
                    "step": "close-up/wheel-nuts",
                    "place": "LF",
                    "typed": {"fastener": "wheel-nut", "stage": "final", "target": "110 N·m", "actual": "112 N·m", "tool": "wrench 3"},
                    "verdict": {"code": "within", "text": "on target"},
                    "limits": {
                        "target": {
                            "path": "vehicle.wheel_nut.torque",
                            "value": "110",
                            "unit": "N·m",
                            "source": "owner’s manual, p. 12 (invented)",
                        }
                    },
                },
            ],
        ),
    )
    choose_paper(page, "Customer’s page")
    text = " ".join(page.locator(".paper--customer").text_content().split())
    # An older record does not name what decided: beyond its limit, its own sentence stands, which names every limit.
    for said in (
        "23.0 mm: within the limit",
        "22.3 mm: Judged",
        "22.4\u00a0mm (stamped on the rotor)".replace("\u00a0", " "),
        "Replace (axle set): a crack at the edge grows",
        "112 N·m, of 110 N·m: within the limit, wrench 3",
        "110 N·m (owner’s manual, p. 12 (invented))",
        evil,
        "Not on record: parts fitted.",
        "Rotor: the iron brake disc",
        "A. Sample: 2026-11-20 08:00",
    ):
        assert said in text, said
    assert "The work is not finished" in text
    assert page.locator(".paper img").count() == 0
    assert not re.search(r"[a-z]+(-[a-z]+)*/[a-z]+-|[{}\[\]]|undefined|null", text) and HASH not in text


def test_comparison_of_the_same_reading_then_and_now(page, tmp_path):
    old = job_text(
        1,
        "2025-11-20",
        [thickness("LF", 24.1, "24.1 mm", "within"), thickness("RF", 0.949, "0.949 in", "within", system="inch", unit="in")],
    )
    take(
        page,
        tmp_path,
        job_text(2, "2026-11-20", [thickness("LF", 23.0, "23.0 mm", "within", hash_="0" * 12), thickness("RF", 23.0, "23.0 mm", "within")]),
    )
    other = tmp_path / "then.json"
    other.write_text(old, "utf-8")
    choose_paper(page, "Comparison")
    chooser = page.locator(".papers__compare input[type=file]")
    broken = tmp_path / "broken.json"
    broken.write_text(old.replace("24.1", "24.9"), "utf-8")
    chooser.set_input_files(broken)
    page.locator(".papers__line", has_text="checksum does not match").wait_for()
    chooser.set_input_files(other)
    paper = page.locator(".paper--comparison")
    paper.wait_for(state="attached")
    left, right = [[cell.strip() for cell in row.locator("th, td").all_text_contents()] for row in paper.locator("tbody tr").all()]
    assert left[1:4] == ["LF", "24.1 mm, within", "23.0 mm, within"]
    assert left[4].startswith("−1.1\u00a0mm. The step’s text was changed")  # 23.0 − 24.1
    assert right[4] == "not worked out: the units differ."
    assert "No wear per distance: the distance driven between the two jobs is missing." in paper.text_content()
    # It was opened for this alone: the browser keeps one job.
    page.locator(".job-bar__toggle").click()
    page.locator("#job-vehicle").wait_for()
    assert page.get_by_role("button", name="Go on with").count() == 0


# ---------------------------------------------------------------- the handbook as it ships


@pytest.fixture(scope="module")
def whole(chromium, site):
    with opened_page(chromium, QUIET) as page:
        yield open_procedure(page, site.as_uri() + "/", WHOLE_JOB)


def test_short_sheet_of_a_whole_job(whole, tmp_path):
    numbers = whole.locator(".step").evaluate_all(
        "all => all.filter((box) => !box.closest('.other-layout')).map((box) => box.dataset.number)"
    )
    choose_paper(whole, "Whole bench sheet")
    whole.emulate_media(media="print")
    # Printed sizes: a box to tick is 5 mm or more, a line to write on 8 mm high and 25 mm long (96 px to the inch).
    small = whole.evaluate("""() => [...document.querySelectorAll(".step input, .step textarea, .before .tick")].filter((each) => each.checkVisibility()).filter((each) => {
        const { width, height } = each.getBoundingClientRect(), mm = 96 / 25.4, tick = each.matches("[type=checkbox], [type=radio], .tick");
        return tick ? Math.min(width, height) < 4.99 * mm : height < 7.99 * mm || width < 24.99 * mm; }).map((each) => each.outerHTML.slice(0, 120))""")
    assert small == []
    whole.emulate_media(media="null")
    text = pdf(whole, tmp_path)
    pages = text.rstrip("\f").split("\f")
    assert len(pages) <= 45
    lines = text.splitlines()
    assert [number for number in numbers if not any(line.split()[:1] == [number] for line in lines)] == []
    # A caution never ends a page: its step follows it there.
    words = re.compile(r"^\s*(DANGER|WARNING|CAUTION|NOTICE)\b")
    for number, each in enumerate(pages, 1):
        after = [line.strip() for line in re.split(r"(?m)^\s*(?:DANGER|WARNING|CAUTION|NOTICE)\b", each)[-1].splitlines()]
        assert not any(map(words.match, each.splitlines())) or any(re.match(r"\d+\.\d+\s", line) for line in after), f"page {number}"


def test_wear_between_two_jobs_comes_from_the_calculator(whole, tmp_path):
    """24.1 − 23.0 = 1.1 mm in 12,000 km is 0.0917 mm per 1000 km; 0.6 mm above the limit lasts 6545 km more."""

    def odometer(km: int) -> dict:
        return {
            "kind": "result",
            "step": "take-in-complaint/read-odometer",
            "place": "vehicle",
            "typed": {"calculator": "odometer", "system": "metric", "given": {"reading": f"{km}"}},
            "understood": {
                "inputs": {},
                "notes": [],
                "shown": f"{km} km",
                "values": {"odometer": {"value": km, "unit": "km", "text": f"{km} km"}},
            },
        }

    steps = {"step": "measure-rotor/read-thickness", "hash": None}
    old = job_text(1, "2025-11-20", [odometer(100_000), {**thickness("LF", 24.1, "24.1 mm", "within"), **steps}])
    take(whole, tmp_path, old)
    take(whole, tmp_path, job_text(2, "2026-11-20", [odometer(112_000), {**thickness("LF", 23.0, "23.0 mm", "within"), **steps}]))
    choose_paper(whole, "Comparison")
    whole.locator(".papers__compare button", has_text="Red van 2025-11-20").click()
    whole.locator(".paper--comparison").wait_for(state="attached", timeout=40_000)
    assert "Distance between the two jobs: 12000 km." in whole.locator(".paper--comparison").text_content()
    cells = whole.locator(".paper--comparison tbody tr", has_text="24.1 mm").locator("td").all_text_contents()
    assert re.search(r"0\.091[67] mm per 1000 km", cells[-1].replace("\u00a0", " ")), cells
    assert re.search(r"left to the limit: 65[45]\d km", cells[-1].replace("\u00a0", " ")), cells
