"""Whether a copy of the site, a folder or a zip, is as the build made it: every file against `SHA256SUMS`.

The shop's own `shop-data.js` is in no list: it is read as strictly as `import-pages` reads it, and said on a line of its own.
What it cannot tell: whether files and list were exchanged together. For that, compare the list's own checksum with the
one that was printed where the copy comes from. Standard library only.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field
from pathlib import Path

from build_tools.exchange import shop_data
from build_tools.exchange.checksums import LIST, STAGE, ListError, read, sha256, shown
from build_tools.exchange.untrusted import CopyError, Folder, Zip, open_copy

LARGEST_LIST = 5_000_000  # bytes; a site's has 30,000
MOST_NAMED = 12  # of the shop's own files, so that the verdict stays in sight
PAGE = "index.html"  # every page says its build; this one is always there


@dataclass
class Report:
    """What was found in a copy."""

    build: str
    list_digest: str
    listed: dict[str, str]
    changed: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    own: list[str] = field(default_factory=list)
    shop: str = ""  # what is said of the shop's own pages; empty: there are none
    shop_problem: str = ""  # why they are not to be opened

    @property
    def whole(self) -> bool:
        """Whether the handbook's own files are all here and unchanged."""
        return not self.changed and not self.missing and not self.unread

    def problems(self) -> list[str]:
        """One line for each file that is not as the build made it."""
        groups = {"Changed": self.changed, "Missing": self.missing, "Cannot be read": self.unread}
        return [f"{what}: {shown(name)}" for what, names in groups.items() for name in names]

    def summary(self) -> list[str]:
        """What a person is told of a whole copy."""
        lines = [f"Whole: {len(self.listed)} files as the build made them. Build {self.build}.", *([self.shop] if self.shop else [])]
        if self.own:
            more = f" and {len(self.own) - MOST_NAMED} more" if len(self.own) > MOST_NAMED else ""
            lines.append(f"This shop's own, not checked: {', '.join(map(shown, self.own[:MOST_NAMED]))}{more}.")
        lines.append(f"Checksum of the list: {self.list_digest}")
        return [*lines, "Compare it with the one printed where the copy comes from: files and list exchanged together show only there."]


def verify(path: Path) -> Report:
    """Compare a copy with its own list. Raises CopyError where it cannot be relied on at all; OSError."""
    copy = open_copy(path)
    if any(name.startswith(f"{STAGE}/") for name in copy.names):
        raise CopyError(
            [
                f"{path}: publishing was cut off in it, so it may be half of one build and half of another. Run “python3 -m build_tools verify” where it was built, and copy it again."
            ]
        )
    if LIST not in copy.names:
        raise CopyError([f"{path}: no {LIST} in it, so it is no whole copy of a built handbook. Give the folder with index.html in it."])
    content = whole(copy, LIST, LARGEST_LIST)
    try:
        listed = read(content)
    except ListError as error:
        raise CopyError([f"{path}: {error}."]) from None
    report = Report(build_of(copy), sha256(content), listed)
    for name, digest in listed.items():
        if name not in copy.names:
            report.missing.append(name)
            continue
        try:
            if digest_of(copy, name) != digest:
                report.changed.append(name)
        except OSError:
            report.unread.append(name)
    report.own = [name for name in sorted(copy.names) if name not in {*listed, LIST, shop_data.NAME}]
    if shop_data.NAME in copy.names and shop_data.NAME not in listed:
        report.shop, report.shop_problem = shop_state(copy)
    return report


def shop_state(copy: Folder | Zip) -> tuple[str, str]:
    """What is said of the shop's own pages, and what is wrong with them; one of the two is empty."""
    try:
        found = shop_data.read(whole(copy, shop_data.NAME, shop_data.LARGEST))
    except (CopyError, OSError):
        return "", f"{shop_data.NAME}: it cannot be read, or is larger than the handbook saves it. {shop_data.WANTED}"
    except shop_data.ShopDataError as error:
        return "", f"{shop_data.NAME}: {error} It runs on every page: do not open the handbook before."
    if found.empty:
        return "", ""
    return ("", found.says()) if found.is_changed else (found.says(), "")


def whole(copy: Folder | Zip, name: str, most: int) -> bytes:
    """All bytes of a file. Raises CopyError where it has more than `most`."""
    if copy.names[name] > most:
        raise CopyError([f"{copy.path}: {shown(name)} has {copy.names[name]:,} bytes; the most is {most:,}."])
    return b"".join(copy.chunks(name))


def digest_of(copy: Folder | Zip, name: str) -> str:
    digest = hashlib.sha256()
    for chunk in copy.chunks(name):
        digest.update(chunk)
    return digest.hexdigest()


def build_of(copy: Folder | Zip) -> str:
    """The build that the first page names; «unknown» where it names none."""
    head = b"" if PAGE not in copy.names else next(copy.chunks(PAGE), b"")
    found = re.search(rb'<meta name="?handbook:build"? content="?([0-9a-f]{12})"?>', head)
    return found[1].decode() if found else "unknown"
