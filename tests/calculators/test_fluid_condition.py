"""fluid-condition against the table of 49 CFR 571.116 (FMVSS 116), as printed in °C and °F, and ISO 14253-1."""

from __future__ import annotations

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

FLUID = catalogue()["fluid-condition"]

# 49 CFR 571.116 S5.1.1 and S5.1.2, minimum dry and wet equilibrium reflux boiling points: °C (°F)
TABLE = {
    "DOT 3": ("205 °C", "401 °F", "140 °C", "284 °F"),
    "DOT 4": ("230 °C", "446 °F", "155 °C", "311 °F"),
    "DOT 5": ("260 °C", "500 °F", "180 °C", "356 °F"),
    "DOT 5.1": ("260 °C", "500 °F", "180 °C", "356 °F"),
}


def run(system="metric", grade="DOT 4", boiling_point="168 °C", **given):
    return FLUID.run(system=system, grade=grade, boiling_point=boiling_point, **given)


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    FLUID.worked_example()


@pytest.mark.parametrize("grade", TABLE)
@pytest.mark.parametrize("column", range(4))
def test_margins_vanish_at_the_limits_of_the_regulation(grade, column):
    result = run(grade=grade, boiling_point=TABLE[grade][column])
    assert value(result, "margin_to_dry" if column < 2 else "margin_to_wet") == pytest.approx(0, abs=1e-9)
    assert result.values["margin_to_wet"].unit == "K"


@pytest.mark.parametrize("grade, reading, code", [
    ("DOT 3", "141 °C", "within"), ("DOT 3", "140 °C", "beyond"), ("DOT 3", "284 °F", "beyond"), ("DOT 3", "285 °F", "within"),
    ("DOT 4", "156 °C", "within"), ("DOT 4", "155 °C", "beyond"), ("DOT 4", "311 °F", "beyond"), ("DOT 4", "312 °F", "within"),
    ("DOT 5.1", "181 °C", "within"), ("DOT 5.1", "180 °C", "beyond"), ("DOT 5.1", "356 °F", "beyond"), ("DOT 5.1", "357 °F", "within"),
])  # fmt: skip
def test_a_boiling_point_at_the_wet_minimum_is_beyond(grade, reading, code):
    # strict at equality (ISO 14253-1), in either unit
    assert run(grade=grade, boiling_point=reading, tool_uncertainty="0").verdict.code == code


@pytest.mark.parametrize("reading, code", [("159", "within"), ("158", "too-close"), ("153", "too-close"), ("152", "beyond")])
def test_guard_band_of_the_tester(reading, code):
    # ISO 14253-1: 155 °C with U 3 K: within above 158, beyond at 152 and under
    assert run(boiling_point=f"{reading} °C", tool_uncertainty="3").verdict.code == code


@pytest.mark.parametrize("uncertainty", ["3 K", "3 °C", "5.4 delta °F", "5.4 °F"])
def test_an_uncertainty_is_a_difference(uncertainty):
    # 5.4 / 1.8 = 3 exactly
    result = run(boiling_point="158 °C", tool_uncertainty=uncertainty)
    assert result.verdict.code == "too-close"
    assert result.inputs["tool_uncertainty"]["value"] in (3, 5.4)


def test_margins_in_both_systems():
    # 168 − 230 = −62 K = −111.6 delta °F; 168 − 155 = 13 K = 23.4 delta °F
    result = run(boiling_point="168 °C")
    assert (value(result, "margin_to_dry"), value(result, "margin_to_wet")) == (pytest.approx(-62), pytest.approx(13))
    assert plain(result.values["margin_to_wet"].text) == "13.0 K (23.4 delta °F)"
    # 334.4 °F = 168 °C exactly
    inch = run("inch", boiling_point="334.4 °F")
    assert value(inch, "margin_to_wet") == pytest.approx(13)
    assert plain(inch.values["margin_to_wet"].text).startswith("23.40 delta °F")


def test_silicone_is_not_judged():
    # water does not dissolve in DOT 5: from memory
    for reading in ("100 °C", "180 °C", "260 °C"):
        result = run(grade="DOT 5", boiling_point=reading)
        assert result.verdict.code == "cannot-tell"
        assert value(result, "margin_to_wet") is not None


@pytest.mark.parametrize("spelling", ["DOT 4", "dot4", "DOT-4", "4"])
def test_spellings_of_a_grade(spelling):
    assert run(grade=spelling).inputs["grade"]["value"] == "DOT 4"


def test_grade_5_and_5_1_are_not_confused():
    assert run(grade="5.1", boiling_point="200 °C").verdict.code == "within"
    assert run(grade="5", boiling_point="200 °C").verdict.code == "cannot-tell"


def test_the_dangerous_slip_is_asked_about():
    # 284 °F is the wet limit of DOT 3; 284 °C would pass it. Bare, the unit is asked for; typed, it is pointed out
    with pytest.raises(AmbiguousEntry) as caught:
        run(grade="DOT 3", boiling_point="284")
    assert [c.entry for c in caught.value.candidates] == ["284 °C", "284 °F"]
    assert any("Check the unit" in note for note in run(grade="DOT 3", boiling_point="284 °C").notes)
    assert not any("Check the unit" in note for note in run(grade="DOT 3", boiling_point="230 °C").notes)


def test_what_overrides_the_reading_is_always_said():
    said = " ".join(run().notes)
    assert "caliper too" in said and "swollen cap seal" in said


def test_text_and_verdict_agree_close_to_the_limit():
    text = plain(run(boiling_point="155.04 °C", tool_uncertainty="0").verdict.text)
    assert "155.04 °C" in text and "155 °C (311 °F)" in text and "is above" in text


@pytest.mark.parametrize("given, error", [
    ({"boiling_point": "168"}, AmbiguousEntry),
    ({"boiling_point": "90 °C"}, OutOfBand),
    ({"boiling_point": "400 °C"}, OutOfBand),
    ({"boiling_point": "3 % water"}, UnreadableEntry),
    ({"boiling_point": "168 K"}, UnreadableEntry),
    ({"grade": "DOT 6"}, UnreadableEntry),
    ({"grade": ""}, MissingInput),
    ({"boiling_point": ""}, MissingInput),
    ({"tool_uncertainty": "-3"}, UnreadableEntry),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert "\n" not in str(caught.value)
