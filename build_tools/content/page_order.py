"""The steps of one page in order, with included procedures laid out where they are used.

Included steps keep their home address `procedure/step`; the number is the page's own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import get_args

from build_tools.content.model import EFFECTS, Procedure, Step, Use
from build_tools.content.when import Normal, both


@dataclass(frozen=True)
class Placed:
    """A step where it stands on a page."""

    step: Step
    home: str
    when: Normal | None
    number: str

    @cached_property
    def address(self) -> str:
        return f"{self.home}/{self.step.id}"

    @cached_property
    def parts(self) -> list[str]:
        """Parts, fasteners and joints that the step names."""
        names = [name for effect in (*EFFECTS, "always_new") for name in getattr(self.step, effect)]
        return [*names, self.step.torque.fastener] if self.step.torque else names

    @cached_property
    def has_effects(self) -> bool:
        return bool(self.step.effects or self.step.presses)

    @property
    def anchor(self) -> str:
        return f"{self.home}.{self.step.id}"


@dataclass
class Part:
    """A run of steps under one heading: the procedure's own, or one that it includes."""

    procedure: Procedure
    number: int
    when: Normal | None
    steps: list[Placed] = field(default_factory=list)
    run: int = 1  # the procedure's steps may go on after another part

    @property
    def anchor(self) -> str:
        return self.procedure.id if self.run == 1 else f"{self.procedure.id}-{self.run}"

    @property
    def title(self) -> str:
        return (self.procedure.short or self.procedure.title) + (", continued" if self.run > 1 else "")


def parts_of(procedure: Procedure, procedures: Mapping[str, Procedure]) -> list[Part]:
    """The page's parts. Unknown or circular `use:` is left out here; check.py reports it."""
    parts: list[Part] = []
    _lay_out(procedure, procedures, None, (procedure.id,), parts)
    single = len(parts) == 1
    for number, part in enumerate(parts, 1):
        part.number = number
        part.run = 1 + sum(other.procedure is part.procedure for other in parts[: number - 1])
        part.steps = [
            Placed(p.step, p.home, p.when, f"{index}" if single else f"{number}.{index}") for index, p in enumerate(part.steps, 1)
        ]
    return parts


def _lay_out(
    procedure: Procedure, procedures: Mapping[str, Procedure], when: Normal | None, trail: tuple[str, ...], parts: list[Part]
) -> None:
    current: Part | None = None
    for item in procedure.steps:
        if isinstance(item, Use):
            current = None
            included = procedures.get(item.use)
            if included and included.id not in trail:
                inner = both(both(when, item.when), included.when)
                _lay_out(included, procedures, inner, (*trail, included.id), parts)
            continue
        if current is None:
            current = Part(procedure, 0, when)
            parts.append(current)
        current.steps.append(Placed(item, procedure.id, both(when, item.when), ""))


def included(procedures: Iterable[Procedure]) -> set[str]:
    """The ids of procedures that are a part of another one."""
    return {item.use for procedure in procedures for item in procedure.steps if isinstance(item, Use)}


def whole_jobs(procedures: Sequence[Procedure]) -> list[Procedure]:
    """Those that are no part of another one; a diagnosis only leads to jobs."""
    within = included(procedures)
    return [procedure for procedure in procedures if procedure.kind == "procedure" and procedure.id not in within]


def by_subject(jobs: Sequence[Procedure]) -> dict[str, list[Procedure]]:
    """Whole jobs under the subject that they name, in the order of the model; those without one come last."""
    subjects = get_args(get_args(Procedure.model_fields["subject"].annotation)[0])
    found = {subject: [p for p in jobs if p.subject == subject] for subject in subjects}
    return {name: listed for name, listed in {**found, "other jobs": [p for p in jobs if not p.subject]}.items() if listed}


def steps_of(procedure: Procedure, procedures: Mapping[str, Procedure]) -> list[Placed]:
    """All steps of the page, in order."""
    return [placed for part in parts_of(procedure, procedures) for placed in part.steps]


def address_of(reference: str, home: str) -> str:
    """The full address of a step reference that stands in procedure `home`."""
    return reference if "/" in reference else f"{home}/{reference}"
