"""The bands of the unit-slip guard refuse only what cannot be, and the questions hold in every calculator.

published_values.csv: figures of regulations, public manuals and textbooks, the source beside each; what is rare among
them may be asked about once, and is then taken.
"""

from __future__ import annotations

import pytest

from calculators import catalogue, named
from calculators.contract.bands import BANDS
from calculators.contract.errors import AmbiguousEntry, EntryError
from calculators.contract.guard import in_hard, in_usual
from calculators.contract.units import unit_named
from tests.calculators.corpus import table

PUBLISHED = table("published_values")
LENGTHS = [(name, spec) for name, found in catalogue().items() for spec in found.inputs.values() if spec.kind in ("length", "diameter")]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row['calculator']} {row['input']} {row['entry']}")
def test_a_published_value_is_taken_or_asked_about_once(row):
    spec = named(row["calculator"]).inputs[row["input"]]
    for system in ("metric", "inch"):
        question = None
        try:
            found = spec.read(row["entry"], system)
        except AmbiguousEntry as asked:
            question = asked
        if question:
            assert row["entry"] == "1" and question.candidates  # a bare share has no unit that could have been typed
            found = spec.read(question.candidates[0].entry, system)
        assert found


def test_every_band_has_room_around_what_is_usual():
    for name, band in BANDS.items():
        for edges in band.edges:
            assert edges.hard_low <= edges.low < edges.high <= edges.hard_high, name


def test_both_columns_of_a_band_say_the_same():
    """Rounded alike to a few per cent, hard edges as well as usual ones."""
    for name, band in BANDS.items():
        if len(band.edges) < 2:
            continue
        first, second = band.edges
        here, there = unit_named(first.unit), unit_named(second.unit)
        for edge in ("hard_low", "low", "high", "hard_high"):
            in_first = here.magnitude(there.quantity(getattr(second, edge)))
            assert in_first == pytest.approx(
                getattr(first, edge), rel=0.12, abs=0.6 if "temperature" in name or "boiling" in name else 0.002
            ), (name, edge)


@pytest.mark.parametrize("name, spec", LENGTHS, ids=lambda value: value if isinstance(value, str) else value.name)
@pytest.mark.parametrize("system, digits", [("metric", 4), ("inch", 5)])
def test_a_bare_length_too_fine_for_its_unit_is_asked_about(name, spec, system, digits):
    """0.0115 as millimetres of end play is 0.0115 in, the unit forgotten."""
    if spec.unit(system).symbol == "ft":
        pytest.skip("a tape in feet has no thousandths to be taken for")
    edges = spec.bands.edges[0 if system == "metric" else 1]
    number = f"{(edges.low + edges.high) / 2 or edges.high / 2:.{digits}f}"
    with pytest.raises(AmbiguousEntry) as caught:
        spec.read(f"{number}; {number}" if spec.is_list else number, system)
    for candidate in caught.value.candidates:
        spec.read(candidate.entry, system)  # asked once


@pytest.mark.parametrize("name, spec", LENGTHS, ids=lambda value: value if isinstance(value, str) else value.name)
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_a_bare_length_plausible_only_in_the_other_unit_is_never_taken(name, spec, system):
    here, there = spec.unit(system), spec.unit("inch" if system == "metric" else "metric")
    edges = spec.bands.edges[0 if there.system == "metric" else 1]
    for share in (0.05, 0.2, 0.5, 0.8, 1):
        number = f"{edges.low + share * (edges.high - edges.low):.3f}"
        if in_usual(spec.bands, here.quantity(float(number))) or not in_usual(spec.bands, there.quantity(float(number))):
            continue
        with pytest.raises(EntryError) as caught:
            spec.read(f"{number}; {number}" if spec.is_list else number, system)
        offered = [candidate.entry for candidate in getattr(caught.value, "candidates", [])]
        assert any(there.symbol in entry for entry in offered), (number, str(caught.value))


def test_what_cannot_be_is_still_refused():
    for band, unit, value in (
        ("rotor thickness", "mm", 0.88),
        ("runout limit", "mm", 50),
        ("torque, wheel nut", "N·m", 1200),
        ("axle share", "", 1.01),
        ("end play", "mm", 4),
    ):
        assert not in_hard(BANDS[band], unit_named(unit, None if unit else "number").quantity(value)), band
