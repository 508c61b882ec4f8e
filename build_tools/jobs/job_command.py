"""The command `job`: what a saved job lacks, what contradicts it, and whether it may be completed and handed over."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from build_tools.content.decision_rules import export
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.jobs.job_record import JobFileError, read_job
from build_tools.jobs.steps_data import steps_data
from build_tools.paths import PROJECT
from calculators.job.entries import instant
from calculators.job.handbook import read_handbook
from calculators.job.state import State, as_data, work_out

MOST_LINES = 40  # of one page


def main(file: Path, page: str | None, shop: Path | None, *, as_json: bool) -> int:
    """0: every page may be completed and the job handed over; 1: not so; 2: the file cannot be read, in one line."""
    try:
        entries = entries_of(file)
        state = state_of_file(entries, page, shop)
    except (JobFileError, OSError, UnicodeError, UnknownPage) as problem:
        print(f"{file}: {' '.join(str(problem).split())}", file=sys.stderr)
        return 2
    if page is not None:
        state.pages = {page: state.pages[page]}
    print(json.dumps(as_data(state), ensure_ascii=False, indent=1) if as_json else "\n".join(lines(state)))
    may = bool(state.pages) and all(each.may_complete or each.closed for each in state.pages.values())
    return 0 if may and state.may_hand_over else 1


class UnknownPage(ValueError):
    """The job has no such page."""


def entries_of(file: Path) -> list[dict[str, Any]]:
    """The entries of a saved job, checked. Raises JobFileError, OSError, UnicodeError."""
    text = file.read_text("utf-8")
    read_job(text)
    return list(json.loads(text)["entries"])


def state_of_file(entries: list[dict[str, Any]], page: str | None, shop: Path | None) -> State:
    """The state of a saved job by this handbook, as it stood at its last entry. Raises UnknownPage."""
    try:
        handbook = load(PROJECT / "site_data", shop)
    except ContentError as problem:
        raise UnknownPage(f"the handbook cannot be read: {problem}") from None
    known = read_handbook(steps_data(handbook))
    if page is not None and page not in known.pages:
        raise UnknownPage(f"no page is called {page[:60]}; list shows them: python3 -m build_tools list")
    latest = max((entry["time"] for entry in entries), key=lambda time: instant(time, float("inf")), default="1970-01-01T00:00:00Z")
    return work_out(known, entries, latest, pages=[page] if page else None, rules=export(handbook))


def lines(state: State) -> list[str]:
    """The state for a terminal, the worst first."""
    found: list[str] = []
    for name, page in state.pages.items():
        done = sum(each.state == "done" for each in page.spots)
        verdict = (
            f"closed, {page.closed['as']}" if page.closed else f"may be completed ({page.closes})" if page.may_complete else "not complete"
        )
        found.append(f"{name}: {verdict}; {done} done, {len(page.lacking)} lacking")
        ordered = sorted(page.lacking, key=lambda lack: lack.code in ("open", "waits"))
        found += [f"  {lack.code:<13}{lack.line}" for lack in ordered[:MOST_LINES]]
        if len(ordered) > MOST_LINES:
            found.append(f"  and {len(ordered) - MOST_LINES} more; --json lists all")
    found.append("The job may be handed over." if state.may_hand_over else "The job may not be handed over yet:")
    return found + [f"  {lack.code:<13}{lack.line}" for lack in state.lacking]
