"""`SHA256SUMS`, the list of a copy's files: the plain form of sha256sum, written in one way only and read strictly.

Any tool can check it: `sha256sum -c SHA256SUMS`. Since there is one way to write a list, a single changed bit in it is
either another list or none at all. Standard library only.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable

LIST = "SHA256SUMS"

LONGEST_NAME = 240  # characters; Windows opens paths of 260 in all
_LINE = re.compile(r"([0-9a-f]{64})  ([^\n]+)")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
# Windows reads these as devices, whatever follows the dot.
_DEVICE = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\..*)?", re.IGNORECASE)
STAGE = ".handbook-publishing"  # in a site while a publication is under way; see publish


class ListError(ValueError):
    """The list cannot be relied on. The message is one line with the line's number."""


def written(digests: dict[str, str]) -> str:
    """The text of the list, in the order of the names."""
    return "".join(f"{digests[name]}  {name}\n" for name in sorted(digests))


def read(content: bytes) -> dict[str, str]:
    """Name → digest. Raises ListError unless the list is exactly as `written` makes it, of names that are safe anywhere."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise ListError(f"{LIST}, line {content[: error.start].count(10) + 1}: not UTF-8 text") from None
    digests: dict[str, str] = {}
    for number, line in enumerate(text.split("\n")[:-1], 1):
        found = _LINE.fullmatch(line)
        if not found:
            raise ListError(f"{LIST}, line {number}: not «64 hex digits, two spaces, a name»")
        if problem := name_problem(found[2]):
            raise ListError(f"{LIST}, line {number}: {shown(found[2])} {problem}")
        digests[found[2]] = found[1]
    if not digests or written(digests) != text:
        raise ListError(f"{LIST} is not in order: a line is missing, twice, or out of place")
    if clash := name_clash(digests):
        raise ListError(f"{LIST}: {clash}")
    return digests


def name_problem(name: str) -> str | None:
    """Why a name cannot stand for a file inside a copy on every system; None if it can."""
    if _CONTROL.search(name):
        return "holds a control character"
    if not name or len(name) > LONGEST_NAME:
        return f"has {len(name)} characters; a name has 1 to {LONGEST_NAME}"
    if "\\" in name:
        return "holds a backslash"
    if name.startswith("/"):
        return "is an absolute path"
    if re.match(r"[A-Za-z]:", name):
        return "starts with a drive letter"
    if ":" in name:
        return "holds a colon"
    parts = name.split("/")
    if ".." in parts:
        return "leads out of the copy"
    if any(part in ("", ".") or part[-1] in ". " for part in parts):
        return "has a part that is empty or ends with a dot or a space"
    if any(_DEVICE.fullmatch(part) for part in parts):
        return "is a device on Windows"
    return None


def name_clash(names: Iterable[str]) -> str | None:
    """The first two names of which a system that ignores case, or composes letters, could keep only one; else None."""
    seen: dict[str, str] = {}
    for name in names:
        key = unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
        if key in seen:
            return f"{shown(seen[key])} and {shown(name)} {'are there twice' if name == seen[key] else 'differ only by case'}"
        seen[key] = name
    for key in seen:
        for at in (index for index, letter in enumerate(key) if letter == "/"):
            if key[:at] in seen:
                return f"{shown(seen[key[:at]])} is a file and a folder"
    return None


def shown(name: str) -> str:
    """A name from outside in one line, in quotes, cut to 80 characters."""
    return ascii(name) if len(name) <= 80 else ascii(name[:80]) + "…"


def sha256(content: bytes) -> str:
    """64 hex digits."""
    return hashlib.sha256(content).hexdigest()
