"""What the search finds: the sections of every page, and the index made of them.

A hit opens at its place, so the unit is a section: what stands under a heading with an id, a step, or a term of the
glossary. `docs/scripts/search/search-index.mjs` makes the index here and answers from it in the page.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

from build_tools.paths import PROJECT

_VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
_INLINE = frozenset("a abbr b bdi bdo cite code data del dfn em i ins kbd mark q s samp small span strong sub sup time u var wbr".split())
_UNREAD = frozenset("script style template noscript select datalist button textarea svg math".split())
_UNREAD_CLASSES = frozenset({"headerlink", "step__number"})
_HEADINGS = frozenset("h1 h2 h3 h4 h5 h6".split())


@dataclass(frozen=True)
class Section:
    """A place in a page. `anchor` is its id, empty for the page's top; `within` is the heading it stands under."""

    anchor: str
    title: str
    text: str
    within: str = ""


@dataclass(frozen=True)
class Page:
    """A page of the site. `uri` is its address from the site's top, as a browser opens it: `procedures/bleed.html`."""

    uri: str
    title: str
    kind: str
    sections: Sequence[Section]


def entries(pages: Iterable[Page]) -> list[dict[str, str]]:
    """One entry a section, in the order of the addresses. A section without a word is left out."""
    return [
        {
            "uri": page.uri,
            "page": page.title,
            "kind": page.kind,
            "anchor": section.anchor,
            "title": section.title or page.title,
            "within": section.within,
            "text": section.text,
        }
        for page in sorted(pages, key=lambda page: page.uri)
        for section in page.sections
        if section.title or section.text
    ]


def index(entries: Iterable[Mapping[str, str]], terms: Iterable[Mapping[str, object]], project: Path = PROJECT) -> bytes:
    """`assets/search-index.js`: the same bytes for the same input. `terms` are the glossary's entries as plain data.

    Raises `BundleError` where Node or the search engine is missing.
    """
    from build_tools.browser.node import node  # only a build makes the index
    from build_tools.errors import BundleError

    names = [{key: term.get(key, []) for key in ("term", "american", "british")} for term in terms]
    given = json.dumps({"entries": list(entries), "terms": names}, ensure_ascii=False)
    script = Path(__file__).with_name("search_index.mjs")
    done = subprocess.run([node(), str(script)], input=given.encode("utf-8"), capture_output=True)
    if done.returncode:
        lines = done.stderr.decode("utf-8", "replace").splitlines()
        reason = next((line.strip() for line in lines if "Error" in line), "no message")
        raise BundleError(f"The search index could not be made: {reason}")
    return done.stdout


def sections(html: str) -> list[Section]:
    """The sections of a page's content, in the order in which they start; the first is the page's top.

    Left out: scripts and the data in them, choices and buttons of forms, drawings, what is hidden, links to a heading.
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return [
        Section(part.anchor, _plain(part.title), _plain(part.text), _plain(part.within))
        for part in reader.parts
        if _plain(part.title) or _plain(part.text)
    ]


def _plain(pieces: list[str]) -> str:
    return " ".join("".join(pieces).split())


@dataclass
class _Part:
    anchor: str
    title: list[str] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    within: list[str] = field(default_factory=list)


@dataclass
class _Element:
    tag: str
    unread: bool = False
    title: list[str] | None = None  # where its text goes while it names a section
    back: _Part | None = None  # the section that goes on when it ends


class _Reader(HTMLParser):
    """Gathers text by section. A step is a section inside its part, which goes on after it; any other lasts to the next."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts = [_Part("")]
        self.part = self.heading = self.parts[0]
        self.open: list[_Element] = [_Element("")]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        outer = self.open[-1]
        element = _Element(tag, outer.unread or _is_unread(tag, given), outer.title)
        if not element.unread:
            self._write(given.get("alt", "") if tag == "img" else "", apart=tag not in _INLINE)
            self._begin(element, given)
        if tag not in _VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if not tag or all(element.tag != tag for element in self.open):
            return
        while (element := self.open.pop()).tag != tag:
            self.part = element.back or self.part
        self.part = element.back or self.part
        self._write("", apart=tag not in _INLINE)

    def handle_data(self, data: str) -> None:
        self._write(data)

    def _write(self, text: str, apart: bool = False) -> None:
        element = self.open[-1]
        if not element.unread:
            target = self.part.text if element.title is None else element.title
            target.append(f" {text} " if apart else text)

    def _begin(self, element: _Element, given: dict[str, str]) -> None:
        """Starts the section that the element opens or names, if any."""
        anchor, classes = given.get("id", ""), given.get("class", "").split()
        if element.tag == "h1":
            self.part = self.heading = self.parts[0]
            element.title = self.part.title
        elif element.tag in _HEADINGS and anchor:
            self.part = self.heading = self._section(anchor, [])
            element.title = self.part.title
        elif element.tag == "dt" and anchor:
            self.part = self._section(anchor, self._within())
            element.title = self.part.title
        elif element.tag == "li" and "step" in classes and anchor:
            element.back = self.part
            self.part = self._section(anchor, self._within(given.get("data-number", "")))
        elif "step__do" in classes:
            element.title = self.part.title

    def _within(self, number: str = "") -> list[str]:
        """The heading above, unless it is the page's own, and the step's number."""
        above = [] if self.heading is self.parts[0] else [*self.heading.title]
        step = [f"step {number}"] if number else []
        return [*above, " · ", *step] if above and step else above or step

    def _section(self, anchor: str, within: list[str]) -> _Part:
        self.parts.append(_Part(anchor, within=within))
        return self.parts[-1]


def _is_unread(tag: str, given: Mapping[str, str]) -> bool:
    return tag in _UNREAD or "hidden" in given or not _UNREAD_CLASSES.isdisjoint(given.get("class", "").split())
