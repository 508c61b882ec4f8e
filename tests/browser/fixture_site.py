"""The pages that the browser's tests read: a small handbook, tests/browser/fixture_handbook, in the hands of the build.

It is loaded by the build's loader, rendered by its templates, and put together by MkDocs as mkdocs.yml says, theme and
hooks included, so that a test reads what a reader gets. It is not checked: some of it is wrong on purpose, because a page
may meet the same in a job's file. A test that needs a step otherwise says so by `changes`.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config

from build_tools.browser.typefaces import typefaces
from build_tools.content.handbook import Handbook
from build_tools.content.load import add_files, drawing_titles, files_of, finish
from build_tools.pages.render import Pages, page_data
from build_tools.paths import PROJECT
from build_tools.publishing.handbook_site import HandbookSite
from build_tools.publishing.mkdocs_build import CONFIG

CONTENT = PROJECT / "tests/browser/fixture_handbook"
BUILD = "fixture-1"
PAGES = ("front-brake-service", "other-job", "two-readings", "every-kind")
DRAWINGS = ("mark", "rotor-slip-on", "wheel-nut-star")
# Entries by the address of a step or the id of a procedure; an entry that is None goes, and so does a step that is None.
# A step that is not there yet is put before the step that its entry `before` names.
Changes = dict[str, dict[str, Any] | None]


def handbook(changes: Changes | None = None) -> Handbook:
    """The small handbook, with a test's own changes in it."""
    files = files_of(CONTENT)
    changed = {f"procedures/{address.partition('/')[0]}.yml" for address in changes or {}}
    read = {name: yaml.load(files[name], yaml.BaseLoader) for name in changed}
    for address, entries in (changes or {}).items():
        home, _, step = address.partition("/")
        procedure = read[f"procedures/{home}.yml"]
        if step:
            _change_step(procedure["steps"], step, entries)
        else:
            _merge(procedure, entries or {})
    # JSON is YAML, so that what was changed is read by the build's own reader like the rest.
    files |= {name: json.dumps(data, ensure_ascii=False).encode() for name, data in read.items()}
    made = Handbook(drawings=drawing_titles())
    problems = add_files(made, files, CONTENT.name, is_shop=False) + finish(made)
    assert problems == [], "\n".join(map(str, problems))
    return made


def _change_step(steps: list[dict], name: str, entries: dict[str, Any] | None) -> None:
    ids = [step.get("id") for step in steps]
    if name not in ids:
        fresh = {"id": name, **(entries or {})}
        steps.insert(ids.index(fresh.pop("before")), fresh)
    elif entries is None:
        del steps[ids.index(name)]
    else:
        _merge(steps[ids.index(name)], entries)


def _merge(into: dict, entries: dict[str, Any]) -> None:
    for name, value in deepcopy(entries).items():
        if value is None:
            into.pop(name)
        else:
            into[name] = value


class FixtureSite(HandbookSite):
    """A few pages in place of the whole handbook's; what happens to a finished page is the same."""

    def __init__(self, made: Handbook):
        self._preview, self.build = None, BUILD
        pages = Pages(made)
        data = json.dumps({"build": BUILD, **page_data(made)}, ensure_ascii=False)
        self.files = {
            **{f"procedures/{name}.md": pages.procedure(made.procedures[name]) for name in PAGES},
            **{f"styles/{path.name}": path for path in (PROJECT / "docs/styles").glob("*.css")},
            **{f"drawings/{name}.svg": PROJECT / f"docs/drawings/{name}.svg" for name in DRAWINGS},
            **typefaces(PROJECT / "node_modules"),
            "assets/handbook-data.js": f"self.handbook = {data};\n",
        }
        self.nav = [{"Jobs": [f"procedures/{name}.md" for name in PAGES]}]

    def add_page(self, uri: str, title: str, kind: str, html: str) -> None:
        """Nothing of it is searched."""

    def close(self, site: Path) -> None:
        """Nothing follows from all pages."""


def site(changes: Changes | None = None) -> Path:
    """The folder of the built pages; made once for the same changes, so to be copied before anything is written there."""
    return _built(json.dumps(changes or {}))


def copy_site(folder: Path, changes: Changes | None = None) -> None:
    """The built pages in a folder of the test's own; over those that are there."""
    shutil.copytree(site(changes), folder, dirs_exist_ok=True)


@cache
def _built(changes: str) -> Path:
    place = Path(_scratch().name) / str(len(list(Path(_scratch().name).iterdir())))
    empty = place / "docs"
    empty.mkdir(parents=True)
    extra = {"generator": False, "handbook_site": FixtureSite(handbook(json.loads(changes)))}
    # Not strict: the pages link to lists of the whole handbook, which are not among the few.
    build(load_config(str(CONFIG), docs_dir=str(empty), site_dir=str(place / "site"), strict=False, extra=extra))
    return place / "site"


@cache
def _scratch() -> tempfile.TemporaryDirectory:
    """Gone when the tests end."""
    return tempfile.TemporaryDirectory(prefix="fixture-site-")
