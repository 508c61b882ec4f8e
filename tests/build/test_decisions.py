"""The rules of the decision from YAML to JSON: what the command line and the page get is what stands in site_data."""
import json
from pathlib import Path

import pytest

from build_tools import commands, decisions
from build_tools.check import check
from build_tools.load import load
from build_tools.problems import ContentError
from calculators.decision import decide
from calculators.decision_rules import read_rules

STOCK = Path(__file__).parents[2] / "site_data"
BY_AXLE = "rules:\n  - {id: calipers-by-axle, because: {caliper: replace}, part: caliper, finding: partner-new, over: partner}\n"


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.yml").write_text("name: Test shop (invented)\n")
    return folder


def test_the_packed_rules_are_those_of_site_data():
    # python3 -m build_tools rules writes them
    assert decisions.is_up_to_date(load(STOCK))


def test_they_say_what_the_yaml_says():
    handbook = load(STOCK)
    data = json.loads(decisions.as_json(handbook))
    assert data == json.loads(json.dumps(decisions.export(handbook)))
    table = read_rules(data)
    assert list(table.parts) == list(handbook.findings) and len(table.rules) + len(table.supplies) == len(handbook.rules)
    for name, part in handbook.findings.items():
        assert [(f.id, f.action, f.reason) for f in part.findings] == [(f.id, f.action, f.reason) for f in table.parts[name].findings.values()]
        assert all(f.source for f in table.parts[name].findings.values())


def test_every_part_with_findings_has_a_step_or_a_reading_that_asks_for_it():
    """A part that nobody is sent to would stand at «measure again» for ever."""
    handbook = load(STOCK)
    asked = {step.enter.findings for procedure in handbook.procedures.values() for step in procedure.steps if getattr(step, "enter", None)}
    assert set(handbook.findings) <= asked


def test_a_shop_adds_its_rule(shop):
    (shop / "rules.yml").write_text(BY_AXLE)
    handbook = load(STOCK, shop)
    assert check(handbook)[0] == []
    decided = decide({"left": {"caliper": ["wet-piston"]}, "right": {"caliper": ["sound"]}}, decisions.export(handbook))
    assert decided["actions"]["right"]["caliper"]["action"] == "replace"


@pytest.mark.parametrize(("rule", "place", "says"), [
    ("{id: a, because: {calliper: replace}, part: pad, finding: soaked}", "shop/rules.yml:2:", "no fact is called “calliper”; did you mean caliper?"),
    ("{id: a, because: {pad: service}, part: pad, finding: soaked}", "shop/rules.yml:2:", "pad is never “service”"),
    ("{id: a, because: {pad: replace}, part: pads, finding: soaked}", "shop/rules.yml:2:44:", "no part with findings is called 'pads'. Did you mean 'pad'?"),
    ("{id: a, because: {pad: replace}, part: pad, finding: soaking}", "shop/rules.yml:2:58:", "pad has no finding 'soaking'. Did you mean 'soaked'?"),
    ("{id: a, when: {rotr: hub}, because: {pad: replace}, part: pad, finding: soaked}", "shop/rules.yml:2:", "no layout question is called 'rotr'"),
    ("{id: pads-by-axle, because: {pad: replace}, part: pad, finding: soaked}", "shop/rules.yml:2:", "already defined"),
    ("{id: a, because: {}, part: pad, finding: soaked}", "shop/rules.yml:2:", "an empty condition"),
])
def test_a_mistake_in_a_rule_is_said_with_its_place(shop, rule, place, says):
    (shop / "rules.yml").write_text(f"rules:\n  - {rule}\n")
    try:
        problems = [str(problem) for problem in check(load(STOCK, shop))[0]]
    except ContentError as error:
        problems = [str(problem) for problem in error.problems]
    assert len(problems) == 1 and problems[0].startswith(place) and says in problems[0], problems


@pytest.mark.parametrize(("part", "says"), [
    ("{part: wheel, comes_with: hub, findings: [F, G]}", "no part with findings is called 'hub'"),
    ("{part: wheel, readings: [rotor-thikness], findings: [F, G]}", "Did you mean 'rotor-thickness'?"),
    ("{part: wheell, findings: [F, G]}", "Did you mean 'wheel'?"),
    ("{part: wheel, findings: [F, F]}", "a finding has one action"),
    ("{part: wheel, findings: [F, {id: g, says: s, drawn: true, action: replace, reason: r, sources: common-practice}]}", "no rule draws 'g'"),
])
def test_a_mistake_in_a_part_is_said_with_its_place(shop, part, says):
    finding = "{{id: {0}, says: s, action: replace, reason: r, sources: common-practice}}"
    (shop / "decisions.yml").write_text(f"parts:\n  - {part.replace('F', finding.format('f')).replace('G', finding.format('g'))}\n")
    (problem,) = check(load(STOCK, shop))[0]
    assert str(problem).startswith("shop/decisions.yml:2:") and says in str(problem)


def test_the_command_writes_a_shops_rules_where_it_is_told(shop, tmp_path, capsys):
    (shop / "rules.yml").write_text(BY_AXLE)
    target = tmp_path / "own.json"
    assert commands.run(commands.parse(["rules", "--shop", str(shop), str(target)])) == 0
    assert "calipers-by-axle" in {rule["id"] for rule in json.loads(target.read_text("utf-8"))["rules"]}
    assert commands.run(commands.parse(["rules", "--shop", str(shop)])) == 2
    assert "a place of their own" in capsys.readouterr().err
