"""The parts list holds against the packs, the scripts and the runtime; it is sound CycloneDX; every license text is there."""

from __future__ import annotations

import base64
import gzip
import json
import re
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import pytest

from build_tools.browser import licenses, parts
from build_tools.browser.bundle import ESBUILD_FLAGS, PACKS, bundle
from build_tools.browser.node import node
from build_tools.browser.runtime_parts import RUNTIME_PARTS
from build_tools.paths import PROJECT
from build_tools.setup import BUILD_LOCK, NODE_MODULES, PAGE_LOCK, PAGE_PACKAGES

# SPDX identifiers that may stand in `license.id` (SPDX License List 3.x); another one is looked up there first.
SPDX_IDS = {
    "MIT",
    "Apache-2.0",
    "MPL-2.0",
    "PSF-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "OFL-1.1",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "blessing",
    "bzip2-1.0.6",
    "Unlicense",
    "LLVM-exception",
}
# Wheels carry the metadata of what they bundle: pkg:type/namespace/name@version, as the purl specification has it.
PURL = re.compile(r"pkg:(pypi|npm|cargo|github|generic)/(?:[\w.%-]+/)?[\w.%*-]+@[\w.+-]+")


@pytest.fixture(scope="module")
def listed() -> dict:
    return json.loads(parts.files()[parts.PLACE])


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> dict[str, bytes]:
    files = bundle(PROJECT, PROJECT / ".build", lambda line: None)
    return {name: content if isinstance(content, bytes) else content.read_bytes() for name, content in files.items()}


def packed(made: dict[str, bytes], pack: str) -> bytes:
    text = re.fullmatch(rb'pack\("[a-z]+","([^"]+)"\);\n', made[f"assets/packs/{pack}.js"])[1]
    return gzip.decompress(base64.b64decode(text))


def names_in(made: dict[str, bytes], pack: str) -> list[str]:
    return [name for name, _ in json.loads(packed(made, pack).split(b"\n", 1)[0])]


def values(component: dict, name: str) -> list[str]:
    return [entry["value"] for entry in component["properties"] if entry["name"] == name]


# ---------------------------------------------------------------- the form


def test_it_is_cyclonedx_1_6(listed):
    assert list(listed)[:5] == ["$schema", "bomFormat", "specVersion", "serialNumber", "version"]
    assert (listed["bomFormat"], listed["specVersion"], listed["version"]) == ("CycloneDX", "1.6", 1)
    assert re.fullmatch(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", listed["serialNumber"])
    assert set(listed) <= {"$schema", "bomFormat", "specVersion", "serialNumber", "version", "metadata", "components", "dependencies"}
    allowed = {"type", "bom-ref", "name", "version", "licenses", "purl", "authors", "hashes", "externalReferences", "properties"}
    for component in [listed["metadata"]["component"], *listed["components"]]:
        assert set(component) <= allowed and component["type"] in {"application", "library", "data"}
        assert all(isinstance(component[key], str) and component[key] for key in ("bom-ref", "name", "version", "purl"))
        assert PURL.fullmatch(component["purl"]), component["purl"]
        (license,) = component["licenses"]
        if "expression" in license:
            assert {word for word in re.split(r"[ ()]+", license["expression"]) if word} <= SPDX_IDS | {"AND", "OR", "WITH"}, license
        else:
            assert list(license) == ["license"] and (
                license["license"].get("id") in SPDX_IDS or license["license"] == {"name": "public domain"}
            ), license
        for digest in component.get("hashes", ()):
            assert len(digest["content"]) == {"SHA-256": 64, "SHA-512": 128}[digest["alg"]] and re.fullmatch("[0-9a-f]+", digest["content"])


def test_references_are_unique_and_lead_somewhere(listed):
    refs = [component["bom-ref"] for component in [listed["metadata"]["component"], *listed["components"]]]
    assert len(refs) == len(set(refs))
    owners = [entry["ref"] for entry in listed["dependencies"]]
    below = [ref for entry in listed["dependencies"] for ref in entry["dependsOn"]]
    assert len(owners) == len(set(owners)) and set(owners) <= set(refs)
    assert sorted(below) == sorted(refs[1:])  # each part came with one other, or with the handbook


def test_it_is_the_same_bytes_in_another_process(listed):
    code = "import sys, hashlib; from build_tools.browser import parts; print(hashlib.sha256(repr(sorted(parts.files().items())).encode()).hexdigest())"
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=PROJECT,
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "TZ": zone, "PATH": ""},
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }
    assert len(digests) == 1


# ---------------------------------------------------------------- everything that travels is listed


def test_every_distribution_in_a_pack_is_listed(listed, made):
    """Looked up from what lies in the packs, not from what they were told to hold."""
    names = {component["purl"].rpartition("@")[0] for component in listed["components"]}
    owners = metadata.packages_distributions()
    seen = set()
    for pack in (pack.name for pack in PACKS if pack.kind == "packages"):
        for name in names_in(made, pack):
            top = name.split("/")[0].removesuffix(".pyc")
            if top in {*parts.OWN, *sys.stdlib_module_names, "docs", "stock.json"} or top.startswith("_sysconfigdata"):
                continue
            assert top in owners, f"{name} in {pack} is of no distribution"
            seen.add(f"pkg:pypi/{parts.normal(owners[top][0])}")
    assert len(seen) >= 12 and seen <= names
    stdlib = {name.split("/")[0].removesuffix(".pyc") for name in names_in(made, "stdlib")}
    assert stdlib - sys.stdlib_module_names - {"annotationlib", "pyodide", "_pyodide", "compression", "string"} <= {
        name for name in stdlib if name.startswith("_") or name == "site-packages"
    }


@pytest.mark.parametrize("entry", ["main.js", "shop/shop-tools.js", "shop/own-page.js", "python/worker.js"])
def test_every_package_in_a_script_is_listed(listed, tmp_path, entry):
    binary = next((NODE_MODULES / "@esbuild").glob("*/bin/esbuild"))
    subprocess.run(
        [binary, entry, *ESBUILD_FLAGS, f"--metafile={tmp_path / 'meta.json'}", f"--outfile={tmp_path / 'out.js'}"],
        cwd=PROJECT / "docs/scripts",
        check=True,
        capture_output=True,
    )
    inputs = json.loads((tmp_path / "meta.json").read_text())["inputs"]
    bundled = {re.search(r"node_modules/((?:@[^/]+/)?[^/]+)/", name)[1] for name in inputs if "node_modules/" in name}
    place = {"main.js": "assets/handbook.js", "python/worker.js": "assets/packs/worker.js"}.get(entry, f"assets/{Path(entry).name}")
    claimed = {
        component["name"]
        for component in listed["components"]
        if component["purl"].startswith("pkg:npm/") and place in values(component, "handbook:file")
    }
    assert claimed - {"pyodide"} == bundled


def test_every_crate_of_the_wheels_own_list_is_there(listed):
    (wheel,) = PAGE_PACKAGES.glob("pydantic_core-*.dist-info/sboms/*.json")
    theirs = json.loads(wheel.read_text("utf-8"))["components"]
    ours = {component["purl"] for component in listed["components"] if component["purl"].startswith("pkg:cargo/")}
    assert ours == {component["purl"] for component in theirs if component["scope"] == "required"} and len(ours) > 80


def test_what_the_runtime_says_of_itself_is_what_is_listed(made):
    script = """
    import { loadPyodide } from "PYODIDE";
    const pyodide = await loadPyodide();
    console.log(JSON.stringify([pyodide.version, pyodide.runPython(`
import sys, json, platform, zlib, sqlite3, pyexpat, decimal
from compression import zstd
json.dumps({"Python": platform.python_version(), "zlib": zlib.ZLIB_RUNTIME_VERSION, "SQLite": sqlite3.sqlite_version,
 "Expat": pyexpat.EXPAT_VERSION.removeprefix("expat_"), "libmpdec": decimal.__libmpdec_version__, "Zstandard": zstd.zstd_version})`)]));
    """.replace("PYODIDE", (NODE_MODULES.resolve() / "pyodide/pyodide.mjs").as_uri())
    done = subprocess.run([node(), "--input-type=module", "-e", script], capture_output=True, text=True, check=True)
    version, said = json.loads(done.stdout)
    listed = {part.name: part.version for part in parts.shipped()}
    assert {name: listed[name] for name in json.loads(said)} == json.loads(said) and listed["pyodide"] == version
    info = json.loads((NODE_MODULES / "pyodide/pyodide-lock.json").read_text())["info"]
    assert info["platform"] == "emscripten_" + listed["Emscripten"].replace(".", "_")
    program, loader = packed(made, "wasm"), packed(made, "worker")
    for part in RUNTIME_PARTS:
        assert part.sign in (loader if "loader" in part.use else program), part.name


def test_versions_are_those_of_the_locks():
    lock = {
        parts.normal(name): version
        for path in (BUILD_LOCK, PAGE_LOCK)
        for name, version in re.findall(r"^([\w.-]+)==([^\s;]+)", path.read_text("utf-8"), re.MULTILINE)
    }
    locked = json.loads((PROJECT / "package-lock.json").read_text("utf-8"))["packages"]
    counted = 0
    for part in parts.shipped():
        if part.purl.startswith("pkg:pypi/"):
            assert part.version == lock[parts.normal(part.name)], part
            counted += 1
        if part.purl.startswith("pkg:npm/"):
            assert part.version == locked[f"node_modules/{part.name}"]["version"], part
            counted += 1
    assert counted >= 18


# ---------------------------------------------------------------- nothing listed is missing


def test_nothing_in_the_list_is_missing_from_the_site(listed, made):
    inside = {pack.name: names_in(made, pack.name) for pack in PACKS if pack.kind == "packages"}
    owners = metadata.packages_distributions()
    for component in listed["components"]:
        files = values(component, "handbook:file")
        assert files and set(files) <= {*made, "index.html"}, component["name"]
        packs = [Path(name).stem for name in files if name.startswith("assets/packs/") and Path(name).stem in inside]
        if component["purl"].startswith("pkg:pypi/") and packs:
            own = [top for top, names in owners.items() if component["name"] in names]
            assert any(name.split("/")[0].removesuffix(".pyc") in own for pack in packs for name in inside[pack]), component["name"]


def test_every_license_has_its_text_in_the_site(listed):
    files = parts.files()
    for component in listed["components"]:
        (place,) = values(component, "handbook:licence-text")
        assert len(files[place]) > 70, component["name"]
    texts = {name: content.decode() for name, content in files.items() if name.startswith(parts.TEXTS)}
    # The texts that these licenses ask to be passed on.
    assert (
        "Mozilla Public License Version 2.0" in texts["assets/licences/pyodide.txt"]
        and "The source of pyodide" in texts["assets/licences/pyodide.txt"]
    )
    assert "SIL OPEN FONT LICENSE Version 1.1" in texts["assets/licences/fontsource-open-sans.txt"]
    assert "PYTHON SOFTWARE FOUNDATION LICENSE VERSION 2" in texts["assets/licences/python.txt"]
    crates = texts[parts.crates_place()]
    for part in parts.shipped():
        if part.purl.startswith("pkg:cargo/"):
            assert f"\n{part.name} {part.version}: " in crates
            assert all(f"\n=== {name} ===\n" in crates for name in parts.chosen(part.license)), part.name
    assert len({part.text_place for part in parts.shipped() if part.text}) == sum(bool(part.text) for part in parts.shipped())


def test_a_license_whose_text_is_not_held_is_refused():
    assert parts.chosen("(MIT OR Apache-2.0) AND Unicode-DFS-2016") == ["MIT", "Unicode-DFS-2016"]
    with pytest.raises(ValueError, match="GPL-3.0-only"):
        parts.chosen("MIT AND GPL-3.0-only")


def test_bsd_is_the_one_that_its_text_is():
    for part in parts.shipped():
        if part.purl.startswith("pkg:pypi/") and part.license.startswith("BSD"):
            assert bool(re.search(r"\bnames? of\s", part.text)) == (part.license == "BSD-3-Clause"), part.name


# ---------------------------------------------------------------- the page


def test_the_page_shows_every_part_and_leads_to_every_text(listed):
    page = licenses.page()
    for component in listed["components"]:
        assert f"| {component['name'].replace('*', '&#42;')} | {component['version']} |" in page
    for place in parts.files():
        assert f"](../{place})" in page, place


def test_no_license_is_unknown():
    unknown = [part.name for part in (*parts.shipped(), *licenses.tools()) if part.license in ("not stated", "UNKNOWN", "")]
    assert unknown == []
