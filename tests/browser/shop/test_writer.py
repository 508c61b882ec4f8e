"""“Write a page”, as a shop lead uses it: opened by double click in both browsers, no network, no Python on the machine."""

from __future__ import annotations

import json
import re
import shutil

import pytest
from playwright.sync_api import expect

from build_tools.browser.bundle import bundled_script
from build_tools.content.shop import import_pages
from build_tools.content.yaml_reader import read
from build_tools.exchange import shop_data
from build_tools.pages.page_writer import stock_files
from build_tools.paths import PROJECT
from tests.browser.procedure_page import FIXTURES, axe_violations, reading, sign, start_job
from tests.browser.shop_pages import write_shop_data

READY = 90_000  # ms; Python starts and reads the handbook once
FILE = "procedures/after-a-loose-wheel.yml"
# Python starts when the test says so, which is later than anything that a person types.
HOLD_PYTHON = """
    const post = Worker.prototype.postMessage, waiting = [];
    let held = true;
    Worker.prototype.postMessage = function (...message) { held ? waiting.push([this, message]) : post.apply(this, message); };
    self.letPythonStart = () => { held = false; for (const [worker, message] of waiting.splice(0)) post.apply(worker, message); };
"""


@pytest.fixture
def copy(site, tmp_path):
    """A copy of the handbook, as on a stick."""
    return shutil.copytree(site, tmp_path / "stick copy")


def opened(context, copy, hold: bool = False):
    """The page writer; with `hold`, while it says “Starting the checks”."""
    page = context.new_page()
    page.set_default_timeout(READY)
    page.said = []
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: None if request.url.startswith(("file:", "blob:", "data:")) else page.said.append(request.url))
    if hold:
        page.add_init_script(HOLD_PYTHON)
    page.goto((copy / "write-a-page.html").as_uri())
    page.locator(".writer__new").wait_for()
    if hold:
        page.locator(".writer__state", has_text=re.compile("Starting the checks")).wait_for()
    else:
        ready(page)
    return page


def ready(page) -> None:
    """Python runs, and what the form offers has come: until then no page has a tab."""
    expect(page.locator(".writer__state")).to_have_text("", timeout=READY)


def let_python_start(page) -> None:
    page.evaluate("self.letPythonStart()")
    ready(page)


def start_page(page, title: str, kind: str = "a procedure with steps"):
    page.fill("#writer-title", title)
    page.get_by_label("Kind of page").select_option(label=kind)
    page.get_by_role("button", name="Start it").click()
    page.locator(".writer__work h2").wait_for()
    if kind.startswith("a plain"):
        page.locator(".writer__text").wait_for()


def show(page, kind: str) -> None:
    """Turn to the form or to the text, and wait until it stands there."""
    page.locator(".writer__tabs").get_by_role("button", name=kind, exact=True).click()
    page.locator({"Form": ".writer__form", "Text": ".writer__text"}[kind]).wait_for()


def text_of(page) -> str:
    return page.locator(".writer__text").input_value()


def save(page, copy):
    """What “Save shop-data.js” gives, put beside index.html as the page says."""
    page.evaluate("""() => { const make = URL.createObjectURL;
        URL.createObjectURL = (blob) => { self.savedText = blob.text(); URL.createObjectURL = make; return make(blob); }; }""")
    page.get_by_role("button", name="Save shop-data.js").click()
    page.locator(".writer__line", has_text="goes to the browser").wait_for()
    (copy / "shop-data.js").write_text(page.evaluate("self.savedText"), "utf-8")


def test_a_procedure_is_written_checked_saved_and_worked_from(browser, copy, tmp_path):
    with reading(browser) as context:
        page = context.new_page()
        page.goto((copy / "shop-changes.html").as_uri())
        page.locator(".contents > summary").click()
        page.locator(".contents__panel").get_by_role("link", name="Write a page").click()
        page.locator(".writer__new").wait_for(timeout=READY)
        page.close()
        page = opened(context, copy)
        start_page(page, "After a loose wheel")
        page.locator(".writer__form").wait_for()
        page.locator(".writer__heading", has_text="To mend: 3").wait_for()
        page.get_by_label("What it is for").fill("Finds out what a wheel that ran loose has damaged.")
        page.get_by_label("Done when").fill("Every stud is judged, and the wheel is torqued.")
        page.get_by_label("Do", exact=True).first.fill("Take the wheel off.")
        page.locator(".writer__sound").wait_for()
        page.get_by_role("button", name="Add a step").click()
        page.get_by_label("Do", exact=True).nth(1).fill("Judge every stud of this wheel: <b>all</b>.")
        page.get_by_label("Written down").nth(1).select_option("findings")
        page.get_by_label("Part", exact=True).select_option("wheel-stud")
        page.locator(".writer__shown .findings").wait_for()
        # As text: a mistake is shown at its place, and a tap leads there.
        show(page, "Text")
        expect(page.locator(".writer__text")).to_have_value(re.compile(r"findings: \"?wheel-stud"))
        text = text_of(page)
        page.locator(".writer__text").fill(re.sub(r'findings: "?wheel-stud"?', "findings: wheel-stut", text))
        page.locator(".writer__problems", has_text="wheel-stud").wait_for()
        page.locator(".writer__problems button").first.click()
        assert page.locator(".writer__text").evaluate("(box) => box.value.slice(box.selectionStart, box.selectionEnd)") == "wheel-stut"
        # Closed by mistake: nothing is lost.
        page.close()
        page = opened(context, copy)
        page.get_by_role("button", name="procedures: after-a-loose-wheel").click()
        page.locator(".writer__form").wait_for()
        show(page, "Text")
        assert "wheel-stut" in text_of(page)
        page.locator(".writer__text").fill(text)
        page.locator(".writer__sound").wait_for()
        assert axe_violations(page) == []
        save(page, copy)
        assert page.said == []
        saved_text = import_pages.files_in(copy / "shop-data.js")[FILE]
        assert re.search(r'findings: "?wheel-stud', saved_text)
        kept = shop_data.read((copy / "shop-data.js").read_bytes())
        assert not kept.is_changed and kept.saved_as and kept.build == page.locator('meta[name="handbook:build"]').get_attribute("content")

        # For everyone who opens this copy: in the contents, in the search, and as a page to work from.
        reader = context.new_page()
        reader.goto((copy / "index.html").as_uri())
        reader.locator(".contents > summary").click()
        reader.locator(".contents__panel").get_by_role("link", name="After a loose wheel").wait_for()
        reader.fill("#search-box", "loose wheel damaged")
        hit = reader.locator("[role=option]", has_text="After a loose wheel").first
        hit.wait_for(timeout=READY)
        hit.click()
        reader.wait_for_url(re.compile(r"own/page\.html\?"))
        assert reader.locator("h1").all_inner_texts() == ["After a loose wheel"]
        assert "This shop" in reader.locator(".shop-mark").inner_text()
        assert reader.locator(".step b", has_text="all").count() == 0  # markup in a shop's text is text
        assert reader.locator(".own-safety, .not-started").count() == 0
        start_job(reader)
        reader.locator('[data-axis="axle"] [data-value="front"]').click()
        sign(reader, "after-a-loose-wheel/first-step", "LF")
        reader.reload()
        reader.locator('[data-step="after-a-loose-wheel/first-step"] .step__value').wait_for()


def test_a_plain_page_and_a_vehicle_sheet(chromium, copy, tmp_path):
    sheet = {
        "id": "vehicle-red-van",
        "name": "Red van (invented)",
        "layout": {"abs": "none"},
        "values": {},
        "front": {
            "layout": {"rotor": "slip-on"},
            "values": {"rotor.discard": {"value": "22.4", "unit": "mm", "source": "stamped on the rotor"}},
        },
    }
    (tmp_path / "sheet.json").write_text(json.dumps(sheet), "utf-8")
    with reading(chromium) as context:
        page = opened(context, copy)
        page.fill("#writer-shop", "Bay 7 (invented)")
        start_page(page, "Our house rules", "a plain page of text")
        page.locator(".writer__text").fill("# Our house rules\n\nWheel nuts are torqued by hand. <script>alert(1)</script>\n")
        page.locator(".writer__problems", has_text="HTML").wait_for()
        page.locator(".writer__text").fill("# Our house rules\n\nWheel nuts are torqued by hand.\n")
        page.locator(".writer__sound").wait_for()
        page.locator(".writer__new input[type=file]").set_input_files(tmp_path / "sheet.json")
        page.locator(".writer__preview", has_text="The sheet is sound").wait_for()
        save(page, copy)
        reader = context.new_page()
        reader.goto((copy / "own/page.html").as_uri() + "?pages/our-house-rules.md")
        assert reader.locator("h1").inner_text() == "Our house rules"
        assert "Bay 7 (invented)" in reader.locator(".shop-mark").inner_text()
        reader.goto((copy / "procedures/measure-rotor.html").as_uri())
        reader.select_option("#vehicle-sheet", "vehicle-red-van")


@pytest.mark.parametrize("width", [360, 768])
def test_the_writer_fits_a_narrow_screen(chromium, copy, width):
    with reading(chromium) as context:
        page = opened(context, copy)
        page.set_viewport_size({"width": width, "height": 800})
        start_page(page, "After a loose wheel")
        page.locator(".writer__form").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_page_that_is_not_there_says_where_pages_come_from(chromium, site):
    page = chromium.new_page()
    page.goto((site / "own/page.html").as_uri() + "?procedures/nothing.yml")
    assert re.search("no page of that name", page.locator(".own-page").inner_text())
    page.close()


# ---------------------------------------------------------------- what is typed stays


def test_what_is_typed_before_the_checks_are_ready_stays(browser, copy):
    with reading(browser) as context:
        page = opened(context, copy, hold=True)
        page.fill("#writer-shop", "Bay 7 (invented)")
        start_page(page, "After a loose wheel")
        # The page is open at once, as text, and what is typed is in it.
        box = page.locator(".writer__text")
        box.wait_for()
        box.fill(text_of(page).replace('purpose: ""', "purpose: Finds what a loose wheel has damaged."))
        page.fill("#writer-title", "The next one")
        page.get_by_label("Kind of page").select_option(label="a plain page of text")
        let_python_start(page)
        page.locator(".writer__heading", has_text="To mend: 2").wait_for()
        assert (
            page.locator("#writer-title").input_value() == "The next one"
            and page.locator("#writer-shop").input_value() == "Bay 7 (invented)"
        )
        assert page.get_by_label("Kind of page").evaluate("(box) => box.selectedOptions[0].label") == "a plain page of text"
        assert "purpose: Finds what a loose wheel has damaged." in text_of(page)
        show(page, "Form")
        assert page.get_by_label("What it is for").input_value() == "Finds what a loose wheel has damaged."
        assert page.said == []


def test_a_page_opened_before_the_checks_are_ready_becomes_a_form_when_they_are(browser, copy):
    write_shop_data(
        copy,
        {},
        files={
            FILE: json.dumps(
                {
                    "id": "after-a-loose-wheel",
                    "title": "After a loose wheel",
                    "purpose": "Finds out.",
                    "end_state": "Done.",
                    "people": {"skill": "trained", "minutes": "5"},
                    "conditions": "none",
                    "tools": "none",
                    "supplies": "none",
                    "cautions": "none",
                    "changes": [{"revision": "1", "date": "2026-11-30", "reason": "First."}],
                    "sources": "common-practice",
                    "steps": [{"id": "one", "do": "Remove the wheel."}],
                }
            )
        },
    )
    with reading(browser) as context:
        page = opened(context, copy, hold=True)
        page.get_by_role("button", name="procedures: after-a-loose-wheel").click()
        page.locator(".writer__text").wait_for()
        assert "Remove the wheel." in text_of(page)
        let_python_start(page)
        page.locator(".writer__form").wait_for()
        assert page.get_by_label("Do", exact=True).input_value() == "Remove the wheel."


@pytest.mark.parametrize("hold", [True, False], ids=["starting", "ready"])
def test_a_reload_right_after_the_last_key_loses_nothing(browser, copy, hold):
    with reading(browser) as context:
        page = opened(context, copy, hold)
        start_page(page, "House rules", "a plain page of text")
        page.fill("#writer-shop", "Bay 7 (invented)")
        page.fill("#writer-title", "Half a tit")
        page.locator(".writer__text").fill("# House rules\n\nThe last key")
        page.reload()
        page.locator(".writer__new").wait_for()
        assert (
            page.locator("#writer-title").input_value() == "Half a tit" and page.locator("#writer-shop").input_value() == "Bay 7 (invented)"
        )
        page.get_by_role("button", name="pages: house-rules").click()
        assert text_of(page) == "# House rules\n\nThe last key"
        page.locator(".writer__text").fill("")
        page.reload()
        page.get_by_role("button", name="pages: house-rules").click()
        assert text_of(page) == ""


def test_a_form_is_kept_at_every_key_and_never_under_another_page(browser, copy):
    with reading(browser) as context:
        page = opened(context, copy)
        start_page(page, "House rules", "a plain page of text")
        start_page(page, "After a loose wheel")
        page.locator(".writer__form").wait_for()
        page.get_by_label("What it is for").fill("Finds what a loose wheel has damaged.")
        # Another page is opened before Python has seen the form.
        page.get_by_role("button", name="pages: house-rules").click()
        expect(page.locator(".writer__text")).to_have_value("# House rules\n\n")
        page.locator(".writer__heading", has_text="To mend").wait_for()  # the procedure is not complete
        assert text_of(page) == "# House rules\n\n"
        page.get_by_role("button", name="procedures: after-a-loose-wheel").click()
        page.locator(".writer__form").wait_for()
        assert page.get_by_label("What it is for").input_value() == "Finds what a loose wheel has damaged."
        # And a reload comes before it, too.
        page.get_by_label("Done when").fill("Every stud is judged.")
        page.reload()
        page.locator(".writer__new").wait_for()
        page.get_by_role("button", name="procedures: after-a-loose-wheel").click()
        page.locator(".writer__form").wait_for()
        assert page.get_by_label("Done when").input_value() == "Every stud is judged."


def test_form_and_text_hold_the_same_whichever_was_written_last(browser, copy):
    with reading(browser) as context:
        page = opened(context, copy)
        start_page(page, "After a loose wheel")
        page.locator(".writer__form").wait_for()
        page.get_by_label("What it is for").fill("Written in the form.")
        show(page, "Text")
        assert "Written in the form." in text_of(page)
        page.locator(".writer__text").fill(text_of(page).replace("Written in the form.", "Written in the text."))
        show(page, "Form")
        assert page.get_by_label("What it is for").input_value() == "Written in the text."
        page.get_by_label("Done when").fill("All is well.")
        show(page, "Text")
        assert "Written in the text." in text_of(page) and "All is well." in text_of(page)


def test_another_tab_takes_nothing_of_what_is_written_here(chromium, copy):
    with reading(chromium) as context:
        page, other = opened(context, copy, hold=True), opened(context, copy, hold=True)
        start_page(page, "House rules", "a plain page of text")
        page.locator(".writer__text").fill("Of the first tab.")
        other.get_by_role("button", name="pages: house-rules").click()
        expect(other.locator(".writer__text")).to_have_value("Of the first tab.")
        other.locator(".writer__text").fill("Of the second tab.")
        page.locator(".writer__other", has_text="Another tab has changed this page.").wait_for()
        assert text_of(page) == "Of the first tab."
        page.get_by_role("button", name="Take the other tab’s text").click()
        expect(page.locator(".writer__text")).to_have_value("Of the second tab.")


def test_data_as_plain_yaml_is_read_back_the_same(chromium, site):
    page = chromium.new_page()
    page.goto((site / "index.html").as_uri())
    page.evaluate(bundled_script(PROJECT, FIXTURES / "plain-yaml.js"))
    odd = {
        "id": "x",
        "title": 'a: "b" # c\\d',
        "lines": ["- no", "yes", "", "1:30", "\u2028\u0085\u007f\ufeff é 😀", " spaced ", "a\nb\tc"],
        "none": [],
        "empty": {},
        "deep": [{"a": {"b": ["c", {"d": "e"}]}}, [["x"], []]],
        "Odd key: #": "v",
        "no": "yes",
    }
    for data in (*(each for each in stock_files(PROJECT / "site_data").values() if isinstance(each, dict)), odd):
        text = page.evaluate("(data) => self.plainYaml(data)", data)
        assert read(text, "").data == data
    page.close()
