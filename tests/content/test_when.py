"""The condition language gives the same answers where the site is built and in the page.

The vectors follow the truth tables of three-valued (Kleene) logic: S. C. Kleene, Introduction to Metamathematics,
1952, § 64, from memory.
"""

import json
import shutil
import subprocess

import pytest

from build_tools.browser.node import node
from build_tools.content.when import axes_of, holds, in_words
from build_tools.paths import PROJECT

VECTORS = json.loads((PROJECT / "tests/content/when.json").read_text("utf-8"))

PAGE_SIDE = """
import { readFileSync } from "node:fs";
import { axesOf, holds, inWords } from "./conditions.mjs";
const vectors = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const label = (axis, value) => value ?? axis.toUpperCase();
console.log(JSON.stringify(vectors.map(({ when, layout }) => [
  holds(when, layout), [...axesOf(when)].sort(), inWords(when, label)])));
"""


@pytest.mark.parametrize("vector", VECTORS, ids=[vector["says"] for vector in VECTORS])
def test_answer_where_the_site_is_built(vector):
    assert holds(vector["when"], vector["layout"]) is vector["holds"]


@pytest.fixture(scope="module")
def page_answers(tmp_path_factory):
    folder = tmp_path_factory.mktemp("conditions")
    shutil.copy(PROJECT / "docs/scripts/core/when.js", folder / "conditions.mjs")
    (folder / "answers.mjs").write_text(PAGE_SIDE, "utf-8")
    run = subprocess.run(
        [node(), str(folder / "answers.mjs"), str(PROJECT / "tests/content/when.json")],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def test_enough_vectors():
    assert len(VECTORS) >= 40
    assert {vector["holds"] for vector in VECTORS} == {True, False, None}


def test_answers_in_the_page(page_answers):
    wrong = [vector["says"] for vector, answer in zip(VECTORS, page_answers, strict=True) if answer[0] is not vector["holds"]]
    assert not wrong


def test_page_finds_the_same_axes_and_words(page_answers):
    def label(axis, value=None):
        return axis.upper() if value is None else value

    for vector, (_, axes, words) in zip(VECTORS, page_answers, strict=True):
        assert axes == sorted(axes_of(vector["when"])), vector["says"]
        assert words == in_words(vector["when"], label), vector["says"]
