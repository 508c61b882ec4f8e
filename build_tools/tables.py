"""Tables that are worked out from the calculators' own data, so that a figure stands in one place only."""
from __future__ import annotations

from collections.abc import Callable

Rows = tuple[list[str], list[list[str]]]  # columns, rows

TABLES: dict[str, Callable[[], Rows]] = {}
"""By name, as a reference page's `computed:` calls it."""


def table(name: str):
    """Registers a function that gives the columns and rows of a table."""
    def register(work: Callable[[], Rows]) -> Callable[[], Rows]:
        TABLES[name] = work
        return work
    return register
