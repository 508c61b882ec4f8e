"""The one condition language, `when:`.

Keys of a mapping are ANDed, a list of values is OR, a list of mappings is OR, `not:` negates; nothing else.

    when: {bearing: tapered-roller, nut: [castle, hex-with-lock]}
    when: [{parking_brake: electric}, {abs: by-wire}]
    when: {caliper: sliding-one-piston, not: {slides: abutment}}

The normal form is a list of alternatives; an alternative maps an axis to its list of accepted values, and `not` to a
normal form. `[{}]` holds always, `[]` never. The page's matcher (docs/scripts/conditions.js) reads the same form and
passes the same vectors (tests/conditions.json).
"""
from __future__ import annotations

from collections.abc import Mapping

Alternative = dict[str, "list[str] | Normal"]
Normal = list[Alternative]
ALWAYS: Normal = [{}]


def normal_form(raw: object) -> Normal:
    """Turn what stands in YAML into the normal form; ValueError says what is wrong with it."""
    if isinstance(raw, Mapping):
        return [_alternative(raw)]
    if isinstance(raw, list) and raw and all(isinstance(item, Mapping) for item in raw):
        return [_alternative(item) for item in raw]
    raise ValueError("a condition is a mapping such as {bearing: tapered-roller}, or a list of such mappings")


def _alternative(raw: Mapping) -> Alternative:
    if not raw:
        raise ValueError("an empty condition {} says nothing; leave `when:` out for a step that always applies")
    alternative: Alternative = {}
    for axis, wanted in raw.items():
        if axis == "not":
            alternative["not"] = normal_form(wanted)
        elif isinstance(wanted, str):
            alternative[axis] = [wanted]
        elif isinstance(wanted, list) and wanted and all(isinstance(value, str) for value in wanted):
            alternative[axis] = list(dict.fromkeys(wanted))
        else:
            raise ValueError(f"{axis}: expected one value or a list of values, such as {axis}: [hub, slip-on]")
    return alternative


def holds(condition: Normal | None, layout: Mapping[str, str]) -> bool | None:
    """Whether the condition holds for a layout (axis → value). None: an axis it needs is not answered yet."""
    if condition is None:
        return True
    return _any(_all(alternative, layout) for alternative in condition)


def _all(alternative: Alternative, layout: Mapping[str, str]) -> bool | None:
    answers = []
    for axis, wanted in alternative.items():
        if axis == "not":
            inner = holds(wanted, layout)
            answers.append(None if inner is None else not inner)
        else:
            answers.append(layout[axis] in wanted if axis in layout else None)
    return False if False in answers else None if None in answers else True


def _any(answers) -> bool | None:
    answers = list(answers)
    return True if True in answers else None if None in answers else False


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


def values_of(condition: Normal | None):
    """Every (axis, value) that the condition names."""
    for alternative in condition or []:
        for axis, wanted in alternative.items():
            if axis == "not":
                yield from values_of(wanted)
            else:
                yield from ((axis, value) for value in wanted)


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
