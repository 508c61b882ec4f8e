"""The page of licences, from what the installed packages say of themselves."""
from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata

from build_tools.bundle import PACKS
from build_tools.environment import BUILD_LOCK, NODE_MODULES, PROJECT

USES = {
    "pyodide": "runs Python in the page",
    "minisearch": "search",
    "@noble/hashes": "checksum of a saved job",
    "@fontsource/atkinson-hyperlegible-next": "typeface",
    "@fontsource/open-sans": "typeface, for a few signs",
}
PACKED = {"calculators": "needed by pint", "writer": "checks and shows a page that the shop writes"}


@dataclass(frozen=True)
class Part:
    """Something made by others: its version, licence, and the licence's text where the package holds one."""

    name: str
    version: str
    licence: str
    use: str = ""
    text: str = ""


def page() -> str:
    """The page as Markdown. Raises PackageNotFoundError or FileNotFoundError where set-up is not complete."""
    lines = [
        # Kept out of the search, where these texts would answer questions that nobody asks.
        "---", "search: false", "---", "",
        "# Licences", "",
        "The handbook itself is under the MIT licence. These parts of others travel in its pages:", "",
        "| Part | Version | Licence | What it does here |", "|---|---|---|---|",
        *(f"| {part.name} | {part.version} | {part.licence} | {part.use} |" for part in shipped()), "",
        "Pyodide's compiled program also holds zlib, bzip2, SQLite and Emscripten's C library, each under its own free terms.", "",
        "These make the pages and stay behind:", "",
        "| Tool | Version | Licence |", "|---|---|---|",
        *(f"| {part.name} | {part.version} | {part.licence} |" for part in tools()), "",
        "## The texts", "",
    ]
    own = Part("The handbook", "", "MIT", text=(PROJECT / "LICENSE").read_text("utf-8"))
    for part in (own, *shipped()):
        if part.text:
            # Indented, it stays as written whatever signs it holds.
            lines += [f"### {part.name}", "", *(f"    {line}".rstrip() for line in part.text.strip().splitlines()), ""]
    return "\n".join(lines)


def shipped() -> list[Part]:
    """Every part that travels in a page."""
    own = ("calculators", "build_tools")
    named = metadata.packages_distributions()
    packed = [(named[package.name][0], pack.name) for pack in PACKS for package in pack.packages if package.name not in own]
    dependencies = json.loads((PROJECT / "package.json").read_text("utf-8"))["dependencies"]
    return [
        *(in_node(name, USES.get(name, "part of the page's script")) for name in dependencies),
        Part("Python", "3.14, inside Pyodide", "PSF-2.0", "the language the calculators are written in", python_licence_text()),
        *(in_python(name, "units of measure" if name == "pint" else PACKED[pack]) for name, pack in packed),
        in_python("mkdocs-material", "the frame of a page"),
    ]


def tools() -> Iterator[Part]:
    """What a build runs and leaves behind: the rest of the build lock (what every system installs), and the bundler."""
    travelling = {normal(part.name) for part in shipped()}
    for name in re.findall(r"^([\w.-]+)==\S+ \\$", BUILD_LOCK.read_text("utf-8"), re.MULTILINE):
        if normal(name) not in travelling:
            yield in_python(name)
    yield in_node("esbuild")


def in_python(name: str, use: str = "") -> Part:
    """A Python package, from its installed metadata."""
    return Part(name, metadata.version(name), python_licence(name), use, licence_text(name))


def python_licence(name: str) -> str:
    """The licence's short name: the expression, else the older field, else the last word of the classifier."""
    about = metadata.metadata(name)
    classifiers = [line.rpartition(" :: ")[2] for line in about.get_all("Classifier", ()) if line.startswith("License ::")]
    older = about.get("License", "")
    # Some put the whole text into the older field, or UNKNOWN.
    usable = older if older != "UNKNOWN" and len(older) < 40 else ""
    return about.get("License-Expression") or usable or " ".join(classifiers) or "not stated"


def licence_text(name: str) -> str:
    """The licence files a Python package was installed with, one after the other."""
    files = metadata.files(name) or ()
    texts = [path for path in files if ".dist-info/" in path.as_posix() and re.match(r"LICEN[CS]E|COPYING", path.name.upper())]
    return "\n\n".join(path.locate().read_text("utf-8") for path in texts)


def in_node(name: str, use: str = "") -> Part:
    """A package of `node_modules`, from its package.json."""
    folder = NODE_MODULES / name
    about = json.loads((folder / "package.json").read_text("utf-8"))
    text = "\n\n".join(path.read_text("utf-8") for path in sorted(folder.glob("LICENSE*")))
    if about["license"] == "MPL-2.0":
        # This licence asks to say where the source is. Pyodide's package lacks the text, which pathspec has.
        source = about["repository"]["url"].removeprefix("git+").removesuffix(".git")
        text = f"{text or licence_text('pathspec')}\n\nThe source of {name} {about['version']}: {source}"
    return Part(name, about["version"], about["license"], use, text)


def python_licence_text() -> str:
    """Python's own licence, which its companion package typing-extensions carries in full."""
    return licence_text("typing-extensions")


def normal(name: str) -> str:
    """A package's name as PyPI compares it."""
    return re.sub(r"[-_.]+", "-", name).lower()
