"""A shop's changes to steps of the handbook: put into the procedures after loading, so that every check, the layout
walk and the pages work on what the shop really does.

A step keeps its address: in its place stands a step of the same id, and new steps get ids of their own. Safety messages
of a step stay unless the shop takes each out by name, with a reason.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from build_tools.content.model import Procedure, Step, StepChange, Use
from build_tools.content.problems import Fault, Problem, unknown
from build_tools.content.yaml_reader import Loc

if TYPE_CHECKING:
    from build_tools.content.handbook import Handbook

Said = tuple[Loc, *tuple[str, ...]]  # the entry of a change, then a fault's code, message, example …


@dataclass(frozen=True)
class Note:
    """What a page says at a step about the shop's part in it. `stock` is the handbook's step that was changed."""

    kind: str  # added, instead, removed, caution
    change: StepChange
    stock: Step
    stale: bool  # the handbook's step has changed since the shop looked at it


def apply(handbook: Handbook) -> list[Problem]:
    """Put every change into its procedure; what cannot be is said, and left out."""
    problems: list[Problem] = []
    found: dict[tuple[str, str], str] = {}
    for key, change in handbook.changes.items():
        target, faults = _target(handbook, change)
        if target is None:
            problems += [handbook.problem("changes", key, loc, *said) for loc, *said in faults]
            continue
        procedure, step = target
        address = (procedure.id, step.id)
        if address in found:
            faults = [(("step",), "S102", f"'{found[address]}' is the same step by an earlier name; put both changes into one.")]
        found[address] = key
        faults = faults or list(_faults(handbook, procedure, step, change))
        problems += [handbook.problem("changes", key, loc, *said) for loc, *said in faults]
        if not faults:
            _put(handbook, procedure, step, key, change)
    return problems


def stale(handbook: Handbook) -> Iterator[Problem]:
    """What the shop should look at again, since the handbook's own wording has changed under it."""
    for key, stock in handbook.changed_steps.items():
        if stock.hash != handbook.changes[key].made_for:
            yield handbook.problem(
                "changes",
                key,
                ("made_for",),
                "S110",
                f"Look again: the handbook's step '{key}' has changed since this was written.",
                f"made_for: {stock.hash}",
            )
    for (kind, key), before in handbook.replaced.items():
        if before.hash != getattr(handbook, kind)[key].replaces_stock.made_for:
            yield handbook.problem(
                kind,
                key,
                ("replaces_stock", "made_for"),
                "S110",
                f"Look again: the handbook's own '{key}' has changed since this was written.",
                f"made_for: {before.hash}",
            )


def _target(handbook: Handbook, change: StepChange) -> tuple[tuple[Procedure, Step] | None, list[Said]]:
    """Procedure and step of today that a change is about, and what is wrong with its address."""
    home, _, name = _address_today(handbook, change.step).partition("/")
    if home not in handbook.procedures:
        return None, [(("step",), *_with_step(unknown("N109", home, "procedure", handbook.procedures), "{}/" + name))]
    if ("procedures", home) in handbook.from_shop:
        return None, [(("step",), "S101", f"'{home}' is this shop's own procedure; change its file instead.")]
    step = _step(handbook.procedures[home], name)
    if step is None:
        known = [s.id for s in handbook.procedures[home].steps if isinstance(s, Step)]
        return None, [(("step",), *_with_step(unknown("N110", name, f"step of {home}", known), home + "/{}"))]
    return (handbook.procedures[home], step), []


def _address_today(handbook: Handbook, address: str) -> str:
    """The address of a step that has moved to another procedure; else the address as it is."""
    moved = (f"{p.id}/{s.id}" for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step) and address in s.was)
    return next(moved, address)


def _with_step(fault: Fault, address: str) -> Fault:
    """The place holds an address: what may stand there is the whole of it."""
    return fault._replace(fits=address.format(fault.near) if fault.near else "")


def _step(procedure: Procedure, name: str) -> Step | None:
    return next((s for s in procedure.steps if isinstance(s, Step) and name in (s.id, *s.was)), None)


def _faults(handbook: Handbook, procedure: Procedure, step: Step, change: StepChange) -> Iterator[Said]:
    if change.made_for is None:
        yield (
            (),
            "S103",
            "The entry 'made_for' is missing: the fingerprint of the handbook's step as you have read it.",
            f"made_for: {step.hash}",
        )
    taken = {name for s in procedure.steps if isinstance(s, Step) for name in (s.id, *s.was)}
    ids = [new.id for new in change.steps]
    if change.do == "instead" and step.id not in ids:
        yield (
            ("steps",),
            "S104",
            f"One of the new steps keeps the id '{step.id}', so that records and other steps still find it.",
            f"id: {step.id}",
        )
    for index, name in enumerate(ids):
        if name in taken and not (change.do == "instead" and name == step.id and ids.count(name) == 1):
            yield (
                ("steps", index, "id"),
                "S105",
                f"The id '{name}' is taken in '{procedure.id}'; ids are never used again.",
                f"id: our-{name}",
            )
    for name in change.without:
        if name not in step.cautions:
            yield ("without", name), *unknown("S106", name, "safety message of the handbook's step", step.cautions)._replace(fits="")
    if change.do == "remove" and len(procedure.steps) == 1:
        yield ("step",), "S107", f"'{procedure.id}' would have no step left; put another in its place.", "do: instead"
    if change.do == "remove":
        for place in _led_to(handbook, procedure, step):
            yield (
                ("step",),
                "S107",
                f"'{place}' waits for this step or leads to it, so it cannot be taken out; put another in its place.",
                "do: instead",
            )


def _led_to(handbook: Handbook, home: Procedure, step: Step) -> Iterator[str]:
    """The steps that name this one."""
    for procedure in handbook.procedures.values():
        names = {f"{home.id}/{step.id}"} | ({step.id} if procedure is home else set())
        for other in procedure.steps:
            if isinstance(other, Step) and other is not step and names & set(_named_by(other)):
                yield f"{procedure.id}/{other.id}"


def _named_by(step: Step) -> Iterator[str]:
    """Every step that a step names, as it is written there."""
    yield from (outcome.go for outcome in (*step.if_not.values(), *step.otherwise.values()) if outcome.go)
    yield from step.hold.until if step.hold else ()
    if step.enter:
        yield from (given.partition("#")[0] for given in step.enter.fields.values() if "#" in given)
        yield from [step.enter.as_at] if step.enter.as_at else []


def _put(handbook: Handbook, procedure: Procedure, step: Step, key: str, change: StepChange) -> None:
    """Change one procedure's steps, and keep where each of them was written."""
    origin, base = handbook.origins["procedures", procedure.id], ("steps",)
    places = handbook.step_places.get(procedure.id) or [(origin, (*base, index)) for index in range(len(procedure.steps))]
    own = (handbook.origins["changes", key], handbook.bases["changes", key])
    at = next(index for index, s in enumerate(procedure.steps) if s is step)
    new = [(s, (own[0], (*own[1], "steps", index))) for index, s in enumerate(_new_steps(step, change))]
    old = (step, places[at])
    row = {
        "before": [*new, old],
        "after": [old, *new],
        "instead": new,
        "remove": [],
        "caution": [(_with_cautions(step, change), places[at])],
    }[change.do]
    steps = [*procedure.steps[:at], *(s for s, _ in row), *procedure.steps[at + 1 :]]
    handbook.procedures[procedure.id] = procedure.model_copy(update={"steps": steps})
    handbook.step_places[procedure.id] = [*places[:at], *(place for _, place in row), *places[at + 1 :]]
    handbook.changed_steps[key] = step
    _note(handbook, procedure.id, step, change, steps, at)


def _new_steps(step: Step, change: StepChange) -> list[Step]:
    """The shop's steps. Those that take a step's place carry on its safety messages, and what it waits for."""
    if change.do != "instead":
        return change.steps
    there = {name for new in change.steps for name in new.cautions}
    kept = [name for name in step.cautions if name not in change.without and name not in there]
    first, *rest = [new.model_copy(update={"hold": new.hold or step.hold}) if new.id == step.id else new for new in change.steps]
    return [first.model_copy(update={"cautions": [*kept, *first.cautions]}), *rest]


def _with_cautions(step: Step, change: StepChange) -> Step:
    kept = [name for name in step.cautions if name not in change.without]
    return step.model_copy(update={"cautions": list(dict.fromkeys([*kept, *change.cautions]))})


_KINDS = {"before": "added", "after": "added", "instead": "instead", "remove": "removed", "caution": "caution"}


def _note(handbook: Handbook, home: str, step: Step, change: StepChange, steps: list[Step | Use], at: int) -> None:
    """Leave word at the steps where the reader sees the change; what was taken out is told where it stood."""
    note = Note(_KINDS[change.do], change, step, change.made_for != step.hash)
    beside = [s for s in (*steps[at:], *reversed(steps[:at])) if not isinstance(s, Use)][:1]
    earlier = handbook.notes.pop(f"{home}/{step.id}", []) if change.do == "remove" else []
    for told in {"remove": beside, "caution": [step]}.get(change.do, change.steps):
        handbook.notes.setdefault(f"{home}/{told.id}", []).extend([*earlier, note])
