"""Whether a condition holds for a layout, of the normal form that the build writes: the twin of calculators/decision/when.py.

That one stands in a package that loads later than this one; a test holds both to the same vectors.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Condition = Sequence[Mapping[str, Any]]  # alternatives: axis → accepted values, `not` → a condition
NOT_ASKED = "not asked"  # the answer to a question that a layout does not raise; no condition names it


def holds(condition: Condition | None, layout: Mapping[str, str]) -> bool | None:
    """Whether it holds; None: an axis that it needs is not answered yet. No condition holds always."""
    if condition is None:
        return True
    unsure = False
    for alternative in condition:
        answer = _all(alternative, layout)
        if answer:
            return True
        unsure = unsure or answer is None
    return None if unsure else False


def _all(alternative: Mapping[str, Any], layout: Mapping[str, str]) -> bool | None:
    unsure = False
    for axis, wanted in alternative.items():
        if axis == "not":
            inner = holds(wanted, layout)
            answer = None if inner is None else not inner
        else:
            answer = layout[axis] in wanted if axis in layout else None
        if answer is False:
            return False
        unsure = unsure or answer is None
    return None if unsure else True
