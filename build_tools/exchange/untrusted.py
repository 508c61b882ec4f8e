"""A copy of the built site, a folder or a zip, opened without trusting it.

Nothing is unpacked. A zip must be laid out exactly as build_tools/exchange/zip_site.py lays it out, so there is no room in it for
overlapping members, hidden bytes, second names or anything else that two programs could read in two ways.
Standard library only. Source: PKWARE APPNOTE 6.3.10 (4.3.7 local header, 4.3.12 central header, 4.3.16 end record).
"""

from __future__ import annotations

import hashlib
import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from build_tools.exchange.checksums import name_clash, name_problem, shown

MOST_FILES = 20_000  # a site has some 300; the rest is room for what a shop adds
LARGEST_FILE = 100_000_000  # bytes; the largest of a site, the search index, has 20 MB
LARGEST_TOTAL = 500_000_000  # bytes unpacked; a site has 50 MB, and every stick takes this much
LARGEST_RATIO = 200  # unpacked to packed; the site's text reaches 15, deflate can reach 1,032
CHUNK = 1 << 20  # bytes that are held at a time

PACKED_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can say: the same files give the same zip on any day
PACKED_MODE = stat.S_IFREG | 0o644
COMMENT = b"sha256:"  # and 64 hex digits over all bytes before the end record, so that no changed bit goes unseen
_END = struct.Struct("<4s4H2LH")
_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END_SIZE = _END.size + len(COMMENT) + 64


class CopyError(ValueError):
    """The copy is refused. `problems` holds one line for each reason."""

    def __init__(self, problems: list[str]):
        self.problems = problems
        super().__init__("\n".join(problems))


def open_copy(path: Path) -> Folder | Zip:
    """The copy at a path. Raises CopyError if it is none, or is not safe to read; OSError."""
    if path.is_symlink():
        raise CopyError([f"{path} is a link. Give the folder or the zip itself."])
    if path.is_dir():
        return Folder(path)
    if path.is_file():
        return Zip(path)
    raise CopyError([f"{path} is neither a folder nor a zip. Example: verify E:\\handbook, or verify handbook.zip"])


class Folder:
    """The files under a folder: `names` holds the size of each in bytes."""

    def __init__(self, path: Path):
        self.path = path
        self.names: dict[str, int] = {}
        problems = list(self._walk())
        if clash := name_clash(self.names):
            problems.append(clash)
        if problems:
            raise CopyError([f"{path}: {problem}." for problem in problems])

    def _walk(self) -> Iterator[str]:
        """Fill `names`; yield what has no place in a copy. Links are not followed, devices not opened."""
        waiting = [self.path]
        while waiting:
            for entry in self._entries(waiting.pop()):
                name = Path(entry.path).relative_to(self.path).as_posix()
                if problem := self._kind_problem(entry):
                    yield f"{shown(name)} {problem}"
                elif entry.is_dir(follow_symlinks=False):
                    waiting.append(Path(entry.path))
                elif len(self.names) == MOST_FILES:
                    yield f"it holds more than {MOST_FILES:,} files"
                    return
                else:
                    self.names[name] = entry.stat(follow_symlinks=False).st_size

    def _entries(self, folder: Path) -> list[os.DirEntry[str]]:
        try:
            with os.scandir(folder) as entries:
                return sorted(entries, key=lambda entry: entry.name)
        except PermissionError:
            if folder == self.path:
                raise
            return []  # such as the system's own folder on a stick; what is listed in it is then missing

    @staticmethod
    def _kind_problem(entry: os.DirEntry[str]) -> str | None:
        is_junction = getattr(entry, "is_junction", lambda: False)  # since Python 3.12, on Windows
        if entry.is_symlink() or is_junction():
            return "is a link"
        mode = entry.stat(follow_symlinks=False).st_mode
        return None if stat.S_ISREG(mode) or stat.S_ISDIR(mode) else "is a device, a pipe or a socket"

    def chunks(self, name: str) -> Iterator[bytes]:
        """The bytes of a file. Raises CopyError where it is larger than any of the handbook's; OSError."""
        if self.names[name] > LARGEST_FILE:
            raise CopyError([f"{self.path}: {shown(name)} has {self.names[name]:,} bytes; the most is {LARGEST_FILE:,}."])
        left = LARGEST_FILE  # a file can grow while it is read
        with (self.path / name).open("rb") as file:
            while left > 0 and (chunk := file.read(min(CHUNK, left))):
                left -= len(chunk)
                yield chunk


class Zip:
    """The files in a zip that `pack` wrote: `names` holds the size of each in bytes."""

    def __init__(self, path: Path):
        self.path = path
        try:
            self._check_end()
            with zipfile.ZipFile(path) as archive:
                members = archive.infolist()
        except (zipfile.BadZipFile, NotImplementedError, ValueError, struct.error, EOFError, IndexError) as error:
            if isinstance(error, CopyError):
                raise
            raise CopyError([f"{path}: its table of contents cannot be read ({error})."]) from None
        problems = [f"{shown(member.orig_filename)} {problem}" for member in members if (problem := member_problem(member))]
        if sum(member.file_size for member in members) > LARGEST_TOTAL:
            problems.append(f"unpacked it would have more than {LARGEST_TOTAL:,} bytes")
        if clash := name_clash(member.orig_filename for member in members):
            problems.append(clash)
        if not problems and (problem := self._frame_problem(members)):
            problems.append(problem)
        if problems:
            raise CopyError([f"{path}: {problem}." for problem in problems])
        self._members = {member.orig_filename: member for member in members}
        self.names = {name: member.file_size for name, member in self._members.items()}

    def _check_end(self) -> None:
        """The end record as `pack` writes it, before anything reads a table of unknown length."""
        size = self.path.stat().st_size
        if size > LARGEST_TOTAL:
            raise CopyError([f"{self.path}: it has {size:,} bytes; the most is {LARGEST_TOTAL:,}."])
        with self.path.open("rb") as file:
            file.seek(max(0, size - _END_SIZE))
            end = file.read()
        sign, _, _, _, count, _, _, _ = _END.unpack(end[: _END.size].ljust(_END.size, b"\0"))
        if sign != b"PK\5\6" or end[_END.size :][: len(COMMENT)] != COMMENT:
            raise CopyError([f"{self.path}: not a zip that «pack» wrote, or damaged at its end. Unpack it, and verify the folder."])
        if count > MOST_FILES:
            raise CopyError([f"{self.path}: it holds {count:,} files; the most is {MOST_FILES:,}."])

    def _frame_problem(self, members: list[zipfile.ZipInfo]) -> str | None:
        """Whether all that is not a file's content is what `pack` would have written, and no bit has changed."""
        size = self.path.stat().st_size
        digest, central, at = hashlib.sha256(), b"", 0
        with self.path.open("rb") as file:
            for member in members:
                header = local_header(member)
                if member.header_offset != at or file.read(len(header)) != header:
                    return f"{shown(member.orig_filename)} is not laid out as «pack» does it, or its header is damaged"
                digest.update(header)
                at += len(header) + member.compress_size
                central += central_header(member)
                left = member.compress_size
                while left and (chunk := file.read(min(CHUNK, left))):
                    digest.update(chunk)
                    left -= len(chunk)
            digest.update(central)
            end = _END.pack(b"PK\5\6", 0, 0, len(members), len(members), len(central), at, len(COMMENT) + 64)
            if at + len(central) + _END_SIZE != size or file.read() != central + end + COMMENT + digest.hexdigest().encode():
                return "its bytes are not those that were packed: damaged, or written by another program"
        return None

    def chunks(self, name: str) -> Iterator[bytes]:
        """The bytes of a file, unpacked. Raises CopyError where they are not as long as the zip says; OSError."""
        member = self._members[name]
        inflate, crc, size = zlib.decompressobj(-15), 0, 0
        with self.path.open("rb") as file:
            file.seek(member.header_offset + len(local_header(member)))
            waiting, left = b"", member.compress_size
            while not inflate.eof and (left or waiting):
                if not waiting:
                    waiting = file.read(min(CHUNK, left))
                    left -= len(waiting)
                try:
                    chunk = inflate.decompress(waiting, CHUNK)
                except zlib.error:
                    raise CopyError([f"{self.path}: {shown(name)} cannot be unpacked."]) from None
                waiting = inflate.unconsumed_tail
                crc, size = zlib.crc32(chunk, crc), size + len(chunk)
                if size > member.file_size:
                    break
                yield chunk
        if (size, crc) != (member.file_size, member.CRC) or not inflate.eof or inflate.unused_data or left:
            raise CopyError([f"{self.path}: {shown(name)} is not as long as the zip says, or damaged."])


def member_problem(member: zipfile.ZipInfo) -> str | None:
    """Why a member of a zip is refused; None if it may be read."""
    mode = member.external_attr >> 16
    if problem := name_problem(member.orig_filename):
        return problem
    if member.flag_bits & 0x41:
        return "is encrypted"
    if stat.S_ISLNK(mode):
        return "is a link"
    if mode and not stat.S_ISREG(mode):
        return "is a device, a pipe or a folder"
    if member.file_size > LARGEST_FILE:
        return f"would have {member.file_size:,} bytes; the most is {LARGEST_FILE:,}"
    if member.file_size > LARGEST_RATIO * member.compress_size + CHUNK // 256:
        return f"would grow more than {LARGEST_RATIO} times when unpacked"
    return None


def local_header(member: zipfile.ZipInfo) -> bytes:
    """What stands before a file in the zip."""
    name, flags = _name(member)
    return (
        _LOCAL.pack(b"PK\3\4", 20, flags, zipfile.ZIP_DEFLATED, 0, 0x21, member.CRC, member.compress_size, member.file_size, len(name), 0)
        + name
    )


def central_header(member: zipfile.ZipInfo) -> bytes:
    """The line of a file in the zip's table; made by Unix (3), version 2.0, as `pack` says it on every system."""
    name, flags = _name(member)
    return (
        _CENTRAL.pack(
            b"PK\1\2",
            3 << 8 | 20,
            20,
            flags,
            zipfile.ZIP_DEFLATED,
            0,
            0x21,
            member.CRC,
            member.compress_size,
            member.file_size,
            len(name),
            0,
            0,
            0,
            0,
            PACKED_MODE << 16,
            member.header_offset,
        )
        + name
    )


def _name(member: zipfile.ZipInfo) -> tuple[bytes, int]:
    """The bytes of a name, and the flag that says it is UTF-8 where it is not ASCII."""
    if member.orig_filename.isascii():
        return member.orig_filename.encode("ascii"), 0
    return member.orig_filename.encode("utf-8"), 0x800
