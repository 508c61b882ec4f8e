"""torque-check against what ISO 6789 allows a torque wrench, the factors of NIST SP 811, and sums worked by hand."""

from __future__ import annotations

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

LBF_FT = 1.355818  # N·m, NIST SP 811, B.8 (rounded there to 7 figures)
LBF_IN = 0.1129848  # N·m, the same list


def run(system="metric", **given):
    return catalogue()["torque-check"].run(system, **given)


def code(system="metric", **given):
    return run(system, **given).verdict.code


@pytest.mark.parametrize("actual, share, least, most", [
    # ISO 6789 (type II, class A): ±4 % above 10 N·m, ±6 % up to there, as quoted in makers' manuals of torque wrenches; sums by hand
    ("100 N·m", "4 %", 96, 104),
    ("250 N·m", "4 %", 240, 260),
    ("40 N·m", "4 %", 38.4, 41.6),
    ("10 N·m", "6 %", 9.4, 10.6),
    ("5 N·m", "6 %", 4.7, 5.3),
])  # fmt: skip
def test_what_a_wrench_of_class_a_may_err(actual, share, least, most):
    result = run(target=actual, actual=actual)
    assert [result.values[name].value for name in ("least", "most")] == [pytest.approx(least), pytest.approx(most)]
    assert result.values["deviation"].value == 0
    assert any(f"± {share[0]} %" in note and "ISO 6789-1" in note for note in result.notes)
    assert run(target=actual, actual=actual, tool_tolerance=share).values["least"].value == pytest.approx(least)


@pytest.mark.parametrize(
    "target, actual, unit", [("110 N·m", "81 ft-lb", LBF_FT), ("26 lbf·ft", "35 N·m", 1 / LBF_FT), ("9 N·m", "80 in-lb", LBF_IN)]
)
def test_units_by_nist_factors(target, actual, unit):
    in_newton_metres = [
        float(text.split()[0]) * {"N·m": 1, "ft-lb": LBF_FT, "lbf·ft": LBF_FT, "in-lb": LBF_IN}[text.split()[1]]
        for text in (target, actual)
    ]
    result = run(target=target, actual=actual)
    assert result.values["difference"].value == pytest.approx(in_newton_metres[1] - in_newton_metres[0], abs=2e-4)
    assert result.verdict.code == "within"


@pytest.mark.parametrize("actual, expected, word", [
    # target 110 N·m, 4 %: certainly low under 110/1.04 = 105.77, certainly high over 110/0.96 = 114.58;
    # low but not certainly so up to 110/1.01 = 108.91. By hand.
    ("105.7", "beyond", "low"), ("105.8", "too-close", "low"), ("108.9", "too-close", "low"), ("109", "within", ""), ("110", "within", ""),
    ("114.5", "within", ""), ("114.6", "beyond", "high"), ("160", "beyond", "high"),
])  # fmt: skip
def test_one_figure(actual, expected, word):
    verdict = run(target="110", actual=actual).verdict
    assert verdict.code == expected and word in verdict.text


@pytest.mark.parametrize("actual, expected, word", [
    # window 100 to 120 N·m, 4 %: proved inside from 100/0.96 = 104.17 to 120/1.04 = 115.38; outside under 100/1.04 = 96.15 and over 120/0.96 = 125. By hand.
    ("96.1", "beyond", "low"), ("96.2", "too-close", "lower"), ("104.1", "too-close", "lower"), ("104.2", "within", ""), ("110", "within", ""), ("115.3", "within", ""),
    ("115.4", "too-close", "upper"), ("125", "too-close", "upper"), ("125.1", "beyond", "high"),
])  # fmt: skip
def test_a_window(actual, expected, word):
    verdict = run(target="100", target_max="120", actual=actual).verdict
    assert verdict.code == expected and word in verdict.text


def test_a_window_that_no_reading_can_prove():
    # 100/0.96 = 104.17 lies over 105/1.04 = 100.96: by hand. With 2 % 102.04 to 102.94 is left.
    assert code(target="100", target_max="105", actual="102.5") == "cannot-tell"
    assert code(target="100", target_max="105", actual="102.5", tool_tolerance="2 %") == "within"
    assert code(target="100", target_max="105", actual="120") == "beyond"


def test_no_reading_below_the_figure_passes_by_more_than_a_quarter_of_the_tolerance():
    for tenth in range(1070, 1100):
        verdict = code(target="110", actual=f"{tenth / 10:.1f}", tool_tolerance="6 %")
        assert verdict != "within" or tenth / 10 * 1.015 >= 110


def test_a_reading_in_the_other_unit_is_asked_about():
    with pytest.raises(AmbiguousEntry, match="as N·m and lbf·ft do"):
        run(target="110", actual="81")  # 110/1.355818 = 81.1
    result = run(target="110 N·m", actual="81 N·m")
    assert result.verdict.code == "beyond" and any("N·m and lbf·ft" in note for note in result.notes)
    assert not any("lbf·ft do" in note for note in run(target="110 N·m", actual="90 N·m").notes)


def test_too_high_is_not_turned_back():
    assert any("not cured by turning back" in note for note in run(target="110", actual="140").notes)
    assert not any("turning back" in note for note in run(target="110 N·m", actual="80 N·m").notes)


@pytest.mark.parametrize("given, error, says", [
    ({"target": "120", "target_max": "110", "actual": "115"}, Contradiction, "less than"),
    ({"target": "110", "actual": "90°"}, UnreadableEntry, "not of torque"),
    ({"target": "110", "actual": "snug"}, UnreadableEntry, "does not start with a number"),
    ({"target": "110"}, MissingInput, "actual"),
    ({"target": "110", "actual": "70000"}, OutOfBand, "N·m"),
])  # fmt: skip
def test_one_line_says_what_is_wrong(given, error, says):
    with pytest.raises(error) as caught:
        run(**given)
    assert says in str(caught.value) and "\n" not in str(caught.value)


def test_worked_example():
    catalogue()["torque-check"].worked_example()
