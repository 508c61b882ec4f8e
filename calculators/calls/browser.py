"""The border to the page: JSON text in, JSON text out; nothing ever escapes as an exception."""

from __future__ import annotations

import difflib
import json
from typing import TYPE_CHECKING, Any

import calculators.contract.declaration  # noqa: F401  # the frame belongs to the page's start; a calculator comes in when it is asked
from calculators import named, names
from calculators.contract.errors import AmbiguousEntry, EntryError, UnknownCalculator
from calculators.decision import asked

if TYPE_CHECKING:
    from calculators.contract.declaration import Calculator

KEYS = {"calculator", "given", "system"}


def evaluate(text: str) -> str:
    """Answer a request {"calculator", "given", "system"} with {"result": …} or {"problem": …}. Never raises."""
    try:
        answer = {"result": _evaluate(text)}
    except EntryError as error:
        answer = {"problem": problem(error)}
    except (Exception, SystemExit, KeyboardInterrupt) as error:  # the border of the page: whatever happens becomes one line there
        answer = {"problem": _problem(None, "", f"the calculator stopped on this entry ({type(error).__name__}); please report it")}
    return json.dumps(answer, allow_nan=False)


def _evaluate(text: str) -> dict[str, Any]:
    try:
        request = json.loads(text)
    except (TypeError, ValueError, RecursionError):
        raise EntryError("the request is not JSON") from None
    if not isinstance(request, dict) or not isinstance(request.get("given", {}), dict):
        raise EntryError('the request must be like {"calculator": "rotor-thickness", "given": {}, "system": "metric"}')
    unknown = sorted(set(request) - KEYS)
    if unknown:
        raise EntryError(f"the request has unknown keys: {', '.join(unknown)}")
    system = request.get("system", "metric")
    if not isinstance(system, str):
        raise EntryError("the system is metric or inch")
    given = request.get("given", {})
    if "system" in given:
        raise EntryError("no such input", input="system")
    if request.get("calculator") == asked.NAME:
        return asked.run_decision(given)
    return calculator_named(request.get("calculator")).run(system=system, **given).as_json()


def calculator_named(name: object) -> Calculator:
    """The calculator of this name. Raises UnknownCalculator, with the nearest name."""
    known = names()
    if isinstance(name, str) and name in known:
        return named(name)
    near = difflib.get_close_matches(str(name)[:60], known, 1)
    hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}"
    raise UnknownCalculator(f"no calculator “{str(name)[:60]}”; {hint}", typed=str(name))


def problem(error: EntryError) -> dict[str, Any]:
    """An error as the page shows it."""
    candidates = error.candidates if isinstance(error, AmbiguousEntry) else []
    return _problem(error.input, error.typed, error.message, [vars(candidate) for candidate in candidates])


def _problem(name: str | None, typed: str, message: str, candidates: list[dict[str, str]] | None = None) -> dict[str, Any]:
    return {"input": name, "typed": typed, "message": message, "candidates": candidates or []}
