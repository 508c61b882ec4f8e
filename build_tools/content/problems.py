"""What is wrong with a file, said so that its author can mend it.

A problem is data; build_tools/content/report.py says it on a terminal, and a page may say it in its own way. What its code
means stands in mistakes.yml.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass, field
from typing import NamedTuple

from build_tools.content.mistakes import MISTAKES


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
        return self.example or MISTAKES[self.code].right_in(self.file)

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
    """The known name of which this one is a slip of the keyboard, else an empty string.

    Only letters within a word may differ, one in a short word and two in a long one; a word that the known names use themselves
    is no slip. So no name is offered for another thing that happens to share its letters: `lug-nut` is no slip of `axle-nut`.
    """
    known, words = list(dict.fromkeys(known)), _words(name[:60])
    used = {word for other in known for word in _words(other)}
    found: dict[str, int] = {}
    for other in known:
        slips = _slips(words, _words(other), used)
        if slips is not None:
            found[other] = slips
    best = [other for other, slips in found.items() if slips == min(found.values())]
    return best[0] if len(best) == 1 else ""


def _slips(words: list[str], others: list[str], used: set[str]) -> int | None:
    """How many letters of the words are wrong; None where another thing is meant."""
    if "".join(words) == "".join(others):
        return 0
    if len(words) != len(others):
        return 1 if _distance("".join(words), "".join(others), 1) <= 1 and not used.issuperset(words) else None
    total = 0
    for word, other in zip(words, others, strict=True):
        if word in (other, f"{other}s", f"{other[:-1]}") and (word == other or "s" in (word[-1], other[-1])):
            total += word != other
            continue
        most = 1 if max(len(word), len(other)) < 6 else 2
        slips = _distance(word, other, most)
        if slips > most or word in used or other.isdigit():
            return None
        total += slips
    return total


def _distance(one: str, two: str, most: int) -> int:
    """How many letters are added, left out, changed or swapped with the next; anything over `most` where there are more."""
    if abs(len(one) - len(two)) > most:
        return most + 1
    before, row = [], list(range(len(two) + 1))
    for i, a in enumerate(one, 1):
        before, last, row = row, before, [i]
        for j, b in enumerate(two, 1):
            row.append(min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b)))
            if i > 1 and j > 1 and a == two[j - 2] and one[i - 2] == b:
                row[j] = min(row[j], last[j - 2] + 1)
    return row[-1]


def _words(name: str) -> list[str]:
    return re.findall(r"[a-z0-9]+", unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower())


def alike(name: str, known: Iterable[str]) -> str:
    """The known name most like this one, else an empty string; for names of files and pages, which nobody's brake depends on."""
    near = difflib.get_close_matches(name[:60], list(known), n=1, cutoff=0.6)
    return near[0] if near else ""


def unknown(code: str, name: str, what: str, known: Iterable[str], meant: Collection[str] = ()) -> Fault:
    """That a name leads nowhere, with what was meant: by the glossary (`meant`), else by its letters; or with some that lead somewhere.

    Only what was meant may stand in the author's line: another part there would be copied as the right one.
    """
    known = list(known)
    near = next(iter(meant)) if len(meant) == 1 else "" if meant else nearest(name, known)
    several = f"; it can mean {' or '.join(meant)}" if len(meant) > 1 else ""
    return Fault(
        code, f"No {what} is called {quoted(name)}{several}.", near=near, expected="" if near else one_of(meant or known), fits=near
    )


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
    return f"'{shown}'" if len(shown) <= most else f"'{shown[: most - 1]}…'"
