"""Walks every layout that a procedure can meet, and proves from the steps' declared effects that the job closes.

What comes off goes on again, what is loosened is torqued, what is opened is closed, bled and leak-checked, a held step
comes after what it waits for, no step names a part that the layout lacks, and nothing puts pressure on the pistons while a part
that holds them in is off or a joint is open. An outcome that leads past steps must
leave the job whole without them.
"""
from __future__ import annotations

from collections.abc import Iterator

from build_tools.conditions import axes_of, holds
from build_tools.load import Handbook
from build_tools.model import Procedure
from build_tools.problems import Problem
from build_tools.sequence import Placed, address_of, included, steps_of


def walk(handbook: Handbook, procedure: Procedure) -> tuple[list[Problem], int]:
    """The mistakes found, each said once, and how many layouts were walked."""
    steps = steps_of(procedure, handbook.procedures)
    whole = procedure.id not in included(handbook.procedures.values())
    problems: dict[tuple, Problem] = {}
    seen: set[tuple] = set()
    count = 0
    answers = _Answers()
    branches = _branches(steps)
    telling = _telling(steps, branches)
    asked = _asked(handbook, telling)
    told: set[tuple] = set()
    holding = frozenset(c.id for c in handbook.components.values() if c.holds_pistons)
    for layout in layouts(handbook, procedure, steps):
        count += 1
        answered = tuple(layout.get(axis) for axis in asked)
        if answered in told:  # differs only in what no proof looks at
            continue
        told.add(answered)
        shown = [placed for placed in telling if answers.holds(placed.when, layout)]
        lacking = frozenset(c.id for c in handbook.components.values() if answers.holds(c.when, layout) is False)
        # the same list of steps meets the same parts: each distinct list is proved once
        key = (tuple(p.address for p in shown), lacking)
        if key in seen:
            continue
        seen.add(key)
        usual = list(_faults(shown, lacking, whole, holding))
        for placed, field, code, message in (*usual, *_branch_faults(branches, usual, shown, lacking, whole, holding)):
            index = [getattr(s, "id", None) for s in handbook.procedures[placed.home].steps].index(placed.step.id)
            words = f"{message[:1].upper()}{message[1:]}, on page '{procedure.id}', where {_words(layout) or 'any layout is'}."
            problems.setdefault((placed.address, message), handbook.problem("procedures", placed.home, ("steps", index, field), code, words))
    return list(problems.values()), count


def _telling(steps: list[Placed], branches) -> list[Placed]:
    """The steps that a proof can hang on: they work on a part, wait, are waited for, or lead past others."""
    awaited = {address_of(ref, placed.home) for placed in steps if placed.step.hold for ref in placed.step.hold.until}
    awaited |= {root for root, _ in branches}
    return [placed for placed in steps if placed.parts or placed.has_effects or placed.step.hold or placed.address in awaited]


def _asked(handbook: Handbook, telling: list[Placed]) -> list[str]:
    """The questions on which the telling steps, and the parts that a layout has, depend."""
    conditions = [*(placed.when for placed in telling), *(c.when for c in handbook.components.values())]
    return sorted(set().union(*map(axes_of, conditions)))


def layouts(handbook: Handbook, procedure: Procedure, steps: list[Placed]) -> Iterator[dict[str, str]]:
    """Every possible layout over the axes that the page's conditions mention."""
    names = axes_of_page(handbook, procedure, steps)
    parts = set().union(*(axes_of(handbook.components[name].when) for placed in steps for name in placed.parts))
    names = [name for name in handbook.axes if name in {*names, *parts}]
    yield from _complete(handbook, procedure, names, {})


def axes_of_page(handbook: Handbook, procedure: Procedure, steps: list[Placed]) -> list[str]:
    """The questions that a page needs answered, in the order in which they are asked."""
    axes = set(axes_of(procedure.when)).union(*(axes_of(placed.when) for placed in steps))
    # a question asked only under a condition needs the answers that the condition looks at
    while more := {inner for axis in axes for inner in axes_of(handbook.axes[axis].when)} - axes:
        axes |= more
    return [name for name in handbook.axes if name in axes]


def answers_covered(handbook: Handbook, procedure: Procedure) -> dict[str, set[str]]:
    """For each question that the procedure's scope mentions, the answers that some layout in scope gives."""
    names = [name for name in handbook.axes if name in axes_of(procedure.when)]
    answers: dict[str, set[str]] = {name: set() for name in names}
    for layout in _complete(handbook, procedure, names, {}):
        for name, value in layout.items():
            answers[name].add(value)
    return answers


NOT_ASKED = "not asked"  # the answer to a question that this layout does not raise; no condition names it


def _complete(handbook: Handbook, procedure: Procedure, names: list[str], layout: dict[str, str]) -> Iterator[dict[str, str]]:
    """Answers the questions one by one and turns back as soon as a layout is out of scope or impossible."""
    if holds(procedure.when, layout) is False or any(holds(wrong.when, layout) for wrong in handbook.impossible):
        return
    if not names:
        yield layout
        return
    axis = handbook.axes[names[0]]
    asked = holds(axis.when, layout) is not False
    for value in [v.id for v in axis.values] if asked else [NOT_ASKED]:
        yield from _complete(handbook, procedure, names[1:], {**layout, axis.id: value})


class _Answers:
    """Whether conditions hold, remembered by the answers that each one looks at: layouts repeat them endlessly."""

    def __init__(self):
        self.axes: dict[int, tuple[str, ...]] = {}
        self.known: dict[tuple, bool | None] = {}

    def holds(self, condition, layout: dict[str, str]) -> bool | None:
        if condition is None:
            return True
        number = id(condition)
        if number not in self.axes:
            self.axes[number] = tuple(sorted(axes_of(condition)))
        key = (number, *(layout.get(axis) for axis in self.axes[number]))
        if key not in self.known:
            self.known[key] = holds(condition, layout)
        return self.known[key]


def _faults(shown: list[Placed], lacking: frozenset[str], whole: bool, holding: frozenset[str]):
    """Yields (step, entry, code, message) for each thing that does not close. `holding`: parts that hold the pistons in."""
    done: set[str] = set()
    off: dict[str, Placed] = {}
    loose: dict[str, Placed] = {}
    open_joints: dict[str, Placed] = {}
    unbled: dict[str, Placed] = {}
    unchecked: dict[str, Placed] = {}
    for placed in shown:
        step = placed.step
        for name in () if lacking.isdisjoint(placed.parts) else sorted(lacking.intersection(placed.parts)):
            yield placed, "do", "J201", f"this step works on '{name}', which the layout lacks"
        for reference in step.hold.until if step.hold else ():
            address = address_of(reference, placed.home)
            if address not in done and any(address == other.address for other in shown):
                yield placed, "hold", "J202", f"this step waits for '{reference}', which comes later"
        for name in [*sorted(holding.intersection(off)), *sorted(open_joints)] if step.presses and whole else ():
            state = f"off since step '{off[name].address}'" if name in off else f"open since step '{open_joints[name].address}'"
            yield placed, "presses", "J212", f"this step puts pressure on the pistons, and '{name}' is {state}"
        for name in step.takes_off:
            if name in off and whole:
                yield placed, "takes_off", "J203", f"'{name}' is already off since step '{off[name].address}'"
            off[name] = placed
        for name in step.fits:
            if name not in off and whole:
                yield placed, "fits", "J204", f"'{name}' was never taken off"
            off.pop(name, None)
        for name in step.loosens:
            loose[name] = placed
        for name in step.torques:
            loose.pop(name, None)
        for name in step.opens:
            open_joints[name] = unbled[name] = unchecked[name] = placed
        for name in step.closes:
            if name not in open_joints and whole:
                yield placed, "closes", "J210", f"'{name}' was never opened"
            open_joints.pop(name, None)
        for name in step.bleeds:
            if name not in open_joints:
                unbled.pop(name, None)
        for name in step.leak_checks:
            if name not in open_joints:
                unchecked.pop(name, None)
        done.add(placed.address)
    if not whole:  # a part of a job may leave things open for the next part
        return
    for pending, field, code, message in (
        (off, "takes_off", "J205", "'{}' comes off here and never goes on again"),
        (loose, "loosens", "J206", "'{}' is loosened here and never torqued"),
        (open_joints, "opens", "J207", "'{}' is opened here and never closed"),
        (unbled, "opens", "J208", "'{}' is opened here and never bled"),
        (unchecked, "opens", "J209", "'{}' is opened here and never checked for leaks"),
    ):
        for name, placed in pending.items():
            left_open = name in open_joints and pending is not open_joints  # nothing is bled or checked while it is open
            if name not in lacking and not left_open:
                yield placed, field, code, message.format(name)


def _branches(steps: list[Placed]) -> dict[tuple[str, str], set[str]]:
    """(decision, outcome) → the addresses that it leads past, also by later steps that come out as it did."""
    order = {placed.address: number for number, placed in enumerate(steps)}
    past: dict[tuple[str, str], set[str]] = {}
    for start, placed in enumerate(steps):
        follows = placed.step.enter.as_at if placed.step.enter else None
        root = address_of(follows, placed.home) if follows else placed.address
        for code, outcome in (*placed.step.if_not.items(), *placed.step.otherwise.items()):
            end = order.get(address_of(outcome.go, placed.home), 0) if outcome.go else 0
            past.setdefault((root, code), set()).update(other.address for other in steps[start + 1:end])
    return {branch: addresses for branch, addresses in past.items() if addresses}


def _branch_faults(branches: dict[tuple[str, str], set[str]], usual: list, shown: list[Placed], lacking: frozenset[str], whole: bool, holding: frozenset[str]):
    """Faults of the job when one outcome leads past steps, beyond the `usual` ones that it has anyway."""
    known = {(placed.address, message) for placed, _, _, message in usual}
    there = {placed.address for placed in shown}
    waiting = [placed for placed in shown if placed.step.hold]
    working = [placed for placed in shown if placed.has_effects]  # nothing else comes out otherwise when a step is left out
    proved: dict[frozenset[str], list] = {}  # many outcomes leave out the same
    for (root, code), led_past in branches.items():
        addresses = led_past & there
        if root not in there or not addresses:
            continue
        for placed in waiting:
            if placed.address in addresses:
                continue
            for reference in placed.step.hold.until:
                if address_of(reference, placed.home) in addresses:
                    yield placed, "hold", "J211", f"this step waits for '{reference}', which '{root}' leads past when it comes out '{code}'"
        left_out = frozenset(placed.address for placed in working if placed.address in addresses)
        if left_out and left_out not in proved:
            proved[left_out] = list(_faults([placed for placed in working if placed.address not in left_out], lacking, whole, holding))
        for placed, field, fault, message in proved.get(left_out, ()):
            if (placed.address, message) not in known:
                yield placed, field, fault, f"{message}, when '{root}' comes out '{code}'"


def _words(layout: dict) -> str:
    return ", ".join(f"{axis} {value}" for axis, value in layout.items() if value != NOT_ASKED)
