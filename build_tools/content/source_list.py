"""The one list of sources, site_data/sources.yml, packed beside the calculators, which cite from it."""

from __future__ import annotations

import json
from pathlib import Path

from build_tools.content.handbook import Handbook
from build_tools.paths import PROJECT

STOCK = PROJECT / "calculators" / "contract" / "sources.json"


def as_json(handbook: Handbook) -> str:
    """What `calculators.contract.sources.listed` reads: a line a source of the handbook's own."""
    own = [source for source in handbook.sources.values() if ("sources", source.id) not in handbook.from_shop]
    fields = {"title", "edition", "kind"}
    lines = (
        f"{json.dumps(source.id)}: {json.dumps(source.model_dump(include=fields, exclude_none=True), ensure_ascii=False)}" for source in own
    )
    return "{\n" + ",\n".join(lines) + "\n}\n"


def write(handbook: Handbook, path: Path = STOCK) -> None:
    """Write the list."""
    path.write_text(as_json(handbook), encoding="utf-8", newline="\n")


def is_up_to_date(handbook: Handbook, path: Path = STOCK) -> bool:
    """Whether the file holds this list."""
    return path.is_file() and path.read_text("utf-8") == as_json(handbook)
