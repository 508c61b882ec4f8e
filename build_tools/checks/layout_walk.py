"""Walks every layout that a procedure can meet, and proves from the steps' declared effects that the job closes.

What comes off goes on again, what is loosened is torqued, what is opened is closed, bled and leak-checked, a held step
comes after what it waits for, no step names a part that the layout lacks, and nothing puts pressure on the pistons
while a part that holds them in is off or a joint is open. An outcome that leads past steps must leave the job whole
without them.

Each thing is proved by itself: whether a nut is torqued again hangs on the steps that touch this nut, and on the few
questions that decide whether those are shown. So every layout is proved without going through all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from build_tools.checks.layouts import Layout, Scope, in_words
from build_tools.checks.reach import reach
from build_tools.content.handbook import Handbook
from build_tools.content.model import Procedure
from build_tools.content.page_order import Placed, address_of, included, steps_of
from build_tools.content.problems import Problem
from build_tools.content.when import Normal, holds

Fault = tuple[Placed, str, str, str]  # step, entry, code, message


@dataclass(frozen=True)
class Branch:
    """An outcome of a step that leads past others, also by later steps that come out as it did."""

    root: Placed
    code: str
    past: frozenset[str]  # addresses


def walk(handbook: Handbook, procedure: Procedure) -> tuple[list[Problem], int]:
    """The mistakes found, each said once, and how many layouts were walked."""
    steps = steps_of(procedure, handbook.procedures)
    whole = procedure.id not in included(handbook.procedures.values())
    scope = Scope(handbook, procedure, steps)
    page = _Page(handbook, scope, steps, _branches(steps))
    problems: dict[tuple[str, str], Problem] = {}
    for layout, (placed, field, code, message) in (*_proofs(page, whole), *reach(scope, steps)):
        if (placed.address, message) in problems:
            continue
        index = [getattr(s, "id", None) for s in handbook.procedures[placed.home].steps].index(placed.step.id)
        where = f", {f'where {in_words(layout)}' if in_words(layout) else 'on any layout'}" if layout is not None else ""
        words = f"{message[:1].upper()}{message[1:]}, on page '{procedure.id}'{where}."
        problems[placed.address, message] = handbook.problem("procedures", placed.home, ("steps", index, *field.split(".")), code, words)
    return list(problems.values()), sum(1 for _ in scope.page.all())


@dataclass
class _Page:
    handbook: Handbook
    scope: Scope
    steps: list[Placed]
    branches: list[Branch]

    def each(self, conditions: Iterable[Normal | None], proof: Callable[[Layout], Iterable[Fault]]) -> Iterator[tuple[Layout, Fault]]:
        """The proof's faults over all answers on which it hangs, each with the first whole layout that has it."""
        told: set[tuple[str, str]] = set()
        for part in self.scope.over(*conditions):
            for fault in proof(part):
                key = (fault[0].address, fault[3])
                if key not in told and (layout := self.scope.whole(part)) is not None:
                    told.add(key)
                    yield layout, fault


def _proofs(page: _Page, whole: bool) -> Iterator[tuple[Layout, Fault]]:
    yield from _missing_parts(page)
    yield from _holds(page)
    touching: dict[str, list[Placed]] = {}
    for placed in page.steps:
        for name in dict.fromkeys(name for names in placed.step.effects.values() for name in names):
            touching.setdefault(name, []).append(placed)
    if whole:  # a part of a job may leave things open for the next part
        for name, steps in touching.items():
            guarded = page.handbook.components[name].holds_pistons or page.handbook.components[name].kind == "joint"
            addresses = {placed.address for placed in steps}
            yield from _thing(page, name, [p for p in page.steps if p.address in addresses or p.step.presses] if guarded else steps)


def _missing_parts(page: _Page) -> Iterator[tuple[Layout, Fault]]:
    for placed in page.steps:
        for name in dict.fromkeys(placed.parts):
            there = page.handbook.components[name].when
            if there is None:
                continue

            def proof(layout: Layout, placed: Placed = placed, name: str = name, there: Normal = there) -> Iterator[Fault]:
                if holds(placed.when, layout) and holds(there, layout) is False:
                    yield placed, "do", "J201", f"this step works on '{name}', which the layout lacks"

            yield from page.each((placed.when, there), proof)


def _holds(page: _Page) -> Iterator[tuple[Layout, Fault]]:
    """A held step comes after what it waits for, and no outcome leads past that alone."""
    number = {placed.address: index for index, placed in enumerate(page.steps)}
    for placed in page.steps:
        for reference in placed.step.hold.until if placed.step.hold else ():
            awaited = address_of(reference, placed.home)
            if awaited not in number:
                continue
            other = page.steps[number[awaited]]
            branches = [b for b in page.branches if awaited in b.past and placed.address not in b.past]

            def proof(
                layout: Layout,
                placed: Placed = placed,
                other: Placed = other,
                reference: str = reference,
                branches: list[Branch] = branches,
            ) -> Iterator[Fault]:
                if not (holds(placed.when, layout) and holds(other.when, layout)):
                    return
                if number[other.address] >= number[placed.address]:
                    yield placed, "hold", "J202", f"this step waits for '{reference}', which comes later"
                for branch in branches:
                    if holds(branch.root.when, layout):
                        yield (
                            placed,
                            "hold",
                            "J211",
                            f"this step waits for '{reference}', which '{branch.root.address}' leads past when it comes out '{branch.code}'",
                        )

            yield from page.each((placed.when, other.when, *(b.root.when for b in branches)), proof)


def _thing(page: _Page, name: str, steps: list[Placed]) -> Iterator[tuple[Layout, Fault]]:
    """One part, fastener or joint through the job, and through each outcome that leads past steps which touch it."""
    there, holds_pistons = page.handbook.components[name].when, bool(page.handbook.components[name].holds_pistons)
    addresses = frozenset(placed.address for placed in steps)
    branches = [(b, b.past & addresses) for b in page.branches if not b.past.isdisjoint(addresses)]
    proved: dict[tuple[tuple[str, ...], bool], list[Fault]] = {}  # many layouts and outcomes show the same steps

    def faults(shown: list[Placed], lacking: bool) -> list[Fault]:
        key = (tuple(placed.address for placed in shown), lacking)
        if key not in proved:
            proved[key] = list(_faults(name, shown, lacking, holds_pistons))
        return proved[key]

    def proof(layout: Layout) -> Iterator[Fault]:
        lacking = holds(there, layout) is False
        shown = [placed for placed in steps if holds(placed.when, layout)]
        usual = faults(shown, lacking)
        yield from usual
        known = {(placed.address, message) for placed, _, _, message in usual}
        for branch, past in branches:
            if holds(branch.root.when, layout):
                for placed, field, code, message in faults([p for p in shown if p.address not in past], lacking):
                    if (placed.address, message) not in known:
                        yield placed, field, code, f"{message}, when '{branch.root.address}' comes out '{branch.code}'"

    yield from page.each((there, *(p.when for p in steps), *(b.root.when for b, _ in branches)), proof)


_LEFT = {
    "off": ("takes_off", "J205", "'{}' comes off here and never goes on again"),
    "loose": ("loosens", "J206", "'{}' is loosened here and never torqued"),
    "open": ("opens", "J207", "'{}' is opened here and never closed"),
    "unbled": ("opens", "J208", "'{}' is opened here and never bled"),
    "unchecked": ("opens", "J209", "'{}' is opened here and never checked for leaks"),
}


def _faults(name: str, shown: list[Placed], lacking: bool, holds_pistons: bool) -> Iterator[Fault]:
    """What does not close of one thing over the steps that touch it. A part that the layout lacks is said elsewhere."""
    left: dict[str, Placed] = {}  # state → the step that began it
    for placed in shown:
        step = placed.step
        for state in (*(["off"] if holds_pistons else []), "open") if step.presses else ():
            if state in left:
                yield (
                    placed,
                    "presses",
                    "J216",
                    f"this step puts pressure on the pistons, and '{name}' is {state} since step '{left[state].address}'",
                )
        if name in step.takes_off:
            if "off" in left:
                yield placed, "takes_off", "J203", f"'{name}' is already off since step '{left['off'].address}'"
            left["off"] = placed
        if name in step.fits:
            if "off" not in left:
                yield placed, "fits", "J204", f"'{name}' was never taken off"
            left.pop("off", None)
        if name in step.loosens:
            left["loose"] = placed
        if name in step.torques:
            left.pop("loose", None)
        if name in step.opens:
            left |= dict.fromkeys(("open", "unbled", "unchecked"), placed)
        if name in step.closes:
            if "open" not in left:
                yield placed, "closes", "J210", f"'{name}' was never opened"
            left.pop("open", None)
        if "open" not in left:  # nothing is bled or checked while it is open
            if name in step.bleeds:
                left.pop("unbled", None)
            if name in step.leak_checks:
                left.pop("unchecked", None)
    if lacking:
        return
    if "open" in left:  # says it all
        left = {state: placed for state, placed in left.items() if state not in ("unbled", "unchecked")}
    for state, (field, code, message) in _LEFT.items():
        if state in left:
            yield left[state], field, code, message.format(name)


def _branches(steps: list[Placed]) -> list[Branch]:
    order = {placed.address: number for number, placed in enumerate(steps)}
    past: dict[tuple[str, str], set[str]] = {}
    for start, placed in enumerate(steps):
        follows = placed.step.enter.as_at if placed.step.enter else None
        root = address_of(follows, placed.home) if follows else placed.address
        for code, outcome in (*placed.step.if_not.items(), *placed.step.otherwise.items()):
            end = order.get(address_of(outcome.go, placed.home), 0) if outcome.go else 0
            past.setdefault((root, code), set()).update(other.address for other in steps[start + 1 : end])
    return [
        Branch(steps[order[root]], code, frozenset(addresses)) for (root, code), addresses in past.items() if addresses and root in order
    ]
