"""The page of licenses, made from the parts list (parts.py) and from what the tools of a build say of themselves."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata

from build_tools.browser import parts
from build_tools.browser.parts import Part, normal, python_license
from build_tools.setup import BUILD_LOCK, NODE_MODULES


@dataclass(frozen=True)
class Tool:
    """Something that makes the pages and stays behind."""

    name: str
    version: str
    license: str


def page() -> str:
    """The page as Markdown. Raises PackageNotFoundError or FileNotFoundError where set-up is not complete."""
    shipped = parts.shipped()
    crates = [part for part in shipped if part.purl.startswith("pkg:cargo/")]
    inside = [part for part in shipped if part.inside and part not in crates]
    direct = [part for part in shipped if not part.inside]
    return "\n".join(
        [
            # Kept out of the search, where these names would answer questions that nobody asks.
            "---",
            "search: false",
            "---",
            "",
            "# Licenses",
            "",
            f"The handbook itself is under the [MIT license](../{parts.TEXTS}/handbook.txt). {len(shipped)} parts of others travel in its pages. "
            "Each license below opens its text, which is in this copy too.",
            "",
            f"For programs, the same list is in [`{parts.PLACE}`](../{parts.PLACE}) at the top of this copy, in the form of CycloneDX 1.6.",
            "",
            "## In the pages",
            "",
            *table(direct),
            "",
            "## Inside Pyodide",
            "",
            "The compiled program and its loader hold these:",
            "",
            *table(inside),
            "",
            "## Inside the compiled packages",
            "",
            f"These {len(crates)} Rust crates are named by the list that the package itself carries. Their licenses and authors: "
            f"[all texts](../{parts.crates_place()}).",
            "",
            "| Crate | Version | License |",
            "|---|---|---|",
            *(f"| {part.name} | {part.version} | {part.license} |" for part in crates),
            "",
            "## Tools that stay behind",
            "",
            "These make the pages and are not in this copy:",
            "",
            "| Tool | Version | License |",
            "|---|---|---|",
            *(f"| {tool.name} | {tool.version} | {tool.license} |" for tool in tools()),
            "",
        ]
    )


def table(listed: list[Part]) -> list[str]:
    """A row for each part, its license a link to the text."""
    rows = (
        f"| {part.name.replace('*', '&#42;')} | {part.version} | [{shown(part.license)}](../{part.text_place}) | {part.use} |"
        for part in listed
    )
    return ["| Part | Version | License | What it does here |", "|---|---|---|---|", *rows]


def shown(license: str) -> str:
    return {"LicenseRef-public-domain": "public domain", "blessing": "public domain (blessing)"}.get(license, license)


def tools() -> Iterator[Tool]:
    """What a build runs and leaves behind: the rest of the build lock (what every system installs), and the bundler."""
    travelling = {normal(part.name) for part in parts.shipped()}
    for name in re.findall(r"^([\w.-]+)==\S+ \\$", BUILD_LOCK.read_text("utf-8"), re.MULTILINE):
        if normal(name) not in travelling:
            found = metadata.distribution(name)
            yield Tool(name, found.version, python_license(found.metadata))
    about = json.loads((NODE_MODULES / "esbuild" / "package.json").read_text("utf-8"))
    yield Tool("esbuild", about["version"], about["license"])
