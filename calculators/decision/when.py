"""The one condition language, `when:`, as data: what it may say, and whether it holds.

Keys of a mapping are ANDed, a list of values is OR, a list of mappings is OR, `not:` negates; nothing else.

    {bearing: tapered-roller, nut: [castle, hex-with-lock]}
    [{parking_brake: electric}, {abs: by-wire}]
    {caliper: sliding-one-piston, not: {slides: abutment}}

The normal form is a list of alternatives; an alternative maps a question to its list of accepted answers, and `not` to
a normal form. `[{}]` holds always, `[]` never.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, cast

Alternative = dict[str, "list[str] | Normal"]
Normal = list[Alternative]
ALWAYS: Normal = [{}]


def normal_form(raw: object) -> Normal:
    """Turn what stands in YAML or JSON into the normal form; ValueError says what is wrong with it."""
    if isinstance(raw, Mapping):
        return [_alternative(raw)]
    if isinstance(raw, list) and raw and all(isinstance(item, Mapping) for item in raw):
        return [_alternative(item) for item in raw]
    raise ValueError("a condition is written as a question with its answer, or as a list of such entries")


def _alternative(raw: Mapping[Any, Any]) -> Alternative:
    if not raw:
        raise ValueError("an empty condition says nothing; leave 'when' out where something always applies")
    alternative: Alternative = {}
    for axis, wanted in raw.items():
        if axis == "not":
            alternative["not"] = normal_form(wanted)
        elif isinstance(wanted, str):
            alternative[axis] = [wanted]
        elif isinstance(wanted, list) and wanted and all(isinstance(value, str) for value in wanted):
            alternative[axis] = list(dict.fromkeys(wanted))
        else:
            raise ValueError(f"{axis}: expected one answer or a list of answers, such as [hub, slip-on]")
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
            inner = holds(cast(Normal, wanted), layout)  # `not` has a normal form, every question a list of answers
            answers.append(None if inner is None else not inner)
        else:
            answers.append(layout[axis] in wanted if axis in layout else None)
    return False if False in answers else None if None in answers else True


def _any(answers: Iterable[bool | None]) -> bool | None:
    answers = list(answers)
    return True if True in answers else None if None in answers else False


def values_of(condition: Normal | None) -> Iterator[tuple[str, str]]:
    """Every (axis, value) that the condition names."""
    for alternative in condition or []:
        for axis, wanted in alternative.items():
            if axis == "not":
                yield from values_of(cast(Normal, wanted))  # as above
            else:
                yield from ((axis, value) for value in cast("list[str]", wanted))
