"""Takes the pages that a shop wrote in the browser into its folder, where a build finds them.

`shop-data.js` holds the very text of every file (build_tools/exchange/shop_data.py). Nothing that stands in the folder with other
words is written over.
"""

from __future__ import annotations

from pathlib import Path

from build_tools.content.shop import plain_files
from build_tools.exchange import shop_data


class ImportPagesError(ValueError):
    """The file cannot be taken. The message is one line."""


def files_in(path: Path) -> dict[str, str]:
    """The shop's files in a `shop-data.js`, by their path in a shop's folder. Raises ImportPagesError, OSError."""
    try:
        found = shop_data.read(path.read_bytes())
    except shop_data.ShopDataError as error:
        raise ImportPagesError(f"{path.name}: {error}") from None
    if found.empty:
        raise ImportPagesError(
            f"{path.name}: no pages in it. Give the file that the page “Write a page” saved, for example: site/shop-data.js"
        )
    if found.is_changed:
        raise ImportPagesError(found.says())
    return found.files


def import_pages(path: Path, folder: Path) -> tuple[list[str], list[str]]:
    """Write the files that the folder lacks; the names that were written, and those that stand there with other words.

    Raises ImportPagesError, OSError.
    """
    files = files_in(path)
    for name in files:  # before the first is written
        if linked := plain_files.linked_part(folder, name):
            raise ImportPagesError(
                f"{folder / linked}: this is a link to somewhere else, and nothing is written through it. Put a folder or file of its own there, for example: {name}"
            )
        if fault := plain_files.name_fault(name):
            raise ImportPagesError(f"{path.name}: {name}: {fault[0]} For example: {fault[1]}")
    fresh = {name: text for name, text in files.items() if not (folder / name).exists()}
    for name, text in fresh.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    kept = [name for name, text in files.items() if name not in fresh and (folder / name).read_text("utf-8", "replace") != text]
    return sorted(fresh), sorted(kept)
