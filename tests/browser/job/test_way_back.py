"""A step that leads to another job and back: it stays open, the other job shows the way back, and neither takes over the other's entries."""

import pytest

from tests.browser.procedure_page import is_done, make_page, opened, reading, sign, start_job, step

HOSE, LATER, BEFORE = "inspect/hose", "close-up/road", "make-safe/chock"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Two pages that share their steps, as jobs share parts; the answer «cracked» leads from one to the other and back."""
    back = {"inspect/hose": {"if_not": {"cracked": {"go": "other-job/look", "back": "true"}}}}
    return make_page(tmp_path_factory.mktemp("way-back") / "site", back).parent


@pytest.fixture
def page(chromium, folder):
    with reading(chromium) as context:
        page = opened(context, folder / "front-brake-service.html")
        start_job(page)
        yield page


def answer(page, code, count, place="LF"):
    box = step(page, HOSE)
    box.locator(f'input[value="{code}"]').check()
    box.locator(f'.record [data-place="{place}"]').click()
    box.locator(f'.step__value[data-place="{place}"]').nth(count - 1).wait_for()


def go(page, name):
    """To the other page of the same job, as the reader goes there."""
    page.goto(
        page.url.split("/")[0] + "//" + "/".join(page.url.split("#")[0].split("/")[2:-1]) + f"/{name}.html#" + page.url.partition("#")[2]
    )
    page.locator(".job-bar__name", has_text="Red van").wait_for()
    step(page, BEFORE).locator(".step__sign button, .step__value").first.wait_for()


def says(page):
    return page.locator(".way-back").first.inner_text()


def test_the_way_back_stands_until_the_step_is_answered_again(page):
    answer(page, "sound", 1, "RF")
    answer(page, "cracked", 1)
    assert not is_done(page, HOSE)
    go(page, "other-job")
    page.locator(".way-back a").first.wait_for()
    assert "Judge the hose." in says(page) and "LF" in says(page)
    page.locator(".way-back a").first.click()
    page.wait_for_url("**/front-brake-service.html*")
    step(page, HOSE).locator(".step__value").first.wait_for()
    answer(page, "sound", 2)
    assert is_done(page, HOSE)
    go(page, "other-job")
    assert says(page) == "With the job open, the step that you left for this page is linked here."


def test_the_other_job_counts_only_what_was_done_after_the_answer(page):
    sign(page, BEFORE, "vehicle")
    answer(page, "cracked", 1)
    go(page, "other-job")
    assert step(page, BEFORE).locator(".step__value").inner_text().find("before it was to be done again") > 0
    assert not is_done(page, BEFORE)
    step(page, BEFORE).locator('.step__sign button[data-place="vehicle"]').click()
    step(page, BEFORE).locator(".step__value").nth(1).wait_for()
    assert is_done(page, BEFORE)


def test_what_the_other_job_did_does_not_finish_the_work_that_was_left(page):
    answer(page, "sound", 1, "RF")
    answer(page, "cracked", 1)
    go(page, "other-job")
    answer(page, "sound", 2)
    sign(page, LATER, "vehicle")
    sign(page, BEFORE, "vehicle")
    go(page, "front-brake-service")
    assert not is_done(page, HOSE)
    answer(page, "sound", 3)
    assert is_done(page, HOSE) and is_done(page, BEFORE)
    assert not is_done(page, LATER)  # proved on the other page, before the work here was finished
