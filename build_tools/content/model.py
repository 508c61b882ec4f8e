"""What the handbook knows, as types. pydantic checks content, makes the JSON Schema, and is the one place that says
what a file may hold.

Every scalar arrives as text (build_tools/content/load.py), so 012, 1:30, no, 3.10 and 0.010 stay what their author wrote;
the types here decide what becomes a number.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import re
import unicodedata
from dataclasses import dataclass
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
from pydantic_core import PydanticCustomError

from build_tools.content.problems import quoted
from build_tools.content.when import normal_form


@dataclass(frozen=True)
class Form:
    """How a kind of name or value is written: its code in mistakes.yml, in words, a correct one, and what may be put right."""

    code: str
    words: str
    example: str
    pattern: str
    joined_by: str = ""

    def mended(self, written: str) -> str:
        """The name that was probably meant, where lower case and joints alone make it right; else an empty string."""
        plain = unicodedata.normalize("NFKD", written).encode("ascii", "ignore").decode()
        words = re.findall(r"[a-z0-9]+", plain.lower())
        mended = self.joined_by.join(words) if self.joined_by and len(written) <= 60 else ""
        return mended if re.fullmatch(self.pattern, mended) else ""


ID = r"^[a-z0-9]+(-[a-z0-9]+)*$"
_FORM_LIST = (
    Form("E106", "a name: lower case words joined by hyphens", "split-pin", ID, "-"),
    Form("E106", "the name of a layout question: lower case words joined by underscores", "parking_brake", r"^[a-z]+(_[a-z]+)*$", "_"),
    Form("E106", "the name of a step, or procedure/step", "loosen-nut", r"^([a-z0-9-]+/)?[a-z0-9-]+$", "-"),
    Form("E106", "a step of the handbook: procedure/step", "make-safe/chock-wheels", r"^[a-z0-9-]+/[a-z0-9-]+$"),
    Form("E112", "a length of time: a whole number and s, min or h", "10 min", r"^[1-9][0-9]* (s|min|h)$"),
    Form("E106", "the name of a sheet value: lower case words joined by points", "rotor.discard", r"^[a-z0-9_]+(\.[a-z0-9_]+)*$", "."),
    Form(
        "E113",
        "a value of the vehicle's sheet, which begins with end or vehicle and a point",
        "end.rotor.discard",
        r"^(end|vehicle)\.[a-z0-9_]+(\.[a-z0-9_]+)*$",
        ".",
    ),
    Form("E119", "a calculator and its value, joined by a slash", "fluid-volume/fluid_needed", r"^[a-z][a-z-]*/[a-z][a-z_]*$"),
    Form("E106", "the name of a rule, or part/finding", "rotors-by-axle", r"^[a-z0-9][a-z0-9-]*(/[a-z0-9][a-z0-9-]*)?$", "-"),
    Form("E106", "the name of an entry: lower case words joined by underscores", "discard", r"^[a-z][a-z0-9_]*$", "_"),
    Form("S110", "a fingerprint: twelve figures and letters from a to f, as check names it", "9f2c41d07a3b", r"^[0-9a-f]{12}$"),
)
FORMS = {form.pattern: form for form in _FORM_LIST}
_AXIS, _STEP, _ADDRESS, _TIME, _FIELD, _SHEET, _AMOUNT, _RULE, _INPUT, _HASH = [form.pattern for form in _FORM_LIST[1:]]


def mistake(code: str, message: str, example: str = "", near: str = "") -> PydanticCustomError:
    """A mistake that a type finds by itself, to be raised; code and message as in problems.Fault."""
    return PydanticCustomError(code, message, {"example": example, "near": near})


def _condition(raw: object) -> object:
    try:
        return None if raw is None else normal_form(raw)
    except ValueError as fault:
        said = str(fault)
        raise mistake("C101", said[:1].upper() + said[1:] + ".", "when: {bearing: tapered-roller}") from None


def _as_date(written: str) -> str:
    """The date that was meant where it can be read in one way only, else some date."""
    found = re.fullmatch(r"([0-9]{1,2})([./-])([0-9]{1,2})\2([0-9]{4})|([0-9]{4})[./]?([0-9]{1,2})[./]?([0-9]{1,2})", written.strip())
    if found:
        first, second, year = (int(found[1]), int(found[3]), int(found[4])) if found[1] else (int(found[7]), int(found[6]), int(found[5]))
        day, month = (second, first) if second > 12 else (first, second)
        if found[5] or first > 12 or second > 12 or first == second:
            try:
                return datetime.date(year, month, day).isoformat()
            except ValueError:
                pass
    return "2026-11-27"


def _date(raw: object) -> object:
    """A date is written in one way only; a bare number would be read as seconds."""
    if isinstance(raw, str):
        try:
            return datetime.date(*map(int, re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", raw).groups()))
        except (AttributeError, ValueError):
            raise mistake(
                "E110", f"{quoted(raw)} is not a date of the form year-month-day, in figures joined by hyphens.", f"date: {_as_date(raw)}"
            ) from None
    return raw


Id = Annotated[str, StringConstraints(pattern=ID)]
AxisId = Annotated[str, StringConstraints(pattern=_AXIS)]
Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
StepAddress = Annotated[str, StringConstraints(pattern=_ADDRESS)]
StepRef = Annotated[str, StringConstraints(pattern=_STEP)]
SHEET_VALUE = re.compile(r"(end|vehicle)\.[a-z0-9_.]+")
STEP_VALUE = re.compile(r"([a-z0-9-]+/)?[a-z0-9-]+#[a-z][a-z0-9_]*")  # what an earlier step found: step#value
Duration = Annotated[str, StringConstraints(pattern=_TIME)]
Date = Annotated[datetime.date, BeforeValidator(_date)]
FieldPath = Annotated[str, StringConstraints(pattern=_FIELD)]
SheetRef = Annotated[str, StringConstraints(pattern=_SHEET)]
_Conditions = dict[str, Any] | list[dict[str, Any]]
When = Annotated[list[dict[str, Any]] | None, BeforeValidator(_condition, json_schema_input_type=_Conditions)]
Place = Literal["side", "axle", "lift", "vehicle"]


def _none_or_list(raw: object) -> object:
    """A list must be filled, or say `none` out loud: an empty list is a gap that nobody decided on."""
    if raw == "none":
        return []
    if raw in ([], "", None):
        raise mistake("E107", "The list is empty; fill it, or write none.")
    return raw


def filled(item):
    """A list of `item` that is filled or explicitly `none`."""
    return Annotated[list[item], BeforeValidator(_none_or_list, json_schema_input_type=list[item] | Literal["none"])]


def _as_list(raw: object) -> object:
    return [raw] if isinstance(raw, str) else raw


Ids = Annotated[list[Id], BeforeValidator(_as_list, json_schema_input_type=list[Id] | Id)]


Action = Literal["use again", "service", "machine", "measure again", "replace"]


class Entry(BaseModel):
    """Base of everything that stands in a file: unknown keys are mistakes."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Hash = Annotated[str, StringConstraints(pattern=_HASH)]


def content_hash(item: BaseModel, leave_out: set[str] | dict[str, Any] = frozenset()) -> str:
    """Twelve hex digits of what an item says: another hash says that it has changed."""
    unsaid = leave_out if isinstance(leave_out, dict) else set(leave_out)
    text = json.dumps(item.model_dump(mode="json", exclude=unsaid, exclude_defaults=True), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


class Signed(Entry):
    """Who in the shop decided on something other than the handbook says, when, why, and upon which wording."""

    made_for: Hash | None = Field(
        None, description="Fingerprint of the handbook's wording that was looked at; `check` names it.", examples=["9f2c41d07a3b"]
    )
    date: Date = Field(description="Day of the decision, year first.", examples=["2026-11-27"])
    reason: Text = Field(
        description="Why this shop works otherwise. Stands on the page.", examples=["Our lift leaves no room for the long bar."]
    )
    approver: Text = Field(description="Who decided it. Stands on the page.", examples=["shop lead"])


class Replaceable(Entry):
    """What a shop may put its own in place of: same id, and who decided it."""

    replaces_stock: Signed | None = Field(
        None,
        description="A shop: this takes the place of the handbook's own of the same id.",
        examples=["{made_for: 9f2c41d07a3b, date: 2026-11-27, reason: Our own order of work., approver: shop lead}"],
    )

    @property
    def hash(self) -> str:
        return content_hash(self, {"replaces_stock"})


class SourceRef(Entry):
    """Where a fact comes from: a source, and the place in it."""

    source: Id = Field(description="Id of a source.", examples=["us-tm-9-2320-289-20"])
    at: Text | None = Field(None, description="Page, table or paragraph.", examples=["p. 8-4"])


SourceRefs = Annotated[
    list[
        Annotated[
            SourceRef, BeforeValidator(lambda raw: {"source": raw} if isinstance(raw, str) else raw, json_schema_input_type=SourceRef | Id)
        ]
    ],
    BeforeValidator(
        lambda raw: [raw] if isinstance(raw, (str, dict)) else raw, json_schema_input_type=list[SourceRef | Id] | SourceRef | Id
    ),
]


class Source(Entry):
    """A published source, or the honest lack of one."""

    id: Id = Field(description="Name by which it is cited.", examples=["us-49-cfr-570"])
    title: Text = Field(description="Its title.", examples=["TM 9-2320-289-20, light trucks"])
    edition: Text | None = Field(None, description="Edition or year.", examples=["1991"])
    publisher: Text | None = Field(None, description="Who published it.", examples=["US Army"])
    kind: Literal["published", "common practice", "memory"] = Field(description="Published, or honestly not.", examples=["published"])


class Sourced(Entry):
    """A value with its unit and where it comes from: the one type for limits, torques and windows of a vehicle."""

    value: Text = Field(description="The figure as it is written in the source, in quotes.", examples=["22.4"])
    unit: Text | None = Field(None, description="Its unit.", examples=["mm"])
    source: Text = Field(description="Where this figure stands.", examples=["stamped on the rotor"])
    sure: Text | None = Field(
        None,
        description="Only where the figure is rare: why it is right all the same.",
        examples=["heavy truck; read twice in the manual, page 7-3"],
    )

    @property
    def typed(self) -> str:
        """As a reader would type it into a field."""
        return f"{self.value} {self.unit}" if self.unit else self.value


# ---- layout -----------------------------------------------------------------------------------------------------


class AxisValue(Entry):
    id: Id = Field(description="Name of the answer.", examples=["slip-on"])
    label: Text = Field(description="The answer in words.", examples=["slip-on rotor"])
    look: Text = Field(
        description="What the technician sees that tells it apart.", examples=["The rotor lifts off the studs without the bearing."]
    )
    drawing: Id | None = Field(None, description="Drawing of it.", examples=["rotor-slip-on"])


class Axis(Entry):
    """One question about the wheel end or the brake system."""

    id: AxisId = Field(description="Name of the question.", examples=["rotor"])
    of: Literal["end", "vehicle"] = Field(description="Asked of an axle end or of the whole vehicle.", examples=["end"])
    label: Text = Field(description="Its heading.", examples=["Rotor mounting"])
    question: Text = Field(description="What is asked.", examples=["How does the rotor come off?"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    values: list[AxisValue] = Field(
        min_length=2,
        description="The answers.",
        examples=[
            "[{id: hub, label: rotor in one piece with its hub, look: The bearing sits in it.}, {id: slip-on, label: slip-on rotor, look: It lifts off the studs.}]"
        ],
    )


class Contradiction(Entry):
    """A layout that does not exist, with the reason."""

    when: When = Field(description="The layout that does not exist.", examples=["{rotor: slip-on, bearing: tapered-roller}"])
    say: Text = Field(description="Why it does not.", examples=["A slip-on rotor has no bearing in it."])


class LayoutFile(Entry):
    axes: list[Axis] = Field(description="The questions, in the order in which they are asked.", examples=["[]"])
    impossible: list[Contradiction] = Field(description="Layouts that do not exist.", examples=["[]"])


# ---- shared lists -----------------------------------------------------------------------------------------------


class Component(Replaceable):
    """A part, fastener, hydraulic joint, tool or supply, by the name used throughout."""

    id: Id = Field(description="Name by which steps call it.", examples=["split-pin"])
    label: Text = Field(description="What the reader reads.", examples=["split pin"])
    kind: Literal["part", "fastener", "joint", "tool", "supply"] = Field(description="What it is.", examples=["part"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )
    term: Id | None = Field(None, description="The glossary entry with its synonyms.", examples=["cotter-pin"])
    note: Text | None = Field(None, description="Size, range, grade or how it is bought.", examples=["0.01 mm"])
    torque: SheetRef | None = Field(None, description="Fasteners: the sheet value of the final torque.", examples=["end.spindle_nut.seat"])
    sold: Text | None = Field(None, description="Parts: bought by side, by axle, as an assembly.", examples=["by axle"])
    holds_pistons: Literal["true"] | None = Field(
        None, description="With it off, pressure pushes a piston out of its bore.", examples=["true"]
    )


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


class UsualShare(Entry):
    """What part of another value a value usually is."""

    of: FieldPath = Field(description="The other value.", examples=["rotor.new"])
    least: Text = Field(description="The least part, as a fraction.", examples=["0.80"])
    most: Text = Field(description="The greatest part, as a fraction.", examples=["0.98"])


class SheetField(Replaceable):
    """A value that a vehicle sheet can hold; declared once, used everywhere by its path."""

    id: FieldPath = Field(description="Name of the value, by points and underscores.", examples=["rotor.discard"])
    of: Literal["end", "vehicle"] = Field(description="A value of an axle end or of the whole vehicle.", examples=["end"])
    label: Text = Field(description="What the reader reads.", examples=["Rotor discard thickness"])
    units: list[Text] = Field([], description="Metric first; empty for counts and text.", examples=["[mm, in]"])
    band: Text | None = Field(
        None,
        description="The handbook's band of figures that are usual and that can be. Left out, any figure is taken.",
        examples=["rotor thickness"],
    )
    under: list[FieldPath] = Field([], description="Values that this one must be less than.", examples=["[rotor.new]"])
    not_over: list[FieldPath] = Field([], description="Values that this one must not be more than.", examples=["[rotor.machine_to]"])
    usual_share: UsualShare | None = Field(
        None, description="What part of another value it usually is.", examples=['{of: rotor.new, least: "0.80", most: "0.98"}']
    )
    question: Text = Field(description="Where to find it.", examples=["What is stamped on the rotor?"])
    when: When = Field(
        None, description="Only for these layouts: answers to layout questions. Left out means always.", examples=["{rotor: slip-on}"]
    )

    @property
    def path(self) -> str:
        return f"{self.of}.{self.id}"


Amount = Annotated[str, StringConstraints(pattern=_AMOUNT)]
RuleRef = Annotated[str, StringConstraints(pattern=_RULE)]


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
    def _one_kind(self):
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


class Term(Replaceable):
    """A glossary entry: the preferred term, its synonyms, and what it means."""

    id: Id = Field(description="Name of the entry.", examples=["cotter-pin"])
    term: Text = Field(description="The word the handbook uses.", examples=["cotter pin"])
    american: list[Text] = Field([], description="What else it is called in America.", examples=["[cotter key]"])
    british: list[Text] = Field([], description="What it is called in Britain.", examples=["[split pin]"])
    meaning: Text = Field(description="What it is.", examples=["A pin of folded wire that locks a castle nut."])
    not_to_be_confused: list[Text] = Field([], description="What it is not.", examples=['["Clevis pin: carries a load."]'])


# ---- reference pages --------------------------------------------------------------------------------------------


class ReferenceItem(Entry):
    """One kind of part, or one subject, on a reference page."""

    id: Id = Field(description="Name of the item.", examples=["slip-on"])
    name: Text = Field(description="What it is called.", examples=["slip-on rotor"])
    drawing: Id | None = Field(None, description="Drawing in docs/drawings.", examples=["rotor-slip-on"])
    look: Text | None = Field(None, description="What the technician sees that tells it apart.", examples=["It lifts off the studs."])
    points: list[Text] = Field(
        min_length=1, description="What to know about it, a fact a line.", examples=["[It is held by the wheel nuts alone.]"]
    )
    never: list[Text] = Field(
        [], description="What is not done with it, with the reason.", examples=['["Never hammered on the band: it cracks."]']
    )
    procedures: Ids = Field([], description="Where the work on it stands.", examples=["[fit-slip-on-rotor]"])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )


class Table(Entry):
    """A table of figures or facts: written out with its sources, or worked out from the calculators' own data."""

    id: Id = Field(description="Name of the table.", examples=["our-tools"])
    caption: Text = Field(description="Its heading.", examples=["Our measuring tools"])
    computed: Id | None = Field(
        None, description="Name of a table that build_tools/content/computed_tables.py works out.", examples=["unit-conversion"]
    )
    columns: list[Text] = Field([], description="Headings of the columns.", examples=["[Tool, Where]"])
    rows: list[list[Text]] = Field([], description="The rows, an entry for each column.", examples=["[[Micrometer, drawer 2]]"])
    note: Text | None = Field(None, description="A line below it.", examples=["Checked every January."])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )

    @model_validator(mode="after")
    def _whole(self):
        if (self.computed is None) == (not self.rows):
            raise mistake("E117", "A table holds either rows with their columns, or 'computed'.", "{columns: [Tool], rows: [[Micrometer]]}")
        if any(len(row) != len(self.columns) for row in self.rows):
            number, row = next((number, row) for number, row in enumerate(self.rows, 1) if len(row) != len(self.columns))
            raise mistake(
                "E117",
                f"Row {number} has {len(row)} of the {len(self.columns)} entries that the columns ask for.",
                "columns: [Tool, Place]\nrows: [[Micrometer, drawer 2]]",
            )
        return self


class ReferencePage(Entry):
    """A page to look things up in: kinds of parts, tables, or safety."""

    id: Id = Field(description="Name of the page; the file's name.", examples=["rotors"])
    title: Text = Field(description="Its title.", examples=["Rotors"])
    group: Literal["parts", "tables", "safety"] = Field(description="Where it stands in the menu.", examples=["parts"])
    purpose: Text = Field(description="What it is for.", examples=["Tell one kind of rotor from another."])
    items: list[ReferenceItem] = Field([], description="What stands on it.", examples=["[]"])
    tables: list[Table] = Field([], description="Its tables.", examples=["[]"])
    cautions: Ids = Field([], description="Ids of safety messages.", examples=["[brake-dust]"])
    sources: SourceRefs = Field(
        description="Where it comes from: ids of sources, `common-practice` or `memory`.", examples=["common-practice"]
    )

    @model_validator(mode="after")
    def _filled(self):
        if not self.items and not self.tables:
            raise mistake(
                "E116",
                "A page to look things up in holds items or tables.",
                "items: [{id: slip-on, name: slip-on rotor, points: [It slides off.], sources: common-practice}]",
            )
        return self


# ---- procedures -------------------------------------------------------------------------------------------------


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
    def _one_way(self):
        if self.back and not self.go:
            raise mistake(
                "E115", "The entry back belongs to an outcome that goes to another job.", "{go: reservoir-ran-dry/stop-work, back: true}"
            )
        if sum(way is not None for way in (self.go, self.again, self.stop)) != 1:
            raise mistake("E115", "An outcome leads one way: it holds exactly one of go, again and stop.", "{again: true}")
        return self


class Hold(Entry):
    """A step that waits: it stays locked until the named steps are done."""

    until: Annotated[list[StepRef], BeforeValidator(_as_list, json_schema_input_type=list[StepRef] | StepRef)] = Field(
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
    fields: dict[Annotated[str, StringConstraints(pattern=_INPUT)], Text] = Field(
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
    means: dict[Id, dict[Id, Annotated[list[Action], BeforeValidator(_as_list, json_schema_input_type=list[Action] | Action)]]] = Field(
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
    def _one_kind(self):
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
"""All that is made safe before the engine is started, in words."""
Secured = Annotated[list[Secures], BeforeValidator(_as_list, json_schema_input_type=list[Secures] | Secures)]
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
    show: Annotated[list[SheetRef], BeforeValidator(_as_list, json_schema_input_type=list[SheetRef] | SheetRef)] = Field(
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
    def _one_kind(self):
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
    conditions: filled(Text) = Field(
        description="What must be so before it starts, or `none`.", examples=["[The vehicle is on stands on firm, level ground.]"]
    )
    tools: filled(Id) = Field(description="Ids of tools, or `none`.", examples=["[torque-wrench, sockets]"])
    supplies: filled(Id) = Field(description="Ids of supplies, or `none`.", examples=["none"])
    cautions: filled(Id) = Field(description="Ids of safety messages for the whole page, or `none`.", examples=["[vehicle-falls]"])
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
    def _diagnosis(self):
        if (self.kind == "diagnosis") != bool(self.stop_driving and self.also):
            raise mistake(
                "E116",
                "A job of kind diagnosis needs both 'stop_driving' and 'also'; another job has neither.",
                "kind: diagnosis\nstop_driving: The pedal sinks to the floor.\nalso: [A hose that is soft inside.]",
            )
        return self

    @model_validator(mode="after")
    def _approved(self):
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


# ---- vehicles ---------------------------------------------------------------------------------------------------


class EndSheet(Entry):
    """One axle of a vehicle: its layout and its values."""

    layout: dict[AxisId, Id] = Field(
        description="Answers to layout questions, for this axle.", examples=["{rotor: slip-on, caliper: sliding-one-piston}"]
    )
    values: dict[FieldPath, Sourced] = Field(
        {},
        description="Figures of this axle, each with unit and source.",
        examples=['{rotor.discard: {value: "22.4", unit: mm, source: stamped on the rotor}}'],
    )


class Vehicle(Replaceable):
    """The sheet of one vehicle; stock vehicles are invented."""

    id: Id = Field(description="Name of the sheet; the file's name.", examples=["red-van"])
    name: Text = Field(description="What the reader reads.", examples=["Red van (invented)"])
    invented: bool = Field(False, description="True where no real vehicle is meant.", examples=["true"])
    note: Text | None = Field(None, description="A line about it.", examples=["Long wheelbase."])
    vin: Text | None = Field(None, description="Its identification number, in quotes.", examples=['"11111111111111111"'])
    layout: dict[AxisId, Id] = Field(
        {}, description="Answers to layout questions, for the whole vehicle.", examples=["{abs: conventional}"]
    )
    values: dict[FieldPath, Sourced] = Field(
        {},
        description="Figures of the whole vehicle, each with unit and source.",
        examples=['{wheel_nut.torque: {value: "120", unit: N·m, source: "maker\'s manual, page and edition"}}'],
    )
    front: EndSheet | None = Field(None, description="The front axle.", examples=["{layout: {rotor: slip-on}}"])
    rear: EndSheet | None = Field(None, description="The rear axle.", examples=["{layout: {rotor: slip-on}}"])


class Shop(Entry):
    """Whose pages stand beside the stock ones."""

    name: Text = Field(description="The shop's name, as it stands on its pages.", examples=["Example shop (invented)"])
    units: Literal["metric", "inch"] = Field("metric", description="The units the shop thinks in.", examples=["metric"])
    rules: list[Text] = Field(
        [],
        description="House rules, a line each; they stand on the first page.",
        examples=["[A second person looks at every final torque.]"],
    )
    contact: Text | None = Field(None, description="Whom to ask about the shop's pages.", examples=["The shop lead, in the office"])
    note: Text | None = Field(
        None, description="For whoever looks after this folder; stands on no page.", examples=["Copied from the old binder."]
    )


class PageHead(Entry):
    """What may stand between two lines of --- at the top of a plain page."""

    state: Literal["draft", "approved"] = Field(
        "draft", description="A draft says on the page that nobody has approved it yet.", examples=["approved"]
    )
    date: Date | None = Field(None, description="Day of the newest wording, year first.", examples=["2026-11-27"])
    reason: Text | None = Field(None, description="What is new in it.", examples=["First issue."])
    approver: Text | None = Field(None, description="Who approved it.", examples=["shop lead"])

    @model_validator(mode="after")
    def _approved(self):
        if self.state == "approved" and not (self.date and self.approver):
            raise mistake("S112", "An approved page names date and approver.", "{state: approved, date: 2026-11-27, approver: shop lead}")
        return self
