"""Which steps of a page apply to a layout (rule 15), and the layout of each page of a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calculators.decision.when import holds
from calculators.job.handbook import Handbook, Page

NOT_ASKED = "not asked"  # the answer to a question that a layout does not raise; no condition names it

Entry = Mapping[str, Any]
Layout = Mapping[str, str]


def layout_of(standing: Sequence[Entry], axle: str) -> dict[str, str]:
    """The layout that a job keeps for a page of this axle ('' for any): the last one of that axle, or of none."""
    kept: dict[str, str] = {}
    for entry in standing:
        if entry["kind"] == "layout" and (not axle or entry.get("place") in (axle, None)):
            kept = {str(name): str(value) for name, value in entry["typed"].get("layout", {}).items()}
            if entry.get("place") in ("front", "rear"):
                kept.setdefault("axle", entry["place"])
    return kept


def page_layout(page: Page, standing: Sequence[Entry], given: Layout | None) -> dict[str, str]:
    """The layout of a page: as it was handed in, else as the job keeps it; the axle is the page's where it is written for one."""
    layout = dict(given) if given is not None else layout_of(standing, page.axle)
    return {**layout, "axle": page.axle} if page.axle else layout


def settled_layout(handbook: Handbook, layout: Layout) -> dict[str, str]:
    """The layout as conditions see it: a question that it does not raise is answered, by no value that a condition names."""
    settled = dict(layout)
    while gone := [axis for axis, number in handbook.axes.items() if axis in settled and holds(handbook.when[number], settled) is False]:
        for axis in gone:
            del settled[axis]
    for axis, number in handbook.axes.items():
        if axis not in settled and holds(handbook.when[number], settled) is False:
            settled[axis] = NOT_ASKED
    return settled


def applying(handbook: Handbook, page: Page, layout: Layout) -> list[bool]:
    """For each step whether it stands in this layout; what hangs on an open question does, none where the page does not cover it."""
    settled = settled_layout(handbook, layout)
    if not covers(handbook, page, settled):
        return [False] * len(page.steps)
    known = {-1: True} | {number: holds(handbook.when[number], settled) is not False for number in set(page.when) if number >= 0}
    return [known[number] for number in page.when]


def covers(handbook: Handbook, page: Page, settled: Layout) -> bool:
    """Whether the page is written for this layout."""
    return page.covers < 0 or holds(handbook.when[page.covers], settled) is not False
