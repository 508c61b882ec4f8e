"""Formatter and linter of both languages find nothing. Their rules, with the reason for each exception: pyproject.toml, biome.json."""

from __future__ import annotations

import subprocess

import pytest

from build_tools.dev.formatters import commands
from build_tools.paths import PROJECT


@pytest.mark.parametrize("command", commands(mend=False), ids=["ruff check", "ruff format", "biome"])
def test_nothing_is_found(command):
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
