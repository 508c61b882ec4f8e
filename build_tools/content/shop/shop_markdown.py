"""A shop's own Markdown: raw HTML is shown as text, and links lead only where a link may lead.

A Python-Markdown extension, so that no sanitiser has to guess afterwards what was meant; `faults` says beforehand what
it would show as text or take away.
"""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any

import markdown
from markdown.extensions import Extension
from markdown.extensions.attr_list import AttrListExtension
from markdown.treeprocessors import Treeprocessor
from markdown.util import AMP_SUBSTITUTE

from build_tools.content.problems import Fault

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

# What MkDocs reads a page with, its own three and those of mkdocs.yml (a test holds them together). By their full names:
# the page writer's Python has no list of installed packages to look short ones up in.
EXTENSIONS: dict[str, dict[str, Any]] = {
    f"markdown.extensions.{name}": settings
    for name, settings in {
        "toc": {"permalink": False},
        "tables": {"use_align_attribute": True},
        "fenced_code": {},
        "attr_list": {},
        "md_in_html": {},
        "def_list": {},
    }.items()
}
ALLOWED = ("http", "https", "mailto", "tel")
_TAG = re.compile(r"<[A-Za-z/!][^>]*>")
_HTML = Fault("P101", "This is HTML, which a page shows as plain text; write it in Markdown.", "**twice**")
_TOO_DEEP = Fault(
    "P104",
    "Lists, quotations or lines with a colon stand too deep inside each other; put blank lines between.",
    "A short paragraph, then a blank line.",
)
MOST_SAID = 100  # of one page; the others show when these are mended
_LINK = Fault("P102", "A link may not lead to such an address, and would be taken away.", "[our list](list.md)")

Found = list[tuple[str, Fault]]  # tags and addresses, each with what to say about it


class _Links(Treeprocessor):
    def __init__(self, md: markdown.Markdown, found: Found):
        super().__init__(md)
        self.found = found

    def run(self, root: Element) -> None:
        for element in root.iter():
            for attribute in ("href", "src"):
                address = element.get(attribute) or ""
                if not _may_lead(address):
                    self.found.append((address, _LINK))
                    del element.attrib[attribute]
            texts = (element.tail,) if element.tag == "code" else (element.text, element.tail)
            self.found += [(tag, _HTML) for text in texts for tag in _tags(text or "")]


def _tags(text: str) -> list[str]:
    """What looks like a tag. Past the last > nothing does, and looking there would take the square of the length."""
    return _TAG.findall(text[: text.rfind(">") + 1])


def _may_lead(address: str) -> bool:
    """Whether an address has no scheme, or an allowed one, read as a browser reads it."""
    # entities are resolved and control characters dropped by browsers, so both are done before the look
    text = re.sub(r"[\x00-\x20]", "", html.unescape(address.replace(AMP_SUBSTITUTE, "&")))
    scheme, colon, _ = re.split(r"[/?#]", text, maxsplit=1)[0].partition(":")
    return not colon or scheme.lower() in ALLOWED


class ShopMarkdown(Extension):
    """Raw HTML as text; `href` and `src` with a scheme outside ALLOWED are taken away. `found` gathers both."""

    def __init__(self, found: Found | None = None, **options: Any):
        super().__init__(**options)
        self.found: Found = [] if found is None else found

    def extendMarkdown(self, md: markdown.Markdown) -> None:
        md.registerExtension(self)
        # «onclick» and «style» can come in through attribute lists as well as through tags
        for registry, name in ((md.preprocessors, "html_block"), (md.inlinePatterns, "html"), (md.treeprocessors, "attr_list")):
            if name in registry:
                registry.deregister(name)
        # a fence takes attributes from its info line as soon as the extension is there
        md.registeredExtensions = [each for each in md.registeredExtensions if not isinstance(each, AttrListExtension)]
        md.treeprocessors.register(_Links(md, self.found), "shop_links", -100)


def faults(text: str) -> Found:
    """The tags and addresses of a page that it cannot have, as they are written, each with what to say about it."""
    found: Found = []
    try:
        markdown.markdown(text, extensions=[*EXTENSIONS, ShopMarkdown(found)], extension_configs=EXTENSIONS)
    except RecursionError:
        return [("", _TOO_DEEP)]
    return list(dict.fromkeys(found))[:MOST_SAID]


def makeExtension(**options: Any) -> ShopMarkdown:
    return ShopMarkdown(**options)
