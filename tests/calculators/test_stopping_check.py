"""stopping-check against the stopping distances of standards and exact units, computed in fractions."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

NO_BREAK = "\N{NO-BREAK SPACE}"
G = Fraction("9.80665")  # m/s², standard gravity, exact


def run(system="metric", **given):
    return catalogue()["stopping-check"].run(system, **given)


def test_seventy_metres_from_a_hundred():
    # 49 CFR 571.135 S7.5: 70 m from 100 km/h; v²/2s = 5.5115 m/s², 0.562 g.
    values = run(speed="100", distance="70").values
    assert f"{values['deceleration'].value:.4f}" == "5.5115"
    assert f"{values['fraction_of_g'].value:.3f}" == "0.562" and values["fraction_of_g"].text == f"56.2{NO_BREAK}%"


@pytest.mark.parametrize("speed", [50, 80, 100, 130])
def test_the_standards_distances_by_fractions(speed):
    # S ≤ 0.10 V + 0.0060 V² (49 CFR 571.135; the formula is from memory, its 70 m at 100 km/h is not).
    distance = Fraction(speed, 10) + Fraction(60, 10000) * speed**2
    values = run(speed=f"{speed} km/h", distance=f"{float(distance):.6f} m").values
    expected = (Fraction(speed * 1000, 3600)) ** 2 / (2 * distance)
    assert values["deceleration"].value == pytest.approx(float(expected), rel=1e-6)
    assert values["fraction_of_g"].value == pytest.approx(float(expected / G), rel=1e-6)


def test_without_power_unit():
    # 49 CFR 571.135 S7.11: 168 m from 100 km/h, by a quoted text; 2.2965 m/s² by fractions.
    expected = Fraction(100000, 3600) ** 2 / (2 * 168)
    assert run(speed="100", distance="168").values["deceleration"].value == pytest.approx(float(expected), rel=1e-9)


def test_twenty_five_feet_from_twenty_miles_an_hour():
    # 49 CFR 570, vehicles in use up to 10,000 lb: 25 ft from 20 mph (from memory). The arithmetic is exact:
    # 20 mph = 29 1/3 ft/s, so (88/3)²/50 ft/s²; 25 ft = 7.62 m.
    result = run("inch", speed="20", distance="25", required_distance="25")
    assert result.values["deceleration"].value == pytest.approx(float(Fraction(88, 3) ** 2 / 50 * Fraction("0.3048")), rel=1e-9)
    assert result.values["deceleration"].text.startswith(f"17.2{NO_BREAK}ft/s²")
    assert result.values["equivalent_distance"].value == pytest.approx(7.62, rel=1e-12)
    assert result.verdict.code == "within"


def test_distance_from_twenty_miles_an_hour_goes_with_the_square():
    # From 40 mph four times as long as from 20 mph; mile and foot exact.
    found = run("inch", speed="40", distance="100").values["equivalent_distance"]
    assert found.value == pytest.approx(float(25 * Fraction("0.3048")), rel=1e-9)
    metric = run(speed="100", distance="70").values["equivalent_distance"]
    assert metric.value == pytest.approx(float(70 * (20 * Fraction("1.609344") / 100) ** 2), rel=1e-9)


@pytest.mark.parametrize("feet_per_second_squared, per_cent", [(21, "65.2"), (17, "52.8"), (14, "43.5")])
def test_shares_of_g_as_a_state_prints_them(feet_per_second_squared, per_cent):
    # Pennsylvania Code, title 67, chapter 175, table I (brake performance): braking force in per cent beside ft/s², from 20 mph
    feet = Fraction(88, 3) ** 2 / (2 * feet_per_second_squared)
    values = run("inch", speed="20", distance=f"{float(feet):.9f}").values
    assert f"{values['deceleration'].value / 0.3048:.6f}" == f"{feet_per_second_squared}.000000"
    assert values["fraction_of_g"].value * 100 == pytest.approx(float(per_cent), abs=0.1)  # the table divides by 32.2 and rounds


@pytest.mark.parametrize("mph, feet", [("10", "9.3"), ("15", "20.8"), ("20", "37.0"), ("25", "58.0"), ("30", "83.3")])
def test_a_published_table_of_stopping_distances_is_one_deceleration(mph, feet):
    # American Samoa Code 22.1109: stopping distances by speed; 37 ft from 20 mph, the others its squares to 0.6 %
    found = run("inch", speed=mph, distance=feet).values["equivalent_distance"].value / 0.3048
    assert found == pytest.approx(37.0, rel=0.006)


def test_longer_than_required_is_beyond():
    result = run("inch", speed="20", distance="25.1", required_distance="25")
    assert result.verdict.code == "beyond" and "25.1" in result.verdict.text


def test_feet_and_metres_are_not_confused_at_the_limit():
    # 70 m = 229.6588 ft: 230 ft is over, 229 ft is not.
    assert run(speed="100", distance="230 ft", required_distance="70 m").verdict.code == "beyond"
    assert run(speed="100", distance="229 ft", required_distance="70 m").verdict.code == "within"


def test_equal_is_within_and_printed_alike():
    text = run(speed="100", distance="70", required_distance="70").verdict.text
    assert text.count(f"70{NO_BREAK}m (229.7{NO_BREAK}ft)") == 2


def test_no_required_distance_no_verdict():
    assert run(speed="50", distance="15").verdict is None


def test_slips_are_asked_about():
    with pytest.raises(AmbiguousEntry, match="harder than tyres grip"):
        run(speed="60", distance="12")
    with pytest.raises(AmbiguousEntry, match="hardly any braking"):
        run(speed="20", distance="25")
    with pytest.raises(AmbiguousEntry, match="260 ft"):
        run(speed="100", distance="260")
    typed = run(speed="60 km/h", distance="12 m")  # asked once: the units are the answer
    assert any("harder than tyres grip" in note for note in typed.notes)


def test_refusals():
    with pytest.raises(MissingInput, match="distance"):
        run(speed="50")
    with pytest.raises(OutOfBand, match="speed"):
        run(speed="300 km/h", distance="150")
    with pytest.raises(UnreadableEntry, match="below zero"):
        run(speed="50", distance="-12")
    with pytest.raises(UnreadableEntry, match="unit of"):
        run(speed="50 m", distance="15")


def test_worked_example():
    catalogue()["stopping-check"].worked_example()
