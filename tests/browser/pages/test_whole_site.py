"""The handbook as it ships, where something goes wrong or comes from outside: odd entries, broken files, lacking browsers, a shop's pages."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from build_tools.jobs.job_record import read_job
from build_tools.paths import PROJECT
from build_tools.publishing.mkdocs_build import build_site
from calculators import catalogue
from calculators.calls.browser import evaluate
from tests.browser.job.test_record import saved
from tests.browser.procedure_page import sign, start_job, step
from tests.browser.whole_site import enter, open_procedure, opened_page, record, recorded, text, violations

MEASURE = "procedures/measure-rotor.html"
THICKNESS, GROOVES, COOL = "measure-rotor/read-thickness", "measure-rotor/read-groove-depth", "measure-rotor/let-rotor-cool"
READINGS = "25.132; 25.130; 25.128; 25.126; 25.125; 25.127; 25.129; 25.131"  # made up
VECTORS = PROJECT / "tests" / "calculators" / "contract" / "vectors.json"

# ---------------------------------------------------------------- the same answers in the page as in CPython

KEEP_THE_WORKER = "self.Worker = class extends Worker { constructor(...given) { super(...given); self.python = this; } };"
ASK = """(requests) => Promise.all(requests.map((request, index) => new Promise((resolve) => {
    const number = 1e6 + index;
    self.python.addEventListener("message", ({data}) => { if (data.answer === number) resolve(data.response); });
    self.python.postMessage({evaluate: number, module: "calculators.calls.browser", request});
})))"""


def requests() -> list[str]:
    """Requests to the calculators, as JSON text: the vectors, each worked example in both systems, and what is no request."""
    asked = json.loads(VECTORS.read_text("utf-8"))
    for calculator in catalogue().values():
        for system in ("metric", "inch"):
            asked.append({"calculator": calculator.name, "given": dict(calculator.example.given), "system": system})
        asked.append({"calculator": calculator.name, "given": {}, "system": "metric"})
    return [
        *(json.dumps(request) for request in asked),
        "{}",
        "[]",
        "not JSON",
        '{"calculator": "no-such", "given": {}, "system": "metric"}',
    ]


def test_python_in_the_page_answers_to_the_last_digit_as_cpython_does(browser, site):
    asked = requests()
    with opened_page(browser, KEEP_THE_WORKER) as page:
        page.goto((site / "calculators/rotor-thickness.html").as_uri())
        page.fill("form.calculator [name=readings]", READINGS)
        page.fill("form.calculator [name=discard]", "24.4 mm")
        page.locator(".verdict--within").wait_for(timeout=40_000)
        answered = page.evaluate(ASK, asked)
    differing = {request: (there, here) for request, there, here in zip(asked, answered, map(evaluate, asked)) if there != here}
    assert differing == {}


# ---------------------------------------------------------------- entries that make no sense

BAD_READINGS = [
    "thick",
    "24.1 mm 24.0 kg",
    "-25.13; 25.12",
    "0; 0; 0; 0; 0; 0; 0; 0",
    "1e99",
    "NaN",
    "25,13,12",
    "<b>25</b>",
    "25.13; 9000 mm",
    "25.1 " * 20_000,
    "9" * 100_000,
]


def one_line(locator) -> bool:
    said = text(locator)
    return 0 < len(said) < 400 and "Traceback" not in said and "Error" not in said


def test_no_entry_brings_the_job_down(browser, site):
    with opened_page(browser) as page:
        open_procedure(page, site.as_uri() + "/", path=MEASURE)
        page.locator('[data-axis="axle"] [data-value="front"]').click()
        start_job(page)
        sign(page, COOL, "LF")
        box = step(page, THICKNESS)
        box.locator('[name="discard"]').fill("24.4 mm")
        enter(page, THICKNESS, readings=READINGS)
        for entry in BAD_READINGS:
            box.locator('[name="readings"]').fill(entry)
            box.locator('[name="readings"]').press("Enter")
            problem = box.locator(".field__problem:not(:empty)")
            problem.wait_for()
            assert one_line(problem), entry[:40]
            assert box.locator(".verdict").count() == 0 and not box.locator("form.calculator + .record").is_visible(), entry[:40]
        enter(page, THICKNESS, readings=READINGS)
        box.locator(".verdict--within").wait_for()
        record(page, THICKNESS, "LF")
        # A text too long for the record is refused in one line, and stays in its field.
        words = step(page, GROOVES).locator("textarea").first
        words.fill("groove " * 15_000)
        step(page, GROOVES).locator('.entry + .record button[data-place="LF"]').click()
        refused = step(page, GROOVES).locator(".step__problem:not(:empty)").first
        refused.wait_for()
        assert one_line(refused) and "4000" in text(refused)
        assert len(words.input_value()) == 105_000
        assert len(recorded(page)) == 2
        page.reload()
        page.locator(".step__value").nth(1).wait_for(state="attached")
        assert len(recorded(page)) == 2
        assert page.said == []


def test_without_a_limit_there_is_no_verdict_and_the_page_says_what_is_missing(browser, site):
    with opened_page(browser) as page:
        open_procedure(page, site.as_uri() + "/", path=MEASURE)
        box = step(page, THICKNESS)
        box.locator('[name="readings"]').fill(READINGS)
        box.locator('[name="readings"]').press("Enter")
        box.locator(".calculator__state", has_text="Discard thickness").wait_for()
        assert text(box.locator(".calculator__state")) == "Enter: Discard thickness."
        assert "Not on the vehicle’s sheet." in text(box.locator('[data-input="discard"] .field__source'))
        page.wait_for_timeout(500)
        assert box.locator(".verdict").count() == 0
        assert page.said == []


# ---------------------------------------------------------------- files and browsers that fail


def job_goes_on(page, folder: Path) -> None:
    """A job can be started, signed and saved to a file, whatever else does not work."""
    start_job(page)
    sign(page, COOL, "LF")
    assert [entry.step for entry in read_job(saved(page, folder).read_text("utf-8")).entries if entry.kind == "done"] == [COOL]


@pytest.mark.parametrize("pack", ["stdlib", "wasm"])
def test_a_truncated_pack_is_named_and_costs_nothing_else(browser, site, tmp_path, pack):
    copy = Path(shutil.copytree(site, tmp_path / "copied by hand"))
    file = copy / f"assets/packs/{pack}.js"
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    with opened_page(browser) as page:
        page.goto(f"{copy.as_uri()}/{MEASURE}#layout=axle:front")
        state = step(page, THICKNESS).locator(".calculator__state")
        state.get_by_role("button", name="Try again").wait_for(timeout=40_000)
        assert f"assets/packs/{pack}.js is damaged. Copy the handbook again." in text(state)
        job_goes_on(page, tmp_path / "stick")
        file.write_bytes(whole)
        state.get_by_role("button", name="Try again").click()
        enter(page, THICKNESS, readings=READINGS, discard="24.4 mm").locator(".verdict--within").wait_for()


NO_STORE = {
    "absent": "Object.defineProperty(self, 'indexedDB', {value: undefined});",
    "refused": "IDBFactory.prototype.open = () => { throw new DOMException('refused', 'SecurityError'); };",
}


@pytest.mark.parametrize("lack", NO_STORE)
def test_without_a_store_the_page_says_so_and_the_job_goes_to_a_file(browser, site, tmp_path, lack):
    with opened_page(browser, NO_STORE[lack]) as page:
        open_procedure(page, site.as_uri() + "/", "#layout=axle:front", MEASURE)
        page.locator(".job-bar__kept", has_text="NOT saved on this machine").wait_for()
        assert "Save the job to a file before you close it." in text(page.locator(".job-bar__kept"))
        job_goes_on(page, tmp_path)
        assert "Entries are held in this page only." in text(page.locator(".job-bar__kept"))
        assert page.said == []


def test_without_webassembly_the_page_says_so_and_serves_as_a_handbook(browser, site, tmp_path):
    with opened_page(browser, "delete self.WebAssembly;") as page:
        open_procedure(page, site.as_uri() + "/", "#layout=axle:front", MEASURE)
        state = step(page, THICKNESS).locator(".calculator__state", has_text="WebAssembly")
        state.wait_for()
        assert one_line(state) and "current Chromium or Firefox" in text(state)
        job_goes_on(page, tmp_path)
        assert page.said == []


# ---------------------------------------------------------------- a shop's own pages

HOSTILE = """# Tricks

Raw <b class="raw">bold</b> and <img src="x" onerror="alert(1)"> and <script>alert(2)</script> stay text.

<div onclick="alert(3)">A block of markup.</div>

[one](javascript:alert(4)), [two](JaVaScRiPt:alert(5)), [three](java&#115;cript:alert(6)), [nine](javascript&colon;alert(12)), <javascript:alert(7)>,
[four][ref], [five](data:text/html,alert), [six](vbscript:alert(8)), ![seven](javascript:alert(9)).

[ref]: javascript:alert(10)

[eight](../index.md){: onclick="alert(11)" style="color: red" }
"""


@pytest.fixture(scope="session")
def shop(tmp_path_factory) -> Path:
    """A site with the example shop's pages and one that tries what a page must not do."""
    own = Path(shutil.copytree(PROJECT / "build_tools/example_shop", tmp_path_factory.mktemp("shop") / "our shop"))
    (own / "pages/tricks.md").write_text(HOSTILE, "utf-8")
    folder = tmp_path_factory.mktemp("shop-site")
    with pytest.MonkeyPatch.context() as patch:
        # These say all this beforehand; the page is safe by itself.
        patch.setattr("build_tools.checks.check.page_problems", lambda handbook: [])
        patch.setattr("build_tools.checks.page_links.dead_links", lambda handbook, uris: [])
        build_site(folder, own)
    return folder


def test_a_shop_s_pages_stand_in_the_contents_and_say_whose_they_are(browser, shop):
    with opened_page(browser) as page:
        page.goto((shop / "index.html").as_uri())
        page.locator("details.contents > summary").click()
        page.locator(".contents").get_by_role("link", name="Example shop (invented)").click()
        for title in ("After a loose wheel", "House rules for brake work"):
            page.locator("details.contents > summary").click()
            page.locator(".contents").get_by_role("link", name=title).click()
            assert text(page.locator("h1")) == title
            assert "shop" in text(page.locator(".shop-mark")).lower()
        assert violations(page) == []
        page.get_by_role("link", name="Front axle brake service").click()
        assert text(page.locator("h1")) == "Front brake service"
        assert page.locator(".shop-mark").count() == 0
        assert page.said == []


@pytest.mark.parametrize(
    ("query", "title"), [("loose wheel", "After a loose wheel"), ("second pair of eyes", "House rules for brake work")]
)
def test_a_shop_s_pages_are_found_and_marked_as_the_shop_s(chromium, shop, query, title):
    with opened_page(chromium) as page:
        page.goto((shop / "index.html").as_uri())
        page.fill("#search-box", query)
        hit = page.locator("[role=option]", has_text=title).first
        hit.wait_for()
        assert "This shop’s page" in text(hit)
        hit.click()
        page.locator("h1", has_text=title).wait_for()


def test_a_shop_s_procedure_works_like_any_other(browser, shop):
    with opened_page(browser) as page:
        open_procedure(page, shop.as_uri() + "/", "#layout=axle:front", "procedures/after-a-loose-wheel.html")
        start_job(page)
        sign(page, "after-a-loose-wheel/take-wheel-off", "LF")
        assert len(recorded(page)) == 1
        assert page.said == []


def test_markup_and_script_links_in_a_shop_s_page_stay_text(browser, shop):
    with opened_page(browser) as page:
        page.goto((shop / "shop/tricks.html").as_uri())
        content = page.locator("main")
        assert '<b class="raw">bold</b>' in text(content) and "<script>alert(2)</script>" in text(content)
        assert '<div onclick="alert(3)">' in text(content)
        assert content.locator("script, .raw, [onclick], [onerror], [style]").count() == 0
        addresses = content.locator("a[href], img[src]").evaluate_all("all => all.map((each) => each.href ?? each.src)")
        assert [address for address in addresses if not address.startswith(("file:", "mailto:"))] == []
        assert page.said == []
