"""The `data-` attributes on which pages and scripts agree: what is written, what is read, and build_tools/pages/page_contract.yml are one.

Nothing is written that nobody reads, nothing is read that nobody writes, and every attribute stands where the list says.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
import yaml

from build_tools.pages.post.running_head import with_running_head
from build_tools.paths import PROJECT
from tests.browser.fixture_site import PAGES, site

LIST = PROJECT / "build_tools/pages/page_contract.yml"
CONTRACT = yaml.safe_load(LIST.read_text("utf-8"))
SCRIPTS = PROJECT / "docs/scripts"
NAME = r"data-([a-z]+(?:-[a-z]+)*)"
# A name that is worked out where it is read, and all that it can be.
WORKED_OUT = {"unit.dataset[system()]": {"metric", "inch"}, "dataset[what]": {"means", "judged"}}
# Pages that no fixture has: the list of symptoms; a step of version 0.1.0.
NOT_AMONG_THE_FIXTURES = {"head", "hash-before"}


def kebab(name: str) -> str:
    """The attribute of a property of `dataset`."""
    return re.sub("[A-Z]", lambda letter: f"-{letter[0].lower()}", name)


# ---------------------------------------------------------------- what is written, and what is read


def written_into_pages() -> set[str]:
    """By templates, theme and hand-written pages, and by the last step of the build."""
    sources = [
        *(PROJECT / "build_tools/pages/templates").glob("*.j2"),
        *(PROJECT / "build_tools/publishing/theme").rglob("*.html"),
        *(PROJECT / "docs").glob("*.html"),
    ]
    texts = [path.read_text("utf-8") for path in sources]
    tags = [tag for path in (PROJECT / "docs").rglob("*.md") for tag in re.findall(r"<[a-z][^>]*>", path.read_text("utf-8"))]
    texts += [*tags, with_running_head("<html><title>x</title></html>")]
    return {name for text in texts for name in re.findall(rf"(?<![\w/-]){NAME}", text)}


def without_comments(script: str) -> str:
    return re.sub(r"(?m)(^|\s)//.*$", "", re.sub(r"/\*.*?\*/", "", script, flags=re.DOTALL))


def uses_of(script: str) -> Iterator[tuple[bool, str]]:
    """Whether it is read (else set), and the attribute. A way to name one that is not known here fails."""
    text = without_comments(script)
    ways = {
        # dataset.stage, dataset.stage = …, delete select.dataset.draft
        r"(?P<gone>\bdelete [\w.]+)?\bdataset\.(?P<property>\w+)(?P<set>\s*=(?!=))?": lambda found: [
            (not (found["set"] or found["gone"]), kebab(found["property"]))
        ],
        # form.dataset taken apart: { calculator = "", apart }
        r"\{(?P<names>[^{}]*)\}\s*=\s*[\w.]+\.dataset\b(?![.\[])": lambda found: [
            (True, kebab(name)) for name in re.findall(r"(?:^|,)\s*(\w+)", found["names"])
        ],
        r'"(?P<property>\w+)" in [\w.]+\.dataset\b': lambda found: [(True, kebab(found["property"]))],
        "|".join(map(re.escape, WORKED_OUT)): lambda found: [(True, name) for name in WORKED_OUT[found[0]]],
        rf'\b(?P<how>toggle|set|remove|has|get)Attribute\("{NAME}"': lambda found: [
            (found["how"] in ("has", "get"), found[found.lastindex])
        ],
        rf"\[{NAME}(?=[\]=$^*~|])": lambda found: [(True, found[1])],  # a selector
    }
    for way, told in ways.items():
        for found in re.finditer(way, text):
            yield from told(found)
        text = re.sub(way, "", text)
    # `({ dataset }) => dataset.key` has been read already
    left = re.findall(r".*(?:\bdata-[a-z]|\bdataset\b).*", re.sub(r"\(\{ dataset \}\)", "", text))
    assert left == [], f"These lines name attributes in a way that {Path(__file__).name} does not know: {left}"


def used_by_scripts() -> tuple[dict[str, set[str]], set[str]]:
    """Attribute → the rooms that read it, and the attributes that scripts set."""
    read: defaultdict[str, set[str]] = defaultdict(set)
    put = set()
    for path in sorted(SCRIPTS.rglob("*.js")):
        room = path.relative_to(SCRIPTS).parts[0]
        for is_read, name in uses_of(path.read_text("utf-8")):
            if is_read:
                read[name].add(room)
            else:
                put.add(name)
    return read, put


def readers() -> dict[str, set[str]]:
    """Attribute → everybody who reads it."""
    read, _ = used_by_scripts()
    for path in (PROJECT / "docs/styles").glob("*.css"):
        for name in re.findall(rf"(?:\[|attr\(){NAME}", path.read_text("utf-8")):
            read[name].add("styles")
    for path in [*(PROJECT / "build_tools/pages").glob("*.py"), *(PROJECT / "build_tools/pages/post").glob("*.py")]:
        for name in re.findall(rf'(?:get\("|_attribute\([^()]*, "){NAME}"', path.read_text("utf-8")):
            read[name].add("build")
    return read


def listed(*sections: str) -> set[str]:
    return {name for section in sections for name in CONTRACT[section]}


# ---------------------------------------------------------------- the list is true


def test_what_is_written_into_pages_is_listed_and_no_more():
    assert written_into_pages() == listed("pages")


def test_what_scripts_set_is_listed_and_no_more():
    assert used_by_scripts()[1] == listed("scripts")


def test_nothing_is_read_that_nobody_writes():
    assert set(readers()) - listed("pages", "scripts") == set()


def test_nothing_is_written_that_nobody_reads():
    read = readers()
    for section in ("pages", "scripts"):
        for name, entry in CONTRACT[section].items():
            assert read.get(name) or entry.get("why"), f"data-{name} is read by nobody; leave it out, or say why it stands there"


def test_the_readers_are_those_that_the_list_names():
    """An attribute of both sections has the readers of both: by its name alone nobody can tell them apart."""
    told: defaultdict[str, set[str]] = defaultdict(set)
    for section in ("pages", "scripts"):
        for name, entry in CONTRACT[section].items():
            told[name] |= set(entry["read"])
    assert told == readers()


def test_every_entry_says_where_what_and_who():
    for section in ("pages", "scripts"):
        for name, entry in CONTRACT[section].items():
            assert {"at", "holds", "read"} <= set(entry) <= {"at", "holds", "read", "why"}, name
            assert entry["at"] and entry["holds"] and entry["read"] == sorted(entry["read"]), name


# ---------------------------------------------------------------- a page holds to it


class _Attributes(HTMLParser):
    """Attribute → the elements of a page that carry it, each as its tag and classes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: defaultdict[str, set[tuple[str, frozenset[str]]]] = defaultdict(set)
        self.feed(html)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        classes = frozenset((dict(attributes).get("class") or "").split())
        for name, _ in attributes:
            if name.startswith("data-"):
                self.found[name.removeprefix("data-")].add((tag, classes))


def fits(tag: str, classes: frozenset[str], selectors: Iterable[str]) -> bool:
    """Whether an element is one of those that the list names."""
    parts = (selector.split(".") for selector in selectors)
    return any(tag == name and classes.issuperset(wanted) for name, *wanted in parts)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_carries_each_attribute_where_the_list_says(name):
    for attribute, elements in _Attributes((site() / f"procedures/{name}.html").read_text("utf-8")).found.items():
        if attribute in CONTRACT["foreign"]:
            continue
        wanted = CONTRACT["pages"].get(attribute, {}).get("at", [])
        for tag, classes in elements:
            assert fits(tag, classes, wanted), f"data-{attribute} stands on <{tag} class={sorted(classes)}>, and the list says: {wanted}"


def test_the_fixtures_carry_all_of_them():
    carried = {each for name in PAGES for each in _Attributes((site() / f"procedures/{name}.html").read_text("utf-8")).found}
    assert listed("pages") - carried == NOT_AMONG_THE_FIXTURES
