"""Numbers for a reader: enough digits, none that the tool could not read, both systems of units.

Halves are rounded away from zero, on the shortest decimal that stands for the number.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from calculators.contract.entries import NO_BREAK_SPACE, Entry
from calculators.contract.judge import compare
from calculators.contract.units import Unit, unit_of_differences

MOST_DECIMALS = 9
FRACTION_STEP = 1e-4  # a fraction is shown to the ten-thousandth
THREAD_STEP = 1e-2  # a thread count is exact; its pitch is shown to the thousandth of a millimetre


def fixed(number: float, decimals: int) -> str:
    """The number with this many decimals, halves away from zero, and no minus on zero."""
    exact = Decimal(f"{number:.14g}")
    text = f"{exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):f}"
    return text.lstrip("-") if not float(text) else text


def cut_off(number: float, decimals: int) -> str:
    """A number above 0 with this many decimals, never more than it is, and with more decimals where nothing would be left."""
    exact = Decimal(f"{number:.12g}")
    while True:
        text = f"{exact.quantize(Decimal(1).scaleb(-decimals), ROUND_DOWN):f}"
        if float(text) or not number or decimals >= MOST_DECIMALS:
            return text
        decimals += 1


def without_exponent(number: float, figures: int) -> str:
    """The number to so many significant figures at most, its zeros written out: 0.000015625, 12500000."""
    return f"{Decimal(f'{number:.{figures}g}'):f}"


def decimals_for(step: float) -> int:
    """The decimals that show a step of this size: 0.1 needs 1, 0.0254 needs 2."""
    if step <= 0:
        return MOST_DECIMALS
    return min(MOST_DECIMALS, max(0, math.ceil(-math.log10(step) - 1e-9)))


def significant_decimals(number: float, digits: int = 3) -> int:
    """The decimals that show a number to so many significant figures; negative for tens and hundreds."""
    exponent = int(f"{number:.{digits - 1}e}".partition("e")[2])
    return digits - 1 - exponent if number else 0


def to_significant(number: float, digits: int = 3) -> str:
    """The number to so many significant figures: 0.0127, 1.50, 512, 1230."""
    return fixed(number, significant_decimals(number, digits))


def trimmed(number: float, decimals: int = 2) -> str:
    """The number without the zeros that end it: 60, 22.5, 25.71."""
    text = fixed(number, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(number: str, symbol: str) -> str:
    """Number and unit with a no-break space, so that no line ends between them; a degree sign stands close."""
    if not symbol:
        return number
    return f"{number}{symbol}" if symbol == "°" else f"{number}{NO_BREAK_SPACE}{symbol.replace(' ', NO_BREAK_SPACE)}"


def step_in(entry: Entry, unit: Unit) -> float:
    """What one step of the entry's last digit is in another unit."""
    step = FRACTION_STEP if entry.number.denominator > 1 else entry.number.step
    if entry.unit.inverse:
        step = THREAD_STEP
    # a step of a thermometer is a difference where differences are printed
    source = unit_of_differences(entry.unit) if unit_of_differences(unit) == unit else entry.unit
    here, there = entry.number.value, entry.number.value + step
    return abs(unit.magnitude(source.quantity(there)) - unit.magnitude(source.quantity(here)))


def decimals_in(entry: Entry, unit: Unit) -> int:
    """The decimals an entry has in another unit. A whole number is a set figure and not a reading: 22 mm is 0.8661 in."""
    step = step_in(entry, unit)
    if entry.number.fineness == (0, 1) and not entry.unit.inverse:
        step = min(step, abs(unit.magnitude(entry.quantity)) / 1000 or step)
    return decimals_for(step)


def entry_text(entry: Entry) -> str:
    """The entry as understood, in its own unit: «15/16"» is 0.9375 in."""
    number = entry.number
    shown = number.text if number.denominator == 1 else without_exponent(number.value, 6 if abs(number.value) < 1e5 else 12)
    if entry.unit.symbol == "%" or entry.unit.symbol:
        return with_unit(shown, entry.unit.symbol)
    return shown


def entry_in(entry: Entry, unit: Unit | None, decimals: int = 0) -> str:
    """The entry in another unit, with as many digits as it was read to (or `decimals`); empty without another unit."""
    if unit is None or unit.symbol == entry.unit.symbol:
        return ""
    return with_unit(fixed(unit.magnitude(entry.quantity), max(decimals, decimals_in(entry, unit))), unit.symbol)


def in_both(entry: Entry, other: Unit | None) -> str:
    """The entry as understood, with the other system in brackets."""
    text = entry_in(entry, other)
    return f"{entry_text(entry)} ({text})" if text else entry_text(entry)


def per_cent(fraction: float, limits: Iterable[float] = ()) -> str:
    """A fraction as per cent, to 3 figures, or to as many as keep it apart from its limits (fractions too)."""
    number = fraction * 100
    return with_unit(fixed(number, enough_decimals(number, significant_decimals(number), [limit * 100 for limit in limits])), "%")


def chance(probability: float) -> str:
    """A probability as per cent; never a certain 100 % or 0 %."""
    if probability >= 0.9995:
        return with_unit("over 99.9", "%")
    return with_unit("under 0.1", "%") if probability <= 0.0005 else per_cent(probability)


def enough_decimals(number: float, decimals: int, limits: Iterable[float]) -> int:
    """Decimals raised until the printed number stands on the same side of every limit, exact and printed, as the number."""
    limits = [limit for limit in limits if compare(number, limit) != 0 or _is_short(number, decimals)]
    for more in range(decimals, MOST_DECIMALS + 1):
        shown = float(fixed(number, more))
        if all(_same_side(number, shown, limit, float(fixed(limit, more))) for limit in limits):
            return more
    return MOST_DECIMALS


def _is_short(number: float, decimals: int) -> bool:
    """Whether a few more decimals write the number out. A number equal to its limit is written out where it can be
    (12.355 %); where it cannot (70 m is 229.6587… ft) both are rounded alike."""
    return compare(number, float(fixed(number, decimals + 3))) == 0


def _same_side(number: float, shown: float, limit: float, shown_limit: float) -> bool:
    """Whether number and limit compare alike, each exact or as printed."""
    side = compare(number, limit)
    return side == compare(shown, limit) == compare(shown, shown_limit) == compare(number, shown_limit)
