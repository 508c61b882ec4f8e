"""«Write a page», as a shop lead uses it: opened by double click in both browsers, no network, no Python on the machine."""
from __future__ import annotations

import json
import re
import shutil

import pytest

from build_tools import take
from tests.browser.procedure_page import axe_violations, reading, sign, start_job

READY = 90_000  # ms; Python starts and reads the handbook once
FILE = "procedures/after-a-loose-wheel.yml"


@pytest.fixture
def copy(site, tmp_path):
    """A copy of the handbook, as on a stick."""
    return shutil.copytree(site, tmp_path / "stick copy")


def opened(context, copy):
    page = context.new_page()
    page.said = []
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: None if request.url.startswith(("file:", "blob:", "data:")) else page.said.append(request.url))
    page.goto((copy / "shop-changes.html").as_uri())
    page.locator(".contents > summary").click()
    page.locator(".contents__panel").get_by_role("link", name="Write a page").click()
    page.locator(".writer__new").wait_for(timeout=READY)
    page.wait_for_function("() => document.querySelector('.writer__state').textContent === ''", timeout=READY)
    return page


def start_page(page, title: str, kind: str = "a procedure with steps"):
    page.fill("#writer-title", title)
    page.get_by_label("Kind of page").select_option(label=kind)
    page.get_by_role("button", name="Start it").click()
    page.locator(".writer__work h2").wait_for(timeout=READY)


def save(page, copy):
    """What «Save shop-data.js» gives, put beside index.html as the page says."""
    page.evaluate("""() => { const make = URL.createObjectURL;
        URL.createObjectURL = (blob) => { self.savedText = blob.text(); URL.createObjectURL = make; return make(blob); }; }""")
    page.get_by_role("button", name="Save shop-data.js").click()
    page.locator(".writer__line", has_text="goes to the browser").wait_for(timeout=READY)
    (copy / "shop-data.js").write_text(page.evaluate("self.savedText"), "utf-8")


def test_a_procedure_is_written_checked_saved_and_worked_from(browser, copy, tmp_path):
    with reading(browser) as context:
        page = opened(context, copy)
        start_page(page, "After a loose wheel")
        page.locator(".writer__heading", has_text="To mend: 3").wait_for(timeout=READY)
        page.get_by_label("What it is for").fill("Finds out what a wheel that ran loose has damaged.")
        page.get_by_label("Done when").fill("Every stud is judged, and the wheel is torqued.")
        page.get_by_label("Do", exact=True).first.fill("Take the wheel off.")
        page.locator(".writer__sound").wait_for(timeout=READY)
        page.get_by_role("button", name="Add a step").click()
        page.get_by_label("Do", exact=True).nth(1).fill("Judge every stud of this wheel: <b>all</b>.")
        page.get_by_label("Written down").nth(1).select_option("findings")
        page.get_by_label("Part", exact=True).select_option("wheel-stud")
        page.locator(".writer__shown .findings").wait_for(timeout=READY)
        # As text: a mistake is shown at its place, and a tap leads there.
        page.get_by_role("button", name="Text", exact=True).click()
        text = page.locator(".writer__text").input_value()
        page.locator(".writer__text").fill(text.replace("findings: wheel-stud", "findings: wheel-stut"))
        page.locator(".writer__problems", has_text="wheel-stud").wait_for(timeout=READY)
        page.locator(".writer__problems button").first.click()
        assert page.locator(".writer__text").evaluate("(box) => box.value.slice(box.selectionStart, box.selectionEnd)") == "wheel-stut"
        # Closed by mistake: nothing is lost.
        page.close()
        page = opened(context, copy)
        page.get_by_role("button", name="procedures: after-a-loose-wheel").click()
        page.locator(".writer__text, .writer__form").first.wait_for(timeout=READY)
        if page.locator(".writer__form").count():
            page.get_by_role("button", name="Text", exact=True).click()
        assert "wheel-stut" in page.locator(".writer__text").input_value()
        page.locator(".writer__text").fill(text)
        page.locator(".writer__sound").wait_for(timeout=READY)
        assert axe_violations(page) == []
        save(page, copy)
        assert page.said == []
        saved_text = take.files_in(copy / "shop-data.js")[FILE]
        assert "findings: wheel-stud" in saved_text

        # For everyone who opens this copy: in the contents, in the search, and as a page to work from.
        reader = context.new_page()
        reader.goto((copy / "index.html").as_uri())
        reader.locator(".contents > summary").click()
        reader.locator(".contents__panel").get_by_role("link", name="After a loose wheel").wait_for()
        reader.fill("#search-box", "loose wheel damaged")
        hit = reader.locator("[role=option]", has_text="After a loose wheel").first
        hit.wait_for(timeout=30_000)
        hit.click()
        reader.wait_for_url(re.compile(r"own/page\.html\?"))
        assert reader.locator("h1").all_inner_texts() == ["After a loose wheel"]
        assert "This shop" in reader.locator(".shop-mark").inner_text()
        assert reader.locator(".step b", has_text="all").count() == 0  # markup in a shop's text is text
        start_job(reader)
        reader.locator('[data-axis="axle"] [data-value="front"]').click()
        sign(reader, "after-a-loose-wheel/first-step", "LF")
        reader.reload()
        reader.locator('[data-step="after-a-loose-wheel/first-step"] .step__value').wait_for()


def test_a_plain_page_and_a_vehicle_sheet(chromium, copy, tmp_path):
    sheet = {"id": "vehicle-red-van", "name": "Red van (invented)", "layout": {"abs": "none"}, "values": {},
             "front": {"layout": {"rotor": "slip-on"}, "values": {"rotor.discard": {"value": "22.4", "unit": "mm", "source": "stamped on the rotor"}}}}
    (tmp_path / "sheet.json").write_text(json.dumps(sheet), "utf-8")
    with reading(chromium) as context:
        page = opened(context, copy)
        page.fill("#writer-shop", "Bay 7 (invented)")
        page.locator("#writer-shop").blur()
        start_page(page, "Our house rules", "a plain page of text")
        page.locator(".writer__text").fill("# Our house rules\n\nWheel nuts are torqued by hand. <script>alert(1)</script>\n")
        page.locator(".writer__problems", has_text="HTML").wait_for(timeout=READY)
        page.locator(".writer__text").fill("# Our house rules\n\nWheel nuts are torqued by hand.\n")
        page.locator(".writer__sound").wait_for(timeout=READY)
        page.locator(".writer__new input[type=file]").set_input_files(tmp_path / "sheet.json")
        page.locator(".writer__preview", has_text="The sheet is sound").wait_for(timeout=READY)
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
        page.locator(".writer__form").wait_for(timeout=READY)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_page_that_is_not_there_says_where_pages_come_from(chromium, site):
    page = chromium.new_page()
    page.goto((site / "own/page.html").as_uri() + "?procedures/nothing.yml")
    assert re.search("no page of that name", page.locator(".own-page").inner_text())
    page.close()
