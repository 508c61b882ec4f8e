"""The table of all mistakes, mistakes.yml: what each code means, with a wrong and a right example.

A code is a letter for its kind and three digits. `F` the file, `W` how it is written, `E` an entry, `N` a name, `C` a
condition, `J` a job and its steps, `D` the decision, `V` a vehicle sheet, `S` a shop's change, `K` a shop's calculator, `P` a page.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

KINDS = {
    "F": "The file",
    "W": "How it is written",
    "E": "Entries",
    "N": "Names that lead nowhere",
    "C": "Conditions",
    "J": "Jobs and steps",
    "D": "The decision",
    "V": "Vehicle sheets",
    "S": "The shop's changes",
    "K": "The shop's calculators",
    "P": "Pages of the shop",
}

PLACES = {
    "step": "Among the steps of a job",
    "procedure": "At the top level of a job's file",
    "vehicle": "In a vehicle's sheet",
    "a name": "As the folder and name of a file",
    "words": "In the shop's folder",
}


@dataclass(frozen=True)
class Mistake:
    """What a code means. `place` says where the examples stand: a file's name, or a frame of tests/content/test_mistakes.py.

    `rests_on`: kinds of content; the mistake is said only where every file of these kinds could be read, because what a
    broken file holds would look as if it did not exist.
    """

    code: str
    title: str
    explain: str
    place: str
    wrong: str
    right: str
    rests_on: tuple[str, ...] = ()

    def right_in(self, file: str) -> str:
        """A correct example for this kind of file: a mistake in a vehicle's sheet is never answered with a line of a job."""
        kind = _kind_of(file)
        home = {"step": "procedures", "procedure": "procedures", "vehicle": "vehicles"}.get(self.place, _kind_of(self.place))
        return self.right if self.place in ("words", "a name") or kind == home or kind not in LINES else LINES[kind]

    @property
    def where(self) -> str:
        """Where the examples stand, for the reader."""
        return PLACES.get(self.place, f"In {self.place}")

    @property
    def kind(self) -> str:
        return KINDS[self.code[0]]


# kind of file → a correct line of it
LINES = {
    "procedures": "title: After a loose wheel",
    "vehicles": "note: Long wheelbase.",
    "shop.yml": "name: Example shop (invented)",
    "cautions": "hazard: The floor by the lift is smooth when it is wet.",
    "components": "label: own scraper",
    "changes": "reason: Our lift leaves no room for the long bar.",
    "rules.yml": "why: Both rotors are measured.",
    "decisions.yml": "reason: A torn boot lets water in.",
    "references": "purpose: Tell one kind of rotor from another.",
    "sheet.yml": "question: What is stamped on the rotor?",
    "sources.yml": "title: Light trucks, unit maintenance",
    "terms.yml": "meaning: A pin of folded wire that locks a castle nut.",
    "pages": "reason: First issue.",
}


def _kind_of(file: str) -> str:
    """The folder or the name by which a file is known: what follows the folder that it lies in."""
    parts = file.split("/")
    name = next((part for part in parts[:-1] if part in LINES), parts[-1])
    return {"cautions.yml": "cautions"}.get(name, name)


def _table() -> dict[str, Mistake]:
    rows = yaml.load(Path(__file__).with_suffix(".yml").read_text("utf-8"), Loader=yaml.SafeLoader)
    return {code: _mistake(code, row) for code, row in rows.items()}


def _mistake(code: str, row: dict[str, Any]) -> Mistake:
    said: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value.strip("\n") for name, value in row.items()}
    return Mistake(code, **said)


MISTAKES = _table()
