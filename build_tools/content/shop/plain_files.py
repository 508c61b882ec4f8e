"""Which files of a shop's folder are taken: plain files under it, with names that every system can hold, pictures that are pictures.

Standard library only: `take` needs no set-up.
"""

from __future__ import annotations

import os
import re
import stat
import unicodedata
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import NamedTuple

LONGEST_NAME, LONGEST_PATH = 100, 160  # characters of a name, and of a path below the shop's folder
LARGEST_PICTURE = 20_000_000  # bytes; a photograph of a telephone has 3 to 12 million

# ---- names ---------------------------------------------------------------------------------------------------------

_RESERVED = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])", re.I)
_NOT_HELD = re.compile(r'[\x00-\x1f\x7f:*?"<>|\\]')


def name_fault(path: str) -> tuple[str, str] | None:
    """Why some system cannot hold a path (below the shop's folder, with /), and one that every system can; None where all can."""
    for part in PurePosixPath(path).parts:
        if says := _part_fault(part):
            folder, stem = PurePosixPath(path).parts[0], re.split(r"[.\s]", part)[0]
            plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode().lower()
            words = "-".join(re.findall("[a-z0-9]+", plain))[:30].strip("-") or "page"
            words = f"our-{words}" if _RESERVED.fullmatch(words) else words
            ending = PurePosixPath(path.rstrip(" .")).suffix
            ending = ending.lower() if re.fullmatch(r"\.[A-Za-z]{1,8}", ending) else ""
            return says, f"{folder}/{words}{ending}" if folder != part else f"{words}{ending}"
    if len(path) > LONGEST_PATH:
        return (
            f"Folder and name have {len(path)} characters together; the most is {LONGEST_PATH}.",
            f"{PurePosixPath(path).parts[0]}/our-page{PurePosixPath(path).suffix[:8]}",
        )
    return None


def _part_fault(part: str) -> str:
    if _RESERVED.fullmatch(part.partition(".")[0].rstrip(" ")):
        return "Windows keeps this name for itself, with any ending; choose another."
    if found := _NOT_HELD.search(part):
        shown = found[0] if found[0].isprintable() else "·"
        return f"Some systems cannot hold the sign {shown} in a name; rename it."
    if part != part.rstrip(" .") or part != part.lstrip(" "):
        return "A name cannot begin with a space, or end with a space or a dot; rename it."
    if not unicodedata.is_normalized("NFC", part) or any(0xD800 <= ord(sign) <= 0xDFFF for sign in part):
        return "A letter of this name is stored as two signs, or as none; type the name again."
    if len(part) > LONGEST_NAME or len(part.encode("utf-8")) > 255:
        return f"The name has {len(part)} characters; the most is {LONGEST_NAME}."
    return ""


def alike(path: str) -> str:
    """The same for two paths that are one file on a system that does not tell small from capital letters."""
    return unicodedata.normalize("NFC", path).casefold()


# ---- links and special files ---------------------------------------------------------------------------------------


class Found(NamedTuple):
    """A file or folder below a shop's folder. `says` why it is not taken; empty for a plain file."""

    path: Path
    name: str  # below the folder, with /
    says: str = ""
    size: int = 0


def is_link(path: Path) -> bool:
    """Whether a path is a link: a symbolic one, or a junction of Windows."""
    try:
        held = path.lstat()
    except (OSError, ValueError):
        return False
    return stat.S_ISLNK(held.st_mode) or getattr(held, "st_reparse_tag", 0) == getattr(stat, "IO_REPARSE_TAG_MOUNT_POINT", 0xA0000003)


def below(folder: Path, name: str = "") -> Iterator[Found]:
    """Every plain file below a folder, by name; links are not followed, and hidden files left alone."""
    here = folder / name if name else folder
    try:
        names = sorted(os.listdir(here))
    except OSError as error:
        yield Found(here, name, f"It cannot be opened: {error.strerror}.")
        return
    for each in names:
        if each.startswith("."):
            continue
        path, inside = here / each, f"{name}/{each}" if name else each
        try:
            held = path.lstat()
        except OSError as error:
            yield Found(path, inside, f"It cannot be opened: {error.strerror}.")
            continue
        if is_link(path):
            yield Found(path, inside, "This is a link to somewhere else; put the file itself here.")
        elif stat.S_ISDIR(held.st_mode):
            yield from below(folder, inside)
        elif stat.S_ISREG(held.st_mode):
            yield Found(path, inside, size=held.st_size)
        else:
            yield Found(path, inside, "This is not a plain file, but a device or a pipe; put a file here.")


def linked_part(folder: Path, name: str) -> str:
    """The first part of a path below a folder that is a link; empty where none is."""
    parts = PurePosixPath(name).parts
    return next(("/".join(parts[:count]) for count in range(1, len(parts) + 1) if is_link(folder.joinpath(*parts[:count]))), "")


# ---- pictures ------------------------------------------------------------------------------------------------------

PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".gif")
_BEGINS = {b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png", b"GIF87a": "gif", b"GIF89a": "gif"}


def kind_of_picture(start: bytes) -> str:
    """The kind of picture that begins with these bytes; empty where none does."""
    if start[:4] == b"RIFF" and start[8:12] == b"WEBP":
        return "webp"
    return next((kind for begins, kind in _BEGINS.items() if start.startswith(begins)), "")


def picture_fault(found: Found) -> tuple[str, str, str] | None:
    """Code, sentence and example where a file is not the picture that its name says."""
    if found.size > LARGEST_PICTURE:
        return "F117", f"The picture has {found.size:,} bytes; the most is {LARGEST_PICTURE:,}.", ""
    path = PurePosixPath(found.name)
    try:
        with found.path.open("rb") as file:
            kind = kind_of_picture(file.read(16))
    except OSError as error:
        return "F115", f"It cannot be opened: {error.strerror}.", ""
    wanted = path.suffix.lower().replace("jpeg", "jpg")[1:]
    if not kind:
        return "F116", f"What stands in this file is no picture of the kind {path.suffix}; save the picture again.", ""
    if kind != wanted:
        return (
            "F116",
            f"The name says {path.suffix}, and the file holds a picture of the kind .{kind}; rename it.",
            path.with_suffix(f".{kind}").as_posix(),
        )
    return None
