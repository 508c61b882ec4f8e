"""Mistakes as they are said on a terminal: the place, the author's own line with a mark under it, the sentence, a correct example."""

from __future__ import annotations

import textwrap
import unicodedata
from collections import Counter
from collections.abc import Iterable

from build_tools.content.problems import Problem

WIDTH = 100
_MARGIN = "    "
_LABELS = ("Expected", "Example")


def report(problems: Iterable[Problem], *, color: bool = False, explained: str = "") -> str:
    """Every mistake, then how many there are in which file, then where their codes are explained."""
    problems = list(problems)
    return "\n\n".join([*(in_full(problem, color) for problem in problems), summary(problems) + (f"\n{explained}" if explained else "")])


def summary(problems: Iterable[Problem]) -> str:
    """How many mistakes there are, by file."""
    counts = Counter(problem.file for problem in problems)
    total = sum(counts.values())
    head = f"{total} mistake{'s' * (total != 1)} in {len(counts)} file{'s' * (len(counts) != 1)}"
    files = ", ".join(f"{file} {count}" for file, count in sorted(counts.items()))
    return "\n".join(_wrapped(f"{head}: {files}.", "", "  "))


def in_full(problem: Problem, color: bool = False) -> str:
    """One mistake, on several lines."""
    strong = (lambda text: f"\x1b[1m{text}\x1b[0m") if color else str
    place = f"{problem.file}:{problem.line}:{problem.column}"
    lines = [f"{strong(place)}  {problem.code}"]
    if problem.written.strip():
        line, mark = _marked(problem)
        lines += [_MARGIN + line, _MARGIN + strong(mark)]
    lines += _wrapped(problem.sentence, "  ", "  ")
    for label, text in zip(_LABELS, (problem.expected, problem.correct), strict=True):
        lines += _labeled(label, text)
    return "\n".join(line.rstrip() for line in lines)


def _labeled(label: str, text: str) -> list[str]:
    head = f"  {label:<9} "
    blank = " " * len(head)
    text = "\n".join("".join(map(_visible, line)) for line in text.split("\n"))
    if "\n" in text:  # an example of several lines keeps them
        most = WIDTH - len(head)
        first, *more = [line if _columns(line) <= most else f"{line[: most // 2]}…" for line in text.rstrip("\n").split("\n")]
        return [head + first, *(blank + line for line in more)]
    return _wrapped(text, head, blank) if text else []


def _wrapped(text: str, first: str, others: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=others, break_long_words=True, break_on_hyphens=False)


def _marked(problem: Problem) -> tuple[str, str]:
    """The author's line, cut to the width around the place, and the mark that stands below it."""
    room = WIDTH - len(_MARGIN)
    line = "".join(_visible(sign) for sign in problem.written)
    start = min(problem.column - 1, len(line))
    width = max(1, min(problem.width, len(line) - start))
    if _columns(line) > room:
        shift = max(0, start - room // 4)
        line = ("…" if shift else "") + line[shift:]
        start += (1 if shift else 0) - shift
        while _columns(line) > room - 1:
            line = line[:-1]
        line += "…"
        width = max(1, min(width, len(line) - start))
    else:
        indent = len(line) - len(line.lstrip())
        shift = min(indent, start)
        line, start = line[shift:], start - shift
    return line, " " * _columns(line[:start]) + "^" * max(1, _columns(line[start : start + width]))


def _visible(sign: str) -> str:
    """A sign that takes up its place on a terminal and does nothing else there."""
    return "»" if sign == "\t" else sign if sign.isprintable() else "·"


def _columns(text: str) -> int:
    return sum(0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1 for sign in text)
