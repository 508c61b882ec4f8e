"""The rules of the decision as data: parts, what can be found on them, and what one finding draws after it.

build_tools writes them as JSON from site_data (decisions.yml, rules.yml); a shop may hand in its own.
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from calculators.contract.judge import CODES
from calculators.decision.readings import WORDS
from calculators.decision.when import Normal, holds, values_of

REPLACE, MEASURE_AGAIN, SERVICE, USE_AGAIN = ACTIONS = ("replace", "measure again", "service", "use again")  # worst first
SIDES = ("left", "right")
OF_A_PART = {"looked-at": ("yes", "no"), "free": ("no",), "work": ("yes",)}  # facts of a part that are no findings
OVER = ("side", "partner", "axle")
FOUND, NOT_FOUND = "found", "not found"
CANNOT_TELL = "cannot-tell"  # may be noted on any part: looked at, and not to be judged
RESERVED = (*OF_A_PART, CANNOT_TELL)


@dataclass(frozen=True)
class Finding:
    """One thing that can be found on a part. `buys` is bought instead of the part; `orders` = «until settled»: ordered as if it failed."""

    id: str
    says: str
    action: str
    reason: str
    source: str
    how: str = ""
    when: Normal | None = None
    buys: str = ""
    orders: str = ""


@dataclass(frozen=True)
class Part:
    """A part with its findings, best first. `of`: side or vehicle. `comes_with`: the part it is bought in.

    `item`: its name on the parts list, `note` what to look for there, `amount` the calculator's value that says how much.
    """

    part: str
    label: str
    findings: dict[str, Finding]
    when: Normal | None = None
    of: str = "side"
    sold: str = ""
    comes_with: str = ""
    readings: tuple[str, ...] = ()
    item: str = ""
    note: str = ""
    amount: str = ""

    def present(self, layout: Mapping[str, str]) -> bool:
        """Whether this layout has the part, as far as its questions are answered."""
        return holds(self.when, layout) is not False and any(holds(f.when, layout) is not False for f in self.findings.values())


@dataclass(frozen=True)
class Rule:
    """Because of facts on one side, a part on this side, on the partner's or on both has a finding."""

    id: str
    because: Normal
    part: str
    finding: str
    over: str = "side"
    when: Normal | None = None


@dataclass(frozen=True)
class Supply:
    """What is put out or bought because of facts on one side. `per`: side or axle; `why`: what it is for."""

    id: str
    because: Normal
    item: str
    why: str
    per: str = "axle"
    note: str = ""
    amount: str = ""
    when: Normal | None = None


@dataclass(frozen=True)
class Replaced:
    """A stock rule, or the rule of a finding (part/finding), that a shop has replaced by its own, or taken away."""

    rule: str
    by: str
    why: str


@dataclass(frozen=True)
class Axis:
    """A question about the layout, its answers, and where it arises."""

    values: tuple[str, ...]
    when: Normal | None = None


@dataclass(frozen=True)
class Rules:
    """Everything a decision is taken by."""

    parts: dict[str, Part]
    rules: tuple[Rule, ...]
    axes: dict[str, Axis]
    impossible: tuple[tuple[Normal, str], ...]
    supplies: tuple[Supply, ...] = ()
    replaced: tuple[Replaced, ...] = ()

    def drawn_by_rules(self) -> set[tuple[str, str]]:
        """(part, finding) of every finding that a rule draws."""
        return {(rule.part, rule.finding) for rule in self.rules}


def replaced_by_the_shop(rule: str, why: str) -> str:
    """What is said wherever a shop's rule stands in place of the handbook's."""
    return f"Rule {rule} replaced by the shop: {why.rstrip('.')}."


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """«; did you mean rotor?», or what there is."""
    known = list(known)
    near = difflib.get_close_matches(name[:60], known, 1)
    return f"; did you mean {near[0]}?" if near else f"; expected one of {', '.join(known[:12])}"


def fact_faults(because: Normal, parts: Mapping[str, Iterable[str]], calculators: Collection[str]) -> Iterator[str]:
    """What is wrong with a rule's facts; `parts` = part → its findings, `calculators` = the names of those there are."""
    for fact, word in values_of(because):
        words = fact_words(fact, parts, calculators)
        if words is None:
            yield f"no fact is called “{fact}”{did_you_mean(fact, [*parts, *WORDS])}"
        elif word not in words:
            yield f"{fact} is never “{word}”{did_you_mean(word, words)}"


def unknown_facts(because: Normal, drawn: set[tuple[str, str]]) -> Iterator[str]:
    """Facts that ask for the absence of a finding which a rule may still draw: the order of the rules would matter."""
    for fact, word in values_of(because):
        part, _, finding = fact.partition("/")
        if word == NOT_FOUND and (part, finding) in drawn:
            yield f"{fact}: only a finding that no rule draws can be asked for as “{NOT_FOUND}”"


def fact_words(fact: str, parts: Mapping[str, Iterable[str]], calculators: Collection[str]) -> tuple[str, ...] | None:
    """The words a fact may be; None for a fact that nothing tells.

    A part: replace. part/finding: found; not found, where no rule draws it. part/looked-at: yes, no. part/work: yes
    (serviced or replaced). part/free: no (fit to work with, it is not). A calculator: a verdict; its other facts: those
    of `decision_readings.WORDS`.
    """
    part, slash, detail = fact.partition("/")
    if fact in WORDS:
        return WORDS[fact]
    if part in parts:
        if not slash:
            return (REPLACE,)
        return OF_A_PART.get(detail) or ((FOUND, NOT_FOUND) if detail in parts[part] else None)
    return CODES if not slash and part in calculators else None
