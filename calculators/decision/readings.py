"""What a calculator's result says about a part, in the few words that the rules of the decision ask for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from calculators.contract.judge import BEYOND, compare
from calculators.contract.units import unit_named

NOT_KNOWN = "not known"
YES, NO = "yes", "no"
AT_LIMIT, TOO_CLOSE, ABOVE = "at the limit", "too close", "above"

# The facts beside the verdict, and the words each may be. A rule that asks for another word is a mistake.
WORDS: dict[str, tuple[str, ...]] = {
    "rotor-thickness/thickness": (AT_LIMIT, TOO_CLOSE, ABOVE, NOT_KNOWN),
    "rotor-thickness/lasts": (YES, NO, NOT_KNOWN),
    "rotor-thickness/may-be-cut": (YES, NO, NOT_KNOWN),
    "lateral-runout/hub": ("measured", NOT_KNOWN),
    "pad-wear/thickness": (AT_LIMIT, TOO_CLOSE, ABOVE, NOT_KNOWN),
    "pad-wear/lasts": (YES, NO, NOT_KNOWN),
    "pad-wear/taper": ("over", "not over", NOT_KNOWN),
    "pad-wear/thinner": ("inner", "outer", "neither", NOT_KNOWN),
}


def facts_of(results: Mapping[str, Mapping[str, Any]]) -> dict[str, str]:
    """Every fact of the readings of one side: the verdict under the calculator's name, the others under theirs.

    What was not measured is «not known»; a result without a verdict has none.
    """
    facts = dict.fromkeys(WORDS, NOT_KNOWN)
    for calculator, result in results.items():
        if code_of(result):
            facts[calculator] = code_of(result)
        for name, fact in FACTS.get(calculator, {}).items():
            facts[f"{calculator}/{name}"] = fact(result)
    return facts


def code_of(result: Mapping[str, Any]) -> str:
    """The verdict's code; '' for none."""
    code: str = (result.get("verdict") or {}).get("code", "")
    return code


def sentence_of(result: Mapping[str, Any]) -> str:
    """The verdict's sentence; its code where the sentence is missing."""
    return (result.get("verdict") or {}).get("text", "") or code_of(result)


# ---- how each fact is found


def _number(result: Mapping[str, Any], name: str) -> float | None:
    found = (result.get("values") or {}).get(name) or {}
    value = found.get("value") if isinstance(found, Mapping) else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _text(result: Mapping[str, Any], name: str) -> str:
    found = (result.get("values") or {}).get(name) or {}
    value = found.get("value") if isinstance(found, Mapping) else None
    return value if isinstance(value, str) else ""


def _given(result: Mapping[str, Any], name: str) -> bool:
    return bool((result.get("inputs") or {}).get(name))


def _uncertainty(result: Mapping[str, Any]) -> float:
    """The tool's uncertainty in mm; 0 where the result does not tell it."""
    said = (result.get("inputs") or {}).get("tool_uncertainty")
    if not isinstance(said, Mapping) or not isinstance(said.get("value"), int | float):
        return 0.0
    try:
        return unit_named(str(said.get("unit")), "length").quantity(float(said["value"])).to("mm").magnitude
    except KeyError:
        return 0.0


def _thickness(result: Mapping[str, Any]) -> str:
    """Where the thinnest place stands to its limit, by ISO 14253-1 as the calculator judges it."""
    margin, u = _number(result, "margin"), _uncertainty(result)
    if margin is None:
        return NOT_KNOWN
    if compare(margin + u, 0) <= 0:
        return AT_LIMIT
    return ABOVE if compare(margin - u, 0) > 0 else TOO_CLOSE


def _lasts(result: Mapping[str, Any]) -> str:
    """Whether the limit, which is the thinnest place less its margin, is kept until the next check."""
    margin, thinnest, at_next = (_number(result, name) for name in ("margin", "thinnest", "thinnest_at_next"))
    if margin is None or thinnest is None or at_next is None:
        return NOT_KNOWN
    return YES if compare(at_next, thinnest - margin) > 0 else NO


def _may_be_cut(result: Mapping[str, Any]) -> str:
    said = (result.get("values") or {}).get("may_be_machined") or {}
    words: dict[object, str] = {True: YES, False: NO}
    return words.get(said.get("value") if isinstance(said, Mapping) else None, NOT_KNOWN)


def _taper(result: Mapping[str, Any]) -> str:
    if not _given(result, "taper_limit"):
        return NOT_KNOWN
    return "over" if code_of(result) == BEYOND and "tapered" in _text(result, "pattern") else "not over"


def _thinner(result: Mapping[str, Any]) -> str:
    """Which pad is thinner beyond the limit that was given."""
    if not _given(result, "difference_limit"):
        return NOT_KNOWN
    pattern = _text(result, "pattern") if code_of(result) == BEYOND else ""
    return next((pad for pad in ("inner", "outer") if f"{pad} worn more" in pattern), "neither")


FACTS: dict[str, dict[str, Callable[[Mapping[str, Any]], str]]] = {
    "rotor-thickness": {"thickness": _thickness, "lasts": _lasts, "may-be-cut": _may_be_cut},
    "lateral-runout": {"hub": lambda result: "measured" if _given(result, "hub_readings") else NOT_KNOWN},
    "pad-wear": {"thickness": _thickness, "lasts": _lasts, "taper": _taper, "thinner": _thinner},
}
