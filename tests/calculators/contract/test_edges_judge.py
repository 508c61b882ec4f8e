"""Judging: what a value is held against, so that printing keeps it on its side of the limit."""

from __future__ import annotations

from calculators.contract.judge import BEYOND, TOO_CLOSE, WITHIN, lower_limit, size_limit, upper_limit
from calculators.contract.units import Quantity


def mm(number: float) -> Quantity:
    return Quantity(number, "mm")


def test_a_difference_of_either_sign_is_held_against_the_limit_on_both_sides():
    judged = size_limit("difference", "difference", "limit", "the limit", mm(-0.5), mm(0.3), mm(0.01))
    limits = judged.held_against["difference"]
    assert judged.code == BEYOND and judged.text == "difference {difference}: over the limit {limit}"
    assert [limit if isinstance(limit, str) else limit.to("mm").magnitude for limit in limits] == ["limit", -0.3]


def test_words_of_each_code():
    # ISO 14253-1 with x = 1.00, limit 1.00 ± 0.02, U = 0.01.
    def upper(x):
        return upper_limit("x", "play", "most", "the most", mm(x), mm(1), mm(0.01))

    def lower(x):
        return lower_limit("x", "lining", "least", "the least", mm(x), mm(1), mm(0.01))

    assert [(upper(x).code, upper(x).text) for x in (0.98, 1.02)] == [
        (WITHIN, "play {x} is not over the most {most}"),
        (BEYOND, "play {x} is over the most {most}"),
    ]
    assert [(lower(x).code, lower(x).text) for x in (1.02, 0.98)] == [
        (WITHIN, "lining {x} is above the least {least}"),
        (BEYOND, "lining {x} is not above the least {least}"),
    ]
    for judged in (upper(1.0), lower(1.0)):
        assert judged.code == TOO_CLOSE and "for this tool (± {tool_uncertainty})" in judged.text
