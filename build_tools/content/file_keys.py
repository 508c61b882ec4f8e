"""Every entry that a shop's files may hold, out of the model: what it is, whether it must stand there, and an example."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from types import GenericAlias
from typing import get_args

from pydantic import BaseModel

from build_tools.content.load import FILES
from build_tools.content.validate import models_in

# kind of file → where it lies in the shop's folder; the order of the page
PLACES = {
    "shop": "shop.yml",
    "procedure": "procedures/NAME.yml",
    "changes": "changes/NAME.yml",
    "caution": "cautions/NAME.yml",
    "page": "pages/NAME.md, between two lines of --- at its top",
    "vehicle": "vehicles/NAME.yml",
    "terms": "terms.yml",
    "sheet": "sheet.yml",
    "rules": "rules.yml",
    "decisions": "decisions.yml",
    "components": "components/NAME.yml",
    "sources": "sources.yml",
    "reference": "references/NAME.yml",
}


@dataclass(frozen=True)
class Row:
    """One entry of a file."""

    name: str
    must: bool
    says: str
    example: str


@dataclass(frozen=True)
class Kind:
    """What belongs together under a name: a kind of file, or what stands inside one."""

    id: str
    title: str
    says: str
    place: str | None
    key: str | None
    rows: list[Row]


def kinds() -> list[Kind]:
    """Every kind of file, each followed by what stands inside it and has not been told yet."""
    told: set[type] = set()
    return [kind for name, place in PLACES.items() for kind in _kinds(name, place, told)]


def _kinds(name: str, place: str, told: set[type]) -> Iterator[Kind]:
    cls, key = FILES[name]
    top: type[BaseModel] = get_args(cls)[0] if isinstance(cls, GenericAlias) else cls
    told.add(top)
    yield Kind(name, place, _first_line(top), place, key or ("" if top is not cls else None), _rows(top))
    for inner in _inside(top, told):
        yield Kind(_words(inner).replace(" ", "-"), _words(inner).capitalize(), _first_line(inner), None, None, _rows(inner))


def _inside(cls: type[BaseModel], told: set[type]) -> Iterator[type[BaseModel]]:
    for info in cls.model_fields.values():
        for inner in models_in(info.annotation):
            if inner not in told:
                told.add(inner)
                yield inner
                yield from _inside(inner, told)


def _rows(cls: type[BaseModel]) -> list[Row]:
    return [
        Row(name, info.is_required(), info.description or "", f"{name}: {info.examples[0]}" if info.examples else "")
        for name, info in ((info.alias or name, info) for name, info in cls.model_fields.items())
    ]


def _first_line(cls: type[BaseModel]) -> str:
    return (cls.__doc__ or "").split("\n")[0].strip()


def _words(cls: type[BaseModel]) -> str:
    return " ".join(re.findall(r"[A-Z][a-z]+", cls.__name__)).lower()
