"""A result carries as data what decided its verdict: quantity, reading and limit."""

import pytest

from calculators import catalogue

THICKNESS = {"discard": "24.4 mm", "variation_limit": "0.015 mm", "tool_uncertainty": "0.002 mm"}
PADS = {"limit": "2.0 mm", "tool_uncertainty": "0.05 mm"}


def decided(name, **given):
    result = catalogue()[name].run(**given)
    return result.verdict.code, [(d.quantity, [limit.name for limit in d.limits]) for d in result.decided]


@pytest.mark.parametrize(
    "name, given, code, found",
    [
        ("rotor-thickness", {"readings": "26.030; 26.000; 26.001", **THICKNESS}, "beyond", [("variation", ["variation_limit"])]),
        ("rotor-thickness", {"readings": "24.301; 24.300; 24.300", **THICKNESS}, "beyond", [("thinnest", ["discard"])]),
        (
            "rotor-thickness",
            {"readings": "24.330; 24.300; 24.300", **THICKNESS},
            "beyond",
            [("thinnest", ["discard"]), ("variation", ["variation_limit"])],
        ),
        (
            "rotor-thickness",
            {"readings": "26.001; 26.000; 26.000", **THICKNESS},
            "within",
            [("thinnest", ["discard"]), ("variation", ["variation_limit"])],
        ),
        (
            "pad-wear",
            {"inner": "6.0 mm; 6.0 mm", "outer": "6.0 mm; 3.0 mm", "taper_limit": "1.0 mm", **PADS},
            "beyond",
            [("outer_taper", ["taper_limit"])],
        ),
        (
            "pad-wear",
            {"inner": "6.0 mm; 6.0 mm", "outer": "3.0 mm; 3.0 mm", "difference_limit": "1.0 mm", **PADS},
            "beyond",
            [("inner_outer_difference", ["difference_limit"])],
        ),
        ("pad-wear", {"inner": "6.0 mm; 6.0 mm", "outer": "1.5 mm; 1.5 mm", **PADS}, "beyond", [("thinnest", ["limit"])]),
        ("torque-check", {"target": "100 N·m", "target_max": "120 N·m", "actual": "150 N·m"}, "beyond", [("actual", ["target_max"])]),
        ("torque-check", {"target": "100 N·m", "target_max": "120 N·m", "actual": "60 N·m"}, "beyond", [("actual", ["target"])]),
        ("piston-match", {"pistons_old": "54 mm", "pistons_new": "57 mm"}, "beyond", [("ratio", [""])]),
        ("fluid-condition", {"grade": "DOT 3", "boiling_point": "120 °C", "tool_uncertainty": "0 °C"}, "beyond", [("boiling_point", [""])]),
    ],
)
def test_what_decided(name, given, code, found):
    assert decided(name, **given) == (code, found)


def test_the_data_are_those_that_are_printed():
    result = catalogue()["rotor-thickness"].run(readings="26.030; 26.000; 26.001", **THICKNESS).as_json()
    assert result["decided"] == [
        {
            "quantity": "variation",
            "label": "Thickness variation",
            "value": 0.03,
            "unit": "mm",
            "text": result["values"]["variation"]["text"],
            "limits": [
                {
                    "name": "variation_limit",
                    "label": "Variation limit",
                    "value": 0.015,
                    "unit": "mm",
                    "text": result["decided"][0]["limits"][0]["text"],
                }
            ],
        }
    ]
    assert "0.015\u00a0mm" in result["decided"][0]["limits"][0]["text"]


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_a_worked_example_with_a_verdict_on_a_limit_says_what_decided(name):
    result = catalogue()[name].worked_example()
    if result.verdict is None or name == "vin-check":  # a check digit is no limit
        assert result.decided == []
        return
    assert result.decided and all(d.label and d.text and d.limits for d in result.decided)
    assert all(limit.label and limit.text and limit.unit == d.limits[0].unit for d in result.decided for limit in d.limits)
