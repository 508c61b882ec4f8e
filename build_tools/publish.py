"""Put a finished build into its folder, and touch nothing there that a build did not make.

`SHA256SUMS` at the site's top lists the files that a build made (build_tools/checksums.py). It is how the next build
knows what it may replace, and how anyone can check that a copy on a stick is whole.
"""
from __future__ import annotations

import shutil
from pathlib import Path

from build_tools import shop_data
from build_tools.checksums import LIST, sha256, written
from build_tools.shop_data import NAME as SHOP_DATA

OLD_LIST = "files.sha256"  # what version 0.1.0 called the list; such a folder is built over too


class FolderError(ValueError):
    """The folder cannot take the site. The message is one line that says what to do."""


def publish(fresh: Path, site: Path) -> list[str]:
    """Move the build in `fresh` to `site`; return the shop's files that were kept. Raises FolderError, OSError.

    No build makes a `shop-data.js`: the one in `site` is the shop's and stays, unless it is the empty one of version 0.1.0.
    """
    new = checksums(fresh)
    old = check_folder(site, new)
    kept = [SHOP_DATA] if (site / SHOP_DATA).is_file() else []
    if kept and is_shipped_empty(site / SHOP_DATA, old):
        (site / SHOP_DATA).unlink()
        kept = []
    site.mkdir(parents=True, exist_ok=True)
    if not (site / LIST).exists():
        (site / OLD_LIST).unlink(missing_ok=True)
    for name in set(old) - {SHOP_DATA}:
        (site / name).unlink(missing_ok=True)
    # The list goes in before the files, so that a build that is cut off here can be built over.
    (site / LIST).write_text(written(new), "utf-8", newline="\n")
    for name in new:
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.move(fresh / name, site / name)
    remove_empty_folders(site)
    return kept


def check_folder(site: Path, new: dict[str, str]) -> dict[str, str]:
    """The files an earlier build made in `site`. Raises FolderError if the folder holds someone else's work."""
    if site.is_file():
        raise FolderError(f"{site} is a file. Give a folder, for example: --out handbook")
    if not site.exists() or not any(site.iterdir()):
        return {}
    manifest = next((site / name for name in (LIST, OLD_LIST) if (site / name).is_file()), None)
    if manifest is None:
        raise FolderError(
            f"{site} holds files that the handbook did not make. "
            "Give an empty folder, or one of an earlier build, for example: --out handbook"
        )
    old = listed(manifest)
    for name in new:
        if name not in old and (site / name).exists():
            raise FolderError(f"{site / name} is in the way and was not made by the handbook. Move it, then build again.")
    return old


def checksums(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file that a build made under a folder by its name, in the order of the names."""
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: sha256(files[name].read_bytes()) for name in sorted(files) if name not in (LIST, SHOP_DATA)}


def listed(manifest: Path) -> dict[str, str]:
    """What a list holds. Names that lead out of the site are passed over."""
    site = manifest.parent.resolve()
    entries = {}
    for line in manifest.read_text("utf-8", errors="replace").splitlines():
        digest, _, name = line.partition("  ")
        if name and (site / name).resolve().is_relative_to(site):
            entries[name] = digest
    return entries


def is_shipped_empty(path: Path, old: dict[str, str]) -> bool:
    """Whether nothing was saved over the empty file that version 0.1.0 shipped, and listed."""
    content = path.read_bytes()
    try:
        return shop_data.read(content).empty
    except shop_data.ShopDataError:
        return sha256(content) == old.get(SHOP_DATA)


def remove_empty_folders(site: Path) -> None:
    """Remove the folders that the replaced build has left empty."""
    for folder in sorted((path for path in site.rglob("*") if path.is_dir()), reverse=True):
        if not any(folder.iterdir()):
            folder.rmdir()
