"""The border to the page: JSON text in, JSON text out, nothing ever raised."""

from __future__ import annotations

import json

import pytest

from calculators import catalogue
from calculators.calls import browser
from calculators.calls.browser import evaluate

ROTOR = {"readings": "24.1; 24.0", "discard": "22.4 mm"}


def ask(calculator="rotor-thickness", system="metric", **given) -> dict:
    return json.loads(evaluate(json.dumps({"calculator": calculator, "given": given, "system": system})))


def test_a_result_has_the_keys_of_the_contract():
    result = ask(**ROTOR)["result"]
    assert set(result) == {"calculator", "inputs", "values", "verdict", "notes", "figure", "decided"}
    assert set(result["verdict"]) == {"code", "text"}
    assert all(set(value) == {"value", "unit", "text"} for value in result["values"].values())
    assert list(result["values"]) == list(catalogue()["rotor-thickness"].values)


def test_inputs_are_echoed_as_typed_as_understood_and_in_the_other_system():
    inputs = ask(**ROTOR)["result"]["inputs"]
    assert inputs["readings"][0] == {
        "typed": "24.1",
        "value": 24.1,
        "unit": "mm",
        "text": "24.1\N{NO-BREAK SPACE}mm",
        "other": "0.949\N{NO-BREAK SPACE}in",
    }
    assert inputs["tool_uncertainty"]["default"] is True
    assert "default" not in inputs["discard"]
    assert "new" not in inputs


def test_empty_fields_are_not_given():
    assert ask(**ROTOR, new="", machine_to="  ")["result"]["inputs"].keys() == ask(**ROTOR)["result"]["inputs"].keys()


def test_a_value_that_cannot_be_computed_says_what_it_needs():
    value = ask(**ROTOR)["result"]["values"]["distance_left"]
    assert value["value"] is None
    assert "distance run" in value["text"]


@pytest.mark.parametrize(
    "given, input, says",
    [
        ({"readings": "24.1"}, "discard", "missing"),
        ({"readings": "24.x", "discard": "22"}, "readings", "24.x"),
        ({"readings": "24.1", "discard": "22", "colour": "red"}, "colour", "no such input"),
        ({"readings": "24.1", "discard": "240 mm"}, "discard", "62"),
        ({"readings": "24.1", "discard": "22", "new": "21"}, "discard", "less than"),
        ({"readings": ["24.1", None], "discard": "22"}, "readings", "expected"),
        ({"readings": {"a": 1}, "discard": "22"}, "readings", "expected"),
    ],
)
def test_a_problem_names_its_input_in_one_line(given, input, says):
    problem = ask(**given)["problem"]
    assert problem["input"] == input
    assert says in problem["message"]
    assert "\n" not in problem["message"]
    assert problem["candidates"] == []


def test_candidates_of_an_ambiguous_entry_become_buttons():
    problem = ask(readings="24.1; 24.0; 0.949", discard="22.4 mm")["problem"]
    assert problem["input"] == "readings"
    assert problem["typed"] == "24.1; 24.0; 0.949"
    [candidate] = problem["candidates"]
    assert set(candidate) == {"entry", "text"}
    assert "result" in ask(readings=candidate["entry"], discard="22.4 mm")


@pytest.mark.parametrize(
    "text",
    ["", "{", "null", "[]", "3", '"x"', "{}", '{"calculator": 3}', '{"calculator": "rotor-thickness", "given": []}', '{"calculator": "nothing"}', '{"calculator": "rotor-thickness", "system": 3}',
     '{"calculator": "rotor-thickness", "system": "old"}', '{"calculator": "rotor-thickness", "given": {"system": "inch"}}', '{"calculator": "rotor-thickness", "extra": 1}', "[" * 100_000],
)  # fmt: skip
def test_a_request_that_makes_no_sense_is_a_problem_in_one_line(text):
    answer = json.loads(evaluate(text))
    assert set(answer) == {"problem"}
    assert answer["problem"]["message"].strip()
    assert "\n" not in answer["problem"]["message"]
    assert "please report" not in answer["problem"]["message"]


@pytest.mark.parametrize("what", [None, 3, b"x", object()])
def test_not_even_text_raises(what):
    assert set(json.loads(evaluate(what))) == {"problem"}


@pytest.mark.parametrize("fault", [RuntimeError("gone\nwrong"), SystemExit(0), KeyboardInterrupt()], ids=lambda fault: type(fault).__name__)
def test_a_fault_inside_becomes_one_line(monkeypatch, fault):
    def broken(text):
        raise fault

    monkeypatch.setattr(browser, "_evaluate", broken)
    problem = json.loads(evaluate("{}"))["problem"]
    assert type(fault).__name__ in problem["message"]
    assert "\n" not in problem["message"]


def test_the_answer_is_ascii_and_holds_no_nan():
    text = evaluate(
        json.dumps({"calculator": "rotor-thickness", "given": {"readings": "24.1 \ud800", "discard": "22"}, "system": "metric"})
    )
    assert text.isascii()
    json.loads(text, parse_constant=lambda name: pytest.fail(name))
