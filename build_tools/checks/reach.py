"""Proves that every step of a page can be reached, and that every outcome leads somewhere that helps.

The page is followed as a reader follows it: from its first step, through each outcome that a step can have. An outcome
goes on to the next step, to the step it names, stops, or leads to another page; what stands behind that is reached
only by another way. A step that comes out as an earlier one did comes out alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from build_tools.checks.layouts import Layout, Scope
from build_tools.content.model import Outcome
from build_tools.content.page_order import Placed, address_of
from build_tools.content.when import Normal, both, holds
from calculators.contract.judge import CODES

Fault = tuple[Placed, str, str, str]  # step, entry, code, message
State = tuple[int, tuple[str | None, ...]]  # a place, and the outcomes so far of the steps that later ones repeat
ON, STOP, AWAY, AGAIN = "on", "stop", "away", "again"


@dataclass(frozen=True)
class Way:
    """Where an outcome leads: a step of the page by its place, or one of the four words above."""

    code: str | None  # the outcome; None where it is not told apart
    to: int | str
    address: str = ""  # of the step that it names


@dataclass
class Node:
    placed: Placed
    ways: list[Way] = field(default_factory=list)
    as_at: int | None = None  # the place of the step whose outcome this one repeats


def reach(scope: Scope, steps: list[Placed]) -> Iterator[tuple[Layout | None, Fault]]:
    """(a layout with the fault, or None where every layout has it; the fault)."""
    nodes = _nodes(steps)
    reached: set[int] = set()
    stuck: dict[int, Layout] = {}
    seen: set[frozenset[int]] = set()
    for index, node in enumerate(nodes):
        there = False
        for layout in scope.page.all(node.placed.when) if index not in reached else ():
            shown = frozenset(i for i, each in enumerate(nodes) if holds(each.placed.when, layout))
            if index not in shown:
                continue
            there = True
            if shown in seen:  # told nothing new about this step
                continue
            seen.add(shown)
            found, endless = _followed(nodes, shown)
            reached |= found
            stuck |= {at: layout for at in endless if at not in stuck}
            if index in reached:
                break
        if index in reached:
            continue
        if there:
            yield None, (node.placed, "do", "J212", "no way through the page leads to this step")
        elif node.placed.home == scope.procedure.id:
            yield None, (node.placed, "when", "J213", "this step is shown on no layout that the procedure covers")
    for at, layout in stuck.items():
        yield layout, (nodes[at].placed, "if_not", "J214", "from this step no outcome leads to the end of the page: it goes round for ever")
    yield from _hidden_targets(scope, nodes)


def _nodes(steps: list[Placed]) -> list[Node]:
    order = {placed.address: index for index, placed in enumerate(steps)}
    nodes = []
    for placed in steps:
        step, enter = placed.step, placed.step.enter
        root = order.get(address_of(enter.as_at, placed.home)) if enter and enter.as_at else None
        asked = steps[root].step.enter if root is not None else enter
        codes = list(asked.choice or ()) if asked and asked.choice else list(CODES) if asked and asked.calculator else []

        def way(code: str | None, outcome: Outcome, home: str = placed.home) -> Way:
            if outcome.go:
                address = address_of(outcome.go, home)
                return Way(code, order.get(address, AWAY), address)
            return Way(code, STOP if outcome.stop else AGAIN)

        ways = [way(code, outcome) for code, outcome in step.if_not.items()]
        told = {each.code for each in ways}
        ways += [Way(code, ON) for code in codes if code not in told]
        if not codes or root is not None:  # nothing is asked that tells its outcomes apart: it may have worked as well
            ways.append(Way(None, ON))
        ways += [way(None, outcome) for outcome in step.otherwise.values()]
        nodes.append(Node(placed, ways, root))
    return nodes


def _followed(nodes: list[Node], shown: frozenset[int]) -> tuple[set[int], set[int]]:
    """The places that are reached on this layout, and those of them from which no end is reached."""
    following: list[int | str] = [STOP] * (len(nodes) + 1)  # place → the next one shown from there on
    for index in range(len(nodes) - 1, -1, -1):
        following[index] = index if index in shown else following[index + 1]
    roots = sorted({node.as_at for node in nodes if node.as_at is not None})
    start = following[0]
    if not isinstance(start, int):
        return set(), set()
    first: State = (start, (None,) * len(roots))
    known, waiting = {first}, [first]
    back: dict[State, list[State]] = {}  # state → the states that lead to it
    ends: list[State] = []
    while waiting:
        state = waiting.pop()
        at, told = state
        node = nodes[at]
        repeated = told[roots.index(node.as_at)] if node.as_at is not None else None
        for way in node.ways:
            if node.as_at is not None and way.code != repeated:
                continue
            to = following[way.to] if isinstance(way.to, int) else following[at + 1] if way.to == ON else way.to
            if to in (STOP, AWAY):
                ends.append(state)
            elif isinstance(to, int):  # else it is done again
                onward = (to, tuple(way.code if at == root else code for root, code in zip(roots, told)))
                back.setdefault(onward, []).append(state)
                if onward not in known:
                    known.add(onward)
                    waiting.append(onward)
    closing, waiting = set(ends), ends
    while waiting:
        for state in back.get(waiting.pop(), ()):
            if state not in closing:
                closing.add(state)
                waiting.append(state)
    return {at for at, _ in known}, {at for at, _ in known - closing}


def _hidden_targets(scope: Scope, nodes: list[Node]) -> Iterator[tuple[Layout, Fault]]:
    """Outcomes that lead to a step which the layout does not show, here or on its own page: it is looked for in vain."""
    for node in nodes:
        for way in node.ways:
            if not way.address:
                continue
            condition = nodes[way.to].placed.when if isinstance(way.to, int) else _on_its_page(scope, way.address)
            layout = next(
                (
                    whole
                    for part in scope.over(node.placed.when, condition)
                    if holds(node.placed.when, part) and holds(condition, part) is False and (whole := scope.whole(part))
                ),
                None,
            )
            if layout:
                yield (
                    layout,
                    (node.placed, "if_not", "J215", f"the outcome '{way.code}' leads to '{way.address}', which is not shown there"),
                )


def _on_its_page(scope: Scope, address: str) -> Normal | None:
    step = scope.handbook.step_at(address)
    return both(scope.handbook.procedures[address.partition("/")[0]].when, step.when if step else None)
