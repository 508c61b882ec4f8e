"""The search box as a technician uses it: opened by double click and over http, by keyboard and by finger."""

from __future__ import annotations

import json
import re

import pytest
import yaml
from playwright.sync_api import expect

from build_tools.browser.bundle import bundled_script
from build_tools.browser.typefaces import typefaces
from build_tools.pages.search import Page, entries, index, sections
from build_tools.paths import PROJECT
from tests.conftest import serving

TERMS = yaml.load((PROJECT / "site_data" / "terms.yml").read_text(encoding="utf-8"), yaml.BaseLoader)

FRONT = (
    """<h1>Front brake</h1><p>For a hub rotor or a slip-on rotor.</p>
<h2 id="hydraulics">3 Hydraulics</h2><ol class="steps">
<li class="step" id="bleed.open-bleeder" data-number="3.1"><p class="step__do">Open the bleeder half a turn.</p><p>Air leaves at the highest point of a caliper &lt;b&gt;.</p></li>
<li class="step" id="bleed.hold-line" data-number="3.2"><p class="step__do">Hold the brake line.</p><p>A twisted line cracks.</p></li></ol>
<h2 id="many">Torque list</h2><dl>"""
    + "".join(f'<dt id="t{i}">Fastener {i}</dt><dd>Torque of fastener {i} in the list.</dd>' for i in range(30))
    + "</dl>"
)
ROTOR = """<h1>Rotor thickness</h1><p>Read the thickness of the rotor at eight places.</p><h2 id="runout">Lateral runout</h2><p>Read 0.003 in on the dial indicator.</p>"""
HOME = "<h1>Handbook</h1><p>Choose a procedure.</p>"

FRAME = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Fixture</title>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'">
<link rel="icon" href="data:,"><meta name="viewport" content="width=device-width,initial-scale=1"><meta name="handbook:root" content="{root}">
{styles}</head><body><header class="bar"><div class="bar__row"><a class="bar__title" href="{root}/index.html">Handbook</a>
<div class="bar__search">{box}</div></div></header><main>{content}<label>Note <input id="note"></label></main>
<script src="{root}/assets/handbook.js"></script></body></html>"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A small site in a folder whose name has a space, an umlaut and a sharp sign."""
    top = tmp_path_factory.mktemp("search") / "hand bück #1"
    contents = {
        "index.html": ("Handbook", "page", HOME),
        "procedures/front.html": ("Front brake", "procedure", FRONT),
        "calculators/rotor.html": ("Rotor thickness", "calculator", ROTOR),
    }
    partial = (PROJECT / "build_tools/publishing/theme/partials/handbook-search.html").read_text(encoding="utf-8")
    box = re.sub(r"\{#.*?#\}", "", partial, flags=re.DOTALL)
    for uri, (_title, _kind, content) in contents.items():
        root = "/".join([".."] * uri.count("/")) or "."
        styles = "".join(f'<link rel="stylesheet" href="{root}/styles/{name}.css">' for name in ("tokens", "base", "theme", "search"))
        (top / uri).parent.mkdir(parents=True, exist_ok=True)
        (top / uri).write_text(FRAME.format(root=root, styles=styles, box=box, content=content), encoding="utf-8")
    for name in ("tokens", "base", "theme", "search"):
        target = top / "styles" / f"{name}.css"
        target.parent.mkdir(exist_ok=True)
        target.write_bytes((PROJECT / "docs/styles" / f"{name}.css").read_bytes())
    for uri, source in typefaces(PROJECT / "node_modules").items():
        (top / uri).parent.mkdir(parents=True, exist_ok=True)
        (top / uri).write_bytes(source.read_bytes())
    entry = top.parent / "entry.mjs"
    entry.write_text(
        f"import {{ startSearch }} from {json.dumps(str(PROJECT / 'docs/scripts/search/search.js'))}; startSearch();", encoding="utf-8"
    )
    (top / "assets/handbook.js").write_text(bundled_script(PROJECT, entry), encoding="utf-8")
    pages = [Page(uri, title, kind, tuple(sections(content))) for uri, (title, kind, content) in contents.items()]
    (top / "assets/search-index.js").write_bytes(index(entries(pages), TERMS))
    return top


@pytest.fixture(scope="module", params=["file", "http"])
def address(request, folder):
    if request.param == "file":
        yield folder.as_uri() + "/"
    else:
        with serving(folder) as top:
            yield top


@pytest.fixture
def page(browser):
    """A page whose every refusal and error is noted in `page.noted`."""
    context = browser.new_context(viewport={"width": 1200, "height": 800})
    page = context.new_page()
    page.set_default_timeout(8000)
    page.noted = []
    page.on("pageerror", lambda error: page.noted.append(str(error)))
    page.on("console", lambda message: page.noted.append(message.text) if message.type == "error" else None)
    yield page
    context.close()


def ask(page, query):
    page.fill("#search-box", "")
    expect(page.locator(".search__said")).to_have_text("")
    page.fill("#search-box", query)
    expect(page.locator(".search__said")).to_have_text(re.compile(r"^(?!Reading)."))


def said(page):
    return page.text_content(".search__said")


def test_a_british_word_opens_the_american_place(page, address):
    page.goto(address + "index.html")
    assert not page.evaluate("document.querySelector('script[src*=search-index]')")
    ask(page, "brake pipe")
    row = page.locator("[role=option]").first
    assert row.locator(".search__title").text_content() == "Hold the brake line."
    assert row.locator(".search__where").text_content() == "Front brake · 3 Hydraulics · step\u00a03.2"
    assert row.locator("mark").first.text_content() == "brake line"
    assert page.text_content(".search__also") == "Also searched: brake line (for brake pipe)"
    assert re.match(r"\d+ results?\. Also searched", said(page))
    row.click()
    page.wait_for_url("**/procedures/front.html#bleed.hold-line")
    assert page.evaluate("document.querySelector(':target').id") == "bleed.hold-line"
    # from a page one folder down, to another one
    ask(page, "disc thickness")
    page.locator("[role=option]").first.click()
    page.wait_for_url("**/calculators/rotor.html")
    assert page.noted == []


def test_the_text_of_a_page_stays_text(page, address):
    page.goto(address + "index.html")
    ask(page, "highest point")
    assert page.text_content(".search__text") == "Air leaves at the highest point of a caliper <b>."
    assert page.locator(".search__list b").count() == 0


def test_keyboard_alone(page, address):
    page.goto(address + "procedures/front.html")
    page.focus("#note")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "note" and page.input_value("#note") == "/"
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "search-box" and page.input_value("#search-box") == ""
    ask(page, "torque")
    assert page.get_attribute("#search-box", "aria-expanded") == "true"
    options = page.locator("[role=option]")
    assert options.count() == 21 and "Show 11 more of 31" in options.last.text_content()
    page.keyboard.press("ArrowUp")  # from the box round to the last row
    assert page.get_attribute("#search-box", "aria-activedescendant") == "search-more"
    page.keyboard.press("Enter")
    assert options.count() == 31
    assert page.get_attribute("#search-box", "aria-activedescendant") == "search-hit-20"
    page.keyboard.press("ArrowDown")
    assert page.get_attribute("#search-hit-21", "aria-selected") == "true"
    page.keyboard.press("Escape")
    assert page.is_hidden(".search__panel") and page.input_value("#search-box") == "torque"
    page.keyboard.press("Escape")
    assert page.input_value("#search-box") == ""
    page.keyboard.type("bleed nipple")
    page.keyboard.press("Enter")  # before the list had time to show
    page.wait_for_url("**/procedures/front.html#bleed.open-bleeder")
    assert page.is_hidden(".search__panel")


def test_the_shortcut_can_be_switched_off(page, address):
    page.goto(address + "index.html")
    ask(page, "rotor")
    page.uncheck(".search__key input")
    assert page.is_visible(".search__panel")
    page.reload()
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") != "search-box"


def test_a_wrong_letter_and_nothing_found(page, address):
    page.goto(address + "index.html")
    ask(page, "braek line")
    assert page.locator(".search__title").first.text_content() == "Hold the brake line."
    ask(page, "zzzzqqq")
    assert page.text_content(".search__state") == "Nothing found for “zzzzqqq”. Try one word, another name for it, or its first letters."
    assert page.get_attribute("#search-box", "aria-expanded") == "false"


@pytest.mark.parametrize("damage", ["missing", "cut short", "other"])
def test_a_damaged_index_says_what_to_do(page, folder, damage):
    whole = folder / "assets/search-index.js"
    kept = whole.read_bytes()
    try:
        if damage == "missing":
            whole.unlink()
        else:
            whole.write_bytes(kept[:1000] if damage == "cut short" else b'searchIndex("{}");')
        page.goto((folder / "index.html").as_uri())
        ask(page, "rotor")
        assert page.text_content(".search__state").startswith("The search cannot read its index (assets/search-index.js). Copy the whole")
    finally:
        whole.write_bytes(kept)
    ask(page, "rotor ")  # mended: the next try works without a reload
    page.wait_for_selector("[role=option]")


def test_a_finger_finds_rows_high_enough(browser, folder):
    context = browser.new_context(viewport={"width": 360, "height": 700})
    page = context.new_page()
    page.goto((folder / "index.html").as_uri())
    ask(page, "rotor")
    boxes = [row.bounding_box() for row in page.locator("[role=option]").all()]
    assert min(box["height"] for box in boxes) >= 48
    assert page.locator("#search-box").bounding_box()["height"] >= 48
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.mouse.click(180, 690)
    assert page.is_hidden(".search__panel")
    context.close()


def test_no_box_without_scripts(page, folder):
    html = (folder / "index.html").read_text(encoding="utf-8")
    bare = folder / "bare.html"
    bare.write_text(re.sub("<script.*?</script>", "", html), encoding="utf-8")
    page.goto(bare.as_uri())
    assert page.is_visible("h1") and page.is_hidden(".search")


@pytest.mark.parametrize("query", ["", "disc", "torque", "zzzzqqq"])
def test_axe_finds_nothing(page, folder, query):
    page.goto((folder / "index.html").as_uri())
    if query:
        ask(page, query)
        page.keyboard.press("ArrowDown")
    page.evaluate((PROJECT / "node_modules/axe-core/axe.min.js").read_text(encoding="utf-8") + "; undefined")
    result = page.evaluate("axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})")
    assert [(found["id"], [node["html"] for node in found["nodes"]]) for found in result["violations"]] == []
