"""Every layout finds a whole job, and no job waits for a step that its page lacks."""

from collections import Counter
from collections.abc import Iterator

import pytest

from build_tools.content.handbook import Handbook
from build_tools.content.load import load
from build_tools.content.page_order import address_of, by_subject, steps_of, whole_jobs
from build_tools.content.when import holds
from build_tools.paths import PROJECT

# The questions that decide which job it is; the others change steps within it.
QUESTIONS = ["axle", "rotor", "caliper", "slides", "bracket", "bearing", "nut", "parking_brake"]
# Layouts that the handbook sends to the maker's manual, each with its reason.
LEFT_OUT = [
    ({"rotor": "hub", "bearing": "pressed-cartridge"}, "a closed bearing inside a hub rotor is replaced with it, by press"),
    ({"rotor": "captured", "bearing": "pressed-cartridge"}, "a hub that is pressed into its bearing is parted by press"),
    ({"rotor": "slip-on", "bearing": "tapered-roller"}, "a slip-on rotor over a hub with its own adjustable bearing"),
]
DOWN_TO_THE_ROTOR = {"pad", "caliper", "rotor"}


@pytest.fixture(scope="module")
def handbook() -> Handbook:
    return load(PROJECT / "site_data", None)  # without the walk, which has its own tests


@pytest.fixture(scope="module")
def jobs(handbook):
    """Each whole job with the steps of its page."""
    return [(job, steps_of(job, handbook.procedures)) for job in whole_jobs(list(handbook.procedures.values()))]


def layouts(handbook: Handbook, names: list[str], layout: dict[str, str]) -> Iterator[dict[str, str]]:
    if any(holds(wrong.when, layout) for wrong in handbook.impossible):
        return
    if not names:
        yield layout
        return
    axis = handbook.axes[names[0]]
    for value in [v.id for v in axis.values] if holds(axis.when, layout) is not False else ["not asked"]:
        yield from layouts(handbook, names[1:], {**layout, axis.id: value})


def is_left_out(layout: dict[str, str]) -> bool:
    return any(all(layout[axis] == value for axis, value in gap.items()) for gap, _ in LEFT_OUT)


def takes_off(steps) -> set[str]:
    return {name for placed in steps for name in placed.step.takes_off}


def without_job(handbook: Handbook, jobs: list) -> list[dict[str, str]]:
    return [layout for layout in layouts(handbook, QUESTIONS, {}) if not any(holds(job.when, layout) for job in jobs)]


def test_every_layout_finds_the_whole_brake_service(handbook, jobs):
    whole = [job for job, steps in jobs if DOWN_TO_THE_ROTOR <= takes_off(steps)]
    assert [layout for layout in without_job(handbook, whole) if not is_left_out(layout)] == []


def test_every_layout_with_a_caliper_finds_its_replacement(handbook, jobs):
    """Whatever carries the rotor, the caliper comes off and its hose is moved across."""
    moves_the_hose = [
        job for job, steps in jobs if "caliper" in takes_off(steps) and any("caliper-inlet" in placed.step.opens for placed in steps)
    ]
    assert without_job(handbook, moves_the_hose) == []


@pytest.mark.parametrize("gap, reason", LEFT_OUT, ids=str)
def test_what_is_left_out_is_still_left_out(handbook, jobs, gap, reason):
    """A gap that has been closed is struck from the list."""
    whole = [job for job, steps in jobs if DOWN_TO_THE_ROTOR <= takes_off(steps)]
    there = [layout for layout in layouts(handbook, QUESTIONS, {}) if all(layout[axis] == value for axis, value in gap.items())]
    assert there and not all(any(holds(job.when, layout) for job in whole) for layout in there), reason


def test_no_job_waits_for_a_step_of_another_page(jobs):
    """A step that waits for one that its page lacks stays locked for good."""
    waiting = []
    for job, steps in jobs:
        there = {placed.address for placed in steps}
        waiting += [
            f"{job.id}: {placed.address} waits for {ref}"
            for placed in steps
            if placed.step.hold
            for ref in placed.step.hold.until
            if address_of(ref, placed.home) not in there
        ]
    assert waiting == []


def test_no_step_stands_twice_on_a_page(jobs):
    twice = {
        job.id: [address for address, count in Counter(placed.address for placed in steps).items() if count > 1] for job, steps in jobs
    }
    assert {job: addresses for job, addresses in twice.items() if addresses} == {}


def test_every_whole_job_is_listed_under_a_subject(handbook):
    subjects = by_subject(whole_jobs(list(handbook.procedures.values())))
    assert "other jobs" not in subjects
