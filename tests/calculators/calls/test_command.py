"""The command line, as its contract says: 0 with a result, 2 with one clear line, never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from build_tools.paths import PROJECT
from calculators import __main__ as program
from calculators import catalogue
from calculators.calls.command_line import main


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    status = main(list(arguments))
    captured = capsys.readouterr()
    return status, captured.out, captured.err


def test_a_result_in_words(capsys):
    status, out, err = run(capsys, "rotor-thickness", "readings=24.1; 24.0", "discard=22.4mm")
    assert (status, err) == (0, "")
    assert out.startswith("within: ")
    assert "24.0\N{NO-BREAK SPACE}mm (0.945\N{NO-BREAK SPACE}in)" in out  # 24.0 / 25.4 = 0.9449


def test_a_result_as_json(capsys):
    status, out, _ = run(capsys, "rotor-thickness", "readings=24.1; 24.0", "discard=22.4mm", "--json")
    result = json.loads(out)
    assert status == 0
    assert set(result) == {"calculator", "inputs", "values", "verdict", "notes", "figure", "decided"}
    assert result["values"]["margin"]["value"] == pytest.approx(1.6)
    assert result["inputs"]["discard"] == {
        "typed": "22.4mm",
        "value": 22.4,
        "unit": "mm",
        "text": "22.4\N{NO-BREAK SPACE}mm",
        "other": "0.882\N{NO-BREAK SPACE}in",
    }


def test_bare_numbers_in_inch_units(capsys):
    status, out, _ = run(capsys, "rotor-thickness", "readings=0.949 0.945", "discard=0.882", "--system=inch", "--json")
    values = json.loads(out)["values"]
    assert status == 0
    assert values["thinnest"]["value"] == pytest.approx(0.945 * 25.4)  # fixed unit
    assert values["thinnest"]["text"].startswith("0.945\N{NO-BREAK SPACE}in")  # the reader's system first


@pytest.mark.parametrize(
    "arguments, says",
    [
        (["rotor-thickness", "readings=24.1", "discard"], "discard"),
        (["rotor-thickness", "readings=24.1", "discard="], "discard"),
        (["rotor-thickness", "readings=24.1", "discard= "], "discard"),
        (["rotor-thickness", "readings=24.1", "readings=24.2", "discard=22"], "readings"),
        (["rotor-thickness", "readings=24.1", "discrad=22"], "discard"),
        (["rotor-thickness", "readings=24.1"], "discard"),
        (["rotor-thickness", "readings=abc", "discard=22"], "readings"),
        (["rotor-thickness", "readings=24.1", "discard=22", "--system=imperial"], "--system"),
        (["rotor-thickness", "readings=24.1", "discard=22", "--yaml"], "--yaml"),
        (["rotor-thicknes", "readings=24.1", "discard=22"], "rotor-thickness"),
        (["rotor-thickness", "readings=240", "discard=22"], "readings"),
        (["rotor-thickness", "readings=24.1", "discard=22", "system=inch"], "--system=inch"),
        (["readings=24.1"], "rotor-thickness"),
        ([], "rotor-thickness"),
        (["--list", "rotor-thickness"], "--list"),
        (["--json"], "rotor-thickness"),
    ],
)
def test_what_is_wrong_is_one_line_and_status_2(capsys, arguments, says):
    status, out, err = run(capsys, *arguments)
    assert status == 2
    assert out == ""
    assert err.count("\n") == 1
    assert says in err


def test_an_ambiguous_entry_lists_its_readings(capsys):
    status, _, err = run(capsys, "rotor-thickness", "readings=0.945", "discard=22.4mm")
    assert status == 2
    assert err.count("\n") == 1
    assert 'readings="0.945 in"' in err


def test_the_list(capsys):
    status, out, _ = run(capsys, "--list")
    assert status == 0
    for name in catalogue():
        assert name in out


def test_the_list_as_json_holds_what_a_form_needs(capsys):
    status, out, _ = run(capsys, "--list", "--json")
    listed = {item["name"]: item for item in json.loads(out)}
    assert status == 0
    assert list(listed) == [*catalogue(), "wheel-end-decision"]
    rotor = listed["rotor-thickness"]
    readings = rotor["inputs"][0]
    assert (readings["name"], readings["unit"], readings["inch_unit"], readings["list"], readings["required"]) == (
        "readings",
        "mm",
        "in",
        True,
        True,
    )
    assert readings["bands"]["hard"]["mm"] == [2.5, 62]
    assert {"default", "choices"} <= set(readings)
    assert {"name": "thinnest", "unit": "mm"}.items() <= rotor["values"][0].items()


@pytest.mark.parametrize("name", list(catalogue()))
def test_help_names_every_input_value_and_source(capsys, name):
    status, out, _ = run(capsys, name, "--help")
    found = catalogue()[name]
    assert status == 0
    for word in [*found.inputs, *found.values, *map(str, found.sources)]:
        assert word in out


@pytest.mark.parametrize("name", list(catalogue()))
def test_the_example_in_the_help_can_be_run(capsys, name):
    example = catalogue()[name].example
    status, out, err = run(
        capsys, name, *(f"{key}={value}" for key, value in example.given.items()), f"--system={example.system}", "--json"
    )
    assert (status, err) == (0, "")
    assert json.loads(out)["calculator"] == name


def test_usage(capsys):
    status, out, _ = run(capsys, "--help")
    assert status == 0
    assert out.startswith("usage: ")


def command(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"} | environment,
    )


def test_as_a_program():
    done = command("-m", "calculators", "rotor-thickness", "readings=24.1; 24.0", "discard=22.4mm", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["verdict"]["code"] == "within"


def test_as_a_program_in_a_terminal_that_knows_only_ascii():
    done = command("-m", "calculators", "bearing-end-play", "--help", PYTHONIOENCODING="ascii", LC_ALL="C", PYTHONUTF8="0")
    assert done.returncode == 0
    assert done.stderr == ""


def test_without_pint_it_says_in_one_line_what_to_run_first():
    # -S leaves site-packages out: the state of a fresh clone before the first build
    done = command("-S", "-m", "calculators", "--list")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "python3 -m build_tools build" in done.stderr


def test_the_program_needs_only_the_standard_library_to_start():
    done = command("-S", "-c", "import calculators.__main__")
    assert (done.returncode, done.stderr) == (0, "")
    assert program.FIRST == "python3 -m build_tools build"


def test_a_closed_pipe_is_no_traceback():
    process = subprocess.Popen(
        [sys.executable, "-m", "calculators", "--list", "--json"], cwd=PROJECT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    _, err = process.communicate(timeout=60)
    assert b"Traceback" not in err


def test_the_catalogue_is_ready_quickly():
    # pint alone takes most of it; its own default units would add about as much again
    done = command(
        "-c", "import time; t = time.perf_counter(); import calculators; calculators.catalogue(); print(time.perf_counter() - t)"
    )
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) < 3
