"""What needs no page runs under Node: its unit tests, and a type check that knows no document."""

from __future__ import annotations

import re
import subprocess

from build_tools.browser.node import node
from build_tools.paths import PROJECT

TESTS = sorted(path.relative_to(PROJECT).as_posix() for path in (PROJECT / "tests/scripts").rglob("*.test.js"))


def test_unit_tests():
    done = subprocess.run([node(), "--test", "--test-reporter=tap", *TESTS], cwd=PROJECT, capture_output=True, encoding="utf-8")
    assert done.returncode == 0, done.stdout + done.stderr
    assert int(re.search(r"^# pass (\d+)", done.stdout, re.MULTILINE)[1]) > 60


def test_types_without_a_document():
    command = [node(), "node_modules/typescript/bin/tsc", "-p", "docs/scripts/core/jsconfig.json"]
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
