"""What is declared is used, and what replaces something has something to replace."""

from __future__ import annotations

from collections.abc import Iterator

from build_tools.checks.names import unknown_name
from build_tools.content.handbook import Handbook
from build_tools.content.model import (
    Caution,
    Procedure,
    SheetField,
    Step,
)
from build_tools.content.problems import Problem, unknown
from build_tools.content.yaml_reader import Loc
from calculators.contract.bands import BANDS
from calculators.contract.units import kind_of

_SIGNALS = ("danger", "warning", "caution", "notice")


def _procedures(handbook: Handbook) -> list[Procedure]:
    """All procedures, those too that a shop's own took the place of: what only they use is not left over."""
    return [*handbook.procedures.values(), *(item for item in handbook.replaced.values() if isinstance(item, Procedure))]


def fields_used(handbook: Handbook) -> Iterator[Problem]:
    steps = [s for p in _procedures(handbook) for s in p.steps if isinstance(s, Step)] + [*handbook.changed_steps.values()]
    used = {ref for s in steps for ref in s.show} | {s.torque.from_ for s in steps if s.torque}
    used |= {given for s in steps if s.enter for given in s.enter.fields.values()}
    for path in handbook.fields:
        if path not in used and ("fields", path) not in handbook.from_shop:
            yield handbook.problem(
                "fields", path, ("id",), "J107", f"No step shows or judges by '{path}'; name it in a step, or take it out.", f"show: {path}"
            )


def bands_named(handbook: Handbook) -> Iterator[Problem]:
    """The bands and the other values that a sheet's value is held against."""
    for path, field in handbook.fields.items():
        if field.band is not None and field.band not in BANDS:
            yield handbook.problem("fields", path, ("band",), *unknown("N121", field.band, "band", BANDS))
        elif field.band is not None and not (field.units and _of_one_kind(field)):
            yield handbook.problem(
                "fields",
                path,
                ("band",),
                "N121",
                f"The band '{field.band}' is in {BANDS[field.band].edges[0].unit}, and this value is not.",
                f"units: [{', '.join(edges.unit for edges in BANDS[field.band].edges)}]",
            )
        others: list[tuple[Loc, str]] = [
            *((("under", at), name) for at, name in enumerate(field.under)),
            *((("not_over", at), name) for at, name in enumerate(field.not_over)),
            *([(("usual_share", "of"), field.usual_share.of)] if field.usual_share else []),
        ]
        for loc, name in others:
            if f"{field.of}.{name}" not in handbook.fields:
                yield handbook.problem(
                    "fields",
                    path,
                    loc,
                    *unknown_name(handbook, "N107", name, "value of a sheet", [f.id for f in handbook.fields.values() if f.of == field.of]),
                )


def _of_one_kind(field: SheetField) -> bool:
    try:
        return all(kind_of([edges.unit, *field.units]) for edges in BANDS[field.band or ""].edges)
    except LookupError:
        return False


def calculator_cautions(handbook: Handbook) -> Iterator[Problem]:
    for calculator in handbook.catalogue.values():
        for name in calculator.cautions:
            if name not in handbook.cautions:
                module = calculator.name.replace("-", "_")
                file, _ = handbook.calculator_files.get(module, (f"calculators/{module}.py", ""))
                yield Problem(file, 1, 1, *unknown("N105", name, "caution", handbook.cautions)[:5])


def cautions_used(handbook: Handbook) -> Iterator[Problem]:
    used = {name for p in _procedures(handbook) for name in p.cautions}
    used |= {name for p in _procedures(handbook) for s in p.steps if isinstance(s, Step) for name in s.cautions}
    used |= {name for s in handbook.changed_steps.values() for name in s.cautions}
    used |= {name for calculator in handbook.catalogue.values() for name in calculator.cautions}
    used |= {name for page in handbook.references.values() for name in page.cautions}
    for name in handbook.cautions:
        if name not in used and ("cautions", name) not in handbook.from_shop:
            yield handbook.problem(
                "cautions", name, ("id",), "J108", f"The caution '{name}' is shown nowhere; use it, or take it out.", f"cautions: {name}"
            )


def replacements(handbook: Handbook) -> Iterator[Problem]:
    """What a shop puts in place of the handbook's own says which wording it has read, and is never laxer about safety."""
    for (kind, key), stock in handbook.replaced.items():
        own = getattr(handbook, kind)[key]
        if own.replaces_stock.made_for is None:
            yield handbook.problem(
                kind,
                key,
                ("replaces_stock",),
                "S103",
                "The entry 'made_for' is missing: the fingerprint of the handbook's own as you have read it.",
                f"made_for: {stock.hash}",
            )
        if isinstance(stock, Caution) and _SIGNALS.index(own.signal) > _SIGNALS.index(stock.signal):
            yield handbook.problem(
                kind,
                key,
                ("signal",),
                "S109",
                f"A shop may be stricter than the handbook, never laxer: it says '{stock.signal}' here.",
                f"signal: {stock.signal}",
            )
