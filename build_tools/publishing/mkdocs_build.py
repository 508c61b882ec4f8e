"""MkDocs as this project runs it: one build put in place whole, and the preview."""

from __future__ import annotations

import errno
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mkdocs.commands.build import build
from mkdocs.commands.serve import serve
from mkdocs.config import load_config
from mkdocs.exceptions import MkDocsException

from build_tools.content.problems import ContentError
from build_tools.errors import BuildFailed, FolderError, explaining_a_full_disk
from build_tools.paths import PROJECT, SCRATCH
from build_tools.publishing.publish import building_place, publish

CONFIG = PROJECT / "mkdocs.yml"


def build_site(site: Path, shop: Path | None = None, since: Path | None = None) -> list[str]:
    """Build the handbook and put it in `site`; return the names of the shop's files that were kept there.

    `site` stays as it was when anything is wrong. Raises BuildFailed.
    """
    with building_place() as fresh, warnings() as said:
        try:
            config = load_config(str(CONFIG), site_dir=str(fresh), strict=True, extra=_extra(shop, since))
            config.plugins.on_startup(command="build", dirty=False)
            try:
                with explaining_a_full_disk(SCRATCH, "Free about 100 MB there, and run the command again."):
                    build(config)
            finally:
                config.plugins.on_shutdown()
            return publish(fresh, site)
        except MkDocsException as problem:
            if isinstance(problem.__cause__, ContentError):
                raise problem.__cause__ from None
            # MkDocs has logged what is wrong, and says here only that it gave up.
            raise BuildFailed(said or [problem.format_message()]) from None
        except FolderError as problem:
            raise BuildFailed([str(problem)]) from None


def serve_site(port: int, shop: Path | None = None) -> int:
    """Show the handbook while it is written, until it is stopped; return the exit code. Raises BuildFailed."""
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    with warnings() as said:
        try:
            watch = [str(shop)] if shop else []
            serve(str(CONFIG), dev_addr=f"127.0.0.1:{port}", watch=watch, strict=False, extra=_extra(shop))
        except MkDocsException as problem:
            if isinstance(problem.__cause__, ContentError):
                raise problem.__cause__ from None
            if said:  # and so printed already
                return 2
            raise BuildFailed([problem.format_message()]) from None
        except OSError as problem:
            if problem.errno not in (errno.EADDRINUSE, errno.EACCES) or problem.filename:
                raise
            advice = f"Another program uses it? Try: serve --port {port + 1}"
            raise BuildFailed([f"Port {port} cannot be opened: {problem.strerror}. {advice}"]) from None
    return 0


def _extra(shop: Path | None = None, since: Path | None = None) -> dict[str, object]:
    """What the hooks take from the configuration, beside what mkdocs.yml says there."""
    return {"generator": False, "shop": shop, "since": since}


class _Listener(logging.Handler):
    """Adds the lines of every warning to what was said."""

    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self.said = said

    def emit(self, record: logging.LogRecord) -> None:
        self.said.extend(line for line in record.getMessage().splitlines() if line.strip())


@contextmanager
def warnings() -> Iterator[list[str]]:
    """The lines that MkDocs warns with, as they come."""
    said: list[str] = []
    handler = _Listener(said)
    log = logging.getLogger("mkdocs")
    log.addHandler(handler)
    try:
        yield said
    finally:
        log.removeHandler(handler)
