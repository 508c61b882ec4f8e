"""wheel-end-decision from outside: command line, page, packed rules."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile

import pytest

from build_tools.paths import PROJECT
from calculators import catalogue
from calculators.calls import command_line
from calculators.calls.browser import evaluate
from calculators.decision.asked import EXAMPLE, NAME, run_decision, stock_rules


@pytest.fixture
def found(tmp_path) -> str:
    path = tmp_path / "found.json"
    path.write_text(json.dumps(EXAMPLE), "utf-8")
    return f"findings=@{path}"


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    status = command_line.main(list(arguments))
    out, err = capsys.readouterr()
    return status, out, err


def test_the_command_line_decides_from_a_file(capsys, found):
    status, out, err = run(capsys, NAME, found, "--json")
    decided = json.loads(out)
    assert (status, err) == (0, "") and set(decided) == {"actions", "parts_list", "notes"}
    assert decided["actions"]["right"]["rotor"]["action"] == "replace"
    assert {"action", "reason", "source"} <= set(decided["actions"]["left"]["rotor"])
    assert all(set(entry) == {"item", "per", "quantity", "why", "kind", "amount", "note", "from"} for entry in decided["parts_list"])


def test_the_text_names_every_part_once_a_side_and_what_to_buy(capsys, found):
    status, out, _ = run(capsys, NAME, found)
    assert status == 0 and out.startswith("Left:")
    assert "1 × rotor, by the axle. left: At or below the discard thickness." in out and "Not ready to close up" in out


def test_rules_of_a_file_and_rules_as_text(capsys, found, tmp_path):
    own = stock_rules()
    next(f for part in own["parts"] for f in part["findings"] if (part["part"], f["id"]) == ("rotor", "at-discard"))["reason"] = (
        "The shop's own words."
    )
    path = tmp_path / "own.json"
    path.write_text("\ufeff" + json.dumps(own), "utf-8")  # some editors write a byte order mark
    for rules in (f"rules=@{path}", f"rules={json.dumps(own)}"):
        status, out, _ = run(capsys, NAME, found, rules, "--json")
        assert status == 0 and "The shop's own words." in json.loads(out)["actions"]["left"]["rotor"]["reason"]


@pytest.mark.parametrize(
    "arguments, says",
    [
        ([], "findings: missing"),
        (["findings=@no-such.json"], "findings: no-such.json: No such file"),
        (["findings=@"], "findings: no file named"),
        (["findings={"], "findings: this is not JSON (line 1, column 2"),
        (["findings=[1]"], "findings: the findings: expected a JSON object"),
        (["findings=" + "[" * 20_000], "findings: "),
        (["findings={}", "rules={}"], "rules: parts"),
        (["findings={}", "rule=@x"], "rule: wheel-end-decision has no such input; inputs are findings, layout, readings, rules"),
        (["findings={}", "findings={}"], "findings: given twice"),
        (['findings={"left": {"rotor": ["rusty"]}}'], "findings: left.rotor: no finding is called “rusty”"),
    ],
)
def test_bad_input_is_one_line_and_status_2(capsys, arguments, says):
    status, out, err = run(capsys, NAME, *arguments)
    assert (status, out) == (2, "") and err.startswith(says) and err.count("\n") == 1


def test_a_file_that_is_no_text(capsys, tmp_path):
    (tmp_path / "x.json").write_bytes(b"\xff\xfe{\x00")
    status, _, err = run(capsys, NAME, f"findings=@{tmp_path / 'x.json'}")
    assert status == 2 and "not saved as UTF-8" in err


def test_list_and_help_know_it(capsys):
    assert NAME in run(capsys, "--list")[1]
    listed = json.loads(run(capsys, "--list", "--json")[1])[-1]
    assert listed["name"] == NAME and set(listed) == set(catalogue()["rotor-thickness"].describe())
    status, out, _ = run(capsys, NAME, "--help")
    assert status == 0 and all(word in out for word in ("findings", "rules", "actions", "parts_list", "notes", "measure again"))
    assert json.loads(run(capsys, NAME, "--help", "--json")[1]) == listed


def test_the_example_in_the_list_can_be_run(capsys):
    (text,) = json.loads(run(capsys, NAME, "--help", "--json")[1])["example"]["given"].values()
    assert run(capsys, NAME, f"findings={text}", "--json")[0] == 0


def test_the_page_decides_from_data_or_text():
    for given in (
        {"findings": EXAMPLE},
        {"findings": json.dumps(EXAMPLE), "rules": json.dumps(stock_rules())},
        {"findings": EXAMPLE, "rules": stock_rules()},
    ):
        answer = json.loads(evaluate(json.dumps({"calculator": NAME, "given": given})))
        assert answer == {"result": run_decision({"findings": EXAMPLE})}


def test_the_page_hands_in_layout_findings_and_readings_by_themselves():
    parts = {name: EXAMPLE[name] for name in ("left", "right")}
    given = {"layout": EXAMPLE["layout"], "findings": parts, "readings": EXAMPLE["readings"], "rules": stock_rules()}
    answer = json.loads(evaluate(json.dumps({"calculator": NAME, "given": given})))
    assert answer == {"result": run_decision({"findings": EXAMPLE})}
    twice = json.loads(evaluate(json.dumps({"calculator": NAME, "given": given | {"findings": EXAMPLE}})))
    assert twice["problem"]["input"] == "layout" and "give it once" in twice["problem"]["message"]


@pytest.mark.parametrize(
    "given, name",
    [
        ({}, "findings"),
        ({"findings": "x"}, "findings"),
        ({"findings": {"left": 1}}, "findings"),
        ({"findings": {}, "rules": 3}, "rules"),
        ({"other": 1}, "other"),
    ],
)
def test_the_page_is_told_what_is_wrong(given, name):
    answer = json.loads(evaluate(json.dumps({"calculator": NAME, "given": given})))
    assert answer["problem"]["input"] == name and "please report" not in answer["problem"]["message"]


def test_a_result_of_a_calculator_goes_straight_into_the_findings():
    result = json.loads(
        evaluate(json.dumps({"calculator": "rotor-thickness", "given": {"readings": "21.9 mm; 21.8 mm", "discard": "22.0 mm"}}))
    )["result"]
    answer = json.loads(
        evaluate(json.dumps({"calculator": NAME, "given": {"findings": {"readings": {"left": {"rotor-thickness": result}}}}}))
    )
    assert answer["result"]["actions"]["left"]["rotor"]["action"] == "replace"


def test_the_stock_rules_are_found_in_an_archive(tmp_path):
    archive = tmp_path / "packed.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        for path in (PROJECT / "calculators").rglob("*.*"):
            if path.suffix in (".py", ".json"):
                packed.write(path, path.relative_to(PROJECT).as_posix())
    call = f"import calculators.decision.asked as d; assert {str(archive)!r} in d.__file__; print(len(d.run_decision({{'findings': d.EXAMPLE}})['parts_list']))"
    done = subprocess.run(
        [sys.executable, "-c", call],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(archive)},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0 and int(done.stdout) >= 3, done.stderr
