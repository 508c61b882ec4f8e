"""Printed numbers, by hand; 1 in = 25.4 mm. Halves away from zero: ISO 80000-1:2009, annex B, rule B (from memory)."""

from __future__ import annotations

import pytest

from calculators.contract.inputs import Input
from calculators.contract.printing import (
    MOST_DECIMALS,
    chance,
    decimals_for,
    decimals_in,
    enough_decimals,
    entry_in,
    entry_text,
    fixed,
    in_both,
    per_cent,
    significant_decimals,
    step_in,
    to_significant,
    trimmed,
    with_unit,
)
from calculators.contract.units import unit_named

LENGTH = Input(["mm", "in"], name="x")
PITCH = Input(["mm", "TPI"], name="x")
TEMPERATURE = Input(["°C", "°F"], name="x", negative=True)
MM, IN = unit_named("mm"), unit_named("in")


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("number, decimals, text", [
    (2.5, 0, "3"), (-2.5, 0, "-3"), (0.125, 2, "0.13"), (1.005, 2, "1.01"), (-0.04, 1, "0.0"), (-0.05, 1, "-0.1"),
    (1234, -1, "1230"), (1235, -1, "1240"), (7, 2, "7.00"), (0.1 + 0.2, 9, "0.300000000"),
])  # fmt: skip
def test_fixed(number, decimals, text):
    assert fixed(number, decimals) == text


@pytest.mark.parametrize("step, decimals", [
    (0.1, 1), (0.0254, 2), (0.01, 2), (0.001, 3), (1, 0), (10, 0), (0.5, 1), (0.09, 2), (1e-9, 9), (1e-12, 9), (0, MOST_DECIMALS), (-1, MOST_DECIMALS), (2e-10, 9),
])  # fmt: skip
def test_decimals_for_a_step(step, decimals):
    assert decimals_for(step) == decimals


@pytest.mark.parametrize(
    "number, text", [(0.0127, "0.0127"), (1.5, "1.50"), (512, "512"), (1234, "1230"), (9.996, "10.0"), (-0.012345, "-0.0123"), (0, "0")]
)
def test_three_significant_figures(number, text):
    assert to_significant(number) == text


def test_decimals_of_significant_figures():
    assert [significant_decimals(*case) for case in [(1.5, 3), (1.5, 4), (0.0127, 3), (1234, 3), (0, 3), (99.96, 3)]] == [2, 3, 4, -1, 0, 0]


@pytest.mark.parametrize("number, text", [(60, "60"), (22.5, "22.5"), (360 / 14, "25.71"), (100, "100"), (0, "0"), (0.001, "0")])
def test_trimmed(number, text):
    assert trimmed(number) == text


def test_a_unit_stands_behind_a_space_that_does_not_break():
    assert with_unit("5", "") == "5" and with_unit("5", "°") == "5°"
    assert with_unit("5", "mm") == "5\N{NO-BREAK SPACE}mm" and with_unit("5", "in per 1000 mi").count(" ") == 0


@pytest.mark.parametrize("text, unit, decimals, printed", [
    ("22 mm", IN, 4, "0.8661 in"),  # a set figure: a thousandth of it counts
    ("22.0 mm", IN, 3, "0.866 in"),  # 0.1 mm is 0.0039 in
    ("22.00 mm", IN, 4, "0.8661 in"),
    ("15/16 in", MM, 3, "23.813 mm"),  # a ten-thousandth of an inch is 0.00254 mm
    ("0.949 in", MM, 2, "24.10 mm"),
    ("0 mm", IN, 2, "0.00 in"),  # a thousandth of zero is zero: its step, 0.039 in, counts
])  # fmt: skip
def test_an_entry_in_the_other_unit(text, unit, decimals, printed):
    entry = LENGTH.read(text, "metric")
    assert decimals_in(entry, unit) == decimals
    assert plain(entry_in(entry, unit)) == printed


def test_an_entry_in_its_own_unit_or_in_none():
    entry = LENGTH.read("22.0 mm", "metric")
    assert entry_in(entry, MM) == entry_in(entry, None) == ""
    assert plain(in_both(entry, IN)) == "22.0 mm (0.866 in)" and plain(in_both(entry, None)) == "22.0 mm"
    assert plain(entry_in(entry, IN, 5)) == "0.86614 in"


def test_an_entry_as_understood():
    assert plain(entry_text(LENGTH.read('15/16"', "metric"))) == "0.9375 in"
    assert plain(entry_text(LENGTH.read("24,10", "metric"))) == "24.10 mm"


def test_a_step_in_another_unit():
    assert step_in(LENGTH.read("24.1 mm", "metric"), IN) == pytest.approx(0.1 / 25.4)
    assert step_in(LENGTH.read("15/16 in", "metric"), MM) == pytest.approx(0.00254)
    assert step_in(TEMPERATURE.read("20 °C", "metric"), unit_named("°F")) == pytest.approx(1.8)
    assert step_in(TEMPERATURE.read("20.5 °C", "metric"), unit_named("°C")) == pytest.approx(0.1)
    # 25.4/20 − 25.4/20.01
    assert step_in(PITCH.read("20 TPI", "metric"), MM) == pytest.approx(0.000634683, rel=1e-5)


def test_a_probability_is_never_certain():
    shown = [plain(chance(p)) for p in (1, 0.9995, 0.9994, 0.5, 0.0006, 0.0005, 0)]
    assert shown == ["over 99.9 %", "over 99.9 %", "99.9 %", "50.0 %", "0.0600 %", "under 0.1 %", "under 0.1 %"]


def test_per_cent_keeps_apart_from_its_limit():
    assert plain(per_cent(0.1234)) == "12.3 %"
    assert plain(per_cent(0.30004, [0.3])) == "30.004 %"
    assert plain(per_cent(0.3, [0.3])) == "30.0 %"
    assert plain(per_cent(0.12355, [0.12355])) == "12.355 %"


@pytest.mark.parametrize("number, decimals, limits, enough", [
    (1.2349, 2, [], 2),
    (1.2349, 2, [1.23], 3),
    (1.2349, 2, [1.2], 2),
    (1.2301, 2, [1.23], 4),
    (1.2299, 2, [1.23], 4),
    (1.23, 2, [1.23], 2),
    (1.2349, 1, [1.2, 1.235], 2),  # 1.23 against 1.24
    (1.2355, 2, [1.2355], 4),  # equal, and written out with two decimals more
    (2 / 3, 2, [2 / 3], 2),  # equal, and cannot be written out: both rounded alike
    (1 + 1e-12, 2, [1.0], 2),  # nothing but the rounding of floats between them
])  # fmt: skip
def test_decimals_that_keep_a_number_on_its_side(number, decimals, limits, enough):
    assert enough_decimals(number, decimals, limits) == enough


def test_a_value_at_its_limit_is_written_out_as_the_limit_is():
    # (1000 − 876.45) / 1000 = 12.355 %; "12.4 % is not over its limit 12.355 %" would contradict itself.
    from calculators import catalogue

    result = catalogue()["brake-balance"].run(left="1000 N", right="876.45 N", limit="12.355 %")
    assert plain(result.verdict.text) == "Within limits: difference between left and right 12.355 % is not over its limit 12.355 %."


def test_a_fraction_that_never_ends_is_shown_to_six_figures():
    assert plain(entry_text(LENGTH.read("1/3 in", "metric"))) == "0.333333 in"
