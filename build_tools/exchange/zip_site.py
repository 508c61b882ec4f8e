"""One zip of a built site, to pass on: the same files give the same bytes on any day.

What the build made goes in and nothing else: `shop-data.js` with the shop's own pages would lie over the one of whoever
unpacks the zip, and other files may be records of customers. Standard library only.
"""

from __future__ import annotations

import zipfile
from pathlib import Path

from build_tools.errors import explaining_a_full_disk
from build_tools.exchange.checksums import LIST, sha256
from build_tools.exchange.untrusted import COMMENT, PACKED_DATE, PACKED_MODE, CopyError, open_copy
from build_tools.exchange.verify import Report, verify


def pack(source: Path, target: Path | None = None) -> tuple[Path, Report]:
    """Write `target`, a zip of the site in `source`, a folder or a zip; return its path and what was found in the source.

    Raises CopyError where the source is damaged, or another file is in the way; nothing is written then. OSError.
    """
    report = verify(source)
    if not report.whole:
        raise CopyError([*report.problems(), f"{source} is damaged: build it again, or copy it again."])
    target = target or Path(f"handbook-{report.build}.zip")
    if target.exists():
        open_copy(target)  # only an earlier pack is written over
    copy = open_copy(source)
    half = target.with_name(f"{target.name}.half")  # a pack that is cut off leaves no half zip behind
    try:
        with explaining_a_full_disk(target.absolute().parent, "Free some there, or give another place with --out."):
            with zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
                for name in sorted({*report.listed, LIST} & set(copy.names)):
                    archive.writestr(_member(name), b"".join(copy.chunks(name)))
                archive.comment = COMMENT + b"0" * 64
            _seal(half)
            half.replace(target)
    finally:
        half.unlink(missing_ok=True)
    return target, report


def _member(name: str) -> zipfile.ZipInfo:
    member = zipfile.ZipInfo(name, PACKED_DATE)
    member.create_system = 3  # else it is the system that packs
    member.external_attr = PACKED_MODE << 16
    member.compress_type = zipfile.ZIP_DEFLATED
    return member


def _seal(path: Path) -> None:
    """Put the checksum of all that stands before the end record into the zip's comment."""
    content = path.read_bytes()
    end = len(content) - 22 - len(COMMENT) - 64
    path.write_bytes(content[:-64] + sha256(content[:end]).encode())
