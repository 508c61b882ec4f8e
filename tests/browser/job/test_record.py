"""The job record in both browsers: kept as you go, whole after a kill, never lost silently, the same in a file."""

import json
import re
from pathlib import Path

import pytest
import yaml

from build_tools.jobs.job_record import checksum, read_job
from tests.browser.fixture_site import CONTENT
from tests.browser.procedure_page import (
    HUB,
    answer_calculator,
    axe_violations,
    choose,
    is_done,
    is_firefox,
    make_page,
    opened,
    reading,
    saved,
    sign,
    start_job,
    step,
    values,
)
from tests.conftest import persistent, serving

NO_STORAGE = "Object.defineProperty(self, 'indexedDB', {value: undefined});"
FULL = """for (const name of ['put', 'add']) IDBObjectStore.prototype[name] = function () {
    if (self.storageIsFull !== false) throw new DOMException('full', 'QuotaExceededError');
    return original[name].call(this, ...arguments); };"""
FULL = "const original = {put: IDBObjectStore.prototype.put, add: IDBObjectStore.prototype.add};" + FULL


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return make_page(tmp_path_factory.mktemp("record") / "site")


@pytest.fixture
def context(browser):
    with reading(browser) as context:
        yield context


@pytest.fixture
def page(context, file):
    return opened(context, file)


def open_job_file(page, path: Path):
    page.locator(".job-bar input[type=file]").set_input_files(path)


# ---------------------------------------------------------------- signing


def test_nothing_is_recorded_before_a_job_is_started(page):
    step(page, "make-safe/chock").locator(".sign").click()
    assert "Start a job first" in page.locator(".job-bar__message").inner_text()
    assert page.locator("#job-vehicle").evaluate("(input) => input === document.activeElement")
    assert values(page, "make-safe/chock") == []


def test_job_needs_a_vehicle_and_a_name(page):
    page.locator(".job-bar").get_by_role("button", name="Start a job").click()
    page.get_by_role("button", name="Start the job").click()
    assert page.locator(".job-bar__message").inner_text() == "Enter the vehicle, for example: red van, bay 2."
    page.fill("#job-vehicle", "Red van")
    page.get_by_role("button", name="Start the job").click()
    assert page.locator(".job-bar__message").inner_text() == "Enter your name, for example: A. Sample."


def test_one_tap_signs_with_time_and_name_and_stays_after_reload(page):
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    sign(page, "tear-down/wheel-off", "LF")
    assert values(page, "make-safe/chock") == ["vehicle signed, TIME, A. Sample"]
    assert is_done(page, "make-safe/chock") and not is_done(page, "tear-down/wheel-off")
    assert page.locator(".job-bar__kept").inner_text() == "Saved on this machine"
    page.reload()
    page.locator(".step__value").first.wait_for()
    assert values(page, "tear-down/wheel-off") == ["LF signed, TIME, A. Sample"]
    assert re.fullmatch(r"Red van \d{4}-\d\d-\d\d", page.locator(".job-bar__name").inner_text())


def test_current_step_is_the_first_open_one_and_moves_on(page):
    start_job(page)
    assert page.locator('[aria-current="step"]').get_attribute("data-step") == "make-safe/chock"
    sign(page, "make-safe/chock", "vehicle")
    assert page.locator('[aria-current="step"]').get_attribute("data-step") == "make-safe/lift"  # 1.2 is of another layout
    # The next step comes to the focus, so that one key signs it.
    page.wait_for_function("() => document.activeElement.closest('.step')?.dataset.step === 'make-safe/lift'")
    page.keyboard.press("Enter")
    step(page, "make-safe/lift").locator(".step__value").wait_for()
    assert page.locator('[aria-current="step"]').get_attribute("data-step") == "make-safe/stands"


def test_side_worked_on_decides_what_is_open(page):
    start_job(page)
    for address, place in [
        ("make-safe/chock", "vehicle"),
        ("make-safe/lift", "front"),
        ("make-safe/stands", "front"),
        ("tear-down/wheel-off", "LF"),
    ]:
        sign(page, address, place)
    assert page.locator('[aria-current="step"]').get_attribute("data-step") == "tear-down/wheel-off"
    page.locator('.job-bar__side[data-side="LF"]').click()
    assert page.locator('[aria-current="step"]').get_attribute("data-step") == "tear-down/caliper-off"
    assert page.locator(".job-bar__next").inner_text() == "Go to 2.2"
    assert page.locator(".job-bar__progress").inner_text().startswith("4 done")


def test_undo_withdraws_and_keeps_both_entries(page, tmp_path):
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    page.wait_for_timeout(900)  # a second wet touch must not undo
    step(page, "make-safe/chock").locator(".undo").click()
    step(page, "make-safe/chock").locator(".step__sign .sign").wait_for()
    assert values(page, "make-safe/chock") == []
    job = read_job(saved(page, tmp_path).read_text("utf-8"))
    done, withdrawn = [entry for entry in job.entries if entry.step == "make-safe/chock"]
    assert (done.kind, withdrawn.kind) == ("done", "withdrawn")
    assert withdrawn.typed == {"withdraws": done.id}


def test_second_touch_at_once_neither_signs_twice_nor_undoes(page, tmp_path):
    start_job(page)
    step(page, "make-safe/chock").scroll_into_view_if_needed()
    box = step(page, "make-safe/chock").locator(".sign").bounding_box()
    for _ in range(3):
        page.mouse.click(box["x"] + 30, box["y"] + 20)
    step(page, "make-safe/chock").locator(".step__value").wait_for()
    page.wait_for_timeout(300)
    job = read_job(saved(page, tmp_path).read_text("utf-8"))
    assert [entry.kind for entry in job.entries if entry.step == "make-safe/chock"] == ["done"]


def test_held_step_waits_per_side_and_can_be_signed_with_a_reason(page):
    start_job(page)
    pin = step(page, "set-bearing/fit-pin")
    assert pin.locator('.sign[data-place="LF"]').is_disabled()
    assert "LF waits for 4.4." in pin.text_content()
    answer_calculator(page, "set-bearing/read-end-play", "within", measured="0.003 in", target_max="0.005 in")
    step(page, "set-bearing/read-end-play").locator('.record [data-place="LF"]').click()
    step(page, "set-bearing/read-end-play").locator(".step__value").wait_for()
    assert pin.locator('.sign[data-place="LF"]').is_enabled()
    assert pin.locator('.sign[data-place="RF"]').is_disabled()
    pin.locator(".step__other > summary").click()
    pin.get_by_role("button", name="Sign RF with this reason").click()
    assert "Write the reason first" in pin.locator(".step__other .step__problem").inner_text()
    pin.locator(".step__other textarea").fill("Reading taken before the power went.")
    pin.get_by_role("button", name="Sign RF with this reason").click()
    pin.locator(".step__value").wait_for()
    assert values(page, "set-bearing/fit-pin") == ["RF signed with a reason: Reading taken before the power went., TIME, A. Sample"]


def test_not_applicable_with_its_reason(page):
    start_job(page)
    box = step(page, "close-up/parts")
    box.locator(".step__other > summary").click()
    box.locator(".step__other textarea").fill("No part was needed.")
    box.get_by_role("button", name="front axle does not apply").click()
    box.locator(".step__value").wait_for()
    assert "step--not-applicable" in box.get_attribute("class")


# ---------------------------------------------------------------- entries


def test_reading_within_is_recorded_with_all_it_was_judged_by(page, tmp_path):
    page.select_option("#vehicle-sheet", "demo-a")
    start_job(page)
    answer_calculator(page, "set-bearing/read-end-play", "within", measured="0.003 in")
    step(page, "set-bearing/read-end-play").locator('.record [data-place="LF"]').click()
    step(page, "set-bearing/read-end-play").locator(".step__value").wait_for()
    assert values(page, "set-bearing/read-end-play") == ["LF 0.003 in, within, TIME, A. Sample"]
    # The other side is read anew: only what the sheet says stays in the form.
    assert step(page, "set-bearing/read-end-play").locator('[name="measured"]').input_value() == ""
    assert step(page, "set-bearing/read-end-play").locator('[name="target_max"]').input_value() == "0.005 in"
    entry = next(e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.kind == "result")
    assert entry.typed["given"] == {"measured": "0.003 in", "target_max": "0.005 in"}
    assert entry.limits == {
        "target_max": {"path": "end.end_play.max", "value": "0.005", "unit": "in", "source": "maker’s manual, p. 7-4 (invented)"}
    }
    assert entry.understood["inputs"]["measured"]["text"] == "0.003 in"
    assert (entry.verdict.code, entry.place, entry.try_, entry.by) == ("within", "LF", 1, "A. Sample")
    assert (entry.procedure, entry.revision, entry.build) == ("front-brake-service", 1, "fixture-1")


@pytest.mark.parametrize("code", ["beyond", "too-close", "cannot-tell", "adjust"])
def test_reading_that_is_not_within_does_not_tick(page, code):
    start_job(page)
    answer_calculator(page, "set-bearing/read-end-play", code, measured="0.009 in", target_max="0.005 in")
    box = step(page, "set-bearing/read-end-play")
    if code in ("beyond", "adjust"):
        assert "is-chosen" in box.locator(f'[data-outcome="{code}"]').get_attribute("class")
    box.locator('.record [data-place="RF"]').click()
    box.locator(".step__value").wait_for()
    assert not is_done(page, "set-bearing/read-end-play")
    assert step(page, "set-bearing/fit-pin").locator('.sign[data-place="RF"]').is_disabled()
    if code == "beyond":
        assert "RF: Verdict beyond. Go to step 4.2" in box.locator(".step__outcome").inner_text()
        assert box.locator(".step__go").get_attribute("href") == "#set-bearing.loosen"
    if code == "adjust":
        assert "Turn the nut, then measure again." in box.locator(".step__outcome").inner_text()


def test_last_reading_counts(page):
    start_job(page)
    box = step(page, "set-bearing/read-end-play")
    for number, code in enumerate(["beyond", "within", "beyond"], 1):
        answer_calculator(page, "set-bearing/read-end-play", code, measured=f"0.00{number} in", target_max="0.005 in")
        box.locator('.record [data-place="LF"]').click()
        box.locator(".step__value").nth(number - 1).wait_for()
        disabled = step(page, "set-bearing/fit-pin").locator('.sign[data-place="LF"]').is_disabled()
        assert disabled == (code == "beyond")
    assert len(values(page, "set-bearing/read-end-play")) == 3


def test_undone_reading_comes_back_into_its_field(page):
    start_job(page)
    answer_calculator(page, "set-bearing/read-end-play", "beyond", measured="0.009 in", target_max="0.005 in")
    box = step(page, "set-bearing/read-end-play")
    box.locator('.record [data-place="LF"]').click()
    box.locator(".step__value").wait_for()
    page.wait_for_timeout(900)
    box.locator(".undo").click()
    page.wait_for_function("() => document.querySelector('[name=measured]').value === '0.009 in'")


def test_changed_entry_takes_the_record_button_away(page):
    start_job(page)
    answer_calculator(page, "set-bearing/read-end-play", "within", measured="0.003 in", target_max="0.005 in")
    box = step(page, "set-bearing/read-end-play")
    assert box.locator('.record [data-place="LF"]').is_visible()
    box.locator("form.calculator").dispatch_event("calculator:cleared")
    assert not box.locator('.record [data-place="LF"]').is_visible()


def test_torque_asks_for_what_is_missing_and_records_its_target(page, tmp_path):
    page.select_option("#vehicle-sheet", "demo-a")
    start_job(page)
    box = step(page, "close-up/wheel-nuts")
    assert box.locator('[name="target"]').input_value() == "110 N·m"
    record, problem = box.locator('.record [data-place="LF"]'), box.locator(".record .step__problem")
    record.click()
    assert "actual torque with its unit" in problem.inner_text()
    box.locator('[name="actual"]').fill("110")
    record.click()
    assert "with its unit, for example: 110 N·m" in problem.inner_text()
    box.locator('[name="actual"]').fill("110 N·m")
    record.click()
    assert "Enter the wrench" in problem.inner_text()
    box.locator('[name="tool"]').fill("wrench 3")
    record.click()
    box.locator(".step__value").wait_for()
    assert values(page, "close-up/wheel-nuts") == [
        "LF wheel nut 110 N·m, target 110 N·m: not judged: the calculator was not ready, wrench 3, TIME, A. Sample"
    ]
    entry = next(e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.kind == "torque")
    assert entry.limits["target"] == {
        "path": "vehicle.wheel_nut.torque",
        "value": "110",
        "unit": "N·m",
        "source": "owner’s manual, p. 12 (invented)",
    }


def test_findings_say_what_follows_at_once(page, tmp_path):
    start_job(page)
    box = step(page, "inspect/rotor-faces")
    box.locator('.record [data-place="LF"]').click()
    assert "Mark what is found first." in box.locator(".record .step__problem").inner_text()
    box.locator('input[value="even"]').check()
    box.locator('input[value="cracked"]').check()
    assert box.locator(".findings__action").inner_text() == "Replace (axle set): a crack at the edge grows"
    box.locator('.record [data-place="LF"]').click()
    box.locator(".step__value").wait_for()
    assert values(page, "inspect/rotor-faces") == ["LF even and bright; cracked to the edge: replace, TIME, A. Sample"]
    assert box.locator("input:checked").count() == 0
    entry = next(e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.kind == "finding")
    assert entry.typed == {"part": "rotor", "findings": ["even", "cracked"]}
    assert entry.understood["findings"][1]["action"] == "replace"


def test_choice_and_text(page):
    start_job(page)
    box = step(page, "inspect/hose")
    box.locator('input[value="cracked"]').check()
    box.locator('.record [data-place="LF"]').click()
    box.locator(".step__value").wait_for()
    assert not is_done(page, "inspect/hose")
    assert "Stop. The vehicle does not leave without a new hose." in box.locator(".step__outcome").inner_text()
    text = step(page, "inspect/pads")
    text.locator("textarea").first.fill("outer pad worn at its leading end")
    text.locator('.record [data-place="RF"]').click()
    text.locator(".step__value").wait_for()
    assert values(page, "inspect/pads") == ["RF outer pad worn at its leading end, TIME, A. Sample"]


def test_outcome_that_no_calculator_finds_is_reported_by_hand(page):
    start_job(page)
    box = step(page, "set-bearing/seat")
    box.get_by_role("button", name="LF: this is so").click()
    box.locator(".step__value").wait_for()
    assert values(page, "set-bearing/seat") == ["LF If rough, TIME, A. Sample"]
    assert "Go to step 2.5" in box.locator(".step__outcome").inner_text()
    assert not is_done(page, "set-bearing/seat")


def test_sheet_value_typed_in_is_kept_with_its_source(page, tmp_path):
    start_job(page)
    field = step(page, "inspect/thickness").locator('[data-input="discard"]')
    field.locator('[name="discard"]').fill("22.4")
    field.get_by_role("button", name="Keep").click()
    assert "Say where it is from" in field.locator(".keep__line").inner_text()
    field.get_by_role("button", name="stamped on the part").click()
    field.get_by_role("button", name="Keep").click()
    field.locator(".keep").wait_for(state="detached")
    assert field.locator('[name="discard"]').input_value() == "22.4 mm"  # the unit beside the field goes along
    assert field.locator(".field__source").inner_text() == "From the sheet: stamped on the part"
    page.reload()
    page.wait_for_function("() => document.querySelector('[name=discard]').value === '22.4 mm'")
    entry = next(e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.kind == "vehicle")
    assert entry.typed["values"] == {"end.rotor.discard": {"value": "22.4", "unit": "mm", "source": "stamped on the part"}}
    assert entry.place == "front"


def test_job_keeps_its_layout_and_a_copy_of_the_sheet(page, file):
    start_job(page)
    page.select_option("#vehicle-sheet", "demo-b")
    page.wait_for_timeout(300)
    page.goto("about:blank")
    page.goto(file.as_uri())
    page.locator('[data-axis="rotor"] [aria-pressed="true"]').wait_for(state="attached")
    assert "rotor:slip-on" in page.url and "vehicle=demo-b" in page.url


def test_address_with_another_layout_than_the_job_asks(page, file):
    start_job(page)
    page.goto("about:blank")
    page.goto(file.as_uri() + "#layout=rotor:slip-on")
    page.get_by_role("button", name="Use the job’s layout").click()
    assert "rotor:hub" in page.url


# ---------------------------------------------------------------- drafts


def test_what_is_typed_and_not_recorded_is_there_after_a_reload(page):
    start_job(page)
    step(page, "inspect/thickness").locator('[name="readings"]').fill("24.1; 24.0; 23.9")
    step(page, "inspect/pads").locator("textarea").first.fill("glazed")
    step(page, "inspect/rotor-faces").locator('input[value="cracked"]').check()
    step(page, "inspect/hose").locator('input[value="sound"]').check()
    step(page, "inspect/hose").locator('input[value="cracked"]').check()
    step(page, "close-up/wheel-nuts").locator('[name="tool"]').fill("wrench 3")
    page.reload()
    page.wait_for_function("() => document.querySelector('[name=readings]').value !== ''")
    assert step(page, "inspect/thickness").locator('[name="readings"]').input_value() == "24.1; 24.0; 23.9"
    assert step(page, "inspect/pads").locator("textarea").first.input_value() == "glazed"
    assert step(page, "inspect/rotor-faces").locator('input[value="cracked"]').is_checked()
    assert step(page, "inspect/hose").locator('input[value="cracked"]').is_checked()
    assert step(page, "close-up/wheel-nuts").locator('[name="tool"]').input_value() == "wrench 3"


def test_draft_from_before_the_job_goes_along_and_ends_when_recorded(page):
    step(page, "inspect/pads").locator("textarea").first.fill("glazed")
    start_job(page)
    page.reload()
    page.locator(".job-bar__name", has_text="Red van").wait_for()
    page.wait_for_function("() => document.querySelector('[data-step=\"inspect/pads\"] [data-entry=text] textarea').value === 'glazed'")
    step(page, "inspect/pads").locator('.record [data-place="LF"]').click()
    step(page, "inspect/pads").locator(".step__value").wait_for()
    page.wait_for_timeout(200)
    page.reload()
    page.locator(".step__value").first.wait_for()
    page.wait_for_timeout(300)
    assert step(page, "inspect/pads").locator("textarea").first.input_value() == ""


# ---------------------------------------------------------------- where it is kept


def test_two_tabs_lose_no_entry(context, file, tmp_path):
    first = opened(context, file)
    start_job(first)
    second = opened(context, file)
    second.locator(".job-bar__name", has_text="Red van").wait_for()
    for tab in (first, second):
        tab.locator(".job-bar__progress", has_text="also open in another tab").wait_for()
    sign(first, "make-safe/chock", "vehicle")
    sign(second, "make-safe/lift", "front")
    # Each hears of the other's entry.
    step(second, "make-safe/chock").locator(".step__value").wait_for()
    step(first, "make-safe/lift").locator(".step__value").wait_for()
    for place in ("LF", "RF"):
        for page, address in ((first, "tear-down/wheel-off"), (second, "tear-down/caliper-off")):
            step(page, address).locator(f'.sign[data-place="{place}"]').evaluate("(button) => button.click()")
    first.wait_for_timeout(700)
    entries = read_job(saved(first, tmp_path).read_text("utf-8")).entries
    assert sorted(e.step for e in entries if e.kind == "done") == [
        "make-safe/chock",
        "make-safe/lift",
        "tear-down/caliper-off",
        "tear-down/caliper-off",
        "tear-down/wheel-off",
        "tear-down/wheel-off",
    ]


def test_storage_absent_says_so_at_once_and_the_job_can_be_saved(context, file, tmp_path):
    context.add_init_script(NO_STORAGE)
    page = opened(context, file)
    page.locator(".job-bar--unsaved").wait_for()
    kept = page.locator(".job-bar__kept").inner_text()
    assert kept == "NOT saved on this machine: this browser has no storage for this page. Save the job to a file before you close it."
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    assert "not saved on this machine" in step(page, "make-safe/chock").locator(".step__value").inner_text()
    job = read_job(saved(page, tmp_path).read_text("utf-8"))
    assert "make-safe/chock" in [entry.step for entry in job.entries]


def test_storage_full_keeps_entries_in_memory_and_writes_them_when_there_is_room(context, file):
    context.add_init_script(FULL)
    page = opened(context, file)
    start_job(page)
    page.locator(".job-bar--unsaved").wait_for()
    assert "this browser’s storage is full" in page.locator(".job-bar__kept").inner_text()
    sign(page, "make-safe/chock", "vehicle")
    page.evaluate("self.storageIsFull = false")
    sign(page, "make-safe/lift", "front")
    assert page.locator(".job-bar__kept").inner_text() == "Saved on this machine"
    assert "not saved" not in step(page, "make-safe/chock").locator(".step__value").inner_text()
    page.reload()
    page.locator(".step__value").first.wait_for()
    assert values(page, "make-safe/chock") and values(page, "make-safe/lift")


def test_what_a_stranger_wrote_into_the_store_is_passed_over(page):
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    page.evaluate("""() => new Promise((resolve, reject) => {
        const request = indexedDB.open("wheel-end-handbook");
        request.onsuccess = () => {
            const transaction = request.result.transaction(["entries", "jobs", "drafts", "settings"], "readwrite");
            const all = transaction.objectStore("entries").getAll();
            all.onsuccess = () => {
                const job = all.result[0].job;
                for (const [n, bad] of [{kind: "done"}, {step: "<img src=x onerror=alert(1)>"}, {time: 5}, {typed: null}].entries()) {
                    transaction.objectStore("entries").put({...all.result[0], id: "bad" + n, job, ...bad});
                }
                transaction.objectStore("jobs").put({id: "nonsense", name: {}});
                transaction.objectStore("drafts").put({key: "x", text: 5});
            };
            transaction.oncomplete = resolve;
            transaction.onabort = reject;
        };
    })""")
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.reload()
    page.locator(".step__value").first.wait_for()
    assert page.locator(".step__value").count() == 1
    page.get_by_role("button", name="Job", exact=True).click()
    page.locator("#job-vehicle").wait_for()
    assert errors == []


def test_store_that_another_page_uses_for_something_else(browser, tmp_path):
    file = make_page(tmp_path / "site")
    script = file.parents[1] / "assets/handbook.js"
    text = script.read_text("utf-8")
    script.write_text("", "utf-8")
    context = browser.new_context()
    page = context.new_page()
    page.goto(file.as_uri())
    page.evaluate("""() => new Promise((resolve, reject) => {
        const request = indexedDB.open("wheel-end-handbook", 1);
        request.onupgradeneeded = () => request.result.createObjectStore("recipes");
        request.onsuccess = () => { request.result.close(); resolve(); };
        request.onerror = reject;
    })""")
    script.write_text(text, "utf-8")
    page.reload()
    page.locator(".job-bar--unsaved").wait_for()
    assert "another page uses its name for something else" in page.locator(".job-bar__kept").inner_text()
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    assert read_job(saved(page, tmp_path).read_text("utf-8")).entries
    context.close()


def test_firefox_from_disk_says_that_records_are_kept_per_page(page):
    page.locator(".job-bar").get_by_role("button", name="Start a job").click()
    page.locator("#job-vehicle").wait_for()
    note = page.locator(".job-bar__per-page")
    assert note.count() == is_firefox(page)


def test_over_http_the_pages_share_their_job(browser, file):
    with serving(file.parents[1]) as address:
        context = browser.new_context()
        page = context.new_page()
        page.goto(address + "procedures/front-brake-service.html" + HUB)
        page.locator(".job-bar__name").wait_for()
        start_job(page)
        sign(page, "make-safe/chock", "vehicle")
        page.goto(address + "procedures/other-job.html" + HUB)
        page.locator(".step__value").first.wait_for()
        assert values(page, "make-safe/chock") == ["vehicle signed, TIME, A. Sample"]
        page.get_by_role("button", name="Job", exact=True).click()
        page.locator("#job-vehicle").wait_for()
        assert page.locator(".job-bar__per-page").count() == 0
        context.close()


# ---------------------------------------------------------------- file


def test_file_arrives_in_the_download_folder(playwright, file, tmp_path, browser_name):
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    context = persistent(playwright, browser_name, tmp_path / "profile", downloads_path=downloads)
    page = opened(context, file)
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    page.get_by_role("button", name="Job", exact=True).click()
    page.get_by_role("button", name="Save to a file").click()
    for _ in range(50):
        # Under way it has another ending.
        files = [path for path in downloads.iterdir() if path.suffix not in (".crdownload", ".part") and path.stat().st_size]
        if files:
            break
        page.wait_for_timeout(100)
    job = read_job(files[0].read_text("utf-8"))
    assert [entry.step for entry in job.entries if entry.kind == "done"] == ["make-safe/chock"]
    context.close()


def test_file_goes_to_another_browser_and_is_taken_once(browser, page, file, tmp_path):
    start_job(page, vehicle="Ünique van №1")
    sign(page, "make-safe/chock", "vehicle")
    sign(page, "tear-down/wheel-off", "LF")
    path = saved(page, tmp_path)
    assert re.fullmatch(r"job-\d{4}-\d\d-\d\d-unique-van-no1-[0-9a-f]{6}\.json", path.name)
    raw = json.loads(path.read_text("utf-8"))
    assert raw["format"] == "wheel-end-job/1" and raw["checksum"] == checksum(raw)
    other = browser.new_context()
    there = opened(other, file)
    for fresh in (len(raw["entries"]), 0):
        open_job_file(there, path)
        there.locator(".job-bar__message", has_text=f"{fresh} new of {len(raw['entries'])} entries").wait_for()
    assert values(there, "tear-down/wheel-off") == ["LF signed, TIME, A. Sample"]
    # Work goes on there, once what the file brought is drawn, and comes back here: what both have is there once.
    there.evaluate("() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    sign(there, "tear-down/wheel-off", "RF")
    back = saved(there, tmp_path / "back")
    open_job_file(page, back)
    page.locator(".job-bar__message", has_text="1 new of").wait_for()
    assert len(values(page, "tear-down/wheel-off")) == 2
    other.close()


def test_broken_and_hostile_files_change_nothing(page, tmp_path):
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    whole = json.loads(saved(page, tmp_path).read_text("utf-8"))
    rewritten = json.loads(json.dumps(whole))
    rewritten["entries"][-1]["by"] = "Somebody Else"
    rewritten["checksum"] = checksum(rewritten)
    hostile = json.loads(json.dumps(whole))
    hostile["entries"][-1]["step"] = "x/<script>alert(1)</script>"
    hostile["checksum"] = checksum(hostile)
    cases = {
        "cut off": (json.dumps(whole)[:-40], "not whole JSON"),
        "other": ('{"format": "something"}', "is no job file"),
        "changed": (json.dumps(whole).replace("A. Sample", "B. Sample"), "checksum does not match"),
        "rewritten": (json.dumps(rewritten), "another version of an entry"),
        "hostile": (json.dumps(hostile), "step is not as expected"),
        "nested": ('{"format": "wheel-end-job/1", "entries": ' + "[" * 100_000, "not whole JSON"),
        "picture": ("\x89PNG\x00\x00", "not whole JSON"),
    }
    for name, (text, says) in cases.items():
        path = tmp_path / f"{name}.json"
        path.write_text(text, "utf-8")
        open_job_file(page, path)
        page.locator(".job-bar__message", has_text=says).wait_for()
        assert "\n" not in page.locator(".job-bar__message").inner_text()
    assert json.loads(saved(page, tmp_path / "after").read_text("utf-8"))["entries"] == whole["entries"]


def test_markup_in_a_record_is_only_text(browser, page, file, tmp_path):
    evil = '<img src=x onerror="self.hit=1">'
    start_job(page, vehicle=evil, name=evil)
    step(page, "inspect/pads").locator("textarea").first.fill(evil)
    step(page, "inspect/pads").locator('.record [data-place="LF"]').click()
    step(page, "inspect/pads").locator(".step__value").wait_for()
    path = saved(page, tmp_path)
    other = browser.new_context()
    there = opened(other, file)
    open_job_file(there, path)
    step(there, "inspect/pads").locator(".step__value").wait_for()
    there.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert evil in there.locator(".sheet-record").text_content()
    assert there.evaluate("self.hit") is None
    assert there.locator(".job-bar img, .step__value img, .sheet-record img").count() == 0
    other.close()


# ---------------------------------------------------------------- a newer handbook


def test_step_that_changed_says_so_and_a_lost_step_stays_listed(browser, tmp_path):
    file = make_page(tmp_path / "site")
    context = browser.new_context()
    page = opened(context, file)
    start_job(page)
    for address, place in (
        ("make-safe/chock", "vehicle"),
        ("tear-down/wheel-off", "LF"),
        ("make-safe/lift", "front"),
        ("make-safe/stands", "front"),
        ("tear-down/caliper-off", "LF"),
    ):
        sign(page, address, place)
    stands = yaml.load((CONTENT / "procedures/make-safe.yml").read_text("utf-8"), yaml.BaseLoader)["steps"][-1]
    make_page(
        tmp_path / "site",
        {
            "tear-down/wheel-off": {"do": "Take the wheel off its studs."},
            "tear-down/caliper-off": {"id": "caliper-away"},  # which nobody says was another step
            "make-safe/stands": None,
            "tear-down/stands": {**stands, "before": "wheel-off", "was": ["make-safe/stands"]},  # moved to another procedure
        },
    )
    page.reload()
    page.locator(".step__value").first.wait_for()
    assert is_done(page, "make-safe/chock") and is_done(page, "tear-down/stands")
    changed = step(page, "tear-down/wheel-off")
    assert "changed since you did it" in changed.locator(".step__value").text_content()
    assert changed.locator('.sign[data-place="LF"]').is_enabled()  # it has to be done again
    assert "tear-down/caliper-off LF: signed" in page.locator(".lost-entries").inner_text()
    context.close()


# ---------------------------------------------------------------- interruption, print, looks


def test_name_can_be_changed_for_the_next_shift(page):
    start_job(page)
    page.get_by_role("button", name="Job", exact=True).click()
    page.fill("#job-technician", "B. Example")
    page.get_by_role("button", name="Use this name").click()
    sign(page, "make-safe/chock", "vehicle")
    assert values(page, "make-safe/chock") == ["vehicle signed, TIME, B. Example"]


def test_another_job_and_back(page):
    start_job(page, vehicle="Red van")
    sign(page, "make-safe/chock", "vehicle")
    page.get_by_role("button", name="Job", exact=True).click()
    page.fill("#job-vehicle", "Blue pick-up")
    page.get_by_role("button", name="Start the job").click()
    page.locator(".job-bar__name", has_text="Blue pick-up").wait_for()
    assert values(page, "make-safe/chock") == []
    page.get_by_role("button", name="Job", exact=True).click()
    page.get_by_role("button", name="Go on with Red van").click()
    page.locator(".step__value").wait_for()


def test_bench_sheet_carries_identity_place_and_what_was_recorded(page):
    page.select_option("#vehicle-sheet", "demo-a")
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    answer_calculator(page, "set-bearing/read-end-play", "within", measured="0.003 in")
    step(page, "set-bearing/read-end-play").locator('.record [data-place="LF"]').click()
    step(page, "set-bearing/read-end-play").locator(".step__value").wait_for()
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    head, table = (page.locator(part).text_content() for part in (".sheet-head", ".sheet-record"))
    assert "Procedure front-brake-service, revision 1. Handbook build fixture-1." in head
    assert "Job: Red van" in head and "Vehicle: Red van" in head
    assert re.search(r"Printed \d{4}-\d\d-\d\d \d\d:\d\d\.", head)
    assert "Rotor mounting: hub rotor" in head
    assert "4.4 Read the travel while pushing and pulling the rotor straight." in table
    assert "0.003 in, within. Verdict within. Entered: measured 0.003 in" in table
    assert "0.005\u00a0in (maker’s manual, p. 7-4 (invented))" in table
    assert "22 open: 1.3 to 6.4. Next: 1.3 Lift the axle" in table
    if not is_firefox(page):  # its driver cannot show a page as printed
        page.emulate_media(media="print")
        assert page.locator(".sheet-table").is_visible()
        assert not page.locator(".job-bar").is_visible()


def test_bench_sheet_without_a_job_has_lines_to_write_on(page):
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert "Job: ____" in page.locator(".sheet-head").text_content()


def test_accessible_with_job_records_and_panel_open(page):
    page.select_option("#vehicle-sheet", "demo-a")
    start_job(page)
    sign(page, "make-safe/chock", "vehicle")
    answer_calculator(page, "set-bearing/read-end-play", "beyond", measured="0.009 in")
    step(page, "set-bearing/read-end-play").locator('.record [data-place="LF"]').click()
    step(page, "set-bearing/read-end-play").locator(".step__value").wait_for()
    step(page, "close-up/road").locator(".step__other > summary").click()
    step(page, "inspect/thickness").locator('[name="discard"]').fill("23 mm")
    page.get_by_role("button", name="Job", exact=True).click()
    page.locator("#job-vehicle").wait_for()
    assert axe_violations(page) == []


def test_panel_closes_with_escape_and_gives_the_focus_back(page):
    page.locator(".job-bar").get_by_role("button", name="Start a job").focus()
    page.keyboard.press("Enter")
    page.locator("#job-vehicle").wait_for()
    page.keyboard.press("Escape")
    page.locator(".job-bar__panel").wait_for(state="hidden")
    assert page.evaluate("document.activeElement.className") == "job-bar__toggle"


def test_targets_are_large_enough_for_gloves(page):
    start_job(page)
    small = """([selector, least]) => [...document.querySelectorAll(selector)]
        .filter((box) => box.offsetParent && box.getBoundingClientRect().height && box.getBoundingClientRect().height < least)
        .map((box) => box.textContent)"""
    sign(page, "make-safe/chock", "vehicle")
    assert page.evaluate(small, [".step :is(button, summary, input[type=text], textarea), .job-bar button", 48]) == []
    page.evaluate("document.documentElement.dataset.bay = ''")
    assert page.evaluate(small, [".step__sign .sign, .step > .record .sign, .torque .sign", 76]) == []


def test_narrow_screen_and_large_text_lose_nothing(page):
    start_job(page)
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.get_by_role("button", name="Job", exact=True).click()
    page.locator("#job-vehicle").wait_for()
    assert page.get_by_role("button", name="Save to a file").is_visible()


def test_units_go_with_the_job(page):
    start_job(page)
    page.evaluate("""() => { document.documentElement.dataset.system = "inch";
        document.dispatchEvent(new CustomEvent("handbook:system", {detail: {system: "inch"}})); }""")
    page.wait_for_timeout(300)
    page.evaluate("sessionStorage.clear()")
    page.reload()
    page.wait_for_function("() => document.documentElement.dataset.system === 'inch'")


def test_choosing_the_layout_goes_into_the_job(page, tmp_path):
    start_job(page)
    page.locator(".layout-picker__questions > summary").click()
    choose(page, "abs", "by-wire")
    page.wait_for_timeout(300)
    layouts = [e for e in read_job(saved(page, tmp_path).read_text("utf-8")).entries if e.kind == "layout"]
    assert layouts[-1].typed["layout"]["abs"] == "by-wire"
    assert layouts[-1].place == "front"
