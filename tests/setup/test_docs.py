"""What the documents say about commands, modules and files is what the code has."""

import re

from build_tools import commands
from build_tools.dev.rooms import PYTHON, SCRIPTS
from build_tools.paths import PROJECT

README = (PROJECT / "README.md").read_text("utf-8")
DEVELOPERS = (PROJECT / "DEVELOPERS.md").read_text("utf-8")
COMMANDS = (PROJECT / "docs" / "developers" / "commands.md").read_text("utf-8")


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


def test_every_command_is_in_the_list_of_commands_and_none_beside():
    documented = set(re.findall(r"^\| `python3 -m build_tools ([a-z-]+)", COMMANDS, re.MULTILINE))
    assert documented == command_names()


def test_the_readme_names_only_commands_that_exist():
    assert set(re.findall(r"python3 -m build_tools ([a-z-]+)", README)) <= command_names()


def test_the_readme_starts_with_the_job_and_its_picture_exists():
    first = README.split("\n\n")[1]
    assert first.startswith("A technician who services disc brakes")
    (picture,) = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert (PROJECT / picture).is_file()


def test_the_contributor_guide_is_short_and_draws_every_room():
    assert len(DEVELOPERS.encode()) <= 8_192
    picture = DEVELOPERS.split("```")[1]
    for room in (*PYTHON, *SCRIPTS):
        for name in room.split():
            last = name.rpartition("/")[2].removesuffix(".py")
            assert re.search(rf"\b{last}\b", picture) or last.startswith("__") or last == "earlier_names", name


def test_every_file_that_the_contributor_guide_names_is_there():
    for name in re.findall(r"\]\(([^)#]+)\)", DEVELOPERS):
        assert (PROJECT / name).is_file(), name
    for name in re.findall(r"`((?:calculators|build_tools|docs|site_data|tests)/[\w./-]+)`", DEVELOPERS):
        assert (PROJECT / name).exists() or "your" in name, name
