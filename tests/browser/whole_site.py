"""The handbook as it ships, in a browser: every kind of page, what a page says and asks for, and the job as a person does it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Error

from tests.browser.procedure_page import axe_violations, step

PROCEDURE = "procedures/front-brake-service.html"
KINDS = {
    "start": "index.html",
    "hand-written": "using.html",
    "list of jobs": "procedures/index.html",
    "procedure": PROCEDURE,
    "part of a job": "procedures/set-bearing.html",
    "list of calculators": "calculators/index.html",
    "calculator": "calculators/rotor-thickness.html",
    "findings": "reference/findings.html",
    "glossary": "reference/glossary.html",
    "safety": "reference/safety.html",
    "vehicles": "reference/vehicles.html",
    "sources": "reference/sources.html",
    "licences": "reference/licences.html",
}
# A refusal by the policy is said on the console too, but not by every browser and not for every directive.
TELL_REFUSALS = """document.addEventListener("securitypolicyviolation",
    ({violatedDirective, blockedURI, sourceFile}) => console.error(`policy: ${violatedDirective} ${blockedURI} ${sourceFile}`));"""


@contextmanager
def opened_page(browser, *scripts: str, **options) -> Iterator:
    """A page in a profile of its own. `page.said` holds its errors and the policy's refusals, `page.asked` every address asked for."""
    context = browser.new_context(**{"viewport": {"width": 1366, "height": 768}, "accept_downloads": True, **options})
    if options.get("java_script_enabled", True):
        for script in (TELL_REFUSALS, *scripts):
            context.add_init_script(script)
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.said, page.asked = [], []
    page.on("console", lambda message: message.type == "error" and not is_missing_shop_data(message) and page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    try:
        yield page
    finally:
        context.close()


def is_missing_shop_data(message) -> bool:
    """No build makes a `shop-data.js`: a browser notes on its console that there is none, and that is all."""
    if message.text.startswith("Refused to execute script from "):  # a server's page that says “not found”
        return "/shop-data.js' because its MIME type" in message.text
    return message.text.startswith("Failed to load resource: ") and message.location["url"].split("?")[0].endswith("/shop-data.js")


def outside(asked: list[str], top: str) -> list[str]:
    """The addresses that are neither below `top` nor made by the page itself."""
    return [address for address in asked if not address.startswith((top, "blob:", "data:"))]


def addresses(page, shown: bool = True) -> list[str]:
    """Home addresses of the steps that are shown, or of all, in the page's order."""
    return page.locator(".step[data-step]").evaluate_all(
        "(all, shown) => all.filter((box) => !shown || box.checkVisibility()).map((box) => box.dataset.step)", shown
    )


def open_procedure(page, top: str, fragment: str = "", path: str = PROCEDURE):
    """Open a procedure page and wait until every step has its buttons."""
    page.goto(f"{top}{path}{fragment}")
    page.wait_for_function("""() => document.querySelectorAll(".step").length === document.querySelectorAll(".step__other").length
        && document.querySelector(".job-bar__name")?.textContent""")
    return page


def enter(page, address: str, **given: str):
    """Type into a step's calculator and wait for its answer; gives the step."""
    box = step(page, address)
    for name, text in given.items():
        field = box.locator(f'form.calculator [name="{name}"]')
        if not field.is_visible():
            box.locator("details.calculator__more > summary").click()
        field.fill(text)
    try:
        box.locator(".verdict, .field__problem:not(:empty)").first.wait_for(timeout=40_000)
    except Error as error:
        raise AssertionError(f"{address} gave no answer; it says: {text(box.locator('.calculator__state'))}") from error
    return box


def record(page, address: str, place: str) -> str:
    """Record what stands in a step for a place; gives the line that the page then shows."""
    box = step(page, address)
    lines = box.locator(f'.step__value[data-place="{place}"]')
    before = lines.count()
    row = ":is(form.calculator, .findings, .choice, .entry) + .record, .torque > .record"
    box.locator(row).locator(f'button[data-place="{place}"]').click()
    lines.nth(before).wait_for()
    return shown_line(lines.nth(before))


def text(locator) -> str:
    """What a part of the page says, also where the browser has not laid it out yet."""
    return " ".join(locator.text_content().split())


def mark(page, address: str, *values: str) -> None:
    """Tick the findings, or the choice, of a step."""
    for value in values:
        step(page, address).locator(f'input[value="{value}"]').check()


def recorded(page) -> list[str]:
    """Every recorded line of the page, in its order."""
    return [shown_line(line) for line in page.locator(".step__value").all()]


def shown_line(line) -> str:
    """A recorded line without its clock and its undo."""
    return re.sub(r", \d\d:\d\d,", ",", re.sub(r" Undo .*$", "", text(line)))


def violations(page) -> list[str]:
    """What axe-core finds on the page as a reader comes to see it.

    It takes what is not laid out yet, and what a bar of the page covers at this moment, for where it will always lie: so
    all parts are laid out first, and the bars let go of the window's edge.
    """
    page.evaluate("""() => {
        for (const part of document.querySelectorAll(".part")) part.style.contentVisibility = "visible";
        for (const bar of document.querySelectorAll(".bar, .job-bar, .on-this-page")) bar.style.position = "static";
    }""")
    return axe_violations(page)


class Parsed(HTMLParser):
    """What a page links to, what it loads, and its anchors."""

    def __init__(self, file: Path):
        super().__init__()
        self.file, self.links, self.loads, self.ids = file, [], [], []
        self.feed(file.read_text("utf-8"))

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if given.get("id"):
            self.ids.append(given["id"])
        if tag in ("a", "area") and "href" in given:
            self.links.append(given["href"])
        elif "href" in given:
            self.loads.append(given["href"])
        if "src" in given:
            self.loads.append(given["src"])

    def target(self, address: str) -> tuple[Path, str]:
        """The file and the anchor that an address of this page leads to."""
        parts = urlsplit(address)
        file = (self.file.parent / unquote(parts.path)).resolve() if parts.path else self.file.resolve()
        return file, unquote(parts.fragment)


def is_own(address: str) -> bool:
    """Whether an address leads to a file of the site."""
    parts = urlsplit(address)
    return not parts.scheme and not parts.netloc
