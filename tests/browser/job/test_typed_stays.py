"""What is typed and not recorded yet stays, each in its own field and with its own job, in whatever order things come."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.procedure_page import choose, make_page, opened, reading, start_job, step

PADS, THICKNESS, NUTS, SEAT, FACES = "inspect/pads", "inspect/thickness", "close-up/wheel-nuts", "set-bearing/seat", "inspect/rotor-faces"
# A step that shows three values of the sheet.
SHOWN = {PADS: {"show": [f"end.axle_nut.{name}" for name in ("torque", "angle", "lock")]}}
HOLD_STORE = """
    const open = IDBFactory.prototype.open, waiting = [];
    let held = true;
    IDBFactory.prototype.open = function (...given) {
        const request = open.apply(this, given);
        if (!held) return request;
        let success;
        Object.defineProperty(request, "onsuccess", {set(act) { success = act; }});
        request.addEventListener("success", (event) => held ? waiting.push(() => success.call(request, event)) : success.call(request, event));
        return request;
    };
    self.letStoreOpen = () => { held = false; for (const act of waiting.splice(0)) act(); };
"""


@pytest.fixture
def file(tmp_path):
    return make_page(tmp_path / "site", SHOWN)


def shown(page, name: str):
    return page.locator(f'[data-from="end.axle_nut.{name}"] > input')


def words(page):
    return step(page, PADS).locator("textarea").first


def kept(page, count: int) -> None:
    """Wait until the store has as many drafts, and nothing waits for it any more."""
    page.wait_for_function(
        """(count) => !sessionStorage.getItem("wheel-end-handbook:drafts") && new Promise((resolve) => {
        const request = indexedDB.open("wheel-end-handbook");
        request.onsuccess = () => {
            const all = request.result.transaction("drafts").objectStore("drafts").getAll();
            all.onsuccess = () => { request.result.close(); resolve(all.result.length >= count); };
        };
    })""",
        arg=count,
    )


def test_each_value_that_a_step_shows_keeps_its_own_text(browser, file):
    given = {"torque": "180 N·m", "angle": "60°", "lock": "new split pin"}
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        for name, text in given.items():
            shown(page, name).fill(text)
        page.reload()
        for name, text in given.items():
            expect(shown(page, name)).to_have_value(text)


def test_what_is_typed_for_one_job_is_not_in_the_next_and_comes_back_with_it(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page, "Red van")
        words(page).fill("worn at the leading end")
        step(page, THICKNESS).locator('[name="readings"]').fill("24.1; 24.0")
        step(page, SEAT).locator('[name="actual"]').fill("20 N·m")
        step(page, FACES).get_by_label("cracked to the edge").check()
        step(page, "inspect/hose").get_by_label("cracked").check()
        page.locator(".job-bar__toggle").click()
        page.fill("#job-vehicle", "Blue truck")
        page.get_by_role("button", name="Start the job").click()
        page.locator(".job-bar__name", has_text="Blue truck").wait_for()
        expect(words(page)).to_have_value("")
        expect(step(page, THICKNESS).locator('[name="readings"]')).to_have_value("")
        expect(step(page, SEAT).locator('[name="actual"]')).to_have_value("")
        assert page.locator(".step input:checked").count() == 0
        words(page).fill("even")
        page.locator(".job-bar__toggle").click()
        page.get_by_role("button", name="Go on with Red van").click()
        expect(words(page)).to_have_value("worn at the leading end")
        expect(step(page, THICKNESS).locator('[name="readings"]')).to_have_value("24.1; 24.0")
        expect(step(page, SEAT).locator('[name="actual"]')).to_have_value("20 N·m")
        expect(step(page, FACES).get_by_label("cracked to the edge")).to_be_checked()
        expect(step(page, "inspect/hose").get_by_label("cracked")).to_be_checked()


def test_what_is_typed_before_the_job_is_read_is_newer_than_what_was_kept(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        words(page).fill("old words")
        step(page, THICKNESS).locator('[name="readings"]').fill("24.1")
        kept(page, 2)
        page.close()
        page = context.new_page()
        page.add_init_script(HOLD_STORE)
        page.goto(file.as_uri())
        page.locator(".job-bar__name").wait_for()
        words(page).fill("new words")
        page.evaluate("self.letStoreOpen()")
        page.locator(".job-bar__name", has_text="Red van").wait_for()
        expect(step(page, THICKNESS).locator('[name="readings"]')).to_have_value("24.1")
        expect(words(page)).to_have_value("new words")


def test_a_note_in_an_unfolded_form_comes_back_and_has_its_places(browser, tmp_path):
    file = make_page(tmp_path / "site", {"front-brake-service": {"when": None}})  # for either axle
    with reading(browser) as context:
        page = opened(context, file, "")
        start_job(page)
        step(page, PADS).locator(".step__other > summary").click()
        rows = step(page, PADS).locator(".step__other-row")
        expect(rows).to_have_count(4)  # no axle is known yet
        page.locator("#inspect\\.pads-reason").fill("the indicator is broken")
        choose(page, "axle", "front")
        expect(rows).to_have_count(2)
        page.reload()
        page.locator(".job-bar__name", has_text="Red van").wait_for()
        step(page, PADS).locator(".step__other > summary").click()
        expect(page.locator("#inspect\\.pads-reason")).to_have_value("the indicator is broken")


def test_where_a_value_is_from_comes_back_too_and_goes_when_it_is_kept(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        field = step(page, THICKNESS).locator('[data-from="end.rotor.discard"]')
        field.locator("input").first.fill("22.4 mm")
        field.locator(".keep__from").fill("stamped on the rotor, inner ed")
        page.reload()
        expect(field.locator(".keep__from")).to_have_value("stamped on the rotor, inner ed")
        expect(field.locator('[name="discard"]')).to_have_value("22.4 mm")
        field.get_by_role("button", name="Keep", exact=True).click()
        expect(field.locator(".keep")).to_have_count(0)
        field.locator('[name="discard"]').fill("23 mm")
        expect(field.locator(".keep__from")).to_have_value("")


def test_the_form_of_a_new_job_survives_a_tap_elsewhere(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        page.locator(".job-bar__toggle").click()
        page.fill("#job-vehicle", "Red van, bay 2")
        page.fill("#job-name", "A. Sample")
        step(page, "make-safe/chock").locator(".sign").click()  # asks for a job, and draws the form again
        page.locator(".job-bar__message", has_text="Start a job first").wait_for()
        assert page.locator("#job-vehicle").input_value() == "Red van, bay 2"
        assert page.locator("#job-name").input_value() == "A. Sample"


def test_units_layout_and_another_tab_leave_what_is_typed(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        typed = {
            (PADS, "text"): "worn",
            (THICKNESS, "readings"): "24.1; 24.0",
            (THICKNESS, "discard"): "22.4 mm",
            (SEAT, "target"): "20 N·m",
            (NUTS, "actual"): "110 N·m",
        }
        for (address, name), text in typed.items():
            step(page, address).locator(f'[name="{name}"]').first.fill(text)
        step(page, FACES).get_by_label("cracked to the edge").check()
        page.evaluate(
            "document.documentElement.dataset.system = 'inch'; document.dispatchEvent(new CustomEvent('handbook:system', {detail: {system: 'inch'}}))"
        )
        page.locator(".layout-picker__questions > summary").click()
        choose(page, "abs", "by-wire")
        other = context.new_page()
        other.goto(page.url)
        other.locator(".job-bar__name", has_text="Red van").wait_for()
        step(other, "make-safe/chock").locator(".sign").click()
        step(other, "make-safe/chock").locator(".step__value").wait_for()
        page.bring_to_front()
        for (address, name), text in typed.items():
            expect(step(page, address).locator(f'[name="{name}"]').first).to_have_value(text)
        expect(step(page, FACES).get_by_label("cracked to the edge")).to_be_checked()


# ---------------------------------------------------------------- lists to gather by


def test_a_tick_of_the_gather_list_goes_with_one_job_only(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        tick = page.locator(".gather input").first
        tick.check()
        start_job(page, "Red van")
        expect(tick).to_be_checked()
        page.locator(".job-bar__toggle").click()
        page.fill("#job-vehicle", "Blue truck")
        page.get_by_role("button", name="Start the job").click()
        page.locator(".job-bar__name", has_text="Blue truck").wait_for()
        expect(tick).not_to_be_checked()
        page.locator(".job-bar__toggle").click()
        page.get_by_role("button", name="Go on with Red van").click()
        expect(tick).to_be_checked()


# ---------------------------------------------------------------- a store that never answers

SILENT = {
    "opening": "self.asked = 0; IDBFactory.prototype.open = () => { self.asked += 1; return {}; };",
    "writing": """self.asked = 0; IDBDatabase.prototype.transaction = () => {
        self.asked += 1;
        const store = new Proxy({}, {get: () => () => store});
        return {objectStore: () => store};
    };""",
}


@pytest.mark.parametrize("how", SILENT)
def test_a_store_that_never_answers_is_waited_for_once(browser, file, how):
    with reading(browser) as context:
        page = context.new_page()
        page.add_init_script(SILENT[how])
        page.goto(file.as_uri() + "#layout=rotor:hub,bearing:tapered-roller,nut:castle,abs:none")
        said = page.locator(".job-bar__kept", has_text="NOT saved on this machine: this browser’s storage does not answer.")
        said.wait_for()
        asked = page.evaluate("self.asked")
        start_job(page)
        words(page).fill("worn")
        for address in ("make-safe/chock", "tear-down/wheel-off"):
            step(page, address).locator(".sign").first.click()
            step(page, address).locator(".step__value").first.wait_for()
        assert page.evaluate("self.asked") == asked
        assert said.is_visible() and page.get_by_role("button", name="Save to a file").count() == 1
        expect(words(page)).to_have_value("worn")


def test_a_store_that_answers_late_gets_what_was_held_and_the_job_is_taken_up(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        words(page).fill("old words")
        kept(page, 1)
        page.close()
        page = context.new_page()
        page.add_init_script(HOLD_STORE)
        page.goto(file.as_uri())
        page.locator(".job-bar__kept", has_text="does not answer").wait_for()
        page.evaluate("self.letStoreOpen()")
        page.locator(".job-bar__name", has_text="Red van").wait_for()
        expect(page.locator(".job-bar__kept")).to_have_text("Saved on this machine")
        expect(words(page)).to_have_value("old words")


def test_a_tick_made_before_the_job_is_read_goes_into_it(browser, file):
    with reading(browser) as context:
        page = opened(context, file)
        start_job(page)
        page.close()
        page = context.new_page()
        page.add_init_script(HOLD_STORE)
        page.goto(file.as_uri())
        tick = page.locator(".gather input").first
        tick.check()
        page.evaluate("self.letStoreOpen()")
        page.locator(".job-bar__name", has_text="Red van").wait_for()
        page.wait_for_function("() => !sessionStorage.getItem('wheel-end-handbook:drafts')")
        expect(tick).to_be_checked()
        page.reload()
        page.evaluate("self.letStoreOpen()")
        page.locator(".job-bar__name", has_text="Red van").wait_for()
        expect(tick).to_be_checked()
