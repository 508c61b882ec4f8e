"""The handbook that was loaded: everything by its id, and where each item stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import calculators
from build_tools.content import model
from build_tools.content.problems import Problem
from build_tools.content.shop import shop_changes
from build_tools.content.yaml_reader import Loc, Origin

if TYPE_CHECKING:
    from calculators.contract.declaration import Calculator


class ProblemAt(Protocol):
    """Says a mistake inside one item, at the entry that `loc` leads to; the rest as in problems.Fault."""

    def __call__(self, loc: Loc, /, *fault: str) -> Problem: ...


@dataclass
class Handbook:
    """Everything that was loaded, by id, and where each item stands."""

    axes: dict[str, model.Axis] = field(default_factory=dict)
    impossible: list[model.Contradiction] = field(default_factory=list)
    fields: dict[str, model.SheetField] = field(default_factory=dict)
    components: dict[str, model.Component] = field(default_factory=dict)
    cautions: dict[str, model.Caution] = field(default_factory=dict)
    sources: dict[str, model.Source] = field(default_factory=dict)
    terms: dict[str, model.Term] = field(default_factory=dict)
    findings: dict[str, model.PartFindings] = field(default_factory=dict)
    rules: dict[str, model.DecisionRule] = field(default_factory=dict)
    procedures: dict[str, model.Procedure] = field(default_factory=dict)
    references: dict[str, model.ReferencePage] = field(default_factory=dict)
    vehicles: dict[str, model.Vehicle] = field(default_factory=dict)
    shop: model.Shop | None = None
    shop_pages: dict[str, str] = field(default_factory=dict)
    page_files: dict[str, str] = field(default_factory=dict)  # plain page → its file, for the reader
    page_heads: dict[str, model.PageHead] = field(default_factory=dict)
    pictures: dict[str, Path] = field(default_factory=dict)  # file name → where it lies
    calculator_files: dict[str, tuple[str, str]] = field(default_factory=dict)  # a shop's own: module → name and text of its file
    catalogue: dict[str, Calculator] = field(default_factory=calculators.catalogue)  # by name: the handbook's, behind them the shop's
    changes: dict[str, model.StepChange] = field(default_factory=dict)
    changed_steps: dict[str, model.Step] = field(default_factory=dict)  # the handbook's step behind each change
    replaced: dict[tuple[str, str], model.Replaceable] = field(default_factory=dict)  # what a shop's own took the place of
    notes: dict[str, list[shop_changes.Note]] = field(default_factory=dict)  # step address → what the shop did there
    step_places: dict[str, list[tuple[Origin, Loc]]] = field(default_factory=dict)  # procedure with changed steps → where each stands
    origins: dict[tuple[str, str], Origin] = field(default_factory=dict)
    bases: dict[tuple[str, str], Loc] = field(default_factory=dict)
    from_shop: set[tuple[str, str]] = field(default_factory=set)
    drawings: dict[str, str] = field(default_factory=dict)  # of the handbook: name → title
    earlier: dict[str, dict[str, Any]] = field(default_factory=dict)  # steps of version 0.1.0 by address: meaning.earlier
    unread: set[str] = field(default_factory=set)  # kinds of content of which some could not be read

    def step_at(self, address: str) -> model.Step | None:
        """The step with this full address; None where there is none."""
        home, _, step_id = address.partition("/")
        steps = self.procedures[home].steps if home in self.procedures else []
        return next((step for step in steps if isinstance(step, model.Step) and step.id == step_id), None)

    def stock_and_own(self) -> tuple[list[model.Procedure], list[model.Procedure]]:
        """The procedures of the handbook, and those of the shop."""
        everything = list(self.procedures.values())
        own = [p for p in everything if ("procedures", p.id) in self.from_shop]
        return [p for p in everything if p not in own], own

    def problem(self, kind: str, key: str, loc: Loc, *fault: str) -> Problem:
        """A mistake (code, message, example …, see problems.Fault) inside the item `kind`/`key`, at the entry that `loc` leads to."""
        if kind == "procedures" and key in self.step_places and loc[:1] == ("steps",) and len(loc) > 1 and isinstance(loc[1], int):
            origin, base = self.step_places[key][loc[1]]
            return origin.problem(base + loc[2:], *fault)
        return self.origins[kind, key].problem(self.bases.get((kind, key), ()) + loc, *fault)
