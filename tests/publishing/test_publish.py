"""A publication that is killed anywhere leaves the old site or the new one, after the next command at the latest."""

from __future__ import annotations

import errno
import json
import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from build_tools import commands
from build_tools.errors import FolderError
from build_tools.exchange import shop_data
from build_tools.exchange.checksums import LIST, STAGE, sha256
from build_tools.exchange.shop_data import NAME as SHOP_DATA
from build_tools.exchange.verify import verify
from build_tools.paths import PROJECT
from build_tools.publishing import publish as publishing
from build_tools.publishing.publish import JOURNAL, clear_left_over, finish_or_undo, publish

HEAD = '<html><head><meta name="handbook:build" content="{}"></head>'
OLD = {
    "index.html": HEAD.format("00000000000a"),
    "same.css": "p {}",
    "gone/page.html": "old",
    "turn": "a file that becomes a folder",
    "assets/app.js": "1",
    "large.bin": "a" * 1_000_000,
}
NEW = {
    "index.html": HEAD.format("00000000000b"),
    "same.css": "p {}",
    "turn/page.html": "new",
    "assets/app.js": "2",
    "assets/more.js": "3",
    "large.bin": "b" * 1_000_000,
}
SAVED = {"format": shop_data.FORMAT, "build": "00000000000a", "files": {}, "pages": [], "vehicles": []}
OWN = {
    SHOP_DATA: f"self.shopData = {json.dumps(SAVED | {'fingerprint': shop_data.fingerprint(SAVED)})};\n",
    "jobs/job.json": "a day's work",
    "gone/note.txt": "beside a page that goes",
}
RANDOM_KILLS = 25
# Runs a command of this module and kills itself, with no chance to put anything away, at the N-th thing it does to a
# file of the folder; -1 lets it run. At its end it prints how many there were.
VICTIM = """
import os, signal, sys
folder, stop, code = sys.argv[1], int(sys.argv[2]), sys.argv[3]
sys.path.insert(0, PROJECT)
from pathlib import Path
from build_tools.exchange import shop_data
from build_tools.publishing import publish
publish.SCRATCH = Path(folder).parent / "scratch"
done = 0
def watch(event, given):
    global done
    if event not in ("open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.truncate", "shutil.rmtree", "os.utime", "os.chmod"):
        return
    if not any(isinstance(path, (str, bytes)) and os.fsdecode(path).startswith(folder) for path in given[:2]):
        return
    if event == "open" and not given[2] & (os.O_WRONLY | os.O_RDWR):
        return
    if done == stop:
        os.kill(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))
    done += 1
sys.addaudithook(watch)
print("ready", flush=True)
exec(code)
print(done)
""".replace("PROJECT", repr(str(PROJECT)))


def make(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(text.encode())
    return folder


@pytest.fixture
def before(tmp_path, monkeypatch) -> Path:
    """A published site with the shop's own files in it; the newer build lies beside it as `fresh`."""
    monkeypatch.setattr(publishing, "SCRATCH", tmp_path / "scratch")
    publish(make(tmp_path / "older", OLD), tmp_path / "before")
    make(tmp_path / "fresh", NEW)
    return make(tmp_path / "before", OWN)


def victim(site: Path, stop: int, code: str) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-S", "-c", VICTIM, str(site), str(stop), code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def ended(process: subprocess.Popen) -> int | None:
    """How many things it did, or None where it was killed."""
    out, err = process.communicate(timeout=60)
    assert process.returncode in (0, -9, 15), err
    return int(out.split()[-1]) if process.returncode == 0 else None


def publishing_into(site: Path) -> str:
    return f"publish.publish(Path({str(site.parent / 'fresh')!r}), Path({str(site)!r}))"


def state(site: Path) -> str:
    """`old` or `new`; anything else fails, and so does a change to what is the shop's."""
    assert not (site / STAGE).exists()
    report = verify(site)
    assert report.whole, report.problems()
    assert report.own == sorted(set(OWN) - {SHOP_DATA})
    assert {name: (site / name).read_text() for name in OWN} == OWN
    files = {"00000000000a": OLD, "00000000000b": NEW}[report.build]
    assert set(report.listed) == set(files)
    assert {name: (site / name).read_bytes() for name in files} == {name: text.encode() for name, text in files.items()}
    return "old" if files is OLD else "new"


def untouched(site: Path) -> tuple:
    about = (site / SHOP_DATA).stat()
    return about.st_ino, about.st_mtime_ns, about.st_ctime_ns, about.st_size


def a_copy(before: Path, name: str = "site") -> Path:
    shutil.rmtree(before.parent / name, ignore_errors=True)
    return shutil.copytree(before, before.parent / name)


def run(command: str, site: Path) -> int:
    """The next command; its start for those that take long."""
    if command == "build":
        publish(site.parent / "fresh", site)
        return 0
    (site.parent / "out.zip").unlink(missing_ok=True)
    return commands.run(commands.parse([command, str(site), *(["--out", str(site.parent / "out.zip")] if command == "pack" else [])]))


def test_killed_at_every_file_the_site_is_old_or_new_after_the_next_command(before):
    site = a_copy(before)
    steps = ended(victim(site, -1, publishing_into(site)))
    assert steps > 20 and state(site) == "new"
    found = []
    for stop in range(steps):
        site = a_copy(before)
        is_shops = untouched(site)
        assert ended(victim(site, stop, publishing_into(site))) is None
        command = ("verify", "pack", "finish_or_undo")[stop % 3]
        if command == "finish_or_undo":
            finish_or_undo(site)
        else:
            assert run(command, site) == 0
        found.append(state(site))
        assert untouched(site) == is_shops
    turn = found.index("new")
    assert found == ["old"] * turn + ["new"] * (steps - turn) and 5 < turn < steps - 5


def test_killed_at_every_other_file_the_next_build_makes_it_new(before):
    site = a_copy(before)
    steps = ended(victim(site, -1, publishing_into(site)))
    for stop in range(0, steps, 2):
        site = a_copy(before)
        assert ended(victim(site, stop, publishing_into(site))) is None
        is_shops = untouched(site)
        run("build", site)
        assert state(site) == "new" and untouched(site) == is_shops


def test_killed_again_while_it_is_finished(before):
    half = a_copy(before, "half")
    steps = ended(victim(a_copy(before), -1, publishing_into(before.parent / "site")))
    assert ended(victim(half, steps - 10, publishing_into(half))) is None
    assert (half / STAGE / JOURNAL).exists()
    site = shutil.copytree(half, before.parent / "again")
    code = f"print(publish.finish_or_undo(Path({str(site)!r})), file=sys.stderr)"
    more = ended(victim(site, -1, code))
    assert more > 5 and state(site) == "new"
    for stop in range(more):
        shutil.rmtree(site)
        shutil.copytree(half, site)
        assert ended(victim(site, stop, code)) is None
        finish_or_undo(site)
        assert state(site) == "new"


def test_killed_at_any_moment(before):
    """In the middle of a file too, which no event marks."""
    draw = random.Random(20261130)
    whole, killed = 0.0, 0
    for _ in range(3):
        process = victim(site := a_copy(before), -1, publishing_into(site))
        process.stdout.readline()
        start = time.monotonic()
        ended(process)
        whole = max(whole, time.monotonic() - start)
    for _ in range(RANDOM_KILLS):
        site = a_copy(before)
        process = victim(site, -1, publishing_into(site))
        process.stdout.readline()
        time.sleep(draw.uniform(0, whole))
        process.kill()
        killed += ended(process) is None
        assert run("verify", site) == 0
        state(site)
    assert killed > RANDOM_KILLS / 3


def test_the_first_publication_cut_off_leaves_an_empty_folder_or_the_whole(before):
    site = before.parent / "first"
    steps = ended(victim(site, -1, publishing_into(site)))
    seen = set()
    for stop in range(0, steps, 2):
        shutil.rmtree(site, ignore_errors=True)
        assert ended(victim(site, stop, publishing_into(site))) is None
        finish_or_undo(site)
        if not site.exists() or not any(site.iterdir()):
            seen.add("empty")
            continue
        assert verify(site).whole and verify(site).build == "00000000000b" and verify(site).own == []
        seen.add("whole")
    assert seen == {"empty", "whole"}


# ---------------------------------------------------------------- what is said


def cut_off(before: Path, from_end: int) -> Path:
    steps = ended(victim(a_copy(before), -1, publishing_into(before.parent / "site")))
    site = a_copy(before)
    assert ended(victim(site, steps - from_end if from_end else 4, publishing_into(site))) is None
    return site


@pytest.mark.parametrize(("from_end", "said"), [(10, "It is finished now: this is the new build."), (0, "What was left of it is removed")])
def test_the_next_command_says_what_it_did(before, capsys, from_end, said):
    site = cut_off(before, from_end)
    assert run("verify", site) == 0
    out = capsys.readouterr().out
    assert f"{site}: publishing was cut off here. {said}" in out
    run("verify", site)
    assert "cut off" not in capsys.readouterr().out


@pytest.mark.parametrize("command", ["verify", "pack", "changes"])
def test_where_it_cannot_act_it_says_so_and_passes_nothing(before, capsys, monkeypatch, command):
    site = cut_off(before, 10)

    def read_only(*_):
        raise OSError(errno.EROFS, "Read-only file system", str(site))

    monkeypatch.setattr(publishing, "_patiently", read_only)
    assert run(command, site) == 2
    said = capsys.readouterr()
    assert "Read-only file system" in said.err and "run the same command again" in said.err and "Whole" not in said.out


def test_the_library_alone_never_calls_it_whole(before):
    site = cut_off(before, 0)
    with pytest.raises(ValueError, match="publishing was cut off"):
        verify(site)


def test_files_damaged_after_the_cut_are_said_and_built_over(before):
    site = cut_off(before, 10)
    for path in (site / STAGE).iterdir():
        if path.name != JOURNAL:
            path.write_text("zeros")
    with pytest.raises(FolderError, match="Build into this folder again"):
        finish_or_undo(site)
    with pytest.raises(FolderError, match="Build into this folder again"):
        finish_or_undo(site)
    run("build", site)
    assert state(site) == "new"


@pytest.mark.parametrize(
    "change",
    [
        lambda journal: "{",
        lambda journal: "[]",
        lambda journal: json.dumps(journal | {"format": "other"}),
        lambda journal: json.dumps(journal | {"gone": ["../outside.txt"]}),
        lambda journal: json.dumps(journal | {"gone": ["link/outside.txt"]}),
        lambda journal: json.dumps(journal | {"gone": [SHOP_DATA]}),
        lambda journal: json.dumps(journal | {"gone": [SHOP_DATA.upper()]}),
        lambda journal: json.dumps(journal | {"new": {**journal["new"], "../x": "0" * 64}}),
        lambda journal: json.dumps(journal | {"more": 1}),
        lambda journal: json.dumps(journal | {"ready": [7]}),
    ],
)
def test_a_journal_from_elsewhere_reaches_nothing_outside(before, change):
    site = cut_off(before, 10)
    outside = make(before.parent / "elsewhere", {"outside.txt": "mine"})
    make(before.parent, {"outside.txt": "mine"})
    if hasattr(os, "symlink"):
        (site / "link").symlink_to(outside)
    path = site / STAGE / JOURNAL
    path.write_text(change(json.loads(path.read_text())))
    with pytest.raises(FolderError, match="is damaged"):
        finish_or_undo(site)
    assert (outside / "outside.txt").exists() and (before.parent / "outside.txt").exists() and (site / SHOP_DATA).exists()


def test_a_folder_that_is_a_link_to_elsewhere_is_said_before_anything_moves(before):
    site = a_copy(before)
    shutil.move(site / "assets", before.parent / "assets")
    (site / "assets").symlink_to(before.parent / "assets")
    with pytest.raises(FolderError, match="leads out of the site"):
        publish(before.parent / "fresh", site)
    assert (before.parent / "assets/app.js").read_text() == "1" and not (site / STAGE).exists()


def test_an_empty_folder_of_the_shop_stays(before):
    site = a_copy(before)
    (site / "photos").mkdir()
    publish(before.parent / "fresh", site)
    assert (site / "photos").is_dir()


def test_files_that_did_not_change_are_not_written_again(before):
    site = a_copy(before)
    was = (site / "same.css").stat().st_mtime_ns
    publish(before.parent / "fresh", site)
    assert (site / "same.css").stat().st_mtime_ns == was


# ---------------------------------------------------------------- a full disk


def test_a_full_disk_is_said_with_the_folder_that_is_full(before, monkeypatch):
    site = a_copy(before)
    filled = publishing._copy

    def full(content, target):
        if target.name == "2":
            raise OSError(errno.ENOSPC, "No space left on device")
        filled(content, target)

    monkeypatch.setattr(publishing, "_copy", full)
    with pytest.raises(FolderError) as said:
        publish(before.parent / "fresh", site)
    assert str(said.value).startswith(f"{site}: the disk is full. Free ") and "\n" not in str(said.value)
    assert state(site) == "old"


def test_of_two_files_the_one_that_is_written_is_named(tmp_path, capsys):
    """The system names the file that is read first; what is full is where it goes."""
    problem = OSError(errno.ENOSPC, "No space left on device", str(tmp_path / "source.css"), None, str(tmp_path / "target.css"))

    def command(options):
        raise problem

    with pytest.raises(FolderError, match=f"^{tmp_path / 'target.css'}: the disk is full. Free some."):
        with publishing.explaining_a_full_disk(tmp_path, "Free some."):
            command(None)
    options = commands.parse(["version"])
    options.run = command
    assert commands.run(options) == 2
    assert capsys.readouterr().err.startswith(f"{tmp_path / 'target.css'}: No space left on device")


# ---------------------------------------------------------------- what a killed build leaves


def test_what_killed_builds_left_is_cleared_and_a_running_one_is_not(tmp_path, monkeypatch):
    monkeypatch.setattr(publishing, "SCRATCH", tmp_path)
    make(tmp_path, {"site-abc12345/index.html": "left over", "packs/calculators-1.js": "kept", "walked.json": "kept"})
    code = f"publish.SCRATCH = Path({str(tmp_path)!r})\nwith publish.building_place() as place:\n    print(place.name, flush=True)\n    sys.stdin.read()"
    process = subprocess.Popen(
        [sys.executable, "-S", "-c", VICTIM, str(tmp_path), "-1", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout.readline() == "ready\n"
    running = process.stdout.readline().strip()
    assert sorted(path.name for path in tmp_path.glob("site-*")) == [running, f"{running}.lock"]
    clear_left_over()
    assert (tmp_path / running).is_dir()
    process.kill()
    process.communicate()
    with publishing.building_place() as place:
        assert sorted(path.name for path in tmp_path.glob("site-*")) == [place.name, f"{place.name}.lock"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["building.lock", "packs", "walked.json"]


def test_two_publications_do_not_meet(before, monkeypatch):
    site = a_copy(before)
    monkeypatch.setattr(publishing, "PATIENCE", 0)
    with publishing.locked(before.parent / "scratch" / "publishing.lock") as mine:
        assert mine
        with pytest.raises(FolderError, match="Another command is publishing"):
            publish(before.parent / "fresh", site)
    assert state(site) == "old"


def test_the_list_goes_in_last(before):
    """So that until then the older list tells of every file that is not its own."""
    site = cut_off(before, 4)
    assert sha256((site / LIST).read_bytes()) == sha256((before / LIST).read_bytes())


def test_mkdocs_by_itself_does_not_remove_the_shops_pages(tmp_path):
    """It empties the folder that it builds into."""
    make(tmp_path, {SHOP_DATA: OWN[SHOP_DATA]})
    done = subprocess.run([sys.executable, "-m", "mkdocs", "build", "-d", str(tmp_path)], cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode and f"{SHOP_DATA} holds this shop's own pages" in done.stderr and "Traceback" not in done.stderr
    assert (tmp_path / SHOP_DATA).read_text() == OWN[SHOP_DATA]
