"""Put a finished build into its folder, and touch nothing there that a build did not make.

`files.sha256` at the site's top lists the files that a build made, in the form of `sha256sum`. It is how the next
build knows what it may replace, and how anyone can check that a copy on a stick is whole: `sha256sum -c files.sha256`.
"""
from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

MANIFEST = "files.sha256"
# Shipped empty; the shop's own pages and vehicle sheets are saved over it. Never replaced once it differs.
SHOP_DATA = "shop-data.js"


class FolderError(ValueError):
    """The folder cannot take the site. The message is one line that says what to do."""


def publish(fresh: Path, site: Path) -> list[str]:
    """Move the build in `fresh` to `site`; return the shop's files that were kept. Raises FolderError, OSError."""
    new = checksums(fresh)
    old = check_folder(site, new)
    kept = [SHOP_DATA] if is_shops_own(site, old) else []
    site.mkdir(parents=True, exist_ok=True)
    for name in set(old) - set(kept):
        (site / name).unlink(missing_ok=True)
    # The list goes in before the files, so that a build that is cut off here can be built over.
    manifest = "".join(f"{digest}  {name}\n" for name, digest in new.items())
    (site / MANIFEST).write_text(manifest, "utf-8", newline="\n")
    for name in new:
        if name not in kept:
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
    if not (site / MANIFEST).is_file():
        raise FolderError(
            f"{site} holds files that the handbook did not make. "
            "Give an empty folder, or one of an earlier build, for example: --out handbook"
        )
    old = listed(site)
    for name in new:
        if name not in old and name != SHOP_DATA and (site / name).exists():
            raise FolderError(f"{site / name} is in the way and was not made by the handbook. Move it, then build again.")
    return old


def checksums(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file under a folder by its name, in the order of the names."""
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: hashlib.sha256(files[name].read_bytes()).hexdigest() for name in sorted(files) if name != MANIFEST}


def listed(site: Path) -> dict[str, str]:
    """What `files.sha256` lists. Names that lead out of the site are passed over."""
    entries = {}
    for line in (site / MANIFEST).read_text("utf-8").splitlines():
        digest, _, name = line.partition("  ")
        if name and (site / name).resolve().is_relative_to(site.resolve()):
            entries[name] = digest
    return entries


def is_shops_own(site: Path, old: dict[str, str]) -> bool:
    """Whether the shop saved its own data over the empty file that was shipped."""
    path = site / SHOP_DATA
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() != old.get(SHOP_DATA)


def remove_empty_folders(site: Path) -> None:
    """Remove the folders that the replaced build has left empty."""
    for folder in sorted((path for path in site.rglob("*") if path.is_dir()), reverse=True):
        if not any(folder.iterdir()):
            folder.rmdir()
