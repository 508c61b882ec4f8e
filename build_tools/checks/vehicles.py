"""The rules of a vehicle sheet."""

from __future__ import annotations

from collections.abc import Iterator

from build_tools.checks import sheet_values
from build_tools.checks.names import condition_faults, unknown_name, with_example
from build_tools.content.handbook import Handbook
from build_tools.content.model import (
    EndSheet,
    SheetField,
    Sourced,
    Vehicle,
)
from build_tools.content.problems import Fault, Problem, nearest, one_of, quoted
from build_tools.content.when import holds
from build_tools.content.yaml_reader import Loc
from calculators import named
from calculators.contract.bands import BANDS
from calculators.contract.entries import read_entry, split_list
from calculators.contract.errors import EntryError
from calculators.contract.judge import BEYOND
from calculators.contract.numerals import NumberQuestion
from calculators.contract.units import kind_of, unit_named


def vehicle_problems(handbook: Handbook, vehicle: Vehicle) -> Iterator[Problem]:
    def problem(loc: Loc, *fault: str) -> Problem:
        return handbook.problem("vehicles", vehicle.id, loc, *fault)

    if ("vehicles", vehicle.id) not in handbook.from_shop and not vehicle.invented:
        yield problem((), "V101", "A vehicle of the handbook must be invented and say so.", "invented: true")
    for loc, sheet, scope in _sheets(vehicle):
        for axis, value in sheet.layout.items():
            yield from (problem((*loc, "layout", axis), *fault) for fault in condition_faults(handbook, [{axis: [value]}]))
        for path, sourced in sheet.values.items():
            field = handbook.fields.get(f"{scope}.{path}")
            if field is None:
                known = [f.id for f in handbook.fields.values() if f.of == scope]
                yield problem(
                    (*loc, "values", path),
                    *with_example(unknown_name(handbook, "N107", path, "value of a sheet", known), _some_value(handbook, scope)),
                )
            elif fault := _value_fault(field, sourced):
                yield problem((*loc, "values", path, "value"), *fault)
            elif (field.units or sourced.unit) and sourced.unit not in field.units:
                yield problem((*loc, "values", path, "unit"), *_unit_fault(field, sourced))
    if ("vehicles", vehicle.id) not in handbook.from_shop:
        yield from _figures(handbook, vehicle)
    for loc, vin in _vins(vehicle):
        if why := _vin_fault(vin):
            yield problem(
                loc,
                "V103",
                why,
                'vin: {value: "11111111111111111", source: plate at the windscreen}' if "values" in loc else 'vin: "11111111111111111"',
            )
    for name, end in (("front", vehicle.front), ("rear", vehicle.rear)):
        layout = {**vehicle.layout, **(end.layout if end else {}), "axle": name}
        for wrong in handbook.impossible if end else ():
            if holds(wrong.when, layout):
                yield problem(
                    (name, "layout"), "V104", f"This layout does not exist: {wrong.say}", "layout: {rotor: slip-on, bearing: hub-unit}"
                )


def _sheets(vehicle: Vehicle) -> Iterator[tuple[Loc, Vehicle | EndSheet, str]]:
    """The vehicle's own layout and values, then those of its ends: where they stand, they themselves, and what they are of."""
    yield (), vehicle, "vehicle"
    yield from (((name,), end, "end") for name, end in (("front", vehicle.front), ("rear", vehicle.rear)) if end)


def _figures(handbook: Handbook, vehicle: Vehicle) -> Iterator[Problem]:
    """Figures of a sheet that cannot be, contradict each other, or are rare without a reason."""
    for loc, sheet, scope in _sheets(vehicle):
        fields = {field.id: field for field in handbook.fields.values() if field.of == scope}
        for path, fault in sheet_values.faults(fields, sheet.values):
            yield handbook.problem("vehicles", vehicle.id, (*loc, "values", path, "value"), *fault)


def sheet_notices(handbook: Handbook) -> list[Problem]:
    """What is odd about the figures of a shop's own sheets. For one release they are notices, and mistakes from the next: a sheet written
    before figures were judged still builds, and no verdict rests on a figure that cannot be: the page leaves it out."""
    return sorted(
        problem for kind, key in handbook.from_shop if kind == "vehicles" for problem in _figures(handbook, handbook.vehicles[key])
    )


def _some_value(handbook: Handbook, scope: str) -> str:
    """A value of a sheet as it is written there."""
    field = next((field for field in handbook.fields.values() if field.of == scope and field.units), None)
    return _as_value(_figure_for(field), field, Sourced(value="1", source='"maker\'s manual, page and edition"')) if field else ""


def _value_fault(field: SheetField, sourced: Sourced) -> Fault | None:
    """What keeps a value from being read as one number or several; a value without units is any text."""
    if not field.units:
        return None
    unit = unit_named(field.units[0])
    try:
        entries = [read_entry(piece, kind_of(field.units[:1]), unit) for piece in split_list(sourced.value)]
    except NumberQuestion as question:
        read = [number.text for number in question.readings]
        return Fault(
            "V105",
            f"{field.label}: {quoted(sourced.value)} can be read as {' or as '.join(read)}.",
            "\n".join(_as_value(text, field, sourced) for text in read),
            expected="the one that stands at its source, with a point for decimals and nothing between thousands",
        )
    except ValueError as error:  # every fault of an entry
        why = str(error).rstrip(".")
        return Fault(
            "V105",
            f"{field.label}: {quoted(sourced.value)} cannot be read as a figure: {why}.",
            _as_value(_figure_for(field), field, sourced),
            expected="the figure alone, as the maker gives it, with a point for decimals",
        )
    if any(entry.unit_typed for entry in entries):
        bare = "; ".join(entry.number.text for entry in entries)
        return Fault(
            "V105",
            f"{field.label}: the unit in {quoted(sourced.value)} belongs in its own entry.",
            f"value: {bare}, unit: {sourced.unit or field.units[0]}",
        )
    return None


def _as_value(figure: str, field: SheetField, sourced: Sourced) -> str:
    """A value of this field as it stands in a sheet, with the author's own source."""
    return f'{field.id}: {{value: "{figure}", unit: {sourced.unit if sourced.unit in field.units else field.units[0]}, source: {sourced.source}}}'


def _figure_for(field: SheetField) -> str:
    """A figure that such a value can have; no specification of anything."""
    return next((figure for text in (BANDS[field.band].examples if field.band in BANDS else ()) if (figure := text.split()[0])), "…")


def _unit_fault(field: SheetField, sourced: Sourced) -> Fault:
    if not field.units:
        return Fault(
            "V102",
            f"{field.label}: no unit belongs to it, and it says {quoted(sourced.unit or '')}.",
            f"{{value: {sourced.value}, source: …}}",
        )
    example = f"{{value: {sourced.value}, unit: {field.units[0]}, source: {sourced.source}}}"
    if sourced.unit is None:
        return Fault("V102", f"{field.label}: the unit is missing.", example, expected=one_of(field.units))
    return Fault(
        "V102",
        f"{field.label}: the unit is {quoted(sourced.unit)}.",
        "",
        nearest(sourced.unit, field.units),
        one_of(field.units),
        field.units[0],
    )


def _vins(vehicle: Vehicle) -> Iterator[tuple[Loc, str]]:
    """The VINs of a sheet, with where they stand."""
    if vehicle.vin:
        yield ("vin",), vehicle.vin
    if "vin" in vehicle.values:
        yield ("values", "vin", "value"), vehicle.values["vin"].value


def _vin_fault(vin: str) -> str | None:
    """What is wrong with a VIN for certain; one whose position 9 is the maker's own is none."""
    try:
        verdict = named("vin-check").run(vin=vin).verdict
    except EntryError as error:
        return f"The VIN cannot be right: {error.message.rstrip('.')}."
    return f"The VIN cannot be right: {verdict.text.rstrip('.')}." if verdict and verdict.code == BEYOND else None
