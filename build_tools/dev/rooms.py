"""The rooms of the project: which folder may import from which, and how wide each is.

A room imports only from rooms above it in its list, so that there is no circle. Standard library only.
"""

from __future__ import annotations

import ast
import posixpath
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

WIDEST = 25  # hand-written modules side by side in one folder

# Lowest first. Files and folders on one line are one room.
PYTHON = (
    "calculators/__init__.py calculators/earlier_names.py",
    "calculators/contract",
    "calculators/shared",
    "calculators",
    "calculators/decision",
    "calculators/job",
    "calculators/job",
    "calculators/calls",
    "calculators/__main__.py",
    "build_tools/__init__.py build_tools/paths.py build_tools/errors.py",
    "build_tools/setup.py",
    "build_tools/exchange",
    "build_tools/content build_tools/content/model build_tools/content/shop",
    "build_tools/checks",
    "build_tools/browser",
    "build_tools/pages/post",
    "build_tools/pages",
    "build_tools/publishing",
    "build_tools/jobs",
    "build_tools/drawings",
    "build_tools/dev",
    "build_tools/commands.py",
    "build_tools/__main__.py",
)
SCRIPTS = tuple(
    f"docs/scripts/{name}".rstrip("/")
    for name in ("core", "lib", "store", "python", "layout", "calculator", "state", "job", "papers", "search", "shop", "")
)
# One file a calculator, and the compatibility names; data that only looks like modules.
UNCOUNTED = {"calculators"}
LEFT_OUT = ("build_tools/content/shop/new_shop", "build_tools/example_shop")


@dataclass(frozen=True)
class House:
    """Modules by room, and between rooms the imports: (from, to) → how many."""

    rooms: dict[str, list[str]]
    arrows: Counter[tuple[str, str]]
    faults: list[str]


def look(project: Path) -> House:
    """The rooms as the files say. `faults` names each import that goes up and each folder that is too wide."""
    homes = {module: room for module in modules(project) if (room := room_of(module))}
    rooms: dict[str, list[str]] = {room: [] for room in (*PYTHON, *SCRIPTS)}
    for module, room in homes.items():
        rooms[room].append(module)
    floor = {room: number for number, room in enumerate((*PYTHON, *SCRIPTS))}
    arrows: Counter[tuple[str, str]] = Counter()
    faults = [f"{module}: in no room" for module in modules(project) if module not in homes]
    for module, room in homes.items():
        for other in imports(project, module, homes):
            if homes[other] != room:
                arrows[room, homes[other]] += 1
                if floor[homes[other]] > floor[room]:
                    faults.append(f"{module} imports {other}, which is above it")
    for folder, count in Counter(map(posixpath.dirname, [*homes, *tests(project)])).items():
        if count > WIDEST and folder not in UNCOUNTED:
            faults.append(f"{folder}: {count} modules side by side; the most is {WIDEST}")
    return House(rooms, arrows, faults)


def modules(project: Path) -> list[str]:
    """Every hand-written module, as a path in the project."""
    found = [path for top in ("calculators", "build_tools") for path in (project / top).rglob("*.py")]
    found += (project / "docs/scripts").rglob("*.js")
    found += (project / "docs/scripts").rglob("*.mjs")
    names = (path.relative_to(project).as_posix() for path in sorted(found))
    return [name for name in names if not name.startswith(LEFT_OUT)]


def tests(project: Path) -> list[str]:
    """Every module of tests, as a path in the project; they are in no room, but no folder of theirs is too wide either."""
    return [path.relative_to(project).as_posix() for path in sorted((project / "tests").rglob("*.py"))]


def room_of(module: str) -> str | None:
    """The room that names this module, else the one of its folder."""
    for name in (module, posixpath.dirname(module)):
        for room in (*PYTHON, *SCRIPTS):
            if name in room.split():
                return room
    return None


def imports(project: Path, module: str, known: dict[str, str]) -> Iterator[str]:
    """The modules of the project that a module imports, at its top or later."""
    text = (project / module).read_text("utf-8")
    names = _python_imports(text) if module.endswith(".py") else _script_imports(text, posixpath.dirname(module))
    yield from {name for name in names if name in known and name != module}


def _python_imports(text: str) -> Iterator[str]:
    tree = ast.parse(text)
    # What only a type checker reads is no arrow.
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            node.body = []
    for node in ast.walk(tree):
        dotted: list[str] = []
        if isinstance(node, ast.Import):
            dotted = [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            dotted = [node.module, *(f"{node.module}.{name.name}" for name in node.names)]
        for name in dotted:
            yield name.replace(".", "/") + ".py"
            yield name.replace(".", "/") + "/__init__.py"


def _script_imports(text: str, folder: str) -> Iterator[str]:
    for name in re.findall(r"""^(?:import|export)\b[^;]*?["'](\.[^"']+)["']""", text, re.MULTILINE):
        yield posixpath.normpath(posixpath.join(folder, name))


def as_text(house: House) -> str:
    """The rooms with their modules counted, what each imports from, and the faults."""
    lines = []
    for room, held in house.rooms.items():
        below = sorted(other for (one, other) in house.arrows if one == room)
        shown = ", ".join(name.split()[0] for name in below) or "nothing"
        lines.append(f"{len(held):>3}  {room.split()[0]:<32} imports {shown}")
    lines.append(f"{len(house.arrows)} arrows between {sum(map(bool, house.rooms.values()))} rooms.")
    return "\n".join([*lines, *house.faults])
