"""One list of sources: what anything cites stands on the page of sources, once."""

import re
from pathlib import Path

from build_tools.checks.check import load_and_check
from build_tools.content import source_list
from build_tools.pages.render import render
from build_tools.paths import PROJECT
from calculators import catalogue
from calculators.contract import sources

SHOP = PROJECT / "build_tools" / "example_shop"


def test_every_source_that_a_page_cites_stands_on_the_page_of_sources():
    handbook, _ = load_and_check(shop=SHOP)
    pages = render(handbook)
    listed = re.findall(r'<dt id="([^"]+)">', pages["reference/sources.md"])
    assert len(listed) == len(set(listed)) > 60
    cited = {name for page in pages.values() for name in re.findall(r'reference/sources\.html#([^"]+)"', page)}
    assert cited <= set(listed) and len(cited) > 50
    assert {source.id for calculator in catalogue().values() for source in calculator.sources} <= cited


def test_the_calculators_cite_from_the_same_list():
    handbook, _ = load_and_check()
    assert source_list.is_up_to_date(handbook)
    named = {name: found for name, found in vars(sources).items() if isinstance(found, sources.Source)}
    assert len(named) > 30
    for name, found in named.items():
        own = handbook.sources[found.id]
        assert (found.title, found.edition, found.kind) == (own.title, own.edition or "", own.kind), name


def test_a_module_of_calculators_describes_no_source_of_its_own():
    for path in Path(sources.__file__).parents[1].rglob("*.py"):
        if path.name != "sources.py":
            assert not re.search(r"(?<!\w)Source\(", path.read_text("utf-8")), path
