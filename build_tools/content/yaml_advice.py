"""What a beginner did where YAML cannot be read: the likely slip at the likely line, instead of the reader's own words."""

from __future__ import annotations

import re
from functools import cache

import yaml
from pydantic import BaseModel

from build_tools.content import model
from build_tools.content.problems import Fault


@cache
def _names() -> set[str]:
    """The names of all entries there are."""
    types = [item for item in vars(model).values() if isinstance(item, type) and issubclass(item, BaseModel)]
    return {info.alias or name for item in types for name, info in item.model_fields.items()}


def _start(pattern: str, line: str) -> str:
    """What the pattern finds at the start of a line."""
    found = re.match(pattern, line)
    return found[0] if found else ""


_CURLY = "“”„‟«»‘’"


def advice(error: yaml.MarkedYAMLError, lines: list[str]) -> tuple[int, int, Fault]:
    """Line and column (from 1) of the slip, and what to say about it."""
    mark = error.problem_mark or error.context_mark
    assert mark, "the reader of YAML says where it stopped"
    said = f"{error.context or ''}: {error.problem or ''}"
    number = min(mark.line, len(lines) - 1)
    slip = _slip_nearby(lines, number) if _structure(said) else None
    if slip:
        return slip
    if "unexpected end of stream" in said and error.context_mark:  # the open quotation mark, not the end of the file
        mark, number = error.context_mark, error.context_mark.line
    opened = error.context_mark
    if opened and "flow" in said and opened.line < number and _open(lines[opened.line]):
        return (
            opened.line + 1,
            opened.column + 1,
            Fault("W108", "A bracket is opened here and not closed.", f"{lines[opened.line].strip()}{_open(lines[opened.line])}"),
        )
    column = mark.column + 1 if number == mark.line else 1
    fault = _fault(said, lines[number], column - 1, lines[number + 1].strip() if number + 1 < len(lines) else "")
    if fault.code == "W104" and (depths := _depths(lines, number)):
        return number + 1, len(lines[number]) - len(lines[number].lstrip()) + 1, depths
    return number + 1, column, fault


def _open(line: str) -> str:
    """The brackets that would close those that a line leaves open."""
    closing = ""
    for sign in re.sub(r"\"[^\"]*\"|'[^']*'", "", line):
        if sign in "[{":
            closing = {"[": "]", "{": "}"}[sign] + closing
        elif closing and sign == closing[0]:
            closing = closing[1:]
    return closing


def _depths(lines: list[str], number: int) -> Fault | None:
    """How deep this line and its neighbors are indented, where that is what is wrong."""
    line = lines[number]
    here = len(line) - len(line.lstrip(" "))
    above = next((n for n in range(number - 1, -1, -1) if lines[n].strip() and not lines[n].lstrip().startswith("#")), None)
    if above is None or not line.strip():
        return None
    start = _start(r" *(- +)?", lines[above])
    there = len(start)
    if line.lstrip().startswith("- "):  # an item of a list stands under the dash of the one above it
        there = next((len(_start(" *", text)) for text in reversed(lines[:number]) if text.lstrip().startswith("- ")), there)
    if here == there or lines[above].rstrip().endswith(":") and not line.lstrip().startswith("- "):
        return None
    spaces = f"by {here} space{'s' * (here != 1)}" if here else "by no space"
    dash = len(start) - len(start.lstrip()) if start.strip() else there
    example = f"{lines[above][min(dash, there) :].rstrip()}\n{' ' * (there - min(dash, there))}{line.strip()}"
    return Fault(
        "W104",
        f"This line is indented {spaces}, its neighbors {f'by {there}' if there else 'not at all'}.",
        example,
        expected="entries of one thing exactly below each other; the dash of a list and the space after it count",
    )


def _structure(said: str) -> bool:
    """Whether the reader lost its way between lines: the cause may stand above the place where it noticed."""
    return any(
        words in said
        for words in (
            "could not find expected ':'",
            "expected <block end>",
            "mapping values are not allowed",
            "did not find expected",
            "expected the node content",
            "cannot start any token",
        )
    )


def _slip_nearby(lines: list[str], number: int) -> tuple[int, int, Fault] | None:
    """A tab, or a missing space, on the line where the reader stopped or on the last filled one above it."""
    above = next((n for n in range(number - 1, -1, -1) if lines[n].strip()), number)
    for n in dict.fromkeys((number, above)):
        line = lines[n]
        indent = _start(r"[ \t]*", line)
        if "\t" in indent:
            return n + 1, indent.index("\t") + 1, _tab(line, lines[above])
        slip = re.match(r"(\s*(?:- )?)([a-z_]+):(?=[^\s:/])(.*)", line)
        if slip and not slip[3].startswith("//"):
            return (
                n + 1,
                len(slip[1]) + 1,
                Fault("W109", f"A space is missing after the colon of '{slip[2]}'.", f"{slip[2]}: {slip[3].strip()}"),
            )
        slip = re.match(r"(\s*(?:- )?)([a-z_]+) +([^:]*)$", line)
        if slip and slip[2] in _names():
            return (
                n + 1,
                len(slip[1] + slip[2]) + 1,
                Fault("W104", f"A colon is missing after '{slip[2]}'.", f"{slip[2]}: {slip[3].strip()}"),
            )
        slip = re.match(r"(\s*)-([a-z_]+: .*)", line)
        if slip:
            return n + 1, len(slip[1]) + 1, Fault("W110", "A space is missing after the dash.", f"- {slip[2].strip()}")
    return None


def _fault(said: str, line: str, column: int, after: str = "") -> Fault:
    if "'\\t'" in said or "\t" in _start(r"[ \t]*", line):
        return _tab(line, "")
    if "mapping values are not allowed" in said:
        return _colon(line)
    if "unexpected end of stream" in said or "unexpected document indicator" in said and "quoted" in said:
        start, mark = line[:column].lstrip(), line[column : column + 1]
        return Fault(
            "W103",
            "A quotation mark is opened here and never closed.",
            f"{start}{line[column:].rstrip()}{mark}" if mark in ("'", '"') else "",
        )
    if "escape" in said:
        entry = re.match(r"\s*(?:- )?([a-z_]+): \"([^\"]*)\"\s*$", line)
        return Fault(
            "W114",
            "A backslash means something else between double quotation marks; use single ones.",
            f"{entry[1]}: '{entry[2].replace(chr(39), chr(39) * 2)}'" if entry else "",
        )
    if (
        "cannot start any token" in said
        or "while scanning" in said
        and any(word in said for word in ("alias", "anchor", "tag", "block scalar", "directive"))
        or "undefined alias" in said
        or "duplicate anchor" in said
        or "undefined tag" in said
    ):
        entry = re.match(r"\s*(?:- )?([a-z_]+): +([^\s\"\'].*)$", line)
        sign = f"the sign {entry[2][0]}" if entry else "this sign"
        return Fault(
            "W107",
            f"A text cannot begin with {sign}; put the text in quotation marks.",
            f'{entry[1]}: "{_inside(entry[2])}"' if entry else "",
        )
    inside = re.search(r"([a-z_]+): ([^,{}\[\]]*)$", line[:column]) if re.match(r":\s", line[column:]) else None
    if "expected ',' or" in said and inside and inside[2].split()[-1:] and inside[2].split()[-1] in _names():
        after = inside[2].split()[-1]
        before = line[: inside.start(2)] + re.sub(rf"\s+{after}$", f", {after}", inside[2])
        return Fault("W108", f"A comma is missing before '{after}'.", (before + line[column:]).strip())
    if "expected ',' or" in said and inside:
        text = _start(r"[^,{}\[\]]*", line[inside.start(2) :]).strip()
        return _colon(f"{inside[1]}: {text}")
    if "expected ',' or ']'" in said or "expected ',' or '}'" in said or "flow" in said:
        return Fault("W108", "A bracket is opened and not closed, or a comma is missing between two entries.")
    if "expected a single document" in said:
        return Fault("W111", "A line of three dashes starts a second text here; one file holds one. Take the line out.", after)
    if "while parsing a block" in said and re.search(r""":\s*(["']).*\1\s*\S""", line):
        key, _, text = line.strip().removeprefix("- ").partition(": ")
        return Fault(
            "W112",
            "Text goes on after its closing quotation mark; put all of it in quotation marks, or none.",
            f"""{key}: '{text.strip().replace("'", "''")}'""",
        )
    if "could not find expected ':'" in said or "expected <block end>" in said or "did not find expected" in said:
        return Fault("W104", "The indenting or a colon is wrong at this line or just above it.")
    return Fault("W199", "The reader of the file lost its way here; look at this line and the one above it.")


def _tab(line: str, above: str) -> Fault:
    """A tab in the indenting, with how deep the line belongs where the line above it tells."""
    text, start = line.strip(), _start(r" *(?:- +)?", above)
    depth = len(start) + 2 * above.rstrip().endswith(":")
    if not above.strip() or not text or text.startswith("-") or "\t" in above:
        return Fault("W101", "A tab stands here; indent with spaces.")
    dash = len(start) - len(start.lstrip())
    return Fault(
        "W101", f"A tab stands here; indent with spaces, {depth} in this line.", f"{above[dash:].rstrip()}\n{' ' * (depth - dash)}{text}"
    )


def _inside(text: str) -> str:
    """A text as it may stand between double quotation marks."""
    return text.strip().replace("\\", "/").replace('"', "'")


def _colon(line: str) -> Fault:
    key, _, text = line.strip().partition(": ")
    if text.strip().startswith(tuple(_CURLY)):
        straight = text.strip().strip(_CURLY).replace('"', "'")
        return Fault("W113", "Curly quotation marks do not quote; type straight ones.", f'{key}: "{straight}"')
    if ": " in text or text.endswith(":"):
        quoted = _inside(text)
        return Fault(
            "W102",
            "A colon followed by a space stands inside the text, so it reads as a new entry; put the text in quotation marks.",
            f'{key}: "{quoted}"',
        )
    return Fault("W104", "The indenting or a colon is wrong at this line or just above it.")
