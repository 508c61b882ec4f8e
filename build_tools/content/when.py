"""The one condition language, `when:`.

Keys of a mapping are ANDed, a list of values is OR, a list of mappings is OR, `not:` negates; nothing else.

    when: {bearing: tapered-roller, nut: [castle, hex-with-lock]}
    when: [{parking_brake: electric}, {abs: by-wire}]
    when: {caliper: sliding-one-piston, not: {slides: abutment}}

The normal form is a list of alternatives; an alternative maps an axis to its list of accepted values, and `not` to a
normal form. `[{}]` holds always, `[]` never. The page's matcher (docs/scripts/core/when.js) reads the same form and
passes the same vectors (tests/content/when.json). What is read and whether it holds stands in calculators/decision/when.py,
because the decisions use the same language.
"""

from __future__ import annotations

from typing import Protocol, cast

from calculators.decision.when import ALWAYS, Alternative, Normal, holds, normal_form, values_of

__all__ = ["ALWAYS", "Alternative", "Normal", "axes_of", "both", "holds", "in_words", "normal_form", "values_of"]


class Label(Protocol):
    """Names a question or, with a value, one of its answers."""

    def __call__(self, axis: str, value: str | None = None, /) -> str: ...


# An alternative holds a condition under `not` and answers under all else, which no type of a mapping says.
def _denied(alternative: Alternative) -> Normal:
    return cast(Normal, alternative.get("not", []))


def _accepted(alternative: Alternative, axis: str) -> list[str]:
    return cast("list[str]", alternative[axis])


def both(left: Normal | None, right: Normal | None) -> Normal | None:
    """The condition that holds where both hold; None stands for «always»."""
    if left is None or right is None:
        return right if left is None else left
    merged = [_merge(a, b) for a in left for b in right]
    return [alternative for alternative in merged if alternative is not None]


def _merge(a: Alternative, b: Alternative) -> Alternative | None:
    merged = dict(a)
    for axis, wanted in b.items():
        if axis == "not":
            # not A and not B is not (A or B)
            denied = _denied(merged)
            merged["not"] = [*denied, *[item for item in _denied(b) if item not in denied]]
        elif axis in merged:
            merged[axis] = [value for value in _accepted(merged, axis) if value in wanted]
            if not merged[axis]:
                return None
        else:
            merged[axis] = wanted
    return merged


def axes_of(condition: Normal | None) -> set[str]:
    """Every axis that the condition asks about."""
    found: set[str] = set()
    for alternative in condition or []:
        for axis in alternative:
            found |= axes_of(_denied(alternative)) if axis == "not" else {axis}
    return found


def in_words(condition: Normal | None, label: Label) -> str:
    """The condition as a reader reads it; `label(axis, value=None)` names axes and values."""
    return "; or ".join(_words(alternative, label) for alternative in condition or [])


def _words(alternative: Alternative, label: Label) -> str:
    parts = []
    for axis in alternative:
        if axis == "not":
            parts.append(f"not ({in_words(_denied(alternative), label)})")
        else:
            parts.append(f"{label(axis)}: {' or '.join(label(axis, value) for value in _accepted(alternative, axis))}")
    return " and ".join(parts)
