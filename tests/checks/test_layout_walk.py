"""The walk over layouts finds every way in which a job can fail to close."""

import pytest

from build_tools.checks.layout_walk import walk
from build_tools.checks.layouts import layouts
from build_tools.content.handbook import Handbook
from build_tools.content.load import Origin, read, validate
from build_tools.content.model import Component, LayoutFile, Procedure
from build_tools.content.page_order import steps_of

LAYOUT = """
axes:
  - {id: rotor, of: end, label: Rotor, question: How?, values: [{id: hub, label: hub, look: l}, {id: slip-on, label: slip-on, look: l}]}
  - {id: bearing, of: end, label: Bearing, question: Which?, values: [{id: tapered, label: t, look: l}, {id: unit, label: u, look: l}]}
  - {id: nut, of: end, label: Nut, question: Which?, when: {bearing: tapered}, values: [{id: castle, label: c, look: l}, {id: twin, label: t, look: l}]}
impossible:
  - {when: {rotor: slip-on, bearing: tapered}, say: A slip-on rotor has no bearing of its own.}
  - {when: {rotor: hub, bearing: unit}, say: A hub rotor carries tapered bearings.}
"""
HEAD = """
id: job
title: Job
purpose: p
end_state: e
people: {count: 1, skill: s, minutes: 1}
conditions: none
tools: none
supplies: none
cautions: none
changes: [{revision: 1, date: 2026-11-25, reason: r}]
sources: common-practice
steps:
"""
COMPONENTS = [
    Component(id="rotor", label="rotor", kind="part", holds_pistons="true"),
    Component(id="cotter-pin", label="cotter pin", kind="part", when={"nut": "castle"}),
    Component(id="bolt", label="bolt", kind="fastener"),
    Component(id="hose-joint", label="hose joint", kind="joint"),
]


def handbook_of(steps: str) -> tuple[Handbook, Procedure]:
    document = read(HEAD + steps, "job.yml")
    procedure, problems = validate(Procedure, document.data, document.origin)
    assert not problems, problems
    layout = LayoutFile.model_validate(read(LAYOUT, "layout.yml").data)
    handbook = Handbook(
        axes={a.id: a for a in layout.axes},
        impossible=layout.impossible,
        components={c.id: c for c in COMPONENTS},
        procedures={"job": procedure},
    )
    handbook.origins["procedures", "job"] = Origin("job.yml", document.origin.node)
    return handbook, procedure


def said(steps: str) -> list[str]:
    return [str(problem) for problem in walk(*handbook_of(steps))[0]]


CLOSED = """
  - {id: off, do: Take it off., loosens: bolt, takes_off: rotor, opens: hose-joint}
  - {id: on, do: Fit it., fits: rotor, torques: bolt, closes: hose-joint}
  - {id: bleed, do: Bleed., bleeds: hose-joint}
  - {id: leak, do: Look., leak_checks: hose-joint}
"""


def test_a_job_that_closes_has_no_problem():
    assert said(CLOSED) == []


@pytest.mark.parametrize(
    ("lost", "line", "says"),
    [
        ("fits: rotor, ", 15, "'rotor' comes off here and never goes on again"),
        ("torques: bolt, ", 15, "'bolt' is loosened here and never torqued"),
        (", closes: hose-joint", 15, "'hose-joint' is opened here and never closed"),
        (", bleeds: hose-joint", 15, "'hose-joint' is opened here and never bled"),
        (", leak_checks: hose-joint", 15, "'hose-joint' is opened here and never checked for leaks"),
        (", takes_off: rotor", 16, "'rotor' was never taken off"),
        (", opens: hose-joint", 16, "'hose-joint' was never opened"),
    ],
)
def test_each_thing_left_open_is_found_at_its_step(lost, line, says):
    assert lost in CLOSED
    lines = said(CLOSED.replace(lost, ""))
    assert any(one.startswith(f"job.yml:{line}:") and says in one for one in lines), lines


def test_a_part_that_a_layout_lacks_is_found_and_its_layout_named():
    (line,) = said("\n  - {id: pin, do: Fit a new pin., always_new: cotter-pin}\n")
    assert "works on 'cotter-pin', which the layout lacks" in line and "nut is twin" in line or "bearing is unit" in line


def test_a_condition_mends_it():
    assert said("\n  - {id: pin, do: Fit a new pin., when: {nut: castle}, always_new: cotter-pin}\n") == []


def test_bleeding_before_closing_does_not_count():
    assert any(
        "never bled" in line
        for line in said("""
  - {id: open, do: Open., opens: hose-joint}
  - {id: bleed, do: Bleed., bleeds: hose-joint}
  - {id: close, do: Close., closes: hose-joint}
  - {id: leak, do: Look., leak_checks: hose-joint}
""")
    )


def test_a_hold_must_come_after_what_it_waits_for():
    (line,) = said("""
  - {id: first, do: A., hold: {until: second, say: s}}
  - {id: second, do: B.}
""")
    assert "waits for 'second', which comes later" in line


def test_impossible_layouts_and_unasked_questions_are_walked_once():
    handbook, procedure = handbook_of("\n  - {id: pin, do: Look., when: {nut: castle}}\n  - {id: r, do: Look., when: {rotor: hub}}\n")
    found = [(one["rotor"], one["bearing"], one["nut"]) for one in layouts(handbook, procedure, steps_of(procedure, handbook.procedures))]
    assert found == [("hub", "tapered", "castle"), ("hub", "tapered", "twin"), ("slip-on", "unit", "not asked")]


# ---------------------------------------------------------------- branches


def test_an_outcome_that_leads_past_the_closing_of_a_job():
    steps = """
  - {id: off, do: Take it off., takes_off: rotor}
  - {id: look, do: Look., enter: {choice: {sound: sound, worn: worn}}, if_not: {worn: {go: end}}}
  - {id: on, do: Fit it., fits: rotor}
  - {id: end, do: Go home.}
"""
    (line,) = said(steps)
    assert line.startswith(
        "job.yml:15:44: J205 'rotor' comes off here and never goes on again, when 'job/look' comes out 'worn', on page 'job'"
    ), line


def test_an_outcome_that_leads_past_what_a_later_step_waits_for():
    steps = """
  - {id: look, do: Look., enter: {choice: {sound: sound, worn: worn}}, if_not: {worn: {go: end}}}
  - {id: prove, do: Prove it.}
  - {id: end, do: Go home., hold: {until: prove, say: Only what is proved goes home.}}
"""
    (line,) = said(steps)
    assert line.startswith(
        "job.yml:17:29: J211 This step waits for 'prove', which 'job/look' leads past when it comes out 'worn', on page 'job'"
    ), line


def test_a_later_step_that_comes_out_alike_closes_the_branch():
    steps = """
  - {id: look, do: Look., enter: {choice: {keep: keep, replace: replace}}, if_not: {keep: {go: between}}}
  - {id: off, do: Take it off., takes_off: rotor}
  - {id: between, do: Clean.}
  - {id: again, do: Go on., enter: {as_at: look}, if_not: {keep: {go: end}}}
  - {id: on, do: Fit it., fits: rotor}
  - {id: end, do: Go home.}
"""
    assert said(steps) == []
    assert len(said(steps.replace("{as_at: look}", "{choice: {keep: keep, replace: replace}}"))) == 2


PRESSED = """
  - {id: off, do: Take it off., takes_off: rotor}
  - {id: on, do: Fit it., fits: rotor}
  - {id: press, do: Press the pedal., presses: pedal}
"""


@pytest.mark.parametrize("by", ["pedal", "system"])
def test_pressure_waits_for_what_holds_the_pistons_in(by):
    pressed = PRESSED.replace("presses: pedal", f"presses: {by}")
    assert said(pressed) == []
    lines = pressed.strip("\n").split("\n")
    early = "\n".join(["", lines[0], lines[2], lines[1], ""])
    assert ["J216" in problem and "'rotor' is off since step 'job/off'" in problem for problem in said(early)] == [True]


def test_pressure_waits_for_an_open_joint():
    early = CLOSED.replace("- {id: on,", "- {id: press, do: Press the pedal., presses: pedal}\n  - {id: on,")
    assert sorted(problem.split("'")[1] for problem in said(early) if "J216" in problem) == ["hose-joint", "rotor"]
    assert said(CLOSED + "  - {id: press, do: Press the pedal., presses: pedal}\n") == []


def test_an_outcome_that_leads_past_the_fitting_leaves_nothing_pressed():
    past = """
  - {id: off, do: Take it off., takes_off: rotor}
  - {id: ask, do: Choose., enter: {choice: {fit: fit, later: later}}, if_not: {later: {go: press}}}
  - {id: on, do: Fit it., fits: rotor}
  - {id: press, do: Press the pedal., presses: pedal}
"""
    assert any("J216" in problem and "when 'job/ask' comes out 'later'" in problem for problem in said(past))
