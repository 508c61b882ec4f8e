"""A shop's own calculators: Python files with the declaration that the handbook's own have.

They join the catalogue of the handbook that was loaded, and travel in the page's pack as the package `shop_calculators`.
Their code runs in a process of its own (shop_calculator_watch) and in the page, never in this one: here stands what
they declare, rebuilt from data. Nothing is ever written beside them, and nothing in this process changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NoReturn

from pydantic import BaseModel, ConfigDict, ValidationError

import calculators
from build_tools.content.problems import ContentError, Fault, Problem, one_line, quoted
from calculators.contract.declaration import Calculator, Example
from calculators.contract.inputs import HalfLastDigit, Input
from calculators.contract.result import Decided, Limit, PrintedValue, Result, Value, Verdict
from calculators.contract.sources import Source

PACKAGE = calculators.SHOP
NOT_DATA = Fault("K109", "What the calculator declares is not plain text and numbers.")
MOST_SAID = 20  # mistakes of one file


@dataclass(frozen=True)
class ShopCalculator(Calculator):
    """What a shop's calculator declares. It calculates in the page, and not here."""

    worked: Result = field(repr=False, kw_only=True)

    def run(self, /, system: str = "metric", **given: Any) -> NoReturn:
        raise NotImplementedError(f"{self.name} is a shop's own calculator: it runs in the page")

    def worked_example(self) -> Result:
        """The worked example as the calculator's own process worked it out."""
        return self.worked


def read_all(files: Mapping[str, tuple[str, str]]) -> dict[str, ShopCalculator]:
    """The calculators of these files, by name: module → (its file for the reader, its text). ContentError holds every mistake."""
    taken: dict[str, ShopCalculator] = {}
    problems: list[Problem] = []
    for module, (file, text) in files.items():
        try:
            made = _taken(module, file, text)
            taken[made.name] = made
        except ContentError as error:
            problems += error.problems
    if problems:
        raise ContentError(problems)
    return taken


def packed(files: Mapping[str, tuple[str, str]]) -> dict[str, bytes]:
    """The same calculators as files of the page's pack."""
    if not files:
        return {}
    start = f"MODULES = {tuple(files)!r}\n"
    return {f"{PACKAGE}/__init__.py": start.encode(), **{f"{PACKAGE}/{module}.py": text.encode() for module, (_, text) in files.items()}}


def _taken(module: str, name: str, text: str) -> ShopCalculator:
    """Have one file run, and rebuild what it declares. Raises ContentError."""
    if module in calculators.MODULES or not module.isidentifier() or module != module.lower():
        says = f"{quoted(module)} cannot name a calculator of the shop."
        expected = "lower case words joined by _, and none of the handbook's names"
        raise _refused(name, Fault("K101", says, "calculators/our_lever.py", expected=expected))
    from build_tools.content.shop import shop_calculator_watch as watch  # the page writer's Python has no processes

    answer = watch.answer(module, name, text)
    if isinstance(answer, Fault):
        raise _refused(name, answer)
    try:
        data = watch.problems_or_data(answer)
        if "problems" not in data:
            return _rebuilt(module, data)
        problems = list(_said(name, data["problems"]))
    except (ValidationError, ValueError, TypeError, LookupError):
        problems = []
    raise ContentError(problems) if problems else _refused(name, NOT_DATA)


def _refused(name: str, fault: Fault) -> ContentError:
    """The one mistake of a whole file."""
    return ContentError([Problem(name, 1, 1, *fault[:5])])


# ---- from data: what comes back was written by a process in which a shop's code ran -------------------------------


class _Data(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _Said(_Data):
    problems: list[tuple[int, int, str, str, str, str, str]]


class _Half(_Data):
    of: str
    and_of: str


class _Input(_Data):
    units: list[str]
    help: str
    band: str
    label: str
    kind: str
    negative: bool
    sets_decimals: bool
    default: str | _Half | None
    only_if: list[str | int | None] | None
    choices: list[str]
    also: list[str]
    without: str
    examples: list[str]
    reader: bool
    name: str
    type: str
    is_list: bool
    required: bool

    def rebuilt(self) -> Input:
        data = {name: getattr(self, name) for name in type(self).model_fields}
        default = HalfLastDigit(self.default.of, self.default.and_of) if isinstance(self.default, _Half) else self.default
        return Input(**data | {"default": default, "reader": str if self.reader else None, "only_if": self.only_if and tuple(self.only_if)})


class _Value(_Data):
    name: str
    unit: str
    label: str
    digits: str
    is_list: bool
    shown_in: list[str] | None
    before: str
    signed: list[str] | None
    alone: bool


class _Source(_Data):
    id: str
    title: str
    edition: str
    kind: str
    place: str


class _Example(_Data):
    given: dict[str, str]
    printed: dict[str, str]
    where: str
    system: str


class _Echo(_Data):
    typed: str
    value: str | int | float
    unit: str
    text: str
    other: str
    default: bool = False


class _Printed(_Data):
    value: Any
    unit: str
    text: str


class _Verdict(_Data):
    code: str
    text: str


class _Limit(_Data):
    name: str
    label: str
    value: int | float
    unit: str
    text: str


class _Decided(_Data):
    quantity: str
    label: str
    value: int | float
    unit: str
    text: str
    limits: list[_Limit]

    def rebuilt(self) -> Decided:
        return Decided(self.quantity, self.label, self.value, self.unit, self.text, [Limit(**limit.model_dump()) for limit in self.limits])


class _Worked(_Data):
    calculator: str
    inputs: dict[str, _Echo | list[_Echo]]
    values: dict[str, _Printed]
    verdict: _Verdict | None
    notes: list[str]
    figure: None
    decided: list[_Decided]

    def rebuilt(self) -> Result:
        values = {name: PrintedValue(value.value, value.unit, value.text) for name, value in self.values.items()}
        verdict = Verdict(self.verdict.code, self.verdict.text) if self.verdict else None
        return Result(
            self.calculator, self.model_dump()["inputs"], values, verdict, self.notes, decided=[one.rebuilt() for one in self.decided]
        )


class _Declared(_Data):
    name: str
    title: str
    purpose: str
    formula: list[str]
    limits_of_model: list[str]
    cautions: list[str]
    sources: list[_Source]
    values: list[_Value]
    example: _Example
    inputs: list[_Input]
    quantities: dict[str, list[_Input]]
    worked: _Worked
    described: dict[str, Any]


def _said(name: str, data: Any) -> Iterator[Problem]:
    for line, column, code, message, example, expected, written in _Said(problems=[tuple(each) for each in data]).problems[:MOST_SAID]:
        yield Problem(
            name, max(1, line), max(1, column), code if code in _CODES else "K105", one_line(message), example, "", expected, written
        )


_CODES = ("K102", "K103", "K104", "K105", "K107", "K108", "K109")


def _rebuilt(module: str, data: dict[str, Any]) -> ShopCalculator:
    """The calculator that these data declare. Raises ValueError, TypeError or LookupError where they declare none."""
    found = _Declared.model_validate(data)
    inputs = {spec.name: spec.rebuilt() for spec in found.inputs}
    by_quantity = {kind: {spec.name: spec.rebuilt() for spec in specs} for kind, specs in found.quantities.items()}
    made = ShopCalculator(
        name=found.name,
        title=found.title,
        purpose=found.purpose,
        inputs=inputs,
        values={value.name: Value(**value.model_dump()) for value in found.values},
        formula=found.formula,
        limits_of_model=found.limits_of_model,
        sources=[Source(**source.model_dump()) for source in found.sources],
        example=Example(**found.example.model_dump()),
        cautions=found.cautions,
        function=ShopCalculator.run,
        worked=found.worked.rebuilt(),
        inputs_for=(lambda given, usual: by_quantity.get(given.get("quantity", ""), usual)) if by_quantity else None,
    )
    if (
        made.name != module.replace("_", "-")
        or made.describe() != found.described
        or not {*found.worked.inputs, *found.worked.values} <= {*inputs, *made.values}
    ):
        raise ValueError
    return made
