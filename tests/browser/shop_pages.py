"""A shop's pages as the page “Write a page” saves them, for tests that need no Python in the page."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from build_tools.exchange import shop_data

BUILD = "0123456789ab"
RULES = "pages/rules.md"


def write_shop_data(site: Path, pages: dict[str, str], build: str = BUILD, files: dict[str, str] | None = None) -> Path:
    """Save pages, HTML by file, into a copy of the site; gives the file."""
    data: dict[str, Any] = {
        "format": shop_data.FORMAT,
        "build": build,
        "files": files or dict.fromkeys(pages, "x\n"),
        "pages": [
            {"file": name, "kind": name.split("s/")[0], "title": title_of(html), "html": html, "entries": []}
            for name, html in pages.items()
        ],
        "vehicles": [],
    }
    whole = data | {"fingerprint": shop_data.fingerprint(data)}
    path = site / shop_data.NAME
    path.write_text(f"// Of this shop.\nself.shopData = {json.dumps(whole, ensure_ascii=False, indent=1)};\n", "utf-8")
    return path


def title_of(html: str) -> str:
    return html.partition("<h1>")[2].partition("</h1>")[0] or "Our page"


def address(site: Path, name: str, fragment: str = "") -> str:
    """Where a saved page opens."""
    return f"{(site / 'own/page.html').as_uri()}?{name}{fragment}"
