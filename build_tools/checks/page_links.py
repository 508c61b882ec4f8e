"""Links of a shop's plain pages: each leads to a page or picture that there is, said with its place in the shop's file."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from urllib.parse import unquote

from build_tools.content.handbook import Handbook
from build_tools.content.problems import Problem, alike, unknown
from build_tools.content.yaml_reader import at
from build_tools.paths import PROJECT

_LINK = re.compile(r"(?<=\]\()\s*<?([^)\s>]+)")
_FENCE = re.compile(r"\s*(```|~~~)")


def dead_links(handbook: Handbook, pages: set[str]) -> Iterator[Problem]:
    """Every link of a shop's page that leads nowhere; `pages` are the uris of the handbook's generated pages."""
    known = {*pages, *(path.name for path in (PROJECT / "docs").glob("*.md")), *(f"pictures/{name}" for name in handbook.pictures)}
    for uri, text in handbook.shop_pages.items():
        for line, column, target in _links(text):
            there = posixpath.normpath(posixpath.join("shop", posixpath.dirname(uri), re.sub(r"\.html$", ".md", target)))
            if there not in known:
                here = posixpath.join("shop", posixpath.dirname(uri))
                fault = unknown("P103", target, "page or picture", names := [posixpath.relpath(other, here) for other in known])
                fault = fault._replace(near=alike(target, names))
                fault = fault._replace(
                    example=f"[its name]({fault.near})" if fault.near else "[Front axle](../procedures/front-brake-service.md)", expected=""
                )
                yield at(text, handbook.page_files[uri], line, column, fault, len(target))


def _links(text: str) -> Iterator[tuple[int, int, str]]:
    """Line, column and target of every link within the handbook."""
    fenced = False
    for number, line in enumerate(text.splitlines(), 1):
        fenced ^= bool(_FENCE.match(line))
        for found in () if fenced else _LINK.finditer(line):
            target = unquote(found[1].partition("#")[0])
            if target and not re.match(r"[a-z]+:", target, re.IGNORECASE):
                yield number, found.start(1) + 1, target
