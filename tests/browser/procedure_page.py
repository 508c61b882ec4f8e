"""A small procedure page with layout and job, and no Python behind it: the fixture handbook's, as the build makes it.

It has the policy of every page, which forbids `eval`: what `page.wait_for_function` waits for is a function, never a bare
expression, which the browser would refuse to look at a second time.
"""

import re
from contextlib import contextmanager
from pathlib import Path

from build_tools.browser.bundle import bundled_script
from build_tools.paths import PROJECT
from tests.browser.fixture_site import Changes, copy_site

FIXTURES = PROJECT / "tests/browser/fixtures"
HUB = "#layout=rotor:hub,bearing:tapered-roller,nut:castle,abs:none"


def make_page(folder: Path, changes: Changes | None = None) -> Path:
    """Put the pages and all they load into a folder; gives the file of the page «Front brake service»."""
    copy_site(folder, changes)
    (folder / "shop-data.js").write_text("self.shopData = {};\n", "utf-8")
    (folder / "assets/handbook.js").write_text(bundled_script(PROJECT, FIXTURES / "page.js"), "utf-8")
    return folder / "procedures/front-brake-service.html"


def step(page, address: str):
    """A step by its home address."""
    return page.locator(f'.step[data-step="{address}"]')


def choose(page, axis: str, value: str) -> None:
    """Answer a question of the layout picker."""
    page.locator(f'[data-axis="{axis}"] [data-value="{value}"]').click()


def start_job(page, vehicle: str = "Red van", name: str = "A. Sample") -> None:
    """Start a job as a technician does."""
    page.locator(".job-bar__toggle").click()
    page.fill("#job-vehicle", vehicle)
    page.fill("#job-name", name)
    page.get_by_role("button", name="Start the job").click()
    page.locator(".job-bar__name", has_text=vehicle).wait_for()
    page.locator(".job-bar__panel").wait_for(state="hidden")


def sign(page, address: str, place: str) -> None:
    """Sign a step, and wait until it is kept."""
    step(page, address).locator(f'.step__sign button[data-place="{place}"]').click()
    step(page, address).locator(f'.step__value[data-place="{place}"]').wait_for()


def answer_calculator(page, address: str, code: str, **given: str) -> None:
    """Fill a calculator's form, and let it answer with a verdict as the runtime would."""
    for name, text in given.items():
        step(page, address).locator(f'form.calculator [name="{name}"]').fill(text)
    step(page, address).locator("form.calculator").evaluate(
        """(form, [code, given]) => form.dispatchEvent(new CustomEvent("calculator:result", {bubbles: true, detail: {
            calculator: form.dataset.calculator, system: "metric",
            given: Object.fromEntries([...form.elements].filter((e) => e.name).map((e) => [e.name, e.value])),
            result: {calculator: form.dataset.calculator, figure: null, notes: ["one reading"],
                inputs: Object.fromEntries(Object.entries(given).map(([name, text]) =>
                    [name, {typed: text, value: 0.1, unit: "mm", text, other: ""}])),
                values: {margin: {value: 0.05, unit: "mm", text: "0.05 mm"}},
                verdict: code ? {code, text: `Verdict ${code}.`} : null}}}))""",
        [code, given],
    )


@contextmanager
def reading(browser):
    """What one reader has of a browser, on the screen of a shop PC."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    yield context
    context.close()


def opened(context, file, fragment=HUB):
    page = context.new_page()
    page.goto(file.as_uri() + fragment)
    page.locator(".job-bar__name").wait_for()
    return page


def values(page, address):
    return page.locator(f'.step[data-step="{address}"] .step__value').evaluate_all(
        "lines => lines.map((line) => line.textContent.replace(/\\s*Undo .*$/, '').replace(/\\d\\d:\\d\\d/, 'TIME'))"
    )


def is_done(page, address):
    return "step--done" in (step(page, address).get_attribute("class") or "")


def saved(page, folder: Path) -> Path:
    """The file that «Save to a file» makes."""
    folder.mkdir(exist_ok=True)
    save = page.get_by_role("button", name="Save to a file")
    if not save.is_visible():
        page.get_by_role("button", name="Job", exact=True).click()
    if is_firefox(page):
        # The driver reports no downloads of Firefox; test_file_arrives_in_the_download_folder sees one through.
        page.evaluate("""() => { const make = URL.createObjectURL;
            URL.createObjectURL = (blob) => { self.savedText = blob.text(); URL.createObjectURL = make; return make(blob); }; }""")
        save.click()
        name = re.search(r"job-\S+\.json", page.locator(".job-bar__message").inner_text())[0]
        (folder / name).write_text(page.evaluate("self.savedText"), "utf-8")
        return folder / name
    with page.expect_download() as download:
        save.click()
    download.value.save_as(folder / download.value.suggested_filename)
    return folder / download.value.suggested_filename


def is_firefox(page) -> bool:
    return "Firefox" in page.evaluate("navigator.userAgent")


def axe_violations(page) -> list[str]:
    """What axe-core finds against WCAG 2.2 AA."""
    # It measures contrast and targets by where boxes lie: those of parts not laid out yet lie anywhere, and what sticks to
    # an edge of the window covers a piece of whatever has been scrolled there.
    page.evaluate("for (const part of document.querySelectorAll('.part')) part.style.contentVisibility = 'visible'")
    stick = "(how) => { for (const bar of document.querySelectorAll('.bar, .job-bar')) bar.style.position = how; }"
    page.evaluate(stick, "static")
    page.evaluate((PROJECT / "node_modules/axe-core/axe.min.js").read_text("utf-8") + ";0")
    found = page.evaluate(
        """async () => (await axe.run(document, {preload: false, runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})).violations
            .map(({id, nodes}) => `${id}: ${nodes.map((node) => node.html).join(" | ").slice(0, 400)}`)"""
    )
    page.evaluate(stick, "")
    return found
