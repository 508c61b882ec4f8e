"""Pads, runout and the nut at their edges: notes, and how finely results are printed. Worked by hand."""

from __future__ import annotations

import pytest

from calculators import catalogue
from calculators.contract.errors import Contradiction


def run(name: str, **given):
    return catalogue()[name].run(**given)


def said(result) -> str:
    return " ".join(result.notes).replace("\N{NO-BREAK SPACE}", " ")


def figures(text: str) -> str:
    return text.partition("\N{NO-BREAK SPACE}")[0]


@pytest.mark.parametrize("limit, note", [("1.5 mm", True), ("1.6 mm", False), ("2.0 mm", False), ("3.0 mm", False)])
def test_a_lining_limit_under_a_sixteenth_of_an_inch(limit, note):
    # 1/16 in = 1.5875 mm, 49 CFR 570.
    result = run("pad-wear", inner="6.0 mm; 6.0 mm", outer="6.0 mm; 6.0 mm", limit=limit)
    assert ("The limit is under 1/16 in" in said(result)) is note


@pytest.mark.parametrize(
    "inner, outer, note",
    [
        ("6.0 mm; 6.0 mm", "6.0 mm; 6.0 mm", False),
        ("6.0 mm", "6.0 mm; 6.0 mm", True),
        ("6.0 mm; 6.0 mm", "6.0 mm", True),
        ("6.0 mm", "6.0 mm", True),
    ],
)
def test_one_reading_tells_no_taper(inner, outer, note):
    assert ("One reading of a pad tells no taper" in said(run("pad-wear", inner=inner, outer=outer, limit="2.0 mm"))) is note


@pytest.mark.parametrize("inner, outer", [("6.000 mm; 6.1 mm", "7 mm; 7 mm"), ("7 mm; 7 mm", "6.000 mm; 6.1 mm")])
def test_lining_is_printed_as_finely_as_either_pad_was_read(inner, outer):
    assert figures(run("pad-wear", inner=inner, outer=outer, limit="2 mm").values["thinnest"].text) == "6.000"


def test_a_rotor_is_printed_as_finely_as_its_marks():
    given = {"readings": "24 mm; 24 mm", "tool_uncertainty": "0.1 mm"}
    assert figures(run("rotor-thickness", discard="22.40 mm", **given).values["thinnest"].text) == "24.00"
    assert figures(run("rotor-thickness", discard="22 mm", machine_to="23.00 mm", **given).values["thinnest"].text) == "24.00"


EIGHT = "0.02 mm; 0.01 mm; 0 mm; -0.01 mm; -0.02 mm; -0.01 mm; 0 mm; 0.01 mm"


@pytest.mark.parametrize("count, note", [(5, True), (7, True), (8, False), (9, False)])
def test_enough_readings_round_a_turn(count, note):
    readings = "; ".join(f"0.0{k % 2} mm" for k in range(count))
    assert ("Fewer than 8 readings" in said(run("lateral-runout", readings=readings, limit="0.10 mm"))) is note


@pytest.mark.parametrize("count", [4, 73])
def test_too_few_or_too_many_readings(count):
    with pytest.raises(Contradiction, match=f"{count} readings; expected 8 to 72"):
        run("lateral-runout", readings="; ".join(["0.01 mm"] * count), limit="0.10 mm")


@pytest.mark.parametrize("odd, note", [("0.30 mm", True), ("0.20 mm", False), ("0.10 mm", False)])
def test_one_reading_that_stands_alone(odd, note):
    readings = f"{odd}; 0 mm; 0 mm; 0 mm; 0 mm; 0 mm; 0 mm; 0 mm"
    assert ("stands alone" in said(run("lateral-runout", readings=readings, limit="0.15 mm"))) is note


@pytest.mark.parametrize("hub, note", [
    ("0.02 mm; 0.01 mm; 0 mm; -0.01 mm; -0.02 mm; -0.01 mm; 0 mm; 0.01 mm", False),  # nearly a tilt: leaves about 0.006 mm of 0.025
    ("0.02 mm; -0.02 mm; 0.02 mm; -0.02 mm; 0.02 mm; -0.02 mm; 0.02 mm; -0.02 mm", True),  # no tilt at all: leaves 0.04 mm
])  # fmt: skip
def test_a_hub_face_that_is_uneven_beside_its_tilt(hub, note):
    result = run("lateral-runout", readings=EIGHT, hub_readings=hub, studs="5", radius_ratio="1", limit="0.10 mm")
    assert ("The hub face is uneven beside its tilt" in said(result)) is note


NUT = {"measured": "0.08 mm", "target_max": "0.10 mm", "thread_pitch": "1.5 mm", "nut_slots": "6"}


@pytest.mark.parametrize("given, note", [({}, True), ({"target_min": "0.02 mm"}, False)])
def test_a_least_end_play_that_was_not_given(given, note):
    assert (
        "Least end play not given: only the most is judged, and a lock may leave any play above 0."
        in said(run("bearing-end-play", **NUT, **given))
    ) is note


@pytest.mark.parametrize(
    "given, note",
    [
        ({"hole_angle": "60", "pin_holes": "1"}, True),
        ({"pin_holes": "1"}, False),
        ({"hole_angle": "60", "pin_holes": "2"}, False),
        ({"pin_holes": "2"}, False),
    ],
)
def test_an_angle_between_holes_that_is_not_used(given, note):
    assert ("The angle between the holes is not used" in said(run("bearing-end-play", **NUT, **given))) is note


@pytest.mark.parametrize("measured, note", [("0.50 mm", False), ("0.54 mm", True), ("0.51 mm", True)])
def test_more_than_ten_times_the_most(measured, note):
    result = run("bearing-end-play", measured=measured, target_max="0.05 mm")
    assert ("more than 10 times the most end play" in said(result)) is note


def test_least_and_most_may_be_one_figure():
    assert run("bearing-end-play", measured="0.08 mm", target_min="0.05 mm", target_max="0.05 mm").verdict.code == "beyond"


@pytest.mark.parametrize(
    "diameter, pitch, grade, note",
    [
        ("16 mm", "2 mm", "9.8", False),
        ("18 mm", "2.5 mm", "9.8", True),
        ("18 mm", "2.5 mm", "10.9", False),
        ("12 mm", "1.75 mm", "9.8", False),
    ],
)
def test_class_9_8_above_m16(diameter, pitch, grade, note):
    # ISO 898-1: 9.8 up to M16 only.
    result = run("bolt-clamp", torque="50 N·m", diameter=diameter, pitch=pitch, property_class=grade, nut_factor="0.2")
    assert ("standardised up to M16 only" in said(result)) is note


def test_where_the_ends_of_a_pad_stand_in_its_drawing():
    from calculators.pad_wear import _heights

    assert _heights(1, 50, 150) == [100] and _heights(2, 0, 112) == [6, 106]
