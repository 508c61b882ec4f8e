"""Wear of a rotor or a lining since new, taken as even, and how far it will last."""

from __future__ import annotations

from calculators.contract.judge import above
from calculators.contract.result import Missing
from calculators.contract.units import Quantity


def wear_since_new(new: Quantity | None, thinnest: Quantity, run: Quantity | None) -> Quantity | Missing:
    """(new − thinnest) / distance run."""
    if new is None or run is None:
        return Missing("needs the new thickness and the distance run")
    if not above(new, thinnest):
        return Missing("no wear found: the thinnest reading is not below new")
    return (new - thinnest) / run


def distance_left(margin: Quantity, wear: Quantity | Missing) -> Quantity | Missing:
    """margin / wear; 0 where nothing is left."""
    return wear if isinstance(wear, Missing) else max(margin / wear, Quantity(0, "km"))


def thinnest_at_next(thinnest: Quantity, wear: Quantity | Missing, next_check: Quantity | None) -> Quantity | Missing:
    """thinnest − wear × distance to the next check."""
    if isinstance(wear, Missing):
        return wear
    if next_check is None:
        return Missing("needs the distance to the next check")
    return thinnest - wear * next_check
