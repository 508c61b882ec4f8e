"""What was walked without a fault is not walked again: the same steps over the same layouts and parts come out the same.

Every build and every save under `serve` checks the whole handbook, and almost all of it is as it was. Only walks without
a fault are remembered, under a fingerprint of all that a walk looks at, the walk's own code included.
"""

from __future__ import annotations

import hashlib
import json
from functools import cache, cached_property
from pathlib import Path

from build_tools.checks import layout_walk, layouts, reach
from build_tools.content import model, page_order, when
from build_tools.content.handbook import Handbook
from build_tools.content.model import Procedure
from build_tools.content.page_order import Placed, included, steps_of
from build_tools.content.problems import Problem

Known = dict[str, int]  # fingerprint of a walk without a fault → how many layouts it had
MOST = 2000  # remembered; about twenty states of the whole handbook


class Walks:
    """The walks of one handbook, with those that are known already."""

    def __init__(self, handbook: Handbook, known: Known):
        self.handbook, self.known = handbook, known
        self.parts = included(handbook.procedures.values())
        self.hashes: dict[str, str] = {}  # of steps, which stand on many pages

    def walk(self, procedure: Procedure) -> tuple[list[Problem], int]:
        """As `walk.walk`."""
        key = self._fingerprint(procedure)
        if key in self.known:
            self.known[key] = count = self.known.pop(key)  # the newest stands last
            return [], count
        problems, count = layout_walk.walk(self.handbook, procedure)
        if not problems:
            self.known[key] = count
        return problems, count

    def _fingerprint(self, procedure: Procedure) -> str:
        steps = [[placed.address, placed.when, self._hash(placed)] for placed in steps_of(procedure, self.handbook.procedures)]
        return _digest([self.world, procedure.when, procedure.id in self.parts, steps])

    def _hash(self, placed: Placed) -> str:
        if placed.address not in self.hashes:
            self.hashes[placed.address] = placed.step.hash
        return self.hashes[placed.address]

    @cached_property
    def world(self) -> str:
        """A fingerprint of all that every walk looks at."""
        items = (self.handbook.axes.values(), self.handbook.impossible, self.handbook.components.values())
        return _digest([_code(), [[item.model_dump(mode="json") for item in each] for each in items]])


def _digest(data: object) -> str:
    return hashlib.sha256(json.dumps(data, sort_keys=True, ensure_ascii=False).encode()).hexdigest()[:24]


@cache
def _code() -> list[str]:
    files = [Path(str(module.__file__)) for module in (layout_walk, reach, layouts, page_order, when)]
    return [file.read_text("utf-8") for file in (*files, *sorted(Path(str(model.__file__)).parent.glob("*.py")))]


def remembered(path: Path) -> Known:
    """What an earlier run has walked; nothing where the file is missing or is none of ours."""
    try:
        known = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    sound = isinstance(known, dict) and all(isinstance(count, int) for count in known.values())
    return known if sound else {}


def remember(path: Path, known: Known) -> None:
    """Keep the newest walks for the next run; without room on the disk the next run only takes longer."""
    newest = dict(list(known.items())[-MOST:])
    half = path.with_suffix(".half")
    try:
        path.parent.mkdir(exist_ok=True)
        half.write_text(json.dumps(newest), "utf-8")
        half.replace(path)
    except OSError:
        half.unlink(missing_ok=True)
