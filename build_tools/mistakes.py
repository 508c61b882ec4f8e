"""The table of all mistakes, mistakes.yml: what each code means, with a wrong and a right example.

A code is a letter for its kind and three digits. `F` the file, `W` how it is written, `E` an entry, `N` a name, `C` a
condition, `J` a job and its steps, `D` the decision, `V` a vehicle sheet, `S` a shop's change, `K` a shop's calculator, `P` a page.
"""
from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml

KINDS = {"F": "The file", "W": "How it is written", "E": "Entries", "N": "Names that lead nowhere", "C": "Conditions",
         "J": "Jobs and steps", "D": "The decision", "V": "Vehicle sheets", "S": "The shop's changes", "K": "The shop's calculators", "P": "Pages of the shop"}

PLACES = {"step": "Among the steps of a job", "procedure": "At the top level of a job's file", "vehicle": "In a vehicle's sheet",
          "a name": "As the folder and name of a file", "words": "In the shop's folder"}


@dataclass(frozen=True)
class Mistake:
    """What a code means. `place` says where the examples stand: a file's name, or a frame of tests/build/test_mistakes.py.

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

    @property
    def where(self) -> str:
        """Where the examples stand, for the reader."""
        return PLACES.get(self.place, f"In {self.place}")

    @property
    def kind(self) -> str:
        return KINDS[self.code[0]]


def _table() -> dict[str, Mistake]:
    rows = yaml.load(Path(__file__).with_suffix(".yml").read_text("utf-8"), Loader=yaml.SafeLoader)
    return {code: Mistake(code, **{name: tuple(value) if isinstance(value, list) else value.strip("\n") for name, value in row.items()})
            for code, row in rows.items()}


MISTAKES = _table()
