"""The content-security policy of a page: only the handbook's own files run.

Nothing inline runs, no style is inline, and nothing is asked from outside the
site: a page that holds such a thing all the same is refused, since only a text
that was not escaped could have brought it. 'wasm-unsafe-eval' and worker-src blob:
let Python start in the page; data: images are the signs drawn in style sheets.

Source: W3C Content Security Policy Level 3;
HTML Standard 4.2.5.3 (the policy in a <meta>).
"""

from __future__ import annotations

import re
from html import unescape

_HEAD = re.compile(r"<head\b[^>]*>", re.IGNORECASE)
_SCRIPT = re.compile(r"<script\b([^>]*)>(.*?)</script\s*>", re.IGNORECASE | re.DOTALL)
_TYPE = re.compile(r"""\btype\s*=\s*["']?([^"'\s>]+)""", re.IGNORECASE)
TAG = re.compile(r"""<[a-zA-Z](?:"[^"]*"|'[^']*'|[^"'>])*>""")
# A slash parts attributes like a space, and after a quoted value nothing has to (HTML Standard, 13.2.5.32 to 13.2.5.39).
_ATTRIBUTE = re.compile(r"""([\s/]*)([^\s=/>"']+)(?:\s*=\s*("[^"]*"|'[^']*'|[^\s"'>]+))?""")
_ALIGNMENT = re.compile(r"text-align:\s*(left|right|center)\s*;?", re.IGNORECASE)

# What a browser runs: no type, a JavaScript type, or a module. Anything else is
# a block of data (HTML Standard, 4.12.1).
_RUNS = re.compile(r"^(module|importmap|speculationrules|(text|application)/(x-)?(java|ecma)script)$", re.IGNORECASE)

# What no page of the handbook holds: it would run, frame, lead away or ask elsewhere (HTML Standard, 4.2 and 4.8).
_NEVER = frozenset("base iframe frame frameset object embed applet portal style".split())
_ADDRESSES = frozenset("href src action formaction data xlink:href poster background srcset".split())
_LINKS = frozenset(("stylesheet", "icon"))  # rel of <link>; preconnect and its like ask elsewhere
_SCHEME = re.compile(r"^[\x00-\x20]*([a-z][a-z0-9+.-]*):", re.IGNORECASE)
_FOLLOWED = frozenset(("http", "https", "mailto", "tel"))  # only where a reader follows a link


class Unexpected(ValueError):
    """Something stands in a page that the build did not put there; the message says what and where."""


def with_policy(html: str) -> str:
    """The page with its policy first in <head>, and with the alignment of tables as an attribute.

    Raises Unexpected where the page holds a script, a handler, a style, a frame or an address that is not the build's
    own, and ValueError where it has no <head> to put the policy in.
    """
    html = _checked(html)
    head = _HEAD.search(html)
    if head is None:
        raise ValueError("a page needs a <head> to carry its content-security policy, and this one has none")
    meta = f'\n<meta http-equiv="Content-Security-Policy" content="{policy()}">'
    return html[: head.end()] + meta + html[head.end() :]


def policy() -> str:
    """The policy of every page: the handbook's own files run, and nothing else. No hash is in it, since nothing inline is the build's own."""
    return "; ".join(
        [
            "default-src 'none'",
            "script-src 'self' 'wasm-unsafe-eval'",
            "worker-src blob:",
            "connect-src 'self'",
            "style-src 'self'",
            "img-src 'self' data:",
            "font-src 'self'",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def _checked(html: str) -> str:
    """The page, looked through tag by tag. The text of its scripts is left as it is: what looks like a tag there is none."""
    kept, at = [], 0
    for script in _SCRIPT.finditer(html):
        kept += [_markup(html[at : script.start()]), script[0]]
        _check_script(script)
        at = script.end()
    return "".join([*kept, _markup(html[at:])])


def _check_script(script: re.Match[str]) -> None:
    attributes, text = script[1], script[2]
    kind = _TYPE.search(attributes)
    tag = f"<script{attributes}>"
    _check_tag(tag, whole=True)
    if not re.search(r"\bsrc\s*=", attributes, re.IGNORECASE) and not (kind and not _RUNS.match(kind[1])):
        raise Unexpected(f"a script stands in the page itself: {tag}{text[:60]}")


def _markup(markup: str) -> str:
    return TAG.sub(lambda tag: _check_tag(tag[0]), markup)


def _check_tag(tag: str, whole: bool = False) -> str:
    """The tag, looked through. `whole`: of a script that ends; one that does not end swallows the page."""
    start = re.match(r"<([^\s/>]+)", tag)
    assert start, "TAG has found a letter there"
    name = start[1].lower()
    if name in _NEVER or name == "script" and not whole:
        raise Unexpected(f"<{name}> stands in the page: {tag[:90]}")
    given: dict[str, str] = {}
    checked = start[0] + _ATTRIBUTE.sub(lambda found: _attribute(found, tag, given), tag[start.end() : -1]) + ">"
    if name == "link" and given.get("rel", "").lower() not in _LINKS:
        raise Unexpected(f"a link asks for something else than a style sheet or the page's sign: {tag[:90]}")
    if name == "meta" and given.get("http-equiv", "").lower() not in ("", "content-type", "x-ua-compatible"):
        raise Unexpected(f"a meta element gives an order to the browser: {tag[:90]}")
    for attribute in _ADDRESSES.intersection(given):
        scheme = _SCHEME.match(unescape(given[attribute]))
        outside = given[attribute].lstrip().startswith(("//", "\\"))
        if outside or scheme and not (attribute == "href" and name == "a" and scheme[1].lower() in _FOLLOWED):
            raise Unexpected(f"the address in {attribute} leads out of the handbook: {tag[:90]}")
    return checked


def _attribute(found: re.Match[str], tag: str, given: dict[str, str]) -> str:
    _, name, value = found.groups()
    given[name.lower()] = (value or "").strip("\"'")
    if name.lower().startswith("on"):
        raise Unexpected(f"the handler {name} stands in the page: {tag[:90]}")
    if name.lower() != "style":
        return found[0]
    # Python-Markdown aligns a column so where use_align_attribute is off.
    aligned = _ALIGNMENT.fullmatch(given["style"])
    if not aligned:
        raise Unexpected(f"a style stands in the page itself: {tag[:90]}")
    return f' align="{aligned[1].lower()}"'
