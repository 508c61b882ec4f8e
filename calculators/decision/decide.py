"""The decision that ties the findings together: part by part and side by side, use again, service, replace or measure again.

Several findings on a part: the worst wins. What nobody looked at is measured again. Rules draw findings after findings
(an axle set, a set with its partner, a seal once the hub is open) until none is new; findings are only ever added, so
their order does not matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.contract.judge import ADJUST, BEYOND, TOO_CLOSE, WITHIN
from calculators.decision.case import FAILED, FREE, Case, read_case
from calculators.decision.grounds import Ground, without_echoes, worst
from calculators.decision.notes import notes
from calculators.decision.parts_list import parts_list
from calculators.decision.readings import AT_LIMIT, code_of, facts_of, sentence_of
from calculators.decision.readings import TOO_CLOSE as TOO_CLOSE_TO_LIMIT
from calculators.decision.rules import (
    ACTIONS,
    CANNOT_TELL,
    FOUND,
    MEASURE_AGAIN,
    NOT_FOUND,
    REPLACE,
    SERVICE,
    SIDES,
    USE_AGAIN,
    Rule,
    Rules,
    replaced_by_the_shop,
)
from calculators.decision.rules_file import read_rules
from calculators.decision.when import Normal, holds, values_of

COMMON_PRACTICE = "common practice"
NOT_LOOKED_AT = "Nobody has looked at it yet: what is not seen is not used again."
PARTNER_NOT_LOOKED_AT = "The same part on the other side has not been looked at: an axle is judged by both sides."
NOT_TO_BE_JUDGED = "It was looked at and could not be judged."
FAILED_SECOND_LOOK = "It was serviced and did not pass its second look."


def decide(findings: Mapping[str, Any], rules: Mapping[str, Any]) -> dict[str, Any]:
    """What to do with every part of one axle, what to buy, and what else to know, as JSON data.

    `findings`: {"layout", "left", "right", "axle", "vehicle", "readings"}; `rules`: as `python3 -m build_tools rules` writes them.
    Returns {"actions": {side: {part: {action, label, reason, source, how, findings, second_look, rule, steps, grounds}}}, "parts_list", "notes"}.
    Raises EntryError, one line with the place, on anything that cannot be read.
    """
    table = read_rules(rules)
    axle = Axle(read_case(findings, table), table)
    axle.conclude()
    return {
        "actions": {side: {name: axle.decision(side, name) for name in axle.case.parts} for side in SIDES},
        "parts_list": parts_list(axle),
        "notes": list(notes(axle)),
    }


@dataclass(frozen=True)
class Drawn:
    """Why a rule drew a finding: the parts that made it, whether they are on the other side, and the steps at which it began."""

    causes: str
    from_partner: bool
    steps: tuple[str, ...]


class Axle:
    """One axle while it is decided: what was noted, and what the rules have drawn from it."""

    def __init__(self, case: Case, rules: Rules):
        self.case, self.rules = case, rules
        self.read = {side: facts_of(case.readings[side]) for side in SIDES}
        # side → part → finding → rule → why
        self.drawn: dict[str, dict[str, dict[str, dict[str, Drawn]]]] = {side: {name: {} for name in case.parts} for side in SIDES}
        self.by_rules = rules.drawn_by_rules()
        self.replaced = {item.by: replaced_by_the_shop(item.rule, item.why) for item in rules.replaced}
        self.unnamed = {side: list(self._unnamed(side)) for side in SIDES}

    def conclude(self) -> None:
        """Apply the rules until they draw no new finding."""
        more = True
        while more:
            facts = {side: self.facts(side) for side in SIDES}
            drawn = [
                self._draw(rule, side, facts[side])
                for rule in self.rules.rules
                if self._fits(rule)
                for side in SIDES
                if holds(rule.because, facts[side])
            ]
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
            drawn = self.drawn[at][rule.part].setdefault(rule.finding, {})
            if rule.id not in drawn:
                drawn[rule.id] = Drawn(self._causes(rule, facts), rule.over == "partner", self.steps_behind(rule.because, side, facts))
                more = True
        return more

    def _causes(self, rule: Rule, facts: Mapping[str, str]) -> str:
        """Of a rule with several reasons, the parts whose state made it draw, for the reader."""
        if len(rule.because) == 1:
            return ""
        return ", ".join(self.case.parts[name].label for name in self.parts_behind(rule.because, facts) if name != rule.part)

    def parts_behind(self, because: Normal, facts: Mapping[str, str]) -> list[str]:
        """The parts that these facts are about, of the alternatives that hold."""
        names = (fact.partition("/")[0] for fact in _true_facts(because, facts))
        return [name for name in dict.fromkeys(names) if name in self.case.parts]

    def steps_behind(self, because: Normal, side: str, facts: Mapping[str, str]) -> tuple[str, ...]:
        """The steps at which these facts were found or read."""
        steps: list[str] = []
        for fact in _true_facts(because, facts):
            name, _, finding = fact.partition("/")
            if name in self.case.parts:
                grounds = [
                    ground
                    for ground in self.grounds(side, name)
                    if ground.finding == finding or finding not in self.case.parts[name].findings
                ]
                steps += [step for ground in grounds for step in ground.steps]
            else:
                steps.append(self.case.readings[side].get(name, {}).get("step", ""))
        return tuple(dict.fromkeys(step for step in steps if step))

    def noted(self, side: str, name: str) -> dict[str, list[str]]:
        """What was seen on a part, with the steps at which; a part of the whole vehicle was seen from either side."""
        noted: dict[str, list[str]] = {}
        for at in self._sides(side, name):
            for finding, steps in self.case.noted[at].get(name, {}).items():
                noted[finding] = list(dict.fromkeys([*noted.get(finding, []), *steps]))
        return noted

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
            if any(ground.action in (SERVICE, REPLACE) for ground in grounds):
                facts[f"{name}/work"] = "yes"
            facts |= {f"{name}/{finding}": NOT_FOUND for finding in part.findings if (name, finding) not in self.by_rules}
            facts |= {f"{name}/{ground.finding}": FOUND for ground in grounds if ground.finding in part.findings}
        return facts

    def _free(self, side: str, name: str, grounds: list[Ground]) -> bool:
        """Whether a part is fit to work with: used as it is, or the work on it is done and checked."""
        action = worst(grounds)
        return action == USE_AGAIN or action in (SERVICE, REPLACE) and self.second_look(side, name) == FREE

    def grounds(self, side: str, name: str) -> list[Ground]:
        """Every reason for an action on one part, findings first."""
        part, noted, drawn = self.case.parts[name], self.noted(side, name), self.drawn[side][name]
        found = [
            self._ground(name, finding, noted.get(finding), drawn.get(finding, {}))
            for finding in part.findings
            if finding in noted or finding in drawn
        ]
        if CANNOT_TELL in noted:
            found.append(
                Ground(
                    MEASURE_AGAIN,
                    NOT_TO_BE_JUDGED,
                    COMMON_PRACTICE,
                    finding=CANNOT_TELL,
                    rules=(CANNOT_TELL,),
                    steps=tuple(noted[CANNOT_TELL]),
                )
            )
        if self.second_look(side, name) == FAILED:
            found.append(Ground(REPLACE, FAILED_SECOND_LOOK, COMMON_PRACTICE, rules=("second-look-failed",)))
        found += [ground for at in self._sides(side, name) for calculator, ground in self.unnamed[at] if self.judged_by(calculator) == name]
        if not noted:
            found.append(Ground(MEASURE_AGAIN, NOT_LOOKED_AT, COMMON_PRACTICE, rules=("not-looked-at",)))
        elif part.of == "side" and not all(self.noted(at, name) for at in SIDES):
            found.append(Ground(MEASURE_AGAIN, PARTNER_NOT_LOOKED_AT, COMMON_PRACTICE, rules=("partner-not-looked-at",)))
        return found

    def _ground(self, name: str, finding: str, noted: list[str] | None, drawn: Mapping[str, Drawn]) -> Ground:
        """The ground of a finding: as it was marked, or else as the rules drew it."""
        item = self.case.parts[name].findings[finding]
        why = [] if noted is not None else list(drawn.values())
        causes = ", ".join(dict.fromkeys(each.causes for each in why if each.causes))
        rules = (f"{name}/{finding}",) if noted is not None else tuple(drawn)
        reason = f"{item.says[0].upper()}{item.says[1:]}{f' ({causes})' if causes else ''}. {item.reason}"
        replaced = [self.replaced[rule] for rule in rules if rule in self.replaced]
        steps = noted if noted is not None else [step for each in why for step in each.steps]
        return Ground(
            item.action, " ".join([reason, *replaced]), item.source, item.how, finding, item.buys, bool(item.orders),
            bool(why) and all(each.from_partner for each in why), rules, tuple(dict.fromkeys(steps)),
        )  # fmt: skip

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
            steps = (result["step"],) if result.get("step") else ()
            yield (
                calculator,
                Ground(
                    action,
                    sentence_of(result),
                    f"the calculator {calculator}",
                    rules=(f"reading/{calculator}",),
                    steps=steps,
                    orders=code == TOO_CLOSE and self._would_be_replaced(calculator, side),
                ),
            )

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
            holds(rule.because, facts) and self.case.parts[rule.part].findings[rule.finding].action == REPLACE
            for rule in self._asking(calculator)
        )

    def _asking(self, calculator: str) -> list[Rule]:
        """The rules of this layout that ask about a calculator."""
        return [
            rule
            for rule in self.rules.rules
            if self._fits(rule) and any(fact.partition("/")[0] == calculator for fact, _ in values_of(rule.because))
        ]

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
            "rule": decisive[0].rules[0],
            "steps": list(dict.fromkeys(step for ground in decisive for step in ground.steps)),
            "grounds": [ground.as_json() for ground in sorted(grounds, key=lambda ground: ACTIONS.index(ground.action))],
        }


def _true_facts(because: Normal, facts: Mapping[str, str]) -> Iterator[str]:
    """The facts named by the alternatives that hold."""
    for alternative in because:
        if holds([alternative], facts):
            yield from (fact for fact, _ in values_of([alternative]))
