"""bedding-heat against energies and temperatures worked from definitions, and the closed form of the series."""

from __future__ import annotations

from decimal import Decimal, getcontext
from fractions import Fraction
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

getcontext().prec = 30
ONE = {
    "vehicle_mass": "1500", "speed_from": "100", "speed_to": "0", "axle_share": "0.7", "rotor_mass": "8", "rotors": "2",
    "specific_heat": "460", "stops": "1", "interval": "45 s", "cooling_time": "300 s", "start": "20", "ambient": "20",
}  # fmt: skip


def run(system="metric", **given):
    return catalogue()["bedding-heat"].run(system, **given)


def test_energy_of_1500_kg_from_100_km_h():
    # 1/2 m v²: 578,704 J, exact as a fraction; one rotor of two takes 70 % / 2 of it.
    whole = Fraction(1500, 2) * Fraction(1000, 36) ** 2
    assert round(whole) == 578_704
    assert run(**ONE).values["energy_per_stop"].value == pytest.approx(float(whole * Fraction(7, 20)), rel=1e-11)


def test_rise_of_an_8_kg_rotor():
    # 70 % on two 8 kg rotors of 460 J/(kg·K): 55.04 K with all heat in the rotor, 49.54 K with 90 % of it.
    assert f"{run(**ONE).values['rise_per_stop'].value:.2f}" == "55.04"
    assert f"{run(**ONE, heat_into_rotor='90 %').values['rise_per_stop'].value:.2f}" == "49.54"
    assert run(**ONE).values["temperature_after_each_stop"].value == [pytest.approx(75.04, abs=0.005)]


def test_trade_example_in_pounds_and_fahrenheit():
    # A brake text: 3000 lb from 60 mph, 40 lb of iron in all, 0.130 Btu/(lb·°F). With g = 32.174 ft/s²: 361,037 ft·lbf, 89.2 °F.
    found = run("inch", **ONE | {"vehicle_mass": "3000", "speed_from": "60", "rotor_mass": "10", "rotors": "4", "axle_share": "0.9",
                                 "specific_heat": "0.130", "start": "70", "ambient": "70"}).values  # fmt: skip
    whole = found["energy_per_stop"].value / 1.3558179483314 * 4 / 0.9
    assert f"{whole * (9.80665 / 0.3048) / 32.174:.0f}" == "361037"  # standard gravity is 32.17405 ft/s²
    assert f"{found['rise_per_stop'].value * 1.8 / 0.9:.1f}" == "89.2"


def test_a_slow_down_takes_the_difference_of_the_squares():
    # 50 to 20 mph keeps 4/25 of the energy.
    values = [
        run(
            "inch",
            **ONE
            | {
                "vehicle_mass": "3300",
                "rotor_mass": "18",
                "specific_heat": "0.11",
                "speed_from": "50",
                "speed_to": to,
                "start": "70",
                "ambient": "70",
            },
        )
        .values["energy_per_stop"]
        .value
        for to in ("0", "20")
    ]
    assert values[1] / values[0] == pytest.approx(21 / 25, rel=1e-11)


@pytest.mark.parametrize("stops", [2, 5, 30, 200])
def test_a_row_of_stops_is_a_geometric_series(stops):
    # From ambient: rise × (1 − rⁿ)/(1 − r), r = e^(−interval/τ), computed in decimals.
    rise = Decimal(1500) / 2 * (Decimal(1000) / 36) ** 2 * Decimal("0.7") / 2 / (8 * 460)
    r = (Decimal(-45) / 300).exp()
    found = run(**ONE | {"stops": str(stops)}).values
    temperatures = found["temperature_after_each_stop"].value
    assert len(temperatures) == stops
    for n in (1, 2, stops):
        assert temperatures[n - 1] == pytest.approx(float(20 + rise * (1 - r**n) / (1 - r)), abs=1e-6)
    assert found["peak"].value == max(temperatures) == temperatures[-1]


def test_a_hot_start_cools_towards_its_own_end():
    # From far above the steady end the first stop is the hottest.
    found = run(**ONE | {"stops": "10", "start": "500", "interval": "10 min"}).values
    assert found["peak"].value == found["temperature_after_each_stop"].value[0] == pytest.approx(555.04, abs=0.005)


def test_systems_agree():
    metric = run(**ONE | {"stops": "3"}).values["peak"].value
    inch = run("inch", **ONE | {"stops": "3", "vehicle_mass": "1500 kg", "speed_from": "100 km/h", "rotor_mass": "8 kg", "specific_heat": "460 J/kgK",
                                "interval": "0.75 min", "cooling_time": "5 min", "start": "68", "ambient": "68"}).values["peak"].value  # fmt: skip
    assert inch == pytest.approx(metric, rel=1e-10)


def test_the_ceiling():
    assert run(**ONE).verdict is None
    assert run(**ONE | {"stops": "5"}, ceiling="400").verdict.code == "within"
    over = run(**ONE | {"stops": "20"}, ceiling="300")
    assert over.verdict.code == "beyond" and "over the ceiling" in over.verdict.text
    # exactly at the ceiling is not over it: 1440 kg, 90 km/h, 80 % on two 5 kg rotors of 450 J/(kg·K) rises by 80 K
    given = ONE | {
        "vehicle_mass": "1440",
        "speed_from": "90",
        "axle_share": "0.8",
        "rotor_mass": "5",
        "specific_heat": "450",
        "start": "180",
    }
    assert run(**given).values["rise_per_stop"].value == pytest.approx(80, rel=1e-12)
    assert run(**given, ceiling="260").verdict.code == "within"
    assert run(**given, ceiling="259").verdict.code == "beyond"


def test_the_figure_shows_every_stop_in_the_readers_unit():
    for system, unit, more in (
        ("metric", "°C", {}),
        (
            "inch",
            "°F",
            {"vehicle_mass": "3300", "speed_from": "60", "rotor_mass": "18", "specific_heat": "0.11", "start": "70", "ambient": "70"},
        ),
    ):
        result = run(system, **ONE | {"stops": "6"} | more)
        drawing = ElementTree.fromstring(result.figure)
        texts = [text.text for text in drawing.iter("{http://www.w3.org/2000/svg}text")]
        assert unit in texts and {"1", "2", "3", "4", "5", "6"} <= set(texts)
        highest = result.values["peak"].text.partition(" (")[0]
        assert any(highest in text for text in texts)


def test_refusals():
    with pytest.raises(Contradiction, match="speed_to"):
        run(**ONE | {"speed_to": "100"})
    with pytest.raises(UnreadableEntry, match="stops"):
        run(**ONE | {"stops": "1000"})
    with pytest.raises(OutOfBand, match="vehicle_mass"):
        run(**ONE | {"vehicle_mass": "40 kg"})
    with pytest.raises(MissingInput, match="cooling_time"):
        run(**{name: value for name, value in ONE.items() if name != "cooling_time"})


def test_seconds_and_minutes_are_asked_about():
    with pytest.raises(AmbiguousEntry, match="interval.*minutes and seconds"):
        run(**ONE | {"interval": "45"})
    with pytest.raises(AmbiguousEntry, match="cooling_time"):
        run(**ONE | {"cooling_time": "300"})
    with pytest.raises(AmbiguousEntry, match="axle_share"):  # 70 may be 70 %
        run(**ONE | {"axle_share": "70"})
