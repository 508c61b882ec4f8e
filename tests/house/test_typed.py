"""The type checkers of both languages find nothing: jsconfig.json for the scripts, pyproject.toml for Python."""

from __future__ import annotations

import subprocess
import sys

from build_tools.browser.node import node
from build_tools.paths import PROJECT


def test_scripts():
    done = subprocess.run([node(), "node_modules/typescript/bin/tsc", "-p", "jsconfig.json"], cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_python():
    done = subprocess.run([sys.executable, "-m", "mypy"], cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
