"""The packs and scripts of the page: the same bytes every time, whole, and with all that the page imports."""

from __future__ import annotations

import ast
import base64
import gzip
import hashlib
import json
import re
import shutil
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from build_tools.browser import bundle as bundling
from build_tools.browser.bundle import PACKS, STDLIB_LEFT_OUT, bundle, bundled_script, listing, package_files, tree
from build_tools.errors import BundleError
from build_tools.paths import PROJECT

PACK = re.compile(rb'pack\("([a-z-]+)","([A-Za-z0-9+/=]+)"\);\n')


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict, Path, list[str]]:
    """(files, cache, what was reported) of a build into an empty cache."""
    cache, said = tmp_path_factory.mktemp("cache"), []
    return bundle(PROJECT, cache, said.append), cache, said


def content(files: dict, name: str) -> bytes:
    data = files[f"assets/packs/{name}.js"].read_bytes()
    match = PACK.fullmatch(data)
    assert match and match[1].decode() == name, "a pack is one call with its name and base64 text"
    return gzip.decompress(base64.b64decode(match[2], validate=True))


def contents(files: dict, name: str) -> dict[str, bytes]:
    """The files in a pack that holds a tree, read as the worker reads it."""
    data = content(files, name)
    offset = data.index(b"\n") + 1
    found = {}
    for path, size in json.loads(data[:offset]):
        found[path] = data[offset : offset + size]
        offset += size
    assert offset == len(data)
    return found


def test_first_build_makes_every_pack_and_a_second_one_only_looks(built):
    files, cache, said = built
    assert len(said) == len(PACKS)
    again = []
    assert bundle(PROJECT, cache, again.append) == files
    assert again == []


@pytest.mark.timeout(180)
def test_two_builds_from_nothing_give_the_same_bytes(built, tmp_path):
    files, _, _ = built
    other = bundle(PROJECT, tmp_path, lambda line: None)
    for uri, made in files.items():
        bytes_of = [c if isinstance(c, bytes) else c.read_bytes() for c in (made, other[uri])]
        assert bytes_of[0] == bytes_of[1], uri


def test_packs_stay_within_their_size(built):
    entries = listing(built[0])
    assert sum(entry["bytes"] for entry in entries if entry["start"]) <= 8_000_000


def test_listing_tells_size_and_hash_of_each_pack(built):
    files = built[0]
    for entry in listing(files):
        data = files[f"assets/packs/{entry['name']}.js"].read_bytes()
        assert entry["bytes"] == len(data)
        assert entry["sha256"] == hashlib.sha256(data).hexdigest()


def test_gzip_carries_no_time_and_no_name(built):
    # RFC 1952, 2.3: ID1 ID2 CM FLG MTIME XFL OS
    for pack in PACKS:
        match = PACK.fullmatch(built[0][f"assets/packs/{pack.name}.js"].read_bytes())
        magic, method, flags, time, _, _ = struct.unpack("<HBBIBB", base64.b64decode(match[2])[:10])
        assert (magic, method, flags, time) == (0x8B1F, 8, 0, 0), pack.name


@pytest.mark.parametrize("pack", ["stdlib", "calculators"])
def test_python_travels_compiled_by_python_3_14_with_no_time_stamp(built, pack):
    files = contents(built[0], pack)
    assert not [name for name in files if name.endswith(".py")]
    for name, data in files.items():
        if name.endswith(".pyc"):
            # CPython 3.14, Include/internal/pycore_magic_number.h: 3627. PEP 552: flags 1, unchecked hash.
            assert struct.unpack("<H2sI8s", data[:16]) == (3627, b"\r\n", 1, bytes(8)), name


def test_page_gets_its_calculators_and_the_units(built):
    files = contents(built[0], "calculators")
    assert {"calculators/calls/browser.pyc", "calculators/rotor_thickness.pyc", "pint/registry.pyc"} <= set(files)
    assert not [name for name in files if "/testsuite/" in name]


def test_the_page_writer_gets_of_the_build_what_it_imports_and_no_more():
    (package,) = (package for pack in PACKS for package in pack.packages if package.name == "build_tools")
    sent = {name.removesuffix(".py").removesuffix("/__init__") for name in package_files(PROJECT, package) if name.endswith(".py")}
    code = "import sys, build_tools.pages.page_writer; print(*(name for name in sys.modules if name.partition('.')[0] == 'build_tools'))"
    done = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    assert sent == {name.replace(".", "/") for name in done.stdout.split()}


def test_what_is_left_out_exists_and_is_never_imported_by_the_page():
    with zipfile.ZipFile(PROJECT / "node_modules/pyodide/python_stdlib.zip") as archive:
        names = {name.removesuffix(".py") for name in archive.namelist() if name.endswith(".py")}
    assert not [out for out in STDLIB_LEFT_OUT if out not in names and not any(n.startswith(f"{out}/") for n in names)]
    calculators = next(package for pack in PACKS for package in pack.packages if package.name == "calculators")
    for name, source in package_files(PROJECT, calculators).items():
        for module in imported(source) if name.endswith(".py") else ():
            assert module.split(".")[0] not in STDLIB_LEFT_OUT, f"{name} imports {module}, which the page does not have"


def imported(source: bytes) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.append(node.module)
    return found


def test_tree_is_an_index_line_and_the_contents():
    assert tree({"a.pyc": b"12", "b/c.pyc": b"", "d": b"\n3"}) == b'[["a.pyc",2],["b/c.pyc",0],["d",2]]\n12\n3'


def test_page_script_is_one_classic_script(built):
    script = built[0]["assets/handbook.js"].decode()
    assert not re.search(r"^\s*(import|export)\b", script, re.MULTILINE)
    assert "import(" not in script and "eval(" not in script.replace("wasm-unsafe-eval", "")


def test_typefaces_come_with_their_licenses(built):
    names = [uri for uri in built[0] if uri.startswith("assets/typefaces/")]
    assert [name for name in names if name.endswith(".woff2")]
    assert [name for name in names if name.endswith("-licence.txt")]


def test_mistake_in_a_script_is_one_line_with_its_place(tmp_path):
    entry = tmp_path / "main.js"
    entry.write_text("const = 1;\n", encoding="utf-8")
    with pytest.raises(BundleError) as error:
        bundled_script(PROJECT, entry)
    assert "\n" not in str(error.value)
    assert "main.js:1:6" in str(error.value)


def test_missing_runtime_says_what_to_run(tmp_path):
    with pytest.raises(BundleError, match=r"node_modules/pyodide.*python3 -m build_tools build"):
        bundle(tmp_path, tmp_path / "cache")


def test_mistake_in_python_is_one_line_with_its_file():
    with pytest.raises(BundleError) as error:
        bundling._compiled(PROJECT, {"broken.py": b"def (:\n"}, {"broken.py": 2})
    assert "\n" not in str(error.value)
    assert "broken.py" in str(error.value)
    assert "SyntaxError" in str(error.value)


def test_build_that_was_cut_off_leaves_no_half_pack(built, tmp_path):
    files, cache, _ = built
    shutil.copytree(cache, tmp_path / "cache")
    worker = next((tmp_path / "cache/packs").glob("worker-*.js"))
    worker.rename(worker.with_suffix(".half"))
    worker.with_suffix(".half").write_bytes(b'pack("worker","AAA')
    again = bundle(PROJECT, tmp_path / "cache", lambda line: None)
    assert again["assets/packs/worker.js"].read_bytes() == files["assets/packs/worker.js"].read_bytes()


def test_scripts_have_a_map_only_while_the_handbook_is_written():
    entry = PROJECT / "docs/scripts/main.js"
    assert "sourceMappingURL=data:" in bundled_script(PROJECT, entry, maps=True)
    assert "sourceMappingURL" not in bundled_script(PROJECT, entry)
