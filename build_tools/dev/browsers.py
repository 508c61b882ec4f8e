"""Find the browsers that the tests drive, and install them where that can be done without asking.

`CHROMIUM` and `FIREFOX` name them; else they are looked for on the PATH. Standard library only.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

NAMES = {"CHROMIUM": ("chromium", "chromium-browser"), "FIREFOX": ("firefox-esr", "firefox")}
# poppler-utils reads the printed sheets: pdftotext and pdftoppm. nginx-light serves the site as docs/passing-on.md says;
# where it is not here and cannot be installed, that one test is skipped.
PACKAGES = ("chromium", "firefox-esr", "poppler-utils", "nginx-light")
TOOLS = ("pdftotext", "pdftoppm")


class BrowserError(RuntimeError):
    """A browser is missing. The message is one line that says what to install."""


def find(variable: str) -> str | None:
    """The path of the browser that CHROMIUM or FIREFOX names, else of the first on the PATH, else None.

    Raises BrowserError if the variable is set and names no program.
    """
    named = os.environ.get(variable)
    if not named:
        return next(filter(None, map(shutil.which, NAMES[variable])), None)
    if found := shutil.which(named):
        return found
    raise BrowserError(f"{variable} is set to {named}, which is no program. Example: {variable}=/usr/bin/{NAMES[variable][0]}")


def require() -> dict[str, str]:
    """The path of each browser by its variable; installs what is missing as root on Debian. Raises BrowserError."""
    if (missing() or not nginx()) and can_install():
        install()
    if lacking := missing():
        raise BrowserError(
            f"The tests need {' and '.join(lacking)}. On Debian: apt install {' '.join(PACKAGES)}. "
            "Elsewhere install Chromium, Firefox and poppler, and set CHROMIUM and FIREFOX to the browsers' paths."
        )
    return {variable: path for variable in NAMES if (path := find(variable))}


def missing() -> list[str]:
    """The names of the programs that the tests need and that are not here."""
    return [NAMES[variable][0] for variable in NAMES if not find(variable)] + [tool for tool in TOOLS if not shutil.which(tool)]


def nginx() -> str | None:
    """The path of nginx; Debian keeps it where only root looks."""
    return shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin:/usr/local/sbin")


def can_install() -> bool:
    """Whether this is root on a Debian system."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return root and Path("/etc/debian_version").exists() and shutil.which("apt-get") is not None


def install() -> None:
    """Install the browsers with apt-get, announced. Raises BrowserError."""
    print(f"Installing for the tests with apt-get: {' '.join(PACKAGES)}", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", "--yes", "--no-install-recommends", *PACKAGES]):
        if subprocess.run(["apt-get", "-q", *command], env=environment, stdin=subprocess.DEVNULL).returncode:
            raise BrowserError(f"apt-get {command[0]} failed (see above). Install by hand: apt install {' '.join(PACKAGES)}")


def version(path: str) -> str:
    """What a browser says its version is, in one line."""
    try:
        answer = subprocess.run([path, "--version"], capture_output=True, text=True, timeout=60, stdin=subprocess.DEVNULL)
    except (OSError, subprocess.TimeoutExpired) as problem:
        raise BrowserError(f"{path} does not start: {problem}") from None
    lines = [line.strip() for line in answer.stdout.splitlines() if line.strip()]
    if answer.returncode or not lines:
        raise BrowserError(f"{path} does not start (exit code {answer.returncode}). Install it again, or name another in the variable.")
    return lines[-1]
