"""A shop's own Markdown: raw HTML is shown as text, and links lead only where a link may lead.

A Python-Markdown extension, so that no sanitiser has to guess afterwards what was meant.
"""
from __future__ import annotations

import html
import re

from markdown.extensions import Extension
from markdown.treeprocessors import Treeprocessor
from markdown.util import AMP_SUBSTITUTE

ALLOWED = ("http", "https", "mailto", "tel")


class _Links(Treeprocessor):
    def run(self, root):
        for element in root.iter():
            for attribute in ("href", "src"):
                if not _may_lead(element.get(attribute) or ""):
                    del element.attrib[attribute]


def _may_lead(address: str) -> bool:
    """Whether an address has no scheme, or an allowed one, read as a browser reads it."""
    # entities are resolved and control characters dropped by browsers, so both are done before the look
    text = re.sub(r"[\x00-\x20]", "", html.unescape(address.replace(AMP_SUBSTITUTE, "&")))
    scheme, colon, _ = re.split(r"[/?#]", text, maxsplit=1)[0].partition(":")
    return not colon or scheme.lower() in ALLOWED


class ShopMarkdown(Extension):
    """Raw HTML as text; `href` and `src` with a scheme outside ALLOWED are taken away."""

    def extendMarkdown(self, md):
        md.registerExtension(self)
        # «onclick» and «style» can come in through attribute lists as well as through tags
        for registry, name in ((md.preprocessors, "html_block"), (md.inlinePatterns, "html"), (md.treeprocessors, "attr_list")):
            if name in registry:
                registry.deregister(name)
        md.treeprocessors.register(_Links(md), "shop_links", -100)


def makeExtension(**options):
    return ShopMarkdown(**options)
