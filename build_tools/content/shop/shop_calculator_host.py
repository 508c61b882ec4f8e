"""Runs one calculator of a shop, in a process of its own: `shop_calculator_watch` starts it, watches it and reads its answer.

In: {"module", "name", "text"} as JSON. Out: a line `ready` once everything of the handbook's own is loaded, then one line of JSON,
{"problems": [[line, column, code, message, example, expected, written], …]} or the declaration and the worked example as data.

The calculator runs with the rights of whoever builds: what is kept here is that it cannot end, hang or fill the build.
"""

from __future__ import annotations

import ast
import json
import os
import sys
import traceback
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from types import ModuleType
from typing import Any

Row = list[str | int]  # line, column, code, message, example, what belongs there, the line as it was written
PACKAGE = "shop_calculators"
READY = "ready"
# What the page's Python surely has; everything else is left out of it to make it small.
ALLOWED = ("__future__", "calculators", "collections", "dataclasses", "decimal", "fractions", "math", "statistics", "typing")
LONGEST = 300  # characters of what an error says
CPU_SECONDS = 60  # in case nobody watches any more


def main(memory: int) -> None:
    """Answer the one request; `memory` is the most bytes that the calculator may take."""
    request = json.loads(sys.stdin.buffer.read())
    answer = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_RDWR)  # what the calculator prints stands in nobody's way
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    sys.path.insert(0, str(Path(__file__).resolve().parents[3]))
    import calculators.calls.browser  # noqa: F401  # before the clock starts

    limit(memory)
    print(READY, file=answer, flush=True)
    try:
        said = json.dumps(_made(**request), allow_nan=False)
    except MemoryError:
        said = json.dumps({"problems": [_too_much()]})
    except (TypeError, ValueError, RecursionError):
        said = json.dumps({"problems": [[1, 1, "K109", "What the calculator declares is not plain text and numbers.", "", "", ""]]})
    print(said, file=answer, flush=True)
    os._exit(0)  # past whatever the calculator left to be done at the end


def limit(memory: int) -> None:
    """What the system itself can hold the process to; where it cannot, the one that watches does."""
    if sys.platform == "win32":
        _limit_on_windows(memory)
        return
    import resource

    held = Path("/proc/self/statm")
    if held.exists():
        most = int(held.read_text().split()[0]) * resource.getpagesize() + memory
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
    for which, most in (
        (resource.RLIMIT_CPU, CPU_SECONDS),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_NPROC, 0),
    ):
        resource.setrlimit(which, (most, most))


def _limit_on_windows(memory: int) -> None:  # written from the system's documents, and tried on no Windows
    if sys.platform != "win32":  # so that the types are looked for on no other system
        raise NotImplementedError
    import ctypes
    from ctypes import wintypes

    class Limits(ctypes.Structure):  # JOBOBJECT_EXTENDED_LIMIT_INFORMATION
        _fields_ = [
            ("process_time", ctypes.c_int64),
            ("job_time", ctypes.c_int64),
            ("flags", wintypes.DWORD),
            ("least_set", ctypes.c_size_t),
            ("most_set", ctypes.c_size_t),
            ("processes", wintypes.DWORD),
            ("affinity", ctypes.c_size_t),
            ("priority", wintypes.DWORD),
            ("scheduling", wintypes.DWORD),
            ("io", ctypes.c_uint64 * 6),
            ("process_memory", ctypes.c_size_t),
            ("job_memory", ctypes.c_size_t),
            ("peak_process", ctypes.c_size_t),
            ("peak_job", ctypes.c_size_t),
        ]

    kernel = ctypes.WinDLL("kernel32", use_last_error=True)
    kernel.CreateJobObjectW.restype = kernel.GetCurrentProcess.restype = wintypes.HANDLE
    kernel.CreateJobObjectW.argtypes = (ctypes.c_void_p, wintypes.LPCWSTR)
    kernel.SetInformationJobObject.argtypes = (wintypes.HANDLE, ctypes.c_int, ctypes.c_void_p, wintypes.DWORD)
    kernel.AssignProcessToJobObject.argtypes = (wintypes.HANDLE, wintypes.HANDLE)
    limits = Limits(flags=0x0100 | 0x2000, process_memory=memory)  # PROCESS_MEMORY, KILL_ON_JOB_CLOSE
    job = kernel.CreateJobObjectW(None, None)
    extended = 9  # JobObjectExtendedLimitInformation
    if not kernel.SetInformationJobObject(
        job, extended, ctypes.byref(limits), ctypes.sizeof(limits)
    ) or not kernel.AssignProcessToJobObject(job, kernel.GetCurrentProcess()):
        raise ctypes.WinError(ctypes.get_last_error())


# ---- the calculator ------------------------------------------------------------------------------------------------


def _made(module: str, name: str, text: str) -> dict[str, Any]:
    try:
        tree = ast.parse(text, name)
    except SyntaxError as error:
        return {"problems": [_unreadable(error.lineno, error.offset, error.msg, error.text)]}
    except (ValueError, RecursionError) as error:
        return {"problems": [_unreadable(1, 1, _one_line(error), "")]}
    problems = list(_strange_imports(tree))
    return {"problems": problems} if problems else _run(compile(tree, name, "exec"), module, name)


def _unreadable(line: int | None, column: int | None, says: str, written: str | None) -> Row:
    return [line or 1, column or 1, "K102", f"Python cannot read this line: {says}.", "", "", (written or "").rstrip()[:LONGEST]]


def _strange_imports(tree: ast.Module) -> Iterator[Row]:
    for node in ast.walk(tree):
        if not isinstance(node, ast.Import | ast.ImportFrom):
            continue
        wanted = [alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""]
        for top in (path.partition(".")[0] for path in wanted):
            if top not in ALLOWED:
                shown = top[:40] or "."
                yield [
                    node.lineno,
                    node.col_offset + 1,
                    "K103",
                    f"'{shown}' is not in the page's Python.",
                    "import math",
                    f"an import from {', '.join(ALLOWED[1:])}",
                    "",
                ]


def _run(code: Any, module: str, name: str) -> dict[str, Any]:
    from calculators.contract.declaration import Calculator

    package = sys.modules[PACKAGE] = ModuleType(PACKAGE)
    package.__path__ = []
    made = sys.modules[f"{PACKAGE}.{module}"] = ModuleType(f"{PACKAGE}.{module}")
    try:
        exec(code, made.__dict__)
        found = getattr(made, module, None)
        if not isinstance(found, Calculator):
            return {
                "problems": [
                    [
                        1,
                        1,
                        "K104",
                        "The file holds no calculator of its name; declare one with @calculator.",
                        f"def {module}(…) -> Answer:",
                        "",
                        "",
                    ]
                ]
            }
        return _as_data(found)
    except MemoryError as error:
        return {"problems": [_too_much(_line(error, name))]}
    except SystemExit as error:
        return {
            "problems": [
                [_line(error, name), 1, "K108", "The calculator ends the program here; it can only answer or raise an error.", "", "", ""]
            ]
        }
    except BaseException as error:  # whatever a shop's code raises becomes one line
        return {
            "problems": [
                [
                    _line(error, name),
                    1,
                    "K105",
                    f"The calculator stopped here: {_one_line(error)} ({type(error).__name__[:60]}).",
                    "",
                    "",
                    "",
                ]
            ]
        }


def _line(error: BaseException, name: str) -> int:
    return next((frame.lineno for frame in reversed(traceback.extract_tb(error.__traceback__)) if frame.filename == name), 1) or 1


def _one_line(error: BaseException) -> str:
    try:
        says = " ".join(str(error)[:LONGEST].split())
    except Exception:
        says = ""
    return says or "no reason given"


def _too_much(line: int = 1) -> Row:
    return [line, 1, "K107", "The calculator takes too much memory.", "", "", ""]


def _as_data(found: Any) -> dict[str, Any]:
    """The declaration and the worked example, recomputed, as plain data."""
    example = found.worked_example().as_json() | {"figure": None}
    return {
        "name": found.name,
        "title": found.title,
        "purpose": found.purpose,
        "formula": list(found.formula),
        "limits_of_model": list(found.limits_of_model),
        "cautions": list(found.cautions),
        "sources": [asdict(source) for source in found.sources],
        "values": [asdict(value) for value in found.values.values()],
        "example": asdict(found.example),
        "inputs": [_input(spec) for spec in found.inputs.values()],
        "quantities": {kind: [_input(spec) for spec in found.inputs_given({"quantity": kind}).values()] for kind in found.quantities},
        "worked": example,
        "described": found.describe(),
    }


def _input(spec: Any) -> dict[str, Any]:
    return asdict(spec) | {"reader": spec.reader is not None}


if __name__ == "__main__":
    main(int(sys.argv[1]))
