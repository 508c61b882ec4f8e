"""gravity-bleed against a fluid-dynamics library, the limits of FMVSS 116 and a published sheet of ASTM D341."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry
from calculators.shared.brake_fluids import COLD, GRADES, HOT, least_viscosity, viscosity_between

LINE = {"head": "600", "line_bore": "3.34", "line_length": "3", "volume": "250", "reservoir_usable": "100"}


def run(system="metric", **given):
    return catalogue()["gravity-bleed"].run(system, **given)


def values(**given):
    return run(**given).values


def test_the_librarys_pressure_drop_drives_one_millilitre_a_second():
    # fluids 1.3.1, one_phase_dP(m=1.06e-3, rho=1060, mu=0.015, D=0.00334, L=3): 14,732.85 Pa at 1 mL/s, Re 26.94.
    head = 14732.85 / (1060 * 9.80665) * 1000
    found = values(**LINE | {"head": f"{head:.6f} mm", "fluid_viscosity": f"{0.015 / 1060 * 1e6:.9f}"})
    assert found["flow"].value == pytest.approx(60, rel=1e-6)
    assert f"{found['reynolds'].value:.2f}" == "26.94"


@pytest.mark.parametrize(
    "bore, length, viscosity, head, flow",
    [("3.34", "3", "11.53", "600", "31.1744"), ("2.5", "1.5", "20", "800", "15.0432"), ("5", "4", "30", "1000", "75.2161")],
)
def test_other_lines_by_the_library(bore, length, viscosity, head, flow):
    # fluids 1.3.1, one_phase_dP turned round: flows in mL/min at which the pressure drop is this head of fluid.
    found = values(**LINE | {"head": head, "line_bore": bore, "line_length": length, "fluid_viscosity": viscosity})
    assert f"{found['flow'].value:.4f}" == flow


def test_times_follow_from_the_flow():
    found = values(**LINE, fluid_viscosity="11.53")
    assert found["time"].value == pytest.approx(250 / 31.17442, rel=1e-6)
    assert found["top_up_interval"].value == pytest.approx(100 / 31.17442, rel=1e-6)
    assert found["top_ups"].value == 2 and found["top_ups"].text == "2"


@pytest.mark.parametrize(
    "volume, usable, times",
    [("100", "100", 0), ("100.1", "100", 1), ("200", "100", 1), ("0", "100", 0), ("30", "100", 0), ("300", "60", 4)],
)
def test_top_ups(volume, usable, times):
    # Full at the start: volume over usable, rounded up, less the first filling.
    assert values(**LINE | {"volume": volume, "reservoir_usable": usable}, fluid_viscosity="14")["top_ups"].value == times


def test_twice_the_bore_is_sixteen_times_the_flow():
    # Hagen and Poiseuille: the fourth power of the bore.
    thin, wide = (values(**LINE | {"line_bore": bore}, fluid_viscosity="14")["flow"].value for bore in ("2.5", "5"))
    assert wide / thin == pytest.approx(16, rel=1e-9)


@pytest.mark.parametrize("grade, cold, hot", [("DOT 3", 1500, 1.5), ("DOT 4", 1800, 1.5), ("DOT 5", 900, 1.5), ("DOT 5.1", 900, 1.5)])
def test_grades_end_at_the_limits_of_the_standard(grade, cold, hot):
    # 49 CFR 571.116 S5.1.3: mm²/s at −40 °C and 100 °C (900 for DOT 5 and 5.1: from memory, and in an encyclopedia).
    assert least_viscosity(GRADES[grade], COLD) == pytest.approx(cold, rel=1e-9)
    assert least_viscosity(GRADES[grade], HOT) == pytest.approx(hot, rel=1e-9)


def test_boiling_points_of_the_grades():
    # 49 CFR 571.116 S5.1.1 and S5.1.2, as quoted: 205/140, 230/155, 260/180 °C.
    assert [(g.dry, g.wet) for g in GRADES.values()] == [(205, 140), (230, 155), (260, 180), (260, 180)]


def test_viscosity_between_two_points_is_astm_d341s():
    # A published calculation sheet after ASTM D341: 32 mm²/s at 40 °C and 5.4 at 100 °C give 8.5 at 80 °C (kelvin = °C + 273).
    assert f"{viscosity_between(353, (313, 32), (373, 5.4)):.1f}" == "8.5"


def test_viscosity_by_decimals():
    # The same line through the limits of DOT 4 at 20 °C, in decimals of 28 digits.
    def double(v):
        return (Decimal(v) + Decimal("0.7")).log10().log10()

    def kelvin(t):
        return Decimal(t).log10()

    at = double(1800) + (double("1.5") - double(1800)) * (kelvin("293.15") - kelvin("233.15")) / (kelvin("373.15") - kelvin("233.15"))
    expected = 10 ** (10**at) - Decimal("0.7")
    assert least_viscosity(GRADES["DOT 4"], 293.15) == pytest.approx(float(expected), rel=1e-9)


def test_by_grade_the_interval_is_short_and_the_time_long():
    thin = least_viscosity(GRADES["DOT 4"], 293.15)
    found, exact = values(**LINE, grade="dot4", temperature="20"), values(**LINE, fluid_viscosity=f"{thin:.12f}")
    for name in ("flow", "reynolds", "top_up_interval"):
        assert found[name].value == pytest.approx(exact[name].value, rel=1e-9), name
    assert found["time"].value == pytest.approx(2 * exact["time"].value, rel=1e-9)


def test_by_grade_says_how_rough_it_is():
    notes = " ".join(run(**LINE, grade="DOT 5.1", temperature="20 °C").notes)
    assert "roughly" in notes and "Rough." in notes and "from memory" in notes
    assert "from memory" not in " ".join(run(**LINE, grade="DOT 4", temperature="20 °C").notes)


def test_cold_and_fahrenheit():
    # −40 is one temperature in both scales; there DOT 4 may be as thick as 1,800 mm²/s.
    cold, fahrenheit, exact = (
        values(**LINE, grade="4", temperature="-40 °C"),
        values(**LINE, grade="4", temperature="−40 °F"),
        values(**LINE, fluid_viscosity="1800"),
    )
    assert cold["flow"].value == pytest.approx(exact["flow"].value, rel=1e-9) == fahrenheit["flow"].value


def test_no_verdict_while_the_flow_is_smooth():
    assert run(**LINE, fluid_viscosity="14").verdict is None


def test_over_reynolds_2000_cannot_tell_but_shows_the_figures():
    # Re = g h d³ / (32 ν² L): from the two textbook formulas; here 2,000 exactly at ν² = g h d³/64000 L.
    viscosity = math.sqrt(9.80665 * 0.6 * 0.005**3 / (64000 * 1)) * 1e6
    given = LINE | {"line_bore": "5", "line_length": "1"}
    over, under = (run(**given, fluid_viscosity=f"{viscosity * factor:.9f}") for factor in (0.9999, 1.0001))
    assert over.verdict.code == "cannot-tell" and over.values["flow"].value > 0
    assert float(over.values["reynolds"].text.split()[0]) > 2000  # never printed as 2000
    assert under.verdict is None


def test_viscosity_wins_over_the_grade_and_says_so():
    result = run(**LINE, fluid_viscosity="14", grade="DOT 4", temperature="20")
    assert result.values["flow"].value == values(**LINE, fluid_viscosity="14")["flow"].value
    assert any("not used" in note for note in result.notes)


@pytest.mark.parametrize("given, name", [({}, "fluid_viscosity"), ({"grade": "DOT 4"}, "temperature"), ({"temperature": "20"}, "grade")])
def test_what_is_missing_is_asked_for(given, name):
    with pytest.raises(MissingInput) as caught:
        run(**LINE, **given)
    assert caught.value.input == name


def test_refusals_and_questions():
    with pytest.raises(OutOfBand, match="head.*nothing flows"):
        run(**LINE | {"head": "0"}, fluid_viscosity="14")
    with pytest.raises(UnreadableEntry, match="head.*below zero"):
        run(**LINE | {"head": "-200"}, fluid_viscosity="14")
    with pytest.raises(UnreadableEntry, match="grade.*DOT 3"):
        run(**LINE, grade="DOT 6", temperature="20")
    with pytest.raises(AmbiguousEntry, match="68 °F"):
        run(**LINE, grade="DOT 4", temperature="68")
    with pytest.raises(AmbiguousEntry, match="3000 mm"):
        run(**LINE | {"line_length": "3000"}, fluid_viscosity="14")


def test_both_systems_give_one_flow():
    # 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 US fl oz = 29.5735295625 mL, exact.
    metric = run(
        head="609.6", line_bore="3.175", line_length="3.048", volume="295.735295625", reservoir_usable="118.29411825", fluid_viscosity="14"
    )
    inch = run("inch", head="24", line_bore="1/8", line_length="10", volume="10", reservoir_usable="4", fluid_viscosity="14")
    for name, value in metric.values.items():
        assert inch.values[name].value == pytest.approx(value.value, rel=1e-9), name


def test_worked_example():
    catalogue()["gravity-bleed"].worked_example()
