"""What the author of a content file is told: each code of the table, its examples, seeded mistakes, and any bytes at all."""
from __future__ import annotations

import copy
import re
from pathlib import Path

import pytest

from build_tools import check
from build_tools.load import add_files, gather, settle
from build_tools.mistakes import MISTAKES, Mistake
from build_tools.problems import Problem

PROJECT = Path(__file__).parents[2]
STOCK, NO_PROBLEMS = gather(PROJECT / "site_data")
DRAWINGS = check.drawings_of()
JARGON = re.compile(r"\b(mapping|scalar|node|regex|pattern|dict|NoneType|sequence|token|parse|parser|stream|str|int|exception)\b", re.I)

PROCEDURE = {
    "id": "id: own-job", "title": "title: Own job", "purpose": "purpose: It shows how.", "end_state": "end_state: The job is done.",
    "people": "people: {count: 1, skill: brake work, minutes: 10}", "conditions": "conditions: none", "tools": "tools: [dial-indicator]",
    "supplies": "supplies: none", "cautions": "cautions: none", "changes": "changes: [{revision: 1, date: 2026-11-27, reason: First issue}]",
    "sources": "sources: common-practice", "steps": "steps:\n  - {id: look-first, do: Look at the wheel.}",
}
VEHICLE = {"id": "id: red-van", "name": "name: Red van (invented)"}


def filled(usual: dict[str, str], text: str) -> str:
    """A file of the usual entries, with those of the text in their place."""
    named = set(re.findall(r"(?m)^([a-z_]+):", text))
    return "\n".join([*(line for name, line in usual.items() if name not in named), text]) + "\n"


def steps(text: str) -> str:
    """A procedure with these steps."""
    return filled(PROCEDURE, "steps:\n" + "\n".join(f"  {line}" for line in text.splitlines()))


def smallest(mistake: Mistake, example: str) -> tuple[str, str]:
    """The smallest file that holds an example: its path and text."""
    match mistake.place:
        case "step":
            return "procedures/own-job.yml", steps(example)
        case "procedure":
            return "procedures/own-job.yml", filled(PROCEDURE, example)
        case "vehicle":
            return "vehicles/red-van.yml", filled(VEHICLE, example)
        case "a name":
            return example, filled(PROCEDURE, "")
    return mistake.place, example


def found(files: dict[str, str | bytes], folder: str = "shop") -> list[Problem]:
    """What is said about a shop's files (path → text) beside the handbook, or about files of the handbook itself."""
    handbook = copy.copy(STOCK)
    for name, value in vars(STOCK).items():
        setattr(handbook, name, copy.copy(value))
    if folder == "shop":
        files = {"shop.yml": "name: Test shop (invented)\n"} | files
    raw = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
    problems = add_files(handbook, raw, folder, is_shop=folder == "shop") + settle(handbook)
    own = {path.split("/")[1].removesuffix(".yml") for path in files if path.startswith("procedures/")}
    return sorted({*problems, *check.check(handbook, DRAWINGS, own)[0]})


def said_of(mistake: Mistake, example: str) -> list[Problem]:
    path, text = smallest(mistake, example)
    stock = path.startswith("site_data/")
    return found({path.removeprefix("site_data/"): text}, "site_data" if stock else "shop")


SHOWN = [mistake for mistake in MISTAKES.values() if mistake.place != "words"]


@pytest.mark.parametrize("mistake", SHOWN, ids=lambda mistake: mistake.code)
def test_the_wrong_example_of_a_code_is_that_mistake_and_no_other(mistake):
    problems = said_of(mistake, mistake.wrong)
    assert {problem.code for problem in problems} == {mistake.code}, [str(problem) for problem in problems]


@pytest.mark.parametrize("mistake", SHOWN, ids=lambda mistake: mistake.code)
def test_the_right_example_of_a_code_is_accepted(mistake):
    assert [str(problem) for problem in said_of(mistake, mistake.right)] == []


def test_every_code_in_use_is_in_the_table_and_none_beside():
    sources = "".join(path.read_text("utf-8") for path in (PROJECT / "build_tools").glob("*.py"))
    assert set(re.findall(r'"([A-Z][0-9]{3})"', sources)) == set(MISTAKES)


def test_the_table_is_in_plain_words():
    for mistake in MISTAKES.values():
        assert not JARGON.search(f"{mistake.title} {mistake.explain}"), mistake.code
        assert len(mistake.title) <= 75 and not mistake.title.endswith("."), mistake.code
