"""Names that lead nowhere, conditions that cannot hold: what every rule asks."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from pathlib import PurePosixPath
from typing import Any

from pydantic import BaseModel

from build_tools.content import glossary
from build_tools.content.handbook import Handbook, ProblemAt
from build_tools.content.model import (
    FORMS,
    ID,
)
from build_tools.content.problems import Fault, Problem, one_of, quoted, unknown
from build_tools.content.when import Normal, values_of
from build_tools.content.yaml_reader import Loc

_FOR_EXAMPLE = {
    "takes_off": "wheel",
    "fits": "wheel",
    "always_new": "cotter-pin",
    "tools": "[torque-wrench, sockets]",
    "supplies": "[brake-cleaner]",
}


def _each(wanted: str, item: object, loc: Loc = ()) -> Iterator[tuple[Loc, list[Any]]]:
    """Every filled entry of this name inside an item, with where it stands."""
    if isinstance(item, BaseModel):
        for name, info in type(item).model_fields.items():
            value = getattr(item, name)
            here = (*loc, info.alias or name)
            if name == wanted and value is not None:
                yield here, value
            elif isinstance(value, (BaseModel, list)):
                yield from _each(wanted, value, here)
    elif isinstance(item, list) and item and isinstance(item[0], BaseModel):
        for index, inner in enumerate(item):
            yield from _each(wanted, inner, (*loc, index))


def unknown_name(handbook: Handbook, code: str, name: str, what: str, known: Iterable[str]) -> Fault:
    """That a word of the trade leads nowhere; the glossary is asked first what is meant by it."""
    known = list(known)
    return unknown(code, name, what, known, glossary.meant(handbook, name, known))


def condition_problems(handbook: Handbook) -> Iterator[Problem]:
    kinds = ("components", "cautions", "fields", "findings", "rules", "procedures")
    places = [(kind, key, item) for kind in kinds for key, item in getattr(handbook, kind).items()]
    for kind, key, item in places:
        for loc, when in _each("when", item):
            yield from (handbook.problem(kind, key, loc, *fault) for fault in condition_faults(handbook, when))
    layout = handbook.origins.get(("layout", ""))
    if layout is None:
        return
    for name, items in (("axes", list(handbook.axes.values())), ("impossible", handbook.impossible)):
        for loc, when in _each("when", items, (name,)):
            yield from (layout.problem(loc, *fault) for fault in condition_faults(handbook, when))


def condition_faults(handbook: Handbook, when: Normal | None) -> Iterator[Fault]:
    for axis, value in values_of(when):
        if axis not in handbook.axes:
            fault = unknown_name(handbook, "N101", axis, "layout question", handbook.axes)
            question = fault.near or next(iter(handbook.axes), "")
            answers = [v.id for v in handbook.axes[question].values] if question else []
            yield fault._replace(fits="", example=f"{question}: {value if value in answers else answers[0]}" if answers else "")
        elif value not in (known := [v.id for v in handbook.axes[axis].values]):
            fault = unknown_name(handbook, "N102", value, f"answer to {axis}", known)
            yield fault._replace(example=f"{axis}: {fault.near or known[0]}")


def axis_problems(handbook: Handbook, drawings: Collection[str]) -> Iterator[Problem]:
    layout = handbook.origins.get(("layout", ""))
    if layout is None:
        return
    for index, axis in enumerate(handbook.axes.values()):
        for position, value in enumerate(axis.values):
            for fault in drawing_faults(drawings, value.drawing):
                yield layout.problem(("axes", index, "values", position, "drawing"), *fault)


def drawing_faults(drawings: Collection[str], name: str | None, pictures: Iterable[str] = ()) -> Iterator[Fault]:
    known = [PurePosixPath(file).stem for file in pictures]
    if name and name not in drawings and name not in known:
        file = next((file for file in pictures if FORMS[ID].mended(PurePosixPath(file).stem) == name), "")
        if file:
            right = f"{name}{PurePosixPath(file).suffix.lower()}"
            yield Fault(
                "N106",
                f"The picture is called {quoted(file)}; rename the file to '{right}', so that this name finds it.",
                f"pictures/{right}",
            )
        else:
            yield unknown("N106", name, "drawing or picture" if known else "drawing", [*known, *sorted(drawings)])


def caution_faults(handbook: Handbook, names: list[str], loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
    for index, name in enumerate(names):
        if name not in handbook.cautions:
            yield problem((*loc, "cautions", index), *unknown("N105", name, "caution", handbook.cautions))


def component_faults(handbook: Handbook, name: str, kinds: tuple[str, ...], field: str) -> Iterator[Fault]:
    component = handbook.components.get(name)
    of_kind = [c.id for c in handbook.components.values() if c.kind in kinds]
    if component is None:
        fault = unknown_name(handbook, "N103", name, " or ".join(kinds), of_kind)
        either = (
            [f"{field}: {other}" for other in glossary.meant(handbook, name, of_kind)]
            or [f"{field}: {_FOR_EXAMPLE.get(field, of_kind[0])}"]
            if of_kind
            else []
        )
        yield fault if fault.near else fault._replace(example="\n".join(either))
    elif component.kind not in kinds:
        yield Fault(
            "N104",
            f"'{name}' is a {component.kind}; a {' or a '.join(kinds)} belongs here.",
            f"{field}: {_FOR_EXAMPLE.get(field, of_kind[0])}" if of_kind else "",
            expected=one_of(of_kind),
        )


def sheet_problems(handbook: Handbook, ref: str | None, loc: Loc, problem: ProblemAt) -> Iterator[Problem]:
    if ref is not None and ref not in handbook.fields:
        yield problem(loc, *unknown_name(handbook, "N107", ref, "value of a vehicle sheet", handbook.fields))


def source_problems(handbook: Handbook, kind: str, key: str, item: BaseModel) -> Iterator[Problem]:
    for loc, refs in _each("sources", item):
        for index, ref in enumerate(refs):
            if ref.source not in handbook.sources:
                yield handbook.problem(kind, key, (*loc, index), *unknown("N108", ref.source, "source", handbook.sources))


def with_example(fault: Fault, some: str) -> Fault:
    """The place is a name with a value after it: only the name that was probably meant can stand in the author's line."""
    return fault if fault.near else fault._replace(example=some)
