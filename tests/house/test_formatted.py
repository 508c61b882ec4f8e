"""Formatter and linter of both languages find nothing. Their rules, with the reason for each exception: pyproject.toml, biome.json."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from build_tools.dev.formatters import commands
from build_tools.paths import PROJECT


@pytest.mark.parametrize("command", commands(mend=False), ids=["ruff check", "ruff format", "biome"])
def test_nothing_is_found(command):
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_no_folder_of_ours_is_passed_over():
    """A tool that skips folders by their names, such as `build` or `site`, would leave tests and modules unread."""
    listed = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--show-files"], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    seen = {Path(name).resolve() for name in listed.stdout.split("\n") if name}
    ours = [
        path
        for top in ("calculators", "build_tools", "tests")
        for path in (PROJECT / top).rglob("*.py")
        if "shop_folders" not in path.parts
    ]
    assert [path for path in ours if path.resolve() not in seen] == []
