"""The calculators of the brake at their edges: what each says on either side. Worked by hand; bands are typed past."""

from __future__ import annotations

import pytest

from calculators import catalogue

READINGS = "; ".join(["24.0 mm"] * 8)


def run(name: str, system: str = "metric", **given):
    return catalogue()[name].run(system, **given)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def notes(result) -> str:
    return plain(" ".join(result.notes))


# rotor-thickness


@pytest.mark.parametrize("given, note, said", [
    ({"readings": "24.0 mm; 25.0 mm", "discard": "22.4 mm"}, "differ by more than 1 mm", False),
    ({"readings": "24.0 mm; 25.1 mm", "discard": "22.4 mm"}, "differ by more than 1 mm (0.04 in); the odd one is", True),
    ({"readings": "37.5 mm", "discard": "22.5 mm"}, "more than 15 mm", False),
    ({"readings": "37.6 mm", "discard": "22.5 mm"}, "more than 15 mm (0.6 in) from the discard thickness", True),
    ({"readings": "24.3 mm", "discard": "22.0 mm", "new": "24 mm"}, "thicker than the new rotor", False),
    ({"readings": "24.4 mm", "discard": "22.0 mm", "new": "24 mm"}, "thicker than the new rotor, 24 mm", True),
    ({"readings": "24.0 mm", "discard": "24.5 mm", "new": "25 mm"}, "usually 80 to 98 %", False),  # 98 %
    ({"readings": "24.0 mm", "discard": "24.6 mm", "new": "25 mm"}, "usually 80 to 98 %", True),
    ({"readings": "24.0 mm", "discard": "20 mm", "new": "25 mm"}, "usually 80 to 98 %", False),  # 80 %
    ({"readings": "24.0 mm", "discard": "19.9 mm", "new": "25 mm"}, "usually 80 to 98 %", True),
    ({"readings": "24.0 mm", "discard": "22.4 mm", "new": "25 mm"}, "Check the entries", False),
    ({"readings": "; ".join(["24.0 mm"] * 7), "discard": "22.4 mm"}, "Fewer than 8 readings", True),
    ({"readings": READINGS, "discard": "22.4 mm"}, "Fewer than 8 readings", False),
])  # fmt: skip
def test_rotor_notes(given, note, said):
    assert (note in notes(run("rotor-thickness", **given))) is said


def test_a_cut_counts_on_both_faces():
    # 24.0 − 2 × 0.2 = 23.6; 24.0 − 2 × 0.2 − U 0.1 = 23.5.
    given = {"readings": READINGS, "discard": "22.4 mm", "cut_per_side": "0.2 mm", "tool_uncertainty": "0.1 mm"}
    result = run("rotor-thickness", **given)
    assert result.values["thickness_after_cut"].value == pytest.approx(23.6)
    assert result.values["may_be_machined"].value is None
    assert run("rotor-thickness", **given, machine_to="23.5 mm").values["may_be_machined"].value is True
    assert run("rotor-thickness", **given, machine_to="23.51 mm").values["may_be_machined"].value is False


def test_a_limit_is_printed_as_finely_as_the_reading_it_judges():
    # 22.401 / 25.4 = 0.881929; 22.4 / 25.4 = 0.881890. As 0.882 the limit would read as not kept.
    result = run("rotor-thickness", "inch", readings="; ".join(["22.401 mm"] * 8), discard="22.4 mm", tool_uncertainty="0 mm")
    assert plain(result.verdict.text).startswith(
        "Within limits: thinnest 0.88193 in (22.401 mm) is above the discard thickness 0.88189 in (22.4 mm)"
    )


# pad-wear, lateral-runout


@pytest.mark.parametrize("inner, said", [("3.0 mm; 9.0 mm", False), ("3.0 mm; 9.1 mm", True), ("3.5 mm; 9.0 mm", False)])
def test_pad_readings_that_differ_by_more_than_6_mm(inner, said):
    result = run("pad-wear", inner=inner, outer="9.0 mm; 9.0 mm", limit="2.0 mm")
    assert ("the readings of the inner pad differ by more than 6 mm" in notes(result)) is said


@pytest.mark.parametrize("reading, said", [("12.3 mm", False), ("12.4 mm", True)])
def test_a_pad_thicker_than_new(reading, said):
    result = run("pad-wear", inner=reading, outer="11 mm", limit="2.0 mm", new="12 mm")
    assert ("thicker than the new lining, 12 mm" in notes(result)) is said


TILT = "0.040 mm; 0.028 mm; 0 mm; -0.028 mm; -0.040 mm; -0.028 mm; 0 mm; 0.028 mm"
HALF = "0.020 mm; 0.014 mm; 0 mm; -0.014 mm; -0.020 mm; -0.014 mm; 0 mm; 0.014 mm"


def test_within_the_limit_the_best_index_is_only_a_note():
    # The rotor's own tilt lies on the hub's: half a turn, two studs of four, takes it all away.
    result = run("lateral-runout", readings=TILT, hub_readings=HALF, studs="4", radius_ratio="1", limit="0.10 mm")
    assert result.verdict.code == "within" and result.values["best_index"].value == 2
    assert "By reckoning it would run truest by 2 wheel studs or bolt holes" in notes(result) and "No other index" not in notes(result)


def test_a_rotor_that_is_true_by_itself_has_no_better_index():
    result = run("lateral-runout", readings=TILT, hub_readings=TILT, studs="4", radius_ratio="1", limit="0.10 mm")
    assert result.values["best_index"].value == 0
    assert "No other index is better than the one it stands on." in notes(result) and "By reckoning" not in notes(result)


# brake fluid and pedal


def test_a_bottle_more_is_printed_as_more_than_the_bottles_before():
    # Line π/4·3²·1000 mm³ = 7.069 mL, piston 2290.22 mm² × 10 mm = 22.902 mL, reservoir; three fillings.
    given = {
        "line_bores": "3 mm",
        "line_lengths": "1 m",
        "piston_diameters": "54 mm",
        "piston_extensions": "10 mm",
        "flush_multiple": "3",
        "bottle": "500 mL",
    }
    for reservoir, needed, bottles in (("136.83 mL", "500.4 mL", 2), ("303.26 mL", "999.7 mL", 2), ("303.46 mL", "1000.3 mL", 3)):
        result = run("fluid-volume", reservoir=reservoir, **given)
        assert result.values["bottles"].value == bottles
        assert plain(result.values["fluid_needed"].text).startswith(f"at least {needed}")


@pytest.mark.parametrize("reading, said", [("289.5 °C", False), ("290.5 °C", True)])
def test_a_boiling_point_60_kelvin_over_fresh_fluid(reading, said):
    # DOT 4, fresh: 230 °C, FMVSS 116.
    assert ("Check the unit" in notes(run("fluid-condition", grade="DOT 4", boiling_point=reading))) is said


@pytest.mark.parametrize(
    "applied, code, said", [("60 mm", "within", "of its travel, not over 80 %."), ("59 mm", "beyond", "of its travel, over 80 %.")]
)
def test_words_on_the_pedal(applied, code, said):
    # 120 / 150 = 80 %, 49 CFR 570.55(c).
    result = run("pedal-reserve", pedal_free="180 mm", pedal_applied=applied, pedal_stop="30 mm")
    assert result.verdict.code == code and said in plain(result.verdict.text)


@pytest.mark.parametrize("more", [{"grade": "DOT 4"}, {"temperature": "20 °C"}, {"grade": "DOT 4", "temperature": "20 °C"}])
def test_a_viscosity_overrides_grade_and_temperature(more):
    given = {
        "head": "500 mm",
        "line_bore": "3 mm",
        "line_length": "3 m",
        "volume": "250 mL",
        "reservoir_usable": "100 mL",
        "fluid_viscosity": "14 mm²/s",
    }
    assert "grade and temperature are not used" in notes(run("gravity-bleed", **given, **more))
    assert "not used" not in notes(run("gravity-bleed", **given))


def test_viscosity_of_a_grade_is_said_from_thin_to_twice_that():
    # At 100 °C the low bound is the standard's own limit, 1.5 mm²/s: FMVSS 116 S5.1.3. 60 °C lies between.
    given = {"head": "500 mm", "line_bore": "3 mm", "line_length": "3 m", "volume": "250 mL", "reservoir_usable": "100 mL"}
    said = notes(run("gravity-bleed", **given, grade="DOT 4", temperature="55 °C")).partition("roughly ")[2].split()
    assert float(said[2]) == pytest.approx(2 * float(said[0]), rel=0.01)


# calipers, sides, torque


@pytest.mark.parametrize(
    "new, ratio, code", [("49.49 mm", "0.9797", "beyond"), ("50.51 mm", "1.021", "beyond"), ("50.2 mm", "1.01", "within")]
)
def test_the_ratio_is_printed_apart_from_both_ends_of_the_tolerance(new, ratio, code):
    # (49.49/50)² = 0.97970, (50.51/50)² = 1.02050, (50.2/50)² = 1.00802; allowed 0.98 to 1.02.
    result = run("piston-match", pistons_old="50 mm", pistons_new=new, tolerance="2 %")
    assert (result.values["ratio"].text, result.verdict.code) == (ratio, code)


def test_sides_below_freezing():
    result = run("axle-compare", left="-10 °C", right="-12 °C", limit="20 K")
    assert result.values["difference"].value == pytest.approx(2)


@pytest.mark.parametrize("right, said", [("15.0 mm", False), ("15.1 mm", True)])
def test_sides_that_differ_more_than_fifteen_times(right, said):
    assert ("may be in the other unit" in notes(run("axle-compare", left="1.0 mm", right=right, limit="1.6 mm"))) is said


@pytest.mark.parametrize("last, said", [("24.500 mm", False), ("24.495 mm", False), ("24.505 mm", True)])
def test_repeats_that_differ_by_more_than_fifty_steps(last, said):
    result = run("tool-uncertainty", resolution="0.01 mm", permissible_error="0.004 mm", repeats=f"24.000 mm; {last}")
    assert ("more than 50 times the resolution" in notes(result)) is said


@pytest.mark.parametrize("angle, said", [("0", False), ("60", False), ("90", True), ("120", False), ("180", False)])
def test_only_square_to_the_wrench_an_adapter_changes_nothing(angle, said):
    result = run("torque-adapter", target="110 N·m", wrench_length="400 mm", adapter_length="60 mm", adapter_angle=angle)
    assert ("At 90° the adapter changes nothing." in result.notes) is said


@pytest.mark.parametrize("adapter, said", [("299 mm", False), ("300 mm", True)])
def test_an_adapter_as_long_as_the_wrench(adapter, said):
    result = run("torque-adapter", target="110 N·m", wrench_length="300 mm", adapter_length=adapter)
    assert ("is not shorter than the wrench, 300 mm" in notes(result)) is said


# bolts: ISO 898-1, M12 × 1.75 of class 10.9: 84.3 mm² × 830 MPa = 70.0 kN; force = torque / (0.2 × 12 mm)


@pytest.mark.parametrize(
    "torque, code, said", [("126 N·m", "within", "not over 90 %"), ("170 N·m", "beyond", "over 90 %: the bolt may stretch for good")]
)
def test_words_on_the_proof_load(torque, code, said):
    result = run("bolt-clamp", torque=torque, diameter="12 mm", pitch="1.75 mm", property_class="10.9", nut_factor="0.2")
    assert result.verdict.code == code and f"of the proof load, {said}" in plain(result.verdict.text)


@pytest.mark.parametrize("given, note, said", [
    ({"diameter": "1/2 in", "pitch": "13 TPI", "property_class": "grade 5"}, "from 1/4 in", False),
    ({"diameter": "5 mm", "pitch": "0.8 mm", "property_class": "10.9"}, "from 1/4 in", False),
    ({"diameter": "12 mm", "pitch": "1.75 mm", "property_class": "10.9"}, "is unusual on a diameter", False),
    ({"diameter": "6 mm", "pitch": "1.5 mm", "property_class": "10.9"}, "is unusual on a diameter", True),  # 0.25
    ({"diameter": "6 mm", "pitch": "1.4 mm", "property_class": "10.9"}, "is unusual on a diameter", False),  # 0.233
    ({"diameter": "20 mm", "pitch": "0.75 mm", "property_class": "10.9"}, "is unusual on a diameter", True),  # 0.0375
    ({"diameter": "18 mm", "pitch": "0.75 mm", "property_class": "10.9"}, "is unusual on a diameter", False),  # 0.0417
])  # fmt: skip
def test_notes_on_a_bolt(given, note, said):
    assert (note in notes(run("bolt-clamp", torque="10 N·m", nut_factor="0.2", **given))) is said


# reservoir, stopping distance, cold rotors


@pytest.mark.parametrize("caliper, pistons, out, said", [
    ("sliding", "54 mm", "14 mm", False), ("sliding", "54 mm", "13 mm", True),  # the stack grows 14 mm, all of it on one side
    ("fixed", "40 mm; 40 mm", "7 mm", False), ("fixed", "40 mm; 40 mm", "6 mm", True),  # half of it on each
    ("fixed", "40 mm; 40 mm", "13 mm", False),
])  # fmt: skip
def test_room_for_the_new_stack(caliper, pistons, out, said):
    given = {"calipers": "2", "old_stack": "38 mm", "new_stack": "52 mm", "headroom": "40 mL"}
    result = run("reservoir-level", caliper=caliper, piston_diameters=pistons, extension_now=out, **given)
    assert ("too little to make room for the new stack" in notes(result)) is said


@pytest.mark.parametrize("distance, said", [("8.8 m", False), ("8.7 m", True), ("96 m", False), ("97 m", True)])
def test_decelerations_of_a_road_vehicle(distance, said):
    # From 50 km/h, v²/2s: 8.77 m is 11 m/s², 96.45 m is 1 m/s².
    assert ("(1 to 11 m/s² is usual)" in notes(run("stopping-check", speed="50 km/h", distance=distance))) is said


def test_both_distances_are_looked_at():
    result = run("stopping-check", speed="100 km/h", distance="60 m", required_distance="30 m")
    assert "harder than tyres grip" in notes(result)
    result = run("stopping-check", speed="50 km/h", distance="150 m", required_distance="180 m")
    assert notes(result).count("hardly any braking") == 2


@pytest.mark.parametrize("fine", ["left", "right", "limit"])
def test_a_difference_is_printed_as_finely_as_the_finest_entry(fine):
    given = {"left": "7.4 mm", "right": "5.1 mm", "limit": "1.6 mm", "tool_uncertainty": "0.05 mm"}
    # one digit more than the entries: 2.30 mm of tenths, 2.3000 mm of thousandths
    assert run("axle-compare", **given).values["difference"].text.startswith("2.30\N{NO-BREAK SPACE}mm")
    given[fine] = given[fine].replace(" mm", "00 mm")
    assert run("axle-compare", **given).values["difference"].text.startswith("2.3000\N{NO-BREAK SPACE}mm")


@pytest.mark.parametrize("count, note", [(2, True), (4, True), (5, False)])
def test_few_repeats(count, note):
    result = run("tool-uncertainty", resolution="0.01 mm", permissible_error="0.004 mm", repeats="; ".join(["24.10 mm"] * count))
    assert ("Fewer than 5 repeats" in notes(result)) is note


def test_a_winter_morning_before_bedding():
    inputs = catalogue()["bedding-heat"].inputs
    assert {name for name, spec in inputs.items() if spec.kind == "temperature" and spec.negative} == {"start", "ambient"}


def test_forces_near_zero_are_still_compared():
    assert run("brake-balance", left="0.5 N", right="0.5 N", limit="30 %").verdict.code == "within"
    assert run("brake-balance", left="0 N", right="0 N", limit="30 %").verdict.code == "cannot-tell"


def test_a_lever_of_half_a_millimetre_is_one():
    # 1 N·m × 300 / (300 − 299.5) = 600 N·m
    result = run("torque-adapter", target="1 N·m", wrench_length="300 mm", adapter_length="299.5 mm", adapter_angle="180")
    assert result.values["setting"].value == pytest.approx(600)


def test_which_way_readings_count_is_said_only_of_a_rotor_that_may_move():
    said = "Readings count against the way the wheel is turned"
    assert said not in notes(run("lateral-runout", readings=TILT, limit="0.10 mm"))
    assert said in notes(run("lateral-runout", readings=TILT, hub_readings=HALF, studs="4", radius_ratio="1", limit="0.10 mm"))
