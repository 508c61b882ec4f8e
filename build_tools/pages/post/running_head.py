"""The line printed at the top of every sheet: what it is a copy of.

Print margins read an attribute of <html> (docs/styles/print.css), because a
page rule sees nothing else of the page. Pure: HTML in, HTML out.
"""

from __future__ import annotations

import html
import re

_ARTICLE = re.compile(r"<article\b[^>]*\bdata-procedure=[^>]*>")
_TITLE = re.compile(r"<title>(.*?)</title>", re.DOTALL)
_BUILD = re.compile(r'<meta name="handbook:build" content="([^"]*)"')


def with_running_head(page: str) -> str:
    """The page with data-running-head on its <html>: title, id, revision, build."""
    parts = []
    if title := _TITLE.search(page):
        parts.append(html.unescape(title[1].strip()))
    if article := _ARTICLE.search(page):
        parts.append(_attribute(article[0], "data-procedure"))
        if revision := _attribute(article[0], "data-revision"):
            parts.append(f"revision {revision}")
    if (build := _BUILD.search(page)) and build[1]:
        parts.append(f"build {html.unescape(build[1])}")
    head = html.escape(" · ".join(parts), quote=True)
    return re.sub(r"<html\b", lambda tag: f'{tag[0]} data-running-head="{head}"', page, count=1)


def _attribute(tag: str, name: str) -> str:
    found = re.search(rf'\b{name}="([^"]*)"', tag)
    return html.unescape(found[1]) if found else ""
