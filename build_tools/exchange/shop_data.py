"""`shop-data.js`, the file that the page “Write a page” saves, read strictly: one value of plain data and nothing else.

It is a script on every page, since a page opened from disk can read nothing else; so whatever else stands in it would run.
The pages know the same form: docs/scripts/store/shop-data.js. Standard library only.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass, field
from typing import Any

NAME = "shop-data.js"
FORMAT = "wheel-end-shop/1"
LARGEST = 5_000_000  # bytes
SHOWN = 16  # digits of the fingerprint, as the pages show them
FILE = re.compile(r"shop\.yml|(procedures|pages|vehicles|cautions)/[a-z0-9]+(-[a-z0-9]+)*\.(yml|md|json)")
# Lines of comment, then the value; JavaScript ends a comment at each of these four.
_WHOLE = re.compile(r"(?://[^\n\r\u2028\u2029]*\n)*self\.shopData = (.*);\s*", re.DOTALL)
_KEYS = {"format", "build", "files", "pages", "vehicles", "fingerprint"}
_PAGE = {"file": str, "kind": str, "title": str, "html": str, "entries": list}
WANTED = "Save it again on the page “Write a page”, or take the shop's own backup of it."


class ShopDataError(ValueError):
    """The file is not what the handbook saves. The message is one line without the file's name."""


@dataclass
class ShopData:
    """What a `shop-data.js` holds."""

    files: dict[str, str] = field(default_factory=dict)
    pages: list[dict[str, Any]] = field(default_factory=list)
    vehicles: list[Any] = field(default_factory=list)
    build: str = ""
    fingerprint: str = ""  # of what stands in it now
    saved_as: str | None = None  # the one it was saved with; None before version 0.2.0
    empty: bool = False  # as version 0.1.0 shipped it: null

    @property
    def is_changed(self) -> bool:
        return self.saved_as is not None and self.saved_as != self.fingerprint

    def says(self) -> str:
        """What a person is told of it, in one line."""
        held = f"{_count(len(self.pages), 'page')}, {_count(len(self.vehicles), 'vehicle sheet')}"
        if self.saved_as is not None and self.is_changed:
            return f"{NAME}: changed or damaged since it was saved; its fingerprint is {self.fingerprint[:SHOWN]}, not {self.saved_as[:SHOWN]}. {WANTED}"
        how = "as they were saved" if self.saved_as else "saved by an earlier version without a fingerprint, so a change does not show"
        return f"This shop's own pages, {NAME}: {held}, {how}. Fingerprint {self.fingerprint[:SHOWN]}."


def read(raw: bytes) -> ShopData:
    """What the file holds. Raises ShopDataError unless it is data in the handbook's own form, and nothing else."""
    if len(raw) > LARGEST:
        raise ShopDataError(f"it has {len(raw):,} bytes; a file that the handbook saved has at most {LARGEST:,}.")
    try:
        found = _WHOLE.fullmatch(raw.decode("utf-8"))
        data = json.loads(found[1], object_pairs_hook=_once, parse_constant=_no) if found else _no("")
    except (ValueError, RecursionError):
        raise ShopDataError(f"no pages in it, or more than pages. {WANTED}") from None
    if data is None:
        return ShopData(empty=True)
    if problem := _problem(data):
        raise ShopDataError(f"{problem}. {WANTED}")
    saved_as = data.pop("fingerprint", None)
    return ShopData(data["files"], data["pages"], data["vehicles"], data.get("build", ""), fingerprint(data), saved_as)


def fingerprint(data: dict[str, Any]) -> str:
    """64 hex digits over the data without its fingerprint, in the order of the file, as the pages work it out."""
    return hashlib.sha256(json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass")).hexdigest()


def _problem(data: Any) -> str:
    if not isinstance(data, dict) or not isinstance(data.get("files"), dict):
        return "no pages in it"
    if unknown := sorted(set(data) - _KEYS):
        return f"it holds {unknown[0][:40]!r}, which the handbook does not save"
    data.setdefault("pages", [])
    data.setdefault("vehicles", [])
    if data.get("format", FORMAT) != FORMAT or not all(isinstance(data.get(key, ""), str) for key in ("build", "fingerprint")):
        return f"it is of another form than {FORMAT}"
    for name, text in data["files"].items():
        if not FILE.fullmatch(name) or not isinstance(text, str):
            return f"it names a file {name[:60]!r}, which has no place in a shop's folder"
    if not isinstance(data["pages"], list) or not isinstance(data["vehicles"], list) or not all(map(_is_page, data["pages"])):
        return "one of its pages is incomplete"
    return ""


def _is_page(page: Any) -> bool:
    return (
        isinstance(page, dict)
        and all(isinstance(page.get(key), kind) for key, kind in _PAGE.items())
        and bool(FILE.fullmatch(page["file"]))
    )


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs) or "__proto__" in found:
        _no("")
    return found


def _no(_: str) -> Any:
    raise ValueError


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
