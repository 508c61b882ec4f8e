"""Python in the page and the calculator forms, over file:// and http, in both browsers, under the page's policy."""

from __future__ import annotations

import base64
import gzip
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from build_tools.browser.bundle import bundle, bundled_script, listing, tree
from build_tools.paths import PROJECT
from calculators.calls.browser import evaluate
from tests.browser.fixture_site import copy_site
from tests.conftest import serving

FIXTURES = Path(__file__).parents[1] / "fixtures"
EIGHT = "24.13; 24.12; 24.10; 24.11; 24.13; 24.14; 24.12; 24.11"  # made up
WORN = EIGHT.replace("24.", "22.")
CLOSE = "22.43; 22.42; 22.41; 22.41; 22.43; 22.44; 22.42; 22.41"
PAGE = "procedures/two-readings.html"
VERDICT = "[data-calculator=rotor-thickness] .verdict"
STATE = "[data-calculator=rotor-thickness] .calculator__state"

# Stands for the calculators where a test needs an answer that they never give.
STAND_IN = """
import json
def evaluate(text):
    given = json.loads(text).get("given", {})
    if given.get("readings") == "endless":
        while True:
            pass
    if given.get("readings") == "nobody":
        return json.dumps({"problem": {"input": None, "typed": "", "message": "<b>No</b> field is to blame.", "candidates": []}})
    return json.dumps({"result": {
        "calculator": "rotor-thickness", "inputs": {}, "notes": ["<img src=x onerror=alert(1)>"], "figure": FIGURE,
        "values": {"thinnest": {"value": 1, "unit": "mm", "text": "<script>alert(1)</script>"}},
        "verdict": {"code": "within", "text": "<i>Within</i> limits: <a href='javascript:alert(1)'>x</a>"}}})
FIGURE = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><rect width='9' height='9'/></svg>"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page with two forms and everything they load, in a folder whose name is hard on addresses."""
    folder = tmp_path_factory.mktemp("runtime") / "Bremse vorn #1 für Hüb"
    copy_site(folder)
    (folder / "shop-data.js").write_text("self.shopData = {};\n", "utf-8")
    files = bundle(PROJECT, PROJECT / ".build")
    for uri, content in files.items():
        target = folder / uri
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content if isinstance(content, bytes) else content.read_bytes())
    with (folder / "assets/handbook-data.js").open("a", encoding="utf-8") as data:
        data.write(f"self.handbook.packs = {json.dumps(listing(files))};\n")
    return folder


@pytest.fixture
def copy(folder: Path, tmp_path: Path) -> Path:
    """A copy of the folder to break."""
    return Path(shutil.copytree(folder, tmp_path / "copy"))


@pytest.fixture
def page(browser) -> Iterator:
    """A page in a profile of its own; the test fails on any message of the browser that is an error."""
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.said = []
    page.on("console", lambda message: message.type == "error" and page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    yield page
    context.close()


@pytest.fixture
def form(page, folder: Path):
    """The page with the forms, opened by double click."""
    page.goto((folder / PAGE).as_uri())
    return page


def put_in_place_of_the_calculators(folder: Path, source: str) -> None:
    packed = gzip.compress(tree({"calculators/__init__.py": b"", "calculators/calls/browser.py": source.encode()}), mtime=0)
    path = folder / "assets/packs/calculators.js"
    path.write_bytes(b'pack("calculators","' + base64.b64encode(packed) + b'");\n')


def fill(page, readings: str = EIGHT, discard: str = "22.4") -> None:
    page.fill("#s1-readings", readings)
    page.fill("#s1-discard", discard)


# ---- a calculation


@pytest.mark.parametrize("way", ["file", "http"])
def test_entries_give_a_verdict_and_ask_nothing_outside(page, folder, way):
    with serving(folder) as address:
        top = address if way == "http" else folder.as_uri() + "/"
        asked = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(top + PAGE)
        fill(page)
        page.wait_for_selector(".verdict--within")
        assert page.inner_text(".verdict__word") == "Within limits"
        assert [url for url in asked if not url.startswith((top, "blob:", "data:"))] == []
        assert [line for line in page.said if "favicon" not in line and "404" not in line] == []


# By the decision rule: 24.10 − 0.02 > 22.4 within; 22.10 + 0.02 ≤ 22.4 beyond; 22.41 ± 0.02 straddles 22.4.
@pytest.mark.parametrize(("readings", "code"), [(EIGHT, "within"), (WORN, "beyond"), (CLOSE, "too-close")])
def test_page_answers_as_cpython_does(form, readings, code):
    form.evaluate("document.addEventListener('calculator:result', (event) => { self.heard = event.detail; })")
    form.locator("[data-calculator=rotor-thickness] summary").first.click()
    form.fill("#s1-tool_uncertainty", "0.02")
    fill(form, readings)
    form.wait_for_selector(f".verdict--{code}")
    heard = form.evaluate("self.heard")
    request = {key: heard[key] for key in ("calculator", "given", "system")}
    assert {**request, "given": {name: text for name, text in request["given"].items() if text}} == {
        "calculator": "rotor-thickness",
        "system": "metric",
        "given": {"readings": readings, "discard": "22.4", "tool_uncertainty": "0.02"},
    }
    assert heard["result"] == json.loads(evaluate(json.dumps(request)))["result"]


def test_answer_names_its_values_and_folds_away_what_needs_more_entries(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    rows = form.locator("[data-calculator=rotor-thickness] .values:not(.values--open) tr")
    # The label is the description's; the least of the eight readings is 24.10.
    assert rows.nth(0).inner_text().replace("\xa0", " ").startswith("Thinnest\t24.10 mm")
    assert not form.locator("[data-calculator=rotor-thickness] .values--open").is_visible()


def test_echo_says_typed_understood_other_system(form):
    fill(form, discard="0.882 in")
    form.wait_for_selector(VERDICT)
    echo = form.inner_text("#s1-discard-echo").replace("\xa0", " ")
    # 0.882 × 25.4 = 22.4028
    assert echo.startswith("0.882 in → 22.40")  # what was typed is not said twice
    assert form.inner_text("#s1-readings-echo").replace("\xa0", " ").startswith(f"{EIGHT} mm → 0.95")


def test_any_input_clears_the_result_at_once(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    left = form.evaluate("""() => {
        let cleared = 0;
        document.addEventListener("calculator:cleared", () => { cleared += 1; });
        const field = document.querySelector("#s1-tool_uncertainty");
        field.value = "0.01";
        field.dispatchEvent(new Event("input", { bubbles: true }));
        return [document.querySelectorAll("[data-calculator=rotor-thickness] .verdict, [data-calculator=rotor-thickness] .values").length,
                document.querySelector("#s1-discard-echo").textContent, cleared];
    }""")
    assert left == [0, "", 1]
    form.wait_for_selector(VERDICT)


def test_only_the_newest_entries_get_an_answer(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    heard = form.evaluate("""async () => {
        const heard = [];
        document.addEventListener("calculator:result", (event) => heard.push(event.detail.given.discard));
        const field = document.querySelector("#s1-discard");
        for (const value of ["21", "21.1", "21.2", "21.3"]) {
            field.value = value;
            field.dispatchEvent(new Event("input", { bubbles: true }));
            // Asks at once; the next input comes before the answer.
            field.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
            await new Promise((done) => setTimeout(done, 0));
        }
        await new Promise((done) => setTimeout(done, 1500));
        return heard;
    }""")
    assert heard == ["21.3"]


def test_enter_asks_at_once_and_focus_stays(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    waited = form.evaluate("""() => new Promise((resolve) => {
        const field = document.querySelector("#s1-discard");
        field.focus();
        field.value = "22.5";
        const start = performance.now();
        document.addEventListener("calculator:result", () => resolve(performance.now() - start), { once: true });
        field.dispatchEvent(new Event("input", { bubbles: true }));
        field.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true, cancelable: true }));
    })""")
    assert waited < 300, "without the rest after the last key"
    assert form.evaluate("document.activeElement.id") == "s1-discard"
    box = form.locator("[data-calculator=rotor-thickness] .calculator__answer")
    assert box.get_attribute("aria-live") == "polite"


def test_other_system_clears_and_reads_the_entries_anew(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    left = form.evaluate("""() => {
        document.documentElement.dataset.system = "inch";
        document.dispatchEvent(new CustomEvent("handbook:system", { detail: { system: "inch" } }));
        return document.querySelectorAll("[data-calculator=rotor-thickness] .verdict").length;
    }""")
    assert left == 0
    assert form.inner_text("[data-calculator=rotor-thickness] .field[data-input=discard] .field__unit") == "in"
    # 24.1 in is no rotor.
    form.wait_for_selector("[data-calculator=rotor-thickness] .field__problem:not(:empty)")


def test_missing_entries_are_named(form):
    expect_text(form, STATE, "Enter: Readings; Discard thickness.")
    fill(form, discard="")
    expect_text(form, STATE, "Enter: Discard thickness.")
    assert form.locator(VERDICT).count() == 0


def expect_text(page, selector: str, text: str) -> None:
    page.locator(selector).filter(has_text=text).wait_for()


# ---- problems


def test_ambiguous_entry_is_asked_about_at_its_field(form):
    fill(form)
    form.wait_for_selector(VERDICT)
    form.fill("#s1-readings", "0.945")
    line = form.locator("[data-calculator=rotor-thickness] .field__problem")
    line.locator("button").first.wait_for()
    field = form.locator("#s1-readings")
    assert field.get_attribute("aria-invalid") == "true"
    assert line.get_attribute("id") in field.get_attribute("aria-describedby").split()
    assert "0.945" in form.inner_text(STATE), "the state line says it to screen readers"
    line.locator("button", has_text="in").first.click()
    form.wait_for_selector(VERDICT)
    assert form.input_value("#s1-readings").endswith("in")
    assert field.get_attribute("aria-invalid") is None
    assert line.inner_text() == ""
    assert form.evaluate("document.activeElement.id") == "s1-readings"


@pytest.mark.parametrize("entry", ["thick", "1e3", "NaN", "<b>24</b>", "9" * 400, "24.1 mm 24.0 kg"])
def test_what_cannot_be_read_is_one_line_and_never_a_verdict(form, entry):
    fill(form, discard=entry)
    line = form.locator("[data-calculator=rotor-thickness] .field[data-input=discard] .field__problem")
    line.filter(has_text="e").wait_for()
    assert "\n" not in line.inner_text().strip()
    assert form.locator(VERDICT).count() == 0
    assert form.locator("[data-calculator=rotor-thickness] .field b").count() == 0


def test_texts_from_python_are_never_markup(page, copy):
    put_in_place_of_the_calculators(copy, STAND_IN)
    page.goto((copy / PAGE).as_uri())
    fill(page)
    page.wait_for_selector(VERDICT)
    assert page.inner_text(".verdict__word") == "<i>Within</i> limits"
    assert page.locator("[data-calculator=rotor-thickness] .calculator__answer :is(i, a, img, script)").count() == 0
    assert page.locator("[data-calculator=rotor-thickness] .calculator__figure rect").count() == 1
    page.fill("#s1-readings", "nobody")
    expect_text(page, STATE, "<b>No</b> field is to blame.")


def test_endless_calculation_is_stopped_and_the_next_one_works(page, copy):
    put_in_place_of_the_calculators(copy, STAND_IN)
    page.goto((copy / PAGE).as_uri())
    fill(page, "endless")
    expect_text(page, STATE, "took more than 5 seconds")
    fill(page, "24.1")
    page.wait_for_selector(VERDICT)


def test_endless_calculation_does_not_hold_up_another_form(page, copy):
    put_in_place_of_the_calculators(copy, STAND_IN)
    page.goto((copy / PAGE).as_uri())
    fill(page, "endless")
    expect_text(page, STATE, "Working it out.")
    page.fill("#s2-measured", "0.08")
    page.fill("#s2-target_max", "0.13")
    page.wait_for_selector("[data-calculator=bearing-end-play] .verdict")


HOSTILE = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9" onload="x()">
<style>*{fill:red}</style><script>x()</script><rect width="9" height="9" onclick="x()" style="fill:red" fill="url(#cut)"/>
<image href="https://example.org/x.png"/><use href="#a"/><a href="javascript:x()"><text>no</text></a>
<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">no</p></foreignObject><animate attributeName="x"/>
<circle r="1" fill="url(https://example.org/x)" filter="url(#f)" href="x"/><text x="1">22.4 &lt; 24</text></svg>"""


def test_figure_keeps_drawing_and_nothing_else(page, copy):
    (copy / "assets/handbook.js").write_text(bundled_script(PROJECT, FIXTURES / "figure.js"), "utf-8")
    page.goto((copy / PAGE).as_uri())
    made = page.evaluate("(text) => figure(text)", HOSTILE)
    assert "".join(made.split("\n")) == (
        '<svg viewBox="0 0 9 9"><rect width="9" height="9" fill="url(#cut)"></rect>'
        '<circle r="1"></circle><text x="1">22.4 &lt; 24</text></svg>'
    )
    assert page.evaluate("figure('<svg')") is None
    assert page.evaluate("figure('<p>no</p>')") is None


# ---- the start


def test_page_without_a_form_loads_no_pack(page, copy):
    data = copy / "assets/handbook-data.js"
    packs = data.read_bytes()
    copy_site(copy, {"two-readings/rotor": {"enter": None}, "two-readings/play": {"enter": None, "if_not": None}})
    data.write_bytes(packs)
    assert "<form" not in (copy / PAGE).read_text("utf-8")
    with serving(copy) as address:
        asked = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(address + PAGE)
        page.wait_for_timeout(3000)
        assert [url for url in asked if "/packs/" in url] == []


def test_packs_wait_for_the_page_and_come_without_being_asked(page, folder):
    with serving(folder) as address:
        page.goto(address + PAGE)
        expect_text(page, STATE, "Enter: Readings; Discard thickness.")
        # a busy browser notes what it has loaded a little later
        page.wait_for_function("""() => performance.getEntriesByType("resource").filter((e) => e.name.includes("/packs/")).length >= 4""")
        loaded = page.evaluate("""() => performance.getEntriesByType("resource").filter((e) => e.name.includes("/packs/"))
            .map((e) => e.startTime >= performance.getEntriesByType("navigation")[0].loadEventStart)""")
    assert len(loaded) == 4
    assert all(loaded)
    assert len(page.workers) == 1


def test_start_is_seen(page, copy):
    with serving(copy) as address:
        page.route("**/packs/wasm.js*", lambda route: None)
        page.goto(address + PAGE)
        expect_text(page, STATE, "Loading the calculator.")
        # Three of the four packs have come: some of the bytes, not all.
        expect_text(page, STATE, " of 7.")


@pytest.mark.parametrize(
    ("name", "harm"),
    [("worker", "one byte"), ("wasm", "one byte"), ("calculators", "one byte"), ("stdlib", "cut off"), ("wasm", "missing")],
)
def test_damaged_pack_is_named_and_a_whole_one_mends_it(page, copy, name, harm):
    path = copy / f"assets/packs/{name}.js"
    whole = path.read_bytes()
    middle = len(whole) // 2
    if harm == "cut off":
        path.write_bytes(whole[:middle])
    elif harm == "one byte":
        path.write_bytes(whole[:middle] + (b"A" if whole[middle : middle + 1] != b"A" else b"B") + whole[middle + 1 :])
    else:
        path.unlink()
    page.goto((copy / PAGE).as_uri())
    fill(page)
    expect_text(page, STATE, f"The file assets/packs/{name}.js is {'missing' if harm == 'missing' else 'damaged'}")
    text = page.inner_text(STATE)
    assert "formula and the worked example below still serve" in text
    path.write_bytes(whole)
    page.click(f"{STATE} button")
    page.wait_for_selector(VERDICT)


def test_missing_list_of_packs_is_said(page, copy):
    (copy / "assets/handbook-data.js").unlink()
    page.goto((copy / PAGE).as_uri())
    expect_text(page, STATE, "assets/handbook-data.js is missing")


def test_policy_that_forbids_webassembly_is_said_and_not_waited_for(page, copy):
    path = copy / PAGE
    path.write_text(path.read_text("utf-8").replace(" 'wasm-unsafe-eval'", ""), "utf-8")
    page.goto(path.as_uri())
    expect_text(page, STATE, "not allowed to run WebAssembly")


def test_policy_that_forbids_the_worker_is_said(page, copy):
    path = copy / PAGE
    path.write_text(path.read_text("utf-8").replace("worker-src blob:", "worker-src 'none'"), "utf-8")
    page.goto(path.as_uri())
    expect_text(page, STATE, "The calculator did not start.")


@pytest.mark.parametrize("lack", ["WebAssembly", "DecompressionStream", "Worker"])
def test_browser_that_cannot_is_told_what_to_do(page, folder, lack):
    page.add_init_script(f"delete self.{lack}; self.{lack} = undefined;")
    page.goto((folder / PAGE).as_uri())
    expect_text(page, STATE, f"it has no {lack}. Open this page in a current Chromium or Firefox.")
    assert "formula and the worked example below still serve" in page.text_content(STATE)


def test_files_that_do_not_come_are_said_after_twenty_seconds_and_may_still_come(page, folder):
    held = []
    page.clock.install()
    with serving(folder) as address:
        page.route("**/packs/wasm.js*", lambda route: held.append(route))
        page.goto(address + PAGE)
        fill(page)
        page.clock.run_for(3_000)
        expect_text(page, STATE, "Loading the calculator.")
        page.wait_for_timeout(500)
        page.clock.run_for(25_000)
        expect_text(page, STATE, "No part of the calculator arrived for 20 seconds (assets/packs/wasm.js)")
        held[0].continue_()
        page.wait_for_timeout(5_000)
        page.clock.run_for(1_000)
        page.wait_for_selector(VERDICT)


def test_python_that_does_not_start_is_given_up_after_twenty_seconds(page, copy):
    packed = base64.b64encode(gzip.compress(b"self.onmessage = () => {};")).decode()
    (copy / "assets/packs/worker.js").write_text(f'pack("worker","{packed}");', "utf-8")
    page.clock.install()
    page.goto((copy / PAGE).as_uri())
    fill(page)
    expect_text(page, STATE, "Starting the calculator.")
    page.clock.run_for(21_000)
    expect_text(page, STATE, "Python did not start within 20 seconds.")
    assert page.locator(f"{STATE} button").inner_text() == "Try again"
