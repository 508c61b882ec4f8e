"""Every file of tests is run: a folder that a tool skips by its name, or a file with a slip in its name, is found here."""

from __future__ import annotations

import ast
import os
from pathlib import Path

import pytest

from build_tools.paths import PROJECT

TESTS = PROJECT / "tests"


def test_every_file_that_holds_tests_was_collected(request):
    if not os.environ.get("HANDBOOK_ALL_TESTS"):
        pytest.skip("only some of the tests were asked for")
    collected = {item.path for item in request.session.items}
    assert {path.relative_to(TESTS).as_posix() for path in holding_tests() if path not in collected} == set()


def test_a_file_that_holds_tests_is_called_so():
    assert {path.name for path in holding_tests() if not path.name.startswith("test_")} == set()


def holding_tests() -> set[Path]:
    """The Python files with a test function at their top."""
    found = set()
    for path in TESTS.rglob("*.py"):
        names = [node.name for node in ast.parse(path.read_text("utf-8")).body if isinstance(node, ast.FunctionDef | ast.ClassDef)]
        if any(name.startswith(("test_", "Test")) for name in names):
            found.add(path)
    return found
