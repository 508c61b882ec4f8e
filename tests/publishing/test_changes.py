"""What changed between two handbooks: by item, for a person at the command line and as marks in the pages."""

from __future__ import annotations

import copy
import json
import re
import shutil

import pytest

from build_tools import commands
from build_tools.checks.check import load_and_check
from build_tools.exchange.compare_sites import PLACE, SECTIONS, compare, parse, read
from build_tools.exchange.untrusted import CopyError
from build_tools.exchange.verify import verify
from build_tools.pages.render import render
from build_tools.publishing.inventory import as_json, contents_of
from build_tools.publishing.mkdocs_build import build_site

STEP, HOME = "set-bearing/read-end-play", "set-bearing"


@pytest.fixture(scope="module")
def handbook():
    return load_and_check()[0]


@pytest.fixture(scope="module")
def old(handbook):
    """The handbook before: other words at one step and in one safety message, one step and one page more, one page less."""
    before = copy.deepcopy(handbook)
    page = before.procedures[HOME]
    steps = [
        step.model_copy(update={"do": "Read the travel of old."}) if getattr(step, "id", "") == "read-end-play" else step
        for step in page.steps
    ]
    extra = next(step for step in steps if getattr(step, "id", "") == "read-end-play").model_copy(
        update={"id": "gone-by-now", "do": "Do what is gone."}
    )
    before.procedures[HOME] = page.model_copy(update={"steps": [*steps, extra]})
    before.cautions["hand-tool-on-bearings"] = before.cautions["hand-tool-on-bearings"].model_copy(update={"hazard": "Old words."})
    before.procedures["old-page"] = before.procedures.pop("road-test").model_copy(update={"id": "old-page", "title": "A page that is gone"})
    before.fields["end.rotor.discard"] = before.fields["end.rotor.discard"].model_copy(update={"label": "Old label"})
    # included by others under its new name only
    for name, procedure in before.procedures.items():
        before.procedures[name] = procedure.model_copy(
            update={"steps": [s for s in procedure.steps if getattr(s, "use", "") != "road-test"]}
        )
    return parse(as_json(contents_of(before, "0123456789ab")))


@pytest.fixture(scope="module")
def found(old, handbook):
    return compare(old, contents_of(handbook, "ba9876543210"))


def of(found, section) -> dict[str, str]:
    return {change.id: change.how for change in found.changes.get(section, [])}


def test_the_same_handbook_has_not_changed(handbook):
    contents = contents_of(handbook, "0123456789ab")
    assert parse(as_json(contents)) == contents
    assert compare(contents, contents).changes == {}
    assert set(contents.sections) == set(SECTIONS) and all(contents.sections.values())


def test_each_item_is_told_by_what_happened_to_it(found):
    steps = of(found, "steps")
    assert steps[STEP] == "changed" and steps["set-bearing/gone-by-now"] == "removed"
    assert of(found, "procedures").items() >= {"road-test": "added", "old-page": "removed", HOME: "changed"}.items()
    assert of(found, "cautions") == {"hand-tool-on-bearings": "changed"}
    assert of(found, "fields") == {"end.rotor.discard": "changed"}
    assert "calculators" not in found.changes


def test_a_step_counts_as_changed_where_its_safety_message_did(found, handbook):
    warned = {
        f"{p.id}/{s.id}" for p in handbook.procedures.values() for s in p.steps if "hand-tool-on-bearings" in getattr(s, "cautions", ())
    }
    assert warned and warned <= {address for address, how in of(found, "steps").items() if how == "changed"}


def test_the_steps_of_a_whole_page_are_told_by_the_page_alone(found):
    listed = {section: [change.id for change in changes] for section, _, changes in found.shown()}
    assert "road-test" in listed["procedures"]
    assert not any(address.startswith(("road-test/", "old-page/")) for address in listed["steps"])
    assert any(address.startswith("road-test/") for address in found.of_steps())


def test_the_pages_bear_a_mark_at_each_step_that_is_new_or_changed(found, handbook):
    pages = render(handbook, found)
    marked = dict(
        re.findall(
            r'<li class="step[^"]*step--since[^"]*" id="[^"]*" data-step="([^"]*)".*?<p class="step__since">(\w+) since build 0123456789ab of',
            pages[f"procedures/{HOME}.md"],
            re.DOTALL,
        )
    )
    assert marked[STEP] == "Changed"
    assert set(marked) == {address for address in found.of_steps() if address.startswith(f"{HOME}/")}
    assert pages["procedures/road-test.md"].count("New since") == len(handbook.procedures["road-test"].steps)
    page = pages["changes.md"]
    assert f'<a href="procedures/{HOME}.html#set-bearing.read-end-play">' in page
    assert "Do what is gone." in page and "gone-by-now" not in re.findall(r'href="([^"]*)"', page)
    plain = render(handbook)
    assert "changes.md" not in plain and "step--since" not in "".join(plain.values())


def test_the_command_names_titles_and_step_numbers(old, handbook, tmp_path, capsys):
    for name, text in (("old", as_json(old)), ("new", as_json(contents_of(handbook, "ba9876543210")))):
        (tmp_path / name / PLACE).parent.mkdir(parents=True)
        (tmp_path / name / PLACE).write_text(text, "utf-8")
    assert commands.run(commands.parse(["changes", str(tmp_path / "old"), str(tmp_path / "new")])) == 0
    said = capsys.readouterr().out
    number = old.sections["steps"][STEP].at
    title = handbook.procedures[HOME].title
    assert re.search(rf"(?m)^  changed  {title}, step {re.escape(number)}: ", said)
    assert re.search(rf"(?m)^  removed  {title}, step [\d.]+: Do what is gone\.$", said)
    assert re.search(r"(?m)^  removed  old-page, revision \d+: A page that is gone$", said)
    assert re.search(r"(?m)^  changed  end\.rotor\.discard, mm, in: ", said)
    assert commands.run(commands.parse(["changes", str(tmp_path / "new"), str(tmp_path / "new")])) == 0
    assert "Nothing changed." in capsys.readouterr().out


BROKEN = {
    "empty": lambda data: "",
    "cut off": lambda data: json.dumps(data)[:100],
    "a list": lambda data: "[]",
    "nested deep": lambda data: "[" * 200_000,
    "another format": lambda data: json.dumps(data | {"format": "wheel-end-contents/9"}),
    "a section less": lambda data: json.dumps({key: value for key, value in data.items() if key != "steps"}),
    "a section of numbers": lambda data: json.dumps(data | {"steps": [1]}),
    "an item of numbers": lambda data: json.dumps(data | {"steps": {"a/b": [1, 2, 3]}}),
    "an item that is a text": lambda data: json.dumps(data | {"steps": {"a/b": "abc"}}),
    "an id with markup": lambda data: json.dumps(data | {"steps": {"<b>": ["0" * 12, "1", "x"]}}),
    "words that steer a terminal": lambda data: json.dumps(data | {"steps": {"a/b": ["0" * 12, "1", "\x1b[2J"]}}),
    "words without end": lambda data: json.dumps(data | {"steps": {"a/b": ["0" * 12, "1", "x" * 5_000]}}),
    "a build with markup": lambda data: json.dumps(data | {"build": "<script>abcd"}),
}


@pytest.mark.parametrize("broken", BROKEN.values(), ids=BROKEN.keys())
def test_a_list_that_is_none_is_refused_with_a_line(old, tmp_path, broken):
    (tmp_path / PLACE).parent.mkdir()
    (tmp_path / PLACE).write_text(broken(json.loads(as_json(old))), "utf-8")
    with pytest.raises(CopyError, match=r"is damaged or no list of contents") as refusal:
        read(tmp_path)
    assert len(refusal.value.problems) == 1 and "\n" not in refusal.value.problems[0]


def test_a_site_without_a_list_is_said_so(tmp_path):
    with pytest.raises(CopyError, match="built by a version that did not write one yet"):
        read(tmp_path)


@pytest.mark.slow
def test_a_build_since_an_older_site_marks_what_changed(site, tmp_path):
    """Since a site of which a step read otherwise; the folder that is built over may be the older site itself."""
    older = tmp_path / "site"
    shutil.copytree(site, older)
    list_of_it = json.loads((older / PLACE).read_text("utf-8"))
    list_of_it["steps"][STEP][0] = "0" * 12
    (older / PLACE).write_text(json.dumps(list_of_it), "utf-8")
    build_site(older, since=older)
    page = (older / "procedures" / f"{HOME}.html").read_text("utf-8")
    assert page.count("step__since") == 1 and f"Changed since build {list_of_it['build']} of" in page
    assert "set-bearing.html#set-bearing.read-end-play" in (older / "changes.html").read_text("utf-8")
    assert "changes.html" not in (site / "index.html").read_text("utf-8")
    assert verify(older).whole
