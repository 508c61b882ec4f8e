"""Where a value meets its limit: comparison, uncertainty, verdict.

A reading x with expanded uncertainty U (k = 2) is judged as ISO 14253-1 does, strict at equality: a lower limit is
kept where x − U > limit and broken where x + U ≤ limit; an upper limit is kept where x + U ≤ limit and broken where
x − U > limit; between, the reading cannot tell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from calculators.contract.units import Quantity

BEYOND, TOO_CLOSE, CANNOT_TELL, ADJUST, WITHIN = CODES = ("beyond", "too-close", "cannot-tell", "adjust", "within")

SHOP_WORDS = {
    BEYOND: "Beyond the limit",
    TOO_CLOSE: "Too close to tell",
    CANNOT_TELL: "Cannot tell",
    ADJUST: "Adjust",
    WITHIN: "Within limits",
}
RELATIVE = 1e-9  # what binary floats may differ by, far below any tool
NOTHING = 1e-12  # for differences that should be zero


def compare(a: float, b: float) -> int:
    """−1, 0 or 1 as a is below, equal to or above b; a relative difference up to 1e-9 is equal."""
    if math.isclose(a, b, rel_tol=RELATIVE, abs_tol=NOTHING):
        return 0
    return -1 if a < b else 1


def compare_quantities(a: Quantity, b: Quantity) -> int:
    """`compare` for two quantities, in the second one's unit. Raises pint's DimensionalityError."""
    return compare(float(a.to(b.units).magnitude), float(b.magnitude))


def at_most(a: Quantity, b: Quantity) -> bool:
    """a ≤ b within the tolerance of `compare`."""
    return compare_quantities(a, b) <= 0


def above(a: Quantity, b: Quantity) -> bool:
    """a > b by more than the tolerance of `compare`."""
    return compare_quantities(a, b) > 0


def rounded_up(number: float) -> int:
    """The next whole number, 1 at least; a whole number is not rounded up for the last bit of a float."""
    return max(1, math.ceil(number * (1 - RELATIVE)))


@dataclass(frozen=True)
class Judgement:
    """One value against one limit: its code, a sentence with {names} of values and inputs to fill in,
    and the limits (names of inputs, or quantities) each value was held against, so that printing keeps them apart."""

    code: str
    text: str
    held_against: Mapping[str, tuple[str | Quantity, ...]] = field(default_factory=dict)


def lower_limit(name: str, label: str, limit_name: str, limit_label: str, x: Quantity, limit: Quantity, u: Quantity) -> Judgement:
    """Judge x, which must stay above the limit."""
    code = WITHIN if above(x - u, limit) else BEYOND if at_most(x + u, limit) else TOO_CLOSE
    word = {WITHIN: "is above", BEYOND: "is not above", TOO_CLOSE: "is too close to"}[code]
    return _judgement(code, word, name, label, limit_name, limit_label)


def upper_limit(name: str, label: str, limit_name: str, limit_label: str, x: Quantity, limit: Quantity, u: Quantity) -> Judgement:
    """Judge x, which must not go over the limit."""
    code = WITHIN if at_most(x + u, limit) else BEYOND if above(x - u, limit) else TOO_CLOSE
    word = {WITHIN: "is not over", BEYOND: "is over", TOO_CLOSE: "is too close to"}[code]
    return _judgement(code, word, name, label, limit_name, limit_label)


def size_limit(name: str, label: str, limit_name: str, limit_label: str, x: Quantity, limit: Quantity, u: Quantity) -> Judgement:
    """Judge the size of a difference, which may have either sign and must not go over the limit."""
    judged = upper_limit(name, label, limit_name, limit_label, abs(x), limit, u)
    word = {WITHIN: "not over", BEYOND: "over", TOO_CLOSE: "too close to"}[judged.code]
    text = judged.text.replace(f" is {word} ", f": {word} ", 1)
    return Judgement(judged.code, text, {name: (limit_name, -limit)})


def _judgement(code: str, word: str, name: str, label: str, limit_name: str, limit_label: str) -> Judgement:
    text = f"{label} {{{name}}} {word} {limit_label} {{{limit_name}}}"
    if code == TOO_CLOSE:
        text += " for this tool (± {tool_uncertainty}): measure again with a finer one, and treat it as beyond until then"
    return Judgement(code, text, {name: (limit_name,)})


def worst(codes: Iterable[str]) -> str | None:
    """The worst of some verdict codes; None for none."""
    return min(codes, key=CODES.index, default=None)


def conformance_probability(margin: Quantity, u: Quantity) -> Quantity | None:
    """Φ(margin / (U/2)): how likely the true value keeps the limit, if errors are normal; None unless U > 0.

    JCGM 106:2012, 7.2.
    """
    if not u.magnitude > 0:
        return None
    z = (margin / (u / 2)).to("dimensionless").magnitude
    return Quantity(0.5 * math.erfc(-z / math.sqrt(2)), "dimensionless")
