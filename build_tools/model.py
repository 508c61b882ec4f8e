"""What the handbook knows, as types. pydantic checks content, makes the JSON Schema, and is the one place that says
what a file may hold.

Every scalar arrives as text (build_tools/load.py), so 012, 1:30, no, 3.10 and 0.010 stay what their author wrote;
the types here decide what becomes a number.
"""
from __future__ import annotations

import datetime
import hashlib
import json
import re
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    StringConstraints,
    Tag,
    model_validator,
)

from build_tools.conditions import normal_form

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
AxisId = Annotated[str, StringConstraints(pattern=r"^[a-z]+(_[a-z]+)*$")]
Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
StepAddress = Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+/[a-z0-9-]+$")]
StepRef = Annotated[str, StringConstraints(pattern=r"^([a-z0-9-]+/)?[a-z0-9-]+$")]
STEP_VALUE = re.compile(r"([a-z0-9-]+/)?[a-z0-9-]+#[a-z][a-z0-9_]*")  # what an earlier step found: step#value
Duration = Annotated[str, StringConstraints(pattern=r"^[1-9][0-9]* (s|min|h)$")]
FieldPath = Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)*$")]
SheetRef = Annotated[str, StringConstraints(pattern=r"^(end|vehicle)\.[a-z0-9_]+(\.[a-z0-9_]+)*$")]
When = Annotated[list[dict[str, Any]] | None, BeforeValidator(lambda raw: None if raw is None else normal_form(raw))]
Place = Literal["side", "axle", "vehicle"]


def _none_or_list(raw: object) -> object:
    """A list must be filled, or say `none` out loud: an empty list is a gap that nobody decided on."""
    if raw == "none":
        return []
    if raw in ([], "", None):
        raise ValueError("fill the list, or write `none`")
    return raw


def filled(item):
    """A list of `item` that is filled or explicitly `none`."""
    return Annotated[list[item], BeforeValidator(_none_or_list)]


def _as_list(raw: object) -> object:
    return [raw] if isinstance(raw, str) else raw


Ids = Annotated[list[Id], BeforeValidator(_as_list)]


class Entry(BaseModel):
    """Base of everything that stands in a file: unknown keys are mistakes."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{12}$")]


def content_hash(item: BaseModel, leave_out: set[str] = frozenset()) -> str:
    """Twelve hex digits of what an item says: another hash says that it has changed."""
    text = json.dumps(item.model_dump(mode="json", exclude=set(leave_out), exclude_defaults=True), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


class Signed(Entry):
    """Who in the shop decided on something other than the handbook says, when, why, and upon which wording."""

    made_for: Hash | None = Field(None, description="Fingerprint of the handbook's wording that was looked at; `check` names it.", examples=["9f2c41d07a3b"])
    date: datetime.date = Field(description="Day of the decision, year first.", examples=["2026-11-27"])
    reason: Text = Field(description="Why this shop works otherwise. Stands on the page.", examples=["Our lift leaves no room for the long bar."])
    approver: Text = Field(description="Who decided it. Stands on the page.", examples=["shop lead"])


class Replaceable(Entry):
    """What a shop may put its own in place of: same id, and who decided it."""

    replaces_stock: Signed | None = Field(
        None, description="A shop: this takes the place of the handbook's own of the same id.",
        examples=["{made_for: 9f2c41d07a3b, date: 2026-11-27, reason: Our own order of work., approver: shop lead}"])

    @property
    def hash(self) -> str:
        return content_hash(self, {"replaces_stock"})


class SourceRef(Entry):
    """Where a fact comes from: a source, and the place in it."""

    source: Id = Field(examples=["us-tm-9-2320-289-20"])
    at: Text | None = Field(None, description="Page, table or paragraph.", examples=["p. 8-4"])


SourceRefs = Annotated[
    list[Annotated[SourceRef, BeforeValidator(lambda raw: {"source": raw} if isinstance(raw, str) else raw)]],
    BeforeValidator(lambda raw: [raw] if isinstance(raw, (str, dict)) else raw),
]


class Source(Entry):
    """A published source, or the honest lack of one."""

    id: Id = Field(examples=["us-49-cfr-570"])
    title: Text
    edition: Text | None = None
    publisher: Text | None = None
    kind: Literal["published", "common practice", "memory"] = Field(examples=["published"])


class Sourced(Entry):
    """A value with its unit and where it comes from: the one type for limits, torques and windows of a vehicle."""

    value: Text = Field(examples=["22.4"])
    unit: Text | None = Field(None, examples=["mm"])
    source: Text = Field(examples=["stamped on the rotor"])

    @property
    def typed(self) -> str:
        """As a reader would type it into a field."""
        return f"{self.value} {self.unit}" if self.unit else self.value


# ---- layout -----------------------------------------------------------------------------------------------------

class AxisValue(Entry):
    id: Id = Field(examples=["slip-on"])
    label: Text = Field(examples=["slip-on rotor"])
    look: Text = Field(description="What the technician sees that tells it apart.")
    drawing: Id | None = Field(None, examples=["rotor-slip-on"])


class Axis(Entry):
    """One question about the wheel end or the brake system."""

    id: AxisId = Field(examples=["rotor"])
    of: Literal["end", "vehicle"] = Field(examples=["end"])
    label: Text = Field(examples=["Rotor mounting"])
    question: Text = Field(examples=["How does the rotor come off?"])
    when: When = None
    values: list[AxisValue] = Field(min_length=2)


class Contradiction(Entry):
    """A layout that does not exist, with the reason."""

    when: When = Field(examples=["{rotor: slip-on, bearing: tapered-roller}"])
    say: Text


class LayoutFile(Entry):
    axes: list[Axis]
    impossible: list[Contradiction]


# ---- shared lists -----------------------------------------------------------------------------------------------

class Component(Replaceable):
    """A part, fastener, hydraulic joint, tool or supply, by the name used throughout."""

    id: Id = Field(examples=["split-pin"])
    label: Text = Field(examples=["split pin"])
    kind: Literal["part", "fastener", "joint", "tool", "supply"] = Field(examples=["part"])
    when: When = None
    term: Id | None = Field(None, description="The glossary entry with its synonyms.")
    note: Text | None = Field(None, description="Size, range, grade or how it is bought.")
    torque: SheetRef | None = Field(None, description="Fasteners: the sheet value of the final torque.")
    sold: Text | None = Field(None, description="Parts: bought by side, by axle, as an assembly.", examples=["by axle"])


class Caution(Replaceable):
    """A safety message by ANSI Z535: signal word by consequence, hazard, consequence, how to avoid it."""

    id: Id = Field(examples=["hand-tool-on-bearings"])
    signal: Literal["danger", "warning", "caution", "notice"] = Field(examples=["notice"])
    when: When = None
    hazard: Text
    consequence: Text
    avoid: list[Text] = Field(min_length=1)
    sources: SourceRefs = []


class SheetField(Replaceable):
    """A value that a vehicle sheet can hold; declared once, used everywhere by its path."""

    id: FieldPath = Field(examples=["rotor.discard"])
    of: Literal["end", "vehicle"] = Field(examples=["end"])
    label: Text = Field(examples=["Rotor discard thickness"])
    units: list[Text] = Field([], description="Metric first; empty for counts and text.", examples=["[mm, in]"])
    question: Text = Field(description="Where to find it.", examples=["What is stamped on the rotor?"])
    when: When = None

    @property
    def path(self) -> str:
        return f"{self.of}.{self.id}"


Amount = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z-]*/[a-z][a-z_]*$")]
RuleRef = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*(/[a-z0-9][a-z0-9-]*)?$")]


class Finding(Entry):
    """One thing that can be seen on a part, and what follows from it."""

    id: Id
    says: Text = Field(examples=["torn, hard, or off its groove"])
    action: Literal["use again", "service", "replace", "measure again"] = Field(examples=["replace"])
    how: Text | None = Field(None, examples=["axle set"])
    reason: Text
    when: When = None
    drawn: Literal["true"] | None = Field(None, description="Only a rule draws it; nobody marks it.")
    buys: Text | None = Field(None, description="What is bought instead of the part.", examples=["seal and boot kit"])
    orders: Literal["until settled"] | None = Field(None, description="Ordered as if it had failed, until it is settled.")
    sources: SourceRefs = Field(examples=["common-practice"])


class PartFindings(Entry):
    """All findings that a part can have, best first."""

    part: Id = Field(examples=["rotor"])
    of: Literal["side", "vehicle"] = "side"
    comes_with: Id | None = Field(None, description="The part it is bought in, where that one is bought.", examples=["caliper"])
    bought_as: Id | None = Field(None, description="The supply that is bought in its place.", examples=["fresh-fluid"])
    amount: Amount | None = Field(None, description="The calculator's value that says how much.", examples=["fluid-volume/fluid_needed"])
    readings: list[Id] = Field([], description="Calculators whose verdict is about this part.", examples=["[rotor-thickness]"])
    findings: list[Finding] = Field(min_length=2)


class DecisionRule(Entry):
    """What one finding, action or reading draws after it on the same side, on the partner's, or on both; or what is put out for it.

    Three kinds: a rule that draws (part, finding), one that puts out a supply (supply), and a shop's change of a stock
    rule (replaces), which may draw, name a stricter action for a finding, or draw nothing: then the stock rule is off.
    """

    id: Id = Field(examples=["new-rotor-new-pads"])
    when: When = None
    because: Annotated[list[dict[str, Any]], BeforeValidator(normal_form)] | None = Field(
        None, description="Facts of one side, in the language of `when:`.", examples=["{rotor: replace}"])
    part: Id | None = Field(None, examples=["pad"])
    finding: Id | None = Field(None, examples=["rotor-new"])
    over: Literal["side", "partner", "axle"] = Field("side", examples=["side"])
    supply: Id | None = Field(None, description="Component that is put out or bought.", examples=["bearing-grease"])
    amount: Amount | None = Field(None, description="The calculator's value that says how much.", examples=["bearing-grease/grease_mass"])
    replaces: RuleRef | None = Field(None, description="A shop: the stock rule, or part/finding, that this takes the place of.", examples=["rotors-by-axle"])
    action: Literal["service", "replace", "measure again"] | None = Field(None, description="With `replaces: part/finding`: what follows instead.")
    how: Text | None = None
    why: Text | None = Field(None, description="Why the shop replaces the rule, or what the supply is for.", examples=["Both rotors are measured, and one alone is replaced where the other is nearly new."])

    @model_validator(mode="after")
    def _one_kind(self):
        of_finding = "/" in (self.replaces or "")
        if self.replaces and not self.why:
            raise ValueError("say why the rule is replaced, for example: why: Our supplier sells calipers in pairs.")
        if of_finding:
            if not self.action or any((self.because, self.part, self.finding, self.supply)):
                raise ValueError("in place of a finding's rule stand action, how and why alone, for example: {id: ours, replaces: rotor/fine-checks, action: replace, why: …}")
            return self
        if self.action or self.how:
            raise ValueError("action and how belong to `replaces: part/finding`")
        off = self.replaces and not any((self.because, self.part, self.finding, self.supply))
        draws = self.because and self.part and self.finding and not self.supply
        supplies = self.because and self.supply and self.why and not (self.part or self.finding)
        if not (off or draws or supplies):
            raise ValueError("a rule holds because, part and finding; or because, supply and why; for example "
                             "{id: ours, because: {caliper: replace}, part: caliper, finding: partner-new, over: partner}")
        return self


class Term(Replaceable):
    """A glossary entry: the preferred term, its synonyms, and what it means."""

    id: Id
    term: Text
    american: list[Text] = []
    british: list[Text] = []
    meaning: Text
    not_to_be_confused: list[Text] = []


# ---- reference pages --------------------------------------------------------------------------------------------

class ReferenceItem(Entry):
    """One kind of part, or one subject, on a reference page."""

    id: Id = Field(examples=["slip-on"])
    name: Text = Field(examples=["slip-on rotor"])
    drawing: Id | None = Field(None, description="Drawing in docs/drawings.")
    look: Text | None = Field(None, description="What the technician sees that tells it apart.")
    points: list[Text] = Field(min_length=1, description="What to know about it, a fact a line.")
    never: list[Text] = Field([], description="What is not done with it, with the reason.")
    procedures: Ids = Field([], description="Where the work on it stands.", examples=["[fit-slip-on-rotor]"])
    sources: SourceRefs


class Table(Entry):
    """A table of figures or facts: written out with its sources, or worked out from the calculators' own data."""

    id: Id
    caption: Text
    computed: Id | None = Field(None, description="Name of a table that build_tools/tables.py works out.", examples=["unit-conversion"])
    columns: list[Text] = []
    rows: list[list[Text]] = []
    note: Text | None = None
    sources: SourceRefs

    @model_validator(mode="after")
    def _whole(self):
        if (self.computed is None) == (not self.rows):
            raise ValueError("give either rows with their columns, or `computed`")
        if any(len(row) != len(self.columns) for row in self.rows):
            raise ValueError(f"every row has one entry for each of the {len(self.columns)} columns")
        return self


class ReferencePage(Entry):
    """A page to look things up in: kinds of parts, tables, or safety."""

    id: Id = Field(examples=["rotors"])
    title: Text
    group: Literal["parts", "tables", "safety"]
    purpose: Text
    items: list[ReferenceItem] = []
    tables: list[Table] = []
    cautions: Ids = []
    sources: SourceRefs

    @model_validator(mode="after")
    def _filled(self):
        if not self.items and not self.tables:
            raise ValueError("a reference page holds items or tables")
        return self


# ---- procedures -------------------------------------------------------------------------------------------------

class Outcome(Entry):
    """What follows from an outcome of a step: go elsewhere, do it again, or stop."""

    go: StepRef | None = Field(None, examples=["choose-nut-lock"])
    again: Literal["true"] | None = None
    stop: Text | None = None
    say: Text | None = None

    @model_validator(mode="after")
    def _one_way(self):
        if sum(way is not None for way in (self.go, self.again, self.stop)) != 1:
            raise ValueError("give exactly one of go, again, stop")
        return self


class Hold(Entry):
    """A step that waits: it stays locked until the named steps are done."""

    until: Annotated[list[StepRef], BeforeValidator(_as_list)] = Field(min_length=1)
    say: Text


class Torque(Entry):
    """Tightening of one fastener in one stage; the figure comes from the sheet, or is asked for."""

    fastener: Id = Field(examples=["spindle-nut"])
    stage: Id = Field("final", examples=["seat"])
    from_: SheetRef | None = Field(None, alias="from", examples=["end.spindle_nut.seat"])


class Enter(Entry):
    """What is recorded at a step: a calculation, the findings on a part, a choice, or a few words."""

    calculator: Id | None = Field(None, examples=["rotor-thickness"])
    fields: dict[Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$")], Text] = Field(
        {}, description="Input name → `ask`, a sheet value such as end.rotor.discard, what an earlier step found such as "
                        "measure-rotor/read-thickness#thinnest, or a fixed entry.")
    findings: Id | None = Field(None, description="Part whose findings are noted.", examples=["rotor"])
    choice: dict[Id, Text] | None = Field(None, description="Outcome → its label.")
    text: Text | None = Field(None, description="What is asked, in words.")
    as_at: StepRef | None = Field(None, description="Nothing is asked: it comes out as that earlier step did.", examples=["choose-replacement"])
    decision: Literal["true"] | None = Field(None, description="Part by part, from all that the job holds so far, with the parts list.")

    @model_validator(mode="after")
    def _one_kind(self):
        if sum(kind is not None for kind in (self.calculator, self.findings, self.choice, self.text, self.as_at, self.decision)) != 1:
            raise ValueError("give exactly one of calculator, findings, choice, text, as_at, decision")
        if self.fields and not self.calculator:
            raise ValueError("fields belong to a calculator")
        return self


EFFECTS = ("takes_off", "fits", "loosens", "torques", "opens", "closes", "bleeds", "leak_checks")


class Step(Entry):
    """One action."""

    id: Id = Field(examples=["loosen-nut"])
    was: list[StepRef] = Field([], description="Earlier ids, or earlier addresses in another procedure, kept so that old records still find the step.")
    when: When = None
    for_: Place = Field("side", alias="for", examples=["side"])
    do: Text = Field(description="One action, verb first.", examples=["Loosen the spindle nut fully."])
    why: Text | None = None
    note: Text | None = Field(None, description="Holds no action.")
    cautions: Ids = []
    tools: Ids = []
    figure: Id | None = Field(None, description="Drawing in docs/drawings.")
    timer: Duration | None = Field(None, examples=["10 min"])
    show: Annotated[list[SheetRef], BeforeValidator(_as_list)] = Field(
        [], description="Values of the vehicle's sheet that the step needs before the reader's eyes.", examples=["end.rotor.runout_limit"])
    enter: Enter | None = None
    torque: Torque | None = None
    expect: Text | None = Field(None, description="What is true when the step has worked.")
    if_not: dict[Id, Outcome] = {}
    otherwise: dict[Id, Outcome] = Field({}, description="Another way where something is lacking.")
    hold: Hold | None = None
    critical: bool = Field(False, description="No way back from here.")
    second_look: bool = Field(False, description="Counts only once a second person, or the same one later, has looked at it.")
    record: bool = Field(False, description="Stands on the customer's page.")
    checks_free: Ids = Field([], description="Parts that count as cured once this step is done: the decision's second look.", examples=["[slide-pin]"])
    any_order: bool = False
    always_new: Ids = []
    sources: SourceRefs = []
    takes_off: Ids = []
    fits: Ids = []
    loosens: Ids = []
    torques: Ids = []
    opens: Ids = []
    closes: Ids = []
    bleeds: Ids = []
    leak_checks: Ids = []

    @property
    def effects(self) -> dict[str, list[str]]:
        """What the step does to parts, fasteners and joints, without what it leaves alone."""
        return {name: ids for name in EFFECTS if (ids := getattr(self, name))}

    @property
    def seconds(self) -> int:
        """The timer's length; 0 without one."""
        number, unit = self.timer.split() if self.timer else ("0", "s")
        return int(number) * {"s": 1, "min": 60, "h": 3600}[unit]

    @property
    def hash(self) -> str:
        """A record shows by it whether the step has changed since."""
        return content_hash(self, {"id", "was"})


class Use(Entry):
    """Another procedure, included here with its steps at their home addresses."""

    use: Id = Field(examples=["bleed-gravity"])
    when: When = None


def _item_kind(raw: object) -> str:
    return "use" if (isinstance(raw, dict) and "use" in raw) or isinstance(raw, Use) else "step"


Item = Annotated[Annotated[Use, Tag("use")] | Annotated[Step, Tag("step")], Discriminator(_item_kind)]


class StepChange(Signed):
    """What a shop does otherwise at one step of the handbook."""

    step: StepAddress = Field(description="The handbook's step, as procedure/step.", examples=["wheel-and-torque/clean-faces"])
    do: Literal["before", "after", "instead", "remove", "caution"] = Field(
        description="New steps before it, after it or in its place; take it out; or change only its safety messages.", examples=["after"])
    steps: list[Step] = Field([], description="The new steps. In place of the handbook's step, one of them keeps its id.",
                              examples=["[{id: our-second-look, do: Show the mark to a second person.}]"])
    cautions: Ids = Field([], description="With `do: caution`: the safety messages to add.", examples=["[our-floor]"])
    without: dict[Id, Text] = Field({}, description="Safety messages of the handbook's step that no longer stand there, each with the reason.",
                                    examples=["{brake-dust: The work is done in a closed cabin with its own extraction.}"])

    @model_validator(mode="after")
    def _one_kind(self):
        if (self.do in ("before", "after", "instead")) != bool(self.steps):
            raise ValueError("before, after and instead need `steps`; remove and caution have none")
        if (self.do == "caution") != bool(self.cautions or self.without) and not (self.do == "instead" and not self.cautions):
            raise ValueError("`cautions` and `without` belong to `do: caution`; `without` also to `do: instead`")
        return self


class Change(Entry):
    revision: int = Field(ge=1)
    date: datetime.date = Field(examples=["2026-11-25"])
    reason: Text
    approver: Text | None = Field(None, description="Who approved this revision.", examples=["shop lead"])


class People(Entry):
    count: int = Field(1, ge=1)
    skill: Text
    minutes: int = Field(ge=1, description="For one person who has done it before.")


class Procedure(Replaceable):
    """One job, or one part of a job that other procedures include."""

    id: Id = Field(examples=["front-brake-service"])
    title: Text
    short: Text | None = Field(None, description="Title of the part where another procedure includes it.")
    kind: Literal["procedure", "diagnosis"] = "procedure"
    state: Literal["draft", "checked on the bench", "checked on a job", "approved"] = "draft"
    level: Literal["step by step", "reference"] = "step by step"
    when: When = None
    purpose: Text
    end_state: Text
    stop_driving: Text | None = Field(None, description="Diagnosis: when the vehicle is not driven any further.")
    also: list[Text] = Field([], description="Diagnosis: what else it could be.")
    people: People
    conditions: filled(Text)
    tools: filled(Id)
    supplies: filled(Id)
    cautions: filled(Id)
    changes: list[Change] = Field(min_length=1)
    sources: SourceRefs
    steps: list[Item] = Field(min_length=1)

    @model_validator(mode="after")
    def _diagnosis(self):
        if (self.kind == "diagnosis") != bool(self.stop_driving and self.also):
            raise ValueError("a diagnosis says stop_driving and also; a procedure says neither")
        return self

    @model_validator(mode="after")
    def _approved(self):
        if self.state == "approved" and not self.newest.approver:
            raise ValueError("an approved page names who approved its newest revision, for example: "
                             "{revision: 2, date: 2026-11-27, reason: New lift., approver: shop lead}")
        return self

    @property
    def newest(self) -> Change:
        """The newest revision."""
        return max(self.changes, key=lambda change: change.revision)

    @property
    def revision(self) -> int:
        return self.newest.revision


# ---- vehicles ---------------------------------------------------------------------------------------------------

class EndSheet(Entry):
    """One axle of a vehicle: its layout and its values."""

    layout: dict[AxisId, Id]
    values: dict[FieldPath, Sourced] = {}


class Vehicle(Replaceable):
    """The sheet of one vehicle; stock vehicles are invented."""

    id: Id
    name: Text
    invented: bool = False
    note: Text | None = None
    vin: Text | None = None
    layout: dict[AxisId, Id] = {}
    values: dict[FieldPath, Sourced] = {}
    front: EndSheet | None = None
    rear: EndSheet | None = None


class Shop(Entry):
    """Whose pages stand beside the stock ones."""

    name: Text = Field(description="The shop's name, as it stands on its pages.", examples=["Example shop (invented)"])
    units: Literal["metric", "inch"] = Field("metric", description="The units the shop thinks in.", examples=["metric"])
    rules: list[Text] = Field([], description="House rules, a line each; they stand on the first page.", examples=["[A second person looks at every final torque.]"])
    contact: Text | None = Field(None, description="Whom to ask about the shop's pages.", examples=["The shop lead, in the office"])
    note: Text | None = Field(None, description="For whoever looks after this folder; stands on no page.", examples=["Copied from the old binder."])


class PageHead(Entry):
    """What may stand between two lines of --- at the top of a plain page."""

    state: Literal["draft", "approved"] = Field("draft", description="A draft says on the page that nobody has approved it yet.", examples=["approved"])
    date: datetime.date | None = Field(None, description="Day of the newest wording, year first.", examples=["2026-11-27"])
    reason: Text | None = Field(None, description="What is new in it.", examples=["First issue."])
    approver: Text | None = Field(None, description="Who approved it.", examples=["shop lead"])

    @model_validator(mode="after")
    def _approved(self):
        if self.state == "approved" and not (self.date and self.approver):
            raise ValueError("an approved page names date and approver, for example: {state: approved, date: 2026-11-27, approver: shop lead}")
        return self
