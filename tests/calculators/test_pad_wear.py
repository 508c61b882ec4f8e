"""pad-wear. Floors of 49 CFR 570 and 393.47, guard bands of ISO 14253-1; the rest is worked by hand with fractions here."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

PAD = catalogue()["pad-wear"]
SVG = "{http://www.w3.org/2000/svg}"


def run(system="metric", inner="6.0; 6.0", outer="6.0; 6.0", limit="2.0", **given):
    return PAD.run(system=system, inner=inner, outer=outer, limit=limit, **given)


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    PAD.worked_example()


@pytest.mark.parametrize("limit, mm", [("1/16 in", "1.588"), ("1/32 in", "0.794")])
def test_floors_of_bonded_and_riveted_lining(limit, mm):
    # 49 CFR 570.59(c): 1/16 in over the shoe (1.59 mm), 1/32 in over the fastener (0.79 mm); 1/16 × 25.4 exactly
    result = run(limit=limit)
    assert plain(result.inputs["limit"]["other"]) == f"{mm} mm"
    assert f"{result.inputs['limit']['value']:.4f}" == f"{float(Fraction(limit.split()[0])):.4f}"


@pytest.mark.parametrize("reading, code", [("1.5", "beyond"), ("1.6", "beyond"), ("1.7", "within")])
def test_floor_of_a_commercial_vehicle(reading, code):
    # 49 CFR 393.47: hydraulic disc brakes not less than 1.6 mm; a reading at the limit counts as beyond (ISO 14253-1, strict)
    assert run(inner=reading, limit="1.6", tool_uncertainty="0").verdict.code == code


@pytest.mark.parametrize("reading, code", [("2.051", "within"), ("2.050", "too-close"), ("1.950", "beyond"), ("1.951", "too-close")])
def test_guard_band_of_the_limit(reading, code):
    # ISO 14253-1: limit 2.00 mm, U 0.050 mm (k = 2)
    assert run(inner=reading, limit="2.00", tool_uncertainty="0.050").verdict.code == code


def test_taper_is_leading_less_trailing():
    # measured at both ends: TM 5-3825-226-24 p. 602; 7.2 − 5.4 = 1.8 and 6.0 − 6.5 = −0.5, by hand
    result = run(inner="7.2; 5.4", outer="6.0; 6.5")
    assert f"{value(result, 'inner_taper'):.2f}" == "1.80"
    assert f"{value(result, 'outer_taper'):.2f}" == "-0.50"
    assert plain(result.values["outer_taper"].text) == "0.50 mm (0.0197 in), thinner at the leading end"
    assert value(result, "pattern") == "tapered"


def test_inner_against_outer_is_between_the_means():
    # (4.2 + 3.9 + 3.7 + 3.5)/4 − (6.0 + 5.8)/2 = −2.075, with fractions
    exact = sum(map(Fraction, ("4.2", "3.9", "3.7", "3.5"))) / 4 - sum(map(Fraction, ("6.0", "5.8"))) / 2
    result = run(inner="4.2; 3.9; 3.7; 3.5", outer="6.0; 5.8")
    assert exact == Fraction(-83, 40)
    assert f"{value(result, 'inner_outer_difference'):.4f}" == f"{float(exact):.4f}" == "-2.0750"


@pytest.mark.parametrize("readings, along, across, pattern", [
    ("8.0; 8.0; 6.0; 6.0", 2, 0, "tapered"),             # leading end thick, trailing end thin
    ("8.0; 6.0; 8.0; 6.0", 0, 2, "tapered across"),      # outer edge thick, inner edge thin
    ("6.0; 8.0; 6.0; 8.0", 0, -2, "tapered across"),
    ("8.0; 6.0; 6.0; 8.0", 2, 2, "tapered; tapered across"),  # twisted: its mean ends are alike
    ("8.0; 7.9; 8.0; 8.1", 0.2, 0.1, "even"),            # 7.9 − 8.1 along the inner edge: −0.2
])  # fmt: skip
def test_four_readings_tell_taper_along_from_taper_across(readings, along, across, pattern):
    result = run(inner=readings, outer=readings, taper_limit="3.0")
    assert abs(value(result, "inner_taper")) == pytest.approx(abs(along))
    assert abs(value(result, "inner_taper_across")) == pytest.approx(abs(across))
    assert value(result, "pattern") == ("even" if abs(along) < 3 and abs(across) < 3 else pattern)  # judged by the limit given
    assert value(run(inner=readings, outer=readings), "pattern") == pattern
    assert run(inner=readings, outer=readings, taper_limit="1.0").verdict.code == ("within" if pattern == "even" else "beyond")


@pytest.mark.parametrize("count", [3, 5, 6, 8])
def test_readings_at_places_that_are_not_known_are_refused(count):
    with pytest.raises(
        Contradiction,
        match=f"{count} readings of one pad.*leading outer edge, leading inner edge, trailing outer edge, trailing inner edge",
    ):
        run(inner="; ".join(["6.0"] * count))


def test_both_figures_of_an_end_stand_in_the_drawing():
    drawn = ElementTree.fromstring(run(inner="8.1; 7.9; 6.2; 6.0", outer="7.0").figure)
    words = [plain(text.text) for text in drawn.iter(f"{SVG}text")]
    assert {"8.1 mm", "7.9 mm", "6.2 mm", "6.0 mm", "7.0 mm", "Leading end on top", "Figures: outer edge over inner edge"} <= set(words)


@pytest.mark.parametrize("inner, outer, pattern", [
    ("6.0; 6.0", "6.0; 6.0", "even"),
    ("7.0; 6.0", "6.5; 6.5", "even"),                  # 1.0 mm of taper is not over 1.0 mm
    ("7.1; 6.0", "6.5; 6.5", "tapered"),
    ("5.0; 5.0", "6.6; 6.6", "even"),                  # 1.6 mm is not over 1.6 mm
    ("4.9; 4.9", "6.6; 6.6", "inner worn more"),
    ("6.6; 6.6", "4.9; 4.9", "outer worn more"),
    ("5.5; 4.0", "7.0; 7.0", "tapered; inner worn more"),
])  # fmt: skip
def test_pattern_by_the_usual_figures(inner, outer, pattern):
    # 1.0 mm and 1.6 mm (1/16 in): common practice, no published source
    result = run(inner=inner, outer=outer)
    assert value(result, "pattern") == pattern
    assert result.verdict.code == "within"  # the pattern alone gives no verdict


@pytest.mark.parametrize("given, code", [
    ({"taper_limit": "1.5"}, "within"),
    ({"taper_limit": "1.2"}, "beyond"),
    ({"taper_limit": "1.3"}, "too-close"),             # 1.3 ± √2·0.05 = 1.2293 to 1.3707 straddles 1.3
    ({"taper_limit": "1.37"}, "too-close"),            # 1.3 + 0.0707 > 1.37
    ({"taper_limit": "1.38"}, "within"),
    ({"difference_limit": "0.5"}, "beyond"),           # means 6.05 and 5.4: 0.65 − 0.0707 > 0.5
    ({"difference_limit": "0.75"}, "within"),
])  # fmt: skip
def test_taper_and_difference_judge_where_their_limit_is_given(given, code):
    result = run(inner="6.7; 5.4", outer="5.4; 5.4", tool_uncertainty="0.05", **given)
    assert result.verdict.code == code


def test_a_negative_taper_is_judged_by_its_size():
    result = run(inner="5.0; 6.3", taper_limit="1.0")
    assert result.verdict.code == "beyond"
    assert "inner taper 1.30 mm (0.0512 in), thinner at the leading end: over the taper limit 1.0 mm" in plain(result.verdict.text)


def test_wear_and_what_is_left():
    # (11 − 3.5) mm / 45,000 km; (3.5 − 2) / that = 9000 km; 3.5 − 15,000 × that = 1 mm: with fractions
    result = run(inner="3.5; 4.2", new="11", distance_run="45,000", distance_next="15,000")
    wear = (Fraction(11) - Fraction("3.5")) / 45_000
    assert value(result, "wear_per_distance") == pytest.approx(float(wear), rel=1e-11)
    assert value(result, "distance_left") == pytest.approx(float(Fraction("1.5") / wear), rel=1e-11) == pytest.approx(9000)
    assert value(result, "thinnest_at_next") == pytest.approx(float(Fraction("3.5") - 15_000 * wear), rel=1e-11)
    assert result.verdict.code == "within"
    assert "will not last to the next check" in result.verdict.text


def test_worn_through_before_the_next_check_is_said_without_a_negative_thickness():
    result = run(inner="2.5; 2.6", new="11", distance_run="20,000", distance_next="20,000")
    assert value(result, "thinnest_at_next") == pytest.approx(-6)
    assert "worn through by then" in result.verdict.text


def test_a_lining_that_is_gone_is_a_finding_and_no_mistake():
    result = run(inner="0 mm; 0.3 mm")
    assert result.verdict.code == "beyond"
    assert any("No lining is left" in note for note in result.notes)


def test_null_says_what_is_missing():
    result = run(inner="6.0", outer="6.0")
    for name in ("inner_taper", "outer_taper", "wear_per_distance", "distance_left", "thinnest_at_next"):
        assert value(result, name) is None and "needs" in result.values[name].text
    assert value(run(new="11", distance_run="45,000"), "thinnest_at_next") is None
    assert value(run(new="6.0", distance_run="45,000"), "wear_per_distance") is None  # nothing worn


def test_notes_by_pattern_and_caliper():
    said = " ".join(run(inner="4.0; 4.0", outer="7.0; 7.0", caliper="fixed").notes)
    assert "piston or its seal" in said and "stuck piston may be on the side of the thick pad" in said
    assert "thick pad" not in " ".join(run(caliper="fixed").notes)


def test_the_uncertainty_is_half_of_the_last_digit_of_either_pad():
    result = run(inner="6; 6", outer="6.0; 6.0")
    assert plain(result.inputs["tool_uncertainty"]["text"]) == "0.05 mm" and result.inputs["tool_uncertainty"]["default"]
    assert any("inner and outer" in note for note in result.notes)


def test_both_systems_judge_alike():
    metric = run(inner="6.35; 5.08", outer="6.35; 6.35", limit="2.54", tool_uncertainty="0.0254 mm", taper_limit="1.27")
    inch = run("inch", inner="0.25; 0.2", outer="0.25; 0.25", limit="0.1", tool_uncertainty="0.001", taper_limit="0.05")
    assert metric.verdict.code == inch.verdict.code == "too-close"
    for name in metric.values:
        assert value(metric, name) == pytest.approx(value(inch, name))


@pytest.mark.parametrize("given, error", [
    ({"inner": "0.25; 0.25"}, AmbiguousEntry),         # inches in a millimetre field, or really worn out
    ({"inner": "6.0; 0.236"}, AmbiguousEntry),
    ({"limit": "0.079"}, AmbiguousEntry),
    ({"inner": "14.0; 6.0"}, AmbiguousEntry),          # 8 mm apart on one pad
    ({"inner": "11.6; 11.5", "new": "11"}, AmbiguousEntry),
    ({"inner": "25 mm"}, OutOfBand),
    ({"limit": "9 mm"}, OutOfBand),
    ({"inner": "-1"}, UnreadableEntry),
    ({"caliper": "floating"}, UnreadableEntry),
    ({"new": "6 mm", "limit": "6 mm"}, Contradiction),
    ({"outer": ""}, MissingInput),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("inner", ["6.0", "6.0; 5.0", "6.0; 5.9; 5.0; 4.9"])
def test_the_figure_is_a_drawing_of_both_pads(inner):
    drawn = ElementTree.fromstring(run("inch", inner=f"{inner} mm", outer="6.0 mm", limit="2.0 mm").figure)
    words = [plain(text.text) for text in drawn.iter(f"{SVG}text")]
    assert {"Inner", "Outer", "Dashed: limit 0.079 in"} <= set(words)
    assert not [e for e in drawn.iter() if "id" in e.attrib or "style" in e.attrib]
