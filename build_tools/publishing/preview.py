"""The handbook while it is being written: the last good content stays up, and what is wrong stands in its pages."""

from __future__ import annotations

import html
import re
import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from build_tools.content.handbook import Handbook
from build_tools.content.problems import Problem
from build_tools.content.report import report

Made = tuple[Handbook, dict[str, str], dict[str, bytes | Path]]  # with its pages, and the files that they load


class Preview:
    """What outlives one build while the handbook is served: the last good content, and what is wrong with the newest."""

    def __init__(self) -> None:
        self._good: Made | None = None
        self._mistakes: list[Problem] = []
        self._shop: Path | None = None

    def keep(self, made: Made, shop: Path | None) -> Made:
        """This content is good; there are no mistakes."""
        self._good, self._mistakes, self._shop = made, [], shop
        return made

    def last_good(self, mistakes: Iterable[Problem], shop: Path | None, stock: Callable[[], Made]) -> Made:
        """What to show in place of content with mistakes: the last that was good, else the handbook without the shop's."""
        self._mistakes, self._shop = list(mistakes), shop
        print(report(self._mistakes, explained="The last good pages stay up."), file=sys.stderr, flush=True)
        if self._good is None:
            self._good = stock()
        handbook, pages, assets = self._good
        there = {name: path for name, path in handbook.pictures.items() if path.is_file()}
        return replace(handbook, pictures=there), pages, assets

    def with_mistakes(self, page: str) -> str:
        """A page's HTML with everything that is wrong at its top, and each mistake again at the step it is in."""
        if not self._mistakes:
            return page
        for problem in self._mistakes:
            anchor = _anchor(problem, self._shop)
            if anchor:
                page = _put_after(rf'<li class="step[^>]*\bid="{re.escape(anchor)}"[^>]*>', _panel([problem], "Error here:"), page)
        count = len(self._mistakes)
        said = f"Error: {count} thing{'s' * (count > 1)} to mend. What stands below is the last that was good."
        return _put_after('<div class="content" id="content">', _panel(self._mistakes, said), page, count=1)


def _put_after(pattern: str, more: str, page: str, count: int = 0) -> str:
    """The page with more after every place that the pattern finds, or after the first `count` of them."""
    return re.sub(pattern, lambda found: found[0] + more, page, count=count)


def _panel(problems: list[Problem], said: str) -> str:
    lines = "".join(f"<li>{_line(problem)}</li>" for problem in problems)
    return f'<div class="mistakes" role="alert"><p><b>{said}</b></p><ul>{lines}</ul></div>'


def _line(problem: Problem) -> str:
    """A mistake in a page: its place, the sentence, what belongs there, and a correct example on lines of its own."""
    place = f"{problem.file}:{problem.line}:{problem.column} {problem.code} {problem.sentence}"
    expected = f" Expected: {problem.expected}." if problem.expected else ""
    return f"{html.escape(place + expected)}<pre>{html.escape(problem.correct)}</pre>"


def _anchor(problem: Problem, shop: Path | None) -> str | None:
    """The step that a mistake in a procedure stands in: the nearest id above it in the file."""
    found = re.fullmatch(r"[^/]+/procedures/([a-z0-9-]+)\.yml", problem.file)
    if shop is None or found is None:
        return None
    path = shop.parent / problem.file
    if not path.is_file():
        return None
    lines = path.read_text("utf-8", errors="replace").splitlines()[: problem.line]
    ids = re.findall(r"^\s*- (?:\{\s*)?id:\s*([a-z0-9-]+)", "\n".join(lines), re.MULTILINE)
    return f"{found[1]}.{ids[-1]}" if ids else None
