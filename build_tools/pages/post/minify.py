"""A page in fewer bytes, the same to every reader, since nothing compresses it over file://.

Pure: HTML in, HTML out; style sheets likewise. Source: HTML Standard, 13.1.2.3 (empty, unquoted and single-quoted attributes).
"""

from __future__ import annotations

import re

from build_tools.pages.post.csp import TAG

_ATTRIBUTE = re.compile(r"""( [\w-]+)="([^"]*)\"""")
# Present or not, they hold no value. Elsewhere a value may well be the attribute's own name.
_PRESENT = re.compile(r"hidden|open|checked|selected|disabled|required|novalidate|data-[\w-]+")
# White space after the end of a block is shown nowhere.
_BLOCK_END = re.compile(r"(</(?:p|li|ul|ol|dl|div|figure|fieldset|section|details|table|tbody|tr|td|th)>)\s+(?=<)")
# Needs no quotes; a slash at its end could be taken for the end of the tag.
_PLAIN = re.compile(r"[\w.:#/-]*[\w.:#-]")
_CSS_COMMENT = re.compile(r"""("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')|/\*.*?\*/\s*""", re.DOTALL)
_QUOTE = re.compile(r"&quot;|&#34;")


def minify(html: str) -> str:
    """The page with `hidden` for `hidden="hidden"`, few quotes, JSON in attributes between single quotes, and no gaps between blocks."""
    return _BLOCK_END.sub(r"\1", TAG.sub(lambda tag: _ATTRIBUTE.sub(_short, tag[0]), html))


def minify_styles(css: str) -> str:
    """The sheet without its comments, which are for whoever writes it; text in quotes, such as a drawn sign, stays as it is."""
    return _CSS_COMMENT.sub(lambda found: found[1] or "", css)


def _short(attribute: re.Match[str]) -> str:
    name, value = attribute[1], attribute[2]
    if value == name[1:] and _PRESENT.fullmatch(value):
        return name
    if _PLAIN.fullmatch(value):
        return f"{name}={value}"
    if _QUOTE.search(value) and "'" not in value and "&#39;" not in value and "&#x27;" not in value:
        return f"{name}='{_QUOTE.sub(chr(34), value)}'"
    return attribute[0]
