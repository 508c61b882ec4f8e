"""Where the system takes the page's colors away (high contrast), what is chosen and what is signed still shows."""

from __future__ import annotations

import pytest

from tests.browser.procedure_page import HUB, choose, make_page, sign, start_job, step

SWITCHES = """<header class="bar"><button type="button" class="system-switch" hidden><span class="switch__choice" data-system="metric">mm</span>
<span class="switch__choice" data-system="inch">in</span><span class="switch__now unseen"></span></button>
<button type="button" class="detail-switch" hidden><span class="switch__choice" data-detail="full">full</span><span class="switch__choice" data-detail="short">short</span>
<span class="switch__detail-now unseen"></span></button>
<button type="button" class="bay-switch" aria-pressed="false" hidden>Large type</button></header>"""
# What of an element tells it from its like where the system chooses the colors: its ground, its edges, and never a shadow.
LOOK = """(box) => { const style = getComputedStyle(box);
    return ["backgroundColor", "borderLeftColor", "borderLeftWidth", "outlineStyle", "outlineWidth"].map((name) => style[name]).join(" "); }"""


@pytest.fixture(params=["light", "dark"])
def page(request, chromium, tmp_path):
    """A page with a job, with the system's own colors. Firefox cannot be given them by its driver."""
    file = make_page(tmp_path / "site")
    file.write_text(file.read_text("utf-8").replace("<body>", f"<body>{SWITCHES}", 1), "utf-8")
    context = chromium.new_context(forced_colors="active", color_scheme=request.param, viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(file.as_uri() + HUB)
    page.locator(".job-bar__name").wait_for()
    start_job(page)
    yield page
    context.close()


def look(locator) -> str:
    return locator.first.evaluate(LOOK)


def test_what_is_chosen_looks_otherwise_than_what_is_not(page):
    page.locator(".layout-picker__questions").evaluate("(details) => { details.open = true; }")
    pairs = {
        "units": ('.switch__choice[data-system="metric"]', '.switch__choice[data-system="inch"]'),
        "detail": ('.switch__choice[data-detail="full"]', '.switch__choice[data-detail="short"]'),
        "side": ('.job-bar__side[aria-pressed="true"]', '.job-bar__side[aria-pressed="false"]'),
        "layout": ('[data-axis="rotor"] [aria-pressed="true"]', '[data-axis="rotor"] [aria-pressed="false"]'),
    }
    for name, (chosen, other) in pairs.items():
        assert look(page.locator(chosen)) != look(page.locator(other)), name
    page.locator(".bay-switch").click()
    assert look(page.locator(".bay-switch")) == look(page.locator(pairs["side"][0]))
    choose(page, "rotor", "slip-on")
    assert look(page.locator(pairs["layout"][0])) != look(page.locator(pairs["layout"][1]))


def test_the_name_of_what_is_chosen_can_be_read(page):
    page.locator(".layout-picker__questions").evaluate("(details) => { details.open = true; }")
    for chosen in (
        '.switch__choice[data-system="metric"]',
        '.job-bar__side[aria-pressed="true"]',
        '[data-axis="rotor"] [aria-pressed="true"]',
    ):
        ink, ground = page.locator(chosen).first.evaluate("(box) => [getComputedStyle(box).color, getComputedStyle(box).backgroundColor]")
        assert ink != ground, chosen


def test_signed_steps_and_signal_words_keep_their_marks(page):
    sign(page, "make-safe/chock", "vehicle")
    assert page.evaluate(LOOK, step(page, "make-safe/chock").locator(".step__number").element_handle()) != page.evaluate(
        LOOK, step(page, "close-up/road").locator(".step__number").element_handle()
    )
    assert (
        step(page, "make-safe/chock").locator(".step__value").evaluate("(line) => parseFloat(getComputedStyle(line).borderLeftWidth)") >= 3
    )
    assert page.locator(".caution__word").first.evaluate("(word) => getComputedStyle(word).forcedColorAdjust") == "none"
    tick = step(page, "inspect/rotor-faces").locator("input").first
    assert tick.evaluate("(box) => getComputedStyle(box).appearance") == "auto"  # the system's own tick
