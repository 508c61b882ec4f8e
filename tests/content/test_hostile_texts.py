"""Texts that were made to hang the reader end within seconds of work, and in a line: YAML, vehicle sheets, pages of the shop."""

import random
import time

import pytest
import yaml

from build_tools.content import yaml_reader
from build_tools.content.handbook import Handbook
from build_tools.content.load import add_files, files_of
from build_tools.content.mistakes import MISTAKES
from build_tools.content.shop import page_limits
from build_tools.content.shop.shop_markdown import faults
from build_tools.paths import PROJECT

MOST = 5.0  # seconds of this process's own work, whatever else the machine does
FEW = 150  # mistakes said of one file

YAML = [
    "[",
    "{",
    "[]",
    "{}",
    "- ",
    "? ",
    ": ",
    "a: ",
    "a:\n",
    "a: b\n",
    "- a\n",
    "[a,",
    "a,",
    "{a: ",
    "&a ",
    "*a ",
    "!a ",
    "'",
    '"',
    "\\",
    "|\n",
    ">\n ",
    "%TAG ! a\n",
    "---\n",
    "#",
    "\t",
    "\n",
    " ",
    "\r",
    "\x85",
    "-",
    "a b ",
    "- [\n",
    "? [",
    "[a: ",
    "\ufeff",
    "<<: ",
    "- - a\n",
    "é",
    "key: [",
    "a:b",
    "- {id: a, doo: b}\n",
    '{"a":',
    '"a":1,',
    "1",
]
MARKDOWN = [
    "[",
    "]",
    "<a ",
    "<",
    "<!--",
    "![",
    "](",
    "[a](",
    "[a]: ",
    "`",
    "` ``",
    "*",
    "**a",
    "_",
    "*a _b ",
    "\\",
    "&",
    "&#",
    "> ",
    "- ",
    "1. ",
    "# ",
    "|",
    "|a|b\n|-|-|\n",
    "\n",
    "    a\n",
    ": a\n",
    "a\n: b\n",
    "{",
    "{: a=",
    "```",
    "```\n",
    "~~~ {",
    "http://",
    "<http:",
    "a@b",
    "(",
    ")",
    "'",
    '"',
    "[a][b]",
    "  \n",
    "a\n=\n",
    "-\n",
    "\t",
    "***",
    "* * ",
    "<div markdown>\n",
    "</div>",
    "# a {#",
    "\x02",
    "\x02klzzwxh:0\x03",
    "<a>",
    "word ",
    ">",
    "</",
]


def said(path: str, text: str) -> set[str]:
    """The codes of what is said about a file, and that all was said in time."""
    handbook, began = Handbook(), time.process_time()
    problems = add_files(handbook, {path: text.encode("utf-8", "surrogatepass")}, "shop", True)
    for page in handbook.shop_pages.values():
        for _, fault in faults(page):
            assert fault.code in MISTAKES
    took = time.process_time() - began
    assert took < MOST, f"{took:.1f} s for {len(text):,} signs that begin with {text[:60]!r}"
    assert len(problems) < FEW and all("\n" not in problem.message for problem in problems)
    return {problem.code for problem in problems}


@pytest.mark.parametrize("unit", YAML)
@pytest.mark.parametrize("path", ["procedures/own-job.yml", "terms.yml", "vehicles/red-van.json"])
def test_one_sign_a_million_times(path, unit):
    said(path, unit * (990_000 // len(unit.encode())))


@pytest.mark.parametrize(
    "text",
    [
        "[" * 50_000,
        "x: " + "[" * 990_000,
        "- " * 400_000,
        "".join(" " * depth + "a:\n" for depth in range(1300)),
        "".join(f"k{n}: v\n" for n in range(60_000)),
        "{a: " * 90_000,
    ],
)
def test_depth_and_number_have_an_end_in_yaml(text):
    assert "F110" in said("shop.yml", text)


@pytest.mark.parametrize(
    "text",
    [
        '{"a":' + "[" * 500 + "]" * 500 + "}",
        '{"a":' * 150_000 + "1" + "}" * 150_000,
        "{" + ",".join(f'"k{n}":1' for n in range(60_000)) + "}",
    ],
)
def test_depth_and_number_have_an_end_in_a_sheet(text):
    assert "F110" in said("vehicles/red-van.json", text)


def test_what_is_forty_deep_is_read_and_more_is_not():
    assert "F110" not in said("shop.yml", "x: " + "[" * 39 + "]" * 39)
    assert "F110" in said("shop.yml", "x: " + "[" * 41 + "]" * 41)


def test_forty_thousand_unknown_entries_are_not_each_compared_with_every_known_one():
    said("shop.yml", "".join(f"k{number}: &k{number} v\n" for number in range(40_000)))


@pytest.fixture
def pages_python(monkeypatch):
    """PyYAML as the page's Python has it: without its part in C."""
    monkeypatch.setattr(yaml_reader, "_Loader", yaml_reader._loader(yaml.SafeLoader))


def test_the_pages_python_reads_the_same(monkeypatch):
    stock = {name: raw.decode() for name, raw in files_of(PROJECT / "site_data").items() if len(raw) < 20_000}
    in_c = {name: yaml_reader.read(text, name) for name, text in stock.items()}
    monkeypatch.setattr(yaml_reader, "_Loader", yaml_reader._loader(yaml.SafeLoader))
    for name, text in stock.items():
        again = yaml_reader.read(text, name)
        assert again.data == in_c[name].data and again.origin.line(()) == in_c[name].origin.line(()), name
    assert len(stock) > 20


@pytest.mark.parametrize("text", ["[" * 50_000, "x: " + "[\n" * 50_000, "- " * 40_000, "{a: " * 40_000, "? " * 40_000])
def test_depth_has_an_end_in_the_pages_python(pages_python, text):
    assert "F110" in said("shop.yml", text)


@pytest.mark.parametrize("unit", MARKDOWN)
def test_one_sign_of_markdown_a_million_times(unit):
    said("pages/notes.md", unit * (990_000 // len(unit.encode())))


@pytest.mark.parametrize(
    "text",
    [
        "[" * 90_000,
        "<a " * 30_000,
        "> " * 200 + "x",
        "".join("    " * depth + "- x\n" for depth in range(60)),
        "x\n" * 500,
        "x" * 11_000,
        "[a](\n" * 401,
        "x\n\n" * 40_000,
    ],
)
def test_a_page_over_a_limit_is_p104(text):
    assert said("pages/notes.md", text) == {"P104", "F108"}


def test_a_page_as_people_write_them_is_read():
    paragraph = "Check the [torque list](list.md) before the wheel is on. " * 8
    items = "".join(f"- [Procedure {number}](page-{number}.md) and what it needs\n" for number in range(300))
    table = "| part | torque |\n|---|---|\n" + "| wheel nut | [120 N·m](list.md) |\n" * 100
    nested = "- a\n    - b\n        - c\n            - d\n\n> > Quoted twice.\n\n```\n" + "let x = [1, 2];\n" * 150 + "```\n"
    assert said("pages/notes.md", "\n\n".join([paragraph] * 60 + [items, table, nested])) == {"F108"}
    docs = PROJECT / "docs"
    assert [path.name for path in docs.glob("*.md") if page_limits.fault(path.read_text("utf-8"))] == []


def hostile(chance: random.Random, units: list[str], most: int) -> str:
    """A text near the limits: a few signs many times, in pieces of one length."""
    unit = "".join(chance.choice(units) for _ in range(chance.randint(1, 3)))
    piece = unit * max(1, chance.choice([60, 350, 1_200, 1_700, 4_000, 9_000]) // len(unit))
    piece += chance.choice(["", "", "\n", "\n\n", " x\n\n", "\n- ", "\n\n- ", "]", ")", ">", '"'])
    return chance.choice(["", "", "- ", "a\n"]) + piece * max(1, chance.choice([1, most // len(piece), most // len(piece) // 4]))


@pytest.mark.parametrize("seed", range(80))
def test_any_hostile_page_is_read_or_refused_in_time(seed):
    said("pages/notes.md", hostile(random.Random(seed), MARKDOWN, 99_000))


@pytest.mark.parametrize("seed", range(40))
def test_any_hostile_file_is_read_or_refused_in_time(seed):
    chance = random.Random(seed)
    said(chance.choice(["procedures/own-job.yml", "terms.yml", "vehicles/red-van.json", "shop.yml"]), hostile(chance, YAML, 990_000))
