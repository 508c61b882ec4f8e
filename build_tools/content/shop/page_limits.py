"""How large and how dense a shop's plain page may be: told from its text, before Markdown is read.

The reader of Markdown takes the square of a paragraph's length for some signs, and calls itself for each level of nesting.
Inside these limits any text is read within seconds (tests/content/test_hostile_texts.py); a real page is far from them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from build_tools.content.problems import Fault

LONGEST_PAGE = 100_000  # characters
LONGEST_LINE = 10_000
MOST_LINES = 400  # without a blank line between them
DEEPEST = 12  # lists and quotations inside each other
MOST_BRACKETS = 3_000_000  # over all paragraphs: characters × opening square brackets
MOST_SIGNS = 60_000_000  # over all paragraphs: characters × signs with a meaning

_LINE_END = re.compile(r"\r\n|\r|\n")
_MARKER = r"(?:[-*+>]|\d+[.)]|:)"
_ITEM = re.compile(rf" {{0,3}}{_MARKER}[ \t]")
_NESTED = re.compile(rf"(?:[ \t]*(?:>|{_MARKER}[ \t]))*")
_SIGNS = re.compile(r"[\[\]()!*_`<>\\&{|~=:-]")
_EXAMPLE = "A short paragraph, then a blank line."


def fault(text: str) -> tuple[int, Fault] | None:
    """The line (from 1) where a page goes over a limit, and what to say; None for a page that can be read."""
    if len(text) > LONGEST_PAGE:
        return 1, _fault(f"The page has {len(text):,} characters; the most is {LONGEST_PAGE:,}. Make it two pages.")
    lines = _LINE_END.split(text)
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            return number, _fault(f"The line has {len(line):,} characters; the most is {LONGEST_LINE:,}. Break it up.")
        found = _NESTED.match(line.expandtabs(4))
        marks = found[0] if found else ""
        start = marks or line.expandtabs(4)
        if len(re.findall(_MARKER, marks)) + (len(start) - len(start.lstrip())) // 4 > DEEPEST and line.strip():
            return number, _fault(f"Lists or quotations stand inside each other more than {DEEPEST} deep here.")
    brackets = signs = 0
    for number, count, paragraph in _paragraphs(lines):
        if count > MOST_LINES:
            return number, _fault(f"{count:,} lines stand here without a blank line; the most is {MOST_LINES}.")
        brackets += len(paragraph) * paragraph.count("[")
        signs += len(paragraph) * len(_SIGNS.findall(paragraph))
        if brackets > MOST_BRACKETS or signs > MOST_SIGNS:
            return number, _fault("Too many brackets and signs stand here in one paragraph; put blank lines between.")
    return None


def _fault(says: str) -> Fault:
    return Fault("P104", says, _EXAMPLE)


def _paragraphs(lines: list[str]) -> Iterator[tuple[int, int, str]]:
    """Lines without a blank one between: where they begin, how many, and their text; of a list, each item by itself."""
    start, held = 1, []
    for number, line in enumerate([*lines, ""], 1):
        if line.strip():
            held.append(line)
            continue
        if held:
            yield start, len(held), "" if _ITEM.match(held[0]) else "\n".join(held)
            if _ITEM.match(held[0]):
                yield from _items(start, held)
        start, held = number + 1, []


def _items(start: int, lines: list[str]) -> Iterator[tuple[int, int, str]]:
    item: list[str] = []
    for number, line in enumerate(lines, start):
        if item and _ITEM.match(line):
            yield number - len(item), len(item), "\n".join(item)
            item = []
        item.append(line)
    yield start + len(lines) - len(item), len(item), "\n".join(item)
