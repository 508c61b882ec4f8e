"""The text of a content file → plain data in which every scalar is text, and where each entry stands.

PyYAML composes the node tree once; values are built from it and its marks are kept, so that a mistake found by pydantic
(build_tools/content/validate.py) or by a rule across files (build_tools/checks/check.py) still points at file, line and column.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import yaml
from yaml.composer import Composer

from build_tools.content.problems import ContentError, Fault, Problem, quoted
from build_tools.content.yaml_advice import advice

Loc = tuple[int | str, ...]  # the way to an entry: names of entries and places in lists, as pydantic gives it
LARGEST_FILE = 1_000_000  # bytes; a procedure of 200 steps has about 60,000
MOST_NODES = 100_000  # aliases can make a small file endless
DEEPEST = 40
MOST_SAID = 100  # keys of one file that stand twice


class _TooDeep(Exception):
    """More brackets inside brackets, or more entries, than any content has: said before the rest is read."""


class _Counting(Composer):
    """Composes nodes from the parser's events one by one, so that a hostile file ends at its limit and not after minutes."""

    depth = count = 0
    peek_event: Callable[[], yaml.Event]  # the parser's

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        self.count += 1
        if self.depth > DEEPEST or self.count > MOST_NODES:
            raise _TooDeep(self.peek_event().start_mark)
        self.depth += 1
        node = super().compose_node(parent, index)
        self.depth -= 1
        return node


def _loader(base: type[yaml.SafeLoader]) -> type[yaml.SafeLoader]:
    """A loader that counts, over PyYAML's in C or, in the page's Python, over the one in Python, which composes already."""

    def start(self: yaml.SafeLoader, text: str) -> None:
        base.__init__(self, text)
        Composer.__init__(self)

    return type("_Loader", (_Counting, base), {"__init__": start})


_Loader = _loader(getattr(yaml, "CSafeLoader", yaml.SafeLoader))


_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # where YAML ends a line


@dataclass(frozen=True)
class Origin:
    """Where an item was read from."""

    file: str
    node: yaml.Node
    lines: tuple[str, ...] = ()

    def problem(
        self,
        loc: Loc,
        code: str,
        message: str,
        example: str = "",
        near: str = "",
        expected: str = "",
        fits: str = "",
        *,
        at_key: bool = False,
    ) -> Problem:
        """A mistake at the entry that `loc` leads to, or at the nearest one around it."""
        node = _walk(self.node, loc, at_key)
        start, end = node.start_mark, node.end_mark
        written = self.lines[start.line] if start.line < len(self.lines) else ""
        width = (end.column if end.line == start.line else len(written.rstrip())) - start.column
        if fits and not example:
            example = (written[: start.column] + fits + written[start.column + width :]).strip()
        return Problem(self.file, start.line + 1, start.column + 1, code, message, example, near, expected, written, max(1, width))

    def line(self, loc: Loc) -> int:
        """The line of the entry, from 1."""
        return _walk(self.node, loc, False).start_mark.line + 1


def _walk(node: yaml.Node, loc: Loc, at_key: bool) -> yaml.Node:
    for position, segment in enumerate(loc):
        if isinstance(node, yaml.MappingNode):
            pair = next((pair for pair in node.value if pair[0].value == segment), None)
            if pair is None:
                continue  # a union tag of pydantic, or a missing key: stay at the mapping
            last = loc[position + 1 :] in ((), ("[key]",))
            block = isinstance(pair[1], yaml.MappingNode | yaml.SequenceNode)
            node = pair[0] if last and (at_key or block) else pair[1]
        elif isinstance(node, yaml.SequenceNode) and isinstance(segment, int) and segment < len(node.value):
            node = node.value[segment]
    return node


@dataclass
class Document:
    """One file, read: plain data in which every scalar is text."""

    data: Any
    origin: Origin


def at(text: str, name: str, line: int, column: int, fault: Fault, width: int = 1) -> Problem:
    """A mistake at a line and column (from 1) of a text that is no entry, or could not be read whole."""
    lines = _LINE_END.split(text)
    line = max(1, min(line, len(lines)))
    return Problem(name, line, column, fault.code, fault.message, fault.example, fault.near, fault.expected, lines[line - 1], width)


def place_of(text: str, position: int) -> tuple[int, int]:
    """Line and column (from 1) of a character."""
    before = _LINE_END.split(text[:position])
    return len(before), len(before[-1]) + 1


def too_large(name: str, size: int) -> Problem:
    return Problem(name, 1, 1, "F102", f"The file has {size:,} bytes; the most is {LARGEST_FILE:,}.")


def decode(raw: bytes, name: str) -> str:
    """The text of a content file; ContentError where it is too large or not UTF-8."""
    if len(raw) > LARGEST_FILE:
        raise ContentError([too_large(name, len(raw))])
    wide = _wide(raw)
    if wide:
        written = _LINE_END.split(raw.decode(wide, "replace").removeprefix("\ufeff"))[0]
        raise ContentError(
            [Problem(name, 1, 1, "F103", f"The file is saved as UTF-16, which an editor may call Unicode. {_SAVE_AGAIN}", written=written)]
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # one byte is one character here, so lines and columns are counted in bytes
        start = max(raw.rfind(b"\n", 0, error.start), raw.rfind(b"\r", 0, error.start)) + 1
        line = place_of(raw[: error.start].decode("latin-1").replace("\x85", "."), error.start)[0]
        written = re.split(rb"[\r\n]", raw[start:])[0].decode("cp1252", "replace")
        said = f"The file is saved in a code page such as Windows-1252, which an editor may call ANSI. {_SAVE_AGAIN}"
        raise ContentError([Problem(name, line, error.start - start + 1, "F103", said, written=written)]) from None


_SAVE_AGAIN = "In the editor choose “Save as” with “Encoding: UTF-8”."


def _wide(raw: bytes) -> str:
    """The encoding of a file with two bytes for each letter; empty for any other."""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    start = raw[:200]
    for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(start) > 3 and start[first::2].count(0) > len(start) // 4:
            return encoding
    return ""


_CANNOT_STAND = Fault("F104", "An invisible control character stands here; delete it, with the letters around it, and type them again.")
_TOO_DEEP = Fault("F110", "The file is nested too deeply, or repeats itself through & and * marks; write it out.")


def read(text: str, name: str) -> Document:
    """Read YAML text. ContentError holds the one mistake that stopped the reading, or all repeated keys."""
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark
        if mark and "depth" in (error.problem or ""):  # the reader's own limit of 1000
            raise ContentError([at(text, name, mark.line + 1, mark.column + 1, _TOO_DEEP)]) from None
        raise ContentError([at(text, name, *advice(error, _LINE_END.split(text)))]) from None
    except yaml.YAMLError as error:
        raise ContentError([_unprintable(error, text, name)]) from None
    except _TooDeep as error:
        raise ContentError([_deep(error, text, name)]) from None
    return _built(node, text, name)


def _deep(error: _TooDeep, text: str, name: str) -> Problem:
    mark = error.args[0]
    return at(text, name, mark.line + 1, mark.column + 1, _TOO_DEEP)


def _unprintable(error: yaml.YAMLError, text: str, name: str) -> Problem:
    # the reader counts bytes or characters, as it is written in C or Python: the character itself is looked for
    wrong = re.search("[^\t\n\r -~\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]", text)
    return at(text, name, *place_of(text, wrong.start() if wrong else 0), _CANNOT_STAND)


def read_json(text: str, name: str) -> Document:
    """Read JSON text: first by the rules of JSON, then as the YAML that it is, for the places. ContentError as for `read`."""
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        fault = Fault("F111", "This is not a whole sheet: the file was cut off or changed. Save the sheet once more.")
        raise ContentError([at(text, name, *place_of(text, error.pos), fault)]) from None
    except (RecursionError, ValueError):
        raise ContentError([at(text, name, 1, 1, _TOO_DEEP)]) from None
    lone = re.search(r"\\u[dD][89a-fA-F]", text)
    if lone:
        raise ContentError(
            [at(text, name, *place_of(text, lone.start()), Fault("F112", f"Write the character itself instead of {lone[0]}…"))]
        )
    try:
        node = yaml.compose(text.replace("\t", " "), Loader=_Loader)  # no string of JSON holds a tab
    except _TooDeep as error:
        raise ContentError([_deep(error, text, name)]) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        raise ContentError(
            [at(text, name, mark.line + 1, mark.column + 1, _CANNOT_STAND) if mark else _unprintable(error, text, name)]
        ) from None
    _drop_nulls(node)
    return _built(node, text, name)


def _drop_nulls(node: yaml.Node | None) -> None:
    """Leave out the entries of a mapping that are null: not given."""
    if isinstance(node, yaml.MappingNode):
        node.value = [pair for pair in node.value if pair[1].tag != "tag:yaml.org,2002:null"]
        for _, value in node.value:
            _drop_nulls(value)


def _built(node: yaml.Node | None, text: str, name: str) -> Document:
    if node is None:
        raise ContentError([Problem(name, 1, 1, "F101", "The file is empty: nothing but blank lines or remarks (#) stands in it.")])
    origin = Origin(name, node, tuple(_LINE_END.split(text)))
    builder = _Builder(origin)
    data = builder.build(node)
    if builder.problems:
        raise ContentError(builder.problems)
    return Document(data, origin)


class _Builder:
    """Builds plain data from nodes: text, lists, mappings; nothing is guessed from how a scalar looks."""

    def __init__(self, origin: Origin):
        self.origin, self.count = origin, 0
        self.problems: list[Problem] = []

    def build(self, node: yaml.Node, depth: int = 0) -> Any:
        self.count += 1
        if depth > DEEPEST or self.count > MOST_NODES:
            raise ContentError([self._problem(node, *_TOO_DEEP)])
        if isinstance(node, yaml.ScalarNode):
            return node.value
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, depth + 1) for item in node.value]
        return self._mapping(node, depth)

    def _mapping(self, node: yaml.Node, depth: int) -> dict[str, Any]:
        built: dict[str, Any] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self.problems.append(
                    self._problem(key, "W106", "A list or a group in brackets stands before this colon, where one word belongs.")
                )
                continue
            if key.value in built and len(self.problems) < MOST_SAID:
                self.problems.append(self._problem(key, "W105", f"{quoted(key.value)} stands here a second time; keep one of the two."))
            built[key.value] = self.build(value, depth + 1)
        return built

    def _problem(self, node: yaml.Node, *fault: str) -> Problem:
        return Origin(self.origin.file, node, self.origin.lines).problem((), *fault)
