"""Rules across files: each kind of mistake, put into the real content, is found at its place."""

import shutil
from pathlib import Path

import pytest

from build_tools.checks.check import check, load_and_check
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.paths import PROJECT

STOCK = PROJECT / "site_data"
EXAMPLE = PROJECT / "build_tools" / "example_shop"

PROCEDURE = """\
id: own-job
title: Own job
purpose: p
end_state: e
people: {count: 1, skill: s, minutes: 1}
conditions: none
tools: [dial-indicator]
supplies: none
cautions: none
changes: [{revision: 1, date: 2026-11-25, reason: r}]
sources: common-practice
steps:
"""


def said(tmp_path: Path, steps: str, head: str = PROCEDURE) -> list[str]:
    """What is said about a shop's procedure with these steps."""
    shop = tmp_path / "shop"
    (shop / "procedures").mkdir(parents=True)
    (shop / "shop.yml").write_text("name: Test shop (invented)\n")
    (shop / "procedures" / "own-job.yml").write_text(head + steps)
    return [str(problem) for problem in check(load(STOCK, shop), only={"own-job"})[0]]


def test_the_stock_content_is_sound_and_layouts_were_walked():
    problems, walked = check(load(STOCK))
    assert problems == [] and walked > 1000


def test_the_example_shop_is_sound():
    handbook, _ = load_and_check(shop=EXAMPLE)
    assert ("procedures", "after-a-loose-wheel") in handbook.from_shop and "house-rules.md" in handbook.shop_pages


def test_a_sound_procedure_is_accepted(tmp_path):
    assert said(tmp_path, "  - {id: a, do: Look at the rotor.}\n") == []


@pytest.mark.parametrize(
    ("step", "at", "says"),
    [
        ("{id: a, do: Look., when: {rotr: hub}}", "when", "No layout question is called 'rotr'. Did you mean 'rotor'?"),
        ("{id: a, do: Look., when: {rotor: hubb}}", "when", "No answer to rotor is called 'hubb'. Did you mean 'hub'?"),
        ("{id: a, do: Look., when: {not: {rotor: hubb}}}", "when", "'hubb'"),
        ("{id: a, do: Look., cautions: brake-dusty}", "brake-dusty", "No caution is called 'brake-dusty'. Did you mean 'brake-dust'?"),
        ("{id: a, do: Look., figure: no-such}", "no-such", "No drawing is called 'no-such'"),
        ("{id: a, do: Look., tools: rotor-micrometer}", "rotor-micrometer", "missing in this procedure's list of tools"),
        (
            "{id: a, do: Look., takes_off: dial-indicator}",
            "dial-indicator",
            "'dial-indicator' is a tool; a part or a fastener belongs here",
        ),
        ("{id: a, do: Look., loosens: no-nut}", "no-nut", "No fastener is called 'no-nut'"),
        ("{id: a, do: Look., enter: {calculator: rotor-thicknes}}", "rotor-thicknes}", "Did you mean 'rotor-thickness'?"),
        ("{id: a, do: Look., enter: {calculator: rotor-thickness, fields: {readings: ask}}}", "fields", "cannot judge without 'discard'"),
        (
            "{id: a, do: Look., enter: {calculator: rotor-thickness, fields: {readings: ask, discard: end.rotor.discord}}}",
            "end.rotor.discord",
            "Did you mean 'end.rotor.discard'?",
        ),
        (
            "{id: a, do: Look., enter: {calculator: rotor-thickness, fields: {readings: ask, discard: ask, colour: ask}}}",
            "ask}}}",
            "No entry of rotor-thickness is called 'colour'",
        ),
        ("{id: a, do: Look., enter: {findings: roter}}", "roter", "Did you mean 'rotor'?"),
        ("{id: a, do: Look., show: end.rotor.none}", "end.rotor.none", "No value of a vehicle sheet is called 'end.rotor.none'"),
        (
            "{id: a, do: Look., enter: {choice: {good: g, bad: b}}, if_not: {poor: {again: true}}}",
            "poor",
            "This step cannot end in 'poor'. Expected: one of good, bad",
        ),
        ("{id: a, do: Look., hold: {until: nowhere, say: s}}", "nowhere", "No step is called 'nowhere'"),
        (
            "{id: a, do: Look., torque: {fastener: wheel-nut, from: vehicle.wheel_nut.torq}}",
            "vehicle.wheel_nut.torq",
            "Did you mean 'vehicle.wheel_nut.torque'?",
        ),
        ("{id: a, do: Look., sources: no-source}", "no-source", "No source is called 'no-source'"),
        ("{use: no-procedure}", "no-procedure", "No procedure is called 'no-procedure'"),
        ("{use: own-job}", "own-job", "a procedure cannot contain itself"),
    ],
)
def test_a_name_that_leads_nowhere_is_found_at_its_place(tmp_path, step, at, says):
    lines = said(tmp_path, f"  - {step}\n")
    assert len(lines) == 1, lines
    assert says in lines[0], lines
    file, line, column = lines[0].split(":")[:3]
    assert (file, line) == ("shop/procedures/own-job.yml", "13")
    assert f"  - {step}"[int(column) - 1 :].startswith(at), lines


def test_a_step_id_twice_and_an_inclusion_twice(tmp_path):
    lines = said(tmp_path, "  - {id: a, do: Look.}\n  - {id: a, do: Look.}\n  - {use: make-safe}\n  - {use: make-safe}\n")
    assert any(":14:" in line and "stands twice" in line for line in lines)
    assert any(":16:" in line and "included twice" in line for line in lines)


def test_revisions_count_without_a_gap(tmp_path):
    head = PROCEDURE.replace("revision: 1", "revision: 2")
    assert any("Revisions must count 1, 2, 3" in line for line in said(tmp_path, "  - {id: a, do: Look.}\n", head))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("invented: true\n", "", "must be invented and say so"),
        ("unit: mm", "unit: furlong", "the unit is 'furlong'"),
        ("rotor.discard:", "rotor.discordant:", "No value of a sheet is called 'rotor.discordant'"),
    ],
)
def test_a_vehicle_sheet_is_checked(tmp_path, old, new, says):
    copy = tmp_path / "site_data"
    shutil.copytree(STOCK, copy)
    path = copy / "vehicles" / "demo-truck-a.yml"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(ContentError) as caught:
        load_and_check(copy)
    assert any(says in str(problem) and "demo-truck-a.yml" in problem.file for problem in caught.value.problems)


def test_an_unused_caution_and_an_unused_field_are_said(tmp_path):
    copy = tmp_path / "site_data"
    shutil.copytree(STOCK, copy)
    with (copy / "cautions.yml").open("a") as file:
        file.write("\n  - {id: never-shown, signal: notice, hazard: h, consequence: c, avoid: [a]}\n")
    with pytest.raises(ContentError) as caught:
        load_and_check(copy)
    assert "'never-shown' is shown nowhere" in str(caught.value)
