"""The rules of the decision from YAML to JSON: what the command line and the page get is what stands in site_data."""

import json

import pytest

from build_tools import commands
from build_tools.checks import layouts
from build_tools.checks.check import check, load_and_check
from build_tools.content import decision_rules, page_order, when
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.paths import PROJECT
from calculators.decision.decide import decide
from calculators.decision.rules_file import read_rules

STOCK = PROJECT / "site_data"
BY_AXLE = "rules:\n  - {id: calipers-by-axle, because: {caliper: replace}, part: caliper, finding: partner-new, over: partner}\n"


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.yml").write_text("name: Test shop (invented)\n")
    return folder


def test_the_packed_rules_are_those_of_site_data():
    # python3 -m build_tools rules writes them
    assert decision_rules.is_up_to_date(load(STOCK))


def test_they_say_what_the_yaml_says():
    handbook = load(STOCK)
    data = json.loads(decision_rules.as_json(handbook))
    assert data == json.loads(json.dumps(decision_rules.export(handbook)))
    table = read_rules(data)
    assert list(table.parts) == list(handbook.findings) and len(table.rules) + len(table.supplies) == len(handbook.rules)
    for name, part in handbook.findings.items():
        assert [(f.id, f.action, f.reason) for f in part.findings] == [
            (f.id, f.action, f.reason) for f in table.parts[name].findings.values()
        ]
        assert all(f.source for f in table.parts[name].findings.values())


def test_every_part_with_findings_has_a_step_or_a_reading_that_asks_for_it():
    """A part that nobody is sent to would stand at «measure again» for ever."""
    handbook = load(STOCK)
    asked = {step.enter.findings for procedure in handbook.procedures.values() for step in procedure.steps if getattr(step, "enter", None)}
    assert set(handbook.findings) <= asked


def test_a_shop_adds_its_rule(shop):
    (shop / "rules.yml").write_text(BY_AXLE)
    handbook, _ = load_and_check(STOCK, shop)  # raises where anything is wrong
    decided = decide({"left": {"caliper": ["wet-piston"]}, "right": {"caliper": ["sound"]}}, decision_rules.export(handbook))
    assert decided["actions"]["right"]["caliper"]["action"] == "replace"


OWN_RULES = """rules:
  - {id: our-rotors, replaces: rotors-by-axle, why: "One rotor alone where the other is nearly new, both measured."}
  - {id: our-hoses, replaces: hoses-by-axle, why: Always both hoses., because: {hose: replace}, part: hose, finding: partner-bad, over: partner}
  - {id: our-checks, replaces: rotor/fine-checks, why: Our customers tow on long descents., action: replace, how: both rotors of the axle}
  - {id: our-coveralls, because: {grease-seal/hub-opened: found}, supply: nitrile-gloves, why: Old grease stays off the hands.}
"""


def test_a_shop_replaces_rules_and_the_decision_says_so(shop):
    (shop / "rules.yml").write_text(OWN_RULES)
    handbook = load(STOCK, shop)
    assert list(decision_rules.problems(handbook)) == []
    rules = json.loads(decision_rules.as_json(handbook))
    assert {"rotors-by-axle", "hoses-by-axle"}.isdisjoint(rule["id"] for rule in rules["rules"])
    assert [item["rule"] for item in rules["replaced"]] == ["rotors-by-axle", "hoses-by-axle", "rotor/fine-checks"]
    found = {"left": {"rotor": ["cracked"], "hose": ["clamped"]}, "right": {"rotor": ["sound"], "hose": ["sound"]}}
    decided = decide(found, rules)
    assert decided["actions"]["right"]["rotor"]["action"] == "use again"
    assert decided["actions"]["right"]["hose"]["rule"] == "our-hoses"
    assert "Rule hoses-by-axle replaced by the shop: Always both hoses." in decided["actions"]["right"]["hose"]["reason"]
    assert any("Rule rotors-by-axle replaced by the shop: One rotor alone" in note for note in decided["notes"])
    checks = decide({"left": {"rotor": ["fine-checks"]}, "right": {"rotor": ["sound"]}}, rules)["actions"]["left"]["rotor"]
    assert (checks["action"], checks["how"]) == ("replace", "both rotors of the axle")
    assert "replaced by the shop: Our customers tow on long descents." in checks["reason"] and checks["source"].endswith("rule of the shop")
    # the pages of the shop's site say the same
    (own,) = [finding for finding in decision_rules.own_findings(handbook)["rotor"].findings if finding.id == "fine-checks"]
    assert own.action == "replace" and own.reason.endswith("replaced by the shop: Our customers tow on long descents.")
    handbook.findings = decision_rules.own_findings(handbook)
    assert json.loads(decision_rules.as_json(handbook)) == rules
    # without the shop nothing is said
    assert not any("replaced by the shop" in note for note in decide(found, decision_rules.export(load(STOCK)))["notes"])


def test_the_rules_of_the_example_shop_decide():
    example = PROJECT / "build_tools" / "example_shop"
    rules = decision_rules.export(load_and_check(STOCK, example)[0])
    decided = decide(
        {
            "left": {"rotor": ["fine-checks"], "hose": ["clamped"], "caliper": ["wet-piston"]},
            "right": {"rotor": ["sound"], "hose": ["sound"], "caliper": ["sound"]},
        },
        rules,
    )
    assert [decided["actions"]["right"][part]["action"] for part in ("rotor", "hose", "caliper")] == ["replace"] * 3
    assert sum("replaced by the shop" in note for note in decided["notes"]) == 2


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        ("{id: a, replaces: rotors-by-axel, why: w}", "No rule of the handbook is called 'rotors-by-axel'. Did you mean 'rotors-by-axle'?"),
        ("{id: a, replaces: rotor/cracks, why: w, action: replace}", "No rule of the handbook is called 'rotor/cracks'"),
        ("{id: a, replaces: rotor/cracked, why: w, action: service}", "A shop may be stricter than the handbook, never laxer"),
        ("{id: a, replaces: rotor/fine-checks, why: w}", "In place of a finding's rule stand action, how and why alone"),
        ("{id: a, replaces: rotors-by-axle}", "A rule that replaces another says why"),
        ("{id: a, action: replace}", "The entries action and how belong to a rule that replaces a finding's"),
        ("{id: a, because: {pad: replace}, supply: brake-cleaner}", "A rule holds because, part and finding; or because, supply and why"),
        ("{id: a, because: {pad: replace}, supply: brake-cleener, why: w}", "Did you mean 'brake-cleaner'?"),
        ("{id: a, because: {pad: replace}, supply: brake-cleaner, why: w, amount: fluid-volum/x}", "Did you mean 'fluid-volume'?"),
        (
            "{id: a, because: {pad: replace}, supply: brake-cleaner, why: w, amount: fluid-volume/fluid}",
            "No value of fluid-volume is called 'fluid'",
        ),
        ("{id: a, because: {pad/rotor-new: not found}, part: pad, finding: soaked}", "only a finding that no rule draws can be asked for"),
        ("{id: a, replaces: rotors-by-axle, why: w}\n  - {id: b, replaces: rotors-by-axle, why: w}", "is replaced by 'a' already"),
    ],
)
def test_a_mistake_in_a_shops_change_is_said_with_its_place(shop, rule, says):
    (shop / "rules.yml").write_text(f"rules:\n  - {rule}\n")
    try:
        problems = [str(problem) for problem in decision_rules.problems(load(STOCK, shop))]
    except ContentError as error:
        problems = [str(problem) for problem in error.problems]
    assert len(problems) == 1 and problems[0].startswith("shop/rules.yml:") and says in problems[0], problems


def test_only_parts_of_the_layout_are_decided_whatever_layout_is_walked(request):
    """The parts of a decision are those whose component belongs to the layout, for the layouts that check walks: of every
    fourth procedure, of all with --slow."""
    handbook = load(STOCK)
    rules = decision_rules.export(handbook)
    walked = {}
    # Only what a component's or a question's condition looks at decides; most layouts differ elsewhere.
    asked = set().union(*(when.axes_of(each.when) for each in (*handbook.components.values(), *handbook.axes.values())))
    seen = set()
    every = 1 if request.config.getoption("--slow") else 4
    for procedure in list(handbook.procedures.values())[::every]:
        for layout in layouts.layouts(handbook, procedure, page_order.steps_of(procedure, handbook.procedures)):
            key = frozenset((axis, layout[axis]) for axis in asked & layout.keys())
            if key in seen:
                continue
            seen.add(key)
            answered = {axis: value for axis, value in layout.items() if value in {each.id for each in handbook.axes[axis].values}}
            full = answered | {axis.id: "" for axis in handbook.axes.values() if when.holds(axis.when, answered) is False}
            there = frozenset(name for name in handbook.findings if when.holds(handbook.components[name].when, full) is not False)
            walked.setdefault(there, answered)
    assert len(walked) > 20
    for there, layout in walked.items():
        decided = decide({"layout": layout}, rules)
        for side in ("left", "right"):
            assert set(decided["actions"][side]) == there, layout
            assert {item["action"] for item in decided["actions"][side].values()} == {"measure again"}


@pytest.mark.parametrize(
    ("rule", "place", "says"),
    [
        (
            "{id: a, because: {calliper: replace}, part: pad, finding: soaked}",
            "shop/rules.yml:2:",
            "No fact is called “calliper”; did you mean caliper?",
        ),
        ("{id: a, because: {pad: service}, part: pad, finding: soaked}", "shop/rules.yml:2:", "Pad is never “service”"),
        (
            "{id: a, because: {pad: replace}, part: pads, finding: soaked}",
            "shop/rules.yml:2:44:",
            "No part with findings is called 'pads'. Did you mean 'pad'?",
        ),
        (
            "{id: a, because: {pad: replace}, part: pad, finding: soakd}",
            "shop/rules.yml:2:58:",
            "No finding of pad is called 'soakd'. Did you mean 'soaked'?",
        ),
        (
            "{id: a, when: {rotr: hub}, because: {pad: replace}, part: pad, finding: soaked}",
            "shop/rules.yml:2:",
            "No layout question is called 'rotr'",
        ),
        ("{id: pads-by-axle, because: {pad: replace}, part: pad, finding: soaked}", "shop/rules.yml:2:", "already defined"),
        ("{id: a, because: {}, part: pad, finding: soaked}", "shop/rules.yml:2:", "An empty condition"),
    ],
)
def test_a_mistake_in_a_rule_is_said_with_its_place(shop, rule, place, says):
    (shop / "rules.yml").write_text(f"rules:\n  - {rule}\n")
    try:
        problems = [str(problem) for problem in check(load(STOCK, shop))[0]]
    except ContentError as error:
        problems = [str(problem) for problem in error.problems]
    assert len(problems) == 1 and problems[0].startswith(place) and says in problems[0], problems


@pytest.mark.parametrize(
    ("part", "says"),
    [
        ("{part: wheel, comes_with: hub, findings: [F, G]}", "No part with findings is called 'hub'"),
        ("{part: wheel, readings: [rotor-thikness], findings: [F, G]}", "Did you mean 'rotor-thickness'?"),
        ("{part: wheell, findings: [F, G]}", "Did you mean 'wheel'?"),
        ("{part: wheel, findings: [F, F]}", "a finding has one action"),
        (
            "{part: wheel, findings: [F, {id: g, says: s, drawn: true, action: replace, reason: r, sources: common-practice}]}",
            "No rule draws 'g'",
        ),
    ],
)
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
