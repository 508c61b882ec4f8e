"""rotor-thickness. Limits from TM 9-2320-289-34 p. 7-3; guard bands from ISO 14253-1; the rest is worked by hand here."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, UnknownInput

ROTOR = catalogue()["rotor-thickness"]
SVG = "{http://www.w3.org/2000/svg}"
EIGHT = "24.1; 24.0; 24.1; 24.0; 23.9; 24.0; 24.1; 24.1"


def run(system="metric", **given):
    return ROTOR.run(system=system, **given)


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    ROTOR.worked_example()


@pytest.mark.parametrize("reading, code", [("22.011", "within"), ("22.010", "too-close"), ("21.990", "beyond"), ("21.991", "too-close")])
def test_guard_band_of_the_discard_thickness(reading, code):
    # ISO 14253-1: minimum 22.00 mm, U 0.010 mm (k = 2)
    assert run(readings=reading, discard="22.00 mm", tool_uncertainty="0.010 mm").verdict.code == code


def test_chance_of_one_standard_uncertainty():
    # P(true ≥ 22.00 | read 22.005, u 0.005) = Φ(1) = 0.841345, normal table
    result = run(readings="22.005 mm", discard="22.00 mm", tool_uncertainty="0.010 mm")
    assert f"{value(result, 'conformance_probability'):.6f}" == "0.841345"
    assert plain(result.values["conformance_probability"].text) == "84.1 %"


@pytest.mark.parametrize("reading, code", [("1.216 in", "within"), ("1.215 in", "beyond"), ("1.214 in", "beyond")])
def test_discard_of_a_light_truck(reading, code):
    # TM 9-2320-289-34 p. 7-3: discard at 1.215 in (30.86 mm)
    result = run(readings=reading, discard="1.215 in", tool_uncertainty="0")
    assert result.verdict.code == code
    assert result.inputs["discard"]["other"].replace("\N{NO-BREAK SPACE}", " ") == "30.86 mm"


@pytest.mark.parametrize("second, code", [("1.2405", "within"), ("1.2406", "beyond")])
def test_variation_of_a_light_truck(second, code):
    # the same page: thickness variation not over 0.0005 in
    result = run(system="inch", readings=f"1.2400 {second}", discard="1.215", variation_limit="0.0005", tool_uncertainty="0")
    assert result.verdict.code == code


def test_a_difference_of_two_readings_has_root_two_of_the_uncertainty():
    # 0.010 + √2·0.003 = 0.01424 ≤ 0.0143, but > 0.0142; with U alone both would be within
    at = {"readings": "24.010; 24.000", "discard": "22.4 mm", "tool_uncertainty": "0.003"}
    assert run(**at, variation_limit="0.0143 mm").verdict.code == "within"
    assert run(**at, variation_limit="0.0142 mm").verdict.code == "too-close"


def test_the_worst_of_two_limits_counts_and_both_are_named():
    verdict = run(readings="24.00; 24.10", discard="22.4 mm", variation_limit="0.015 mm").verdict
    assert verdict.code == "beyond"
    assert verdict.text.index("variation") < verdict.text.index("discard")


def test_figures_worked_by_hand():
    result = run(
        readings=EIGHT,
        discard="22.4 mm",
        new="26.0 mm",
        machine_to="23.0 mm",
        cut_per_side="0.2 mm",
        tool_uncertainty="0.02 mm",
        distance_run="60,000 km",
        distance_next="30,000 km",
    )
    wear = Decimal("26.0") - Decimal("23.9")  # over 60,000 km
    expected = {
        "thinnest": Decimal("23.9"), "margin": Decimal("1.5"), "variation": Decimal("0.2"), "thickness_after_cut": Decimal("23.5"),
        "wear_per_distance": wear / 60_000, "distance_left": Decimal("1.5") / wear * 60_000, "thinnest_at_next": Decimal("23.9") - wear / 2,
    }  # fmt: skip
    for name, number in expected.items():
        assert value(result, name) == pytest.approx(float(number), rel=1e-11), name
    assert value(result, "may_be_machined") is True
    assert [result.values[name].unit for name in ("thinnest", "wear_per_distance", "distance_left", "conformance_probability")] == [
        "mm",
        "mm/km",
        "km",
        "",
    ]
    assert result.verdict.code == "within"
    assert "Fewer than 8" not in " ".join(result.notes)


@pytest.mark.parametrize("machine_to, may", [("23.48", True), ("23.49", False)])
def test_machining_counts_the_uncertainty_and_both_faces(machine_to, may):
    # 23.9 − 0.02 − 2·0.2 = 23.48, and the limit itself may be reached
    result = run(readings="23.9", discard="22.4 mm", machine_to=f"{machine_to} mm", cut_per_side="0.2", tool_uncertainty="0.02")
    assert value(result, "may_be_machined") is may
    assert result.verdict.code == "within"  # machining is never the verdict


def test_grooves_make_flat_jaws_read_too_thick():
    result = run(readings="22.9", discard="22.4 mm", groove_depth="0.6 mm", tool_uncertainty="0.02")
    assert value(result, "thinnest") == pytest.approx(22.3)
    assert result.verdict.code == "beyond"


def test_a_rotor_that_will_not_last_keeps_todays_verdict():
    result = run(readings="23.0", discard="22.4 mm", new="26 mm", distance_run="60,000", distance_next="20,000", tool_uncertainty="0.02")
    assert value(result, "thinnest_at_next") == pytest.approx(22.0)  # 3 mm in 60,000 km, 1 mm more
    assert result.verdict.code == "within"
    assert "will not last to the next check" in result.verdict.text


def test_a_rotor_past_its_discard_has_no_distance_left():
    assert value(run(readings="22.0", discard="22.4 mm", new="26 mm", distance_run="60,000"), "distance_left") == 0


def test_no_wear_is_no_rate():
    result = run(readings="26.0", discard="22.4 mm", new="26 mm", distance_run="60,000", distance_next="20,000")
    for name in ("wear_per_distance", "distance_left", "thinnest_at_next"):
        assert value(result, name) is None
        assert result.values[name].text


def test_what_is_missing_is_said():
    result = run(readings="24.1", discard="22.4 mm")
    for name in ("thickness_after_cut", "may_be_machined", "wear_per_distance", "distance_left", "thinnest_at_next"):
        assert value(result, name) is None
        assert "needs" in result.values[name].text


def test_blank_uncertainty_is_half_of_the_last_digit_and_said_so():
    result = run(readings="24.1; 24.05", discard="22.4 mm")
    assert result.inputs["tool_uncertainty"]["value"] == 0.005
    assert any("half of the last digit" in note for note in result.notes)


def test_blank_uncertainty_of_fractions_is_half_of_one_over_the_denominator():
    result = run(readings="61/64; 15/16", discard="7/8 in", system="inch")
    assert result.inputs["tool_uncertainty"]["value"] == pytest.approx(1 / 128)  # 0.0078125 in


def test_an_explicit_zero_is_taken_with_a_note():
    result = run(readings="24.1", discard="22.4 mm", tool_uncertainty="0")
    assert value(result, "conformance_probability") is None
    assert any("Tool uncertainty 0" in note for note in result.notes)


def test_fewer_than_eight_readings_are_noted():
    assert any("Fewer than 8" in note for note in run(readings="24.1; 24.0", discard="22.4 mm").notes)


def test_text_follows_the_readers_system_and_values_do_not():
    metric, inch = (run(system=system, readings="24.10 mm", discard="22.40 mm") for system in ("metric", "inch"))
    assert plain(metric.values["thinnest"].text) == "24.10 mm (0.9488 in)"
    assert plain(inch.values["thinnest"].text) == "0.9488 in (24.10 mm)"
    assert value(metric, "thinnest") == value(inch, "thinnest") == 24.1


def test_more_digits_until_text_and_verdict_agree():
    # read to a tenth, 0.04 over the limit: «22.0 is above 22» would contradict itself
    text = plain(run(readings="22.1; 22.0", discard="0.8661 in", tool_uncertainty="0").verdict.text)
    assert "22.000 mm" in text and "21.999 mm" in text


@pytest.mark.parametrize(
    "given, input",
    [
        ({"discard": "26 mm", "new": "26 mm"}, "discard"),
        ({"discard": "22.4 mm", "machine_to": "22.3 mm"}, "discard"),
        ({"discard": "2.6 mm", "readings": "2.9 mm", "groove_depth": "2.9 mm"}, "groove_depth"),
    ],
)
def test_entries_that_contradict_each_other_are_refused(given, input):
    with pytest.raises(Contradiction) as caught:
        run(**({"readings": "24.1"} | given))
    assert caught.value.input == input


def test_machine_to_may_equal_discard():
    assert run(readings="24.1", discard="22.4 mm", machine_to="22.4 mm").verdict.code == "within"


@pytest.mark.parametrize(
    "given, input",
    [
        ({"readings": "24.1; 22.9", "discard": "22 mm"}, "readings"),  # more than 1 mm apart
        ({"readings": "40.1", "discard": "22 mm"}, "readings"),  # more than 15 mm from discard
        ({"readings": "26.5", "discard": "22 mm", "new": "26 mm"}, "readings"),  # thicker than new
        ({"readings": "24.1 mm", "discard": "15", "new": "26 mm"}, "discard"),  # under 80 % of new
    ],
)
def test_cross_checks_ask_once_and_take_a_typed_unit_as_the_answer(given, input):
    with pytest.raises(AmbiguousEntry) as caught:
        run(**given)
    assert caught.value.input == input
    [candidate] = caught.value.candidates
    answered = run(**(given | {input: candidate.entry}))
    assert any(note.startswith("Check the entries") for note in answered.notes)


def test_missing_and_unknown_inputs():
    with pytest.raises(MissingInput, match="discard: missing"):
        run(readings="24.1")
    with pytest.raises(MissingInput, match="readings: missing"):
        run(readings=[], discard="22.4 mm")
    with pytest.raises(UnknownInput, match="did you mean discard"):
        run(readings="24.1", discrad="22.4 mm")


# The drawing


def drawn(**given):
    """Its words by height, its description, and its strokes across the rotor: height → whether dashed."""
    root = ElementTree.fromstring(run(**given).figure)
    words = {plain(text.text): float(text.get("y")) for text in root.iter(f"{SVG}text")}
    across = {}
    for path in root.iter(f"{SVG}path"):
        ends = (
            [tuple(map(float, end.split())) for end in path.get("d").lstrip("M").split("L")]
            if "Z" not in path.get("d") and path.get("d").count("M") == 1
            else []
        )
        if len(ends) == 2 and ends[0][1] == ends[1][1] and ends[1][0] - ends[0][0] > 80:
            across[ends[0][1]] = "stroke-dasharray" in path.attrib
    return words, plain(root.find(f"{SVG}desc").text), across


def test_the_drawing_keeps_one_scale_for_all_its_marks():
    given = {
        "readings": "24.00; 24.02",
        "discard": "22.4",
        "machine_to": "23.0",
        "new": "26.0",
        "cut_per_side": "0.4",
        "tool_uncertainty": "0.02",
    }
    words, said, across = drawn(**given)
    heights = sorted(across)
    at = dict(zip(["new", "thinnest", "after", "machine_to", "discard"], heights, strict=True))
    assert [across[height] for height in heights] == [False, False, False, True, True]  # limits are dashed
    scale = (at["discard"] - at["new"]) / 3.6  # 26.0 − 22.4 mm
    assert [at["thinnest"] - at["new"], at["after"] - at["new"], at["machine_to"] - at["new"]] == pytest.approx(
        [2.0 * scale, 2.8 * scale, 3.0 * scale], abs=0.11
    )
    ordered = ["New 26.0 mm", "Thinnest 24.00 mm", "After cut 23.200 mm", "Machine-to 23.0 mm", "Discard 22.4 mm"]
    assert said == f"From thick to thin: {'; '.join(ordered)}. The reading is good to ± 0.02 mm."
    places = [words[label] for label in ordered]
    assert min(after - before for before, after in pairwise(places)) >= 22.9  # never over each other
    assert "Ticks every 0.5 mm; middle left out." in words  # the scale does not start at 0, and the drawing says so


def test_what_was_not_given_is_not_drawn():
    words, _, across = drawn(readings="24.0", discard="22.4 mm")
    assert len(across) == 2
    assert not [word for word in words if word.startswith(("New", "Machine", "After"))]


@pytest.mark.parametrize(
    "reading, order", [("22.0", ["Discard 22.4 mm", "Thinnest 22.0 mm"]), ("22.4", ["Thinnest 22.4 mm", "Discard 22.4 mm"])]
)
def test_at_and_under_discard_the_drawing_says_so(reading, order):
    words, said, _ = drawn(readings=f"{reading} mm", discard="22.4 mm", tool_uncertainty="0")
    assert "; ".join(order) in said
    assert words[order[0]] < words[order[1]]


def test_the_drawing_speaks_the_readers_units():
    words, said, _ = drawn(system="inch", readings="1.2400; 1.2402", discard="1.215", machine_to="1.230")
    assert {"Thinnest 1.2400 in", "Machine-to 1.230 in", "Discard 1.215 in"} <= set(words)
    assert "mm" not in said + " ".join(words)


# May it be turned?

MARKS = {"discard": "1.215", "machine_to": "1.230"}  # TM 9-2320-289-34 p. 7-3


def inch(**given):
    return catalogue()["rotor-thickness"].run(system="inch", **MARKS | given)


def test_without_a_cut_the_answer_is_no_or_the_deepest_cut():
    # 1.220 in is over discard and under machine-to: keep it, do not turn it
    result = inch(readings="1.220")
    assert value(result, "may_be_machined") is False and value(result, "deepest_cut") == 0
    assert result.verdict.code == "within"
    text = result.verdict.text.replace("\N{NO-BREAK SPACE}", " ")
    assert "Keep: 0.0050 in (0.127 mm) left over discard. Machine: no" in text and "machine-to thickness 1.230 in" in text
    # (1.2500 − 0.00005 − 1.230)/2 = 0.009975
    result = inch(readings="1.2500; 1.2501")
    assert value(result, "may_be_machined") is True
    assert value(result, "deepest_cut") / 25.4 == pytest.approx(0.009975)
    assert "Machine: yes, 0.00997 in" in result.verdict.text.replace("\N{NO-BREAK SPACE}", " ")  # never rounded up


@pytest.mark.parametrize("reading, may", [("1.2305", True), ("1.2301", True), ("1.23005", False), ("1.2300", False)])
def test_the_uncertainty_counts_against_turning(reading, may):
    # U = 0.00005: 1.23005 − 0.00005 is at machine-to, where nothing is left to cut
    assert value(inch(readings=f"{reading} in", tool_uncertainty="0.00005 in"), "may_be_machined") is may


def test_a_cut_deeper_than_may_be_is_a_no_with_the_deepest():
    result = inch(readings="1.240; 1.241", cut_per_side="0.009")
    assert value(result, "may_be_machined") is False
    assert "not by 0.009" in result.verdict.text and "at most" in result.verdict.text
    assert result.verdict.text.startswith("Within limits")


def test_a_planned_cut_under_discard_is_said_first():
    result = inch(readings="1.225; 1.226", cut_per_side="0.006")  # leaves 1.213
    assert result.verdict.text.startswith("Do not take the planned cut: ")
    assert result.verdict.code == "within"  # machining is never the verdict
    assert "1.213" in result.verdict.text.partition("Within limits")[0]


def test_the_answer_is_no_without_machine_to_where_it_is_certain():
    # machine-to is never under discard
    given = {"readings": "1.2105; 1.2106", "machine_to": ""}
    assert value(inch(**given), "may_be_machined") is False
    assert value(inch(**given | {"readings": "1.240; 1.241"}), "may_be_machined") is None
    assert value(inch(**given | {"readings": "1.220; 1.221", "cut_per_side": "0.005"}), "may_be_machined") is False


def test_a_rotor_that_fails_another_limit_is_not_said_to_be_kept():
    result = inch(readings="1.250; 1.252", variation_limit="0.0005")
    assert result.verdict.code == "beyond" and "Keep" not in result.verdict.text and "Machine: yes" in result.verdict.text


def test_one_reading_tells_no_variation():
    result = inch(readings="1.250")
    assert value(result, "variation") is None and "two readings" in result.values["variation"].text
    assert inch(readings="1.250", variation_limit="0.0005").verdict.code == "cannot-tell"


def test_least_and_greatest_of_so_many_places():
    assert any("Fewer than 8" in note for note in inch(readings="1.250; 1.2503").notes)
    assert not any("Fewer than 8" in note for note in inch(readings="1.250; 1.2503", points="12").notes)
    with pytest.raises(Contradiction, match="2 places, and 3 readings"):
        inch(readings="1.250; 1.2503; 1.2501", points="2")
