"""bolt-clamp against the proof loads and stress areas that ISO 898-1 and bolt makers' tables print."""

from __future__ import annotations

from math import pi

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

LBF = 4.4482216152605  # N, exact


def run(system="metric", **given):
    return catalogue()["bolt-clamp"].run(system, **given)


def metric(torque="126", diameter="M12", pitch="1.75", property_class="10.9", nut_factor="0.2", **more):
    return run(torque=torque, diameter=diameter, pitch=pitch, property_class=property_class, nut_factor=nut_factor, **more)


def three_figures(number: float) -> str:
    return f"{number:.3g}"


# ISO 898-1, coarse threads: stress area mm² and proof loads in N, as reprinted by two bolt suppliers that agree.
ISO_TABLE = [
    ("M6", "1", "20.1", {"8.8": 11_600, "10.9": 16_700, "12.9": 19_500}),
    ("M8", "1.25", "36.6", {"8.8": 21_200, "10.9": 30_400, "12.9": 35_500}),
    ("M10", "1.5", "58.0", {"8.8": 33_700, "10.9": 48_100, "12.9": 56_300}),
    ("M12", "1.75", "84.3", {"8.8": 48_900, "10.9": 70_000, "12.9": 81_800}),
    ("M14", "2", "115", {"8.8": 66_700, "10.9": 95_500, "12.9": 112_000}),
    ("M16", "2", "157", {"8.8": 91_000, "10.9": 130_000, "12.9": 152_000}),
]


@pytest.mark.parametrize("diameter, pitch, area, proof_loads", ISO_TABLE, ids=[row[0] for row in ISO_TABLE])
def test_stress_areas_and_proof_loads_of_iso_898_1(diameter, pitch, area, proof_loads):
    for property_class, proof in proof_loads.items():
        values = metric("60", diameter, pitch, property_class).values
        assert f"{values['stress_area'].value:.{3 - len(area.partition('.')[0])}f}" == area
        # The table takes the rounded area and rounds again, in part downwards, to three figures: up to 0.7 % together.
        assert values["clamp_force"].value / values["proof_fraction"].value == pytest.approx(proof, rel=0.007)


@pytest.mark.parametrize("diameter, pitch, area", [("M12", "1.75", 84.27), ("M12", "1.5", 88.13), ("M14", "1.5", 124.55)])
def test_stress_area_is_the_mean_of_pitch_and_root_diameter(diameter, pitch, area):
    # π/4 ((d2 + d3)/2)² with d2 = d − 0.649519 p, d3 = d − 1.226869 p (ISO 724, ISO 898-1), to the hundredth.
    d, p = float(diameter[1:]), float(pitch)
    exact = pi / 4 * (((d - 0.649519 * p) + (d - 1.226869 * p)) / 2) ** 2
    assert round(exact, 2) == area
    assert round(metric(diameter=diameter, pitch=pitch).values["stress_area"].value, 2) == area


# Unified threads: stress areas in in² as printed in bolt makers' tables (SAE J429 reprints), three or four figures.
@pytest.mark.parametrize(
    "thread, area",
    [
        ("1/4-20", "0.0318"),
        ("5/16-18", "0.0524"),
        ("3/8-16", "0.0775"),
        ("7/16-20", "0.1187"),
        ("1/2-13", "0.1419"),
        ("1/2-20", "0.160"),
        ("5/8-11", "0.226"),
    ],
)
def test_stress_areas_of_unified_threads(thread, area):
    values = run("inch", torque="20", diameter=thread.partition("-")[0], pitch=thread, property_class="grade 5", nut_factor="0.2").values
    assert f"{values['stress_area'].value / 25.4**2:.{len(area) - 2}f}" == area


@pytest.mark.parametrize("property_class, ksi", [("5", 85), ("8", 120)])
def test_inch_grades_at_three_quarters_of_proof(property_class, ksi):
    # A bolt maker's table (SAE J429): clamp force = 75 % × proof stress × stress area, torque = 0.20 × d × clamp force.
    force = 0.75 * ksi * 1000 * 0.1599
    torque = 0.20 * 0.5 / 12 * force
    result = run("inch", torque=f"{torque:.4f}", diameter="1/2", pitch="20 TPI", property_class=property_class, nut_factor="0.20")
    assert three_figures(result.values["clamp_force"].value / LBF) == three_figures(force)
    assert three_figures(result.values["proof_fraction"].value) == "0.75"
    assert result.inputs["property_class"]["value"] == f"grade {property_class}"


def test_torque_of_the_definition():
    # T = K d F: M12, 10.9, K 0.20, F = 0.75 × 70,000 N → 126.0 N·m.
    assert metric().values["clamp_force"].value == pytest.approx(52_500, rel=1e-12)


def test_the_proof_stress_of_8_8_changes_above_m16():
    # ISO 898-1: 580 MPa up to M16, 600 MPa above.
    for diameter, pitch, stress in (("M16", "2", 580), ("M18", "2.5", 600)):
        values = metric("200", diameter, pitch, "8.8").values
        assert values["clamp_force"].value / values["proof_fraction"].value / values["stress_area"].value == pytest.approx(stress, rel=1e-9)


def test_ninety_per_cent_is_the_limit():
    area = metric().values["stress_area"].value
    at_limit = 0.9 * 830 * area * 0.2 * 0.012  # N·m
    assert metric(f"{at_limit * 0.9999:.6f}").verdict.code == "within"
    over = metric(f"{at_limit * 1.0001:.6f}")
    assert over.verdict.code == "beyond" and "over 90 %" in over.verdict.text
    assert over.values["proof_fraction"].text != "90.0\N{NO-BREAK SPACE}%"  # the text does not contradict the verdict


def test_torque_plus_angle_cannot_be_told():
    result = metric(tightening="torque plus angle")
    assert result.verdict.code == "cannot-tell"
    assert result.values["clamp_force"].value is None and "angle" in result.values["clamp_force"].text
    assert result.values["proof_fraction"].value is None
    assert round(result.values["stress_area"].value, 2) == 84.27
    assert metric(tightening="angle").verdict.code == "cannot-tell"


def test_a_marking_that_does_not_fit_the_thread_is_noted():
    assert any("lines mark inch bolts" in note for note in metric(pitch="14 TPI").notes)
    assert any("M16 only" in note for note in metric("200", "M20", "2.5", "9.8").notes)
    assert not any("mark" in note for note in metric().notes)


def test_refusals():
    with pytest.raises(MissingInput, match="nut_factor"):
        run(torque="126", diameter="M12", pitch="1.75", property_class="10.9")
    with pytest.raises(UnreadableEntry, match=r"property_class.*8\.8, 9\.8, 10\.9, 12\.9, grade 5, grade 8"):
        metric(property_class="4.6")
    with pytest.raises(OutOfBand, match="nut_factor"):
        metric(nut_factor="0.5")
    with pytest.raises(OutOfBand, match="diameter"):
        metric(diameter="M80")
    with pytest.raises(UnreadableEntry, match="pitch"):
        metric(pitch="M12")


def test_slips_are_asked_about():
    with pytest.raises(AmbiguousEntry, match="unusual on a diameter"):
        metric(diameter="20", pitch="0.75")
    with pytest.raises(AmbiguousEntry) as asked:
        metric(pitch="14")  # threads per inch in a field in mm
    assert [candidate.entry for candidate in asked.value.candidates] == ["14 TPI"]
    with pytest.raises(AmbiguousEntry, match="diameter"):
        metric(diameter="0.5")
