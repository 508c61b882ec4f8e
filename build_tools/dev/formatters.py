"""The formatters and linters of Python and the scripts, as the command `format` and the tests run them."""

from __future__ import annotations

import subprocess
import sys

from build_tools.browser.node import node
from build_tools.paths import PROJECT

BIOME = "node_modules/@biomejs/biome/bin/biome"


def commands(mend: bool) -> list[list[str]]:
    """The command lines: to mend the files, or only to look at them."""
    ruff, biome = [sys.executable, "-m", "ruff"], [node(), BIOME, "check", "--error-on-warnings", "--colors=off"]
    if mend:
        return [[*ruff, "check", "--fix"], [*ruff, "format"], [*biome, "--write"]]
    return [[*ruff, "check", "--output-format", "concise"], [*ruff, "format", "--check"], biome]


def run_all() -> int:
    """Mend all files; the exit code is 1 where something is left to mend by hand."""
    return max(min(subprocess.run(command, cwd=PROJECT).returncode, 1) for command in commands(mend=True))
