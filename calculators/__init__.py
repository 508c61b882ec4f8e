"""Calculators for brake and wheel-end work: pure Python and pint; the same code in CPython and in the page.

    from calculators import catalogue
    catalogue()["rotor-thickness"].run(readings="24.1 mm; 24.0 mm", discard="22.4 mm")

Nothing is imported before it is asked for, so that the command line can say what to run first where pint is missing.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any

from calculators import earlier_names

if TYPE_CHECKING:
    from calculators.contract.declaration import Calculator

MODULES = (
    "rotor_thickness",
    "bearing_end_play",
    "fluid_volume",
    "bearing_grease",
    "reservoir_level",
    "gravity_bleed",
    "trapped_air",
    "piston_match",
    "stopping_check",
    "brake_balance",
    "pad_wear",
    "lateral_runout",
    "torque_check",
    "torque_adapter",
    "bolt_clamp",
    "bedding_heat",
    "wheel_nut_pattern",
    "axle_compare",
    "tool_uncertainty",
    "fluid_condition",
    "pedal_reserve",
    "vin_check",
    "odometer",
    "convert",
)  # in the order of the catalogue
NAMES = {
    "AmbiguousEntry": "errors", "Candidate": "errors", "Contradiction": "errors", "EntryError": "errors",
    "ExampleDiffers": "errors", "MissingInput": "errors", "OutOfBand": "errors", "UnknownCalculator": "errors",
    "UnknownInput": "errors", "UnreadableEntry": "errors", "Quantity": "units", "Result": "result",
    "Verdict": "result", "Calculator": "declaration", "Example": "declaration", "Input": "inputs", "Source": "sources",
}  # fmt: skip

SHOP = (
    "shop_calculators"  # the package of a shop's own, which a page finds beside this one; see build_tools/content/shop/shop_calculators.py
)

earlier_names.find()


@cache
def shop_modules() -> tuple[str, ...]:
    """The modules of a shop's own calculators."""
    try:
        modules: tuple[str, ...] = import_module(SHOP).MODULES
    except ModuleNotFoundError:
        return ()
    return modules


def names() -> list[str]:
    """The names of all calculators, in the order of the handbook; nothing is imported for them."""
    return [module.replace("_", "-") for module in (*MODULES, *shop_modules())]


def named(name: str) -> Calculator:
    """The calculator of this name, the only one that is imported. Raises KeyError, or ModuleNotFoundError where pint is missing."""
    if name not in names():
        raise KeyError(name)
    module = name.replace("-", "_")
    home = "calculators" if module in MODULES else SHOP
    found: Calculator = getattr(import_module(f"{home}.{module}"), module)
    return found


def catalogue() -> dict[str, Calculator]:
    """Name → calculator, in the order of the handbook. Raises ModuleNotFoundError where pint is missing."""
    return {name: named(name) for name in names()}


def __getattr__(name: str) -> Any:
    if name in NAMES:
        return getattr(import_module(f"calculators.contract.{NAMES[name]}"), name)
    raise AttributeError(f"module 'calculators' has no attribute {name!r}")
