"""Formatter and linter of both languages find nothing. Their rules, with the reason for each exception: pyproject.toml, biome.json."""

from __future__ import annotations

import subprocess
import sys

import pytest

from build_tools.browser.node import node
from build_tools.paths import PROJECT


@pytest.mark.parametrize("command", [["format", "--check"], ["check", "--output-format", "concise"]])
def test_python(command):
    done = subprocess.run([sys.executable, "-m", "ruff", *command], cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_scripts():
    biome = [node(), "node_modules/@biomejs/biome/bin/biome", "check", "--error-on-warnings", "--colors=off"]
    done = subprocess.run(biome, cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
