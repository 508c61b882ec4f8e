"""Which layouts a procedure can meet: every possible set of answers to the questions that its conditions ask."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from build_tools.content.handbook import Handbook
from build_tools.content.model import Procedure
from build_tools.content.page_order import Placed
from build_tools.content.when import Normal, axes_of, holds

Layout = dict[str, str]
NOT_ASKED = "not asked"  # the answer to a question that this layout does not raise; no condition names it


def layouts(handbook: Handbook, procedure: Procedure, steps: list[Placed]) -> Iterator[Layout]:
    """Every possible layout over the axes that the page's conditions mention."""
    yield from Answers(handbook, procedure, page_and_parts(handbook, procedure, steps)).all()


def page_and_parts(handbook: Handbook, procedure: Procedure, steps: list[Placed]) -> list[str]:
    """The questions that a page needs answered, and those on which the parts that it names depend."""
    names = axes_of_page(handbook, procedure, steps)
    parts = set().union(*(axes_of(handbook.components[name].when) for placed in steps for name in placed.parts))
    return [name for name in handbook.axes if name in {*names, *parts}]


def axes_of_page(handbook: Handbook, procedure: Procedure, steps: list[Placed]) -> list[str]:
    """The questions that a page needs answered, in the order in which they are asked."""
    return _in_order(handbook, set(axes_of(procedure.when)).union(*(axes_of(placed.when) for placed in steps)))


def answers_covered(handbook: Handbook, procedure: Procedure) -> dict[str, set[str]]:
    """For each question that the procedure's scope mentions, the answers that some layout in scope gives."""
    names = [name for name in handbook.axes if name in axes_of(procedure.when)]
    answers: dict[str, set[str]] = {name: set() for name in names}
    for layout in Answers(handbook, procedure, names).all():
        for name, value in layout.items():
            answers[name].add(value)
    return answers


def _in_order(handbook: Handbook, axes: set[str]) -> list[str]:
    # a question asked only under a condition needs the answers that the condition looks at
    while more := {inner for axis in axes for inner in axes_of(handbook.axes[axis].when)} - axes:
        axes |= more
    return [name for name in handbook.axes if name in axes]


class Answers:
    """All answers to some questions within a procedure's scope, without the layouts that do not exist."""

    def __init__(self, handbook: Handbook, procedure: Procedure, names: Iterable[str]):
        self.handbook, self.procedure = handbook, procedure
        self.names = list(names)
        asked = set(self.names)
        self._wrong: dict[str, list[Normal]] = {name: [] for name in self.names}
        for wrong in handbook.impossible:  # told as soon as the last question that it looks at is answered
            if wrong.when and (mentioned := [name for name in self.names if name in axes_of(wrong.when)]):
                self._wrong[mentioned[-1]].append(wrong.when)
        self._scope = asked & axes_of(procedure.when)

    def all(self, where: Normal | None = None) -> Iterator[Layout]:
        """Every layout, or every one in which the condition `where` is not false."""
        if holds(self.procedure.when, {}) is not False and holds(where, {}) is not False:
            yield from self._complete(0, {}, where, axes_of(where))

    def _complete(self, index: int, layout: Layout, where: Normal | None, looked_at: Collection[str]) -> Iterator[Layout]:
        """Answers the questions one by one and turns back as soon as a layout is out of scope or impossible."""
        if index == len(self.names):
            yield dict(layout)
            return
        axis = self.handbook.axes[self.names[index]]
        asked = holds(axis.when, layout) is not False
        for value in [v.id for v in axis.values] if asked else [NOT_ASKED]:
            layout[axis.id] = value
            if not (
                axis.id in self._scope
                and holds(self.procedure.when, layout) is False
                or axis.id in looked_at
                and holds(where, layout) is False
                or any(holds(wrong, layout) for wrong in self._wrong[axis.id])
            ):
                yield from self._complete(index + 1, layout, where, looked_at)
            del layout[axis.id]


class Scope:
    """The layouts of one page, seen through the few questions that a proof looks at."""

    def __init__(self, handbook: Handbook, procedure: Procedure, steps: list[Placed]):
        self.handbook, self.procedure = handbook, procedure
        self.page = Answers(handbook, procedure, page_and_parts(handbook, procedure, steps))
        self._seen: dict[tuple[str, ...], list[Layout]] = {}

    def over(self, *conditions: Normal | None) -> list[Layout]:
        """Every set of answers to the questions of these conditions and of the procedure's scope.

        An answer may belong to no whole layout, where questions that are left out contradict it: `whole` tells.
        """
        axes = set(axes_of(self.procedure.when)).union(*map(axes_of, conditions))
        names = tuple(_in_order(self.handbook, axes))
        if names not in self._seen:
            self._seen[names] = list(Answers(self.handbook, self.procedure, names).all())
        return self._seen[names]

    def whole(self, part: Layout) -> Layout | None:
        """A layout of the page with these answers in it; None where there is none."""
        given: Normal = [{axis: [value] for axis, value in part.items() if axis in self.page.names}]
        return next(self.page.all(given), None)


def in_words(layout: Layout) -> str:
    """The answers, for a message; questions that are not asked are left out."""
    return ", ".join(f"{axis} is {value}" for axis, value in layout.items() if value != NOT_ASKED)
