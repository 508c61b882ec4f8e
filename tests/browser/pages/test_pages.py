"""Every page of the handbook as it ships: the policy holds, nothing is asked outside, links lead somewhere, all can read it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from build_tools.exchange import shop_data
from tests.browser.procedure_page import start_job, step
from tests.browser.whole_site import KINDS, PROCEDURE, Parsed, enter, is_own, open_procedure, opened_page, outside, record, text, violations
from tests.conftest import FIREFOX_PREFERENCES, path_of, serving

MEGABYTE = 1_000_000
HUB = "#layout=rotor:hub,disc:solid,caliper:sliding-one-piston,slides:damper-pin,bracket:bracketed,bearing:tapered-roller,nut:castle"
READINGS = "25.13; 25.12; 25.13; 25.12; 25.13; 25.12; 25.13; 25.12"  # made up


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[str, Parsed]:
    """Every page of the site by its address below the top, but the one that stands before the handbook (test_verify.py)."""
    return {file.relative_to(site).as_posix(): Parsed(file) for file in sorted(site.rglob("*.html")) if file.name != "START-HERE.html"}


# ---------------------------------------------------------------- policy and network


@pytest.mark.parametrize("way", ["file", "http"])
def test_no_page_breaks_its_policy_or_asks_for_anything_outside(browser, site, pages, way):
    """Every page in Chromium by double click, of the mistakes' pages, which hold text alone, a few; elsewhere the kinds that differ in what they load."""
    everywhere = [uri for number, uri in enumerate(pages) if not uri.startswith("mistakes/") or number % 20 == 0]
    kinds = [KINDS[kind] for kind in ("start", "procedure", "calculator", "glossary", "safety")]
    with serving(site) as address, opened_page(browser) as page:
        top = address if way == "http" else site.as_uri() + "/"
        for uri in everywhere if way == "file" and browser.browser_type.name == "chromium" else kinds:
            page.goto(top + uri)
            page.wait_for_function("document.readyState === 'complete' && !document.querySelector('.search').hidden")
        # What is loaded only when it is first of use: Python with its packs, the search index.
        page.goto(f"{top}calculators/rotor-thickness.html")
        page.fill("form.calculator [name=readings]", READINGS)
        page.fill("form.calculator [name=discard]", "24.4")
        page.locator(".verdict--within").wait_for(timeout=40_000)
        page.fill("#search-box", "rotor")
        page.locator("[role=option]").first.wait_for()
        assert page.said == []
        assert outside(page.asked, top) == []
        if way == "http":  # Firefox does not report every file that it reads from disk
            assert sum("/assets/packs/" in asked for asked in page.asked) >= 4
            assert any(asked.endswith("/assets/search-index.js") for asked in page.asked)


def test_the_policy_stands_first_in_every_page_and_allows_nothing_inline(pages):
    for uri, page in pages.items():
        head = page.file.read_text("utf-8").split("<head", 1)[1]
        assert head.index('http-equiv="Content-Security-Policy"') < head.index("<script" if "<script" in head else "</html>"), uri
        policy = head.split('http-equiv="Content-Security-Policy" content="', 1)[1].split('"', 1)[0]
        assert "default-src 'none'" in policy and "unsafe-inline" not in policy and "'unsafe-eval'" not in policy, uri


# ---------------------------------------------------------------- links and sizes


def test_every_link_and_every_file_that_a_page_names_is_there(pages, site):
    anchors = {page.file.resolve(): set(page.ids) for page in pages.values()}
    dead = []
    for uri, page in pages.items():
        for address in filter(is_own, page.links + page.loads):
            file, anchor = page.target(address)
            if file == site.resolve() / shop_data.NAME:
                continue  # every page names it, and only the shop makes it
            if not file.is_file() or not file.is_relative_to(site.resolve()):
                dead.append(f"{uri}: {address} leads to no file of the site")
            elif anchor and anchor not in anchors.get(file, ()):
                dead.append(f"{uri}: {address} leads to no anchor")
    assert dead == []


def test_no_page_uses_an_id_twice(pages):
    assert {uri: twice for uri, page in pages.items() if (twice := {name for name in page.ids if page.ids.count(name) > 1})} == {}


def test_pages_load_only_files_of_the_site(pages):
    assert {(uri, address) for uri, page in pages.items() for address in page.loads if not is_own(address)} == set()


def test_every_place_that_the_search_knows_is_there(pages, site):
    script = (site / "assets/search-index.js").read_text("utf-8")
    index = json.loads(json.loads(script[script.index("(") + 1 : script.rindex(")")]))
    known = [uri for uri, *_ in index["pages"]]
    assert set(known) <= set(pages)
    assert len(known) >= 40


def test_a_page_with_its_own_files_stays_small(pages, chromium, site):
    """What a browser asks for when a page is opened, without Python's packs."""
    with opened_page(chromium) as page:
        sizes = {}
        for uri in KINDS.values():
            page.asked.clear()
            page.goto((site / uri).as_uri())
            page.wait_for_load_state()
            files = {
                Path(asked.split("#")[0].split("?")[0].removeprefix("file://")) for asked in page.asked if "/assets/packs/" not in asked
            }
            sizes[uri] = sum(file.stat().st_size for file in files if file.is_file())
    # The whole front job with its record, decision and papers; read from a disk or a stick, it opens well within a second.
    # Most of it are the steps of the job and their safety messages.
    assert {uri: size for uri, size in sizes.items() if size > 1.3 * MEGABYTE} == {}


def test_the_packs_stay_small(site):
    sizes = {pack.stem: pack.stat().st_size for pack in (site / "assets/packs").glob("*.js")}
    assert sizes.pop("writer") <= 5 * MEGABYTE  # the build's own checks, for the one page in which a shop writes
    assert sum(sizes.values()) <= 8 * MEGABYTE


# ---------------------------------------------------------------- everybody can read it


@pytest.fixture(params=KINDS)
def kind(request):
    return request.param


def test_accessible(chromium, site, kind):
    with opened_page(chromium) as page:
        page.goto((site / KINDS[kind]).as_uri())
        page.wait_for_load_state()
        assert violations(page) == []


@pytest.mark.parametrize(("name", "uri"), [("chromium", PROCEDURE), ("firefox", "procedures/measure-rotor.html")])
def test_accessible_with_job_result_and_panels_open(request, site, name, uri):
    """A procedure as it looks in the middle of the work; the whole one in one browser, since it takes long."""
    with opened_page(request.getfixturevalue(name)) as page:
        open_procedure(page, site.as_uri() + "/", HUB, uri)
        start_job(page)
        enter(page, "measure-rotor/read-thickness", readings=READINGS, discard="24.4")
        record(page, "measure-rotor/read-thickness", "LF")
        enter(page, "measure-rotor/read-thickness", readings=READINGS.replace("25.", "24.40"))
        step(page, "measure-rotor/read-thickness").locator(".step__other > summary").click()
        page.locator(".other-steps summary").click()
        page.get_by_role("button", name="Job", exact=True).click()
        page.locator("#job-panel input").first.wait_for()
        page.locator("details.contents > summary").click()
        assert violations(page) == []
        assert page.said == []


def test_accessible_with_a_calculator_s_answer_and_its_problem(browser, site):
    with opened_page(browser) as page:
        page.goto((site / "calculators/rotor-thickness.html").as_uri())
        page.fill("form.calculator [name=readings]", READINGS)
        page.fill("form.calculator [name=discard]", "24.4")
        page.locator(".verdict--within").wait_for(timeout=40_000)
        for details in page.locator("form.calculator details").all():
            details.evaluate("(box) => { box.open = true; }")
        assert violations(page) == []
        page.fill("form.calculator [name=discard]", "thick")
        page.press("form.calculator [name=discard]", "Enter")
        page.locator(".field__problem:not(:empty)").wait_for()
        assert violations(page) == []


def test_accessible_with_the_search_open(browser, site):
    with opened_page(browser) as page:
        page.goto((site / "procedures/open-hub.html").as_uri())
        page.fill("#search-box", "disc")
        page.locator("[role=option]").first.wait_for()
        page.keyboard.press("ArrowDown")
        assert violations(page) == []


def test_nothing_is_wider_than_a_narrow_screen(browser, site):
    """320 CSS px (WCAG 2.2, 1.4.10 Reflow), in both sizes of type, with everything unfolded."""
    with opened_page(browser, viewport={"width": 320, "height": 640}) as page:
        wide = {}
        for uri in KINDS.values():
            page.goto((site / uri).as_uri())
            page.wait_for_load_state()
            page.evaluate("for (const box of document.querySelectorAll('details')) box.open = true")
            for _ in range(2):
                page.locator(".bay-switch").evaluate("(button) => button.click()")  # the open contents lie over it
                scroll, shown = page.evaluate("(({scrollWidth, clientWidth}) => [scrollWidth, clientWidth])(document.documentElement)")
                if scroll > shown:
                    wide[uri] = scroll
        assert wide == {}


# ---------------------------------------------------------------- without scripts


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def scriptless(request, playwright):
    """A browser with its scripts switched off, and what a page of it is opened with."""
    if request.param == "chromium":
        yield request.getfixturevalue("chromium"), {"java_script_enabled": False}
        return
    # The driver does not switch them off in Firefox; the reader's own setting does.
    browser = playwright.firefox.launch(
        executable_path=path_of("FIREFOX"), channel="moz-firefox", firefox_user_prefs={**FIREFOX_PREFERENCES, "javascript.enabled": False}
    )
    yield browser, {"java_script_enabled": False}
    browser.close()


def test_without_scripts_every_step_stands_there_with_its_layout(scriptless, site):
    browser, options = scriptless
    with opened_page(browser, **options) as page:
        page.goto((site / PROCEDURE).as_uri())
        steps = page.locator(".step")
        assert page.locator(".step:visible").count() == steps.count() > 400
        assert page.locator(".step[data-when] > .step__applies:visible").count() == page.locator(".step[data-when]").count() > 300
        assert text(step(page, "set-bearing/fit-lock-washer").locator(".step__applies")).endswith("spindle nut: twin nut.")
        assert page.is_hidden(".search") and page.is_hidden(".layout-picker")
        assert page.locator("button:visible").count() == 0  # nothing that would do nothing


def test_without_scripts_formula_and_worked_example_can_be_read(scriptless, site):
    browser, options = scriptless
    with opened_page(browser, **options) as page:
        for uri, box in [("calculators/rotor-thickness.html", "body"), (PROCEDURE, '[id="measure-rotor.read-thickness"]')]:
            page.goto((site / uri).as_uri())
            box = page.locator(box)
            example = box.locator("details.calculator__example")
            if example.count():
                example.locator("summary").press("Enter")
            assert "thinnest = least reading" in box.locator(".formula").first.inner_text()
            # TM 9-2320-289-34, p. 7-3: discard at 1.215 in
            assert "1.215 in" in text(box.locator(".worked").first)
