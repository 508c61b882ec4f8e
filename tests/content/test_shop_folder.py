"""A shop's folder: started by one command, built as it is, never written over, and built again by every later version."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest

from build_tools.checks.check import check, load_and_check
from build_tools.content.load import load
from build_tools.content.shop import scaffold
from build_tools.errors import BuildFailed
from build_tools.pages.render import render
from build_tools.paths import PROJECT

PROJECT = PROJECT
STOCK = PROJECT / "site_data"
KEPT = sorted((Path(__file__).parent / "shop_folders").iterdir())


def contents(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.rglob("*") if path.is_file()
    }


@pytest.fixture(scope="module")
def started(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("somewhere") / "our shop"
    scaffold.new_shop(folder, ("windows", "posix"))
    return folder


def test_a_new_folder_builds_with_one_example_of_everything(started, monkeypatch):
    before = contents(started)
    handbook, _ = load_and_check(shop=started)
    assert {kind for kind, _ in handbook.from_shop} == {"procedures", "vehicles", "cautions", "calculators"}
    with monkeypatch.context() as no_disk:  # what a page shows was loaded before
        for name in ("open", "read_text", "read_bytes", "exists", "is_file", "is_dir", "glob", "iterdir"):
            no_disk.setattr(Path, name, lambda path, *_, **__: pytest.fail(f"{path} is read while pages are rendered", pytrace=False))
        pages = render(handbook)
    assert "example-picture.png" in handbook.pictures and "../pictures/example-picture.png" in pages["shop/example-page.md"]
    assert "This shop’s own page" in pages["calculators/example-calculator.md"]
    assert contents(started) == before  # no build writes into the shop's folder, not even compiled Python


def test_every_example_says_that_it_is_invented_and_holds_its_schema(started):
    for folder in ("procedures", "vehicles", "cautions", "pages", "calculators"):
        (path,) = (started / folder).iterdir()
        text = path.read_text("utf-8")
        assert "invented" in text.lower(), path
        if path.suffix == ".yml":
            line = text.splitlines()[0]
            assert line.startswith("# yaml-language-server: $schema=../.schema/") and (path.parent / line.split("=")[1]).is_file()
    assert "invented" in (started / "shop.yml").read_text("utf-8")


def test_nothing_is_ever_written_over(started):
    before = contents(started)
    for make in (
        lambda: scaffold.new_shop(started),
        lambda: scaffold.new("procedure", "Example procedure", started),
        lambda: scaffold.new("calculator", "example-calculator", started),
    ):
        with pytest.raises(BuildFailed, match="nothing is written over"):
            make()
    assert contents(started) == before


@pytest.mark.parametrize(
    ("kind", "name", "file"),
    [
        ("procedure", "After a tyre burst: what to look at", "procedures/after-a-tyre-burst-what-to-look-at.yml"),
        ("vehicle", "red-van", "vehicles/red-van.yml"),
        ("caution", "Öl am Boden", "cautions/ol-am-boden.yml"),
        ("page", "yes", "pages/yes.md"),
        ("calculator", "trailer drop", "calculators/trailer_drop.py"),
        ("change", "wheel-and-torque/clean-wheel-faces", "changes/clean-wheel-faces.yml"),
    ],
)
def test_whatever_is_started_builds(tmp_path, monkeypatch, kind, name, file):
    monkeypatch.setattr("build_tools.checks.check.layout_walk.walk", lambda handbook, procedure: ([], 0))  # done for the whole folder above
    (tmp_path / "shop.yml").write_text("name: Test shop (invented)\n")
    assert scaffold.new(kind, name, tmp_path) == tmp_path / file
    assert check(load(STOCK, tmp_path))[0] == []


def test_a_name_that_will_not_do_is_said_in_one_line(tmp_path):
    for kind, name, says in (("page", "???", "plain letters"), ("change", "wheel-and-torque/clean-wheel-face", "Did you mean")):
        with pytest.raises(BuildFailed, match=says) as caught:
            scaffold.new(kind, name, tmp_path)
        assert len(caught.value.problems) == 1


def test_windows_start_files_have_windows_line_ends_and_name_the_handbook_by_its_way(started):
    for name in ("check", "build", "preview"):
        raw = (started / f"{name}.bat").read_bytes()
        assert raw.count(b"\r\n") == raw.count(b"\n") > 10 and b"\r\r" not in raw
        assert b'--shop "%~dp0."' in raw and b'set "HANDBOOK=%~dp0..\\' in raw


def test_a_start_file_runs_from_anywhere(started, tmp_path):
    script = started / "check.sh"
    assert b"\r" not in script.read_bytes()
    path = tmp_path / "bin"
    path.mkdir()
    (path / "python3").symlink_to(sys.executable)
    done = subprocess.run([str(script)], cwd=tmp_path, capture_output=True, text=True, env={"PATH": f"{path}:/usr/bin:/bin"})
    assert done.returncode == 0 and "No problems." in done.stdout, done.stderr


@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.name)
def test_a_folder_of_every_version_so_far_builds_and_stays_as_it_is(kept, tmp_path):
    before = contents(kept)
    handbook, _ = load_and_check(shop=kept)
    assert render(handbook)["procedures/example-procedure.md"]
    assert contents(kept) == before


def test_a_folder_of_this_version_is_kept():
    from build_tools import __version__

    assert __version__ in [path.name for path in KEPT]
