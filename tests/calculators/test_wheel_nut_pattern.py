"""wheel-nut-pattern against the published way across the wheel, and what a star is by geometry."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, MissingInput, OutOfBand, UnreadableEntry

# Studs numbered clockwise: the table of the handbook's specification, itself common practice.
TABLE = {
    3: "1 2 3", 4: "1 3 2 4", 5: "1 3 5 2 4", 6: "1 4 2 5 3 6", 7: "1 4 7 3 6 2 5", 8: "1 5 3 7 2 6 4 8", 9: "1 5 9 4 8 3 7 2 6",
    10: "1 6 3 8 5 10 2 7 4 9", 11: "1 6 11 5 10 4 9 3 8 2 7", 12: "1 7 3 9 5 11 2 8 4 10 6 12",
}  # fmt: skip


def run(system="metric", **given):
    return catalogue()["wheel-nut-pattern"].run(system, **{"torque": "120", **given})


def sequence(studs: int) -> list[int]:
    return run(studs=str(studs)).values["sequence"].value


@pytest.mark.parametrize("studs", list(TABLE))
def test_the_table(studs):
    assert sequence(studs) == [int(stud) for stud in TABLE[studs].split()]


@pytest.mark.parametrize("studs", list(TABLE))
def test_every_stud_once(studs):
    assert sorted(sequence(studs)) == list(range(1, studs + 1))


@pytest.mark.parametrize("studs", [4, 6, 8, 10, 12])
def test_an_even_wheel_goes_from_stud_to_opposite_stud(studs):
    # TM 5-3820-256-24-3 p. 3-37: criss-cross.
    found = sequence(studs)
    for first, second in zip(found[::2], found[1::2], strict=True):
        assert abs(first - second) == studs // 2


@pytest.mark.parametrize("studs", [5, 7, 9, 11])
def test_an_odd_wheel_is_a_star(studs):
    """The star polygon of geometry: every move is (n ± 1)/2 studs, as far across as an odd wheel goes."""
    found = sequence(studs)
    moves = {(after - before) % studs for before, after in pairwise(found)}
    assert len(moves) == 1 and moves <= {studs // 2, studs // 2 + 1}


@pytest.mark.parametrize("studs", range(5, 13))
def test_no_nut_is_followed_by_its_neighbor(studs):
    found = sequence(studs)
    assert all((after - before) % studs not in (1, studs - 1) for before, after in pairwise(found))


def test_stages_are_equal_parts():
    values = run(studs="5", torque="120").values
    assert values["stage_torques"].value == [40, 80, 120]
    assert [f"{t / 1.3558179483314:.3f}" for t in run("inch", studs="8", torque="140", stages="2").values["stage_torques"].value] == [
        "70.000",
        "140.000",
    ]
    assert run(studs="5", torque="100", stages="1").values["stage_torques"].value == [100]
    # the last stage is printed as it was entered, not rounded up
    assert run(studs="5", torque="103.5").values["stage_torques"].text.split("; ")[-1].startswith("103.5\N{NO-BREAK SPACE}N·m")


def test_torque_again_after_50_to_100_miles():
    # TM 5-2330-378-14&P p. 3-23: first 50 to 100 miles; TM 5-3820-256-24-3: about 50 miles (80 km).
    values = run(studs="5").values
    assert (values["retorque_from"].value, values["retorque_to"].value) == (80, 160)
    for system, texts in (("metric", ("80 km (50 mi)", "160 km (100 mi)")), ("inch", ("50 mi (80 km)", "100 mi (160 km)"))):
        values = run(system, studs="5", torque="89").values
        assert tuple(values[name].text.replace("\N{NO-BREAK SPACE}", " ") for name in ("retorque_from", "retorque_to")) == texts


def test_nothing_is_judged():
    assert run(studs="5").verdict is None


@pytest.mark.parametrize("studs", list(TABLE))
def test_the_figure_numbers_the_studs_clockwise(studs):
    drawing = ElementTree.fromstring(run(studs=str(studs)).figure)
    texts = list(drawing.iter("{http://www.w3.org/2000/svg}text"))
    inside = {text.text: (float(text.get("x")), float(text.get("y"))) for text in texts if text.get("font-weight")}
    outside = {
        text.text: (float(text.get("x")), float(text.get("y"))) for text in texts if not text.get("font-weight") and text.text.isdigit()
    }
    assert set(inside) == set(outside) == {str(n) for n in range(1, studs + 1)}
    for place, stud in enumerate(sequence(studs), 1):  # the place in the order stands on the way from the middle to its stud
        (x, y), (far_x, far_y) = inside[str(place)], outside[str(stud)]
        assert abs(far_x - x) < 50 and abs(far_y - y) < 50
    assert outside["2"][0] > outside["1"][0]  # the second one is to the right of the top: clockwise


def test_refusals():
    for studs in ("2", "13", "five", "5.5"):
        with pytest.raises(UnreadableEntry, match="studs"):
            run(studs=studs)
    with pytest.raises(UnreadableEntry, match="stages"):
        run(studs="5", stages="9")
    with pytest.raises(OutOfBand, match="torque"):
        run(studs="5", torque="10 N·m")
    with pytest.raises(MissingInput, match="torque"):
        catalogue()["wheel-nut-pattern"].run(studs="5")


def test_a_heavy_wheel_is_asked_about():
    # 271 to 339 N·m stands in TM 5-2330-378-14&P: usual for a trailer, unusual for a car.
    with pytest.raises(AmbiguousEntry, match="unusual"):
        run(studs="8", torque="300")
    assert run(studs="8", torque="300 N·m").values["stage_torques"].value[-1] == 300


def test_every_word_is_true_on_a_wheel_with_bolts_too():
    calculator, result = catalogue()["wheel-nut-pattern"], run(studs="5")
    said = [
        calculator.purpose,
        *calculator.formula,
        *calculator.limits_of_model,
        *(value.label for value in calculator.values.values()),
        *(spec.help for spec in calculator.inputs.values()),
        *result.notes,
        result.figure,
    ]
    assert [text for text in said if re.search(r"\bstuds?\b(?! or bolt hole)|\bnuts?\b(?! or bolt)", text)] == []
