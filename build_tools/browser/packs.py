"""What goes into the packs of the page, as data. bundle.py makes them.

To give the page another Python package, name it in the pack `calculators`. A pack with `start=False` is made and
listed, but not loaded for a calculation.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Package:
    """A Python package of the page, taken from the running interpreter (or the project folder).

    `optimize` is Python's: 2 drops docstrings, 1 keeps them. `leave_out` are paths inside the package. One that is
    `compiled` is not the running interpreter's, but the one built for the page's own Python.
    """

    name: str
    optimize: int = 2
    leave_out: tuple[str, ...] = ()
    compiled: bool = False


@dataclass(frozen=True)
class Pack:
    """One pack. Those with `start` are loaded for the first calculation.

    `kind`: `worker` (scripts of the worker), `wasm`, `stdlib` or `packages` (those named in `packages`, with modules of
    the standard library that the pack `stdlib` leaves out, and for `writer` the stock content and the names of drawings).
    """

    name: str
    kind: str
    start: bool = True
    packages: tuple[Package, ...] = ()
    stdlib: tuple[str, ...] = ()


PACKS: tuple[Pack, ...] = (
    Pack("worker", "worker"),
    Pack("wasm", "wasm"),
    Pack("stdlib", "stdlib"),
    Pack(
        "calculators",
        "packages",
        packages=(
            Package(
                "pint",
                leave_out=(
                    "testsuite",
                    "default_en.txt",
                    "constants_en.txt",
                    "matplotlib.py",
                    "pint_convert.py",
                    "testing.py",
                    "xtranslated.txt",
                ),
            ),
            Package("flexparser", leave_out=("testsuite",)),
            Package("flexcache", leave_out=("testsuite",)),
            Package(
                "platformdirs",
                leave_out=(
                    "__main__.py",
                    "_android.py",
                    "android.py",
                    "ios.py",
                    "macos.py",
                    "pytest_plugin.py",
                    "testing.py",
                    "windows.py",
                ),
            ),
            Package("calculators", leave_out=("__main__.py", "calls/command_line.py", "job")),
        ),
    ),
    # The build's own checks and templates, for the page in which a shop writes its pages.
    Pack(
        "writer",
        "packages",
        start=False,
        packages=(
            Package("pydantic", leave_out=("v1", "deprecated", "mypy.py", "_hypothesis_plugin.py")),
            Package("pydantic_core", compiled=True),
            Package("typing_extensions"),
            Package("annotated_types"),
            Package("typing_inspection"),
            Package("yaml"),
            Package("markdown"),
            Package("jinja2"),
            Package("markupsafe"),
            Package(
                "build_tools",
                optimize=1,
                # What the page writer does not import (tests/packs/test_bundle.py holds the two together).
                leave_out=(
                    "__main__.py",
                    "browser",
                    "commands.py",
                    "content/json_schema.py",
                    "content/report.py",
                    "content/shop/import_pages.py",
                    "content/shop/new_shop",
                    "content/shop/scaffold.py",
                    "content/shop/shop_calculator_host.py",
                    "content/shop/shop_calculator_watch.py",
                    "content/source_list.py",
                    "dev",
                    "drawings",
                    "errors.py",
                    "example_shop",
                    "exchange",
                    "jobs",
                    "pages/page_contract.yml",
                    "pages/post",
                    "pages/safety_messages.py",
                    "pages/search_index.mjs",
                    "publishing",
                    "setup.py",
                    "checks/page_links.py",
                ),
            ),
        ),
        stdlib=(
            "xml",
            "argparse",
            "gettext",
            "html",
            "_markupbase",
            "uuid",
            "zoneinfo",
            "sysconfig",
            "_sysconfigdata__emscripten_wasm32-emscripten",
        ),
    ),
)

# Parts of the standard library the page never imports. A name covers the module and everything below it.
# ssl, bz2, lzma and compression are tried at start by asyncio and shutil, which do without; importlib's own
# modules and zipimport are frozen into the runtime.
STDLIB_LEFT_OUT = frozenset(
    """
    __hello__ __phello__ _markupbase _pydatetime _pyio _pyrepl _sysconfigdata__emscripten_wasm32-emscripten
    antigravity argparse asyncio/__main__ asyncio/proactor_events asyncio/tools asyncio/windows_events
    asyncio/windows_utils bdb bz2 cProfile cmd code colorsys compileall compression concurrent/futures/process
    concurrent/interpreters configparser ctypes doctest email filecmp fileinput ftplib getopt getpass gettext graphlib
    gzip html http imaplib importlib/_bootstrap importlib/_bootstrap_external importlib/metadata json/__main__ json/tool
    logging/config logging/handlers lzma mailbox mimetypes modulefinder multiprocessing netrc nturl2path optparse
    pdb pickletools plistlib poplib pprint profile pstats pty py_compile pyclbr pydoc pyodide/_nodesock_transport
    pyodide/console pyodide/http rlcompleter runpy sched shelve shlex smtplib socketserver sqlite3 sre_compile
    sre_constants sre_parse ssl stringprep symtable sysconfig tabnanny tarfile this timeit tomllib trace tracemalloc
    tty unittest urllib/error urllib/request urllib/response urllib/robotparser uuid wave webbrowser wsgiref xml
    xmlrpc zipapp zipfile/__main__ zipimport zoneinfo
    """.split()
)
# Modules that the page asks one small thing of, in short. pint and its two companions ask importlib.metadata for their
# version at start and do without an answer, as the page has no package records; the whole module takes a tenth of the start.
STDLIB_IN_SHORT = {
    "importlib/metadata/__init__.py": """
class PackageNotFoundError(ModuleNotFoundError):
    pass


def version(name):
    raise PackageNotFoundError(name)


def entry_points(**_):
    return ()


def distributions():
    return ()
""",
}
# Of the text encodings only these: Python itself starts with utf-8, zip names and e-mail headers need the others.
ENCODINGS_KEPT = frozenset(
    """
    __init__ aliases ascii cp437 latin_1 raw_unicode_escape unicode_escape utf_8 utf_8_sig utf_16 utf_16_le utf_16_be
    """.split()
)
