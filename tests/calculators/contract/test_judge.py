"""Verdicts against ISO 14253-1 (strict at equality), probability against a normal table, comparison of floats."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from calculators.contract.judge import CODES, SHOP_WORDS, above, at_most, compare, conformance_probability, lower_limit, upper_limit, worst
from calculators.contract.printing import fixed, per_cent, to_significant, trimmed, with_unit
from calculators.contract.units import Quantity


def mm(number: float) -> Quantity:
    return Quantity(number, "mm")


def lower(x: float, limit: float, u: float) -> str:
    return lower_limit("x", "x", "limit", "the limit", mm(x), mm(limit), mm(u)).code


def upper(x: float, limit: float, u: float) -> str:
    return upper_limit("x", "x", "limit", "the limit", mm(x), mm(limit), mm(u)).code


@pytest.mark.parametrize(
    "x, code",  # ISO 14253-1 with limit 22.00 and U 0.010, k = 2
    [
        (22.011, "within"),
        (22.0101, "within"),
        (22.010, "too-close"),
        (22.000, "too-close"),
        (21.991, "too-close"),
        (21.990, "beyond"),
        (21.0, "beyond"),
    ],
)
def test_guard_band_of_a_lower_limit(x, code):
    assert lower(x, 22.00, 0.010) == code


@pytest.mark.parametrize("x, code", [(0.039, "within"), (0.040, "within"), (0.041, "too-close"), (0.060, "too-close"), (0.0601, "beyond")])
def test_guard_band_of_an_upper_limit(x, code):
    assert upper(x, 0.050, 0.010) == code  # x + U ≤ limit within; x − U > limit beyond


def test_without_uncertainty_there_is_no_middle():
    assert [lower(x, 22, 0) for x in (21.99, 22, 22.01)] == ["beyond", "beyond", "within"]
    assert [upper(x, 0.05, 0) for x in (0.04, 0.05, 0.06)] == ["within", "within", "beyond"]


@pytest.mark.parametrize("u", [0.1, 0.2, 0.7])
def test_binary_floats_do_not_decide(u):
    # 0.1 + 0.2 is not 0.3 in binary: at the edge the limit itself must decide
    assert lower(22 + u, 22, u) == "too-close"
    assert upper(0.3 - u, 0.3, u) == "within"
    assert compare(0.1 + 0.2, 0.3) == 0
    assert compare(24.1 - 22.4, 1.7) == 0


@pytest.mark.parametrize("a, b, sign", [(1, 1 + 1e-8, -1), (1 + 1e-8, 1, 1), (1, 1 + 1e-10, 0), (0, 1e-9, -1), (0.0, -0.0, 0)])
def test_comparison_is_relative(a, b, sign):
    assert compare(a, b) == sign


def test_comparison_across_units():
    assert at_most(Quantity(1, "inch"), mm(25.4)) and not above(Quantity(1, "inch"), mm(25.4))
    assert above(Quantity(1, "inch"), mm(25.39))


def test_codes_are_ranked_worst_first():
    assert CODES == ("beyond", "too-close", "cannot-tell", "adjust", "within")
    assert set(SHOP_WORDS) == set(CODES)
    assert worst(["within", "adjust", "too-close"]) == "too-close"
    assert worst(["within", "adjust", "cannot-tell"]) == "cannot-tell"
    assert worst([]) is None


def test_no_color_stands_for_a_verdict():
    assert not {"green", "yellow", "amber", "red"} & set(" ".join(SHOP_WORDS.values()).casefold().split())


def test_probability_of_one_standard_uncertainty():
    # Φ(1) = 0.841345, printed in every table of the normal distribution; JCGM 106:2012, 7.2
    assert f"{conformance_probability(mm(0.005), mm(0.010)).magnitude:.6f}" == "0.841345"


@pytest.mark.parametrize("margin", [-0.03, -0.01, 0.0, 0.004, 0.02])
def test_probability_is_the_normal_distribution(margin):
    expected = NormalDist(0, 0.005).cdf(margin)  # the standard library's own
    assert conformance_probability(mm(margin), mm(0.010)).magnitude == pytest.approx(expected, rel=1e-9)


def test_guard_band_of_five_per_cent_risk():
    # 1.645 standard uncertainties leave 5 %, one-sided (ISO 14253-1)
    assert conformance_probability(mm(1.645 * 0.005), mm(0.010)).magnitude == pytest.approx(0.95, abs=5e-5)


def test_no_probability_without_uncertainty():
    assert conformance_probability(mm(1), mm(0)) is None


# Printing: the rule is stated (halves away from zero, on the decimal that stands for the float)


@pytest.mark.parametrize(
    "number, decimals, text",
    [
        (2.675, 2, "2.68"),
        (0.125, 2, "0.13"),
        (-0.125, 2, "-0.13"),
        (24.1 - 22.4, 2, "1.70"),
        (-0.001, 2, "0.00"),
        (1234.5, -1, "1230"),
        (22, 1, "22.0"),
    ],
)
def test_fixed_decimals(number, decimals, text):
    assert fixed(number, decimals) == text


@pytest.mark.parametrize(
    "number, text",
    [
        (0.012345, "0.0123"),
        (1.5, "1.50"),
        (512.3, "512"),
        (1234.5, "1230"),
        (9.996, "10.0"),
        (999.6, "1000"),
        (0.0009996, "0.00100"),
        (0, "0"),
    ],
)
def test_three_significant_figures(number, text):
    assert to_significant(number) == text


def test_no_break_space_before_a_unit_and_none_before_a_degree():
    assert with_unit("24.1", "mm") == "24.1\N{NO-BREAK SPACE}mm"
    assert with_unit("12", "US fl oz") == "12\N{NO-BREAK SPACE}US\N{NO-BREAK SPACE}fl\N{NO-BREAK SPACE}oz"
    assert with_unit("60", "°") == "60°"
    assert with_unit("6", "") == "6"


@pytest.mark.parametrize("number, text", [(60.0, "60"), (22.5, "22.5"), (180 / 7, "25.71")])
def test_angles_without_zeros(number, text):
    assert trimmed(number) == text


def test_per_cent():
    assert per_cent(0.841345).replace("\N{NO-BREAK SPACE}", " ") == "84.1 %"
    assert math.isclose(float(per_cent(0.1).split("\N{NO-BREAK SPACE}")[0]), 10)
