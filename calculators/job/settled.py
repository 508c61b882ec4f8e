"""Whether the entries of one place settle a step, and which does (rules 7, 12, 18)."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from calculators.job.alone import is_alone, must_be_worked
from calculators.job.entries import AFTER_INTERRUPTION, is_work
from calculators.job.handbook import Step

Entry = Mapping[str, Any]
Made = tuple[int, Entry]  # an entry with its place in the order of the job
SETTLES = ("done", "override", "not-applicable")


def code_of(entry: Entry) -> str:
    """The code of its verdict; '' where it has none."""
    return str((entry.get("verdict") or {}).get("code", ""))


def is_changed(step: Step, entry: Entry) -> bool:
    """Whether the step asks for other work since the entry was made; other words alone change nothing (rule 12)."""
    if entry.get("hash") is None or not step.hash or entry["hash"] in (step.hash, step.before):
        return False
    return not step.work or entry["typed"].get("work") != step.work


def is_reworded(step: Step, entry: Entry) -> bool:
    """Whether the step reads otherwise since, and asks for the same work."""
    return entry.get("hash") not in (None, step.hash) and bool(step.hash) and not is_changed(step, entry)


def is_reading(entry: Entry) -> bool:
    """A reading that a calculator has judged, or will judge."""
    typed = entry["typed"]
    if typed.get("outcome"):
        return False
    return entry["kind"] == "torque" or (entry["kind"] == "result" and "given" in typed)


def is_unjudged(step: Step, entry: Entry) -> bool:
    """Kept while Python was not there, and not judged since (rule 18)."""
    if entry["typed"].get("unjudged"):
        return True
    if entry.get("verdict") or entry["kind"] not in ("result", "torque"):
        return False
    if entry["kind"] == "torque":
        return not any(_cannot_be_judged(str(entry["typed"].get(name, ""))) for name in ("target", "actual"))
    understood = entry["understood"]
    if step.decides:
        return not isinstance(understood.get("actions"), list)
    return entry["typed"].get("choice") is None and not (understood.get("values") or understood.get("inputs"))


def _cannot_be_judged(text: str) -> bool:
    """An angle, or words without a number: nothing to compare."""
    lower = text.lower()
    return text != "" and (not any(sign.isdigit() for sign in text) or "°" in text or " deg" in lower or "turn" in lower)


def done_otherwise(entry: Entry) -> bool:
    """Whether an override says how the work was done otherwise, and by whom (rule 7)."""
    said = entry["typed"].get("otherwise")
    return isinstance(said, Mapping) and all(str(said.get(name, "")).strip() for name in ("how", "by"))


def may_override(step: Step, entry: Entry) -> bool:
    """Whether a reason settles the step: never a decision or a completion, and what puts something right only as done otherwise."""
    if step.decides or step.completes:
        return False
    return not must_be_worked(step) or done_otherwise(entry)


def is_good(step: Step, entry: Entry, back: Collection[str]) -> bool:
    """Whether an entry finishes what it was made for: not a reading beyond a limit or too close to tell, not an answer that leads back."""
    if is_unjudged(step, entry):
        return False
    code = code_of(entry)
    if entry["kind"] not in ("result", "torque") or not code:
        return True
    if entry["typed"].get("choice") is None:
        return code == "within"
    return step.out.get(code) not in ("again", "stop") and code not in step.away and code not in back


def settled_by(step: Step, made: Sequence[Made], onward: Collection[str], back: Collection[str]) -> Made | None:
    """The entry by which a place is settled, of those that count there in their order; None while it is open.

    `onward`: outcomes that settle it too, since they lead on elsewhere; `back`: those that lead back.
    """
    counting = [each for each in made if _counts(step, each[1])]
    if not counting:
        return None
    last = counting[-1]
    entry = last[1]
    if entry["kind"] in SETTLES:
        return last if _is_signed(step, entry) else None
    if entry["typed"].get("outcome"):
        return last if code_of(entry) in onward else None
    for kind in step.needs:
        own = next((each for _, each in reversed(counting) if each["kind"] == kind and not each["typed"].get("outcome")), None)
        if own is None or not (is_good(step, own, back) or code_of(own) in onward):
            return None
    return last


def _counts(step: Step, entry: Entry) -> bool:
    if not is_work(entry):
        return False
    return entry["kind"] in SETTLES or entry["kind"] in step.needs or bool(entry["typed"].get("outcome"))


def _is_signed(step: Step, entry: Entry) -> bool:
    if entry["kind"] == "done":
        return not step.needs
    if entry["kind"] == "override":
        return may_override(step, entry)
    return not is_alone(step)


def looked_at(standing: Sequence[Entry]) -> dict[str, int]:
    """Entries that somebody looked at a second time → when."""
    found: dict[str, int] = {}
    for at, entry in enumerate(standing):
        if entry["kind"] == "verified" and entry["typed"].get("look") != AFTER_INTERRUPTION:
            found.setdefault(str(entry["typed"].get("verifies")), at)
    return found
