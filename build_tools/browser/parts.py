"""Everything made by others that travels in the site: as a parts list by CycloneDX 1.6, and the texts of its licenses.

Taken from the locks, from what the installed packages say of themselves, and from the lists inside the wheels. The JSON is
written by hand: it is small, and the same bytes every time, without a day or a random number.
Source: CycloneDX 1.6 (ECMA-424), package URLs as its `purl` wants them.
"""

from __future__ import annotations

import base64
import json
import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any
from urllib.parse import quote

from build_tools import __version__
from build_tools.browser.packs import PACKS
from build_tools.browser.runtime_parts import PYTHON, RUNTIME_PARTS
from build_tools.paths import PROJECT
from build_tools.setup import NODE_MODULES, PAGE_PACKAGES

PLACE = "parts-list.cdx.json"
TEXTS = "assets/licences"
HELD = Path(__file__).with_name("license_texts")
OWN = ("calculators", "build_tools")
SCRIPTS = ("assets/handbook.js", "assets/shop-tools.js", "assets/own-page.js")
RUNTIME = tuple(f"assets/packs/{name}.js" for name in ("worker", "wasm", "stdlib"))
LOADER, PROGRAM, LIBRARY = RUNTIME
NODE_USES = {
    "pyodide": ("runs Python in the page", RUNTIME),
    "minisearch": ("search", SCRIPTS[:1]),
    "@noble/hashes": ("checksum of a saved job", SCRIPTS),
    "@fontsource/atkinson-hyperlegible-next": ("typeface", ()),
    "@fontsource/open-sans": ("typeface, for a few signs", ()),
}
PACKED = {"calculators": "needed by pint", "writer": "checks and shows a page that the shop writes"}
# Names that packages give their license instead of the short one of SPDX; which BSD it is, its text says.
SPDX = {"MIT License": "MIT", "BSD": "BSD-3-Clause", "BSD License": "BSD-3-Clause"}
# What a part that may be had under several licenses is passed on under: the first of these that it offers.
CHOSEN = ("MIT", "Apache-2.0", "Zlib", "Unicode-3.0", "Unicode-DFS-2016")


@dataclass(frozen=True)
class Part:
    """Something made by others: where it lies in the site, and under which license."""

    name: str
    version: str
    license: str  # SPDX expression
    purl: str
    use: str = ""
    files: tuple[str, ...] = ()  # of the site, in which it travels
    text: str = ""  # the texts of its license; empty: in that of the part it is `inside`
    inside: str = ""  # purl of the part it came with
    authors: str = ""
    source: str = ""
    hashes: tuple[tuple[str, str], ...] = field(default=())  # as the lock or the list of the wheel has them

    @property
    def text_place(self) -> str:
        return f"{TEXTS}/{re.sub(r'[^a-z0-9.]+', '-', self.name.lower()).strip('-')}.txt"


@cache
def shipped() -> tuple[Part, ...]:
    """Every part that travels, in the order of the page. Raises PackageNotFoundError or FileNotFoundError where set-up is not complete."""
    return (*node_parts(), *runtime_parts(), *python_parts(), *rust_parts(), frame())


def crates_place() -> str:
    """The file of all licenses of the Rust crates: most share a few texts."""
    return f"{TEXTS}/rust-crates.txt"


def files() -> dict[str, bytes]:
    """The list and the texts of the licenses, by their places in the site."""
    own = (PROJECT / "LICENSE").read_bytes()
    texts = {part.text_place: part.text.rstrip().encode() + b"\n" for part in shipped() if part.text}
    return {PLACE: as_cyclonedx(shipped()).encode(), f"{TEXTS}/handbook.txt": own, crates_place(): crate_texts().encode(), **texts}


# ---------------------------------------------------------------- what travels


def node_parts() -> Iterable[Part]:
    """The packages of `dependencies` in package.json: bundled into scripts, packed, or copied."""
    locked = json.loads((PROJECT / "package-lock.json").read_text("utf-8"))["packages"]
    for name in json.loads((PROJECT / "package.json").read_text("utf-8"))["dependencies"]:
        use, places = NODE_USES.get(name, ("part of the page's script", SCRIPTS))
        about = json.loads((NODE_MODULES / name / "package.json").read_text("utf-8"))
        text = "\n\n".join(path.read_text("utf-8") for path in sorted((NODE_MODULES / name).glob("LICENSE*")))
        if about["license"] == "MPL-2.0":
            # This license asks to say where the source is. Pyodide's package lacks the text.
            source = about["repository"]["url"].removeprefix("git+").removesuffix(".git")
            text = f"{text or held('MPL-2.0')}\n\nThe source of {name} {about['version']}: {source}"
        kind, _, digest = locked[f"node_modules/{name}"]["integrity"].partition("-")
        yield Part(
            name,
            about["version"],
            about["license"],
            node_purl(name, about["version"]),
            use,
            places or typeface_files(name),
            text,
            hashes=((kind.upper().replace("SHA", "SHA-"), base64.b64decode(digest).hex()),),
        )


def typeface_files(package: str) -> tuple[str, ...]:
    from build_tools.browser.typefaces import typefaces

    folder = NODE_MODULES / package
    return tuple(place for place, path in typefaces(NODE_MODULES).items() if path.is_relative_to(folder) and path.suffix == ".woff2")


def runtime_parts() -> Iterable[Part]:
    """Python itself, and what Pyodide's compiled program holds beside it."""
    pyodide = json.loads((NODE_MODULES / "pyodide" / "package.json").read_text("utf-8"))["version"]
    inside = node_purl("pyodide", pyodide)
    # Python's license in full stands in its companion package typing-extensions.
    yield Part(
        "Python",
        PYTHON,
        "PSF-2.0",
        f"pkg:generic/python@{PYTHON}",
        "the language the calculators are written in",
        (PROGRAM, LIBRARY),
        distribution_text(metadata.distribution("typing-extensions")),
        inside,
    )
    for part in RUNTIME_PARTS:
        version = part.version or f"pyodide-{pyodide}"
        text = "\n\n".join(["\n".join(part.copyright), *map(held, part.texts)]).strip()
        if part.license == "MPL-2.0":
            text += f"\n\nThe source of {part.name}: https://github.com/{part.purl.removeprefix('pkg:github/')}"
        yield Part(
            part.name,
            version,
            part.license,
            f"{part.purl}@{version}",
            part.use,
            (LOADER,) if "loader" in part.use else (PROGRAM,),
            text,
            inside,
        )


def python_parts() -> Iterable[Part]:
    """The Python packages in the packs."""
    named = metadata.packages_distributions()
    for pack in PACKS:
        for package in pack.packages:
            if package.name in OWN:
                continue
            found = page_distribution(package.name) if package.compiled else metadata.distribution(named[package.name][0])
            name, text = found.metadata["Name"], distribution_text(found)
            use = "units of measure" if package.name == "pint" else PACKED.get(pack.name, "part of the page's Python")
            yield Part(
                name,
                found.version,
                python_license(found.metadata),
                python_purl(name, found.version),
                use,
                (f"assets/packs/{pack.name}.js",),
                text,
            )


def rust_parts() -> Iterable[Part]:
    """The Rust crates in the compiled packages, as the list inside each wheel has them, without what only builds."""
    for pack in PACKS:
        for package in pack.packages:
            if not package.compiled:
                continue
            found = page_distribution(package.name)
            for listed in wheel_lists(found):
                for crate in listed["components"]:
                    if crate.get("scope") == "excluded":
                        continue
                    license = " AND ".join(
                        one.get("expression") or one["license"].get("id") or one["license"]["name"] for one in crate["licenses"]
                    )
                    source = next((one["url"] for one in crate.get("externalReferences", ()) if one["type"] == "vcs"), "")
                    yield Part(
                        crate["name"],
                        crate["version"],
                        license,
                        crate["purl"],
                        f"part of {package.name}",
                        (f"assets/packs/{pack.name}.js",),
                        inside=python_purl(found.metadata["Name"], found.version),
                        authors=crate.get("author", ""),
                        source=source,
                        hashes=tuple((one["alg"], one["content"]) for one in crate.get("hashes", ())),
                    )


def frame() -> Part:
    """Of the theme, its templates: every page is made with them."""
    found = metadata.distribution("mkdocs-material")
    return Part(
        "mkdocs-material",
        found.version,
        python_license(found.metadata),
        python_purl("mkdocs-material", found.version),
        "the frame of a page",
        ("index.html",),
        distribution_text(found),
    )


def page_distribution(package: str) -> metadata.Distribution:
    """A compiled package of the page: not the one of the running interpreter. Raises FileNotFoundError."""
    for found in metadata.distributions(path=[str(PAGE_PACKAGES)]):
        if normal(found.metadata["Name"]) == normal(package):
            return found
    raise FileNotFoundError(f"{package} is missing from {PAGE_PACKAGES}. Run: python3 -m build_tools build")


def wheel_lists(found: metadata.Distribution) -> Iterable[dict[str, Any]]:
    """The parts lists that a wheel carries (PEP 770)."""
    for path in found.files or ():
        if ".dist-info/sboms/" in path.as_posix() and path.suffix == ".json":
            listed = json.loads(path.read_text("utf-8"))
            if listed.get("bomFormat") == "CycloneDX":
                yield listed


# ---------------------------------------------------------------- licenses


def python_license(about: metadata.PackageMetadata) -> str:
    """The license's short name: the expression, else the older field, else the last word of the classifier."""
    classifiers = [line.rpartition(" :: ")[2] for line in about.get_all("Classifier", ()) if line.startswith("License ::")]
    older = _first_of(about, "License")
    # Some put the whole text into the older field, or UNKNOWN.
    usable = older if older != "UNKNOWN" and len(older) < 40 else ""
    said = _first_of(about, "License-Expression") or usable or " ".join(classifiers) or "not stated"
    return SPDX.get(said, said)


def _first_of(about: metadata.PackageMetadata, name: str) -> str:
    return next(iter(about.get_all(name, ())), "")


def distribution_text(found: metadata.Distribution) -> str:
    """The license files a Python package was installed with, one after the other, and the authors that they name by a file."""
    texts = [
        path
        for path in found.files or ()
        if ".dist-info/" in path.as_posix() and re.match(r"LICEN[CS]E|COPYING|NOTICE|AUTHORS", path.name.upper())
    ]
    return "\n\n".join(path.read_text("utf-8") for path in texts)


def held(name: str) -> str:
    """A license's text of our own store."""
    return (HELD / f"{name}.txt").read_text("utf-8").rstrip()


def chosen(expression: str) -> list[str]:
    """The licenses that a crate is passed on under: one of each choice. Raises ValueError where none of them is known."""
    taken = []
    for needed in expression.split(" AND "):
        offered = [one.strip("() ") for one in needed.split(" OR ")]
        taken.append(next((one for one in CHOSEN if one in offered), ""))
    if not all(taken):
        raise ValueError(f"no licence of {expression} is among those in {HELD.name}")
    return taken


def crate_texts() -> str:
    """All crates with who wrote them, under which license they are passed on, and its text once."""
    crates = [part for part in shipped() if part.purl.startswith("pkg:cargo/")]
    lines = [
        "The Rust crates in the compiled packages of the page, as the list inside each package names them with their authors.",
        "Where a crate offers a choice of licenses, the one used here follows the arrow.",
        "",
    ]
    for part in crates:
        lines.append(f"{part.name} {part.version}: {part.license} -> {', '.join(chosen(part.license))}")
        lines += [
            f"    Copyright (c) {part.authors}" if part.authors else "    Copyright (c) its authors",
            *([f"    {part.source}"] if part.source else []),
        ]
    for name in sorted({name for part in crates for name in chosen(part.license)}):
        lines += ["", "", f"=== {name} ===", "", held(name)]
    return "\n".join(lines) + "\n"


# ---------------------------------------------------------------- the list


def as_cyclonedx(parts: Iterable[Part]) -> str:
    """The list as text, the same for the same parts."""
    parts = sorted(parts, key=lambda part: part.purl)
    top = f"pkg:generic/wheel-end-handbook@{__version__}"
    direct = [part.purl for part in parts if not part.inside]
    below: dict[str, list[str]] = {}
    for part in parts:
        if part.inside:
            below.setdefault(part.inside, []).append(part.purl)
    content = {
        "metadata": {
            "component": {
                "type": "application",
                "bom-ref": top,
                "name": "wheel-end-handbook",
                "version": __version__,
                "licenses": [{"license": {"id": "MIT"}}],
                "purl": top,
            },
            "properties": [{"name": "handbook:licences", "value": TEXTS}],
        },
        "components": [component(part) for part in parts],
        "dependencies": [{"ref": ref, "dependsOn": sorted(on)} for ref, on in sorted({top: direct, **below}.items())],
    }
    number = uuid.uuid5(uuid.NAMESPACE_URL, json.dumps(content, sort_keys=True))
    head = {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{number}",
        "version": 1,
    }
    return json.dumps(head | content, ensure_ascii=False, indent=1) + "\n"


def component(part: Part) -> dict[str, Any]:
    kind = "data" if part.use.startswith("typeface") else "library"
    place = part.text_place if part.text else crates_place()
    entry = {
        "type": kind,
        "bom-ref": part.purl,
        "name": part.name,
        "version": part.version,
        "licenses": [license_entry(part.license)],
        "purl": part.purl,
    }
    if part.authors:
        entry["authors"] = [{"name": part.authors}]
    if part.hashes:
        entry["hashes"] = [{"alg": kind, "content": digits} for kind, digits in part.hashes]
    if part.source:
        entry["externalReferences"] = [{"type": "vcs", "url": part.source}]
    entry["properties"] = [{"name": "handbook:file", "value": name} for name in part.files] + [
        {"name": "handbook:licence-text", "value": place}
    ]
    return entry


def license_entry(license: str) -> dict[str, Any]:
    if license.startswith("LicenseRef-"):
        return {"license": {"name": license.removeprefix("LicenseRef-").replace("-", " ")}}
    return {"expression": license} if " " in license else {"license": {"id": license}}


def python_purl(name: str, version: str) -> str:
    return f"pkg:pypi/{normal(name)}@{version}"


def node_purl(name: str, version: str) -> str:
    return f"pkg:npm/{quote(name, safe='/')}@{version}"


def normal(name: str) -> str:
    """A package's name as PyPI compares it."""
    return re.sub(r"[-_.]+", "-", name).lower()
