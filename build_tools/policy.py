"""The content-security policy of a page: only the handbook's own files run.

Nothing inline runs unless its hash is in the policy, no style is inline, and
nothing is asked from outside the site. 'wasm-unsafe-eval' and worker-src blob:
let Python start in the page; data: images are the signs drawn in style sheets.

Source: W3C Content Security Policy Level 3 (hash sources, 6.7.2 and 2.3.1);
HTML Standard 4.2.5.3 (the policy in a <meta>).
"""

from __future__ import annotations

import base64
import hashlib
import re

_HEAD = re.compile(r"<head\b[^>]*>", re.IGNORECASE)
_SCRIPT = re.compile(r"<script\b([^>]*)>(.*?)</script\s*>", re.IGNORECASE | re.DOTALL)
_TYPE = re.compile(r"""\btype\s*=\s*["']?([^"'\s>]+)""", re.IGNORECASE)
_STYLE_ELEMENT = re.compile(r"<style\b[^>]*>.*?</style\s*>", re.IGNORECASE | re.DOTALL)
TAG = re.compile(r"""<[a-zA-Z](?:"[^"]*"|'[^']*'|[^"'>])*>""")
_ATTRIBUTE = re.compile(r"""(\s+)([^\s=/>"']+)(?:\s*=\s*("[^"]*"|'[^']*'|[^\s"'>]+))?""")
_ALIGNMENT = re.compile(r"text-align:\s*(left|right|center)\s*;?", re.IGNORECASE)

# What a browser runs: no type, a JavaScript type, or a module. Anything else is
# a block of data (HTML Standard, 4.12.1) and needs no hash.
_RUNS = re.compile(r"^(module|importmap|speculationrules|(text|application)/(x-)?(java|ecma)script)$", re.IGNORECASE)


def with_policy(html: str) -> str:
    """The page with its policy first in <head>, and without inline styles.

    Raises ValueError where the page has no <head> to put the policy in.
    """
    html = _without_inline_styles(html)
    head = _HEAD.search(html)
    if head is None:
        raise ValueError("a page needs a <head> to carry its content-security policy, and this one has none")
    meta = f'\n<meta http-equiv="Content-Security-Policy" content="{policy(html)}">'
    return html[: head.end()] + meta + html[head.end() :]


def policy(html: str) -> str:
    """The policy that lets exactly this page's own inline scripts run."""
    scripts = " ".join(["'self'", "'wasm-unsafe-eval'", *inline_script_hashes(html)])
    return "; ".join(
        [
            "default-src 'none'",
            f"script-src {scripts}",
            "worker-src blob:",
            "connect-src 'self'",
            "style-src 'self'",
            "img-src 'self' data:",
            "font-src 'self'",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def inline_script_hashes(html: str) -> list[str]:
    """'sha256-…' of each inline script that runs, sorted, each once."""
    hashes = set()
    for attributes, text in _SCRIPT.findall(html):
        kind = _TYPE.search(attributes)
        if re.search(r"\bsrc\s*=", attributes, re.IGNORECASE) or (kind and not _RUNS.match(kind[1])):
            continue
        # A browser hashes the text after it has made every line end a line feed.
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        digest = hashlib.sha256(text.encode("utf-8")).digest()
        hashes.add(f"'sha256-{base64.b64encode(digest).decode('ascii')}'")
    return sorted(hashes)


def _without_inline_styles(html: str) -> str:
    """Alignment in tables becomes an attribute; every other inline style goes.

    Scripts are left as they are: a «style=» in them is text, not markup.
    """
    kept, at = [], 0
    for script in _SCRIPT.finditer(html):
        kept += [_restyled(html[at : script.start()]), script[0]]
        at = script.end()
    return "".join([*kept, _restyled(html[at:])])


def _restyled(markup: str) -> str:
    markup = _STYLE_ELEMENT.sub("", markup)
    return TAG.sub(lambda tag: _ATTRIBUTE.sub(_attribute, tag[0]), markup)


def _attribute(found: re.Match[str]) -> str:
    _, name, value = found.groups()
    if name.lower() != "style":
        return found[0]
    # Python-Markdown aligns a column so where use_align_attribute is off.
    aligned = _ALIGNMENT.fullmatch((value or "").strip("\"' "))
    return f' align="{aligned[1].lower()}"' if aligned else ""
