"""Bearing end play and grease at their edges, by hand. Threads of ASME B1.1, the window of RP 618A."""

from __future__ import annotations

import pytest

from calculators import catalogue

WINDOW = {"target_min": "0.001 in", "target_max": "0.005 in"}
SPINDLE = {"thread_pitch": "3/4-16", "nut_slots": "6"}  # 1/16 in × 60/360 = 0.010417 in a lock


def run(**given):
    return catalogue()["bearing-end-play"].run("inch", **given)


def notes(result) -> str:
    return " ".join(result.notes).replace("\N{NO-BREAK SPACE}", " ")


def text(result) -> str:
    return result.verdict.text.replace("\N{NO-BREAK SPACE}", " ")


def test_a_lock_that_leaves_no_more_than_the_tool_can_tell_is_not_reachable():
    # 1.5 mm × 60/360 = 0.25 mm; 0.26 − 0.25 = 0.01 mm may be preload where U is 0.01 mm, and 0.011 mm may not.
    given = {"target_max": "0.2 mm", "tool_uncertainty": "0.01 mm", "thread_pitch": "1.5 mm", "nut_slots": "6"}
    at_u = run(measured="0.26 mm", **given)
    assert at_u.values["reachable"].value == [] and at_u.verdict.code == "beyond"
    over_u = run(measured="0.261 mm", **given)
    assert over_u.values["reachable"].value == [pytest.approx(0.011)] and over_u.verdict.code == "adjust"


@pytest.mark.parametrize("measured, holes, said", [
    ("0.0135", "1", " 1 lock position, which leaves"),  # 0.0135 − 0.0104 = 0.0031
    ("0.0080", "2", " 1 lock position, which leaves"),  # twelve locks of 0.0052: 0.0028
    ("0.0135", "2", " 2 lock positions, which leaves"),
    ("0.0240 in", "1", " 2 lock positions, which leaves"),  # 0.0240 − 0.0208 = 0.0032
])  # fmt: skip
def test_one_lock_or_more(measured, holes, said):
    result = run(measured=measured, pin_holes=holes, **WINDOW, **SPINDLE)
    assert result.verdict.code == "adjust" and said in text(result)


@pytest.mark.parametrize(
    "slots, fits, said", [("6", "1", False), ("5", "6", True), ("9", "2", True), ("5", "1", False), ("12", "1", False)]
)
def test_an_odd_count_of_slots(slots, fits, said):
    result = run(measured="0.003", **WINDOW, thread_pitch="3/4-16", nut_slots=slots, retainer_fits=fits)
    assert ("An odd count of slots" in notes(result)) is said


def test_both_steps_of_uneven_locks_are_named():
    result = run(measured="0.003", **WINDOW, **SPINDLE, pin_holes="2", hole_angle="45")
    assert "unevenly spaced, 45° and 15° in turn" in notes(result)


@pytest.mark.parametrize("measured, said", [("0.0012", True), ("0.0015", True), ("0.0016", False)])
def test_not_surely_above_the_least_without_a_nut(measured, said):
    # U = 0.0005: 0.0015 − 0.0005 = 0.001 is at the least, not above it.
    result = run(measured=measured, **WINDOW, tool_uncertainty="0.0005 in")
    assert ("too close to the least end play" in text(result)) is said and (result.verdict.code == "too-close") is said


def test_what_is_judged_without_a_nut():
    note = "Least end play not given: only the most is judged"
    assert note not in notes(run(measured="0.003", **WINDOW))
    assert note in notes(run(measured="0.003", target_max="0.005 in"))


@pytest.mark.parametrize("nut, said", [
    ({}, "measure again with a finer indicator"), ({"nut_slots": "6"}, "loosen the nut by one lock position"),
    ({"thread_pitch": "3/4-16"}, "loosen the nut by one lock position"),
])  # fmt: skip
def test_a_reading_no_more_than_the_tool_can_tell(nut, said):
    result = run(measured="0.0010 in", tool_uncertainty="0.0010 in", **WINDOW, **nut)
    assert result.verdict.code == "cannot-tell" and said in text(result)


# grease


BEARING = {"bore": "30 mm", "outside_diameter": "62 mm", "width": "17.25 mm"}


@pytest.mark.parametrize("given, said", [
    ({"mass": "0.23 kg"}, True), ({}, False), ({"mass": "0.23 kg", "cavity_volume": "100 mL"}, False),
    ({"mass": "0.23 kg", "cavity_volume": "100 mL", "cavity_fraction": "30 %"}, False),
])  # fmt: skip
def test_whether_the_cavity_is_counted(given, said):
    result = catalogue()["bearing-grease"].run(**BEARING, **given)
    assert ("The grease of the hub cavity is not counted: its volume was not given." in result.notes) is said


def test_half_filled_is_half_of_the_free_space():
    full = catalogue()["bearing-grease"].run(**BEARING, mass="0.23 kg")
    half = catalogue()["bearing-grease"].run(**BEARING, mass="0.23 kg", fill_fraction="50 %")
    assert half.values["grease_volume"].value == pytest.approx(full.values["free_volume"].value / 2)
    # π/4 × 17.25 × (62² − 30²) mm³ = 39.886 mL, less 230 g / 7.85 g/cm³ = 29.299 mL
    assert full.values["free_volume"].value == pytest.approx(10.587, abs=0.001)


@pytest.mark.parametrize("mass, note", [("103 g", True), ("106 g", False), ("150 g", False)])
def test_a_bearing_that_would_be_mostly_empty(mass, note):
    # A third of 39.886 mL × 7.85 g/cm³ is 104.4 g; half would be 156.6 g.
    result = catalogue()["bearing-grease"].run(**BEARING, mass=mass)
    assert ("more than two thirds empty" in " ".join(result.notes)) is note
