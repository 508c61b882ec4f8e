"""What is signed alone, and why; the rest are lines of a card that may be signed together.

A step signed alone is never “does not apply” (rule 7): only the layout or an outcome leads past it.
"""

from __future__ import annotations

from calculators.job.handbook import PUTS_RIGHT, Page, Step

REASONS = {
    "critical": "no way back from here",
    "torque": "a final torque",
    "second-look": "counts only after a second look",
    "reading": "a reading is judged",
    "findings": "findings are noted",
    "decision": "parts are decided",
    "choice": "the answer decides what follows",
    "means": "the answer says what is done with a part",
    "fluid": "a fluid joint is opened, closed, bled or checked for leaks",
    "lift": "the vehicle is lifted, held up or lowered",
    "pressure": "pressure on the pistons",
    "engine": "the engine or the electric drive is started",
    "danger": "a danger to life stands before it",
    "condition": "a condition begins or ends here",
    "frees": "a part counts as cured after it",
    "complete": "the work of the page is signed as complete",
    "declared": "the handbook says so",
}


def reasons(step: Step) -> tuple[str, ...]:
    """The codes of `REASONS` for which a step is signed alone; empty: a line of its card."""
    reads = step.reads is not None and not step.offered
    told = {
        "declared": bool(step.alone),
        "critical": step.critical,
        "torque": step.final or bool(step.effects.get("torques")),
        "second-look": step.look,
        "reading": reads,
        "findings": bool(step.finds),
        "decision": step.decides,
        "means": bool(step.means),
        "choice": bool(step.choice) and not _is_usual(step),
        "fluid": step.has_fluid,
        "lift": step.per == "lift" or step.lowers,
        "pressure": bool(step.presses),
        "engine": step.starts,
        "danger": step.danger,
        "condition": bool(step.sets or step.clears),
        "frees": bool(step.free),
        "complete": step.completes,
    }
    return tuple(code for code, holds in told.items() if holds)


def is_alone(step: Step) -> bool:
    """Whether a step is signed alone."""
    return (
        step.critical or step.final or step.look or step.decides or step.lowers or step.danger or step.starts or step.completes
        or step.per == "lift" or step.has_fluid or "torques" in step.effects
        or bool(step.alone or step.finds or step.means or step.presses or step.sets or step.clears or step.free)
        or (step.reads is not None and not step.offered) or (bool(step.choice) and not _is_usual(step))
    )  # fmt: skip


def _is_usual(step: Step) -> bool:
    """Whether the data names a usual answer that a card may record. It never stops, repeats, or leads to another job."""
    way = step.out.get(step.usual, "")
    return step.usual in step.choice and way not in ("again", "stop") and step.usual not in step.away


def usual_answer(page: Page, number: int) -> str:
    """The answer that “Done as written” records at a step of a page; '' where it is asked for (rule 6).

    Only what the data names; never an answer that leads back, past a step signed alone, or says what is done with a part.
    """
    step = page.steps[number]
    if step.means or not _is_usual(step) or step.usual in page.back[number]:
        return ""
    to = page.onward[number].get(step.usual, number + 1)
    return "" if any(is_alone(each) for each in page.steps[number + 1 : to]) else step.usual


def must_be_worked(step: Step) -> bool:
    """Whether a reason settles it only as “done otherwise” (rule 7): it puts something right, or there is no way back from it."""
    return step.critical or step.look or bool(step.presses) or settles_effect(step)


def settles_effect(step: Step) -> bool:
    """Whether something is put right here, or reaches its final torque."""
    return step.final or bool(step.clears) or any(effect in step.effects for effect in PUTS_RIGHT)
