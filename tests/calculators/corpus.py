"""Jobs, slips and good entries of the bench, read from the tables beside this file, and what an entry comes to in its job.

jobs.csv: one plausible set of entries a calculator, in each system, as a technician types them. slips.csv: one entry gone wrong, and what was meant.
good_entries.csv: one entry as it is really typed, and the number it stands for. All three are invented from bench practice (no source).
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from calculators import Result, named, names
from calculators.contract.entries import Entry, Whole
from calculators.contract.errors import AmbiguousEntry, EntryError
from calculators.contract.inputs import Input
from calculators.contract.judge import compare

HERE = Path(__file__).parent


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table."""
    with open(HERE / f"{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def _jobs() -> dict[tuple[str, str], dict[str, str]]:
    jobs: dict[tuple[str, str], dict[str, str]] = {}
    for row in table("jobs"):
        jobs.setdefault((row["calculator"], row["job"]), {})[row["input"]] = row["entry"]
    return jobs


JOBS = _jobs()
SLIPS = table("slips")
GOOD = table("good_entries")


def system_of(job: str) -> str:
    """The system of units a job is done in."""
    return "inch" if job.startswith("inch") else "metric"


def job_of(row: dict[str, str]) -> dict[str, str]:
    """The other entries of the row's job."""
    return JOBS[row["calculator"], row["job"]]


def specs_for(calculator: str, given: dict[str, str]) -> dict[str, Input]:
    """The inputs as they are read beside these entries."""
    found = named(calculator)
    return found.inputs_for(given, found.inputs) if found.inputs_for else found.inputs


def least_of(row: dict[str, str]) -> dict[str, str]:
    """The row's job with the required entries only, and the quantity, which the step names."""
    inputs = named(row["calculator"]).inputs
    return {name: entry for name, entry in job_of(row).items() if inputs[name].required or name == "quantity"}


def understood(calculator: str, given: dict[str, str], name: str, system: str) -> list[Entry | Whole]:
    """The entry of this input as it is understood, always as a list. Raises EntryError."""
    found = specs_for(calculator, given)[name].read(given[name], system)
    return found if isinstance(found, list) else [found]


def same(found: list[Entry | Whole], meant: list[Entry | Whole]) -> bool:
    """Whether two readings of an entry are the same quantities, counts or words."""
    return len(found) == len(meant) and all(_same(one, other) for one, other in zip(found, meant))


def about_same(found: list[Entry | Whole], meant: list[Entry | Whole]) -> bool:
    """Whether two readings are the same within 3 %: 24.10 mm, typed as .949 in, is a hair off."""
    if len(found) != len(meant) or not all(isinstance(entry, Entry) for entry in found + meant):
        return same(found, meant)
    pairs = [(one.quantity.to(other.quantity.units).magnitude, other.quantity.magnitude) for one, other in zip(found, meant)]
    return all(math.isclose(*pair, rel_tol=0.03, abs_tol=1e-12) for pair in pairs)


def _same(one: Entry | Whole, other: Entry | Whole) -> bool:
    if isinstance(one, Whole) or isinstance(other, Whole):
        return one.value == other.value  # type: ignore[union-attr]
    if not one.quantity.check(other.quantity.dimensionality):
        return False
    return compare(one.quantity.to(other.quantity.units).magnitude, other.quantity.magnitude) == 0


@dataclass(frozen=True)
class Outcome:
    """What an entry came to: refused, asked, pointed out in a note, right (as meant), or silent."""

    how: str
    line: str = ""
    offered: bool = False
    result: Result | None = None


def outcome(calculator: str, job: dict[str, str], name: str, typed: str, meant: str, system: str) -> Outcome:
    """What comes of typing this in the job."""
    given = job | {name: typed}
    try:
        result = named(calculator).run(system=system, **given)
    except AmbiguousEntry as question:
        return Outcome("asked", str(question), offers(calculator, job, name, meant, system, question))
    except EntryError as error:
        return Outcome("refused", str(error))
    if same(understood(calculator, given, name, system), understood(calculator, job | {name: meant}, name, system)):
        return Outcome("right", result=result)
    said = [note for note in result.notes if note.startswith("Check the entries")]
    return Outcome("pointed out" if said else "silent", " ".join(said), result=result)


def offers(calculator: str, job: dict[str, str], name: str, meant: str, system: str, question: AmbiguousEntry) -> bool:
    """Whether one of the buttons is what was meant."""
    wanted = understood(calculator, job | {name: meant}, name, system)
    if question.input != name:
        return False
    readings = (understood(calculator, job | {name: one.entry}, name, system) for one in question.candidates)
    return any(about_same(reading, wanted) for reading in readings)


def all_jobs() -> Iterator[tuple[str, str, dict[str, str]]]:
    """Every calculator with each of its jobs."""
    for name in names():
        for (calculator, job), entries in JOBS.items():
            if calculator == name:
                yield calculator, job, entries
