"""odometer: a subtraction, checked with fractions; 1 mi = 1.609344 km exactly (NIST SP 811, B.8)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calculators import catalogue
from calculators.contract.errors import Contradiction, OutOfBand, UnreadableEntry

ODOMETER = catalogue()["odometer"]
MILE = Fraction(1609344, 1000000)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_worked_example_is_recomputed():
    ODOMETER.worked_example()


@pytest.mark.parametrize("now, before", [("144,841", "100,000"), ("60 000", "59 999"), ("250000", "2000"), ("90123 mi", "80,000 mi")])
def test_the_distance_between_two_readings(now, before):
    factor = MILE if "mi" in now else 1
    exact = (
        Fraction(now.removesuffix(" mi").replace(",", "").replace(" ", ""))
        - Fraction(before.removesuffix(" mi").replace(",", "").replace(" ", ""))
    ) * factor
    found = ODOMETER.run(reading=now, before=before).values["driven"]
    assert found.unit == "km" and found.value == pytest.approx(float(exact), rel=1e-11)


def test_every_digit_of_the_reading_is_kept():
    """Rounded to three figures a reading would be of no use at the next visit."""
    assert plain(ODOMETER.run(reading="144,841").values["odometer"].text).startswith("144841 km")
    assert plain(ODOMETER.run(system="inch", reading="90,123").values["odometer"].text).startswith("90123 mi")


def test_without_an_earlier_reading_no_distance_is_said():
    assert ODOMETER.run(reading="144,841").values["driven"].value is None


@pytest.mark.parametrize(
    "given, error",
    [({"reading": "14,000", "before": "100,000"}, Contradiction), ({"reading": "0"}, OutOfBand), ({"reading": "none"}, UnreadableEntry)],
)
def test_what_cannot_be_is_refused(given, error):
    with pytest.raises(error):
        ODOMETER.run(**given)
