"""The main job as a technician does it, on the handbook as it ships, opened by double click in both browsers."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from build_tools.checks.layouts import NOT_ASKED
from build_tools.content.load import load
from build_tools.content.page_order import steps_of
from build_tools.content.when import axes_of, holds
from build_tools.jobs.job_record import read_job
from build_tools.paths import PROJECT
from tests.browser.job.test_record import open_job_file, saved
from tests.browser.procedure_page import choose, sign, start_job, step
from tests.browser.whole_site import addresses, enter, mark, open_procedure, opened_page, record, recorded, shown_line, text

# Made up. Demo light truck A: discard 24.4 mm, variation limit 0.013 mm.
READINGS = "25.132; 25.130; 25.128; 25.126; 25.125; 25.127; 25.129; 25.131"
WORN = READINGS.replace("25.", "24.")
THICKNESS, PLAY, AGAIN = "measure-rotor/read-thickness", "set-bearing/read-end-play", "set-bearing/re-read-end-play"
WHEEL_NUTS = "wheel-and-torque/torque-wheel-nuts"


@pytest.fixture(scope="module")
def handbook():
    return load(PROJECT / "site_data")


def layout_of(handbook, vehicle: str) -> dict[str, str]:
    """The layout of a vehicle's front end, as its sheet says."""
    sheet = handbook.vehicles[vehicle]
    return {**sheet.layout, **sheet.front.layout}


def fragment(layout: dict[str, str], vehicle: str = "") -> str:
    answers = ",".join(f"{axis}:{value}" for axis, value in layout.items())
    return f"#layout={answers}" + (f"&vehicle={vehicle}" if vehicle else "")


def applying(handbook, layout: dict[str, str]) -> list[str]:
    """Home addresses of the steps that apply, or may still apply, by Python's own reading of the conditions."""
    settled = {"axle": "front", **layout}
    for axis in handbook.axes.values():
        if axis.id not in settled and holds(axis.when, settled) is False:
            settled[axis.id] = NOT_ASKED
    front = handbook.procedures["front-brake-service"]
    return [placed.address for placed in steps_of(front, handbook.procedures) if holds(placed.when, settled) is not False]


def hidden_count(page) -> int:
    """How many steps the page says that it hides."""
    found = page.locator(".other-steps summary")
    return int(re.match(r"(\d+) steps? of other layouts hidden", found.inner_text())[1]) if found.count() else 0


# ---------------------------------------------------------------- finding the place


def test_a_british_word_leads_from_the_start_page_to_the_step(browser, site):
    with opened_page(browser) as page:
        page.goto((site / "index.html").as_uri())
        page.fill("#search-box", "bleed nipple")
        page.locator("[role=option]").first.wait_for()
        assert "bleeder" in page.inner_text(".search__also")
        hit = page.locator('[role=option][href*="#bleed-"]').first
        title, anchor = hit.locator(".search__title").inner_text(), hit.get_attribute("href").split("#")[1]
        assert "bleeder" in title
        hit.click()
        page.wait_for_url(f"**#*{anchor}")
        target = page.locator(f'[id="{anchor}"]')
        assert title in target.locator(".step__do").inner_text()
        page.wait_for_function(
            "(box) => box.getBoundingClientRect().top < innerHeight && box.getBoundingClientRect().bottom > 0", arg=target.element_handle()
        )
        # and from there to the whole job
        page.locator("details.contents > summary").click()
        page.get_by_role("link", name="Start", exact=True).click()
        page.get_by_role("link", name="Front brake service").click()
        assert page.locator("h1").inner_text() == "Front brake service"
        assert page.said == []


# ---------------------------------------------------------------- the layout


def test_each_answer_leaves_exactly_the_steps_that_python_says_apply(browser, site, handbook):
    wanted, given = layout_of(handbook, "demo-truck-a"), {}
    with opened_page(browser) as page:
        open_procedure(page, site.as_uri() + "/")
        every = addresses(page, shown=False)
        assert addresses(page) == every == applying(handbook, {})
        while open_questions := [axis for axis in asked(page) if axis not in given]:
            axis = open_questions[0]
            given[axis] = wanted[axis]
            choose(page, axis, wanted[axis])
            assert addresses(page) == applying(handbook, given), given
            assert hidden_count(page) == len(every) - len(applying(handbook, given))
        # every question that a step of this page hangs on was asked
        assert set(given) >= {axis for placed in placed_of(handbook) for axis in axes_of(placed.when)} - {"axle"} - absent(handbook, given)
        assert page.locator(".step__applies:visible").count() == 0
        assert page.said == []


def asked(page) -> list[str]:
    return page.locator(".layout-picker [data-axis]").evaluate_all("all => all.map((box) => box.dataset.axis)")


def placed_of(handbook):
    return steps_of(handbook.procedures["front-brake-service"], handbook.procedures)


def absent(handbook, layout: dict[str, str]) -> set[str]:
    """The questions that a layout does not raise."""
    return {axis.id for axis in handbook.axes.values() if holds(axis.when, {"axle": "front", **layout}) is False}


@pytest.mark.parametrize("vehicle", ["demo-truck-a", "demo-car-b", "demo-van-c", "demo-car-d"])
def test_a_vehicle_sheet_leaves_exactly_the_steps_that_python_says_apply(chromium, site, handbook, vehicle):
    with opened_page(chromium) as page:
        open_procedure(page, site.as_uri() + "/")
        page.select_option("#vehicle-sheet", vehicle)
        expected = applying(handbook, layout_of(handbook, vehicle))
        assert addresses(page) == expected
        assert hidden_count(page) == len(placed_of(handbook)) - len(expected)
        parts = set(
            page.locator(".part").evaluate_all("all => all.filter((part) => part.checkVisibility()).map((part) => part.dataset.part)")
        )
        assert parts == {address.split("/")[0] for address in expected}
        hub = layout_of(handbook, vehicle)["rotor"] == "hub"
        assert ("set-bearing" in parts) == ("remove-hub-rotor" in parts) == hub
        assert ("remove-slip-on-rotor" in parts) == (not hub)


# ---------------------------------------------------------------- the job


def test_front_axle_job_from_the_first_tap_to_the_file_and_the_sheet(browser, site, handbook, tmp_path):
    top, where = site.as_uri() + "/", fragment(layout_of(handbook, "demo-truck-a"), "demo-truck-a")
    with opened_page(browser) as page:
        open_procedure(page, top, where)
        start_job(page, "Red truck, bay 2")
        sign(page, "make-safe/chock-wheels", "front")
        measure_the_rotor(page)
        set_the_bearing(page)
        tighten_and_look(page)
        take_one_back(page)

        before = recorded(page)
        assert len(before) == 9
        page.reload()
        open_procedure(page, top, where)
        page.locator(".step__value").first.wait_for()
        assert recorded(page) == before

        file = saved(page, tmp_path / "stick")
        if browser.browser_type.name == "chromium":
            look_at_the_printed_sheets(page, tmp_path)
        assert page.said == []
    job = read_job(file.read_text("utf-8"))
    look_at_the_file(job, page_build(site), handbook.procedures["front-brake-service"].revision)
    with opened_page(browser) as page:
        open_procedure(page, top)
        open_job_file(page, file)
        page.locator(".step__value").first.wait_for()
        assert f"{len(job.entries)} new of {len(job.entries)} entries taken" in page.locator(".job-bar__message").inner_text()
        assert recorded(page) == before
        assert addresses(page) == applying(handbook, layout_of(handbook, "demo-truck-a"))
        assert read_job(saved(page, tmp_path / "bench").read_text("utf-8")).entries == job.entries
        assert page.said == []


def measure_the_rotor(page):
    box = enter(page, THICKNESS, readings=READINGS)
    assert box.locator('[name="discard"]').input_value() == "24.4 mm"
    assert "invented for the demonstration" in text(box.locator('[data-input="discard"] .field__source'))
    assert "verdict--within" in box.locator(".verdict").get_attribute("class")
    assert "25.125" in text(box.locator(".values").first)
    # A changed entry takes the old answer away in the same moment, and what would have recorded it.
    stale = box.locator('[name="readings"]').evaluate(
        """(input, text) => { input.value = text; input.dispatchEvent(new Event("input", {bubbles: true}));
            return [input.form.querySelectorAll(".verdict").length, input.form.nextElementSibling.checkVisibility()]; }""",
        WORN,
    )
    assert stale == [0, False]
    box.locator(".verdict--beyond").wait_for()
    assert "is-chosen" in box.locator('[data-outcome="beyond"]').get_attribute("class")
    enter(page, THICKNESS, readings=READINGS)
    box.locator(".verdict--within").wait_for()
    said = record(page, THICKNESS, "LF")
    assert said.startswith("LF thinnest 25.125 mm (0.98917 in), discard thickness 24.4 mm (") and said.endswith("): within, A. Sample")
    assert "; thickness variation 0.0070 mm" in said and "variation limit 0.013 mm" in said
    assert box.locator('[name="readings"]').input_value() == "" and box.locator('[name="discard"]').input_value() == "24.4 mm"


def set_the_bearing(page):
    """20 threads per inch are 1.27 mm a turn. Six slots and two holes at 90° give twelve locks, 0.1058 mm apart."""
    lock = step(page, "set-bearing/fit-nut-lock")
    assert lock.locator('.step__sign .sign[data-place="LF"]').is_disabled()
    assert f"LF waits for {step(page, 'set-bearing/sign-play').get_attribute('data-number')}" in text(lock)
    box = enter(page, PLAY, measured="0.18")
    assert "verdict--adjust" in box.locator(".verdict").get_attribute("class")
    assert "tighten by 1" in text(box.locator(".values").first)
    assert "Turn the nut by the positions shown" in text(box.locator('[data-outcome="adjust"].is-chosen'))
    record(page, PLAY, "LF")
    assert "step--done" not in step(page, PLAY).get_attribute("class")
    box = enter(page, PLAY, measured="0.075")
    box.locator(".verdict--within").wait_for()
    record(page, PLAY, "LF")
    adjusted, within = [shown_line(line) for line in box.locator(".step__value").all()]
    assert (
        adjusted.startswith("LF end play measured 0.18 mm")
        and "most end play 0.127 mm" in adjusted
        and adjusted.endswith(": adjust, A. Sample")
    )
    assert (
        within.startswith("LF end play measured 0.075 mm") and "most end play 0.127 mm" in within and within.endswith(": within, A. Sample")
    )
    mark(page, "set-bearing/sign-play", "measured")
    record(page, "set-bearing/sign-play", "LF")
    assert (
        lock.locator('.step__sign .sign[data-place="LF"]').is_enabled() and lock.locator('.step__sign .sign[data-place="RF"]').is_disabled()
    )
    # Left too tight, the other way round.
    box = enter(page, AGAIN, measured="0.020")
    assert "loosen by 1" in text(box.locator(".values").first)
    record(page, AGAIN, "RF")


def tighten_and_look(page):
    box = step(page, WHEEL_NUTS)
    assert text(box.locator(".torque__value")) == "140 N·m"
    box.locator('.torque [name="actual"]').fill("140 N·m")
    box.locator('.torque [name="tool"]').fill("wrench 3")
    assert record(page, WHEEL_NUTS, "LF") == "LF wheel nut 140 N·m, target 140 N·m: within, wrench 3, A. Sample"
    mark(page, "measure-rotor/note-faces", "light-scoring", "rust-lip")
    assert "Service" in text(step(page, "measure-rotor/note-faces").locator("p.findings__action"))
    record(page, "measure-rotor/note-faces", "LF")
    step(page, "measure-rotor/read-groove-depth").locator("textarea").first.fill("outer 0.2 mm, inner 0.1 mm")
    record(page, "measure-rotor/read-groove-depth", "LF")


def take_one_back(page):
    sign(page, "make-safe/park", "front")
    page.wait_for_timeout(900)  # a second, wet touch must not undo
    step(page, "make-safe/park").locator(".undo").click()
    step(page, "make-safe/park").locator('.step__sign .sign[data-place="front"]').wait_for()
    assert step(page, "make-safe/park").locator(".step__value").count() == 0


def page_build(site: Path) -> str:
    return re.search(r'"build": ?"([0-9a-f]{12})"', (site / "assets/handbook-data.js").read_text("utf-8"))[1]


def look_at_the_file(job, build: str, revision: int):
    assert job.job.vehicle == "Red truck, bay 2"
    entry = next(entry for entry in job.entries if entry.step == THICKNESS)
    assert (entry.procedure, entry.revision, entry.build, entry.place, entry.verdict.code) == (
        "front-brake-service",
        revision,
        build,
        "LF",
        "within",
    )
    assert entry.typed["given"]["readings"] == READINGS
    assert entry.limits["discard"] == {
        "path": "end.rotor.discard",
        "value": "24.4",
        "unit": "mm",
        "source": "invented for the demonstration",
    }
    assert [(e.place, e.try_, e.verdict.code) for e in job.entries if e.step == PLAY] == [("LF", 1, "adjust"), ("LF", 2, "within")]
    kinds = [entry.kind for entry in job.entries]
    assert kinds.count("withdrawn") == 1 and kinds.count("torque") == 1 and kinds.count("finding") == 1
    assert {"layout", "vehicle"} <= set(kinds)


def look_at_the_printed_sheets(page, folder: Path):
    """The whole text by the browser's own print, then the short sheet by its button."""
    assert shutil.which("pdftotext"), "poppler-utils is missing; the set-up of the tests installs it"
    whole = printed(page, folder / "whole.pdf")
    page.evaluate("() => { self.print = () => {}; }")  # a window for it is not shown here
    page.get_by_role("button", name="Print the sheet").click()
    page.get_by_role("button", name="Whole bench sheet").click()
    short = printed(page, folder / "short.pdf")
    for sheet in (whole, short):
        look_at_the_printed_text(page, " ".join(sheet.split()))
    assert "oscillating lets the rollers settle" in " ".join(whole.split())
    assert 0 < short.count("\f") < whole.count("\f") / 2  # pages


def printed(page, file: Path) -> str:
    page.pdf(path=file, prefer_css_page_size=True)
    return subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, check=True, timeout=60).stdout.decode()


def look_at_the_printed_text(page, sheet: str):
    build = page.locator('meta[name="handbook:build"]').get_attribute("content")
    revision = page.locator("article").get_attribute("data-revision")
    assert f"Procedure front-brake-service, revision {revision}. Handbook build {build}." in sheet
    assert "Job: Red truck, bay 2" in sheet and "Vehicle: Red truck, bay 2" in sheet
    assert "Spindle nut: hex nut with stamped lock" in sheet
    for value in [
        "thinnest 25.125 mm (0.98917 in), discard thickness 24.4 mm",
        "most end play 0.127 mm",
        "wheel nut 140 N·m, target 140 N·m: within, wrench 3",
        "discard 24.4 mm",
        "0.2 mm, inner 0.1 mm",
    ]:
        assert value in sheet, value
    assert "(1 withdrawn, kept in the job’s file)" in sheet
    assert "Start a job" not in sheet and "Save to a file" not in sheet and "Undo LF" not in sheet
