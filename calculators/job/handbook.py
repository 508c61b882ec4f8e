"""The steps of a handbook as the state of a job needs them, read from plain data.

format  wheel-end-steps/1
when    [condition]; elsewhere a condition is its number here, -1 none
axes    {axis: its condition}
judged  {part: {calculator: {verdict: least action}}}
homes   {procedure: [ids of its own steps]}
steps   {address: {"do", "hash", "work", …}}, named as in `Step`, `for` for `per`; what is empty is left out
pages   {id: {"title", "kind", "ends", "covers", "axle", "from": {address: [outcome]}, "order"}};
        order: runs of one home, [home, its first step, [condition, how many steps, …], …]
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from calculators.decision.when import Normal

FORMAT = "wheel-end-steps/1"
PUTS_RIGHT = {"fits": "off", "torques": "loose", "closes": "open", "bleeds": "unbled", "leak_checks": "unchecked"}
BEGINS = {"takes_off": ("off",), "loosens": ("loose",), "opens": ("open", "unbled", "unchecked")}


@dataclass(frozen=True, slots=True)
class Reads:
    """What the calculator of a step is about. `of`: new or machined, else ''; `derived`: works on the readings of an earlier step."""

    calculator: str
    judges: tuple[str, ...] = ()
    of: str = ""
    apart: bool = False
    derived: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step, with all that its state hangs on. `work` is its hash without wording (rule 12)."""

    address: str
    do: str = ""
    per: str = "side"  # side, axle, lift, vehicle
    hash: str = ""
    before: str = ""  # hash of an earlier version that asked for the same work
    work: str = ""
    was: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()  # kinds of entries: result, torque, finding, text
    hold: tuple[str, ...] = ()
    out: Mapping[str, str] = None  # type: ignore[assignment]  # outcome → address, again or stop
    away: tuple[str, ...] = ()  # outcomes that lead to another job, after which it is answered again
    effects: Mapping[str, tuple[str, ...]] = None  # type: ignore[assignment]
    sets: tuple[str, ...] = ()  # conditions that begin here, such as a caliper on its hook
    clears: tuple[str, ...] = ()
    critical: bool = False
    final: bool = False  # a final torque
    look: bool = False  # counts only after a second look
    as_at: str = ""
    free: tuple[str, ...] = ()  # parts that count as cured once it is done
    reads: Reads | None = None
    offered: bool = False  # its calculator only helps to plan
    finds: str = ""  # the part whose findings are noted
    choice: tuple[str, ...] = ()
    means: Mapping[str, Mapping[str, tuple[str, ...]]] = None  # type: ignore[assignment]  # answer → part → actions
    usual: str = ""
    decides: bool = False
    lowers: bool = False
    completes: bool = False
    cautions: tuple[str, ...] = ()
    danger: bool = False
    presses: str = ""
    starts: bool = False
    alone: str = ""  # why it is signed alone, where the content says so
    shared: bool = False  # once a vehicle: counts on every page and for both axles
    stands: bool = False  # work on stands, where the content says so
    renews: tuple[str, ...] = ()  # parts that are never fitted and are new after this step

    @property
    def puts_right(self) -> bool:
        """Whether something is fitted, tightened, closed, bled, checked for leaks, or a condition cleared here."""
        return bool(self.clears) or any(effect in self.effects for effect in PUTS_RIGHT)

    @property
    def begins(self) -> bool:
        """Whether something comes off, loose or open here, or a condition is set."""
        return bool(self.sets) or any(effect in self.effects for effect in BEGINS)

    @property
    def has_fluid(self) -> bool:
        """Whether a fluid joint is opened, closed, bled or checked here."""
        return any(effect in self.effects for effect in ("opens", "closes", "bleeds", "leak_checks"))


@dataclass(frozen=True)
class Page:
    """The steps of one page in order. `when`: number of each step's condition, or -1; `at`: address → place in the order."""

    id: str
    title: str
    kind: str
    estimate: bool  # closes with what is beyond a limit listed
    covers: int
    axle: str  # the one it is written for; '' where it is for both
    led_from: Mapping[str, tuple[str, ...]]  # steps that lead here and back again → their outcomes
    steps: tuple[Step, ...]
    when: tuple[int, ...]

    @cached_property
    def at(self) -> dict[str, int]:
        return {step.address: number for number, step in enumerate(self.steps)}

    @cached_property
    def onward(self) -> list[dict[str, int]]:
        """For each step its outcomes that lead past the steps between, with where to."""
        return [self._ways(number, later=True) for number in range(len(self.steps))]

    @cached_property
    def back(self) -> list[dict[str, int]]:
        """For each step its outcomes that lead back, with where to."""
        return [self._ways(number, later=False) for number in range(len(self.steps))]

    def _ways(self, number: int, later: bool) -> dict[str, int]:
        at, here = self.at, self.steps[number].out
        return {code: at[to] for code, to in here.items() if to in at and (at[to] > number) == later}


@dataclass(frozen=True)
class Handbook:
    """Steps by address, pages by id. `renamed`: earlier address → today's."""

    steps: Mapping[str, Step]
    pages: Mapping[str, Page]
    when: tuple[Normal, ...]
    axes: Mapping[str, int]
    judged: Mapping[str, Mapping[str, Mapping[str, str]]]

    @cached_property
    def renamed(self) -> dict[str, str]:
        return {old: step.address for step in self.steps.values() for old in step.was if old not in self.steps}

    @cached_property
    def pages_with(self) -> dict[str, list[str]]:
        """Address → the pages on which it stands; whole jobs first."""
        found: dict[str, list[str]] = {}
        for page in sorted(self.pages.values(), key=lambda page: -len(page.steps)):
            for step in page.steps:
                found.setdefault(step.address, []).append(page.id)
        return found

    def address_of(self, step: str | None) -> str:
        """The address that a step has today; '' where there is none."""
        return self.renamed.get(step or "", step or "")


def read_handbook(data: Mapping[str, Any]) -> Handbook:
    """The steps from plain data. Raises ValueError where it is of another make."""
    if data.get("format") != FORMAT:
        raise ValueError(f"the steps are not of the make {FORMAT}")
    steps = {address: read_step(address, raw) for address, raw in data["steps"].items()}
    pages = {name: _page(name, raw, steps, data["homes"]) for name, raw in data["pages"].items()}
    return Handbook(steps, pages, tuple(data["when"]), dict(data.get("axes", {})), data.get("judged", {}))


_LISTS = ("was", "needs", "hold", "away", "sets", "clears", "free", "choice", "cautions", "renews")
_FLAGS = ("critical", "final", "look", "offered", "decides", "lowers", "completes", "danger", "starts", "shared", "stands")
_TEXTS = ("do", "hash", "before", "work", "as_at", "finds", "usual", "presses", "alone")


def read_step(address: str, raw: Mapping[str, Any]) -> Step:
    """One step from plain data."""
    given: dict[str, Any] = {name: tuple(raw[name]) for name in _LISTS if name in raw}
    given |= {name: bool(raw[name]) for name in _FLAGS if name in raw}
    given |= {name: str(raw[name]) for name in _TEXTS if name in raw}
    reads = raw.get("reads")
    return Step(
        address=address,
        per=raw.get("for", "side"),
        out=dict(raw.get("out", {})),
        effects={name: tuple(ids) for name, ids in raw.get("effects", {}).items()},
        means={value: {part: tuple(each) for part, each in parts.items()} for value, parts in raw.get("means", {}).items()},
        reads=Reads(**{**reads, "judges": tuple(reads.get("judges", ()))}) if reads else None,
        **given,
    )


def _page(name: str, raw: Mapping[str, Any], steps: Mapping[str, Step], homes: Mapping[str, list[str]]) -> Page:
    listed: list[Step] = []
    when: list[int] = []
    order = raw["order"]
    for home, first, conditions in zip(order[::3], order[1::3], order[2::3], strict=True):
        at, run = homes[home].index(first), [number for number, count in zip(conditions[::2], conditions[1::2]) for _ in range(count)]
        listed += [steps[f"{home}/{each}"] for each in homes[home][at : at + len(run)]]
        when += run
    led_from = {address: tuple(codes) for address, codes in raw.get("from", {}).items()}
    estimate = raw.get("ends") == "estimate" or raw.get("kind") == "diagnosis"
    return Page(
        name, raw["title"], raw.get("kind", ""), estimate, raw.get("covers", -1), raw.get("axle", ""), led_from, tuple(listed), tuple(when)
    )
