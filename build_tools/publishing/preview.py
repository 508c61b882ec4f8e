"""The handbook while it is being written: the last good content stays up, and what is wrong stands in its pages.

What is kept here outlives one build; `hooks` asks for it.
"""

from __future__ import annotations

import html
import re
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from build_tools.content.handbook import Handbook
from build_tools.content.problems import Problem
from build_tools.content.report import report

Made = tuple[Handbook, dict[str, str], dict[str, bytes | Path]]  # with its pages, and the files that they load


class _Kept:
    good: Made | None = None
    mistakes: list[Problem] = []
    shop: Path | None = None


def keep(made: Made, shop: Path | None) -> Made:
    """This content is good; there are no mistakes."""
    _Kept.good, _Kept.mistakes, _Kept.shop = made, [], shop
    return made


def last_good(mistakes: Iterable[Problem], shop: Path | None, stock: Callable[[], Made]) -> Made:
    """What to show in place of content with mistakes: the last that was good, else the handbook without the shop's."""
    mistakes = list(mistakes)
    print(report(mistakes, explained="The last good pages stay up."), file=sys.stderr, flush=True)
    if _Kept.good is None:
        _Kept.good = stock()
    handbook, pages, assets = _Kept.good
    handbook.pictures = {name: path for name, path in handbook.pictures.items() if path.is_file()}
    _Kept.mistakes, _Kept.shop = mistakes, shop
    return handbook, pages, assets


def with_mistakes(page: str) -> str:
    """A page's HTML with everything that is wrong at its top, and each mistake again at the step it is in."""
    if not _Kept.mistakes:
        return page
    for problem in _Kept.mistakes:
        anchor = _anchor(problem)
        if anchor:
            page = re.sub(
                rf'(<li class="step[^>]*\bid="{re.escape(anchor)}"[^>]*>)',
                lambda found, p=problem: found[1] + _panel([p], "Error here:"),
                page,
            )
    count = len(_Kept.mistakes)
    said = f"Error: {count} thing{'s' * (count > 1)} to mend. What stands below is the last that was good."
    return re.sub(r'(<div class="content" id="content">)', lambda found: found[1] + _panel(_Kept.mistakes, said), page, count=1)


def _panel(problems: list[Problem], said: str) -> str:
    lines = "".join(f"<li>{_line(problem)}</li>" for problem in problems)
    return f'<div class="mistakes" role="alert"><p><b>{said}</b></p><ul>{lines}</ul></div>'


def _line(problem: Problem) -> str:
    """A mistake in a page: its place, the sentence, what belongs there, and a correct example on lines of its own."""
    place = f"{problem.file}:{problem.line}:{problem.column} {problem.code} {problem.sentence}"
    expected = f" Expected: {problem.expected}." if problem.expected else ""
    return f"{html.escape(place + expected)}<pre>{html.escape(problem.correct)}</pre>"


def _anchor(problem: Problem) -> str | None:
    """The step that a mistake in a procedure stands in: the nearest id above it in the file."""
    found = re.fullmatch(r"[^/]+/procedures/([a-z0-9-]+)\.yml", problem.file)
    path = _Kept.shop and found and _Kept.shop.parent / problem.file
    if not path or not path.is_file():
        return None
    lines = path.read_text("utf-8", errors="replace").splitlines()[: problem.line]
    ids = re.findall(r"^\s*- (?:\{\s*)?id:\s*([a-z0-9-]+)", "\n".join(lines), re.MULTILINE)
    return f"{found[1]}.{ids[-1]}" if ids else None
