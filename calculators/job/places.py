"""Places where a step is signed (rule 10): a side, an axle (also while it is lifted), the vehicle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Entry = Mapping[str, Any]

SIDES: dict[str, tuple[str, ...]] = {"front": ("LF", "RF"), "rear": ("LR", "RR"), "": ("LF", "RF", "LR", "RR")}
AXLES: dict[str, tuple[str, ...]] = {"front": ("front",), "rear": ("rear",), "": ("front", "rear")}
PLACES = ("LF", "RF", "LR", "RR", "front", "rear", "vehicle")
NAMES = {"front": "front axle", "rear": "rear axle"}
LEFT = ("LF", "LR")


def _covered(whole: str) -> frozenset[str]:
    return frozenset(PLACES) if whole == "vehicle" else frozenset((whole, *SIDES.get(whole, ())))


_COVERS = {place: _covered(place) for place in PLACES}
_TOUCHES = {a: frozenset(b for b in PLACES if b in _COVERS[a] or a in _COVERS[b]) for a in PLACES}


def covers(whole: str, part: str) -> bool:
    """Whether one place holds the other: the front axle its two sides, the vehicle all."""
    return part in _COVERS[whole]


def touches(a: str, b: str) -> bool:
    """Whether one of two places holds the other."""
    return b in _TOUCHES[a]


def name_of(place: str) -> str:
    """The place in words."""
    return NAMES.get(place, place)


def places_of(per: str, axle: str) -> tuple[str, ...]:
    """Where a step is signed; without an axle both ends of the vehicle are."""
    if per == "vehicle":
        return ("vehicle",)
    return (SIDES if per == "side" else AXLES).get(axle, ())


def sides_of(whole: str) -> tuple[str, ...]:
    """The sides that a place holds."""
    return tuple(side for side in SIDES[""] if covers(whole, side))


def axles_then(standing: Sequence[Entry]) -> list[str]:
    """The axle of the job's layout at each entry: of the last layout before it, else of the first one after; '' for all four wheels."""
    layouts = [(at, _axle_of(entry)) for at, entry in enumerate(standing) if entry["kind"] == "layout"]
    now = layouts[0][1] if layouts else ""
    starts = dict(layouts)
    found = []
    for at in range(len(standing)):
        found.append(now)
        now = starts.get(at, now)
    return found


def _axle_of(entry: Entry) -> str:
    said = entry.get("place") or entry["typed"].get("layout", {}).get("axle", "")
    return said if said in ("front", "rear") else ""
