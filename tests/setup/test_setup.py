"""Set-up: what is installed, when, and what is said when it fails."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import build_tools
from build_tools import setup
from build_tools.errors import SetupError
from build_tools.paths import PROJECT

REQUIREMENTS = PROJECT / "requirements"


def run(*arguments, **options) -> subprocess.CompletedProcess:
    return subprocess.run([str(part) for part in arguments], capture_output=True, text=True, cwd=PROJECT, **options)


def test_starts_with_the_standard_library_alone():
    code = (
        f"import sys; sys.path.insert(0, {str(PROJECT)!r})\n"
        "import build_tools.__main__, build_tools.setup, build_tools.dev.browsers\n"
        "from build_tools import commands; commands.parse(['build']); commands.parse(['test', '-k', 'x'])"
    )
    done = run(sys.executable, "-S", "-I", "-c", code)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("name", ["__init__", "__main__"])
def test_an_old_python_can_read_the_start(name):
    source = (PROJECT / "build_tools" / f"{name}.py").read_bytes()
    source.decode("ascii")  # Python 2 stops at any other sign
    ast.parse(source, feature_version=(3, 4))
    assert b'f"' not in source


def test_an_old_python_gets_one_line():
    code = "import sys, runpy; sys.version_info = (3, 9, 2, 'final', 0); runpy.run_module('build_tools', run_name='__main__')"
    done = run(sys.executable, "-c", code)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "needs Python 3.11 or later; this is Python 3.9" in done.stderr


def test_version_needs_no_set_up():
    done = run(sys.executable, "-S", "-m", "build_tools", "version")
    assert done.stdout == f"Wheel-end service handbook {build_tools.__version__}\n"


def test_one_version_everywhere():
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["project"]
    package = json.loads((PROJECT / "package.json").read_text("utf-8"))
    lock = json.loads((PROJECT / "package-lock.json").read_text("utf-8"))
    assert {project["version"], package["version"], lock["version"]} == {build_tools.__version__}
    assert {project["license"], package["license"]} == {"MIT"}


# --- the locks


SHARED = ("-c build.txt", "-c test.txt")


def without_comments(text: str) -> str:
    return re.sub(r"(?m)^\s*#.*$", "", text)


@pytest.mark.parametrize("name", ["build", "test", "mutants"])
def test_every_requirement_is_pinned_and_hashed(name):
    asked = without_comments((REQUIREMENTS / f"{name}.in").read_text("utf-8")).split("\n")
    assert all(re.fullmatch(r"[\w.-]+==[\w.]+", line) for line in asked if line and line not in SHARED)
    locked = without_comments((REQUIREMENTS / f"{name}.txt").read_text("utf-8"))
    entries = re.split(r"(?m)^(?=\S)", locked.replace("\\\n", ""))
    for entry in filter(str.strip, entries):
        assert re.match(r"[\w.-]+==[\w.]+( ; [^-]+)?( +--hash=sha256:[0-9a-f]{64})+\s*$", entry), entry
    for line in filter(None, asked):
        assert line in SHARED or re.search(rf"(?m)^{re.escape(line)}\s", locked)


def test_shared_pins_agree():
    def pins(name):
        return dict(re.findall(r"(?m)^([\w.-]+)==(\S+)", (REQUIREMENTS / name).read_text("utf-8")))

    build, test, mutants = pins("build.txt"), pins("test.txt"), pins("mutants.txt")
    for first, second in [(build, test), (build, mutants), (test, mutants)]:
        assert {name: second[name] for name in first.keys() & second} == {name: first[name] for name in first.keys() & second}


LOCKS = [*sorted(REQUIREMENTS.iterdir()), *setup.NPM_LOCKS, PROJECT / ".npmrc"]


@pytest.mark.parametrize("path", LOCKS, ids=lambda path: path.name)
def test_no_lock_names_a_host(path):
    text = path.read_text("utf-8")
    # Only who wrote a package and where to fund it may be an address in npm's lock.
    if path.name == "package-lock.json":
        packages = json.loads(text)["packages"]
        text = json.dumps([{key: value for key, value in entry.items() if key != "funding"} for entry in packages.values()])
    assert "://" not in text
    assert not re.search(r"index-url|find-links|registry=", text)


def test_every_browser_part_is_pinned_and_hashed():
    asked = json.loads((PROJECT / "package.json").read_text("utf-8"))
    versions = [*asked["dependencies"].values(), *asked["devDependencies"].values()]
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", version) for version in versions)
    packages = json.loads((PROJECT / "package-lock.json").read_text("utf-8"))["packages"]
    assert all(entry["integrity"].startswith("sha512-") and entry["version"] for name, entry in packages.items() if name)


# --- doing it once


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    """A project's folder in which nothing is installed, and the list of what set-up then runs."""
    (tmp_path / "build.txt").write_text("mkdocs==1.6.1\n")
    (tmp_path / "page.txt").write_text("pydantic-core==2.50.5\n")
    (tmp_path / "test.txt").write_text("pytest==9.2.0\n")
    (tmp_path / "package-lock.json").write_text("{}")
    monkeypatch.setattr(setup, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(setup, "NODE_MODULES", tmp_path / "node_modules")
    monkeypatch.setattr(setup, "BUILD_LOCK", tmp_path / "build.txt")
    monkeypatch.setattr(setup, "PAGE_LOCK", tmp_path / "page.txt")
    monkeypatch.setattr(setup, "TEST_LOCK", tmp_path / "test.txt")
    monkeypatch.setattr(setup, "NPM_LOCKS", (tmp_path / "package-lock.json",))
    ran = []

    def run_step(failed, command, progress=None):
        words = [str(word) for word in command]
        if "venv" in words:
            ran.append("venv")
            setup.python().parent.mkdir(parents=True, exist_ok=True)
            setup.python().unlink(missing_ok=True)
            setup.python().touch()
            (setup.VENV / "pyvenv.cfg").touch()
            for stamp in setup.VENV.glob("*.stamp"):
                stamp.unlink()
        elif "ci" in words:
            ran.append("npm")
            setup.NODE_MODULES.mkdir(exist_ok=True)
        else:
            ran.append(Path(words[-1]).name)

    monkeypatch.setattr(setup, "run_step", run_step)
    return tmp_path, ran


def test_the_second_run_does_nothing(fresh):
    _, ran = fresh
    assert setup.prepare() is True
    assert ran == ["venv", "build.txt", "page.txt", "npm"]
    assert setup.prepare() is False
    assert ran == ["venv", "build.txt", "page.txt", "npm"]


def test_the_tests_add_their_own_packages_once(fresh):
    _, ran = fresh
    setup.prepare()
    ran.clear()
    assert setup.prepare(tests=True) is True
    assert ran == ["test.txt"]
    assert setup.prepare(tests=True) is False


@pytest.mark.parametrize(
    ("changed", "again"),
    [
        ("build.txt", ["venv", "build.txt", "page.txt", "test.txt"]),
        ("page.txt", ["page.txt"]),
        ("test.txt", ["test.txt"]),
        ("package-lock.json", ["npm"]),
    ],
)
def test_a_changed_lock_is_installed_again(fresh, changed, again):
    folder, ran = fresh
    setup.prepare(tests=True)
    ran.clear()
    (folder / changed).write_text("something else\n")
    setup.prepare(tests=True)
    assert ran == again


def test_line_ends_are_no_change(fresh):
    folder, ran = fresh
    setup.prepare()
    ran.clear()
    (folder / "build.txt").write_bytes(b"mkdocs==1.6.1\r\n")
    assert setup.prepare() is False


def test_a_removed_folder_is_made_again(fresh):
    _, ran = fresh
    setup.prepare()
    (setup.NODE_MODULES / ".stamp").unlink()
    ran.clear()
    setup.prepare()
    assert ran == ["npm"]
    setup.python().unlink()
    ran.clear()
    setup.prepare()
    assert ran == ["venv", "build.txt", "page.txt"]


@pytest.mark.parametrize(
    ("broken", "again"),
    [
        ("package", ["venv", "build.txt", "page.txt"]),
        ("record", ["venv", "build.txt", "page.txt"]),
        ("settings", ["venv", "build.txt", "page.txt"]),
        ("page", ["page.txt"]),
        ("node", ["npm"]),
        ("link", ["venv", "build.txt", "page.txt"]),
    ],
)
def test_what_is_gone_behind_its_stamp_is_installed_again(fresh, broken, again, capsys):
    folder, ran = fresh
    (folder / "build.txt").write_text("one-thing==1.0 \\\n    --hash=sha256:0\nwindows-only==2 ; sys_platform == 'win32' \\\n")
    (folder / "page.txt").write_text("core==3 --hash=sha256:0\n")
    (folder / "package-lock.json").write_text(
        json.dumps({"packages": {"": {}, "node_modules/a": {}, "node_modules/mac": {"optional": True}}})
    )

    def installed():
        for place, name in ((setup.packages_folder(), "one_thing-1.0"), (setup.PAGE_PACKAGES, "core-3")):
            (place / f"{name}.dist-info").mkdir(parents=True, exist_ok=True)
            (place / f"{name}.dist-info" / "RECORD").write_text(f"{name[:3]}/__init__.py,,\n{name}.dist-info/RECORD,,\n")
            (place / name[:3]).mkdir(exist_ok=True)
            (place / name[:3] / "__init__.py").touch()
        (setup.NODE_MODULES / "a").mkdir(exist_ok=True)
        (setup.NODE_MODULES / "a" / "package.json").touch()

    setup.prepare()
    installed()
    ran.clear()
    assert setup.prepare() is False
    gone = {
        "package": setup.packages_folder() / "one" / "__init__.py",
        "record": setup.packages_folder() / "one_thing-1.0.dist-info" / "RECORD",
        "settings": setup.VENV / "pyvenv.cfg",
        "page": setup.PAGE_PACKAGES / "cor" / "__init__.py",
        "node": setup.NODE_MODULES / "a" / "package.json",
        "link": setup.python(),
    }[broken]
    gone.unlink()
    if broken == "link":
        gone.symlink_to(folder / "no-such-python")
    capsys.readouterr()
    assert setup.prepare() is True
    assert ran == again
    assert "is damaged" in capsys.readouterr().out.splitlines()[0]


@pytest.mark.skipif(os.name == "nt", reason="links as Unix has them")
@pytest.mark.parametrize("name", ["VENV", "NODE_MODULES"])
def test_a_folder_that_is_a_dead_link_is_one_line(fresh, name):
    getattr(setup, name).symlink_to("nowhere")
    with pytest.raises(SetupError, match="is a link that leads nowhere. Remove it and run the same command again."):
        setup.prepare()


def test_a_python_that_does_not_start_is_one_line(monkeypatch, tmp_path):
    (tmp_path / "python").write_text("no program")
    (tmp_path / "python").chmod(0o755)
    monkeypatch.setattr(setup, "python", lambda: tmp_path / "python")
    with pytest.raises(SetupError, match=r"cannot be started.*Delete the folder .*venv and run the same command again") as caught:
        setup.run_inside(["-c", "pass"])
    assert "\n" not in str(caught.value)


def test_a_failure_is_not_taken_for_done(fresh, monkeypatch):
    _, ran = fresh
    working = setup.run_step

    def failing(failed, command, progress=None):
        if "pip" in map(str, command):
            raise SetupError("no network")
        working(failed, command, progress)

    monkeypatch.setattr(setup, "run_step", failing)
    with pytest.raises(SetupError):
        setup.prepare()
    monkeypatch.setattr(setup, "run_step", working)
    ran.clear()
    setup.prepare()
    assert ran == ["venv", "build.txt", "page.txt", "npm"]


def test_the_environment_cannot_replace_itself(monkeypatch):
    monkeypatch.setattr(setup, "VENV", Path(sys.prefix))
    with pytest.raises(SetupError, match="Start once with the system's Python: python3 -m build_tools build"):
        setup.make_environment()


# --- what is said when a step fails: the left side is what pip, npm and venv print


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        (
            "WARNING: Retrying (Retry(total=1)) after connection broken by 'NewConnectionError(': Failed to establish a new "
            "connection: [Errno -3] Temporary failure in name resolution')'\nERROR: Could not find a version that satisfies the "
            "requirement click==8.5.1 (from versions: none)\nERROR: No matching distribution found for click==8.5.1",
            "needs the network once",
        ),
        ("npm error code EAI_AGAIN\nnpm error syscall getaddrinfo", "needs the network once"),
        ("npm error code ENOTFOUND", "needs the network once"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "does not match its recorded checksum"),
        ("npm error code EINTEGRITY", "does not match its recorded checksum"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "the disk is full"),
        ("npm error code ENOSPC", "the disk is full"),
        ("The virtual environment was not created successfully because ensurepip is not\navailable.", "apt install python3-venv"),
        ("ERROR: Could not find a version that satisfies the requirement playwright==1.64.1 (from versions: none)", "Linux with glibc"),
        ("ERROR: Could not install packages due to an OSError: [Errno 13] Permission denied: '/srv'", "no permission to write"),
        ("SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED] certificate verify failed'))", "PIP_CERT"),
        ("something new\n\nthe last line\n", "the last line"),
        ("", "without a message"),
    ],
)
def test_a_failure_says_what_to_do(printed, said):
    advice = setup.reason(printed)
    assert said in advice
    assert "\n" not in advice


def test_a_failing_step_is_one_line_and_leaves_its_output(tmp_path, monkeypatch):
    monkeypatch.setattr(setup, "LOG", PROJECT / ".build" / f"test-{tmp_path.name}.log")
    try:
        with pytest.raises(SetupError) as caught:
            setup.run_step("It failed", [sys.executable, "-c", "print('EINTEGRITY'); raise SystemExit(3)"])
        assert str(caught.value).count("\n") == 0
        assert str(caught.value).startswith("It failed: a download does not match")
        assert setup.LOG.read_text("utf-8") == "EINTEGRITY\n"
    finally:
        setup.LOG.unlink()


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("raise SystemExit(7)", 7),
        ("pass", 0),
        ("import sys; raise SystemExit(0 if sys.flags.utf8_mode else 1)", 0),
    ],
)
def test_the_exit_code_is_passed_on(monkeypatch, code, expected):
    monkeypatch.setattr(setup, "python", lambda: Path(sys.executable))
    assert setup.run_inside(["-c", code]) == expected


@pytest.mark.skipif(os.name == "nt", reason="Windows has no signals")
def test_a_killed_command_gives_the_shell_s_code(monkeypatch):
    monkeypatch.setattr(setup, "python", lambda: Path(sys.executable))
    assert setup.run_inside(["-c", "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"]) == 128 + 9
