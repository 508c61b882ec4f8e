"""`mutants`: how many small mistakes, put into the calculators one at a time, the tests notice.

cosmic-ray makes the mistakes: other operators and comparisons, numbers one off, conditions turned round, loops that do
not run, exceptions not caught. It changes no text, so captions, help, sources and cautions are left out by it; the
functions that draw are left out here, since a line two pixels off is nobody's mistake.
`mutant_tests` runs the tests; both need a system that can fork.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import re
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import NormalDist
from typing import Protocol

from build_tools.paths import PROJECT

LAST = PROJECT / ".build" / "mutants.jsonl"
# Of what an operator can turn into: the one that is nearest, and for a comparison its edge and its opposite.
TURNS = {
    "Add": ["Sub"],
    "Sub": ["Add"],
    "Mul": ["Div"],
    "Div": ["Mul"],
    "FloorDiv": ["Div"],
    "Mod": ["FloorDiv"],
    "Pow": ["Mul"],
    "BitOr": ["BitAnd"],
    "BitAnd": ["BitOr"],
    "Eq": ["NotEq"],
    "NotEq": ["Eq"],
    "Is": ["IsNot"],
    "IsNot": ["Is"],
    "Lt": ["LtE", "GtE"],
    "LtE": ["Lt", "Gt"],
    "Gt": ["GtE", "LtE"],
    "GtE": ["Gt", "Lt"],
    "USub": ["UAdd"],
    "Delete": ["Not"],
}
LIVING = ("survived", "not reached")
COUNTED = {"timeout": "killed", "not reached": "survived"}
NOT_USED = {"VariableReplacer", "VariableInserter"}  # they ask for names to put in


Place = tuple[int, int]  # line and column


class Operator(Protocol):
    """One of cosmic-ray's: where in a node of its tree it can make its mistake, from where to where."""

    def mutation_positions(self, node: object) -> Iterable[tuple[Place, Place]]: ...


@dataclass(frozen=True)
class Mutant:
    """One mistake: the module's source with it, and its place and text for the reader."""

    module: str
    line: int
    operator: str
    occurrence: int
    before: str
    after: str
    source: str

    @property
    def key(self) -> str:
        return f"{self.module} {self.operator} {self.occurrence}"

    def __str__(self) -> str:
        return f"{self.module}.py:{self.line}: {self.before} → {self.after}"


def operators() -> Iterator[tuple[str, Operator]]:
    """The kinds of mistake, by cosmic-ray's names, in a fixed order."""
    from cosmic_ray import plugins

    for name in sorted(plugins.operator_names()):
        short = name.partition("/")[2]
        turn = re.fullmatch(r"Replace(?:Binary|Comparison|Unary)Operator_(\w+)_(\w+)", short)
        if short not in NOT_USED and (turn is None or turn[2] in TURNS.get(turn[1], [])):
            yield short, plugins.get_operator(name)()


def places(source: str) -> list[tuple[str, Operator, int, int]]:
    """Every place a mistake can stand: the operator's name, the operator, which of its places, the line."""
    from cosmic_ray.ast import ast_nodes, get_ast

    nodes = list(ast_nodes(get_ast(source)))
    tree = list(ast.walk(ast.parse(source)))
    types = [
        span(part) for node in tree for part in (getattr(node, "annotation", None), getattr(node, "returns", None)) if part is not None
    ]
    drawings = [span(node) for node in tree if isinstance(node, ast.FunctionDef) and draws(node)]
    found = []
    for name, operator in operators():
        starts = [start for node in nodes for start, _ in operator.mutation_positions(node)]
        for occurrence, start in enumerate(starts):
            # `a | b` in an annotation is a type, and nothing computes with it.
            left_out = drawings + types if "BitOr" in name else drawings
            if not any(begin <= start <= end for begin, end in left_out):
                found.append((name, operator, occurrence, start[0]))
    return found


def span(node: ast.expr | ast.stmt) -> tuple[Place, Place]:
    # whatever was parsed has an end
    return (node.lineno, node.col_offset), (node.end_lineno or node.lineno, node.end_col_offset or node.col_offset)


def draws(function: ast.FunctionDef) -> bool:
    """Whether a function makes a Figure, or is handed one."""
    parts = list(ast.walk(function))
    return any(isinstance(part, ast.Call) and getattr(part.func, "id", "") == "Figure" for part in parts) or any(
        isinstance(part, ast.arg) and getattr(part.annotation, "id", "") == "Figure" for part in parts
    )


def mutants(module: str, source: str, wanted: int | None, seed: int) -> list[Mutant]:
    """Some mutants of a module, or all, in an order drawn at random: the first of them are a fair sample whenever one stops."""
    from cosmic_ray.mutating import mutate_code

    chosen = places(source)
    random.Random(f"{seed} {module}").shuffle(chosen)
    found = []
    for name, operator, occurrence, line in chosen[:wanted]:
        mutated = mutate_code(source, operator, occurrence)
        if mutated is not None and mutated != source:
            found.append(Mutant(module, line, name, occurrence, *difference(source, mutated), mutated))
    return found


def difference(before: str, after: str) -> tuple[str, str]:
    """What stands in the changed lines, cut to the words round the change."""
    old, new = before.splitlines(), after.splitlines()
    start = next(i for i, (a, b) in enumerate(zip(old, new)) if a != b)
    end = next(i for i, (a, b) in enumerate(zip(reversed(old), reversed(new))) if a != b)
    one, other = (" ".join(line.strip() for line in lines[start : len(lines) - end]) for lines in (old, new))
    head = alike(one, other)
    tail = alike(one[head:][::-1], other[head:][::-1])
    left = max(0, head - 40)
    return one[left : len(one) - max(0, tail - 40)], other[left : len(other) - max(0, tail - 40)]


def alike(one: str, other: str) -> int:
    """How many characters two texts begin with alike."""
    return next((i for i, (a, b) in enumerate(zip(one, other)) if a != b), min(len(one), len(other)))


def interval(killed: float, tried: float, whole: bool) -> tuple[float, float]:
    """Wilson's 95 % interval of a share; of a whole population the share itself.

    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927), p. 209.
    """
    share = killed / tried
    if whole:
        return share, share
    z = NormalDist().inv_cdf(0.975)
    middle = (share + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z / (1 + z * z / tried) * (share * (1 - share) / tried + z * z / (4 * tried * tried)) ** 0.5
    return middle - half, middle + half


def percent(killed: float, tried: float, whole: bool) -> str:
    low, high = interval(killed, tried, whole)
    return f"{100 * killed / tried:5.1f} %" + ("" if whole else f" ({100 * low:.1f} to {100 * high:.1f} %)")


def summary(counts: dict[str, Counter[str]], populations: dict[str, int]) -> list[str]:
    """The table: a line a module, and all of them weighted by their size. Mutants that no test ran into are survivors."""
    lines = [f"{'module':<22}{'places':>7}{'tried':>7}{'killed':>8}{'survived':>9}  share killed"]
    rows = []
    for module, count in counts.items():
        tried = count["killed"] + count["survived"]
        if tried:
            whole = tried + count["same"] >= populations[module]
            lines.append(
                f"{module:<22}{populations[module]:>7}{tried:>7}{count['killed']:>8}{count['survived']:>9}  {percent(count['killed'], tried, whole)}"
            )
            rows.append((populations[module], tried, count["killed"], whole))
    if rows:
        everything = sum(size for size, *_ in rows)
        share = sum(size * killed / tried for size, tried, killed, _ in rows) / everything
        # Kish's effective size of a sample with unequal weights.
        effective = 1 / sum((size / everything) ** 2 / tried for size, tried, *_ in rows)
        tried, killed = (sum(row[i] for row in rows) for i in (1, 2))
        lines.append(
            f"{'all':<22}{everything:>7}{tried:>7}{killed:>8}{tried - killed:>9}  {percent(share * effective, effective, all(row[3] for row in rows))}"
        )
    return lines


def chosen_modules(package: Path, asked: list[str] | None) -> list[str]:
    """The modules to work on, as paths in the package without their ending: `contract/judge`, which is found by `judge` too.

    Raises ValueError for one that is not there.
    """
    known = sorted(path.relative_to(package).with_suffix("").as_posix() for path in package.rglob("*.py") if path.stem != "__main__")
    found = []
    for name in asked or []:
        match = [each for each in known if name in (each, each.rpartition("/")[2])]
        if not match:
            raise ValueError(f"no module {name} in {package.name}/ (example: --module judge)")
        found += match
    return found or known


def work(
    package: Path, tests: list[Path], modules: list[str], log: Path, wanted: int | None = None, seed: int = 1, only: set[str] | None = None
) -> dict[str, Counter[str]]:
    """Try the mutants, print survivors and the table, write a line of JSON each to the log; return the counts by module.

    Ctrl-C ends it with the table of what was tried so far.
    """
    from build_tools.dev.mutant_tests import tried

    populations: dict[str, int] = {}
    chosen: list[Mutant] = []
    for module in modules:
        source = (package / f"{module}.py").read_text("utf-8")
        populations[module] = len(places(source))
        chosen += [one for one in mutants(module, source, wanted, seed) if only is None or one.key in only]
    print(f"{len(chosen)} mutants in {len(modules)} modules.", flush=True)
    started = time.monotonic()
    counts: dict[str, Counter[str]] = {module: Counter() for module in modules}
    log.parent.mkdir(exist_ok=True)
    with log.open("w", encoding="utf-8", buffering=1) as lines:
        try:
            for mutant, outcome, seconds in tried(package, tests, chosen):
                counts[mutant.module][COUNTED.get(outcome, outcome)] += 1
                lines.write(
                    json.dumps(
                        {"key": mutant.key, "outcome": outcome, "seconds": round(seconds, 2), "text": str(mutant)}, ensure_ascii=False
                    )
                    + "\n"
                )
                if outcome in LIVING:
                    print(f"{outcome}: {mutant}", flush=True)
        except KeyboardInterrupt:
            print("Stopped.")
    print("\n".join(summary(counts, populations)))
    print(f"{time.monotonic() - started:.0f} s.")
    return counts


def main(options: argparse.Namespace) -> int:
    """The command `mutants`. Raises ValueError for a wrong module."""
    if not hasattr(os, "fork"):
        raise ValueError("mutants needs a system that can fork: Linux or macOS, or Linux inside Windows")
    package = PROJECT / "calculators"
    tests = [PROJECT / "tests" / "calculators", *(PROJECT / "tests" / "build" / f"test_{name}.py" for name in ("conditions", "decisions"))]
    only = None
    if options.again:
        if not LAST.is_file():
            raise ValueError("nothing to try again yet; first: python3 -m build_tools mutants --module judge")
        before = [json.loads(line) for line in LAST.read_text("utf-8").splitlines()]
        only = {one["key"] for one in before if one["outcome"] in LIVING}
        options.module = options.module or list(dict.fromkeys(key.split()[0] for key in only))
    work(package, tests, chosen_modules(package, options.module), LAST, None if only else options.sample, options.seed, only)
    return 0
