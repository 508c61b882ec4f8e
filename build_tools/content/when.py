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

from calculators.decision.when import ALWAYS, Alternative, Normal, holds, normal_form, values_of

__all__ = ["ALWAYS", "Alternative", "Normal", "axes_of", "both", "holds", "in_words", "normal_form", "values_of"]


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
            merged["not"] = [*merged.get("not", []), *[item for item in wanted if item not in merged.get("not", [])]]
        elif axis in merged:
            merged[axis] = [value for value in merged[axis] if value in wanted]
            if not merged[axis]:
                return None
        else:
            merged[axis] = wanted
    return merged


def axes_of(condition: Normal | None) -> set[str]:
    """Every axis that the condition asks about."""
    found: set[str] = set()
    for alternative in condition or []:
        for axis, wanted in alternative.items():
            found |= axes_of(wanted) if axis == "not" else {axis}
    return found


def in_words(condition: Normal | None, label) -> str:
    """The condition as a reader reads it; `label(axis, value=None)` names axes and values."""
    return "; or ".join(_words(alternative, label) for alternative in condition or [])


def _words(alternative: Alternative, label) -> str:
    parts = []
    for axis, wanted in alternative.items():
        if axis == "not":
            parts.append(f"not ({in_words(wanted, label)})")
        else:
            parts.append(f"{label(axis)}: {' or '.join(label(axis, value) for value in wanted)}")
    return " and ".join(parts)
