"""What stops a command, each with a message that a shop can act on. Standard library only."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# A full disk, and a full quota, which not every system knows.
FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


class BuildFailed(RuntimeError):
    """The handbook was not built. `problems` holds one line for each thing to mend."""

    def __init__(self, problems: list[str]):
        self.problems = problems
        super().__init__("\n".join(problems))


class SetupError(RuntimeError):
    """Set-up failed. The message is one line that says what to do."""


class BundleError(Exception):
    """Something the page needs could not be made; the message is one line for the reader."""


class FolderError(ValueError):
    """A folder cannot take the site, or could not be finished. The message is one line."""


@contextmanager
def explaining_a_full_disk(place: Path, what: str) -> Iterator[None]:
    """Say of a full disk where it is full: the system names the file that was read, or none. Raises FolderError."""
    try:
        yield
    except OSError as problem:
        if problem.errno not in FULL:
            raise
        raise FolderError(f"{problem.filename2 or problem.filename or place}: the disk is full. {what}") from None
