"""The job record: what one entry and one saved job file hold, and how a file is read without trusting it.

The page appends and saves (docs/scripts/core/entries.js, job-file.js); this schema owns the form. The checksum is SHA-256
over the canonical JSON (RFC 8785) of everything but itself, so that page and Python agree to the byte.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import math
import re
from decimal import Decimal
from typing import Annotated, Any, Literal, NoReturn, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import ErrorDetails

FORMAT = "wheel-end-job/1"
LARGEST_FILE = 20_000_000  # characters
MOST_ENTRIES = 20_000
DEEPEST = 8
LONGEST_TEXT = 4_000
EXAMPLE = "job-2026-11-25-demo-a.json, saved by the page with «Save to a file»"

PLACES = ("LF", "RF", "LR", "RR", "front", "rear", "vehicle")
KINDS = (
    "done",
    "result",
    "torque",
    "finding",
    "text",
    "not-applicable",
    "override",
    "verified",
    "timed",
    "called-away",
    "back",
    "complete",
    "withdrawn",
    "layout",
    "vehicle",
)
WITH_STEP = {"done", "result", "torque", "finding", "text", "not-applicable", "override", "verified", "timed"}
OF_ANOTHER = {"withdrawn": "withdraws", "verified": "verifies"}  # kinds that name another entry in `typed`
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,3})?([+-]\d\d:\d\d|Z)", re.ASCII)
_KEY = re.compile(r"[A-Za-z0-9_.:-]{1,80}", re.ASCII)


class JobFileError(ValueError):
    """A file is no whole job file. The message is one line; `place` is where in the file, such as `entries[3].place`."""

    def __init__(self, message: str, place: str = ""):
        self.place = place
        super().__init__(message)


def _time(text: str) -> str:
    if not _TIME.fullmatch(text):
        raise ValueError("expected a time with its offset, such as 2026-11-25T14:05:00+01:00")
    datetime.datetime.fromisoformat(text)
    return text


def _plain(value: Any, depth: int = 1) -> Any:
    """Only what a person typed and a calculator answered: shallow, short, with plain keys."""
    if depth > DEEPEST:
        raise ValueError(f"nested deeper than {DEEPEST} levels")
    if isinstance(value, dict):
        for key, item in value.items():
            if not isinstance(key, str) or not _KEY.fullmatch(key):
                raise ValueError(f"the key {str(key)[:40]!r} is not made of letters, digits and _ . : -")
            _plain(item, depth + 1)
    elif isinstance(value, list):
        if len(value) > 1_000:
            raise ValueError("a list of more than 1000 items")
        for item in value:
            _plain(item, depth + 1)
    elif isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise ValueError(f"a text of more than {LONGEST_TEXT} characters")
        value.encode()  # a lone surrogate is a UnicodeEncodeError, which is a ValueError
    elif isinstance(value, (int, float)):
        # Beyond 2^53 a whole number is not the same in every program that reads it (RFC 8259, 6).
        if (isinstance(value, float) and not math.isfinite(value)) or (value == int(value) and abs(value) >= 2**53):
            raise ValueError("a number that is not finite, or a whole number too large to be exact")
    elif value is not None:
        raise ValueError(f"unexpected {type(value).__name__}")
    return value


Hex32 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)]
Time = Annotated[str, AfterValidator(_time), WithJsonSchema({"type": "string", "format": "date-time"})]
Line = Annotated[str, StringConstraints(max_length=200)]
Plain = Annotated[dict[str, Any], AfterValidator(_plain)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, populate_by_name=True)


class Verdict(_Strict):
    """What the entry was judged to be: a calculator's verdict code, or the outcome that was chosen."""

    code: Slug = Field(examples=["within"])
    text: Annotated[str, StringConstraints(max_length=LONGEST_TEXT)]


class JobEntry(_Strict):
    """One thing that was done, read, judged or withdrawn. It copies what it was judged by and is never changed."""

    id: Hex32
    job: Hex32
    time: Time = Field(examples=["2026-11-25T14:05:00.000+01:00"])
    procedure: Slug | None = Field(description="The page it was entered on.", examples=["front-brake-service"])
    revision: Annotated[int, Field(ge=1, le=1_000_000)] | None
    build: Line
    step: Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+/[a-z0-9-]+$", max_length=160)] | None = Field(
        description="Home address.", examples=["set-bearing/read-end-play"]
    )
    hash: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{12}$")] | None = Field(description="Of the step's content.")
    place: Literal[PLACES] | None  # type: ignore[valid-type]
    try_: int = Field(alias="try", ge=1, le=1_000)
    kind: Literal[KINDS]  # type: ignore[valid-type]
    typed: Plain = Field(description="As the person typed or chose it.")
    understood: Plain = Field(description="What a calculator read and computed.")
    limits: Plain = Field(description="What it was judged by: sheet values with their sources.")
    verdict: Verdict | None
    by: Line
    note: Annotated[str, StringConstraints(max_length=LONGEST_TEXT)]

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Self:
        if self.kind in WITH_STEP and (self.step is None or self.place is None):
            raise ValueError(f"an entry of kind {self.kind} names its step and its place")
        if self.kind in ("override", "not-applicable") and not self.note.strip():
            raise ValueError(f"an entry of kind {self.kind} gives its reason in `note`")
        key = OF_ANOTHER.get(self.kind)
        if key and not re.fullmatch(r"[0-9a-f]{32}", str(self.typed.get(key, ""))):
            raise ValueError(f"an entry of kind {self.kind} names the entry in `typed.{key}`")
        if self.kind == "layout" and not _texts(self.typed.get("layout")):
            raise ValueError("an entry of kind layout holds axis: value in `typed.layout`")
        if self.kind == "vehicle" and not _sourced(self.typed.get("values")):
            raise ValueError("an entry of kind vehicle holds path: {value, unit, source} in `typed.values`")
        return self


def _texts(value: Any) -> bool:
    return isinstance(value, dict) and all(isinstance(item, str) for item in value.values())


def _sourced(value: Any) -> bool:
    return isinstance(value, dict) and all(
        isinstance(item, dict)
        and set(item) == {"value", "unit", "source"}
        and isinstance(item["value"], str)
        and isinstance(item["source"], str)
        and (item["unit"] is None or isinstance(item["unit"], str))
        for item in value.values()
    )


class Job(_Strict):
    """One vehicle's visit. What it is called never changes; everything else about it is in its entries."""

    id: Hex32
    name: Annotated[str, StringConstraints(min_length=1, max_length=200)] = Field(examples=["Demo A 2026-11-25"])
    vehicle: Line
    started: Time


class JobFile(_Strict):
    """A job as it is saved to a file."""

    format: Literal["wheel-end-job/1"]
    checksum: Annotated[str, StringConstraints(pattern=r"^sha256:[0-9a-f]{64}$")]
    job: Job
    entries: Annotated[list[JobEntry], Field(max_length=MOST_ENTRIES)]

    @model_validator(mode="after")
    def _belongs_together(self) -> Self:
        seen: set[str] = set()
        for number, entry in enumerate(self.entries):
            if entry.job != self.job.id:
                raise ValueError(f"entries[{number}] belongs to another job")
            if entry.id in seen:
                raise ValueError(f"entries[{number}] repeats an id")
            seen.add(entry.id)
        return self


def read_job(text: str) -> JobFile:
    """The job in a saved file. Raises JobFileError, with one line, unless the whole file is sound."""
    if len(text) > LARGEST_FILE:
        raise JobFileError(f"The file is larger than {LARGEST_FILE // 1_000_000} MB. A job file is {EXAMPLE}.")
    try:
        raw = json.loads(text, parse_constant=_refuse_constant)
    except RecursionError:
        raise JobFileError(f"The file is nested too deeply. A job file is {EXAMPLE}.") from None
    except ValueError as error:
        at = f" (line {error.lineno}, column {error.colno})" if isinstance(error, json.JSONDecodeError) else ""
        raise JobFileError(f"The file was cut off, or is something else than a saved job{at}. A job file is {EXAMPLE}.") from None
    if other := _other_make(raw):
        raise JobFileError(other, "format")
    if not isinstance(raw, dict) or raw.get("format") != FORMAT:
        raise JobFileError(f'The file is no job file: it does not say "format": "{FORMAT}". A job file is {EXAMPLE}.')
    try:
        job_file = JobFile.model_validate(raw)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = _place(first["loc"])
        message = _in_words(first)
        raise JobFileError(f"{place}: {message}" if place else message, place) from None
    if checksum(raw) != job_file.checksum:
        raise JobFileError("The checksum does not match: the file was changed or damaged after it was saved.", "checksum")
    return job_file


def _other_make(raw: Any) -> str:
    """That a job file is of a newer or an older make than this handbook reads; empty where it is of this one, or no job file."""
    kind, _, ours = FORMAT.partition("/")
    said = raw.get("format") if isinstance(raw, dict) else None
    theirs = re.fullmatch(rf"{kind}/([0-9]{{1,6}})", said, re.ASCII) if isinstance(said, str) else None
    if theirs is None or said == FORMAT:
        return ""
    if int(theirs[1]) > int(ours):
        return f"The file is of a newer make ({said}) than this handbook reads ({FORMAT}). Open it with the handbook that saved it, or use that version here."
    return f"The file is of an older make ({said}) than this handbook reads ({FORMAT}). Open it with the handbook that saved it, and save it again with one in between."


_WORDS = {
    "missing": "is missing",
    "extra_forbidden": "does not belong in a job file",
    "string_type": "is no text",
    "string_pattern_mismatch": "is not written as the page writes it",
    "string_too_long": "is too long",
    "list_type": "is no list",
    "dict_type": "does not hold entries with names",
    "model_type": "does not hold entries with names",
    "int_type": "is no whole number",
    "bool_type": "is neither true nor false",
    "too_long": "has too many entries",
}


def _in_words(error: ErrorDetails) -> str:
    """What is wrong at a place of a job file, in words of a shop."""
    if error["type"] == "literal_error":
        return f"is none of {error['ctx']['expected']}"
    return _WORDS.get(error["type"], error["msg"].removeprefix("Value error, "))


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no JSON")


def _place(location: tuple[int | str, ...]) -> str:
    place = ""
    for part in location:
        place += f"[{part}]" if isinstance(part, int) else f".{part}" if place else str(part)
    return place


def json_schema() -> dict[str, Any]:
    """The JSON Schema of a job file."""
    return JobFile.model_json_schema(by_alias=True)


def checksum(raw: dict[str, Any]) -> str:
    """`sha256:` and the hex digest over a file's canonical JSON without its checksum."""
    content = {key: value for key, value in raw.items() if key != "checksum"}
    return "sha256:" + hashlib.sha256(canonical(content).encode()).hexdigest()


def canonical(value: Any) -> str:
    """Canonical JSON by RFC 8785: no spaces, keys by UTF-16 units, numbers as ECMAScript writes them."""
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
        return "{" + ",".join(f"{json.dumps(key, ensure_ascii=False)}:{canonical(value[key])}" for key in keys) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _number(value)
    return json.dumps(value, ensure_ascii=False)


def _number(value: float) -> str:
    """A double as ECMAScript's Number::toString writes it (ECMA-262, 6.1.6.1.20)."""
    value = float(value)
    if value == 0:
        return "0"
    sign, digits, exponent = Decimal(repr(value)).normalize().as_tuple()
    text = "".join(map(str, digits))
    point = int(exponent) + len(text)
    if len(text) <= point <= 21:
        text = text.ljust(point, "0")
    elif 0 < point <= 21:
        text = f"{text[:point]}.{text[point:]}"
    elif -6 < point <= 0:
        text = f"0.{'0' * -point}{text}"
    else:
        fraction = f".{text[1:]}" if len(text) > 1 else ""
        text = f"{text[0]}{fraction}e{point - 1:+d}"
    return f"-{text}" if sign else text
