"""The tutorial works as it is written: its commands are run and its files written word for word, in order."""

import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from build_tools.content.load import read, validate
from build_tools.content.model import DecisionRule, Signed, StepChange
from build_tools.paths import PROJECT

TEXT = (PROJECT / "docs" / "shop-pages.md").read_text("utf-8")
ORDER = re.compile(
    r"^```(?P<kind>\w+)\n(?P<text>.*?)^```$|In `(?P<file>our-shop/[^`]+)`, write `(?P<new>\w+)` for `(?P<old>\w+)`",
    re.MULTILINE | re.DOTALL,
)


def orders() -> Iterator[tuple[str, str, str]]:
    """What to do, in order: (sh, command, ""), (text, what is said, ""), (edit, old:new, file), (write, content, file)."""
    for found in ORDER.finditer(TEXT):
        if found["file"]:
            yield "edit", f"{found['old']}:{found['new']}", found["file"]
        elif found["kind"] in ("sh", "text"):
            yield found["kind"], found["text"], ""
        else:
            above = TEXT[: found.start()].rstrip().rsplit("\n\n", 1)[-1]
            yield "write", found["text"], re.findall(r"`(our-shop/[\w./-]+)`", above)[0]


@pytest.fixture
def handbook(tmp_path: Path) -> Path:
    """A folder in which the commands run as in the handbook's, with room beside it."""
    folder = tmp_path / "handbook"
    folder.mkdir()
    for path in PROJECT.iterdir():
        if path.name != ".git":
            (folder / path.name).symlink_to(path)
    return folder


def run(command: str, folder: Path) -> str:
    program, *arguments = shlex.split(command)
    assert program == "python3"
    done = subprocess.run([sys.executable, *arguments], cwd=folder, capture_output=True, text=True)
    return done.stdout + done.stderr


def test_the_tutorial_does_what_it_says(handbook):
    said, kinds = "", []
    for kind, text, name in orders():
        path = handbook.parent / name
        kinds.append(kind)
        if kind == "sh" and " serve " not in text:  # tests/publishing/test_preview.py serves
            said = run(text, handbook)
        elif kind == "text":
            assert text.strip() in said, said
        elif kind == "write":
            assert path.is_file(), name  # the command before has made it
            path.write_text(text, "utf-8")
        elif kind == "edit":
            old, new = text.split(":")
            assert f" {old}:" in path.read_text("utf-8")
            path.write_text(path.read_text("utf-8").replace(f" {old}:", f" {new}:"), "utf-8")
    assert {"sh", "text", "write", "edit"} == set(kinds)
    site = handbook.parent / "our-handbook"
    page = (site / "procedures" / "after-a-tyre-burst.html").read_text("utf-8")
    assert "This shop’s own page: Our shop (invented)" in page and "Draft: nobody has approved it yet." in page
    rules = (site / "shop" / "house-rules.html").read_text("utf-8")
    assert "Approved by the shop lead." in rules and "../pictures/example-picture.png" in rules
    assert "A second person looks at every final torque." in (site / "index.html").read_text("utf-8")


def test_the_examples_of_changes_are_taken_by_the_model():
    text = (PROJECT / "docs" / "shop-changes.md").read_text("utf-8")
    blocks = [
        re.sub("^    ", "", block, flags=re.MULTILINE)
        for block in re.findall(r"(?:^    .+\n?)+", text, re.MULTILINE)
        if "build_tools" not in block
    ]
    models = {"changes": StepChange, "rules": DecisionRule}
    seen = set()
    for block in blocks:
        document = read(block, "block")
        ((key, value),) = document.data.items()
        seen.add(key)
        for index, item in enumerate(value if key in models else [value]):
            cls = models.get(key, Signed)
            assert key == "without" or validate(cls, item, document.origin, (key, index))[1] == [], item
    assert seen == {"changes", "rules", "replaces_stock", "without"}
