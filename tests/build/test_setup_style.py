"""The linter finds nothing; its rules, and the reason for each exception, are in pyproject.toml."""

from __future__ import annotations

import subprocess
import sys

from build_tools.paths import PROJECT


def test_ruff_finds_nothing():
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--output-format", "concise"], cwd=PROJECT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
