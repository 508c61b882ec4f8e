"""The command line, the page's border and the declaration: what is said, and what is refused."""

from __future__ import annotations

import io
import json

import pytest

from calculators import catalogue
from calculators.calls import command_line
from calculators.calls.browser import evaluate
from calculators.contract.errors import Contradiction, EntryError, MissingInput, UnreadableEntry
from calculators.contract.sources import Source


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_a_stream_that_knows_no_encoding(monkeypatch):
    out = io.StringIO()
    monkeypatch.setattr("sys.stdout", out)
    assert command_line.main([]) == 2 and command_line.main(["--help"]) == 0
    assert out.getvalue().startswith("usage: ")


def test_the_system_is_given_once(capsys):
    assert command_line.main(["--list", "--system=inch", "--system=inch"]) == 0
    capsys.readouterr()
    assert command_line.main(["--list", "--system=inch", "--system=metric"]) == 2
    assert "--system: given twice" in capsys.readouterr().err


def test_json_keeps_the_signs_of_the_trade():
    assert command_line.to_json({"unit": "N·m"}) == '{\n  "unit": "N·m"\n}'
    with pytest.raises(ValueError, match="JSON"):
        command_line.to_json(float("nan"))


def test_the_list_puts_optional_inputs_in_brackets():
    lines = command_line.list_text().splitlines()
    inputs = lines[lines.index(next(line for line in lines if line.startswith("torque-adapter  "))) + 1]
    assert inputs.split() == ["target", "wrench_length", "adapter_length", "[adapter_angle]", "[wrench_min]", "[wrench_max]"]
    assert "    readings[] discard [machine_to]" in "\n".join(lines)


@pytest.mark.parametrize("name, line", [
    ("rotor-thickness", "  readings[] (mm, in; required)  "), ("rotor-thickness", "  machine_to (mm, in; optional)  "),
    ("torque-adapter", "  adapter_angle (°; default 0)  "), ("fluid-condition", "  grade (one of DOT 3, DOT 4, DOT 5, DOT 5.1; required)  "),
    ("fluid-volume", "  flush_multiple (number; default 1)  "), ("rotor-thickness", "  thinnest (mm)  Thinnest"),
    ("axle-compare", "  ratio  Left divided by right"), ("bearing-end-play", "  reachable[] (mm)  "),
])  # fmt: skip
def test_help(name, line):
    assert any(said.startswith(line) for said in command_line.help_text(catalogue()[name]).splitlines())


def test_a_result_says_what_was_understood(capsys):
    assert command_line.main(["torque-adapter", "target=50 lbf·ft", "wrench_length=16 in", "adapter_length=2 in", "--system=inch"]) == 0
    said = plain(capsys.readouterr().out)
    # 50 lbf·ft × 1.35582 = 67.79 N·m
    assert "Understood:\n  Torque at the fastener: 50 lbf·ft → 67.79 N·m" in said
    assert "default → 0°" in said


def test_the_first_missing_input_is_named_with_the_others():
    with pytest.raises(
        MissingInput,
        match="^target: missing; expected a torque, for example .*; wrench_length is missing too; adapter_length is missing too$",
    ) as told:
        catalogue()["torque-adapter"].run()
    assert told.value.input == "target"
    with pytest.raises(MissingInput, match="^readings: missing; expected one length or more, .*; discard is missing too$"):
        catalogue()["rotor-thickness"].run()


def test_defaults_in_the_declaration():
    told = {item["name"]: item["default"] for item in catalogue()["torque-adapter"].describe()["inputs"]}
    assert told == {
        "target": None,
        "wrench_length": None,
        "adapter_length": None,
        "adapter_angle": "0",
        "wrench_min": None,
        "wrench_max": None,
    }


def test_a_source_says_its_edition_where_it_has_one():
    assert "Rules (2019)" in str(Source("x", "Rules", "2019")) and "(" not in str(Source("x", "Rules"))


def test_a_calculator_that_is_not_there():
    def message(name):
        return json.loads(evaluate(json.dumps({"calculator": name})))["problem"]["message"]

    assert message("rotor-thicknes") == "no calculator “rotor-thicknes”; did you mean rotor-thickness?"
    assert message("zzz").startswith("no calculator “zzz”; there are rotor-thickness, bearing-end-play, ")


@pytest.mark.parametrize(
    "entry, to", [("-273.15 °C", "°F"), ("-272.5 °C", "°F"), ("-459.67 °F", "°C"), ("-5 mm", "in"), ("-10 K", "delta °F")]
)
def test_what_may_lie_below_zero(entry, to):
    catalogue()["convert"].run(entry=entry, to=to)


@pytest.mark.parametrize(
    "entry, to, error",
    [
        ("-273.65 °C", "°F", Contradiction),
        ("-460 °F", "°C", Contradiction),
        ("-5 N·m", "lbf·ft", UnreadableEntry),
        ("-5 bar", "psi", UnreadableEntry),
    ],
)
def test_what_may_not(entry, to, error):
    with pytest.raises(error):
        catalogue()["convert"].run(entry=entry, to=to)


def test_lengths_and_distances_are_one_here_and_other_kinds_are_not():
    # 1 mi = 1609.344 m
    assert catalogue()["convert"].run(entry="1 mi", to="km").values["value"].value == pytest.approx(1.609344)
    with pytest.raises(EntryError):
        catalogue()["convert"].run(entry="5 mm", to="psi")
