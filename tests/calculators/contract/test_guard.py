"""The unit-slip guard: usual is taken, unusual asked about once, impossible refused.

The bands are common practice and engineering judgement; what is checked is how they are used, and the arithmetic that
says which slips a band can catch: a factor of 25.4 for every value only where max/min < 25.4.
"""

from __future__ import annotations

import pytest

from calculators import catalogue
from calculators.contract.bands import BANDS
from calculators.contract.errors import AmbiguousEntry, OutOfBand
from calculators.contract.guard import in_hard, in_usual
from calculators.contract.inputs import Input
from calculators.contract.units import unit_named

ROTOR = Input(["mm", "in"], band="rotor thickness", name="x", is_list=True)
LINING = Input(["mm", "in"], band="pad lining", name="x", is_list=True)
END_PLAY = Input(["mm", "in"], band="end play", name="x")
TOOL = Input(["mm", "in"], band="tool uncertainty", name="x")
PITCH = Input(["mm", "TPI"], band="thread pitch", name="x", also=["in"])
BOILING = Input(["°C", "°F"], band="boiling point", name="x", negative=True)
AMBIENT = Input(["°C", "°F"], band="ambient temperature", name="x", negative=True)
RUNOUT = Input(["mm", "in"], band="runout readings", name="x", is_list=True, negative=True)
LENGTH_OF_LINE = Input(["m", "ft"], band="line length", name="x", also=["mm", "in"])


def candidates(spec: Input, text: str, system: str = "metric") -> list[str]:
    with pytest.raises(AmbiguousEntry) as caught:
        spec.read(text, system)
    assert caught.value.input == "x"
    for candidate in caught.value.candidates:
        spec.read(candidate.entry, system)  # the answer to the question is never asked about again
    return [candidate.entry for candidate in caught.value.candidates]


def test_usual_values_are_taken():
    assert [e.number.value for e in ROTOR.read("24.1; 7; 55; 5", "metric")] == [24.1, 7, 55, 5]


def test_a_bare_inch_in_a_millimetre_field_is_asked_about():
    assert candidates(ROTOR, "0.945") == ["0.945 in"]
    assert candidates(ROTOR, "0,945") == ["0.945 in"]
    assert candidates(ROTOR, "24.1", system="inch") == ["24.1 mm"]


def test_the_question_names_the_reading_the_reason_and_both_systems():
    with pytest.raises(AmbiguousEntry, match=r"0\.945.mm is thinner than any rotor; did you mean 0\.945.in \(24\.0"):
        ROTOR.read("0.945", "metric")


def test_a_typed_unit_answers_the_question_but_not_the_hard_band():
    assert LINING.read("0.35 mm", "metric")[0].number.value == 0.35
    with pytest.raises(OutOfBand, match=r"0\.945.mm.* is thinner than any rotor: expected 2\.5 to 62.mm"):
        ROTOR.read("0.945 mm", "metric")


def test_unusual_values_are_asked_about_once_with_the_reason():
    assert candidates(LINING, "0.35")[0] == "0.35 mm"  # worn-out pads really measure that
    assert candidates(ROTOR, "4") == ["4 mm"]
    with pytest.raises(AmbiguousEntry, match="Worn or odd parts do measure that"):
        ROTOR.read("4", "metric")


def test_outside_every_unit_is_refused_with_the_band_of_the_readers_system():
    with pytest.raises(OutOfBand, match="expected 2.5 to 62.mm"):
        ROTOR.read("240", "metric")
    with pytest.raises(OutOfBand, match="expected 0.098 to 2.44.in"):
        ROTOR.read("240", "inch")


def test_one_slip_among_eight_is_named_and_the_others_are_kept():
    asked = candidates(ROTOR, "24.1; 24.0; 24.1; 24.0; 0.949; 24.0; 24.1; 24.0")
    assert asked == ["24.1 mm; 24.0 mm; 24.1 mm; 24.0 mm; 0.949 in; 24.0 mm; 24.1 mm; 24.0 mm"]


def test_a_list_that_slips_throughout_is_asked_about_once():
    assert candidates(ROTOR, "0.945; 0.946; 0.944") == ["0.945 in; 0.946 in; 0.944 in"]


def test_impossible_readings_of_an_ambiguous_number_are_not_offered():
    assert candidates(ROTOR, "24,105") == ["24.105 mm"]


@pytest.mark.parametrize("text, offered", [("16", "16 TPI"), ("14", "14 TPI"), ("0.0625", "0.0625 in"), ("20", "20 TPI")])
def test_threads_per_inch_are_never_read_as_millimetres(text, offered):
    assert offered in candidates(PITCH, text)


@pytest.mark.parametrize("text", ["0.001", "0.005", "0.009"])
def test_end_play_finer_than_an_indicator_reads_is_asked_about(text):
    assert candidates(END_PLAY, text) == [f"{text} mm", f"{text} in"]


@pytest.mark.parametrize("text", ["0", "0.01", "0.08", "0.5", "0.005 mm", "0.003 in"])
def test_end_play_that_needs_no_question(text):
    END_PLAY.read(text, "metric")


def test_a_tool_uncertainty_of_zero_is_taken():
    assert TOOL.read("0", "metric").number.value == 0
    with pytest.raises(OutOfBand):
        TOOL.read("0.0001 mm", "metric")


@pytest.mark.parametrize("text", ["180", "250", "320", "100"])
def test_a_boiling_point_needs_its_unit(text):
    assert set(candidates(BOILING, text)) <= {f"{text} °C", f"{text} °F"}


def test_284_is_a_wet_fluid_in_fahrenheit_and_a_dry_one_in_celsius():
    # 49 CFR 571.116: DOT 3 wet minimum 284 °F = 140 °C; as °C it would pass.
    assert candidates(BOILING, "284") == ["284 °C", "284 °F"]
    assert BOILING.read("284 °F", "metric").quantity.to("degree_Celsius").magnitude == pytest.approx(140)


def test_a_summer_day_in_fahrenheit_is_asked_about():
    assert candidates(AMBIENT, "75") == ["75 °F"]
    assert AMBIENT.read("-10", "metric").number.value == -10


def test_the_spread_of_dial_readings_is_looked_at_as_a_whole():
    assert candidates(RUNOUT, "0.001; -0.002; 0.002; 0") == ["0.001 mm; -0.002 mm; 0.002 mm; 0 mm", "0.001 in; -0.002 in; 0.002 in; 0 in"]
    RUNOUT.read("0.01; -0.02; 0.02; 0", "metric")
    assert len(candidates(RUNOUT, "0.03; -0.02; 0.02; 0", system="inch")) == 2


def test_a_line_length_in_millimetres_in_a_metre_field():
    assert candidates(LENGTH_OF_LINE, "3200") == ["3200 mm"]


# The bands themselves


def always_caught(name: str, edges: tuple[str, str]) -> bool:
    """Whether a factor of 25.4 leaves the band for every value in it."""
    band = BANDS[name].edges[0]
    return getattr(band, edges[1]) / getattr(band, edges[0]) < 25.4


@pytest.mark.parametrize(
    "name",
    [
        "rotor thickness",
        "cut per side",
        "pad lining limit",
        "runout limit",
        "hub runout limit",
        "end play, most",
        "thread pitch",
        "piston diameter",
        "line bore",
    ],
)
def test_a_slip_between_mm_and_inch_is_always_caught_by_the_hard_band(name):
    assert always_caught(name, ("hard_low", "hard_high"))


@pytest.mark.parametrize("number", ["0.0005", "0.001", "0.002", "0.003", "0.005"])
def test_a_bare_inch_of_a_variation_limit_is_asked_about_in_millimetres(number):
    """Its hard band is wider than 25.4 times, since 0.005 in is published; what is usual in inches is no silent millimetre."""
    assert f"{number} in" in candidates(Input(["mm", "in"], band="thickness variation limit", name="x"), number)


@pytest.mark.parametrize("name", list(BANDS))
def test_every_band_is_in_order_and_its_columns_agree(name):
    band = BANDS[name]
    for edges in band.edges:
        assert edges.hard_low <= edges.low < edges.high <= edges.hard_high
    first = band.edges[0]
    for edges in band.edges[1:]:
        here, there = unit_named(first.unit), unit_named(edges.unit)
        for edge in ("hard_low", "low", "high", "hard_high"):
            metric = here.magnitude(there.quantity(getattr(edges, edge)))
            # rounded to print, never another value: 12 % is one step of a one-figure inch column
            assert metric == pytest.approx(getattr(first, edge), rel=0.12, abs=0.06 if edges.unit == "°F" else 1e-9), edge


@pytest.mark.parametrize("name", list(BANDS))
def test_the_examples_of_a_band_are_usual_and_readable(name):
    inputs = [spec for c in catalogue().values() for spec in c.inputs.values() if spec.band == name and spec.type == "quantity"]
    for spec in inputs:
        for system in ("metric", "inch"):
            entries = spec.read(spec.example(system), system)
            for entry in entries if isinstance(entries, list) else [entries]:
                assert in_usual(BANDS[name], entry.quantity)


def test_a_length_is_in_the_same_band_in_either_unit():
    # 0.010 in is 0.254 mm: over 0.25 mm, but the inch column of the table ends at 0.010 in.
    band = BANDS["end play, most"]
    assert in_hard(band, unit_named("in").quantity(0.010)) and in_hard(band, unit_named("mm").quantity(0.254))
    assert not in_hard(band, unit_named("mm").quantity(0.26))


@pytest.mark.parametrize(
    "edge, low, high", [("rotor thickness", 2.5, 62), ("pad lining", 0, 22), ("end play", 0, 3), ("piston diameter", 18, 100)]
)
def test_hard_edges_belong_to_the_band(edge, low, high):
    mm = unit_named("mm")
    for value, inside in ((low, True), (high, True), (high * 1.02, False)):
        assert in_hard(BANDS[edge], mm.quantity(value)) is inside


# Numbers with a comma before three digits


def test_1_500_newton_metres_are_offered_as_1500_too():
    """Hardly anybody means 1.5 N·m; where neither can be, the refusal is about 1500."""
    torque = Input(["N·m", "lbf·ft"], band="torque, any", name="x", also=["lbf·in"])
    with pytest.raises(AmbiguousEntry) as caught:
        torque.read("1,500 N·m", "metric")
    assert [candidate.entry for candidate in caught.value.candidates] == ["1.500 N·m", "1500 N·m"]
    with pytest.raises(OutOfBand, match=r"^x: 1500.N·m .* is higher than expected here: expected 40 to 700"):
        Input(["N·m", "lbf·ft"], band="torque, wheel nut", name="x").read("1,500 N·m", "metric")
    assert candidates(ROTOR, "24,105 mm") == ["24.105 mm"]  # 24 metres are no rotor


@pytest.mark.parametrize("text, system", [("x", "metric"), ("240", "metric"), ("", "inch")])
def test_an_example_stands_once_in_a_refusal(text, system):
    with pytest.raises(ValueError, match="for example") as caught:
        ROTOR.read(text, system)
    example = ROTOR.example(system)
    assert str(caught.value).count(example) == 1


def test_the_example_is_in_the_system_of_the_entry():
    with pytest.raises(OutOfBand, match="for example 0.949 in"):
        ROTOR.read("70.0 in", "metric")
