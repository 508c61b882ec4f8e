"""The rules of a reference page and of a shop's plain pages."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from build_tools.checks.names import caution_faults, drawing_faults
from build_tools.content.computed_tables import TABLES
from build_tools.content.handbook import Handbook
from build_tools.content.model import (
    ReferencePage,
)
from build_tools.content.problems import Problem, unknown
from build_tools.content.shop.shop_markdown import faults
from build_tools.content.yaml_reader import Loc, at, place_of


def reference_problems(handbook: Handbook, page: ReferencePage, drawings: Collection[str]) -> Iterator[Problem]:
    def problem(loc: Loc, *fault: str) -> Problem:
        return handbook.problem("references", page.id, loc, *fault)

    for index, item in enumerate(page.items):
        loc = ("items", index)
        yield from (problem((*loc, "drawing"), *fault) for fault in drawing_faults(drawings, item.drawing))
        for position, name in enumerate(item.procedures):
            if name not in handbook.procedures:
                yield problem((*loc, "procedures", position), *unknown("N109", name, "procedure", handbook.procedures))
    for index, table in enumerate(page.tables):
        if table.computed and table.computed not in TABLES:
            yield problem(("tables", index, "computed"), *unknown("N115", table.computed, "table that is worked out", TABLES))
    yield from caution_faults(handbook, page.cautions, (), problem)
    ids = [*(item.id for item in page.items), *(table.id for table in page.tables)]
    for name in sorted({name for name in ids if ids.count(name) > 1}):
        yield problem(("id",), "J101", f"'{name}' stands twice on this page; every id is used once.", "", "", "", page.id)


def page_problems(handbook: Handbook) -> Iterator[Problem]:
    """Raw HTML, and links that may not lead where they lead, in a shop's pages."""
    for uri, text in handbook.shop_pages.items():
        for snippet, fault in faults(text):
            yield at(text, handbook.page_files[uri], *place_of(text, max(0, text.find(snippet))), fault, len(snippet.split("\n")[0]))
