"""A procedure, its steps and its safety messages; a shop's change to a step."""

from __future__ import annotations

import re
from typing import Annotated, Literal, Self

from pydantic import (
    BeforeValidator,
    Discriminator,
    Field,
    StringConstraints,
    Tag,
    model_validator,
)

from build_tools.content.model.base import (
    ADDRESS,
    INPUT,
    STEP,
    TIME,
    Date,
    Entry,
    Id,
    Ids,
    Replaceable,
    SheetRef,
    Signed,
    SourceRefs,
    Text,
    When,
    as_list,
    content_hash,
    mistake,
)

StepAddress = Annotated[str, StringConstraints(pattern=ADDRESS)]

StepRef = Annotated[str, StringConstraints(pattern=STEP)]

SHEET_VALUE = re.compile(r"(end|vehicle)\.[a-z0-9_.]+")

STEP_VALUE = re.compile(r"([a-z0-9-]+/)?[a-z0-9-]+#[a-z][a-z0-9_]*")  # what an earlier step found: step#value

Duration = Annotated[str, StringConstraints(pattern=TIME)]

Place = Literal["side", "axle", "lift", "vehicle"]


def _none_or_list(raw: object) -> object:
    """A list must be filled, or say `none` out loud: an empty list is a gap that nobody decided on."""
    if raw == "none":
        return []
    if raw in ([], "", None):
        raise mistake("E107", "The list is empty; fill it, or write none.")
    return raw


# Lists that are filled or explicitly `none`.
FilledTexts = Annotated[list[Text], BeforeValidator(_none_or_list, json_schema_input_type=list[Text] | Literal["none"])]

FilledIds = Annotated[list[Id], BeforeValidator(_none_or_list, json_schema_input_type=list[Id] | Literal["none"])]


Action = Literal["use again", "service", "machine", "measure again", "replace"]


class Caution(Replaceable):
    """A safety message by ANSI Z535: signal word by consequence, hazard, consequence, how to avoid it."""

    id: Id = Field(description="Name by which steps call it; the file's name.", examples=["hand-tool-on-bearings"])
    signal: Literal["danger", "warning", "caution", "notice"] = Field(
        description="By the worst that can happen: danger kills or maims, warning could, caution could hurt, notice damages things.",
        examples=["notice"],
    )
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    hazard: Text = Field(description="What is dangerous.", examples=["The floor by the lift is smooth when it is wet."])
    consequence: Text = Field(description="What happens then.", examples=["A fall beside a raised vehicle breaks bones."])
    avoid: list[Text] = Field(
        min_length=1, description="How it is avoided, an action a line.", examples=["[Dry the floor before the lift goes up.]"]
    )
    sources: SourceRefs = Field(
        [], description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )


class Outcome(Entry):
    """What follows from an outcome of a step: go elsewhere, do it again, or stop."""

    go: StepRef | None = Field(None, description="The step to go on with.", examples=["choose-nut-lock"])
    again: Literal["true"] | None = Field(None, description="The step is done once more.", examples=["true"])
    stop: Text | None = Field(
        None, description="The work stops, with what has to happen first.", examples=["Replace stud and nut before the wheel goes on."]
    )
    say: Text | None = Field(None, description="What the reader is told.", examples=["Turn it by the positions shown, then measure again."])
    back: Literal["true"] | None = Field(
        None, description="With `go` to another job: the reader comes back to this step afterwards and answers it again.", examples=["true"]
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.back and not self.go:
            raise mistake(
                "E115", "The entry back belongs to an outcome that goes to another job.", "{go: reservoir-ran-dry/stop-work, back: true}"
            )
        if sum(way is not None for way in (self.go, self.again, self.stop)) != 1:
            raise mistake("E115", "An outcome leads one way: it holds exactly one of go, again and stop.", "{again: true}")
        return self


class Hold(Entry):
    """A step that waits: it stays locked until the named steps are done."""

    until: Annotated[list[StepRef], BeforeValidator(as_list, json_schema_input_type=list[StepRef] | StepRef)] = Field(
        min_length=1, description="Steps that must be done first.", examples=["[sign-play]"]
    )
    say: Text = Field(description="Why it waits.", examples=["The pin is fitted only after the play is signed."])


class Torque(Entry):
    """Tightening of one fastener in one stage; the figure comes from the sheet, or is asked for."""

    fastener: Id = Field(description="Id of the fastener.", examples=["spindle-nut"])
    stage: Id = Field("final", description="Which tightening, where there are several.", examples=["seat"])
    from_: SheetRef | None = Field(
        None, alias="from", description="The value of the vehicle's sheet; left out, it is asked for.", examples=["end.spindle_nut.seat"]
    )


class Enter(Entry):
    """What is recorded at a step: a calculation, the findings on a part, a choice, or a few words."""

    calculator: Id | None = Field(None, description="A calculator stands at this step.", examples=["rotor-thickness"])
    fields: dict[Annotated[str, StringConstraints(pattern=INPUT)], Text] = Field(
        {},
        description="Input name → `ask`, a sheet value such as end.rotor.discard, what an earlier step found such as "
        "measure-rotor/read-thickness#thinnest, or a fixed entry.",
        examples=["{readings: ask, discard: end.rotor.discard}"],
    )
    apart: Literal["true"] | None = Field(
        None,
        description="The calculator reads something else than usual here, a bare flange for example; the decision leaves it out.",
        examples=["true"],
    )
    of: Literal["new", "machined"] | None = Field(
        None,
        description="The calculator reads the new part, or the one that was machined: the reading never takes the place of the old part's.",
        examples=["new"],
    )
    findings: Id | None = Field(None, description="Part whose findings are noted.", examples=["rotor"])
    choice: dict[Id, Text] | None = Field(
        None, description="Outcome → its label.", examples=["{tight: no movement at all, loose: movement is plain to see}"]
    )
    means: dict[Id, dict[Id, Annotated[list[Action], BeforeValidator(as_list, json_schema_input_type=list[Action] | Action)]]] = Field(
        {},
        description="Answer of the choice → part → what the answer says is done with it: use again, service, machine or replace. An answer that allows less than what was recorded needs a reason.",
        examples=["{keep: {rotor: use again}, replace: {rotor: replace}}"],
    )
    text: Text | None = Field(None, description="What is asked, in words.", examples=["What did the customer say?"])
    as_at: StepRef | None = Field(
        None, description="Nothing is asked: it comes out as that earlier step did.", examples=["choose-replacement"]
    )
    decision: Literal["true"] | None = Field(
        None, description="Part by part, from all that the job holds so far, with the parts list.", examples=["true"]
    )

    @property
    def fixed(self) -> dict[str, str]:
        """The calculator's entries that are the same in every job."""
        return {
            name: given
            for name, given in self.fields.items()
            if given != "ask" and not SHEET_VALUE.fullmatch(given) and not STEP_VALUE.fullmatch(given)
        }

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if sum(kind is not None for kind in (self.calculator, self.findings, self.choice, self.text, self.as_at, self.decision)) != 1:
            raise mistake(
                "E115",
                "A step records one thing: exactly one of calculator, findings, choice, text, as_at and decision.",
                "enter: {findings: rotor}",
            )
        if self.means and not self.choice:
            raise mistake(
                "E116",
                "The entry means belongs to a choice.",
                "enter: {choice: {keep: it stays, replace: it is replaced}, means: {keep: {rotor: use again}, replace: {rotor: replace}}}",
            )
        if (self.fields or self.apart or self.of) and not self.calculator:
            raise mistake(
                "E116",
                "The entries fields, apart and of belong to a calculator.",
                "enter: {calculator: rotor-thickness, fields: {readings: ask, discard: ask}}",
            )
        return self


Secures = Literal["gear", "rolling", "clutch", "hands"]

SECURED: dict[str, str] = {
    "gear": "park or neutral",
    "rolling": "chocks or parking brake",
    "clutch": "clutch down",
    "hands": "hands and hubs clear",
}

Secured = Annotated[list[Secures], BeforeValidator(as_list, json_schema_input_type=list[Secures] | Secures)]

EFFECTS = ("takes_off", "fits", "loosens", "torques", "opens", "closes", "bleeds", "leak_checks")


class Step(Entry):
    """One action."""

    id: Id = Field(
        description="Name of the step. Never changed and never used again, because records point to it.", examples=["loosen-nut"]
    )
    was: list[StepRef] = Field(
        [],
        description="Earlier ids, or earlier addresses in another procedure, kept so that old records still find the step.",
        examples=["[slacken-nut]"],
    )
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    for_: Place = Field(
        "side",
        alias="for",
        description="Done on each side, once an axle, once each time an axle is raised (until it is lowered again), or once a vehicle.",
        examples=["side"],
    )
    do: Text = Field(description="One action, verb first.", examples=["Loosen the spindle nut fully."])
    why: Text | None = Field(
        None, description="The reason, for who wants it.", examples=["The nut must not carry the wheel while it turns."]
    )
    note: Text | None = Field(None, description="Holds no action.", examples=["The nut has a left-hand thread on the left."])
    cautions: Ids = Field([], description="Ids of safety messages that stand before the step.", examples=["[vehicle-falls]"])
    tools: Ids = Field([], description="Ids of tools; they stand in the procedure's list too.", examples=["[torque-wrench]"])
    figure: Id | None = Field(None, description="Drawing in docs/drawings.", examples=["wheel-nut-star"])
    timer: Duration | None = Field(None, description="How long it waits or takes.", examples=["10 min"])
    show: Annotated[list[SheetRef], BeforeValidator(as_list, json_schema_input_type=list[SheetRef] | SheetRef)] = Field(
        [], description="Values of the vehicle's sheet that the step needs before the reader's eyes.", examples=["end.rotor.runout_limit"]
    )
    enter: Enter | None = Field(None, description="What is recorded here.", examples=["{findings: wheel-stud}"])
    torque: Torque | None = Field(
        None, description="A fastener is tightened here.", examples=["{fastener: wheel-nut, from: vehicle.wheel_nut.torque}"]
    )
    expect: Text | None = Field(None, description="What is true when the step has worked.", examples=["The wheel turns freely."])
    if_not: dict[Id, Outcome] = Field(
        {}, description="Outcome → what follows.", examples=["{loose: {again: true, say: Tighten it once more.}}"]
    )
    otherwise: dict[Id, Outcome] = Field(
        {}, description="Another way where something is lacking.", examples=["{no-indicator: {go: take-up-by-feel}}"]
    )
    hold: Hold | None = Field(
        None,
        description="The step waits for others.",
        examples=["{until: [sign-play], say: The pin is fitted only after the play is signed.}"],
    )
    critical: bool = Field(False, description="No way back from here.", examples=["true"])
    second_look: bool = Field(
        False, description="Counts only once a second person, or the same one later, has looked at it.", examples=["true"]
    )
    record: bool = Field(False, description="Stands on the customer's page.", examples=["true"])
    completes: Literal["true"] | None = Field(
        None, description="Signs that the work of the page is complete: refused while anything is open.", examples=["true"]
    )
    ends_lift: Literal["true"] | None = Field(
        None, description="The axle stands on its wheels again: what was signed for its lift ends here.", examples=["true"]
    )
    checks_free: Ids = Field(
        [], description="Parts that count as cured once this step is done: the decision's second look.", examples=["[slide-pin]"]
    )
    any_order: bool = Field(False, description="May be done in any order with its neighbours.", examples=["true"])
    driveline: Literal["freed", "held", "must be free"] | None = Field(
        None,
        description="Put in neutral here, back in park or gear here, or needed free here, because a wheel, hub or rotor is turned by hand and judged.",
        examples=["must be free"],
    )
    always_new: Ids = Field([], description="Parts that are new every time.", examples=["[cotter-pin]"])
    sources: SourceRefs = Field(
        [], description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )
    starts: Literal["engine"] | None = Field(
        None,
        description="The engine or the electric drive is started here: the step waits for steps that secure gear, rolling, clutch and hands.",
        examples=["engine"],
    )
    stops: Literal["engine"] | None = Field(None, description="The engine or the electric drive is stopped here.", examples=["engine"])
    secures: Secured = Field([], description="What is made safe here before the engine is started.", examples=["gear"])
    takes_off: Ids = Field([], description="Parts and fasteners that come off here.", examples=["[wheel]"])
    fits: Ids = Field([], description="Parts and fasteners that go on here.", examples=["[wheel]"])
    loosens: Ids = Field([], description="Fasteners that are loosened here.", examples=["[wheel-nut]"])
    torques: Ids = Field([], description="Fasteners that reach their final torque here.", examples=["[wheel-nut]"])
    opens: Ids = Field([], description="Brake fluid joints that are opened here.", examples=["[hose-line-joint]"])
    closes: Ids = Field([], description="Joints that are closed here.", examples=["[hose-line-joint]"])
    bleeds: Ids = Field([], description="Joints whose circuit is bled here.", examples=["[hose-line-joint]"])
    leak_checks: Ids = Field([], description="Joints that are checked for leaks here.", examples=["[hose-line-joint]"])
    presses: Literal["pedal", "system"] | None = Field(
        None,
        description="What puts pressure on every piston here: a foot or depressor at the pedal, or a system that is woken. Nothing that holds a piston in may be off.",
        examples=["pedal"],
    )

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
        return content_hash(self, {**dict.fromkeys(("id", "was", "completes", "ends_lift"), True), "enter": {"means", "of"}})


class Use(Entry):
    """Another procedure, included here with its steps at their home addresses."""

    use: Id = Field(description="Id of the procedure whose steps stand here.", examples=["bleed-gravity"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )


def _item_kind(raw: object) -> str:
    return "use" if (isinstance(raw, dict) and "use" in raw) or isinstance(raw, Use) else "step"


Item = Annotated[Annotated[Use, Tag("use")] | Annotated[Step, Tag("step")], Discriminator(_item_kind)]


class StepChange(Signed):
    """What a shop does otherwise at one step of the handbook."""

    step: StepAddress = Field(description="The handbook's step, as procedure/step.", examples=["wheel-and-torque/clean-faces"])
    do: Literal["before", "after", "instead", "remove", "caution"] = Field(
        description="New steps before it, after it or in its place; take it out; or change only its safety messages.", examples=["after"]
    )
    steps: list[Step] = Field(
        [],
        description="The new steps. In place of the handbook's step, one of them keeps its id.",
        examples=["[{id: our-second-look, do: Show the mark to a second person.}]"],
    )
    cautions: Ids = Field([], description="With `do: caution`: the safety messages to add.", examples=["[our-floor]"])
    without: dict[Id, Text] = Field(
        {},
        description="Safety messages of the handbook's step that no longer stand there, each with the reason.",
        examples=["{brake-dust: The work is done in a closed cabin with its own extraction.}"],
    )

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if (self.do in ("before", "after", "instead")) != bool(self.steps):
            raise mistake(
                "S111",
                "The changes before, after and instead need steps; remove and caution have none.",
                "steps: [{id: our-look, do: Show the mark to a second person.}]",
            )
        if (self.do == "caution") != bool(self.cautions or self.without) and not (self.do == "instead" and not self.cautions):
            raise mistake(
                "S111",
                "The entries cautions and without belong to a change of safety messages, without also to a step put in place.",
                "without: {brake-dust: The work is done in a closed cabin.}",
            )
        return self


class Change(Entry):
    """One issue of a procedure."""

    revision: int = Field(ge=1, description="Counted 1, 2, 3 without a gap.", examples=["1"])
    date: Date = Field(description="Day of the issue, year first.", examples=["2026-11-25"])
    reason: Text = Field(description="What is new.", examples=["First issue."])
    approver: Text | None = Field(None, description="Who approved this revision.", examples=["shop lead"])


class People(Entry):
    """Who does the work, and how long it takes."""

    count: int = Field(1, ge=1, description="How many people.", examples=["1"])
    skill: Text = Field(description="What they must be able to do.", examples=["a technician who fits wheels"])
    minutes: int = Field(ge=1, description="For one person who has done it before.", examples=["20"])


class Procedure(Replaceable):
    """One job, or one part of a job that other procedures include."""

    id: Id = Field(description="Name of the procedure; the file's name. Never changed once in use.", examples=["front-brake-service"])
    title: Text = Field(description="Its title.", examples=["After a loose wheel"])
    short: Text | None = Field(None, description="Title of the part where another procedure includes it.", examples=["Loose wheel"])
    subject: (
        Literal["brakes of an axle", "inspect and find", "wheel bearings", "replace a part", "fluid and lines", "before any job"] | None
    ) = Field(None, description="Whole jobs: where the first page lists them.", examples=["brakes of an axle"])
    kind: Literal["procedure", "diagnosis"] = Field("procedure", description="Work, or the search for a fault.", examples=["procedure"])
    state: Literal["draft", "checked on the bench", "checked on a job", "approved"] = Field(
        "draft", description="How far it has been checked.", examples=["draft"]
    )
    ends_in: Literal["estimate"] | None = Field(
        None, description="Nothing is repaired on this page: it closes with what was found beyond a limit listed.", examples=["estimate"]
    )
    level: Literal["step by step", "reference"] = Field(
        "step by step", description="Read step by step, or looked up in.", examples=["step by step"]
    )
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    purpose: Text = Field(description="What it is for.", examples=["Find out what a wheel that ran loose has damaged."])
    end_state: Text = Field(description="What is true when it is done.", examples=["Every stud is judged, and the wheel is torqued."])
    stop_driving: Text | None = Field(
        None, description="Diagnosis: when the vehicle is not driven any further.", examples=["The pedal sinks to the floor."]
    )
    also: list[Text] = Field([], description="Diagnosis: what else it could be.", examples=["[A hose that is soft inside.]"])
    people: People = Field(
        description="Who does it, and for how long.", examples=["{count: 1, skill: a technician who fits wheels, minutes: 20}"]
    )
    conditions: FilledTexts = Field(
        description="What must be so before it starts, or `none`.", examples=["[The vehicle is on stands on firm, level ground.]"]
    )
    tools: FilledIds = Field(description="Ids of tools, or `none`.", examples=["[torque-wrench, sockets]"])
    supplies: FilledIds = Field(description="Ids of supplies, or `none`.", examples=["none"])
    cautions: FilledIds = Field(description="Ids of safety messages for the whole page, or `none`.", examples=["[vehicle-falls]"])
    changes: list[Change] = Field(
        min_length=1, description="Its revisions.", examples=["[{revision: 1, date: 2026-11-27, reason: First issue.}]"]
    )
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )
    steps: list[Item] = Field(
        min_length=1,
        description="The steps, and other procedures included by `use`.",
        examples=["[{id: fit-wheel, do: Fit the wheel flat to a clean hub.}]"],
    )

    @model_validator(mode="after")
    def _diagnosis(self) -> Self:
        if (self.kind == "diagnosis") != bool(self.stop_driving and self.also):
            raise mistake(
                "E116",
                "A job of kind diagnosis needs both 'stop_driving' and 'also'; another job has neither.",
                "kind: diagnosis\nstop_driving: The pedal sinks to the floor.\nalso: [A hose that is soft inside.]",
            )
        return self

    @model_validator(mode="after")
    def _approved(self) -> Self:
        if self.state == "approved" and not self.newest.approver:
            raise mistake(
                "S112",
                "An approved page names who approved its newest revision.",
                "changes: [{revision: 1, date: 2026-11-27, reason: New lift., approver: shop lead}]",
            )
        return self

    @property
    def newest(self) -> Change:
        """The newest revision."""
        return max(self.changes, key=lambda change: change.revision)

    @property
    def revision(self) -> int:
        return self.newest.revision
