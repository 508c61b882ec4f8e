"""Leaving out an optional entry never makes a verdict kinder.

Except the entries of LISTED: optional limits, what describes the reading itself, and what an entry left out is openly
taken to be; the result has a note on each of them. Entries are drawn from whole jobs and from inside the usual bands.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calculators import catalogue, named
from calculators.contract.errors import EntryError
from calculators.contract.judge import CODES
from calculators.contract.units import UNITS_OF
from tests.calculators.corpus import JOBS, all_jobs, specs_for, system_of

LISTED = {
    # optional limits
    ("rotor-thickness", "variation_limit"), ("bearing-end-play", "target_min"), ("pad-wear", "taper_limit"), ("pad-wear", "difference_limit"),
    ("torque-check", "target_max"), ("torque-adapter", "wrench_min"), ("torque-adapter", "wrench_max"), ("bedding-heat", "ceiling"),
    ("piston-match", "tolerance"), ("stopping-check", "required_distance"),
    # what describes the reading itself
    ("rotor-thickness", "groove_depth"), ("torque-check", "tool_tolerance"), ("gravity-bleed", "fluid_viscosity"),
    *((name, "tool_uncertainty") for name, found in catalogue().items() if "tool_uncertainty" in found.inputs),
    # what an entry left out is taken to be, by the contract of its calculator
    ("bearing-end-play", "hole_angle"), ("bearing-end-play", "offset_to_next_lock"), ("torque-adapter", "adapter_angle"),
    ("bolt-clamp", "tightening"), ("vin-check", "sold_in"),
}  # fmt: skip
ELSEWHERE_SAID = {
    "tool_uncertainty": "Tool uncertainty not given",
    "tool_tolerance": "Tolerance of the wrench not given",
    "fluid_viscosity": "Viscosity of",
}
WHOLE_JOBS = [(calculator, job) for calculator, job, _ in all_jobs()]


def kindness(calculator: str, entries: dict[str, str], system: str) -> int:
    """The place of the verdict's code, worst first; none judged is the kindest; refused or asked about is none at all."""
    try:
        verdict = named(calculator).run(system=system, **entries).verdict
    except EntryError:
        return -1
    return len(CODES) if verdict is None else CODES.index(verdict.code)


def drawn(data, spec, system: str) -> str | None:
    """An entry from inside the usual band, its unit typed; None where there is none to draw."""
    if spec.choices:
        return data.draw(st.sampled_from(list(spec.choices)))
    if spec.bands is None:
        return None
    edges = spec.bands.edges[0 if system == "metric" or len(spec.bands.edges) == 1 else 1]
    if spec.type == "integer":
        return str(data.draw(st.integers(int(edges.low), int(edges.high))))
    share = data.draw(st.integers(0, 20)) / 20
    unit = edges.unit or ("%" if "%" in UNITS_OF[spec.kind] else "")
    value = (edges.low + share**3 * (edges.high - edges.low)) * (100 if unit == "%" else 1)
    return f"{value:.4f} {unit}".strip()


@pytest.mark.parametrize("calculator, job", WHOLE_JOBS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_leaving_out_an_optional_entry_is_never_kinder(calculator, job, data):
    system, entries = system_of(job), dict(JOBS[calculator, job])
    specs = specs_for(calculator, entries)
    for name, spec in specs.items():
        if not spec.is_list and data.draw(st.integers(0, 2)) == 0 and (other := drawn(data, spec, system)):
            entries[name] = other
    if calculator == "bearing-end-play" and int(entries.get("nut_slots", "6")) % 2:
        entries["nut_slots"] = "6"  # an odd count that one seating cannot lock is “cannot tell”, by contract
    free = [name for name in entries if not specs[name].required and (calculator, name) not in LISTED]
    whole = kindness(calculator, entries, system)
    if whole < 0 or not free:
        return
    for out in [*([name] for name in free), data.draw(st.lists(st.sampled_from(free), min_size=1, unique=True))]:
        less = {name: entry for name, entry in entries.items() if name not in out}
        assert kindness(calculator, less, system) <= whole, (out, entries)


@pytest.mark.parametrize("calculator, name", sorted(LISTED))
def test_what_may_be_left_out_at_a_price_is_said_in_the_result(calculator, name):
    entries = dict(JOBS[calculator, "metric"])
    if name == "hole_angle":
        entries |= {"pin_holes": "2", "nut_slots": "6"}
    entries.pop(name, None)
    notes = named(calculator).run(**entries).notes
    said = ELSEWHERE_SAID.get(name, f"{named(calculator).inputs[name].label} not given: ")
    assert [note for note in notes if note.startswith(said)], notes


def test_the_list_is_the_one_the_calculators_declare():
    declared = {(name, spec.name) for name, found in catalogue().items() for spec in found.inputs.values() if spec.without}
    assert declared == {(calculator, name) for calculator, name in LISTED if name not in ELSEWHERE_SAID}


def test_reservoir_level_is_not_kinder_without_the_extension():
    job = {"caliper": "sliding", "piston_diameters": "54", "calipers": "2", "old_stack": "38", "new_stack": "40", "headroom": "40"}
    assert kindness("reservoir-level", job, "metric") <= kindness("reservoir-level", job | {"extension_now": "20.5"}, "metric")
