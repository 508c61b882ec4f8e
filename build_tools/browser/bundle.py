"""Make what the page loads beside its HTML: the packs of the Python runtime, the page's script, the typefaces.

A pack is a classic script `pack("NAME", "<base64 of gzip>")`, because a page opened by double click may load
nothing else. Python travels as .pyc made by the page's own Python. Everything comes from `node_modules`, the
running interpreter's packages and the project itself: no network. Results are kept in a cache folder under a
hash of all that goes in, so that a second build only copies.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import importlib.util
import io
import json
import os
import re
import subprocess
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from build_tools.browser.node import node
from build_tools.browser.packs import ENCODINGS_KEPT, PACKS, STDLIB_IN_SHORT, STDLIB_LEFT_OUT, Pack, Package
from build_tools.browser.typefaces import typefaces
from build_tools.errors import BundleError, explaining_a_full_disk
from build_tools.setup import PAGE_PACKAGES

PYODIDE = Path("node_modules/pyodide")
SCRIPTS = Path("docs/scripts")
ESBUILD_FLAGS = ("--bundle", "--format=iife", "--minify", "--target=es2022", "--charset=utf8", "--legal-comments=none")
WEEK = 7 * 24 * 3600


# ---------------------------------------------------------------- the public part


def bundle(
    project: Path,
    cache: Path,
    report: Callable[[str], None] = print,
    more: Mapping[str, Mapping[str, bytes]] | None = None,
    maps: bool = False,
) -> dict[str, bytes | Path]:
    """Every file the page needs beside its HTML and styles, as {uri in the site: content or path of a file}.

    `more` are further files of a pack, by its name and then by their names on the search path. With `maps` a browser's
    tools show the scripts as they were written.
    `cache` is a folder that may be deleted at any time. Raises `BundleError` with one line for the reader.
    """
    files: dict[str, bytes | Path] = {f"assets/packs/{name}.js": path for name, path in _packs(project, cache, report, more or {})}
    for name, entry in (("handbook", "main.js"), ("shop-tools", "shop/shop-tools.js"), ("own-page", "shop/own-page.js")):
        files[f"assets/{name}.js"] = bundled_script(project, project / SCRIPTS / entry, maps).encode()
    files.update(fonts(project))
    return files


def listing(files: Mapping[str, bytes | Path]) -> list[dict[str, object]]:
    """What `self.handbook.packs` holds: name, size and hash of each pack among the files of `bundle`.

    `bytes` counts the file; `start` marks the packs of the first calculation.
    """
    entries: list[dict[str, object]] = []
    for pack in PACKS:
        content = files[f"assets/packs/{pack.name}.js"]
        data = content.read_bytes() if isinstance(content, Path) else content
        entries.append({"name": pack.name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest(), "start": pack.start})
    return entries


def fonts(project: Path) -> dict[str, bytes | Path]:
    """The typefaces the styles use and their licenses, as {uri: path}."""
    try:
        return dict(typefaces(project / "node_modules"))
    except FileNotFoundError as error:
        raise BundleError(str(error)) from None


# ---------------------------------------------------------------- scripts


def bundled_script(project: Path, entry: Path, maps: bool = False) -> str:
    """One classic script from ES modules. Raises `BundleError` with esbuild's first message."""
    binary = next((project / "node_modules" / "@esbuild").glob("*/bin/esbuild"), None)
    binary = binary or next((project / "node_modules" / "@esbuild").glob("*/esbuild.exe"), None)
    command = [str(binary)] if binary else [node(), str(project / "node_modules/esbuild/bin/esbuild")]
    done = subprocess.run(
        [*command, entry.name, *ESBUILD_FLAGS, *(["--sourcemap=inline"] if maps else [])],
        cwd=entry.parent,
        capture_output=True,
        encoding="utf-8",
    )
    if done.returncode:
        what = re.search(r"\[ERROR\] (.+)", done.stderr)
        place = re.search(r"^\s+(\S+:\d+:\d+):", done.stderr, re.MULTILINE)
        raise BundleError(f"{place[1] if place else entry.name}: {what[1] if what else 'could not be bundled'}")
    return done.stdout


# ---------------------------------------------------------------- packs


def _packs(
    project: Path, cache: Path, report: Callable[[str], None], more: Mapping[str, Mapping[str, bytes]]
) -> Iterable[tuple[str, Path]]:
    """(name, path in the cache) of every pack, made where the cache does not hold it yet."""
    if not (project / PYODIDE / "pyodide.asm.wasm").exists():
        raise BundleError("The browser runtime is not installed (node_modules/pyodide). Run: python3 -m build_tools build")
    folder = cache / "packs"
    folder.mkdir(parents=True, exist_ok=True)
    for pack in PACKS:
        parts = dict(sorted({**_inputs(project, pack), **more.get(pack.name, {})}.items()))
        path = folder / f"{pack.name}-{_key(pack, parts)}.js"
        if not path.exists():
            report(f"Packing {pack.name} …")
            _write(path, _script(pack.name, _content(project, pack, parts)))
        os.utime(path)
        yield pack.name, path
    for old in folder.glob("*"):  # halves of builds that were killed among them
        if time.time() - old.stat().st_mtime > WEEK:
            old.unlink(missing_ok=True)


def _inputs(project: Path, pack: Pack) -> dict[str, bytes]:
    """Everything a pack is made of: {name: content}, sorted."""
    pyodide = project / PYODIDE
    if pack.kind == "wasm":
        return {"pyodide.asm.wasm": (pyodide / "pyodide.asm.wasm").read_bytes()}
    if pack.kind == "worker":
        return {
            "pyodide.js": (pyodide / "pyodide.js").read_bytes(),
            "pyodide.asm.mjs": (pyodide / "pyodide.asm.mjs").read_bytes(),
            "info": json.dumps(json.loads((pyodide / "pyodide-lock.json").read_bytes())["info"]).encode(),
            "worker.js": bundled_script(project, project / SCRIPTS / "python" / "worker.js").encode(),
        }
    if pack.kind == "stdlib":
        wanted = _stdlib(pyodide, _wanted_in_stdlib)
        short = {name: text.encode() for name, text in STDLIB_IN_SHORT.items()}
        return dict(sorted((wanted | short).items()))
    inputs = (
        _stdlib(pyodide, lambda name: any(name == f"{module}.py" or name.startswith(f"{module}/") for module in pack.stdlib))
        if pack.stdlib
        else {}
    )
    for package in pack.packages:
        inputs.update(package_files(project, package))
    return dict(sorted(inputs.items()))


def _stdlib(pyodide: Path, wanted: Callable[[str], bool]) -> dict[str, bytes]:
    with zipfile.ZipFile(pyodide / "python_stdlib.zip") as archive:
        return {name: archive.read(name) for name in archive.namelist() if name.endswith(".py") and wanted(name)}


def _wanted_in_stdlib(name: str) -> bool:
    if name.endswith("/") or not name.endswith(".py"):
        return False
    module = name.removesuffix(".py")
    if module.startswith("encodings/"):
        return module.removeprefix("encodings/") in ENCODINGS_KEPT
    return not any(module == out or module.startswith(f"{out}/") for out in STDLIB_LEFT_OUT)


def package_files(project: Path, package: Package) -> dict[str, bytes]:
    """The files of a package by their names on the search path, without what it leaves out."""
    root = (PAGE_PACKAGES if package.compiled else project) / package.name
    if not root.is_dir():
        spec = None if package.compiled else importlib.util.find_spec(package.name)
        if spec is None or not spec.origin:
            raise BundleError(f"The Python package {package.name} is not installed. Run: python3 -m build_tools build")
        if Path(spec.origin).name != "__init__.py":
            return {f"{package.name}.py": Path(spec.origin).read_bytes()}
        root = Path(spec.origin).parent
    files: dict[str, bytes] = {}
    for path in sorted(root.rglob("*")):
        inside = path.relative_to(root).as_posix()
        if (
            path.is_dir()
            or "__pycache__" in path.parts
            or path.name == "py.typed"
            or path.suffix == ".pyi"
            or path.suffix == ".so"
            and not package.compiled
        ):
            continue
        if not any(inside == out or inside.startswith(f"{out}/") for out in package.leave_out):
            files[f"{package.name}/{inside}"] = path.read_bytes()
    return files


def _key(pack: Pack, parts: Mapping[str, bytes]) -> str:
    """A hash over all that decides a pack's bytes, this file's recipe included."""
    digest = hashlib.sha256(repr(pack).encode())
    for recipe in (Path(__file__), Path(__file__).with_name("packs.py"), Path(__file__).with_name("compile_python.mjs")):
        digest.update(recipe.read_bytes())
    for name, content in parts.items():
        digest.update(f"\0{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:16]


def _content(project: Path, pack: Pack, parts: Mapping[str, bytes]) -> bytes:
    if pack.kind == "wasm":
        return parts["pyodide.asm.wasm"]
    if pack.kind == "worker":
        return _worker(parts)
    optimize = {package.name: package.optimize for package in pack.packages}
    levels = {name: optimize.get(name.split("/")[0], 2) for name in parts}
    return tree(_compiled(project, parts, levels))


def _worker(parts: Mapping[str, bytes]) -> bytes:
    """The worker's classic script: Pyodide's loader, its module made classic, our glue."""
    loader = parts["pyodide.js"].decode().split("//# sourceMappingURL")[0]
    module = parts["pyodide.asm.mjs"].decode()
    export = "export default _createPyodideModule;"
    if export not in module:
        raise BundleError("pyodide.asm.mjs is not laid out as this build expects; use the version in package-lock.json")
    module = module.replace("import.meta.url", '"http://pyodide.invalid/pyodide.asm.mjs"')
    module = module.replace(export, "self._createPyodideModule = _createPyodideModule;")
    # Pyodide refuses a classic worker and knows it by importScripts.
    start = f"self.importScripts = undefined; self.pyodideInfo = {parts['info'].decode()};"
    return "\n".join([start, loader, module, parts["worker.js"].decode()]).encode()


def _compiled(project: Path, parts: Mapping[str, bytes], levels: Mapping[str, int]) -> dict[str, bytes]:
    """The same files with every .py replaced by its .pyc, made by the page's own Python."""
    room = Path(tempfile.gettempdir())
    with (
        explaining_a_full_disk(room, "Free about 50 MB there, and run the command again."),
        tempfile.TemporaryDirectory(dir=room) as folder,
    ):
        job, compiled = [], {}
        for number, name in enumerate(parts):
            if name.endswith(".py"):
                source = Path(folder, f"{number}.py")
                source.write_bytes(parts[name])
                compiled[name] = Path(f"{source}c")
                job.append({"source": str(source), "target": str(compiled[name]), "name": name, "optimise": levels[name]})
        job_file = Path(folder, "job.json")
        job_file.write_text(json.dumps(job), encoding="utf-8")
        script = Path(__file__).with_name("compile_python.mjs")
        done = subprocess.run(
            [node(), str(script), str((project / PYODIDE).resolve()), str(job_file)],
            capture_output=True,
            encoding="utf-8",
        )
        if done.returncode:
            last = [line for line in (done.stderr or done.stdout).splitlines() if line.strip()][-1:]
            raise BundleError(f"Python for the page could not be compiled: {''.join(last) or 'no message'}")
        made = {name: path.read_bytes() for name, path in compiled.items()}
    return dict(sorted((f"{name}c", made[name]) if name in made else (name, parts[name]) for name in parts))


def tree(files: Mapping[str, bytes]) -> bytes:
    """Files as one run of bytes: a line of JSON `[[path, size], …]`, then the contents in that order.

    Written straight into the runtime's file system, which imports faster than a zip.
    """
    index = json.dumps([[name, len(content)] for name, content in files.items()], separators=(",", ":"))
    return index.encode() + b"\n" + b"".join(files.values())


def _script(name: str, content: bytes) -> bytes:
    """`pack("name","<base64 of gzip>")`, the same bytes every time."""
    packed = io.BytesIO()
    with gzip.GzipFile(filename="", mode="wb", fileobj=packed, compresslevel=9, mtime=0) as stream:
        stream.write(content)
    return f'pack("{name}","'.encode() + base64.b64encode(packed.getvalue()) + b'");\n'


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all: a build that is stopped leaves no half pack behind."""
    half = path.with_suffix(f".{os.getpid()}")  # two builds may pack at once
    half.write_bytes(content)
    half.replace(path)
