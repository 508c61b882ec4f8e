"""The tables that are worked out, against published figures at their printed precision."""

import math

import pytest

from build_tools.content.computed_tables import TABLES


def rows(name):
    columns, found = TABLES[name]()
    assert all(len(row) == len(columns) for row in found)
    return {row[0]: row[1:] for row in found}


@pytest.mark.parametrize(
    ("one", "printed"),
    [
        # NIST SP 811 (2008), Appendix B.8, factors as printed there, to the six figures shown here.
        ("1 in", "25.4 mm"),
        ("1 ft", "0.3048 m"),
        ("1 lbf·ft", "1.35582 N·m"),
        ("1 lbf·in", "0.112985 N·m"),
        ("1 kgf·m", "9.80665 N·m"),
        ("1 psi", "6.89476 kPa"),
        ("1 US fl oz", "29.5735 mL"),
        ("1 US qt", "0.946353 L"),
        ("1 US pt", "473.176 mL"),
        ("1 lbf", "4.44822 N"),
        ("1 lb", "0.453592 kg"),
        ("1 oz", "28.3495 g"),
        ("1 mi", "1.60934 km"),
    ],
)
def test_units(one, printed):
    assert rows("unit-conversion")[one][0] == printed


def test_units_there_and_back():
    for one, (there, other, back) in rows("unit-conversion").items():
        assert math.isclose(float(there.split()[0]) * float(back.split()[0]), 1, rel_tol=2e-5), (one, other)


@pytest.mark.parametrize(
    ("fraction", "decimal", "metric"),
    [
        # Drill and fraction charts of machine shops print these (common practice, no source); 1 in = 25.4 mm exactly.
        ("1/32 in", "0.0313 in", "0.79 mm"),
        ("1/16 in", "0.0625 in", "1.59 mm"),
        ("1/2 in", "0.5000 in", "12.70 mm"),
        ("1 in", "1.0000 in", "25.40 mm"),
    ],
)
def test_fractions(fraction, decimal, metric):
    assert rows("inch-fractions")[fraction] == [decimal, metric]


@pytest.mark.parametrize(
    ("grade", "dry", "wet"),
    [
        # 49 CFR 571.116 S5.1.1 and S5.1.2, both units as printed.
        ("DOT 3", "205 °C (401 °F)", "140 °C (284 °F)"),
        ("DOT 4", "230 °C (446 °F)", "155 °C (311 °F)"),
        ("DOT 5", "260 °C (500 °F)", "180 °C (356 °F)"),
        ("DOT 5.1", "260 °C (500 °F)", "180 °C (356 °F)"),
    ],
)
def test_fluids(grade, dry, wet):
    assert rows("fluid-grades")[grade][:2] == [dry, wet]


@pytest.mark.parametrize(
    ("thread", "proof_8_8", "proof_10_9", "mm"),
    [
        # Proof loads in N of ISO 898-1, coarse threads, as two suppliers tabulate them; torque = 0.20 × d × 0.75 × proof load.
        ("M6 × 1", 11_600, 16_700, 6),
        ("M8 × 1.25", 21_200, 30_400, 8),
        ("M12 × 1.75", 48_900, 70_000, 12),
        ("M16 × 2", 91_000, 130_000, 16),
    ],
)
def test_bolts(thread, proof_8_8, proof_10_9, mm):
    _, dry_8_8, _, dry_10_9 = rows("bolt-torque")[thread]
    for shown, proof in ((dry_8_8, proof_8_8), (dry_10_9, proof_10_9)):
        # The standard prints its proof loads rounded, so the last figure of a torque may be one off.
        assert abs(float(shown.split()[0]) - 0.20 * mm / 1000 * 0.75 * proof) < 1


def test_lock_steps():
    """A step of 60° on a thread of 3/4-16 moves the nut by 1/96 in: 0.0104 in."""
    assert rows("lock-steps")["3/4 in, 16 to the inch"][0] == "0.265 mm (0.0104 in)"


def test_every_wheel_is_tightened_across():
    """TM 5-3820-256-24-3, p. 3-37: opposite nuts follow each other; every stud once."""
    for studs, (order,) in rows("wheel-nut-order").items():
        numbers = [int(number) for number in order.split(", ")]
        assert sorted(numbers) == list(range(1, int(studs) + 1))
        if int(studs) % 2 == 0:
            assert abs(numbers[1] - numbers[0]) == int(studs) // 2
