"""Builds as on a fresh machine, and with the network off."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from build_tools.paths import PROJECT

LEFT_OUT = (".git", ".venv", ".build", "node_modules", "site", "__pycache__", ".pytest_cache", ".hypothesis", ".ruff_cache")


def offline(environment: dict[str, str]) -> tuple[list[str], dict[str, str]]:
    """The start of a command line that takes the network away, and the environment for it."""
    for words in (["unshare", "--net"], ["unshare", "--map-root-user", "--net"]):
        if shutil.which("unshare") and subprocess.run([*words, "true"], capture_output=True).returncode == 0:
            return words, environment
    # Where that is not allowed: a proxy that nobody listens at.
    nowhere = dict.fromkeys(("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY"), "http://127.0.0.1:9")
    return [], {**environment, **nowhere}


def build(project: Path, environment: dict[str, str], before: list[str] = ()) -> subprocess.CompletedProcess:
    # Not the Python of .venv: a fresh machine has only its own.
    python = getattr(sys, "_base_executable", sys.executable)
    return subprocess.run([*before, python, "-m", "build_tools", "build"], cwd=project, env=environment, capture_output=True, text=True)


def test_a_build_needs_no_network(tmp_path):
    before, environment = offline(dict(os.environ))
    command = [*before, sys.executable, "-m", "build_tools.commands", "build", "--out", str(tmp_path / "site")]
    done = subprocess.run(command, cwd=PROJECT, env=environment, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.rstrip().endswith(f"Open by double click: {tmp_path / 'site' / 'index.html'}")
    assert (tmp_path / "site" / "index.html").is_file()


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_a_fresh_machine_builds_and_then_needs_no_network(tmp_path):
    project, home = tmp_path / "the hand#book ü", tmp_path / "home"
    home.mkdir()
    shutil.copytree(PROJECT, project, ignore=shutil.ignore_patterns(*LEFT_OUT))
    environment = {name: value for name, value in os.environ.items() if name not in ("VIRTUAL_ENV", "PYTHONPATH")}
    environment |= {"HOME": str(home), "USERPROFILE": str(home)}

    before, cut_off = offline(environment)
    refused = build(project, cut_off, before)
    assert refused.returncode == 2
    assert "Set-up needs the network once: connect and run the command again." in refused.stderr
    assert refused.stderr.count("\n") == 1

    first = build(project, environment)
    assert (first.returncode, first.stderr) == (0, "")
    assert "Set-up is complete." in first.stdout
    assert (project / "site" / "index.html").is_file()

    second = build(project, cut_off, before)
    assert (second.returncode, second.stderr) == (0, "")
    assert "Setting up" not in second.stdout
