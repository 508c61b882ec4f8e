"""A walk is left out only when everything it looks at is as it was, and it had no fault."""

import pytest

from build_tools.checks import layout_walk, walk_cache
from build_tools.content.load import load
from build_tools.paths import PROJECT

HANDBOOK = load(PROJECT / "site_data")
NAME = "wheel-and-torque"


@pytest.fixture
def counted(monkeypatch):
    """The procedures that are really walked."""
    names = []
    monkeypatch.setattr(layout_walk, "walk", lambda handbook, procedure: (names.append(procedure.id), ([], 7))[1])
    return names


def with_step(**changed):
    procedure = HANDBOOK.procedures[NAME]
    first, *rest = procedure.steps
    return procedure.model_copy(update={"steps": [first.model_copy(update=changed), *rest]})


def walks(known, procedure=HANDBOOK.procedures[NAME], **changed):
    handbook = load(PROJECT / "site_data") if changed else HANDBOOK
    for name, value in changed.items():
        setattr(handbook, name, value)
    handbook.procedures = handbook.procedures | {NAME: procedure}
    return walk_cache.Walks(handbook, known).walk(procedure)


def test_the_same_is_walked_once_and_another_anew(counted):
    known = {}
    assert walks(known) == walks(known) == ([], 7) and counted == [NAME]
    walks(known, with_step(loosens=["wheel-nut"]))
    walks(known, with_step(when=[{"rotor": ["hub"]}]))
    walks(known, components={key: item for key, item in HANDBOOK.components.items() if key != "abrasive-cloth"})
    walks(known, impossible=HANDBOOK.impossible[1:])
    assert len(counted) == 5


def test_a_fault_is_never_remembered(monkeypatch):
    monkeypatch.setattr(layout_walk, "walk", lambda handbook, procedure: (["fault"], 7))
    known = {}
    assert walks(known) == (["fault"], 7) and known == {}


def test_what_is_kept_comes_back_and_anything_else_counts_as_nothing(tmp_path):
    path = tmp_path / "new" / "walked.json"
    walk_cache.remember(path, {"a": 1})
    assert walk_cache.remembered(path) == {"a": 1}
    for text in ("", "[1]", '{"a": "b"}', "{"):
        path.write_text(text)
        assert walk_cache.remembered(path) == {}
