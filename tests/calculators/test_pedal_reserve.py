"""pedal-reserve. 80 % of the travel at 50 lb: 49 CFR 570.55(c); shares worked with fractions here."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

PEDAL = catalogue()["pedal-reserve"]


def run(system="metric", pedal_free="180", pedal_applied="80", pedal_stop="30", **given):
    return PEDAL.run(system=system, pedal_free=pedal_free, pedal_applied=pedal_applied, pedal_stop=pedal_stop, **given)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    PEDAL.worked_example()


@pytest.mark.parametrize("applied, code", [("40", "within"), ("40.1", "within"), ("39.9", "beyond"), ("0", "beyond"), ("190", "within")])
def test_the_limit_of_the_inspection_rule(applied, code):
    # 49 CFR 570.55(c): not over 80 % of the available travel: of 200 mm to the floor, 160 mm
    assert run(pedal_free="200", pedal_applied=applied, pedal_stop="0").verdict.code == code


@pytest.mark.parametrize("free, applied, stop", [("180", "80", "30"), ("165.5", "70", "12"), ("200", "60", "0"), ("7.25", "3.5", "1.5")])
def test_share_of_the_travel(free, applied, stop):
    exact = (Fraction(free) - Fraction(applied)) / (Fraction(free) - Fraction(stop))
    system = "inch" if free == "7.25" else "metric"
    result = run(system, free, applied, stop)
    assert result.values["travel_used"].value == pytest.approx(float(exact), rel=1e-11)
    assert result.values["travel_used"].unit == ""


@pytest.mark.parametrize("a, b, per_cent", [(150, 30, 80), (160, 40, 75), (150, 45, 70), (125, 50, 60), (120, 90, 25)])
def test_the_percentage_as_the_rule_computes_it(a, b, per_cent):
    # 49 CFR 570.55(c)(1): A from the free pedal to the floor, B from the depressed pedal to the floor; (A − B)/A × 100
    for floor in (0, 20):  # the carpet or bracket that stops the pedal first
        found = run(pedal_free=f"{a + floor}", pedal_applied=f"{b + floor}", pedal_stop=f"{floor}").values["travel_used"]
        assert found.value * 100 == pytest.approx(per_cent, rel=1e-11)


@pytest.mark.parametrize(
    "free, applied, stop", [("150", "54", "30"), ("180", "76", "50"), ("187.5", "62.5", "31.25"), ("110", "33.2", "14")]
)
def test_exactly_four_fifths_is_within_whatever_the_floats_say(free, applied, stop):
    assert (Fraction(free) - Fraction(applied)) / (Fraction(free) - Fraction(stop)) == Fraction(4, 5)
    assert run(pedal_free=free, pedal_applied=applied, pedal_stop=stop).verdict.code == "within"


def test_text_and_verdict_agree_close_to_the_limit():
    # 160.02/200 = 80.01 %
    result = run(pedal_free="200", pedal_applied="39.98", pedal_stop="0")
    assert result.verdict.code == "beyond"
    assert plain(result.values["travel_used"].text) == "80.01 %"


def test_a_pedal_at_its_stop_is_the_worst_finding_and_no_mistake():
    result = run(pedal_applied="30")
    assert result.values["travel_used"].value == 1
    assert result.verdict.code == "beyond" and "off the road" in result.verdict.text


def test_both_systems_judge_alike():
    assert run("inch", "7", "3", "1").values["travel_used"].value == pytest.approx(
        run("metric", "177.8", "76.2", "25.4").values["travel_used"].value
    )


def test_force_and_stroke_are_said():
    # 50 lbf × 4.4482216152605 N = 222 N
    assert any("50 lbf (222 N)" in note and "first stroke" in note for note in run().notes)
    assert f"{50 * 4.4482216152605:.0f}" == "222"


@pytest.mark.parametrize("given, error", [
    ({"pedal_applied": "180"}, Contradiction),         # it did not move
    ({"pedal_applied": "190"}, Contradiction),
    ({"pedal_applied": "20"}, Contradiction),          # below its stop
    ({"pedal_stop": "180"}, Contradiction),
    ({"pedal_free": "7"}, AmbiguousEntry),             # inches
    ({"pedal_applied": "3"}, AmbiguousEntry),
    ({"pedal_free": "400 mm"}, OutOfBand),
    ({"pedal_free": "-180"}, UnreadableEntry),
    ({"pedal_stop": ""}, MissingInput),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert "\n" not in str(caught.value)
