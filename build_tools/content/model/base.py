"""What the handbook knows, as types. pydantic checks content, makes the JSON Schema, and is the one place that says
what a file may hold.

Every scalar arrives as text (build_tools/content/load.py), so 012, 1:30, no, 3.10 and 0.010 stay what their author wrote;
the types here decide what becomes a number."""

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
    Field,
    StringConstraints,
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

_AXIS, STEP, ADDRESS, TIME, FIELD, _SHEET, AMOUNT, RULE, INPUT, _HASH = [form.pattern for form in _FORM_LIST[1:]]


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
        found = re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", raw)
        try:
            if found:
                return datetime.date(*map(int, found.groups()))
        except ValueError:
            pass
        raise mistake(
            "E110", f"{quoted(raw)} is not a date of the form year-month-day, in figures joined by hyphens.", f"date: {_as_date(raw)}"
        )
    return raw


Id = Annotated[str, StringConstraints(pattern=ID)]

AxisId = Annotated[str, StringConstraints(pattern=_AXIS)]

Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]

Date = Annotated[datetime.date, BeforeValidator(_date)]

SheetRef = Annotated[str, StringConstraints(pattern=_SHEET)]

_Conditions = dict[str, Any] | list[dict[str, Any]]

When = Annotated[list[dict[str, Any]] | None, BeforeValidator(_condition, json_schema_input_type=_Conditions)]


def as_list(raw: object) -> object:
    return [raw] if isinstance(raw, str) else raw


Ids = Annotated[list[Id], BeforeValidator(as_list, json_schema_input_type=list[Id] | Id)]


class Entry(BaseModel):
    """Base of everything that stands in a file: unknown keys are mistakes."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Hash = Annotated[str, StringConstraints(pattern=_HASH)]


def content_hash(item: BaseModel, leave_out: set[str] | frozenset[str] | dict[str, Any] = frozenset()) -> str:
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
