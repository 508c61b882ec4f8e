"""The command line, the folder a build goes to, the browsers."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
import sys

import pytest

from build_tools import commands
from build_tools.dev import browsers
from build_tools.errors import FolderError
from build_tools.paths import PROJECT
from build_tools.publishing.publish import publish

COMMANDS = [
    "build",
    "serve",
    "check",
    "render",
    "rules",
    "list",
    "pack",
    "verify",
    "compare",
    "collect-jobs",
    "job",
    "new-shop",
    "new",
    "import-pages",
    "bench",
    "test",
    "mutants",
    "format",
    "rooms",
    "version",
]


def test_a_command_of_version_0_1_0_is_still_known_by_its_name():
    now = [commands.parse([name, *("x", "y")][: 3 if name == "take" else 2]).run.__name__ for name in ("changes", "take")]
    assert now == ["compare", "import_pages"]


def test_help_names_every_command(capsys):
    with pytest.raises(SystemExit) as ended:
        commands.parse(["--help"])
    assert ended.value.code == 0
    assert re.findall(r"(?m)^    ([\w-]+)(?: |$)", capsys.readouterr().out) == COMMANDS


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "required: COMMAND"),
        (["biuld"], "invalid choice: 'biuld'"),
        (["build", "--shp", "."], "unrecognized arguments: --shp ."),
        (["build", "--shop", "nowhere"], "no such folder: nowhere (example: --shop build_tools/example_shop)"),
        (["serve", "--port", "eighty"], "invalid int value: 'eighty'"),
        (["render"], "required: DIR"),
    ],
)
def test_a_wrong_command_is_refused_before_set_up(arguments, said, capsys):
    with pytest.raises(SystemExit) as ended:
        commands.parse(arguments)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


def test_everything_after_test_goes_to_pytest():
    options = commands.parse(["test", "tests/build", "-k", "lock", "--slow"])
    assert options.pytest == ["tests/build", "-k", "lock", "--slow"]


# --- the folder a build goes to


@pytest.fixture
def fresh(tmp_path):
    """Makes a finished build out of names and texts."""

    def make(**files: str):
        folder = tmp_path / "fresh"
        shutil.rmtree(folder, ignore_errors=True)
        for name, text in {"index.html": "new", **files}.items():
            path = folder / name.replace("__", "/")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
        return folder

    return make


def test_a_build_replaces_the_one_before(fresh, tmp_path):
    site = tmp_path / "out" / "site"
    publish(fresh(old__page="1"), site)
    publish(fresh(new__page="2"), site)
    assert sorted(path.relative_to(site).as_posix() for path in site.rglob("*")) == ["SHA256SUMS", "index.html", "new", "new/page"]


def test_the_shop_s_own_data_is_kept(fresh, tmp_path):
    site = tmp_path / "site"
    publish(fresh(), site)
    (site / "shop-data.js").write_text("self.shopData = {}")
    for _ in range(2):
        assert publish(fresh(), site) == ["shop-data.js"]
        assert (site / "shop-data.js").read_text() == "self.shopData = {}"


@pytest.mark.parametrize(
    ("listed", "now", "stays"),
    [("empty", "empty", False), ("empty", "self.shopData = {}", True), ("empty", "// nothing\nself.shopData = null;\n", False)],
)
def test_a_folder_of_the_first_version_is_built_over(fresh, tmp_path, listed, now, stays):
    """0.1.0 called the list files.sha256, shipped an empty shop-data.js and had it in the list."""
    site = tmp_path / "site"
    publish(fresh(gone="1"), site)
    empty = hashlib.sha256(listed.encode()).hexdigest()
    (site / "shop-data.js").write_text(now)
    (site / "files.sha256").write_text((site / "SHA256SUMS").read_text() + f"{empty}  shop-data.js\n")
    (site / "SHA256SUMS").unlink()
    assert publish(fresh(), site) == ["shop-data.js"] * stays
    assert sorted(path.name for path in site.iterdir()) == ["SHA256SUMS", "index.html", *["shop-data.js"] * stays]
    assert not stays or (site / "shop-data.js").read_text() == now


def test_files_the_reader_put_there_are_kept(fresh, tmp_path):
    site = tmp_path / "site"
    publish(fresh(), site)
    (site / "jobs").mkdir()
    (site / "jobs" / "job.json").write_text("a day's work")
    assert publish(fresh(), site) == []
    assert (site / "jobs" / "job.json").read_text() == "a day's work"


def test_a_folder_of_other_files_is_not_touched(fresh, tmp_path):
    folder = tmp_path / "documents"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear")
    with pytest.raises(FolderError, match="Give an empty folder.*--out handbook"):
        publish(fresh(), folder)
    assert [path.name for path in folder.iterdir()] == ["letter.txt"]


def test_a_file_in_the_way_is_not_overwritten(fresh, tmp_path):
    site = tmp_path / "site"
    publish(fresh(), site)
    (site / "notes.html").write_text("mine")
    with pytest.raises(FolderError, match="notes.html is in the way"):
        publish(fresh(**{"notes.html": "theirs"}), site)
    assert (site / "notes.html").read_text() == "mine"
    assert (site / "index.html").exists()


def test_a_list_that_leads_out_of_the_site_removes_nothing_there(fresh, tmp_path):
    site = tmp_path / "site"
    publish(fresh(), site)
    (tmp_path / "outside.txt").write_text("mine")
    with (site / "SHA256SUMS").open("a") as listed:
        listed.write(f"{'0' * 64}  ../outside.txt\n")
    publish(fresh(), site)
    assert (tmp_path / "outside.txt").exists()


def test_the_list_is_one_that_sha256sum_can_check(fresh, tmp_path):
    publish(fresh(sub__page="text"), tmp_path / "site")
    lines = (tmp_path / "site" / "SHA256SUMS").read_text().splitlines()
    assert f"{hashlib.sha256(b'text').hexdigest()}  sub/page" in lines
    if shutil.which("sha256sum"):
        subprocess.run(["sha256sum", "--check", "--strict", "--quiet", "SHA256SUMS"], cwd=tmp_path / "site", check=True)


# --- the browsers


def test_a_variable_that_names_nothing_is_one_line(monkeypatch):
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    with pytest.raises(browsers.BrowserError, match="CHROMIUM is set to /nowhere/chromium, which is no program. Example: CHROMIUM="):
        browsers.find("CHROMIUM")


def test_a_variable_goes_before_the_path(monkeypatch):
    monkeypatch.setenv("FIREFOX", sys.executable)
    assert browsers.find("FIREFOX") == sys.executable


def test_missing_browsers_are_named_with_what_to_install(monkeypatch, tmp_path):
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.delenv("FIREFOX", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(browsers, "can_install", lambda: False)
    with pytest.raises(browsers.BrowserError) as caught:
        browsers.require()
    assert "apt install chromium firefox-esr poppler-utils" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_browser_that_does_not_start_is_one_line():
    with pytest.raises(browsers.BrowserError, match="does not start"):
        browsers.version(str(PROJECT / "LICENSE"))
