"""torque-adapter against printed examples of torque wrench makers and a US Army manual's formula."""

from __future__ import annotations

from decimal import Decimal, getcontext

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

getcontext().prec = 30
LBF_FT = 1.3558179483314  # N·m, exact: 0.3048 × 4.4482216152605
LBF_IN = LBF_FT / 12


def run(system="metric", **given):
    return catalogue()["torque-adapter"].run(system, **given)


def setting(system="metric", **given):
    return run(system, **given).values["setting"].value


@pytest.mark.parametrize(
    "target, wrench, adapter, angle, printed, unit",
    [
        ("50 ft-lb", "16", "2", "0", "44.44", LBF_FT),  # 50 × 16/18, a torque wrench's manual
        ("20 ft-lb", "12", "3", "0", "16", LBF_FT),  # 20 × 12/15, the leaflet of an adapter
        ("135 in-lb", "10", "1.5", "0", "117.39", LBF_IN),  # an aircraft maintenance manual, adapter that lengthens
        ("135 in-lb", "10", "1.5", "180", "158.82", LBF_IN),  # the same page, adapter that shortens
        ("50 ft-lb", "18", "6", "0", "37.5", LBF_FT),  # 50 × 18/24, a workshop note
        ("50 ft-lb", "18", "6", "90", "50", LBF_FT),  # the same note: no change to the side
    ],
)
def test_printed_examples(target, wrench, adapter, angle, printed, unit):
    decimals = len(printed.partition(".")[2])
    assert (
        f"{setting('inch', target=target, wrench_length=wrench, adapter_length=adapter, adapter_angle=angle) / unit:.{decimals}f}"
        == printed
    )


@pytest.mark.parametrize(
    "angle, cosine",
    [
        ("60", Decimal("0.5")),
        ("-60", Decimal("0.5")),
        ("45", 1 / Decimal(2).sqrt()),
        ("120", Decimal("-0.5")),
        ("30", Decimal(3).sqrt() / 2),
    ],
)
def test_angled_adapter(angle, cosine):
    # TM 9-254 figure 46: the adapter counts with its length times the cosine of its angle; exact cosines.
    expected = Decimal(110) * 400 / (400 + 60 * cosine)
    assert setting(target="110", wrench_length="400", adapter_length="60", adapter_angle=angle) == pytest.approx(float(expected), rel=1e-11)


def test_the_torque_comes_back_at_the_fastener():
    # Balance of moments: the pull on the grip is setting / L, and works on L + E at the fastener.
    pull = setting(target="35", wrench_length="300", adapter_length="45") / 0.300
    assert pull * 0.345 == pytest.approx(35, rel=1e-12)


def test_systems_agree():
    metric = setting(target="67.7908974165700 N·m", wrench_length="406.4 mm", adapter_length="50.8 mm")
    assert setting("inch", target="50", wrench_length="16", adapter_length="2") == pytest.approx(metric, rel=1e-10)


def test_the_range_of_the_wrench():
    given = {"target": "110", "wrench_length": "400", "adapter_length": "60"}  # 95.65 N·m
    over, under, inside = run(**given, wrench_max="90"), run(**given, wrench_min="100"), run(**given, wrench_min="40", wrench_max="200")
    assert (over.verdict.code, under.verdict.code, inside.verdict.code) == ("cannot-tell", "cannot-tell", "within")
    assert "bigger" in over.verdict.text and "smaller" in under.verdict.text
    assert over.values["setting"].value == inside.values["setting"].value  # the figure is still given
    assert run(**given).verdict is None and run(**given, wrench_max="200").verdict is None
    # exactly at an end of the range it can be set
    assert run(target="60", wrench_length="400", adapter_length="200", wrench_min="20", wrench_max="40").verdict.code == "within"


def test_inch_pounds_are_told_in_inch_pounds():
    assert any(
        "117.4\N{NO-BREAK SPACE}lbf·in" in note for note in run("inch", target="135 in-lb", wrench_length="10", adapter_length="1.5").notes
    )
    assert any("changes nothing" in note for note in run(target="110", wrench_length="400", adapter_length="60", adapter_angle="-90").notes)


def test_refusals():
    with pytest.raises(Contradiction, match="no lever"):
        run(target="110", wrench_length="120 mm", adapter_length="120 mm", adapter_angle="180")
    with pytest.raises(Contradiction, match="must be less"):
        run(target="110", wrench_length="400", adapter_length="60", wrench_min="100", wrench_max="50")
    with pytest.raises(OutOfBand, match="adapter_angle"):
        run(target="110", wrench_length="400", adapter_length="60", adapter_angle="200")
    with pytest.raises(MissingInput, match="wrench_length"):
        run(target="110", adapter_length="60")
    with pytest.raises(UnreadableEntry, match="torque"):
        run(target="110 mm", wrench_length="400", adapter_length="60")


def test_slips_are_asked_about():
    with pytest.raises(AmbiguousEntry, match="16"):  # inches in a field in mm
        run(target="110", wrench_length="16", adapter_length="60")
    with pytest.raises(AmbiguousEntry, match="not shorter than the wrench"):
        run(target="110", wrench_length="250", adapter_length="280")
    assert any("not shorter" in note for note in run(target="110", wrench_length="250 mm", adapter_length="280 mm").notes)
