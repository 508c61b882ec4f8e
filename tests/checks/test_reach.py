"""Every step of a page is reached by some way, and every outcome leads somewhere that helps."""

import random

import pytest

from build_tools.checks.reach import AGAIN, AWAY, ON, STOP, Node, Way, _followed
from tests.checks.test_layout_walk import said

LOOK = "\n  - {id: look, do: Look., enter: {choice: {good: good, bad: bad}}, if_not: {%s}}\n"


def test_a_page_on_which_every_step_is_reached_has_no_problem():
    assert said(LOOK % "bad: {go: last}" + "  - {id: mend, do: Clean.}\n  - {id: last, do: Note it.}\n") == []


@pytest.mark.parametrize(
    "outcomes",
    [
        "good: {go: last}, bad: {go: last}",
        "good: {go: last}, bad: {stop: Ask the maker.}",
        "good: {again: true}, bad: {go: last}",
    ],
)
def test_a_step_that_every_outcome_leads_past_is_found(outcomes):
    (line,) = said(LOOK % outcomes + "  - {id: mend, do: Clean.}\n  - {id: last, do: Note it.}\n")
    assert line.startswith("job.yml:16:") and "J212 No way through the page leads to this step, on page 'job'." in line


def test_a_step_behind_outcomes_that_all_lead_away_is_found():
    (line,) = said(LOOK % "good: {stop: Drive.}, bad: {stop: Ask.}" + "  - {id: mend, do: Clean.}\n")
    assert "J212" in line


def test_a_step_that_only_one_layout_reaches_is_reached():
    assert (
        said("""
  - {id: look, do: Look., when: {rotor: hub}, enter: {choice: {good: good, bad: bad}}, if_not: {good: {go: last}, bad: {go: last}}}
  - {id: mend, do: Clean.}
  - {id: last, do: Note it.}
""")
        == []
    )


def test_a_step_that_comes_out_as_an_earlier_one_goes_only_that_way():
    """Both outcomes are told apart twice; what stands behind the second telling is reached by neither."""
    steps = """
  - {id: look, do: Look., enter: {choice: {good: good, bad: bad}}, if_not: {good: {go: last}}}
  - {id: mend, do: Clean.}
  - {id: again, do: Continue., enter: {as_at: look}, if_not: {bad: {go: last}}}
  - {id: polish, do: Polish.}
  - {id: last, do: Note it.}
"""
    (line,) = said(steps)
    assert "J212" in line and ":18:" in line
    assert said(steps.replace("as_at: look", "choice: {good: good, bad: bad}")) == []


def test_a_step_of_no_layout_is_found():
    (line,) = said("\n  - {id: pin, do: Look., when: {bearing: unit, nut: castle}}\n")
    assert "J213" in line


def test_outcomes_that_only_lead_back_are_found():
    lines = said("\n  - {id: clean, do: Clean.}\n" + (LOOK % "good: {go: clean}, bad: {again: true}").lstrip("\n"))
    assert any("J214" in line for line in lines)


def test_an_outcome_that_leads_to_a_hidden_step_is_found_with_its_layout():
    (line,) = said(LOOK % "bad: {go: last}" + "  - {id: mend, do: Clean.}\n  - {id: last, do: Note it., when: {rotor: hub}}\n")
    assert "J215" in line and "rotor is slip-on" in line


def test_the_way_of_a_random_page_is_that_of_a_reader_who_tries_everything():
    tried = random.Random(20261130)
    endless = 0
    for _ in range(2000):
        nodes = random_page(tried)
        shown = frozenset(index for index in range(len(nodes)) if tried.random() < 0.8)
        if not shown:
            continue
        found, rounds = _followed(nodes, shown)
        assert found == {at for at, _ in states(nodes, shown)}
        assert rounds == {at for at, told in states(nodes, shown) if not ends(nodes, shown, at, told)}
        endless += bool(rounds)
    assert endless > 50  # the generator makes such pages too


def random_page(tried) -> list[Node]:
    size = tried.randint(1, 6)
    nodes: list[Node] = []
    for index in range(size):
        as_at = tried.choice([None, None, *range(index)]) if index else None
        codes = [way.code for way in nodes[as_at].ways if way.code] if as_at is not None else list("ab"[: tried.randint(0, 2)])
        ways = [Way(code, tried.choice([ON, STOP, AWAY, AGAIN, *range(size)])) for code in codes]
        if not codes or as_at is not None:
            ways.append(Way(None, ON))
        nodes.append(Node(None, ways, as_at if codes else None))
    return nodes


def states(nodes, shown, start=None) -> set[tuple]:
    """Every (place, outcomes so far) that a reader can come to, written down with all outcomes of all steps."""
    seen, left = set(), [start or (onward(shown, 0), frozenset())]
    while left:
        at, told = left.pop()
        if at is None or (at, told) in seen:
            continue
        seen.add((at, told))
        for way in ways_of(nodes, at, told):
            if way.to in (STOP, AWAY, AGAIN):
                continue
            kept = frozenset({**dict(told), at: way.code}.items()) if way.code else told
            left.append((onward(shown, at + 1 if way.to == ON else way.to), kept))
    return seen


def ends(nodes, shown, at, told) -> bool:
    """Whether a reader who stands there can come to an end."""
    return any(
        way.to in (STOP, AWAY) or way.to != AGAIN and onward(shown, here + 1 if way.to == ON else way.to) is None
        for here, so_far in states(nodes, shown, (at, told))
        for way in ways_of(nodes, here, so_far)
    )


def ways_of(nodes, at, told):
    as_at = nodes[at].as_at
    return nodes[at].ways if as_at is None else [way for way in nodes[at].ways if way.code == dict(told).get(as_at)]


def onward(shown, at):
    return next((index for index in sorted(shown) if index >= at), None)
