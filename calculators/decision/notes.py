"""What else is said with a decision: what stands in the way, what a harder action hides, what a shop has changed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from calculators.decision.grounds import worst
from calculators.decision.rules import MEASURE_AGAIN, REPLACE, SIDES
from calculators.decision.when import holds, values_of

if TYPE_CHECKING:
    from calculators.decision.decide import Axle


def notes(axle: Axle) -> Iterator[str]:
    """What stands in the way of closing up, what a harder action hides, and what the layout or a reading leaves open."""
    open_parts = {
        side: [part.label for name, part in axle.case.parts.items() if worst(axle.grounds(side, name)) == MEASURE_AGAIN] for side in SIDES
    }
    for side, labels in open_parts.items():
        if labels:
            yield f"Not ready to close up, {side}: {', '.join(labels)} still to be looked at or measured again."
    for side in SIDES:
        for name, part in axle.case.parts.items():
            hidden = [g for g in axle.grounds(side, name) if g.action == MEASURE_AGAIN and g.finding in axle.drawn[side][name]]
            if worst(axle.grounds(side, name)) == REPLACE:
                yield from (f"{side.capitalize()} {part.label}: {ground.reason} {_sentence(ground.how)}".rstrip() for ground in hidden)
    for side in SIDES:
        for calculator, ground in axle.unnamed[side]:
            if axle.judged_by(calculator) is None:
                yield f"{side.capitalize()}, {calculator}: {ground.reason}"
    yield from axle.replaced.values()
    if axle.case.needless:
        yield f"The layout answers what does not arise in it, and that is left aside: {', '.join(axle.case.needless)}."
    questions = sorted(_unanswered(axle))
    if questions:
        yield f"The layout does not answer: {', '.join(questions)}. Parts that hang on it are counted as there."


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}." if words else ""


def _unanswered(axle: Axle) -> set[str]:
    whens = [part.when for part in axle.case.parts.values()]
    whens += [finding.when for part in axle.case.parts.values() for finding in part.findings.values()]
    return {axis for when in whens if holds(when, axle.case.layout) is None for axis, _ in values_of(when) if axis not in axle.case.layout}
