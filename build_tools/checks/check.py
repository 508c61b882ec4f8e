"""Rules across files: every name leads somewhere, every condition can hold, every list is honest.

Each rule yields problems; none stops the others.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path

from build_tools.checks import layout_walk, walk_cache
from build_tools.checks.names import axis_problems, condition_problems, source_problems
from build_tools.checks.plain_pages import page_problems, reference_problems
from build_tools.checks.procedures import procedure_problems
from build_tools.checks.usage import bands_named, calculator_cautions, cautions_used, fields_used, replacements
from build_tools.checks.vehicles import vehicle_problems
from build_tools.content import decision_rules
from build_tools.content.handbook import Handbook
from build_tools.content.load import load_with_problems, worth_saying
from build_tools.content.model import (
    Procedure,
    Step,
)
from build_tools.content.page_order import parts_of
from build_tools.content.problems import ContentError, Problem
from build_tools.paths import PROJECT

WALKED = PROJECT / ".build" / "walked.json"


def check(
    handbook: Handbook,
    only: Collection[str] | None = None,
    walk_one: Callable[[Procedure], tuple[list[Problem], int]] | None = None,
) -> tuple[list[Problem], int]:
    """Every mistake across files, and the number of layouts that were walked; of procedures in `only` these alone.

    `walk_one` walks a procedure, for whoever knows some walks already.
    """
    procedures = [p for p in handbook.procedures.values() if only is None or p.id in only]
    problems: list[Problem] = []
    problems += condition_problems(handbook)
    problems += axis_problems(handbook, handbook.drawings)
    problems += cautions_used(handbook)
    problems += calculator_cautions(handbook)
    problems += fields_used(handbook)
    problems += bands_named(handbook)
    problems += decision_rules.problems(handbook)
    problems += replacements(handbook)
    for procedure in procedures:
        problems += procedure_problems(handbook, procedure, handbook.drawings)
    for vehicle in handbook.vehicles.values():
        problems += vehicle_problems(handbook, vehicle)
    for reference in handbook.references.values():
        problems += reference_problems(handbook, reference, handbook.drawings)
    problems += page_problems(handbook)
    for kind, items in (("cautions", handbook.cautions), ("findings", handbook.findings), ("references", handbook.references)):
        for key, item in items.items():
            problems += source_problems(handbook, kind, key, item)
    problems = worth_saying(handbook, problems)
    layouts = 0
    for procedure in _sound(handbook, procedures, {problem.file for problem in problems}):
        found, count = walk_one(procedure) if walk_one else layout_walk.walk(handbook, procedure)
        problems += found
        layouts += count
    return sorted(set(problems)), layouts


def _sound(handbook: Handbook, procedures: Iterable[Procedure], broken: set[str]) -> Iterator[Procedure]:
    """The procedures that can be walked: a walk over broken names would only repeat what is said of them.

    Where something is wrong already, only the shop's own are walked, so that its author need not wait for the others.
    """
    if broken or handbook.unread:
        procedures = [p for p in procedures if ("procedures", p.id) in handbook.from_shop or p.id in handbook.step_places]
    shared = {
        handbook.origins[kind, key].file
        for kind in ("layout", "components")
        for key in ["", *handbook.components]
        if (kind, key) in handbook.origins
    }
    if handbook.unread.intersection(("layout", "components", "procedures")) or shared & broken:
        return
    for procedure in procedures:
        parts = parts_of(procedure, handbook.procedures)
        if not broken.intersection(handbook.origins["procedures", part.procedure.id].file for part in parts):
            yield procedure


def load_and_check(stock: Path = PROJECT / "site_data", shop: Path | None = None) -> tuple[Handbook, int]:
    """The handbook, sound; ContentError holds every mistake."""
    handbook, problems = load_with_problems(stock, shop)
    walks = walk_cache.Walks(handbook, walk_cache.remembered(WALKED))
    found, layouts = check(handbook, walk_one=walks.walk)
    walk_cache.remember(WALKED, walks.known)
    if problems or found:
        raise ContentError([*problems, *found])
    handbook.findings = decision_rules.own_findings(handbook)  # so that pages say what the decision says
    return handbook, layouts


def counts(handbook: Handbook) -> dict[str, int]:
    """How much of everything the handbook holds, by name."""
    steps = [s for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step)]
    return {
        "procedures": sum(p.kind == "procedure" for p in handbook.procedures.values()),
        "symptoms": sum(p.kind == "diagnosis" for p in handbook.procedures.values()),
        "steps": len(steps),
        "calculators": len(handbook.catalogue),
        "figures": len(handbook.drawings),
        "parts": sum(c.kind == "part" for c in handbook.components.values()),
        "reference pages": len(handbook.references),
        "kinds of parts": sum(len(page.items) for page in handbook.references.values() if page.group == "parts"),
        "tables": sum(len(page.tables) for page in handbook.references.values()),
        "terms": len(handbook.terms),
        "cautions": len(handbook.cautions),
        "findings": sum(len(p.findings) for p in handbook.findings.values()),
        "rules": len(handbook.rules),
        "sources": len(handbook.sources),
        "vehicles": len(handbook.vehicles),
    }
