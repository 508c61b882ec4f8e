"""The list of what a site holds, `assets/contents.json`: written by every build, so that a later one can say what changed.

Each item has a fingerprint of its content and the words that a person knows it by. Pages do not load it.
"""

from __future__ import annotations

import hashlib
import json

from build_tools.content.handbook import Handbook
from build_tools.content.model import Procedure, Use, content_hash
from build_tools.content.page_order import steps_of
from build_tools.exchange.compare_sites import FORMAT, Contents, Item


def contents_of(handbook: Handbook, build: str = "") -> Contents:
    """What a handbook holds; `build` is not known before its pages are rendered."""
    procedures = handbook.procedures.values()
    return Contents(
        build,
        max(str(p.newest.date) for p in procedures),
        {
            "procedures": {p.id: Item(_hash_of(p), f"revision {p.revision}", p.title) for p in procedures},
            "steps": {
                placed.address: Item(placed.step.hash, placed.number, placed.step.do, tuple(placed.step.cautions))
                for p in procedures
                for placed in steps_of(p, handbook.procedures)
                if placed.home == p.id
            },
            "cautions": {c.id: Item(c.hash, "", f"{c.signal.upper()}: {c.hazard}") for c in handbook.cautions.values()},
            "calculators": {c.name: Item(_digits(c.describe()), "", c.title) for c in handbook.catalogue.values()},
            "fields": {path: Item(f.hash, ", ".join(f.units), f.label) for path, f in handbook.fields.items()},
        },
    )


def as_json(contents: Contents) -> str:
    """The text of the list, the same for the same content."""
    sections = {
        name: {key: [item.hash, item.at, item.says, *item.cautions] for key, item in items.items()}
        for name, items in contents.sections.items()
    }
    return (
        json.dumps(
            {"format": FORMAT, "build": contents.build, "newest": contents.newest, **sections}, ensure_ascii=False, separators=(",", ":")
        )
        + "\n"
    )


def _hash_of(procedure: Procedure) -> str:
    """Of the page without the content of its steps, which have their own, and with their order."""
    order = [step.use if isinstance(step, Use) else step.id for step in procedure.steps]
    return _digits([content_hash(procedure, {"steps", "changes", "replaces_stock"}), procedure.revision, order])


def _digits(data: object) -> str:
    return hashlib.sha256(json.dumps(data, sort_keys=True, ensure_ascii=False, default=str).encode()).hexdigest()[:12]
