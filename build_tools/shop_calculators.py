"""A shop's own calculators: Python files with the declaration that the handbook's own have.

They are known to the catalogue like the others, and travel in the page's pack as the package `shop_calculators`.
Nothing is ever written beside them.
"""
from __future__ import annotations

import ast
import sys
import traceback
from collections.abc import Iterator, Mapping
from types import ModuleType

import calculators
from build_tools.problems import ContentError, Problem, quoted
from calculators.declaration import Calculator

PACKAGE = calculators.SHOP
# What the page's Python surely has; everything else is left out of it to make it small.
ALLOWED = ("__future__", "calculators", "collections", "dataclasses", "decimal", "fractions", "math", "statistics", "typing")


def take(files: Mapping[str, tuple[str, str]]) -> list[str]:
    """Put calculators into the catalogue, in place of those taken before: module → (its name for the reader, its text).

    Returns their names. ContentError holds every mistake; then none of them is in the catalogue.
    """
    _forget()
    package = ModuleType(PACKAGE)
    package.__path__ = []
    package.MODULES = tuple(files)
    sys.modules[PACKAGE] = package
    calculators.shop_modules.cache_clear()
    problems = [problem for module, (name, text) in files.items() for problem in _taken(module, name, text)]
    if problems or not files:
        _forget()
    if problems:
        raise ContentError(problems)
    return [module.replace("_", "-") for module in files]


def packed(files: Mapping[str, tuple[str, str]]) -> dict[str, bytes]:
    """The same calculators as files of the page's pack."""
    if not files:
        return {}
    start = f"MODULES = {tuple(files)!r}\n"
    return {f"{PACKAGE}/__init__.py": start.encode(), **{f"{PACKAGE}/{module}.py": text.encode() for module, (_, text) in files.items()}}


def _forget() -> None:
    for name in [name for name in sys.modules if name == PACKAGE or name.startswith(f"{PACKAGE}.")]:
        del sys.modules[name]
    calculators.forget_shop()


def _taken(module: str, name: str, text: str) -> Iterator[Problem]:
    """Run one file, and say what is wrong with it; a sound one is left in `sys.modules`."""
    if module in calculators.MODULES or not module.isidentifier() or module != module.lower():
        yield Problem(name, 1, 1, "K101", f"{quoted(module)} cannot name a calculator of the shop.", "calculators/our_lever.py", expected="lower case words joined by _, and none of the handbook's names")
        return
    try:
        tree = ast.parse(text, name)
    except SyntaxError as error:
        yield Problem(name, error.lineno or 1, error.offset or 1, "K102", f"Python cannot read this line: {error.msg}.", written=(error.text or "").rstrip())
        return
    strange = list(_strange_imports(tree, name))
    yield from strange
    if not strange:
        yield from _run(compile(tree, name, "exec"), module, name)


def _strange_imports(tree: ast.Module, name: str) -> Iterator[Problem]:
    for node in ast.walk(tree):
        wanted = [alias.name for alias in node.names] if isinstance(node, ast.Import) else \
            [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        for top in (path.partition(".")[0] for path in wanted):
            if top not in ALLOWED:
                yield Problem(name, node.lineno, node.col_offset + 1, "K103", f"{quoted(top or '.')} is not in the page's Python.", "import math", expected=f"an import from {', '.join(ALLOWED[1:])}")


def _run(code, module: str, name: str) -> Iterator[Problem]:
    made = ModuleType(f"{PACKAGE}.{module}")
    sys.modules[made.__name__] = made
    try:
        exec(code, made.__dict__)
        found = getattr(made, module, None)
        if not isinstance(found, Calculator):
            yield Problem(name, 1, 1, "K104", "The file holds no calculator of its name; declare one with @calculator.", f"def {module}(…) -> Answer:")
        else:
            found.worked_example()
    except Exception as error:  # whatever a shop's code raises becomes one line
        line = next((frame.lineno for frame in reversed(traceback.extract_tb(error.__traceback__)) if frame.filename == name), 1)
        yield Problem(name, line or 1, 1, "K105", f"The calculator stopped here: {' '.join(str(error).split()) or 'no reason given'} ({type(error).__name__}).")
