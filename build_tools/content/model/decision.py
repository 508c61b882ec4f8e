"""Findings, and the rules of the decision."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import (
    Field,
    StringConstraints,
    model_validator,
)

from build_tools.content.model.base import AMOUNT, RULE, Entry, Id, SourceRefs, Text, When, mistake

Amount = Annotated[str, StringConstraints(pattern=AMOUNT)]

RuleRef = Annotated[str, StringConstraints(pattern=RULE)]


class Finding(Entry):
    """One thing that can be seen on a part, and what follows from it."""

    id: Id = Field(description="Name of the finding.", examples=["torn"])
    says: Text = Field(description="What is seen.", examples=["torn, hard, or off its groove"])
    action: Literal["use again", "service", "replace", "measure again"] = Field(description="What follows.", examples=["replace"])
    how: Text | None = Field(None, description="More exactly how.", examples=["axle set"])
    reason: Text = Field(description="Why that follows.", examples=["A torn boot lets water in."])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    drawn: Literal["true"] | None = Field(None, description="Only a rule draws it; nobody marks it.", examples=["true"])
    buys: Text | None = Field(None, description="What is bought instead of the part.", examples=["seal and boot kit"])
    orders: Literal["until settled"] | None = Field(
        None, description="Ordered as if it had failed, until it is settled.", examples=["until settled"]
    )
    sources: SourceRefs = Field(description="Where it comes from.", examples=["common-practice"])


class PartFindings(Entry):
    """All findings that a part can have, best first."""

    part: Id = Field(description="Id of the part.", examples=["rotor"])
    of: Literal["side", "vehicle"] = Field("side", description="Found on each side, or once on the vehicle.", examples=["side"])
    comes_with: Id | None = Field(None, description="The part it is bought in, where that one is bought.", examples=["caliper"])
    bought_as: Id | None = Field(None, description="The supply that is bought in its place.", examples=["fresh-fluid"])
    amount: Amount | None = Field(None, description="The calculator's value that says how much.", examples=["fluid-volume/fluid_needed"])
    readings: list[Id] = Field([], description="Calculators whose verdict is about this part.", examples=["[rotor-thickness]"])
    findings: list[Finding] = Field(
        min_length=2,
        description="What can be found, best first.",
        examples=[
            "[{id: good, says: whole, action: use again, reason: Nothing is wrong with it., sources: common-practice}, {id: bad, says: torn, action: replace, reason: It lets water in., sources: common-practice}]"
        ],
    )


class DecisionRule(Entry):
    """What one finding, action or reading draws after it on the same side, on the partner's, or on both; or what is put out for it.

    Three kinds: a rule that draws (part, finding), one that puts out a supply (supply), and a shop's change of a stock
    rule (replaces), which may draw, name a stricter action for a finding, or draw nothing: then the stock rule is off.
    """

    id: Id = Field(description="Name of the rule.", examples=["new-rotor-new-pads"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    because: When = Field(None, description="Facts of one side, in the language of `when:`.", examples=["{rotor: replace}"])
    part: Id | None = Field(None, description="The part that gets the finding.", examples=["pad"])
    finding: Id | None = Field(None, description="The finding it gets.", examples=["rotor-new"])
    over: Literal["side", "partner", "axle"] = Field("side", description="On the same side, the partner's, or both.", examples=["side"])
    supply: Id | None = Field(None, description="Component that is put out or bought.", examples=["bearing-grease"])
    amount: Amount | None = Field(None, description="The calculator's value that says how much.", examples=["bearing-grease/grease_mass"])
    replaces: RuleRef | None = Field(
        None, description="A shop: the stock rule, or part/finding, that this takes the place of.", examples=["rotors-by-axle"]
    )
    action: Literal["service", "replace", "measure again"] | None = Field(
        None, description="With `replaces: part/finding`: what follows instead.", examples=["replace"]
    )
    how: Text | None = Field(None, description="More exactly how.", examples=["both rotors of the axle"])
    why: Text | None = Field(
        None,
        description="Why the shop replaces the rule, or what the supply is for.",
        examples=["Both rotors are measured, and one alone is replaced where the other is nearly new."],
    )

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        of_finding = "/" in (self.replaces or "")
        if self.replaces and not self.why:
            raise mistake("D109", "A rule that replaces another says why.", "why: Our supplier sells calipers in pairs.")
        if of_finding:
            if not self.action or any((self.because, self.part, self.finding, self.supply)):
                raise mistake(
                    "D104",
                    "In place of a finding's rule stand action, how and why alone.",
                    "{id: ours, replaces: rotor/fine-checks, action: replace, why: Our customers tow.}",
                )
            return self
        if self.action or self.how:
            raise mistake(
                "D104",
                "The entries action and how belong to a rule that replaces a finding's.",
                "{id: ours, replaces: rotor/fine-checks, action: replace, why: Our customers tow.}",
            )
        off = self.replaces and not any((self.because, self.part, self.finding, self.supply))
        draws = self.because and self.part and self.finding and not self.supply
        supplies = self.because and self.supply and self.why and not (self.part or self.finding)
        if not (off or draws or supplies):
            raise mistake(
                "D104",
                "A rule holds because, part and finding; or because, supply and why.",
                "{id: ours, because: {caliper: replace}, part: caliper, finding: partner-new, over: partner}",
            )
        return self
