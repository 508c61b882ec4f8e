"""What changed between two built sites: their lists of contents, item by item.

The list of an older site comes from outside, so it is read without trusting it. Standard library only.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from build_tools.exchange.untrusted import CopyError, open_copy
from build_tools.exchange.verify import whole

FORMAT = "wheel-end-contents/1"
PLACE = "assets/contents.json"
LARGEST = 5_000_000  # bytes; a site's list has 250,000
LONGEST = 1_000  # characters of an item's words
# Section of the list → its heading.
SECTIONS = {
    "procedures": "Procedures",
    "steps": "Steps",
    "cautions": "Safety messages",
    "calculators": "Calculators",
    "fields": "Values of a vehicle sheet",
}
_HASH = re.compile(r"[0-9a-f]{12}")
_KEY = re.compile(r"[a-z0-9_./-]{1,200}")


@dataclass(frozen=True)
class Item:
    """One thing that a handbook holds: fingerprint, number or revision or units, words; a step's safety messages."""

    hash: str
    at: str
    says: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Contents:
    """All that a handbook holds, by section and id; `newest` is the day of its newest revision."""

    build: str
    newest: str
    sections: dict[str, dict[str, Item]]


@dataclass(frozen=True)
class Change:
    """What happened to one item: `how` is added, changed or removed."""

    how: str
    id: str
    was: Item | None
    now: Item | None

    @property
    def item(self) -> Item:
        item = self.now or self.was
        assert item, "what was neither before nor is now has not changed"
        return item

    @property
    def home(self) -> str:
        """The procedure that a step belongs to."""
        return self.id.split("/")[0]

    @property
    def at(self) -> str:
        """Step number, revision or units, with what it was where that differs; may be empty."""
        if self.was and self.now and self.was.at != self.now.at:
            return f"{self.now.at} (was {self.was.at})"
        return self.item.at


@dataclass(frozen=True)
class Comparison:
    """The changes from one handbook to another, by section; sections without any are left out."""

    old: Contents
    new: Contents
    changes: dict[str, list[Change]]

    @property
    def since(self) -> str:
        return f"build {self.old.build} of {self.old.newest}"

    def shown(self) -> Iterator[tuple[str, str, list[Change]]]:
        """Section, heading and changes. The steps of a whole procedure that came or went are told by it alone."""
        whole_pages = {change.id for change in self.changes.get("procedures", []) if change.how != "changed"}
        for section, heading in SECTIONS.items():
            listed = [c for c in self.changes.get(section, []) if section != "steps" or c.home not in whole_pages]
            if listed:
                yield section, heading, listed

    def place(self, change: Change) -> str:
        """Where a reader finds it: a step by its procedure's title and its number, anything else by its id."""
        if "/" not in change.id:
            return ", ".join(filter(None, (change.id, change.at)))
        pages = {**self.old.sections["procedures"], **self.new.sections["procedures"]}
        title = pages[change.home].says if change.home in pages else change.home
        return f"{title}, step {change.at}"

    def of_steps(self) -> dict[str, str]:
        """Address → «New» or «Changed», of the steps that are not as they were."""
        words = {"added": "New", "changed": "Changed"}
        return {change.id: words[change.how] for change in self.changes.get("steps", []) if change.how in words}


def compare(old: Contents, new: Contents) -> Comparison:
    """A step counts as changed where the words of one of its safety messages changed too."""
    messages = {
        name
        for name, item in new.sections["cautions"].items()
        if name in old.sections["cautions"] and old.sections["cautions"][name].hash != item.hash
    }
    found = {}
    for section in SECTIONS:
        was, now = old.sections[section], new.sections[section]
        changes = [Change("removed", key, was[key], None) for key in was if key not in now]
        changes += [Change("added", key, None, now[key]) for key in now if key not in was]
        changes += [
            Change("changed", key, was[key], now[key])
            for key in now
            if key in was and (was[key].hash != now[key].hash or messages & set(now[key].cautions))
        ]
        if changes:
            found[section] = sorted(changes, key=lambda change: ("added", "changed", "removed").index(change.how))
    return Comparison(old, new, found)


def read(path: Path) -> Contents:
    """The list of a built site, a folder or a zip. Raises CopyError where there is none, or it is none; OSError."""
    copy = open_copy(path)
    if PLACE not in copy.names:
        raise CopyError([f"{path}: no {PLACE} in it. It was built by a version that did not write one yet, or is no built handbook."])
    try:
        return parse(whole(copy, PLACE, LARGEST).decode("utf-8"))
    except (ValueError, RecursionError) as error:
        if isinstance(error, CopyError):
            raise
        raise CopyError([f"{path}: {PLACE} is damaged or no list of contents. Check the copy with verify."]) from None


def parse(text: str) -> Contents:
    """Raises ValueError, RecursionError where the text is no list of contents."""
    data = json.loads(text)
    if not isinstance(data, dict) or data.get("format") != FORMAT or set(data) != {"format", "build", "newest", *SECTIONS}:
        raise ValueError("another form")
    if not _HASH.fullmatch(_line(data["build"])) or not re.fullmatch(r"\d{4}-\d\d-\d\d", _line(data["newest"]), re.ASCII):
        raise ValueError("no build")
    return Contents(data["build"], data["newest"], {name: _items(data[name]) for name in SECTIONS})


def _items(section: object) -> dict[str, Item]:
    if not isinstance(section, dict) or not all(map(_KEY.fullmatch, section)):
        raise ValueError("not items by id")
    return {key: _item(fields) for key, fields in section.items()}


def _item(fields: object) -> Item:
    if not isinstance(fields, list) or len(fields) < 3 or not _HASH.fullmatch(_line(fields[0])):
        raise ValueError("no item")
    digits, at, says = map(_line, fields[:3])
    return Item(digits, at, says, tuple(map(_line, fields[3:])))


def _line(text: object) -> str:
    """One line of text; control characters would reach the terminal."""
    if not isinstance(text, str) or len(text) > LONGEST or re.search(r"[\x00-\x1f\x7f-\x9f]", text):
        raise ValueError("no line of text")
    return text
