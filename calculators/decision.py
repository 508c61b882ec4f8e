"""The decision that ties the findings together: part by part and side by side, use again, service, replace or measure again.

Several findings on a part: the worst wins. What nobody looked at is measured again. Rules draw findings after findings
(an axle set, a set with its partner, a seal once the hub is open) until none is new; findings are only ever added, so
their order does not matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.conditions import holds, values_of
from calculators.decision_case import FAILED, FREE, Case, read_case
from calculators.decision_grounds import Ground, without_echoes, worst
from calculators.decision_parts import parts_list
from calculators.decision_readings import AT_LIMIT, code_of, facts_of, sentence_of
from calculators.decision_readings import TOO_CLOSE as TOO_CLOSE_TO_LIMIT
from calculators.decision_rules import MEASURE_AGAIN, REPLACE, SERVICE, SIDES, USE_AGAIN, Rule, Rules, read_rules
from calculators.judge import ADJUST, BEYOND, TOO_CLOSE, WITHIN

COMMON_PRACTICE = "common practice"
NOT_LOOKED_AT = "Nobody has looked at it yet: what is not seen is not used again."
PARTNER_NOT_LOOKED_AT = "The same part on the other side has not been looked at: an axle is judged by both sides."
FAILED_SECOND_LOOK = "It was serviced and did not pass its second look."


def decide(findings: Mapping[str, Any], rules: Mapping[str, Any]) -> dict[str, Any]:
    """What to do with every part of one axle, what to buy, and what else to know, as JSON data.

    `findings`: {"layout", "left", "right", "readings"}; `rules`: as `python3 -m build_tools rules` writes them.
    Returns {"actions": {side: {part: {action, label, reason, source, how, findings, second_look}}}, "parts_list", "notes"}.
    Raises EntryError, one line with the place, on anything that cannot be read.
    """
    table = read_rules(rules)
    axle = Axle(read_case(findings, table), table)
    axle.conclude()
    return {
        "actions": {side: {name: axle.decision(side, name) for name in axle.case.parts} for side in SIDES},
        "parts_list": parts_list(axle),
        "notes": list(_notes(axle)),
    }


@dataclass(frozen=True)
class Drawn:
    """Why a rule drew a finding: the parts that made it, and whether they are on the other side."""

    causes: str
    from_partner: bool


class Axle:
    """One axle while it is decided: what was noted, and what the rules have drawn from it."""

    def __init__(self, case: Case, rules: Rules):
        self.case, self.rules = case, rules
        self.read = {side: facts_of(case.readings[side]) for side in SIDES}
        self.drawn: dict[str, dict[str, dict[str, Drawn]]] = {side: {name: {} for name in case.parts} for side in SIDES}
        self.unnamed = {side: list(self._unnamed(side)) for side in SIDES}

    def conclude(self) -> None:
        """Apply the rules until they draw no new finding."""
        more = True
        while more:
            facts = {side: self.facts(side) for side in SIDES}
            drawn = [self._draw(rule, side, facts[side]) for rule in self.rules.rules if self._fits(rule) for side in SIDES if holds(rule.because, facts[side])]
            more = any(drawn)

    def _fits(self, rule: Rule) -> bool:
        """Whether rule and finding belong to this layout, as far as it is answered."""
        part, layout = self.case.parts.get(rule.part), self.case.layout
        return part is not None and holds(rule.when, layout) is not False and holds(part.findings[rule.finding].when, layout) is not False

    def _draw(self, rule: Rule, side: str, facts: Mapping[str, str]) -> bool:
        """Add the rule's finding where it belongs; whether it is new there."""
        other = SIDES[1 - SIDES.index(side)]
        both = rule.over == "axle" or self.case.parts[rule.part].of == "vehicle"
        more = False
        for at in SIDES if both else [other] if rule.over == "partner" else [side]:
            if rule.finding not in self.drawn[at][rule.part]:
                self.drawn[at][rule.part][rule.finding] = Drawn(self._causes(rule, facts), rule.over == "partner")
                more = True
        return more

    def _causes(self, rule: Rule, facts: Mapping[str, str]) -> str:
        """Of a rule with several reasons, the parts whose state made it draw, for the reader."""
        if len(rule.because) == 1:
            return ""
        named = [fact for alternative in rule.because if holds([alternative], facts) for fact, _ in values_of([alternative])]
        labels = [self.case.parts[name].label for name in (fact.partition("/")[0] for fact in named) if name in self.case.parts and name != rule.part]
        return ", ".join(dict.fromkeys(labels))

    def noted(self, side: str, name: str) -> list[str]:
        """What was seen on a part; a part of the whole vehicle was seen from either side."""
        return list(dict.fromkeys(finding for at in self._sides(side, name) for finding in self.case.noted[at].get(name, [])))

    def second_look(self, side: str, name: str) -> str | None:
        """How a part did after the work on it: free, failed, or None."""
        return next((self.case.second_look[at][name] for at in self._sides(side, name) if name in self.case.second_look[at]), None)

    def _sides(self, side: str, name: str) -> tuple[str, ...]:
        return SIDES if self.case.parts[name].of == "vehicle" else (side,)

    def facts(self, side: str) -> dict[str, str]:
        """What the rules may ask about one side."""
        facts = dict(self.read[side])
        for name, part in self.case.parts.items():
            grounds = self.grounds(side, name)
            if any(ground.action == REPLACE and not ground.buys for ground in grounds):
                facts[name] = REPLACE
            facts[f"{name}/looked-at"] = "yes" if self.noted(side, name) else "no"
            facts[f"{name}/free"] = "yes" if self._free(side, name, grounds) else "no"
            facts |= {f"{name}/{ground.finding}": "found" for ground in grounds if ground.finding in part.findings}
        return facts

    def _free(self, side: str, name: str, grounds: list[Ground]) -> bool:
        """Whether a part is fit to work with: used as it is, or the work on it is done and checked."""
        action = worst(grounds)
        return action == USE_AGAIN or action in (SERVICE, REPLACE) and self.second_look(side, name) == FREE

    def grounds(self, side: str, name: str) -> list[Ground]:
        """Every reason for an action on one part, findings first."""
        part, noted, drawn = self.case.parts[name], self.noted(side, name), self.drawn[side][name]
        found = [self._ground(name, finding, None if finding in noted else drawn[finding]) for finding in part.findings if finding in noted or finding in drawn]
        if self.second_look(side, name) == FAILED:
            found.append(Ground(REPLACE, FAILED_SECOND_LOOK, COMMON_PRACTICE))
        found += [ground for at in self._sides(side, name) for calculator, ground in self.unnamed[at] if self.judged_by(calculator) == name]
        if not noted:
            found.append(Ground(MEASURE_AGAIN, NOT_LOOKED_AT, COMMON_PRACTICE))
        elif part.of == "side" and not all(self.noted(at, name) for at in SIDES):
            found.append(Ground(MEASURE_AGAIN, PARTNER_NOT_LOOKED_AT, COMMON_PRACTICE))
        return found

    def _ground(self, name: str, finding: str, drawn: Drawn | None) -> Ground:
        item = self.case.parts[name].findings[finding]
        causes = f" ({drawn.causes})" if drawn and drawn.causes else ""
        reason = f"{item.says[0].upper()}{item.says[1:]}{causes}. {item.reason}"
        return Ground(item.action, reason, item.source, item.how, finding, item.buys, bool(item.orders), bool(drawn and drawn.from_partner))

    def judged_by(self, calculator: str) -> str | None:
        """The part of this layout that a calculator judges."""
        return next((name for name, part in self.case.parts.items() if calculator in part.readings), None)

    def _unnamed(self, side: str) -> Iterator[tuple[str, Ground]]:
        """Verdicts as grounds by themselves: too close and cannot tell always, the others where no rule names them."""
        for calculator, result in self.case.readings[side].items():
            code = code_of(result)
            if code in ("", WITHIN) or self._named(calculator, side):
                continue
            action = SERVICE if code == ADJUST else MEASURE_AGAIN
            yield calculator, Ground(action, sentence_of(result), f"the calculator {calculator}", orders=code == TOO_CLOSE and self._would_be_replaced(calculator, side))

    def _named(self, calculator: str, side: str) -> bool:
        """Whether a rule draws a finding from this reading; too close and cannot tell need none."""
        if code_of(self.case.readings[side][calculator]) not in (BEYOND, ADJUST):
            return False
        return any(holds(rule.because, self.read[side]) for rule in self._asking(calculator))

    def _would_be_replaced(self, calculator: str, side: str) -> bool:
        """Whether a reading that is too close would mean a new part if it turned out to be beyond."""
        facts = self.read[side] | {calculator: BEYOND}
        if facts.get(f"{calculator}/thickness") == TOO_CLOSE_TO_LIMIT:
            facts[f"{calculator}/thickness"] = AT_LIMIT
        return any(
            holds(rule.because, facts) and self.case.parts[rule.part].findings[rule.finding].action == REPLACE for rule in self._asking(calculator)
        )

    def _asking(self, calculator: str) -> list[Rule]:
        """The rules of this layout that ask about a calculator."""
        return [rule for rule in self.rules.rules if self._fits(rule) and any(fact.partition("/")[0] == calculator for fact, _ in values_of(rule.because))]

    def decision(self, side: str, name: str) -> dict[str, Any]:
        """The one action on a part, with its reasons."""
        grounds = self.grounds(side, name)
        action = worst(grounds)
        decisive = without_echoes([ground for ground in grounds if ground.action == action])
        return {
            "action": action,
            "label": self.case.parts[name].label,
            "reason": " ".join(dict.fromkeys(ground.reason for ground in decisive)),
            "source": "; ".join(dict.fromkeys(source for ground in decisive for source in ground.source.split("; "))),
            "how": "; ".join(dict.fromkeys(ground.how for ground in decisive if ground.how)),
            "findings": [ground.finding for ground in grounds if ground.finding],
            "second_look": self.second_look(side, name),
        }


def _notes(axle: Axle) -> Iterator[str]:
    """What stands in the way of closing up, what a harder action hides, and what the layout or a reading leaves open."""
    open_parts = {side: [part.label for name, part in axle.case.parts.items() if worst(axle.grounds(side, name)) == MEASURE_AGAIN] for side in SIDES}
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
