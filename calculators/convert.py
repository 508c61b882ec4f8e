"""An entry in another unit, by exact factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any

from calculators.contract.declaration import Example, calculator
from calculators.contract.entries import typed_in
from calculators.contract.errors import Contradiction, UnreadableEntry
from calculators.contract.inputs import Input
from calculators.contract.result import CONVERTED, Answer, Value
from calculators.contract.sources import NIST_SP_811
from calculators.contract.units import UNITS_OF, Quantity, spelled, symbols_of, unit_named

# Threads before diameters: 3/4-16 is its pitch. Weights are forces read in kilograms, for entries of other calculators.
LEFT_OUT = ("pitch", "diameter", "weight")
KINDS = [kind for kind in UNITS_OF if kind not in LEFT_OUT and len(symbols_of(kind)) > 1] + ["pitch", "diameter"]
DIFFERENCES = "temperature difference"
SIGNED = ("length", "temperature", DIFFERENCES)
UNITS = list(dict.fromkeys(symbol for kind in KINDS for symbol in symbols_of(kind)))


def inputs_for(given: Mapping[str, Any], inputs: dict[str, Input]) -> dict[str, Input]:
    """The kind of entry that knows both units; where there is none, the kind of the entry alone says what fits.

    Lengths and driven distances are one here. Raises UnreadableEntry.
    """
    entry, to = given.get("entry"), spelled(str(given.get("to", "")))
    of_entry = [kind for kind in KINDS if typed_in(entry, kind)]
    of_target = [kind for kind in KINDS if to in UNITS_OF[kind]]
    if "temperature" in of_entry and of_target == [DIFFERENCES]:
        raise UnreadableEntry(
            f"{given['to']} is for differences; write the entry as one, for example 10 delta °C, or ask for °C or °F", input="to"
        )
    both = [kind for kind in of_entry if kind in of_target]
    known = both or of_entry or of_target
    if not known:
        return inputs
    target = of_target[0] if {*of_entry[:1], *of_target[:1]} == {"length", "distance"} else known[0]
    as_entry = replace(inputs["entry"], units=symbols_of(known[0])[:2], kind=known[0], examples=("", ""), negative=known[0] in SIGNED)
    return inputs | {"entry": as_entry, "to": replace(inputs["to"], choices=symbols_of(target), kind=target)}


def cross_check(entries: dict[str, Any]) -> list[str]:
    """A unit on the entry; nothing colder than can be."""
    entry = entries["entry"]
    if not entry.unit_typed:
        raise UnreadableEntry(f"“{entry.typed}” has no unit; write it, for example 24.1 mm", input="entry", typed=entry.typed)
    if entry.unit.symbol in ("°C", "°F") and entry.quantity.to("kelvin").magnitude < 0:
        raise Contradiction(
            f"“{entry.typed}” is below −273.15 °C, where nothing is colder; for example 150 °C", input="entry", typed=entry.typed
        )
    return []


@calculator(
    title="Convert a unit",
    purpose="Read a length, torque, pressure, volume, temperature or other entry in another unit.",
    source=[NIST_SP_811.at("B.8")],
    values=[Value("value", "", "In the unit asked for", CONVERTED, alone=True)],
    formula=[
        "value = entry × factor; factors are exact: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 US gallon = 231 in³, g = 9.80665 m/s²",
        "°F = 1.8 × °C + 32; a difference of temperatures: delta °F = 1.8 × K, without the 32",
        "pitch = 1 in / threads per inch",
        "Btu and inHg are conventional values: 1055.05585262 J and 3386.389 Pa",
    ],
    limits_of_model=[
        "Pint, quart, gallon and fluid ounce are US measures; a British pint is a fifth larger.",
        "A rounded figure is for reading; a limit is never rounded to the unsafe side.",
        "A difference of temperatures is written delta °F or K; °C and °F alone are temperatures.",
    ],
    cautions=["not-the-makers-manual"],
    example=Example(
        given={"entry": "50 lbf·ft", "to": "N·m"},
        printed={"value": "67.79 N·m", "verdict": "none"},
        where="1 lbf·ft = 1.3558179483314004 N·m exactly, from NIST SP 811; × 50 = 67.790897",
    ),
    cross_check=cross_check,
    inputs_for=inputs_for,
)  # fmt: skip
def convert(
    entry: Annotated[
        Quantity, Input(help="A number with its unit.", kind="quantity", examples=("24.1 mm", "0.949 in"), sets_decimals=True)
    ],
    to: Annotated[str, Input(help="The unit to read it in.", choices=UNITS, label="To unit")],
) -> Answer:
    """The conversion of `convert`; `to` is the symbol of a unit."""
    unit = unit_named(to)
    exact = f"{unit.magnitude(entry):.12g}"
    note = [f"Unrounded: {exact}\N{NO-BREAK SPACE}{unit.symbol}."] if "e" not in exact else []
    return Answer(values={"value": entry}, units={"value": to}, notes=note)
