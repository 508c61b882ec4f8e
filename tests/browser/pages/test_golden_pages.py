"""The pages of the fixture handbook as they were approved: what a change to a template does to them is read as a difference.

Written anew by `.venv/bin/python -m tests.browser.pages.test_golden_pages`. Read the difference (`git diff tests/browser/golden`)
before you commit it: whatever stands in these few pages, the scripts and the readers of the whole handbook get as well.
"""

from __future__ import annotations

import re
from html import escape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.browser.fixture_site import site

GOLDEN = Path(__file__).parents[1] / "golden"
# Name → whether the frame of the page is kept too; once is enough.
KEPT = {"every-kind": True, "front-brake-service": False}
INLINE = frozenset("a b code em option small span strong sub sup".split())
VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())


class _Lines(HTMLParser):
    """A page in lines: each block in one of its own, indented by what it stands in, with the words that it begins with.

    An element ends where the indentation does, so that no line holds an end tag alone.
    """

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self.line = ""
        self.open: list[tuple[str, bool]] = []  # tag, and whether what it holds is left out
        self.depth = 0
        self.is_fresh = False  # whether the last line is a block with nothing in it yet

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        if self._is_left_out():
            if tag not in VOID:
                self.open.append((tag, True))
            return
        written = f"<{tag}{''.join(_attribute(*each) for each in sorted(attributes, key=_by_name))}>"
        if tag in INLINE:
            self.line += written
        else:
            self._end_line()
            self._add(written)
            self.is_fresh = tag not in VOID
        if tag not in VOID:
            # How a calculator works it out is told by its own tests, and is long.
            self.open.append((tag, "calculator__example" in (dict(attributes).get("class") or "").split()))
            self.depth += tag not in INLINE
            if self._is_left_out():
                self._add("…")

    def handle_endtag(self, tag: str) -> None:
        opened, _ = self.open.pop()
        assert opened == tag, f"</{tag}> ends <{opened}>, line {self.getpos()[0]}"
        if self._is_left_out():
            return
        if tag in INLINE:
            self.line += f"</{tag}>"
        else:
            self._end_line()
            self.depth -= 1

    def handle_data(self, data: str) -> None:
        if not self._is_left_out():
            self.line += escape(data, quote=False)

    def _is_left_out(self) -> bool:
        return any(left_out for _, left_out in self.open)

    def _end_line(self) -> None:
        words = re.sub(r"[ \n]+", " ", self.line).strip()
        self.line = ""
        if words and self.is_fresh:
            self.lines[-1] += words
        elif words:
            self._add(words)
        self.is_fresh = False

    def _add(self, line: str) -> None:
        self.lines.append("  " * self.depth + line)


def _attribute(name: str, value: str | None) -> str:
    if value is None or value == "" and name.startswith("data-"):
        return f" {name}"
    quote = "'" if '"' in value else '"'
    return f" {name}={quote}{escape(value, quote=False)}{quote}"


def _by_name(attribute: tuple[str, str | None]) -> tuple[bool, str]:
    return attribute[0].startswith("data-"), attribute[0]


def in_lines(html: str) -> str:
    """The HTML in lines, so that a difference can be read."""
    reader = _Lines()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    reader._end_line()
    return "\n".join(reader.lines) + "\n"


def golden(name: str) -> str:
    """The page as it is built now."""
    html = (site() / f"procedures/{name}.html").read_text("utf-8")
    whole = KEPT[name]
    return in_lines(html if whole else html[html.index("<article") : html.index("</article>")] + "</article>")


@pytest.mark.parametrize("name", KEPT)
def test_a_page_is_built_as_it_was_approved(name):
    assert golden(name).splitlines() == (GOLDEN / f"{name}.html").read_text("utf-8").splitlines()


def test_nothing_else_is_kept():
    assert {path.stem for path in GOLDEN.iterdir()} == set(KEPT)


if __name__ == "__main__":
    for each in KEPT:
        (GOLDEN / f"{each}.html").write_text(golden(each), "utf-8", newline="\n")
