"""Names and comments are in American English, without words that mean nothing to a reader of code.

Only names and comments: what a user reads is looked at with the content. Names that a shop's own files or an address
outside rely on stand in KEPT, which only shrinks.
"""

from __future__ import annotations

import io
import re
import subprocess
import tokenize
from collections.abc import Iterator
from pathlib import Path

from build_tools.paths import PROJECT

# Stem → what to write. Both spellings of a pair are looked for in any case and inside longer names.
BETTER = {
    "colour": "color", "grey": "gray", "licence": "license", "neighbour": "neighbor", "behaviour": "behavior", "centre": "center",
    "labelled": "labeled", "travelled": "traveled", "optimis": "optimiz", "organis": "organiz", "recognis": "recogniz",
    "aluminium": "aluminum", "favour": "favor", "analyse": "analyze", "reckon": "compute", "nought": "zero",
}  # fmt: skip
KEPT = {"GREY", "aria-labelledby"}
WORD = re.compile("|".join(BETTER), re.IGNORECASE)


def tracked(*patterns: str) -> list[Path]:
    listed = subprocess.run(["git", "ls-files", "--", *patterns], cwd=PROJECT, capture_output=True, text=True).stdout.split()
    names = listed or [path.relative_to(PROJECT).as_posix() for pattern in patterns for path in PROJECT.glob(f"**/{pattern}")]
    return [PROJECT / name for name in names if "shop_folders" not in name and "node_modules" not in name and ".venv" not in name]


def python_words(text: str) -> Iterator[str]:
    """Names, comments, and strings that stand by themselves: docstrings."""
    alone = True
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type in (tokenize.NAME, tokenize.COMMENT) or (token.type == tokenize.STRING and alone):
            yield token.string
        if token.type not in (tokenize.NL, tokenize.COMMENT):
            alone = token.type in (tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING)


def script_comments(text: str) -> Iterator[str]:
    yield from re.findall(r"/\*.*?\*/|(?m:(?:^|\s)//[^\n]*)", text, re.DOTALL)


def strange(words: Iterator[str]) -> list[str]:
    return [f"{match[0]} → {BETTER[match[0].lower()]}" for word in words if word not in KEPT for match in WORD.finditer(word)]


def test_names_and_comments():
    found = {path.relative_to(PROJECT).as_posix(): strange(python_words(path.read_text("utf-8"))) for path in tracked("*.py")}
    for path in tracked("docs/scripts/*", "docs/styles/*", "*.test.js"):
        if path.suffix in (".js", ".mjs", ".css"):
            found[path.relative_to(PROJECT).as_posix()] = strange(script_comments(path.read_text("utf-8")))
    found.pop("tests/house/test_words.py", None)  # the words themselves
    assert len(found) > 300
    assert {name: words for name, words in found.items() if words} == {}


def test_it_finds_them():
    assert strange(python_words('colour = "grey"  # the centre\n')) == ["colour → color", "centre → center"]
    assert strange(python_words('def f():\n    """Of nought."""\n    return "licence"\n')) == ["nought → zero"]
    assert strange(script_comments('let a = "grey"; // a grey one\n/* behaviour */')) == ["grey → gray", "behaviour → behavior"]
