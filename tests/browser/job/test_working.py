"""What helps while the work goes on: timers, the check after an interruption, completion, overview, detail, gathering."""

import pytest

from build_tools.jobs.job_record import read_job
from tests.browser.job.test_record import HUB, saved, values
from tests.browser.procedure_page import axe_violations, make_page, reading, sign, start_job, step

CALIPER, NUT_OFF, HUB_OFF = "tear-down/caliper-off", "tear-down/nut-off", "tear-down/hub-off"
WHEEL_OFF, SNUG, CAP = "tear-down/wheel-off", "set-bearing/snug", "set-bearing/cap"
# A screen lock that the browser lets go of when the page is left, as the Screen Wake Lock standard says.
WAKE_LOCK = """self.asked = 0; self.seen = 'visible';
    Object.defineProperty(document, 'visibilityState', {get: () => self.seen});
    Object.defineProperty(navigator, 'wakeLock', {value: {request: async () => { self.asked += 1;
        const lock = {released: false, release: async () => { lock.released = true; }}; self.lock = lock; return lock; }}});
    self.leave = (to) => { self.seen = to; if (to === 'hidden' && self.lock) self.lock.released = true; document.dispatchEvent(new Event('visibilitychange')); };"""


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """The test page, with two timers, effects, a second look, and more words at two steps."""
    return make_page(
        tmp_path_factory.mktemp("working") / "site",
        {
            HUB_OFF: {"timer": "10 min"},
            CALIPER: {"timer": "5 min", "opens": ["banjo-joint"]},
            NUT_OFF: {"loosens": ["spindle-nut"]},
            SNUG: {"torques": ["spindle-nut"]},
            CAP: {"closes": ["banjo-joint"], "bleeds": ["banjo-joint"], "leak_checks": ["banjo-joint"]},
            WHEEL_OFF: {"second_look": "true"},
            "make-safe/lift": {
                "why": "The wheel turns freely.",
                "note": "On level ground.",
                "expect": "It stands still.",
                "figure": "rotor-slip-on",
            },
            "make-safe/stands": {"why": "A jack may sink.", "expect": "Less than 5 mm of sway."},
        },
    )


@pytest.fixture
def context(chromium):
    with reading(chromium) as context:
        yield context


@pytest.fixture
def page(context, file):
    return with_job(context, file)


@pytest.fixture
def either(browser, file):
    """The same in both browsers, for what hangs on their stores and clocks."""
    with reading(browser) as context:
        yield with_job(context, file)


def with_job(context, file):
    """The page with a job open, its clock moved by the test."""
    page = context.new_page()
    page.clock.install()
    page.goto(file.as_uri() + HUB)
    page.locator(".job-bar__name").wait_for()
    start_job(page)
    return page


def entries(page, folder, kind):
    return [entry for entry in read_job(saved(page, folder).read_text("utf-8")).entries if entry.kind == kind]


def timer(page, address, place):
    return step(page, address).locator(f'.timer__row[data-place="{place}"]')


# ---------------------------------------------------------------- timers


def test_two_timers_run_at_once_and_survive_a_reload(either, tmp_path):
    page = either
    timer(page, HUB_OFF, "LF").get_by_role("button").click()
    timer(page, CALIPER, "RF").get_by_role("button").press("Enter")
    page.clock.fast_forward("02:00")
    page.reload()
    timer(page, HUB_OFF, "LF").locator('[role="timer"]').wait_for()
    chips = page.locator(".timer-chip")
    page.wait_for_function("() => document.querySelector('.timer-chip').textContent.includes('7:5')", timeout=5000)
    assert [text[:6] for text in chips.all_inner_texts()] == ["2.6 LF", "2.2 RF"]
    timer(page, HUB_OFF, "LF").get_by_role("button", name="Stop LF").click()
    step(page, HUB_OFF).locator(".step__value").wait_for()
    assert "LF timed 2 min" in values(page, HUB_OFF)[0] and "of 10 min" in values(page, HUB_OFF)[0]
    assert step(page, HUB_OFF).locator('.sign[data-place="LF"]').is_enabled()  # signing stays a tap
    entry = entries(page, tmp_path, "timed")[0]
    assert entry.typed["planned_s"] == 600 and 120 <= entry.typed["seconds"] <= 130 and entry.place == "LF"
    assert chips.count() == 1


def test_end_of_a_timer_is_said_and_stays_until_it_is_seen(page, tmp_path):
    timer(page, CALIPER, "LF").get_by_role("button").click()
    page.clock.fast_forward("05:01")
    row = timer(page, CALIPER, "LF")
    row.locator("text=Time is up").wait_for()
    assert page.locator(".job-bar [role=status]", has_text="Time is up: 2.2 LF.").count() == 1
    chip = page.locator(".timer-chip--up")
    assert "time is up" in chip.inner_text()
    page.reload()
    chip.wait_for()
    assert entries(page, tmp_path, "timed")[0].typed["shown"] == "5 min of 5 min"
    chip.click()
    page.keyboard.press("Enter")  # the focus is on «Seen»
    chip.wait_for(state="detached")
    assert len(entries(page, tmp_path, "timed")) == 1


# ---------------------------------------------------------------- interruption


def test_called_away_asks_for_what_was_done_last_and_what_is_loose(either, tmp_path):
    page = either
    sign(page, NUT_OFF, "LF")
    for address, place in [("make-safe/chock", "vehicle"), ("make-safe/lift", "front"), ("make-safe/stands", "front")]:
        sign(page, address, place)
    page.get_by_role("button", name="Called away", exact=True).click()
    lines = page.locator(".resume__line")
    lines.first.wait_for()
    assert [text.split(" ")[1] for text in lines.locator("p").all_inner_texts()] == ["axle", "axle", "1.1", "2.5"]
    assert "Loose: spindle nut." in lines.nth(3).inner_text()
    assert page.locator(".job-bar__check").inner_text() == "Check: 4 open"
    page.reload()
    lines.first.wait_for()
    assert page.locator(".step--current").evaluate("(box) => box.previousElementSibling.matches('.resume-holder')")
    sign(page, HUB_OFF, "RF")  # the work is not locked meanwhile
    assert page.locator(".job-bar__check").inner_text() == "Check: 4 open"
    page.locator(".completion li", has_text="Answer the check first").wait_for()
    page.get_by_role("button", name="Close for now").click()
    page.locator(".job-bar__check").click()
    for _ in range(2):
        before = page.locator(".resume__answer").count()
        lines.get_by_role("button", name="Still so").first.press("Enter")
        page.locator(".resume__answer").nth(before).wait_for()
    lines.get_by_role("button", name="Not so").first.click()
    page.locator(".resume__answer", has_text="open again").wait_for()
    assert values(page, "make-safe/chock") == []
    lines.get_by_role("button", name="Still so").click()
    page.locator(".resume").wait_for(state="detached")
    page.locator(".job-bar__check").wait_for(state="detached")
    assert len(entries(page, tmp_path, "back")) == 1
    assert {entry.typed["look"] for entry in entries(page, tmp_path, "verified")} == {"after an interruption"}


def test_two_hours_without_an_entry_are_an_interruption_and_it_can_be_looked_at_again(page):
    sign(page, "make-safe/chock", "vehicle")
    page.reload()
    page.locator(".step__value").wait_for()
    assert page.locator(".job-bar__check").count() == 0
    page.clock.fast_forward("02:01:00")
    page.reload()
    page.locator(".resume h3", has_text="Where the work stood").wait_for()
    page.get_by_role("button", name="Still so").click()
    page.locator(".resume").wait_for(state="detached")
    page.reload()
    page.locator(".step__value").first.wait_for()
    assert page.locator(".job-bar__check").count() == 0
    page.get_by_role("button", name="Job", exact=True).click()
    page.get_by_role("button", name="Where the work stood").click()
    assert "Still so" in page.locator(".resume__answer").inner_text()


def test_look_after_an_interruption_is_no_second_look_and_a_mistaken_mark_is_taken_back(page):
    sign(page, WHEEL_OFF, "LF")
    sign(page, "make-safe/chock", "vehicle")
    page.get_by_role("button", name="Called away", exact=True).click()
    page.get_by_role("button", name="I was not called away").click()
    page.locator(".resume").wait_for(state="detached")
    page.get_by_role("button", name="Called away", exact=True).click()
    page.get_by_role("button", name="Still so: step 1.1").click()
    page.locator(".resume").wait_for(state="detached")
    assert step(page, WHEEL_OFF).get_by_role("button", name="Looked at again").is_visible()


# ---------------------------------------------------------------- completion

SETTLE_ALL = """async (all) => {
    const db = await new Promise((done) => { const asked = indexedDB.open("wheel-end-handbook"); asked.onsuccess = () => done(asked.result); });
    const entries = await new Promise((done) => { const asked = db.transaction("entries").objectStore("entries").getAll(); asked.onsuccess = () => done(asked.result); });
    const writing = db.transaction("entries", "readwrite");
    let number = 0;
    for (const [address, hash, place, kind] of all) {
        number += 1;
        writing.objectStore("entries").put({...entries[0], id: number.toString(16).padStart(32, "0"), time: new Date(Date.now() + number).toISOString(),
            kind, step: address, hash, place, typed: {}, note: kind === "done" ? "" : "a reason", by: "A. Sample"});
    }
    await new Promise((done) => { writing.oncomplete = done; });
    db.close();
}"""
OPEN_PLACES = """() => [...document.querySelectorAll(".step:not(.other-layout)")].filter((box) => !box.closest(".other-layout")).flatMap((box) =>
    ({side: ["LF", "RF"], axle: ["front"], vehicle: ["vehicle"]})[box.dataset.for].map((place) => [box.dataset.step, box.dataset.hash, place]))"""


def test_completion_lists_what_is_open_and_opens_again_with_it(page, tmp_path):
    box, button = page.locator(".completion"), page.get_by_role("button", name="Complete the job on this page")
    sign(page, NUT_OFF, "LF")
    button.wait_for()
    assert button.is_disabled()
    places = page.evaluate(OPEN_PLACES)
    page.locator(".completion__count", has_text=f"1 done, 0 not needed, 0 with a reason, {len(places) - 1} open").wait_for()
    assert box.locator("li a").count() == 12
    assert box.locator(".completion__more").inner_text().startswith("and ")
    # Everything settled with a reason but one step, which the reader signs.
    rest = [[*each, "override"] for each in places if each[0] not in (WHEEL_OFF, "close-up/road", NUT_OFF)]
    done = [[*each, "done"] for each in places if each[0] == NUT_OFF and each[2] == "RF"]
    skipped = [[*each, "not-applicable"] for each in places if each[0] == WHEEL_OFF]
    page.evaluate(SETTLE_ALL, [*done, *skipped, *rest])
    page.reload()
    page.locator(".completion li", has_text="6.4 vehicle").wait_for()
    assert box.locator("li").count() == 1 and button.is_disabled()
    sign(page, "close-up/road", "vehicle")
    page.wait_for_function("() => !document.querySelector('.completion__button').disabled")
    button.press("Enter")
    page.locator(".completion__now", has_text="Complete: 3 done, 0 not needed").wait_for()
    entry = entries(page, tmp_path, "complete")[0]
    assert entry.typed == {
        "shown": f"3 done, 0 not needed, {len(rest) + 2} with a reason",
        "done": 3,
        "not_needed": 0,
        "with_reason": len(rest) + 2,
    }
    page.clock.fast_forward(2000)  # a second wet touch must not undo
    step(page, "close-up/road").locator(".undo").click()
    page.locator(".completion__now", has_text="Open again since").wait_for()
    assert button.is_disabled()


def test_completion_without_a_job_asks_for_one(context, file):
    page = context.new_page()
    page.goto(file.as_uri() + HUB)
    page.locator(".completion", has_text="Start a job first").wait_for()


# ---------------------------------------------------------------- overview, detail, gathering, screen


def test_overview_counts_each_part_of_this_layout(page):
    page.locator(".overview > summary").press("Enter")
    rows = page.locator(".overview__parts > li:visible")
    assert rows.first.inner_text().split("\n")[:2] == ["1 Make it safe", "0/3 at work"]
    assert "5 Check the hub unit" not in page.locator(".overview").inner_text()
    sign(page, "make-safe/chock", "vehicle")
    assert "1/3 at work" in rows.first.inner_text()
    assert rows.first.locator("a").get_attribute("aria-current") == "location"
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    rows.first.locator("a").click()
    page.wait_for_function("() => location.hash.endsWith('at=make-safe')")  # the layout comes back into the address after the jump


def test_short_steps_fold_reasons_and_keep_limits(page):
    lift, stands = step(page, "make-safe/lift"), step(page, "make-safe/stands")
    page.locator(".detail-switch").press("Enter")
    assert lift.locator(":is(.step__why, .step__note, .step__expect, .drawing):visible").count() == 0
    assert stands.locator(".step__expect").is_visible() and stands.locator(".step__hold").is_visible()
    assert step(page, "make-safe/chock").locator(".step__more").count() == 0  # nothing folds there
    more = lift.locator(".step__more")
    more.press("Enter")
    assert lift.locator(".step__why").is_visible() and more.get_attribute("aria-expanded") == "true"
    page.reload()
    page.locator(".step__more").first.wait_for()
    assert not lift.locator(".step__why").is_visible()
    assert page.locator(".detail-switch").inner_text().endswith("short chosen")
    page.emulate_media(media="print")
    if "Firefox" not in page.evaluate("navigator.userAgent"):  # its driver cannot show a page as printed
        assert lift.locator(".step__why").is_visible() and not more.is_visible()


def test_what_is_gathered_goes_with_the_job(context, file):
    page = context.new_page()
    page.goto(file.as_uri() + HUB)
    total = page.locator(".gather__total")
    page.locator(".gather__total", has_text="0 of 3 gathered").wait_for()
    page.get_by_role("checkbox", name="micrometer").press(" ")
    assert total.inner_text() == "1 of 3 gathered"
    start_job(page)
    page.get_by_role("checkbox", name="split pin").check()
    page.reload()
    page.locator(".gather__total", has_text="2 of 3 gathered").wait_for()
    page.locator(".job-bar__name", has_text="Red van").wait_for()
    assert page.get_by_role("checkbox", name="micrometer").is_checked()
    assert page.locator(".gather").evaluate_all("all => all.every((box) => box.getBoundingClientRect().height >= 44)")
    start_job_again(page)
    page.locator(".gather__total", has_text="0 of 3 gathered").wait_for()


def start_job_again(page):
    page.get_by_role("button", name="Job", exact=True).click()
    page.fill("#job-vehicle", "Blue pick-up")
    page.get_by_role("button", name="Start the job").click()
    page.locator(".job-bar__name", has_text="Blue pick-up").wait_for()


def test_screen_is_kept_on_again_each_time_the_page_comes_back(context, file):
    context.add_init_script(WAKE_LOCK)
    page = context.new_page()
    page.goto(file.as_uri() + HUB)
    page.locator(".job-bar__name").wait_for()
    start_job(page)
    page.get_by_role("button", name="Job", exact=True).click()
    page.get_by_role("button", name="Keep the screen on").click()
    for times in (2, 3, 4):
        page.evaluate("leave('hidden'); leave('visible')")
        page.wait_for_function("(times) => self.asked === times", arg=times)
    page.reload()
    page.wait_for_function("() => self.asked === 1")  # the choice of this browser
    page.get_by_role("button", name="Job", exact=True).click()
    page.get_by_role("button", name="Keep the screen on").click()
    page.evaluate("leave('hidden'); leave('visible')")
    assert page.evaluate("self.asked") == 1


def test_accessible_with_timer_check_and_short_steps(page):
    sign(page, NUT_OFF, "LF")
    timer(page, CALIPER, "LF").get_by_role("button").click()
    timer(page, HUB_OFF, "LF").get_by_role("button").click()
    page.clock.fast_forward("05:01")
    page.locator(".timer-chip--up").wait_for()
    page.get_by_role("button", name="Called away", exact=True).click()
    page.locator(".resume").wait_for()
    page.locator(".detail-switch").click()
    page.locator(".overview > summary").click()
    assert axe_violations(page) == []
    small = """() => [...document.querySelectorAll('.timer button, .resume button, .job-bar button, .step__more, .overview a')]
        .filter((box) => box.offsetParent && box.getBoundingClientRect().height && box.getBoundingClientRect().height < 44).map((box) => box.textContent)"""
    assert page.evaluate(small) == []
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
