"""Runs the tests against mutants, each in a forked process, so that nothing is started or imported twice.

The tests are collected and run once as they are, which tells what each of them executes. Then a mutant of a function's
body is put into the functions as they stand in memory, and the tests that run through its line are run until one
fails. A mutant of what is done at import (tables, declarations, defaults) is imported afresh by all tests.
A mutant that lives through the first way, in code that imports ran too, goes the second way as well.
"""

from __future__ import annotations

import ast
import gc
import importlib.machinery
import importlib.util
import json
import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:  # the tests' packages are imported where mutants are tried, once
    import coverage
    import pytest

    from build_tools.dev.mutants import Mutant

SLOW = 1.0  # seconds; longer tests are left out here
STUCK = 30  # seconds after which a test, or an import, will not end any more; usual is a few milliseconds
MEMORY = 3 << 30
KILLED, SURVIVED, TIMEOUT, SAME, NOT_REACHED, AFRESH = OUTCOMES = ("killed", "survived", "timeout", "same", "not reached", "afresh")
Place = tuple[str, str, int]  # file, name and first line of a code
PYTEST = ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:randomly", "-o", "timeout=0", "--import-mode=importlib"]


def tried(package: Path, tests: list[Path], mutants: list[Mutant]) -> Iterator[tuple[Mutant, str, float]]:
    """Each mutant with its outcome and the seconds it took. Tests that fail without any mutant are left out. Raises RuntimeError."""
    import coverage  # noqa: F401  (what every child needs, imported once)
    import hypothesis
    import pint  # noqa: F401
    import pytest  # noqa: F401

    hypothesis.settings.register_profile("mutants", max_examples=25, derandomize=True, database=None, deadline=None)
    hypothesis.settings.load_profile("mutants")
    sys.dont_write_bytecode = True
    with tempfile.TemporaryDirectory() as scratch:
        reader, writer = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reader)
            quietly(lambda: _in_memory(package, tests, mutants, os.fdopen(writer, "w", buffering=1), scratch))
        os.close(writer)
        with os.fdopen(reader) as lines:
            first = json.loads(lines.readline() or '{"failed": "the tests could not be collected"}')
            if "failed" in first:
                os.waitpid(child, 0)
                raise RuntimeError(f"the tests cannot be collected: {first['failed']}")
            left_out, whole = first["slow"] + first["failing"], first["seconds"]
            print(
                f"Tests: {whole:.0f} s. Left out: {len(first['slow'])} of more than {SLOW} s",
                *first["failing"],
                sep="; failing: ",
                flush=True,
            )
            for mutant, line in zip(mutants, lines):
                outcome, seconds = json.loads(line)
                if outcome == AFRESH:
                    started = time.monotonic()
                    outcome = _afresh(package, tests, mutant, left_out, scratch)
                    seconds += time.monotonic() - started
                yield mutant, outcome, seconds
        os.waitpid(child, 0)


def quietly(action: Callable[[], int | None]) -> None:
    """Do it with no output, and end this forked process."""
    code = 3
    try:
        empty = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            if not os.environ.get("MUTANTS_DEBUG") or stream == 0:
                os.dup2(empty, stream)
        code = action() or 0
    finally:
        os._exit(code)


class Alarm:
    """A pytest plugin: no test may last for ever. The signal ends the process, whatever it is caught in."""

    def pytest_runtest_logstart(self) -> None:
        signal.alarm(STUCK)


def limited(action: Callable[[], int | None]) -> str:
    """Do it in a child with bounded time and memory; its exit code 0 says that no test failed."""
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(STUCK)
        quietly(action)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGALRM:
        return TIMEOUT
    return SURVIVED if status == 0 else KILLED


# --- afresh


class Changed(importlib.machinery.SourceFileLoader):
    """Imports one module from a changed source under its own name and path."""

    def __init__(self, name: str, path: Path, source: str):
        super().__init__(name, str(path))
        self.changed = compile(source, str(path), "exec", dont_inherit=True)

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if name == self.name:
            package = Path(self.path).name == "__init__.py"
            return importlib.util.spec_from_file_location(
                name, self.path, loader=self, submodule_search_locations=[str(Path(self.path).parent)] if package else None
            )
        return None

    def get_code(self, name: str) -> CodeType:
        return self.changed


def _afresh(package: Path, tests: list[Path], mutant: Mutant, left_out: list[str], scratch: str) -> str:
    import pytest

    last = mutant.module.rpartition("/")[2]
    own = [path for folder in tests for name in (f"test_{last}.py", f"test_edges_{last}.py") for path in sorted(folder.rglob(name))]

    def run() -> int:
        name = f"{package.name}.{mutant.module.replace('/', '.')}".removesuffix(".__init__")
        sys.meta_path.insert(0, Changed(name, package / f"{mutant.module}.py", mutant.source))
        deselected = [option for node in left_out for option in ("--deselect", node)]
        if own and pytest.main([*PYTEST, "--basetemp", f"{scratch}/own", *deselected, *map(str, own)], plugins=[Alarm()]):
            return 1
        return int(
            pytest.main(
                [*PYTEST, "--basetemp", f"{scratch}/all", *deselected, *(f"--ignore={path}" for path in own), *map(str, tests)],
                plugins=[Alarm()],
            )
        )

    return limited(run)


# --- in memory


def _in_memory(package: Path, tests: list[Path], mutants: list[Mutant], say: TextIO, scratch: str) -> int:
    import coverage
    import pytest

    measured = coverage.Coverage(data_file=None, source=[str(package)], config_file=False, messages=False)
    measured.start()
    return int(
        pytest.main(
            [*PYTEST[:1], *PYTEST[2:], "--basetemp", f"{scratch}/first", *map(str, tests)],
            plugins=[InMemory(package, mutants, say, measured)],
        )
    )


class InMemory:
    """A pytest plugin that, in place of running the tests once, runs them once and then against every mutant."""

    def __init__(self, package: Path, mutants: list[Mutant], say: TextIO, measured: coverage.Coverage):
        self.package, self.mutants, self.say, self.measured = package, mutants, say, measured
        self.failed: list[str] = []
        self.seconds: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0) + report.duration

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.say.write(json.dumps({"failed": str(report.longrepr).strip().splitlines()[-1]}) + "\n")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.run(session.items, measure=True)
        self.measured.stop()
        data = self.measured.get_data()
        self.lines = {path: data.contexts_by_lineno(path) for path in data.measured_files()}
        slow = {node for node, seconds in self.seconds.items() if seconds > SLOW}
        failing = set(self.failed)
        self.failed.clear()
        self.say.write(
            json.dumps({"slow": sorted(slow - failing), "failing": sorted(failing), "seconds": sum(self.seconds.values())}) + "\n"
        )
        self.items = {item.nodeid: item for item in session.items if item.nodeid not in slow | failing}
        self.functions: dict[Place, list[FunctionType]] = {}
        for thing in gc.get_objects():
            if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(str(self.package)):
                self.functions.setdefault(_place(thing.__code__), []).append(thing)
        gc.freeze()
        for mutant in self.mutants:
            started = time.monotonic()
            self.say.write(json.dumps([self.outcome(mutant), time.monotonic() - started]) + "\n")
        return True

    def run(self, items: list[pytest.Item], measure: bool = False) -> bool:
        for item, following in zip(items, [*items[1:], None]):
            if measure:
                self.measured.switch_context(item.nodeid)
            else:
                signal.alarm(STUCK)
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed and not measure:
                return False
        return True

    def outcome(self, mutant: Mutant) -> str:
        path = self.package / f"{mutant.module}.py"
        source = path.read_text("utf-8")
        try:
            pairs = _pairs(
                compile(source, str(path), "exec", dont_inherit=True), compile(mutant.source, str(path), "exec", dont_inherit=True)
            )
        except SyntaxError:
            return SAME
        changed = [(old, new) for old, new in pairs if _shape(old) != _shape(new)]
        if not changed:
            return SAME
        swaps = [(function, new) for old, new in pairs for function in self.functions.get(_place(old), ())]
        in_functions = all("<locals>" in old.co_qualname or _place(old) in self.functions for old, _ in changed)
        if not in_functions or any(len(function.__code__.co_freevars) != len(new.co_freevars) for function, new in swaps):
            return AFRESH
        nodes = self.through(str(path), _lines(source, mutant.line))
        at_import = "" in nodes
        chosen = sorted(
            (node for node in nodes if node in self.items),
            key=lambda node: (mutant.module.rpartition("/")[2] not in node, self.seconds[node]),
        )
        if not chosen:
            return AFRESH if at_import else NOT_REACHED

        def run() -> int:
            for function, new in swaps:
                function.__code__ = new
            return 0 if self.run([self.items[node] for node in chosen]) else 1

        found = limited(run)
        return AFRESH if found == SURVIVED and at_import else found

    def through(self, path: str, lines: set[int]) -> set[str]:
        """The tests that run through one of these lines; an empty name stands for the imports."""
        known = self.lines.get(path, {})
        return {node for line in lines for node in known.get(line, ())}


def _lines(source: str, line: int) -> set[int]:
    """The lines of the smallest statement round a line; of a compound one only its head."""
    best: ast.stmt | None = None
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= _end(node) and (best is None or node.lineno >= best.lineno):
            best = node
    if best is None:
        return {line}
    body = getattr(best, "body", None)
    return set(range(best.lineno, body[0].lineno if body else _end(best) + 1)) or {line}


def _end(node: ast.stmt) -> int:
    return node.end_lineno or node.lineno  # whatever was parsed has an end


def _place(code: CodeType) -> Place:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def _pairs(old: CodeType, new: CodeType) -> list[tuple[CodeType, CodeType]]:
    """The code of a module and of everything in it, before and after, in step."""
    inner = [[part for part in code.co_consts if isinstance(part, CodeType)] for code in (old, new)]
    return [(old, new), *(pair for a, b in zip(*inner) for pair in _pairs(a, b))]


def _shape(code: CodeType) -> tuple[object, ...]:
    """What a code does, without what is inside it and where it stands."""
    return (
        code.co_code,
        [repr(part) for part in code.co_consts if not isinstance(part, CodeType)],
        code.co_names,
        code.co_varnames,
        code.co_exceptiontable,
    )
