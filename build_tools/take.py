"""Takes the pages that a shop wrote in the browser into its folder, where a build finds them.

`shop-data.js` holds the very text of every file (docs/scripts/shop-data.js). Nothing that stands in the folder with other
words is written over.
"""
from __future__ import annotations

import json
import re
from pathlib import Path

LARGEST = 5_000_000  # bytes
NAME = re.compile(r"shop\.yml|(procedures|pages|vehicles|cautions)/[a-z0-9]+(-[a-z0-9]+)*\.(yml|md|json)")


class TakeError(ValueError):
    """The file cannot be taken. The message is one line."""


def files_in(path: Path) -> dict[str, str]:
    """The shop's files in a `shop-data.js`, by their path in a shop's folder. Raises TakeError, OSError."""
    raw = path.read_bytes()
    if len(raw) > LARGEST:
        raise TakeError(f"{path.name}: {len(raw):,} bytes; a file that the handbook saved has at most {LARGEST:,}.")
    found = re.search(r"^self\.shopData = (.*);\s*\Z", raw.decode("utf-8", "replace"), re.DOTALL | re.MULTILINE)
    try:
        data = json.loads(found[1]) if found else None
    except (ValueError, RecursionError):
        data = None
    files = data.get("files") if isinstance(data, dict) else None
    if not isinstance(files, dict):
        raise TakeError(f"{path.name}: no pages in it. Give the file that the page «Write a page» saved, for example: site/shop-data.js")
    for name, text in files.items():
        if not NAME.fullmatch(name) or not isinstance(text, str):
            raise TakeError(f"{path.name}: it names a file {name[:60]!r}, which has no place in a shop's folder.")
    return files


def take(path: Path, folder: Path) -> tuple[list[str], list[str]]:
    """Write the files that the folder lacks; the names that were written, and those that stand there with other words.

    Raises TakeError, OSError.
    """
    files = files_in(path)
    fresh = {name: text for name, text in files.items() if not (folder / name).exists()}
    for name, text in fresh.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, "utf-8", newline="\n")
    kept = [name for name, text in files.items() if name not in fresh and (folder / name).read_text("utf-8", "replace") != text]
    return sorted(fresh), sorted(kept)
