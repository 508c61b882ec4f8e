"""A shop's own Markdown: raw HTML is shown as text, and links lead only where a link may lead.

A Python-Markdown extension, so that no sanitiser has to guess afterwards what was meant.
"""
from __future__ import annotations

import re

from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor

_SCHEME = re.compile(r"\s*([a-z][a-z0-9+.-]*):", re.IGNORECASE)
ALLOWED = ("http", "https", "mailto", "tel")


class _Links(Treeprocessor):
    def run(self, root):
        for element in root.iter():
            for attribute in ("href", "src"):
                found = _SCHEME.match(self.unescape(element.get(attribute) or ""))
                if found and found[1].lower() not in ALLOWED:
                    del element.attrib[attribute]

    @staticmethod
    def unescape(text: str) -> str:
        # control characters inside a scheme are dropped by browsers, so they are dropped before the look
        return re.sub(r"[\x00-\x20]", "", text)


class ShopMarkdown(Extension):
    """Raw HTML as text; `href` and `src` with a scheme outside ALLOWED are taken away."""

    def extendMarkdown(self, md):
        md.registerExtension(self)
        for registry, name in ((md.preprocessors, "html_block"), (md.inlinePatterns, "html")):
            if name in registry:
                registry.deregister(name)
        # «onclick» and «style» can come in through attribute lists as well as through tags
        for registry in (md.treeprocessors,):
            if "attr_list" in registry:
                registry.deregister("attr_list")
        md.treeprocessors.register(_Links(md), "shop_links", -100)


def makeExtension(**options):
    return ShopMarkdown(**options)
