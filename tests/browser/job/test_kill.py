"""The browser is killed at random moments of a job: at most the tap under way is lost, and the record is never broken."""

import os
import random
import signal
import threading
import time
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Error

from build_tools.jobs.job_record import read_job
from tests.browser.procedure_page import make_page, opened, saved, start_job
from tests.conftest import persistent

TAP = """async () => {
    const button = document.querySelector(".step__sign button.sign:enabled");
    const before = document.querySelectorAll(".step__value").length;
    button.click();
    while (document.querySelectorAll(".step__value").length === before) await new Promise(requestAnimationFrame);
}"""


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return make_page(tmp_path_factory.mktemp("kill") / "site")


def test_killed_five_times(playwright, file, tmp_path, browser_name):
    run(playwright, file, tmp_path, browser_name, kills=5)


@pytest.mark.slow
@pytest.mark.timeout(3600)
def test_killed_a_hundred_times(playwright, file, tmp_path, browser_name):
    run(playwright, file, tmp_path, browser_name, kills=100)


def run(playwright, file, folder: Path, browser_name: str, kills: int) -> None:
    """Work, kill, open again, count, and so on in the same job, or in a new one when all its steps are signed."""
    seed = random.randrange(2**32)
    moments = random.Random(seed)
    kept = 0
    for number in range(kills + 1):
        context = persistent(playwright, browser_name, folder / "profile")
        page = opened(context, file)
        if number:
            try:
                page.locator(".step__value").first.wait_for()
            except Error as late:
                late.add_note(
                    f"kill {number} with seed {seed}: {kept} taps were kept; the page says: {page.locator('.job-bar').all_inner_texts()}"
                )
                raise
            found = page.locator(".step__value").count()
            # The tap that was under way may have been kept, or not; every tap that was shown as kept is there.
            assert kept <= found <= kept + 1, f"kill {number} with seed {seed}: {found} of {kept} taps are there"
            kept = found
        if not number or page.locator(".step__sign button.sign:enabled").count() < 8:
            new_job(page, number)
            kept = 0
        if number == kills:
            page.evaluate(TAP)
            job = read_job(saved(page, folder).read_text("utf-8"))  # raises unless the whole file is sound
            assert sum(entry.kind == "done" for entry in job.entries) == kept + 1
            context.close()
            return
        kept += taps_until_killed(page, folder / "profile", moments.uniform(0.05, 0.6))
        with suppress(Error):  # the browser is gone, which is the point
            context.close()
        (folder / "profile" / "SingletonLock").unlink(missing_ok=True)


def new_job(page, number: int) -> None:
    if number:
        page.get_by_role("button", name="Job", exact=True).click()
        page.fill("#job-vehicle", f"Red van {number}")
        page.get_by_role("button", name="Start the job").click()
        page.locator(".step__value").first.wait_for(state="detached")
    else:
        start_job(page)


def taps_until_killed(page, profile: Path, seconds: float) -> int:
    """Tap as fast as entries are kept; how many were shown as kept when the browser died."""
    page.evaluate(TAP)  # one is surely kept, so that the job can be told from an empty one
    kept = 1
    killer = threading.Thread(target=lambda: (time.sleep(seconds), kill(profile)))
    killer.start()
    with suppress(Error):
        while page.locator(".step__sign button.sign:enabled").count():
            page.evaluate(TAP)
            kept += 1
    killer.join()
    return kept


def kill(profile: Path) -> None:
    """End the browser of this profile, and every process it started, without warning."""
    parents, ours = {}, set()
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            command = (entry / "cmdline").read_bytes()
            parents[int(entry.name)] = int((entry / "stat").read_text().rsplit(")", 1)[1].split()[1])
        except OSError:
            continue
        if str(profile).encode() in command:
            ours.add(int(entry.name))
    while True:
        children = {pid for pid, parent in parents.items() if parent in ours} - ours
        if not children:
            break
        ours |= children
    assert ours
    for pid in ours:
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
