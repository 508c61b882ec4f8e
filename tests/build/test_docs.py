"""What the documents say about commands, modules and files is what the code has."""

import re
from pathlib import Path

from build_tools import commands

PROJECT = Path(__file__).parents[2]
README = (PROJECT / "README.md").read_text("utf-8")
DEVELOPERS = (PROJECT / "DEVELOPERS.md").read_text("utf-8")


def command_names() -> set[str]:
    """The commands that the command line knows."""
    import argparse

    parsers = []
    original = argparse.ArgumentParser.add_subparsers

    def remember(self, **options):
        parsers.append(original(self, **options))
        return parsers[-1]

    argparse.ArgumentParser.add_subparsers = remember
    try:
        commands.parse(["version"])
    finally:
        argparse.ArgumentParser.add_subparsers = original
    return set(parsers[0].choices)


def test_every_command_is_in_the_contributor_guide_and_none_beside():
    documented = set(re.findall(r"^\| `python3 -m build_tools ([a-z-]+)", DEVELOPERS, re.MULTILINE))
    assert documented == command_names()


def test_the_readme_names_only_commands_that_exist():
    assert set(re.findall(r"python3 -m build_tools ([a-z-]+)", README)) <= command_names()


def test_every_module_is_in_the_contributor_guide_and_none_beside():
    table = DEVELOPERS[DEVELOPERS.index("| module of `build_tools/`") : DEVELOPERS.index("## Commands")]
    named = {name for line in re.findall(r"^\| ([^|]+) \|", table, re.MULTILINE) for name in re.findall(r"`([a-z_]+)`", line)}
    folder = PROJECT / "build_tools"
    modules = {path.stem for path in folder.glob("*.py")} | {path.parent.name for path in folder.glob("*/__init__.py")}
    assert named == modules - {"__init__"}


def test_the_readme_starts_with_the_job_and_its_picture_exists():
    first = README.split("\n\n")[1]
    assert first.startswith("A technician who services disc brakes")
    (picture,) = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert (PROJECT / picture).is_file()


def test_every_script_is_named_in_the_contributor_guide():
    scripts = {path.name for path in (PROJECT / "docs" / "scripts").iterdir() if path.suffix in (".js", ".mjs")}
    missing = {name for name in scripts if f"`{name}`" not in DEVELOPERS}
    assert missing == set()
