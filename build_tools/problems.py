"""What is wrong with a file, said so that its author can mend it.

A problem is data; build_tools/report.py says it on a terminal, and a page may say it in its own way. What its code
means stands in mistakes.yml.
"""
from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import NamedTuple

from build_tools.mistakes import MISTAKES


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake at one place; line and column count from 1.

    `message` is a sentence that stands alone; `near` the name that was probably meant, `expected` what belongs here,
    `example` a correct one, `written` the author's own line, of which `width` characters from `column` on are meant.
    """

    file: str
    line: int
    column: int
    code: str
    message: str
    example: str = ""
    near: str = ""
    expected: str = ""
    written: str = field(default="", compare=False)
    width: int = field(default=1, compare=False)

    @property
    def sentence(self) -> str:
        """The message, with the name that was probably meant."""
        return f"{self.message} Did you mean '{self.near}'?" if self.near else self.message

    @property
    def correct(self) -> str:
        """A correct example: one made for this place, else that of the code."""
        return self.example or MISTAKES[self.code].right

    def as_data(self) -> dict[str, str | int]:
        """All fields, for JSON."""
        return asdict(self) | {"example": self.correct}

    def __str__(self) -> str:
        expected = f" Expected: {self.expected}." if self.expected else ""
        example = f" Example: {' '.join(self.correct.split())}"
        return f"{self.file}:{self.line}:{self.column}: {self.code} {self.sentence}{expected}{example}"


class Fault(NamedTuple):
    """A mistake without its place. `fits` is what may stand at the place instead: the example is the author's line with it."""

    code: str
    message: str
    example: str = ""
    near: str = ""
    expected: str = ""
    fits: str = ""


class ContentError(ValueError):
    """The content cannot be built. `problems` holds every mistake that was found."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = sorted(set(problems))
        super().__init__("\n".join(map(str, self.problems)))


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that was probably meant, else an empty string."""
    near = difflib.get_close_matches(name[:60], list(known), n=1, cutoff=0.6)
    return near[0] if near else ""


def unknown(code: str, name: str, what: str, known: Iterable[str]) -> Fault:
    """That a name leads nowhere, with the nearest one, or some that lead somewhere."""
    known = list(known)
    near = nearest(name, known)
    return Fault(code, f"No {what} is called {quoted(name)}.", near=near, expected="" if near else one_of(known), fits=near or next(iter(known), ""))


def one_of(known: Iterable[str], most: int = 8) -> str:
    """The names that belong in a place, at most `most` of them."""
    known = list(known)
    more = f" and {len(known) - most} more" if len(known) > most else ""
    return ("one of " if len(known) > 1 else "") + ", ".join(known[:most]) + more


def one_line(text: str) -> str:
    """Text in which every sign can be shown and none turns the line round."""
    return "".join(sign if sign.isprintable() else "·" for sign in text)


def quoted(text: str, most: int = 40) -> str:
    """The author's own words inside a sentence: on one line, and not at endless length."""
    shown = " ".join("".join(sign if sign.isprintable() else "·" for sign in text.replace("\n", " ")).split())
    return f"'{shown}'" if len(shown) <= most else f"'{shown[:most - 1]}…'"
