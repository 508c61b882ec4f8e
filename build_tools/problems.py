"""What is wrong with a file, said so that its author can mend it."""
from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake at one place; line and column count from 1."""

    file: str
    line: int
    column: int
    message: str
    example: str = ""

    def __str__(self) -> str:
        example = f" Example: {self.example}" if self.example else ""
        return f"{self.file}:{self.line}:{self.column}: {self.message}{example}"


class ContentError(ValueError):
    """The content cannot be built. `problems` holds every mistake that was found."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = sorted(set(problems))
        super().__init__("\n".join(map(str, self.problems)))


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """« Did you mean X?» for the nearest known name, else an empty string."""
    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f" Did you mean {near[0]!r}?" if near else ""


def unknown(name: str, what: str, known: Iterable[str]) -> tuple[str, str]:
    """That a name leads nowhere, with the nearest one; and a known one as an example."""
    known = list(known)
    return f"no {what} is called {name!r}.{did_you_mean(name, known)}", next(iter(known), "")
