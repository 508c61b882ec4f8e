"""A reading picks the branch: what it leads past is not needed, with the reason; what it leads back over is done again."""

import pytest

from build_tools.jobs.job_record import read_job
from tests.browser.procedure_page import (
    answer_calculator,
    is_done,
    make_page,
    opened,
    reading,
    saved,
    sign,
    start_job,
    step,
    values,
)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """The page, with a step that wants a second look and one that comes out as an earlier one did."""
    return make_page(
        tmp_path_factory.mktemp("branches") / "site",
        {
            "set-bearing/cap": {"second_look": "true"},
            "hub-unit/play": {"enter": {"as_at": "inspect/hose"}},
            "inspect/hose": {"if_not": {"cracked": {"go": "close-up/parts"}}},
        },
    )


@pytest.fixture
def context(chromium):
    with reading(chromium) as context:
        yield context


@pytest.fixture
def page(context, file):
    page = opened(context, file)
    start_job(page)
    return page


def read(page, address, code, place, count=1):
    answer_calculator(
        page,
        address,
        code,
        **({"readings": "22.1", "discard": "22.4 mm"} if "thickness" in address else {"measured": "0.009 in", "target_max": "0.005 in"}),
    )
    box = step(page, address)
    box.locator(f'.record [data-place="{place}"]').click()
    box.locator(f'.step__value[data-place="{place}"]').nth(count - 1).wait_for()


def skips(page, address):
    return step(page, address).locator(".step__skip").all_inner_texts()


def is_crossed_out(page, address):
    return "step--not-applicable" in (step(page, address).get_attribute("class") or "")


def test_what_a_reading_leads_past_is_not_needed_on_its_side_alone(page):
    read(page, "inspect/thickness", "beyond", "LF")
    assert is_done(page, "inspect/thickness") is False  # the other side is still to be read
    assert skips(page, "inspect/hose") == ["LF not needed: 3.3 LF came out «Beyond the limit»."]
    assert skips(page, "close-up/parts") == []  # there the reading led
    assert not is_crossed_out(page, "inspect/hose")
    read(page, "inspect/thickness", "beyond", "RF")
    assert is_done(page, "inspect/thickness")
    assert is_crossed_out(page, "inspect/hose")
    assert len(skips(page, "set-bearing/fit-pin")) == 2


def test_a_branch_closes_again_when_the_reading_is_taken_back(page):
    read(page, "inspect/thickness", "beyond", "LF")
    assert skips(page, "inspect/hose")
    page.wait_for_timeout(900)
    step(page, "inspect/thickness").locator(".undo").click()
    step(page, "inspect/thickness").locator(".step__value").wait_for(state="detached")
    assert skips(page, "inspect/hose") == []


def test_nothing_of_a_branch_is_stored_that_nobody_did(page, tmp_path):
    read(page, "inspect/thickness", "beyond", "LF")
    kinds = [entry.kind for entry in read_job(saved(page, tmp_path).read_text("utf-8")).entries]
    assert kinds == ["layout", "result"]


def test_what_a_reading_leads_back_over_is_done_again(page):
    for address in ("set-bearing/loosen", "set-bearing/snug"):
        sign(page, address, "LF")
        sign(page, address, "RF")
        assert is_done(page, address)
    read(page, "set-bearing/read-end-play", "beyond", "LF")
    assert not is_done(page, "set-bearing/loosen")
    assert values(page, "set-bearing/loosen")[0].endswith("before it was to be done again")
    step(page, "set-bearing/loosen").locator('.step__sign button[data-place="LF"]').click()
    step(page, "set-bearing/loosen").locator('.step__value[data-place="LF"]').nth(1).wait_for()
    assert is_done(page, "set-bearing/loosen")
    assert not is_done(page, "set-bearing/snug")
    # Read well at once, the play is set: nothing is to be done again.
    read(page, "set-bearing/read-end-play", "within", "LF", count=2)
    assert is_done(page, "set-bearing/snug")
    assert step(page, "set-bearing/fit-pin").locator('.sign[data-place="LF"]').is_enabled()


def test_a_hold_is_not_lifted_by_a_reading_beyond_its_limit(page):
    read(page, "set-bearing/read-end-play", "beyond", "LF")
    assert step(page, "set-bearing/fit-pin").locator('.sign[data-place="LF"]').is_disabled()


def test_a_step_that_comes_out_as_an_earlier_one_asks_nothing(context, file):
    page = opened(context, file, "#layout=rotor:slip-on,bearing:hub-unit,abs:none")
    start_job(page)
    assert step(page, "hub-unit/play").locator(".step__sign button").count() == 0
    assert not is_done(page, "hub-unit/play")
    box = step(page, "inspect/hose")
    box.get_by_label("sound").check()
    for place in ("LF", "RF"):
        box.get_by_label("sound").check()
        box.locator(f'.record [data-place="{place}"]').click()
        box.locator(f'.step__value[data-place="{place}"]').wait_for()
    assert is_done(page, "hub-unit/play")


def test_a_second_look_is_another_person_s_or_a_later_one(context, file, tmp_path):
    page = context.new_page()
    page.clock.install()
    page.goto(file.as_uri() + "#layout=rotor:hub,bearing:tapered-roller,nut:castle,abs:none")
    page.clock.run_for(1000)
    page.locator(".job-bar__name").wait_for()
    page.locator(".job-bar").get_by_role("button", name="Start a job").click()
    page.fill("#job-vehicle", "Red van")
    page.fill("#job-name", "A. Sample")
    page.get_by_role("button", name="Start the job").click()
    page.locator(".job-bar__name", has_text="Red van").wait_for()
    box = step(page, "set-bearing/cap")
    box.locator('button[data-place="LF"]').click()
    box.locator(".step__value").wait_for()
    assert not is_done(page, "set-bearing/cap")
    look = box.get_by_role("button", name="Looked at again, LF")
    look.click()
    assert "look again in" in box.locator(".step__look .step__wait").first.inner_text()
    page.clock.fast_forward(61_000)
    look.click()
    box.locator(".step__value", has_text="looked at again, alone, later").wait_for()
    entry = read_job(saved(page, tmp_path).read_text("utf-8")).entries[-1]
    assert (entry.kind, entry.typed["look"]) == ("verified", "alone, later")
